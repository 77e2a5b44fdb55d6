"""Tables for the bench: holes, bolts, welds, tubes, material, corners.

Each row a mapping; lengths and masses in the reader's units, which the row names; a column ending
in _mm or _kg is in that.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from ...layout.reader import metric, number, unit, valued
from ...layout.units import LB
from .. import stock
from ..design.lettering import size_text
from ..drawing.sheet import saw_length
from ..drawing.symbols import bevel_words
from ..drawing.tube import length_words
from ..geometry import outline
from ..model.body import Bought, Plate, Tube
from ..model.numbering import numbered_welds, weld_stage
from ..rules.welds import leg_text
from ..stock import Shop
from ..stock.torque import torque
from ..truck.fasteners import every, hole_names, ordered, tightened_at, with_it
from ..truck.truck import Truck, is_plate
from ..words import names

POUND = LB
"""kg in the pound that prices are given by."""
NO_TORQUE = "not given: the shop's settings do not say what state threads are in"


class Table(NamedTuple):
    """A named table: columns in order, rows as mappings."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[dict[str, Any], ...]


def long_in(mm: float) -> float:
    """A length in the reader's unit, rounded as a table prints it."""
    return round(valued(mm, "length"), 2 if metric() else 4) + 0.0


def _mass(kg: float) -> float:
    return round(valued(kg, "mass"), 2)


def holes(t: Truck) -> Table:
    """Every hole of every plate with how it is made and the drills it takes."""
    rows = []
    called = hole_names(t)
    for p in t.parts:
        if not isinstance(p.member.body, Plate):
            continue
        x0, y0, *_ = outline.bbox(p.member.body.outline)
        for i, h in enumerate(p.holes, 1):
            rows.append(
                {
                    "part": p.id,
                    "hole": f"H{i}",
                    "x": long_in(h.at[0] - x0),
                    "y": long_in(h.at[1] - y0),
                    "finished": size_text(h.diameter),
                    "finished_mm": round(h.diameter, 2),
                    "slot_length": long_in(h.length) if h.length else "",
                    "how": h.how,
                    "pilot": size_text(h.pilot) if h.pilot else "",
                    "edge": long_in(outline.distance(p.member.body.outline, h.at)),
                    "bolt": called.get(h.bolt, ""),
                    "id": h.bolt,
                    "quantity": p.quantity,
                    "unit": unit("length"),
                    "number": p.called,
                    "places": " ".join(p.places),
                }
            )
    columns = (
        "part",
        "hole",
        "x",
        "y",
        "finished",
        "finished_mm",
        "slot_length",
        "how",
        "pilot",
        "edge",
        "bolt",
        "id",
        "quantity",
        "unit",
        "number",
        "places",
    )
    return Table("holes", columns, tuple(rows))


def bolts(t: Truck, shop: Shop) -> Table:
    """Every bolt, dowel and stud by its number with its stack, length, nut and torque."""
    rows = [
        {
            "bolt": x.number,
            "id": x.bolt.id,
            "size": x.bolt.size,
            "grade": x.bolt.grade,
            "through": " > ".join(x.bolt.through),
            "grip": long_in(x.grip),
            "length": x.length_said,
            "length_mm": round(x.length, 3) or "",
            "plain_shank": long_in(x.shank) or "",
            "duty": x.bolt.duty,
            "nut": x.nut,
            "hole": x.bolt.hole,
            "torque": said if (said := torque(x.bolt, shop)) != "-" else NO_TORQUE,
            "tightened_at": tightened_at(x.bolt),
            "owed": x.owed,
            "unit": unit("length"),
        }
        for x in every(t, shop)
    ]
    return Table(
        "bolts",
        (
            "bolt",
            "id",
            "size",
            "grade",
            "through",
            "grip",
            "length",
            "length_mm",
            "plain_shank",
            "duty",
            "nut",
            "hole",
            "torque",
            "tightened_at",
            "owed",
            "unit",
        ),
        tuple(rows),
    )


def welds(t: Truck, shop: Shop) -> Table:
    """Every weld by its number, in the order it is laid, with the shop's process."""
    rows = [
        {
            "weld": n,
            "id": w.id,
            "on": w.on,
            "edges": " ".join(w.edges),
            "to": w.to,
            "kind": w.kind,
            "leg": leg_text(w.leg),
            "leg_mm": round(w.leg, 4),
            "run": long_in(w.run) or "",
            "pitch": long_in(w.pitch) or "",
            "face": w.face,
            "stop_short": long_in(w.stop) or "",
            "preparation": bevel_words(w),
            "stage": weld_stage(t.assembly, w),
            "process": shop.weld,
            "care": "; ".join(sorted(w.care)),
            "unit": unit("length"),
        }
        for n, w in numbered_welds(t.assembly).items()
    ]
    return Table(
        "welds",
        (
            "weld",
            "id",
            "on",
            "edges",
            "to",
            "kind",
            "leg",
            "leg_mm",
            "run",
            "pitch",
            "face",
            "stop_short",
            "preparation",
            "stage",
            "process",
            "care",
            "unit",
        ),
        tuple(rows),
    )


