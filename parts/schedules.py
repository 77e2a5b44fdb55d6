"""Tables for the bench: holes, bolts, welds, tubes, material, corners. Each row a mapping; lengths in inches unless the column says mm."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from . import outline, stock
from .fit import coaxial
from .marks import size_text
from .model import Bolt, Bought, Member, Plate, Tube, dot
from .stock import IN, Shop
from .strength import Strength
from .torque import torque
from .truck import Truck, is_plate

LB = 2.20462
NO_TORQUE = "not given: the shop's settings do not say what state threads are in"


class Table(NamedTuple):
    """A named table: columns in order, rows as mappings."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[dict[str, Any], ...]


def _in(mm: float) -> float:
    return round(mm / IN, 4) + 0.0


def holes(t: Truck) -> Table:
    """Every hole of every plate with how it is made and the drills it takes."""
    rows = []
    for p in t.parts:
        if not isinstance(p.member.body, Plate):
            continue
        x0, y0, *_ = outline.bbox(p.member.body.outline)
        for i, h in enumerate(p.holes, 1):
            rows.append(
                {
                    "part": p.id,
                    "hole": f"H{i}",
                    "x": _in(h.at[0] - x0),
                    "y": _in(h.at[1] - y0),
                    "finished": size_text(h.diameter),
                    "finished_mm": round(h.diameter, 2),
                    "slot_length": _in(h.length) if h.length else "",
                    "how": h.how,
                    "pilot": size_text(h.pilot) if h.pilot else "",
                    "edge": _in(outline.distance(p.member.body.outline, h.at)),
                    "bolt": h.bolt,
                    "quantity": p.quantity,
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
        "quantity",
    )
    return Table("holes", columns, tuple(rows))


def bolts(t: Truck, shop: Shop) -> Table:
    """Every bolt with its stack and the plate it clamps; its torque where the shop says the state of the threads."""
    by_id = {m.code: m for m in t.assembly.members}
    rows = []
    for b in t.assembly.bolts:
        if b.duty in ("witness", "drain") or not b.grade:
            continue
        grip = sum(
            shop.plate(by_id[c].body.stock).thickness
            for c in b.through
            if c in by_id and isinstance(by_id[c].body, Plate)
        )  # type: ignore[union-attr]
        grip += sum(
            m.body.length
            for c in b.through
            if (m := by_id.get(c))
            and isinstance(m.body, Tube)
            and abs(dot(m.place.x, b.along)) > 0.99
        )
        grip += sum(
            m.body.solid.length
            for c in b.through  # type: ignore[union-attr]
            if (m := by_id.get(c))
            and isinstance(m.body, Bought)
            and abs(dot(m.place.x, b.along)) > 0.99
        )
        grip += b.length
        washers = (
            by_id[w.through[0]].body
            for w in t.assembly.bolts
            if not w.grade and w.duty == b.duty and w.id[-2:] == b.id[-2:] and coaxial(b, w)
        )
        grip += sum(shop.plate(w.stock).thickness for w in washers if isinstance(w, Plate))
        rows.append(
            {
                "bolt": b.id,
                "size": b.size,
                "grade": b.grade,
                "through": " > ".join(b.through),
                "grip": _in(grip),
                "duty": b.duty,
                "nut": nut_of(b, by_id),
                "hole": b.hole,
                "torque": said if (said := torque(b, shop)) != "-" else NO_TORQUE,
            }
        )
    return Table(
        "bolts",
        ("bolt", "size", "grade", "through", "grip", "duty", "nut", "hole", "torque"),
        tuple(rows),
    )


def nut_of(b: Bolt, members: Mapping[str, Member]) -> str:
    """How the nut is held: one inside a closed rail cannot be reached with a spanner."""
    last = members.get(b.through[-1])
    if last is not None and last.title == "frame rail" and b.duty == "frame":
        return "inside the rail: weld it to a 1/4 x 1 in strap that spans both holes and fish it in through the rail's end or an open hole, or use a welded nut that is there"
    return "locknut"


def welds(t: Truck, shop: Shop) -> Table:
    """Every weld in the order it is laid, with the shop's process."""
    rows = [
        {
            "weld": w.id,
            "on": w.on,
            "edges": " ".join(w.edges),
            "to": w.to,
            "kind": w.kind,
            "leg": _in(w.leg),
            "run": _in(w.run) or "",
            "pitch": _in(w.pitch) or "",
            "face": w.face,
            "stop_short": _in(w.stop) or "",
            "order": w.order,
            "process": shop.weld,
            "care": "; ".join(sorted(w.care)),
        }
        for w in sorted(t.assembly.welds, key=lambda w: (w.order, w.id))
    ]
    return Table(
        "welds",
        (
            "weld",
            "on",
            "edges",
            "to",
            "kind",
            "leg",
            "run",
            "pitch",
            "face",
            "stop_short",
            "order",
            "process",
            "care",
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
                    "od": _in(size.od),
                    "wall": _in(size.wall),
                    "length": _in(b.length),
                    "end_a": ends[0],
                    "end_b": ends[1],
                    "quantity": p.quantity,
                    "mass_lb": round(p.mass * LB, 2),
                }
            )
    return Table(
        "tubes",
        ("part", "name", "stock", "od", "wall", "length", "end_a", "end_b", "quantity", "mass_lb"),
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
            size = f"{(x1 - x0) / IN:.2f} x {(y1 - y0) / IN:.2f}"
        elif isinstance(b, Tube):
            size = f"{b.length / IN:.2f} long"
        key, mass = getattr(b, "stock", ""), p.mass * LB * p.quantity
        rows.append(
            {
                "item": p.id,
                "name": p.member.title,
                "make": "make",
                "stock": key,
                "size": size,
                "quantity": p.quantity,
                "mass_lb": round(mass, 2),
                "cost": round(mass * shop.prices[key], 2) if key in shop.prices else "",
            }
        )
    for m in t.assembly.members:
        if isinstance(m.body, Bought) and m.fixed_after != "existing":
            rows.append(
                {
                    "item": m.code,
                    "name": m.title,
                    "make": "buy",
                    "stock": m.body.item,
                    "size": "",
                    "quantity": m.per_truck,
                    "mass_lb": "",
                    "cost": "",
                }
            )
    counted: dict[tuple[str, str], int] = {}
    for r in bolts(t, shop).rows:
        if r["grade"] != "dowel":
            counted[(r["size"], r["grade"])] = counted.get((r["size"], r["grade"]), 0) + 1
    rows += [
        {
            "item": f"bolt {size}",
            "name": f"bolt, nut, two hardened washers, {grade}",
            "make": "buy",
            "stock": "",
            "size": size,
            "quantity": n,
            "mass_lb": "",
            "cost": "",
        }
        for (size, grade), n in sorted(counted.items())
    ]
    return Table(
        "material",
        ("item", "name", "make", "stock", "size", "quantity", "mass_lb", "cost"),
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
                        "x": _in(e.start[0] - x0),
                        "y": _in(e.start[1] - y0),
                        "radius_to_next": _in(r) if r else "straight",
                    }
                )
    return Table("corners", ("part", "corner", "edge", "x", "y", "radius_to_next"), tuple(rows))


def rail(held: Strength) -> Table:
    """Each rail along its coil-seat plate: section as a share of the rail as measured."""
    kinds = ("vertical", "held", "lateral", "torsion")
    rows = [
        {
            "rail": {"L": "left", "R": "right"}[s],
            "ahead_of_coil": _in(q.ahead),
            "station": q.what,
            **{k: round(q.ratio[k], 3) if k in q.ratio else "" for k in kinds},
        }
        for s, found in held.stations.items()
        for q in found
    ]
    return Table("rail", ("rail", "ahead_of_coil", "station", *kinds), tuple(rows))


def tacks(held: Strength) -> Table:
    """Tacks that hold each weld until it is laid: twice the standing load, see the checks."""
    rows = [
        {
            "weld": k.weld.id,
            "on": k.weld.on,
            "to": k.weld.to,
            "edges": " ".join(k.weld.edges),
            "tacks": k.count,
            "length": _in(k.length),
            "leg": _in(k.leg),
        }
        for k in held.tacks
    ]
    return Table("tacks", ("weld", "on", "to", "edges", "tacks", "length", "leg"), tuple(rows))


def tables(t: Truck, shop: Shop | None = None) -> tuple[Table, ...]:
    """Every table of the truck."""
    s = shop or stock.default_shop()
    return (holes(t), bolts(t, s), welds(t, s), tubes(t, s), material(t, s), corners(t))
