"""Solids of every part and of the placed truck, made by the kernel or taken from the last draft."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from importlib import metadata
from typing import TYPE_CHECKING, NamedTuple

from ...parts.model.assembly import Member, Part
from ...parts.model.body import Plate
from ...parts.stock import PlateOnHand, Shop, TubeOnHand
from .build import Build

if TYPE_CHECKING:
    from ...parts.export.witness import SolidToRead


class SolidsToMake(NamedTuple):
    """Solids to be made, as data: parts by their path, and the placed truck if it is one of them.

    Attributes
    ----------
    parts: path -> part.
    whole: path of the placed truck, "" where it is made already.
    """

    parts: dict[str, Part]
    whole: str
    members: tuple[Member, ...]
    singles: tuple[Part, ...]
    shop: Shop
    chassis: str


def to_make(build: Build, ready: Collection[str]) -> SolidsToMake:
    """Every solid of a build less what is ``ready``."""
    truck, whole = build.truck, build.whole_path
    parts = {path: p for p in truck.parts if (path := build.solid_path(p)) not in ready}
    placed = bool(truck.assembly.members) and whole not in ready
    return SolidsToMake(
        parts if build.with_solids else {},
        whole if build.with_solids and placed else "",
        tuple(truck.assembly.members),
        tuple(truck.singles),
        build.shop,
        build.chassis,
    )


def solids(work: SolidsToMake) -> dict[str, bytes]:
    """STEP of these parts and of the placed truck; the kernel is loaded only if something is left
    to make.
    """
    if not work.parts and not work.whole:
        return {}
    from ...parts.export import step

    made = {path: step.part_text(p, work.shop) for path, p in work.parts.items()}
    if work.whole:
        made[work.whole] = step.assembly_text(work.members, work.singles, work.shop, work.chassis)
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


def read_back(build: Build, made: Mapping[str, bytes]) -> dict[str, SolidToRead]:
    """What is to be read back of these files: every solid among them."""
    from ...parts.export.witness import SolidToRead, to_read

    found = {
        path: to_read(part, made[path], build.shop)
        for part in build.truck.parts
        if (path := build.solid_path(part)) in made
    }
    if build.whole_path in made:
        found[build.whole_path] = SolidToRead(made[build.whole_path])
    return found


def kernel() -> str:
    """The kernel that makes and reads solids, with its version."""
    return f"cadquery-ocp {metadata.version('cadquery-ocp')}"


def stock_of(part: Part, shop: Shop) -> PlateOnHand | TubeOnHand:
    """The stock row a part is made from."""
    key = getattr(part.member.body, "stock", "")
    return shop.plate(key) if isinstance(part.member.body, Plate) else shop.tube(key)
