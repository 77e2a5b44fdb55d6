"""Solids of every part and of the placed truck, made by the kernel or taken from the last draft."""

from __future__ import annotations

from ...parts.model.assembly import Part
from ...parts.model.body import Plate
from ...parts.stock import PlateOnHand, Shop, TubeOnHand
from .build import Build


def solids(build: Build, ready: frozenset[str] = frozenset()) -> dict[str, bytes]:
    """STEP of every part and of the placed assembly, less what is ``ready``.

    The kernel is loaded only if something is left to make.
    """
    truck, whole = build.truck, build.whole_path
    todo = {
        path: p
        for p in truck.parts
        if build.with_solids and (path := build.solid_path(p)) not in ready
    }
    placed = build.with_solids and bool(truck.assembly.members) and whole not in ready
    if not todo and not placed:
        return {}
    from ...parts.export import step

    made = {path: step.part_text(p, build.shop) for path, p in todo.items()}
    if placed:
        made[whole] = step.assembly_text(
            truck.assembly.members, truck.singles, build.shop, build.chassis
        )
    return made


def ready(build: Build) -> dict[str, bytes]:
    """Solids of the last draft that are still those of these parts."""
    truck, again = build.truck, build.again
    stock = {p.id: stock_of(p, build.shop) for p in truck.singles}
    found = {
        path: again.ready(path, p.member, p.holes, p.slots, stock[p.id])
        for p in truck.parts
        for path in (build.solid_path(p),)
    }
    found[build.whole_path] = again.ready(
        build.whole_path,
        truck.assembly.members,
        [(p.id, p.hand, p.holes, p.slots) for p in truck.singles],
        stock,
        build.chassis,
    )
    return {path: data for path, data in found.items() if data is not None}


def stock_of(part: Part, shop: Shop) -> PlateOnHand | TubeOnHand:
    """The stock row a part is made from."""
    key = getattr(part.member.body, "stock", "")
    return shop.plate(key) if isinstance(part.member.body, Plate) else shop.tube(key)
