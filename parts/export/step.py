"""Solids: each made part and the placed assembly as STEP. The only user of the CAD kernel."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ..geometry import bend, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Member, Part
from ..model.body import Bar, Bought, Existing, Helix, Loop, Plate, Rod, Tube
from ..model.terms import Role
from ..model.vectors import Frame
from ..stock import Shop
from ..truck.roles import letters
from ..words import names
from .canonical import canonical

COLOURS = {
    Role.TRUCK: (0.55, 0.55, 0.53),
    Role.ARM: (0.55, 0.27, 0.22),
    Role.UPPER_ARM: (0.55, 0.27, 0.22),
}
PLAIN = (0.40, 0.47, 0.36)
"""Truck gray, arms brick, plates moss."""


def _wire(cq: Any, loop: Loop) -> Any:
    edges = []
    for e, q in outline.spans(loop):
        p0, p1 = cq.Vector(*e.start, 0), cq.Vector(*q, 0)
        if e.bulge:
            a = outline.arc_of(e.start, q, e.bulge)
            m = a.start + a.sweep / 2
            edges.append(
                cq.Edge.makeThreePointArc(
                    p0,
                    cq.Vector(
                        a.centre[0] + a.radius * math.cos(m),
                        a.centre[1] + a.radius * math.sin(m),
                        0,
                    ),
                    p1,
                )
            )
        else:
            edges.append(cq.Edge.makeLine(p0, p1))
    return cq.Wire.assembleEdges(edges)


def _prism(cq: Any, outer: Loop, inner: Iterable[Loop], length: float) -> Any:
    return cq.Solid.extrudeLinear(
        _wire(cq, outer), [_wire(cq, o) for o in inner], cq.Vector(0, 0, length)
    )


def _pipe(cq: Any, length: float, od: float, bore: float) -> Any:
    """Along local x."""
    rings = [outline.circle((0.0, 0.0), bore)] if bore > 0 else []
    flat = _prism(cq, outline.circle((0.0, 0.0), od), rings, length)
    return flat.moved(cq.Location(cq.Plane(origin=(0, 0, 0), xDir=(0, 1, 0), normal=(1, 0, 0))))


def _coped(cq: Any, b: Tube, od: float, pipe: Any) -> Any:
    """The tube less the rounds its ends are coped onto: the long points stay where the tube's
    length says.
    """
    for at, way, e in ((0.0, -1.0, b.ends[0]), (b.length, 1.0, b.ends[1])):
        if e.kind == "cope":
            r, half = e.onto / 2, od / 2
            reach = math.sqrt(max(r * r - half * half, 0.0)) if r > half else 0.0
            across = cq.Vector(
                math.cos(e.angle),
                -math.sin(e.angle) * math.cos(e.clock),
                math.sin(e.angle) * math.sin(e.clock),
            )
            centre = cq.Vector(at + way * reach, 0, e.offset)
            pipe = pipe.cut(
                cq.Solid.makeCylinder(r, 4 * (od + r), centre - across * (2 * (od + r)), across)
            )
    return pipe


def _bent(cq: Any, b: Plate, t: float) -> Any:
    """Panels at their places with the round of each bend between them, as one solid."""
    panels, folds = bend.fold(b, t)
    flats = [_at(cq, _prism(cq, p.outline, p.openings, t), p.place) for p in panels]
    rounds = [bend.round_of(fold, b, t) for fold in folds]
    solid, *more = [
        *flats,
        *(_at(cq, _prism(cq, r.outline, (), r.length), r.place) for r in rounds),
    ]
    for piece in more:
        solid = solid.fuse(piece)
    return solid.clean().Solids()[0]


def _at(cq: Any, thing: Any, f: Frame) -> Any:
    return thing.moved(cq.Location(cq.Plane(origin=f.origin, xDir=f.x, normal=f.z)))


def body(m: Member, part: Part | None, shop: Shop) -> Any:
    """The member's solid in its own frame, mm. Holes of a part, drilled ones too, are in it."""
    import cadquery as cq

    b = m.body
    if isinstance(b, Plate):
        holes = [slot_loop(h) for h in part.holes] if part else []
        whole = b._replace(openings=(*b.openings, *(part.slots if part else ()), *holes))
        t = shop.plate(b.stock).thickness
        return _bent(cq, whole, t) if b.bends else _prism(cq, whole.outline, whole.openings, t)
    if isinstance(b, Tube):
        tube = shop.tube(b.stock)
        return _coped(cq, b, tube.od, _pipe(cq, b.length, tube.od, tube.od - 2 * tube.wall))
    assert isinstance(b, (Bought, Existing))
    s = b.solid
    if isinstance(s, Rod):
        return _domed(cq, s) if s.domed else _pipe(cq, s.length, s.diameter, s.bore)
    if isinstance(s, Bar):
        return _prism(cq, s.outline, s.openings, s.length)
    assert isinstance(s, Helix)
    return _pipe(cq, s.length, s.mean_diameter + s.wire, s.mean_diameter - s.wire)


def _domed(cq: Any, s: Rod) -> Any:
    """A round with half a ball beyond each end, turned about its axis in one go."""
    r = s.diameter / 2
    half = (
        cq.Workplane("XY")
        .moveTo(-r, 0.0)
        .threePointArc((-r * math.sqrt(0.5), r * math.sqrt(0.5)), (0.0, r))
        .lineTo(s.length, r)
        .threePointArc((s.length + r * math.sqrt(0.5), r * math.sqrt(0.5)), (s.length + r, 0.0))
        .close()
    )
    return half.revolve(360.0, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0)).val()


def placed(m: Member, part: Part | None, shop: Shop) -> Any:
    """The member's solid at its place on the truck."""
    import cadquery as cq

    f = m.place
    return body(m, part, shop).moved(cq.Location(cq.Plane(origin=f.origin, xDir=f.x, normal=f.z)))


def part_text(part: Part, shop: Shop) -> bytes:
    """STEP file of one part at its place; header time fixed so that the same part gives the same
    bytes.
    """
    import cadquery as cq

    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "part.step"
        cq.exporters.export(cq.Workplane(obj=placed(part.member, part, shop)), str(path))
        return canonical(path.read_text(), f"{names.part(part.id)} {part.member.title}", shop.name)


def assembly_text(members: Iterable[Member], parts: Iterable[Part], shop: Shop, name: str) -> bytes:
    """STEP of the whole truck: rails, axle and coils as simple bodies with the made parts at their
    places; names and colors.

    ``parts``: one for each place (``Truck.singles``), so that both hands of a part have their
    holes; KeyError for a made member without one. A coil is shown as the sleeve it fills. Tools
    such as drill templates do not stay on the truck and are not in it.
    """
    import cadquery as cq

    by_id = {p.id: p for p in parts}
    whole = cq.Assembly(name=name)
    for m in members:
        if m.fixed_after == "tool":
            continue
        r, g, b = next(
            (colour for role, colour in COLOURS.items() if m.family in letters(role)), PLAIN
        )
        part = by_id[m.code] if isinstance(m.body, (Plate, Tube)) else None
        whole.add(
            placed(m, part, shop), name=f"{names.part(m.code)} {m.title}", color=cq.Color(r, g, b)
        )
    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "truck.step"
        whole.export(str(path))
        return canonical(path.read_text(), f"chassis {name}", shop.name)
