"""Solids: each made part and the placed assembly as STEP. The only user of the CAD kernel."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ..geometry import bend, contours, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Member, Part
from ..model.body import Bar, Bought, Existing, Helix, Loop, Plate, Rod, Tube
from ..model.terms import Role
from ..model.vectors import Frame
from ..stock import Shop
from ..truck.roles import families_of
from ..words import names
from .canonical import canonical

if TYPE_CHECKING:
    from cadquery import Shape, Solid, Wire

COLOURS = {
    Role.TRUCK: (0.55, 0.55, 0.53),
    Role.ARM: (0.55, 0.27, 0.22),
    Role.UPPER_ARM: (0.55, 0.27, 0.22),
}
PLAIN = (0.40, 0.47, 0.36)
"""Truck gray, arms brick, plates moss."""


def _wire(loop: Loop) -> Wire:
    import cadquery as cq

    edges = []
    for edge, end in outline.spans(loop):
        first, last = cq.Vector(*edge.start, 0), cq.Vector(*end, 0)
        if edge.bulge:
            arc = outline.arc_of(edge.start, end, edge.bulge)
            middle = arc.start + arc.sweep / 2
            edges.append(
                cq.Edge.makeThreePointArc(
                    first,
                    cq.Vector(
                        arc.center[0] + arc.radius * math.cos(middle),
                        arc.center[1] + arc.radius * math.sin(middle),
                        0,
                    ),
                    last,
                )
            )
        else:
            edges.append(cq.Edge.makeLine(first, last))
    return cq.Wire.assembleEdges(edges)


def _prism(outer: Loop, inner: Iterable[Loop], length: float) -> Solid:
    import cadquery as cq

    return cq.Solid.extrudeLinear(
        _wire(outer), [_wire(loop) for loop in inner], cq.Vector(0, 0, length)
    )


def _pipe(length: float, od: float, bore: float) -> Solid:
    """Along local x."""
    import cadquery as cq

    rings = [contours.circle((0.0, 0.0), bore)] if bore > 0 else []
    flat = _prism(contours.circle((0.0, 0.0), od), rings, length)
    return flat.moved(cq.Location(cq.Plane.named("YZ")))


def _coped(tube: Tube, od: float, pipe: Shape) -> Shape:
    """The tube less the rounds its ends are coped onto: the long points stay where the tube's
    length says.
    """
    import cadquery as cq

    for at, way, end in ((0.0, -1.0, tube.ends[0]), (tube.length, 1.0, tube.ends[1])):
        if end.kind == "cope":
            radius = end.onto / 2
            reach = math.sqrt(max(radius**2 - (od / 2) ** 2, 0.0))
            across = cq.Vector(
                math.cos(end.angle),
                -math.sin(end.angle) * math.cos(end.clock),
                math.sin(end.angle) * math.sin(end.clock),
            )
            center = cq.Vector(at + way * reach, 0, end.offset)
            pipe = pipe.cut(
                cq.Solid.makeCylinder(
                    radius, 4 * (od + radius), center - across * (2 * (od + radius)), across
                )
            )
    return pipe


def _bent(plate: Plate, thickness: float) -> Solid:
    """Panels at their places with the round of each bend between them, as one solid."""
    panels, folds = bend.fold(plate, thickness)
    flats = [_at(_prism(panel.outline, panel.openings, thickness), panel.place) for panel in panels]
    rounds = [bend.round_of(fold, plate, thickness) for fold in folds]
    solid, *more = [
        *flats,
        *(_at(_prism(round_.outline, (), round_.length), round_.place) for round_ in rounds),
    ]
    for piece in more:
        solid = solid.fuse(piece)
    return solid.clean().Solids()[0]


def _at(thing: Shape, frame: Frame) -> Shape:
    import cadquery as cq

    return thing.moved(cq.Location(cq.Plane(origin=frame.origin, xDir=frame.x, normal=frame.z)))


def body(member: Member, part: Part | None, shop: Shop) -> Shape:
    """The member's solid in its own frame, mm. Holes of a part, drilled ones too, are in it; a coil
    is the sleeve it fills.
    """
    shape = member.body
    if isinstance(shape, Plate):
        holes = [slot_loop(hole) for hole in part.holes] if part else []
        whole = shape._replace(openings=(*shape.openings, *(part.slots if part else ()), *holes))
        thickness = shop.plate(shape.stock).thickness
        return (
            _bent(whole, thickness)
            if shape.bends
            else _prism(whole.outline, whole.openings, thickness)
        )
    if isinstance(shape, Tube):
        tube = shop.tube(shape.stock)
        return _coped(shape, tube.od, _pipe(shape.length, tube.od, tube.od - 2 * tube.wall))
    assert isinstance(shape, (Bought, Existing))
    solid = shape.solid
    if isinstance(solid, Rod):
        return _domed(solid) if solid.domed else _pipe(solid.length, solid.diameter, solid.bore)
    if isinstance(solid, Bar):
        return _prism(solid.outline, solid.openings, solid.length)
    assert isinstance(solid, Helix)
    return _pipe(solid.length, solid.mean_diameter + solid.wire, solid.mean_diameter - solid.wire)


def _domed(rod: Rod) -> Shape:
    """A round with half a ball beyond each end, turned about its axis in one go."""
    import cadquery as cq

    radius = rod.diameter / 2
    half = (
        cq.Workplane("XY")
        .moveTo(-radius, 0.0)
        .threePointArc((-radius * math.sqrt(0.5), radius * math.sqrt(0.5)), (0.0, radius))
        .lineTo(rod.length, radius)
        .threePointArc(
            (rod.length + radius * math.sqrt(0.5), radius * math.sqrt(0.5)),
            (rod.length + radius, 0.0),
        )
        .close()
    )
    turned = half.revolve(360.0, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0)).val()
    assert isinstance(turned, cq.Shape)
    return turned


def placed(member: Member, part: Part | None, shop: Shop) -> Shape:
    """The member's solid at its place on the truck."""
    import cadquery as cq

    frame = member.place
    return body(member, part, shop).moved(
        cq.Location(cq.Plane(origin=frame.origin, xDir=frame.x, normal=frame.z))
    )


