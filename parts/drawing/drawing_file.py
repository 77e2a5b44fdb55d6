"""A drawing as DXF (R2010): a part, or the views of an assembly as they stand on their sheet, 1:1
in model space with dimensions as real DIMENSION and LEADER entities; the sheet as a layout that
looks at it through a viewport to scale.

Layers are named after the line types of ISO 128. Each dimension's block holds the very lines and
lettering the PDF has, so that both show the same. Not a cut file: its name and layers say so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from ..export.dxf_file import Dimension, DxfFile, Lettering, Space
from ..export.dxf_frame import FileFrame, frame_of
from ..geometry import contours
from ..model.body import Loop
from ..model.vectors import Vec2
from ..words.terms import spoken
from .display import Sheet
from .entities import LineKind, Text
from .lettering import HEIGHT, NARROW
from .placed import PlacedDimension
from .placed_view import PlacedView

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts import Paperspace

MM = 25.4 / 72
"""Millimeters a point of paper."""
IN = 25.4
LAYERS: dict[LineKind | str, tuple[str, int, int, str]] = {
    "wide": ("01.2-VISIBLE", 7, 50, "Continuous"),
    "narrow": ("01.1-THIN", 8, 18, "Continuous"),
    "hidden": ("02.1-HIDDEN", 8, 25, "HIDDEN"),
    "dashed": ("02.1-SCRIBED", 3, 18, "HIDDEN"),
    "center": ("04.1-CENTER", 4, 18, "CENTER"),
    "bend": ("05.1-BEND", 6, 18, "BEND"),
    "dimension": ("01.1-DIMENSION", 2, 18, "Continuous"),
    "text": ("TEXT", 7, 18, "Continuous"),
    "frame": ("01.2-FRAME", 7, 50, "Continuous"),
    "port": ("VIEWPORT", 9, 0, "Continuous"),
}
"""Line kind -> layer, color, line weight (mm/100), line type."""
STYLE = "DRAWING"
DIAMETER, RADIUS, ANGLE, ORDINATE, OWN_BLOCK, OF_X = 3, 4, 2, 6, 32, 64
"""Kinds of dimensions and what may be added to them, group code 70 of the DXF reference."""
AWAY = 1e-9


class _To(NamedTuple):
    """From points of the sheet to model units, and the height of its lettering there."""

    view: PlacedView
    one: float

    def at(self, spot: Vec2) -> Vec2:
        """A point of the sheet in model space."""
        scale, (x, y) = self.view.scale * self.one, self.view.origin
        return (spot[0] - x) / scale, (spot[1] - y) / scale

    @property
    def point(self) -> float:
        """Model units a point of paper."""
        return 1 / (self.view.scale * self.one)


def drawing_dxf(sheet: Sheet, unit: str = "in") -> bytes:
    """The drawing file of a sheet with a view; ``unit``: in or mm. ValueError for one without."""
    if sheet.view is None or sheet.size is None:
        raise ValueError(f"{sheet.title} is no drawing with a view")
    one = IN if unit == "in" else 1.0
    to = _To(sheet.view, one)
    wide, high = sheet.size
    file = DxfFile(_frame(unit, to.point, wide * MM, high * MM))
    for loop in sheet.view.exact:
        _loop(file.model, loop, one)
    for points, kind in sheet.view.lines[len(sheet.view.exact) :]:
        _polyline(file.model, [to.at(point) for point in points], LAYERS[kind][0])
    for placed in sheet.view.placed:
        _dimension(file, placed, to)
    _layout(file.paper, sheet, to)
    return file.text().encode()


@cache
def _frame(unit: str, point: float, wide: float, high: float) -> FileFrame:
    """The file without entities, for a unit, model units a point of paper, and a sheet of so many
    millimeters.
    """
    import ezdxf

    ezdxf.options.write_fixed_meta_data_for_testing = True
    doc = ezdxf.new("R2010", units=1 if unit == "in" else 4)
    doc.header["$MEASUREMENT"] = int(unit == "mm")
    _tables(doc, point)
    paper: Paperspace = doc.layout("Layout1")  # type: ignore[assignment]  # never the model space
    paper.page_setup(size=(wide, high), margins=(0, 0, 0, 0), units="mm")
    for port in paper.viewports():
        paper.delete_entity(port)
    paper.dxf_layout.dxf.discard("viewport_handle")
    return frame_of(doc, "R2010")


def _tables(doc: Drawing, scale: float) -> None:
    """Line types, layers, text and dimension style; ``scale``: model units a point of paper."""
    doc.linetypes.add("HIDDEN", [9 * scale, 6 * scale, -3 * scale])
    doc.linetypes.add("CENTER", [23 * scale, 14 * scale, -3 * scale, 3 * scale, -3 * scale])
    doc.linetypes.add(
        "BEND", [29 * scale, 14 * scale, -3 * scale, 3 * scale, -3 * scale, 3 * scale, -3 * scale]
    )
    for name, color, weight, line in LAYERS.values():
        doc.layers.add(name, color=color, lineweight=weight, linetype=line)
    doc.styles.add(STYLE, font="arial.ttf").dxf.width = NARROW
    style = doc.dimstyles.new(STYLE)
    style.dxf.dimtxsty = STYLE
    style.dxf.dimtxt = HEIGHT * scale
    style.dxf.dimasz = 8.0 * scale
    style.dxf.dimexo = 3.0 * scale
    style.dxf.dimexe = 3.0 * scale
    style.dxf.dimgap = 3.0 * scale


def _polyline(space: Space, points: Sequence[Vec2], layer: str) -> None:
    closed = points[0] == points[-1]
    rows = [(x, y, 0.0) for x, y in (points[:-1] if closed else points)]
    space.polyline(rows, layer, closed=closed)


def _loop(space: Space, loop: Loop, one: float) -> None:
    """An edge of the part with its true arcs, or a circle, in the file's unit."""
    round_ = contours.is_circle(loop)
    if round_:
        (x, y), diameter = round_
        space.circle((x / one, y / one), diameter / 2 / one, LAYERS["wide"][0])
        return
    rows = [(edge.start[0] / one, edge.start[1] / one, edge.bulge) for edge in loop]
    space.polyline(rows, LAYERS["wide"][0], closed=True)


