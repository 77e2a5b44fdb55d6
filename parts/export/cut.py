"""Cut files: one part, one DXF, R2010 or R12, closed polylines with arc bulges and circles, 1:1,
and their read-back.
"""

from __future__ import annotations

import logging
import math
import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from ...layout.faults import Fault
from ...layout.reader import away
from ..geometry import contours, outline
from ..geometry.holes import slot_loop
from ..model.assembly import Hole, Part
from ..model.body import Edge, Loop, Plate
from ..model.vectors import Vec2
from ..stock import IN, Shop
from .dxf_file import DxfFile
from .dxf_frame import FileFrame, frame_of
from .dxf_read import ReadError, entities

COLOURS = {"OUTLINE": 7, "OPENING": 1, "SCRIBE": 3, "DRILL": 5, "FOLD": 6, "NOT_CUT": 8}
HEADER = {"in": (1, IN), "mm": (4, 1.0)}
"""$INSUNITS and mm to the unit [published DXF reference]."""
CROSS = IN / 4
"""Length of the strokes that mark a drill point, mm."""
SAME_SIZE = 0.01
"""mm a file read back may differ over all from the model: a hundredth of a table's accuracy."""


def cut_name(part: Part, chassis: str, revision: str, shop: Shop) -> str:
    """Name of a cut file.

    Seven fields: chassis-part-revision-hand-thickness-quantity-unit. Hand E fits both sides; C
    stands in the center. A table's operator has nothing but this name in front of him.
    """
    hand = "C" if part.centered else part.hand
    thick = thickness_name(part, shop)
    fields = (chassis, part.number, revision, hand, thick, f"q{part.quantity}", shop.unit)
    return "-".join(re.sub(r"[^A-Za-z0-9_]", "_", field) for field in fields) + ".dxf"


def thickness_name(part: Part, shop: Shop) -> str:
    """How thick a plate is, as names of files and folders say it, in the unit the shop cuts in:
    "0p250in", "6p0mm"; empty for what is no plate.
    """
    if not isinstance(part.member.body, Plate):
        return ""
    thick = shop.plate(part.member.body.stock).thickness
    said = f"{away(thick):.1f}mm" if shop.unit == "mm" else f"{away(thick / IN):.3f}in"
    return said.replace(".", "p")


def cross_lines(at: Vec2) -> tuple[tuple[Vec2, Vec2], ...]:
    """A 1/4 in cross at a drill point.

    ``at``: its middle, mm, in the part's axes. Gives two lines, each by its ends, mm.
    """
    half = CROSS / 2
    return (
        ((at[0] - half, at[1]), (at[0] + half, at[1])),
        ((at[0], at[1] - half), (at[0], at[1] + half)),
    )


def _open_loops(part: Part) -> tuple[Loop, ...]:
    """Openings that are not round: from the plate, interlocks and slotted holes."""
    assert isinstance(part.member.body, Plate)
    slots = tuple(
        slot_loop(hole) for hole in part.holes if hole.how == "cut" and hole.length > hole.diameter
    )
    return tuple(
        loop
        for loop in (*part.member.body.openings, *part.slots, *slots)
        if contours.is_circle(loop) is None
    )


def _circles(part: Part) -> tuple[tuple[Vec2, float], ...]:
    """Centre and diameter of every round opening that is cut."""
    assert isinstance(part.member.body, Plate)
    rounds = tuple(
        circle
        for loop in (*part.member.body.openings, *part.slots)
        if (circle := contours.is_circle(loop))
    )
    return rounds + tuple(
        (hole.at, hole.diameter)
        for hole in part.holes
        if hole.how == "cut" and hole.length <= hole.diameter
    )


def _drilled(part: Part) -> tuple[Hole, ...]:
    return tuple(hole for hole in part.holes if hole.how != "cut")


class Stroke(NamedTuple):
    """One entity of a part in its own coordinates, mm.

    Attributes
    ----------
    layer : str
        A key of ``Shop.layers``.
    points : tuple of (x, y, bulge)
        Of a polyline; the middle alone of a circle.
    closed : bool
        Whether the last point joins the first.
    diameter : float
        Of a circle; 0 for a polyline.
    """

    layer: str
    points: tuple[tuple[float, float, float], ...]
    closed: bool = False
    diameter: float = 0.0


def strokes(part: Part) -> Iterator[Stroke]:
    """Everything the table cuts, drills or scribes on a part, its outline first; in which order it
    is cut is for whoever runs the table.
    """
    body = part.member.body
    assert isinstance(body, Plate)
    yield Stroke("OUTLINE", tuple((*edge.start, edge.bulge) for edge in body.outline), True)
    for loop in _open_loops(part):
        yield Stroke("OPENING", tuple((*edge.start, edge.bulge) for edge in loop), True)
    for at, diameter in _circles(part):
        yield Stroke("OPENING", ((*at, 0.0),), True, diameter)
    for hole in _drilled(part):
        for line in cross_lines(hole.at):
            yield Stroke("DRILL", tuple((x, y, 0.0) for x, y in line))
    for bend in body.bends:
        yield Stroke("FOLD", ((*bend.start, 0.0), (*bend.end, 0.0)))
    for mark in part.marks:
        for stroke in mark.strokes:
            yield Stroke("SCRIBE", tuple((x, y, 0.0) for x, y in stroke))