def tubes(t: Truck, shop: Shop) -> Table:
    """Tube cut list: long point to long point, how each end is prepared."""
    rows = []
    for p in t.parts:
        b = p.member.body
        if isinstance(b, Tube):
            size = shop.tube(b.stock)
            ends = [e.kind if e.kind != "cope" else f"cope to {size_text(e.onto)}" for e in b.ends]
            rows.append(
                {
                    "part": p.id,
                    "name": p.member.title,
                    "stock": b.stock,
                    "od": long_in(size.od),
                    "wall": long_in(size.wall),
                    "length": saw_length(b.length),
                    "length_decimal": long_in(b.length),
                    "length_mm": round(b.length, 4),
                    "between": length_words(b),
                    "end_a": ends[0],
                    "end_b": ends[1],
                    "quantity": p.quantity,
                    "mass": _mass(p.mass),
                    "mass_kg": round(p.mass, 4),
                    "unit": unit("length"),
                    "mass_unit": unit("mass"),
                    "number": p.called,
                    "places": " ".join(p.places),
                }
            )
    return Table(
        "tubes",
        (
            "part",
            "name",
            "stock",
            "od",
            "wall",
            "length",
            "length_decimal",
            "length_mm",
            "between",
            "end_a",
            "end_b",
            "quantity",
            "mass",
            "mass_kg",
            "unit",
            "mass_unit",
            "number",
            "places",
        ),
        tuple(rows),
    )


def material(t: Truck, shop: Shop) -> Table:
    """Bill of material: what is cut and what is bought, with mass."""
    rows: list[dict[str, Any]] = []
    for p in t.parts:
        b = p.member.body
        size = ""
        if isinstance(b, Plate):
            x0, y0, x1, y1 = outline.bbox(b.outline)
            size = f"{number(x1 - x0, 'length')} x {number(y1 - y0, 'length')}"
        elif isinstance(b, Tube):
            size = f"{saw_length(b.length)} long"
        key, mass = getattr(b, "stock", ""), p.mass * p.quantity
        rows.append(
            {
                "item": p.id,
                "called": names.made(p),
                "name": p.member.title,
                "make": "make",
                "stock": key,
                "size": size,
                "quantity": p.quantity,
                "mass": _mass(mass),
                "mass_kg": round(mass, 4),
                "unit": unit("mass"),
                "cost": round(mass / POUND * shop.prices[key], 2) if key in shop.prices else "",
                "number": p.called,
                "places": " ".join(p.places),
            }
        )
    for m in t.assembly.members:
        if isinstance(m.body, Bought) and m.fixed_after != "existing":
            rows.append(
                {
                    "item": m.code,
                    "called": names.part(m.code),
                    "name": m.title,
                    "make": "buy",
                    "stock": m.body.item,
                    "size": "",
                    "quantity": m.per_truck,
                    "mass": "",
                    "mass_kg": "",
                    "unit": "",
                    "cost": "",
                    "number": m.code,
                    "places": m.code,
                }
            )
    rows += [
        {
            "item": f"{x.made} {x.bolt.size}",
            "called": f"{x.made} {x.bolt.size}",
            "name": f"{x.name}, {with_it(x)}",
            "make": "buy",
            "stock": "",
            "size": x.call,
            "quantity": n,
            "mass": "",
            "mass_kg": "",
            "unit": "",
            "cost": "",
            "number": f"{x.made} {x.bolt.size}",
            "places": "",
        }
        for x, n in ordered(t, shop)
    ]
    return Table(
        "material",
        (
            "item",
            "called",
            "name",
            "make",
            "stock",
            "size",
            "quantity",
            "mass",
            "mass_kg",
            "unit",
            "cost",
            "number",
            "places",
        ),
        tuple(rows),
    )


def corners(t: Truck) -> Table:
    """Every corner of every outline from the part's lower-left, with the radius to the next."""
    rows = []
    for p in filter(is_plate, t.parts):
        assert isinstance(p.member.body, Plate)
        x0, y0, *_ = outline.bbox(p.member.body.outline)
        n = 0
        for loop in (
            p.member.body.outline,
            *(o for o in p.member.body.openings if not outline.is_circle(o)),
        ):
            for e, q in outline.spans(loop):
                n += 1
                r = outline.arc_of(e.start, q, e.bulge).radius if e.bulge else 0.0
                rows.append(
                    {
                        "part": p.id,
                        "corner": n,
                        "edge": e.name,
                        "x": long_in(e.start[0] - x0),
                        "y": long_in(e.start[1] - y0),
                        "radius_to_next": long_in(r) if r else "straight",
                        "unit": unit("length"),
                    }
                )
    return Table(
        "corners", ("part", "corner", "edge", "x", "y", "radius_to_next", "unit"), tuple(rows)
    )


def tables(t: Truck, shop: Shop | None = None) -> tuple[Table, ...]:
    """Every table of the truck."""
    s = shop or stock.default_shop()
    return (holes(t), bolts(t, s), welds(t, s), tubes(t, s), material(t, s), corners(t))