def _text(space: Space, text: Text, at: Vec2, height: float, layer: str = "TEXT") -> None:
    look = Lettering(height, text.anchor, text.turn, STYLE, NARROW)
    space.lettering(spoken(text.words), at, layer, look)


def _dimension(file: DxfFile, placed: PlacedDimension, to: _To) -> None:
    """One dimension as its own kind of entity; a note as a leader with text."""
    layer = LAYERS["dimension"][0]
    found = _measured(placed, to)
    if found is None:
        for points, _ in placed.lines[:1]:
            file.model.leader([to.at(point) for point in points], layer, STYLE)
        _drawn(file.model, placed._replace(lines=placed.lines[1:], arrows=()), to)
        return
    block = file.block()
    _drawn(block, placed, to)
    words, at = placed.measured.words, to.at(placed.texts[0].at)
    file.model.dimension(found, words, at, block, layer, STYLE)


def _measured(placed: PlacedDimension, to: _To) -> Dimension | None:
    """The entity of a dimension; none for a note. Kinds and points by group code, as the DXF
    reference has them.
    """
    found, points = placed.measured, [to.at(point) for point in placed.measured.points]
    if found.what in ("x", "y"):
        feature, end, *other = points
        kind = OWN_BLOCK + ORDINATE + (OF_X if found.what == "x" else 0)
        start = other[0] if other else (0.0, 0.0)
        return Dimension("AcDbOrdinateDimension", kind, start, {13: feature, 14: end})
    if found.what == "radius":
        center, tip = points
        return Dimension("AcDbRadialDimension", OWN_BLOCK + RADIUS, center, {15: tip})
    if found.what == "diameter":
        center, tip = points
        far = (2 * center[0] - tip[0], 2 * center[1] - tip[1])
        return Dimension("AcDbDiametricDimension", OWN_BLOCK + DIAMETER, tip, {15: far})
    if found.what == "linear":
        one, two, base = points
        dx, dy = two[0] - one[0], two[1] - one[1]
        away = _beside(one, two, base) / math.hypot(dx, dy)
        at = (one[0] - dy * away, one[1] + dx * away)
        turn = math.degrees(math.atan2(dy, dx))
        return Dimension("AcDbRotatedDimension", OWN_BLOCK, at, {13: one, 14: two}, turn)
    if found.what == "angle":
        start, end, base = points
        level = (start[0] + max(abs(end[0] - start[0]), AWAY), start[1])
        lines = {13: start, 14: level, 15: start, 16: base}
        return Dimension("AcDb2LineAngularDimension", OWN_BLOCK + ANGLE, end, lines)
    return None


def _beside(one: Vec2, two: Vec2, base: Vec2) -> float:
    """How far a point lies left of the line from one point to another."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    reach = math.hypot(dx, dy)
    return (dx * (base[1] - one[1]) - dy * (base[0] - one[0])) / reach


def _drawn(space: Space, placed: PlacedDimension, to: _To) -> None:
    """Lines, arrowheads and lettering of a dimension."""
    layer = LAYERS["dimension"][0]
    for points, _ in placed.lines:
        _polyline(space, [to.at(point) for point in points], layer)
    for head in placed.arrows:
        space.solid([to.at(point) for point in head], layer)
    for text in placed.texts:
        _text(space, text, to.at(text.at), HEIGHT * to.point, layer)


def _layout(paper: Space, sheet: Sheet, to: _To) -> None:
    """The sheet: frame, title block and notes on paper, the part through a viewport."""
    view = to.view
    shown = {id(text) for placed in view.placed for text in placed.texts}
    drawn = {points for points, _ in view.lines}
    drawn |= {points for placed in view.placed for points, _ in placed.lines}
    drawn |= {head for placed in view.placed for head in placed.arrows}
    for line in sheet.lines:
        if line.points not in drawn:
            points = [(x * MM, y * MM) for x, y in line.points]
            closed = [*points, points[0]] if line.closed else points
            layer = LAYERS["frame" if line.kind == "wide" else "narrow"][0]
            _polyline(paper, closed, layer)
    for text in sheet.texts:
        if id(text) not in shown:
            _text(paper, text, (text.at[0] * MM, text.at[1] * MM), HEIGHT * MM)
    box = view.area
    middle = ((box.left + box.right) / 2, (box.low + box.high) / 2)
    wide, high = box.right - box.left, box.high - box.low
    center, size = (middle[0] * MM, middle[1] * MM), (wide * MM, high * MM)
    paper.viewport(center, size, to.at(middle), high * to.point, LAYERS["port"][0])