@cache
def _frame(release: str, unit: str, layers: tuple[tuple[str, str], ...]) -> FileFrame:
    """The file of a shop without entities; ``layers``: ours and the shop's name of each."""
    import ezdxf

    # of R12 it would say on the shop's screen that it has no unit, in words nobody asked for
    logging.getLogger("ezdxf").setLevel(logging.ERROR)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new(release, units=HEADER[unit][0])
    if release != "R12":
        doc.header["$MEASUREMENT"] = int(unit == "mm")
    for name, to in layers:
        doc.layers.add(to, color=COLOURS[name])
    return frame_of(doc, release)


def dxf_text(found: Iterable[Stroke], shop: Shop) -> str:
    """A DXF of strokes in the shop's unit and kind. R12 has no unit header."""
    mm = HEADER[shop.unit][1]
    layers = tuple((name, shop.layers[name]) for name in COLOURS)
    file = DxfFile(_frame(shop.dxf, shop.unit, layers))
    for stroke in found:
        rows = [(x / mm, y / mm, bulge) for x, y, bulge in stroke.points]
        if stroke.diameter:
            file.model.circle(rows[0][:2], stroke.diameter / 2 / mm, shop.layers[stroke.layer])
        else:
            file.model.polyline(rows, shop.layers[stroke.layer], closed=stroke.closed)
    return file.text()


def cut_text(part: Part, shop: Shop) -> str:
    """The part's DXF, lower-left at the origin, nothing in it but the part."""
    assert isinstance(part.member.body, Plate)
    dx, dy, *_ = outline.bbox(part.member.body.outline)
    return dxf_text(
        (
            stroke._replace(points=tuple((x - dx, y - dy, bulge) for x, y, bulge in stroke.points))
            for stroke in strokes(part)
        ),
        shop,
    )


def read_back(text: str, part: Part, name: str, shop: Shop) -> list[Fault]:
    """Re-open a cut file and hold it against the model, by code that shares nothing with what wrote
    it.

    Returns
    -------
    list of Fault
        Kinds, closed loops, area, size over all, openings, drill points; [] where all agree.
    """
    faults: list[Fault] = []
    mm, meant = HEADER[shop.unit][1], {to: name for name, to in shop.layers.items()}
    outer: list[Loop] = []
    inner: list[float] = []
    crosses = 0
    try:
        found = entities(text)
    except ReadError as e:
        return [Fault(name, str(e), "a whole DXF", "do not cut it; build again")]
    for entity in found:
        layer = meant.get(entity.layer, "")
        loop = tuple(Edge("", (x * mm, y * mm), bulge) for x, y, bulge in entity.rows)
        if entity.kind not in ("LWPOLYLINE", "POLYLINE", "CIRCLE") or not layer:
            said = f"{entity.kind} on {entity.layer}"
            allowed = "polylines and circles on the named layers"
            faults.append(Fault(name, said, allowed, "do not cut it; build again"))
        elif layer in ("OUTLINE", "OPENING") and entity.kind == "CIRCLE":
            inner.append(math.pi * (entity.radius * mm) ** 2)
        elif layer in ("OUTLINE", "OPENING"):
            if not entity.closed:
                said = f"an open line on {layer}"
                faults.append(Fault(name, said, "closed loops", "do not cut it; build again"))
            elif layer == "OUTLINE":
                outer.append(loop)
            else:
                inner.append(outline.area(loop))
        crosses += layer == "DRILL"
    return faults + _compare(part, name, outer, inner, crosses)


def _compare(
    part: Part, name: str, outer: list[Loop], inner: list[float], crosses: int
) -> list[Fault]:
    assert isinstance(part.member.body, Plate)
    want = len(_open_loops(part)) + len(_circles(part))
    if len(outer) != 1 or len(inner) != want or crosses != 2 * len(_drilled(part)):
        found = f"{len(outer)} outlines, {len(inner)} openings, {crosses} drill lines"
        return [
            Fault(
                name,
                found,
                f"1, {want} and {2 * len(_drilled(part))}",
                "the file is not the part: build again",
            )
        ]
    faults = []
    area = outline.area(outer[0]) - sum(inner)
    if not math.isclose(area, part.area_cut, rel_tol=1e-6):
        faults.append(
            Fault(
                name,
                f"area {area:.1f} mm2",
                f"{part.area_cut:.1f} mm2",
                "the file is not the part: build again",
            )
        )
    read, drawn = outline.bbox(outer[0]), outline.bbox(part.member.body.outline)
    if (
        max(
            abs((read[2] - read[0]) - (drawn[2] - drawn[0])),
            abs((read[3] - read[1]) - (drawn[3] - drawn[1])),
        )
        > SAME_SIZE
    ):
        faults.append(
            Fault(name, "size over all", "the model's", "the file is not the part: build again")
        )
    return faults