def part_text(part: Part, shop: Shop) -> bytes:
    """STEP file of one part at its place on the truck; header time fixed so that the same part
    gives the same bytes.
    """
    import cadquery as cq

    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "part.step"
        cq.exporters.export(cq.Workplane(obj=placed(part.member, part, shop)), str(path))
        return canonical(
            path.read_text(encoding="utf-8", errors="replace"),
            f"{names.part(part.id)} {part.member.title}",
            shop.name,
        )


def assembly_text(members: Iterable[Member], parts: Iterable[Part], shop: Shop, name: str) -> bytes:
    """STEP of the whole truck: rails, axle and coils as simple bodies with the made parts at their
    places; names and colors.

    ``parts``: one for each place (``Truck.singles``), so that both hands of a part have their
    holes; KeyError for a made member without one. A coil is shown as the sleeve it fills. Tools
    such as drill templates do not stay on the truck and are not in it.
    """
    import cadquery as cq

    by_id = {each.id: each for each in parts}
    whole = cq.Assembly(name=name)
    for member in members:
        if member.fixed_after == "tool":
            continue
        own = (colour for role, colour in COLOURS.items() if member.family in families_of(role))
        red, green, blue = next(own, PLAIN)
        part = by_id[member.code] if isinstance(member.body, (Plate, Tube)) else None
        whole.add(
            placed(member, part, shop),
            name=f"{names.part(member.code)} {member.title}",
            color=cq.Color(red, green, blue),
        )
    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "truck.step"
        whole.export(str(path))
        return canonical(
            path.read_text(encoding="utf-8", errors="replace"), f"chassis {name}", shop.name
        )
