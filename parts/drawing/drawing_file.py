"""A part drawing as DXF (R2010): the part 1:1 in model space with its dimensions as real DIMENSION
and LEADER entities; the sheet as a layout that looks at it through a viewport to scale.

Layers are named after the line types of ISO 128. Each dimension's block holds the very lines and
lettering the PDF has, so that both show the same. Not a cut file: its name and layers say so.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from ..export.cut import text_of
from ..geometry import outline
from ..model.body import Loop
from ..model.vectors import Vec2
from .display import Sheet
from .entities import Kind, Text
from .lettering import HEIGHT, NARROW
from .placed import Placed
from .placed_view import View

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities import Dimension
    from ezdxf.layouts import BaseLayout, Modelspace, Paperspace

MM = 25.4 / 72
"""Millimeters a point of paper."""
IN = 25.4
LAYERS: dict[Kind | str, tuple[str, int, int, str]] = {
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
AWAY = 1e-9


class _To(NamedTuple):
    """From points of the sheet to model units, and the height of its lettering there."""

    view: View
    one: float

    def at(self, p: Vec2) -> Vec2:
        """A point of the sheet in model space."""
        scale, (x, y) = self.view.scale * self.one, self.view.origin
        return (p[0] - x) / scale, (p[1] - y) / scale

    @property
    def point(self) -> float:
        """Model units a point of paper."""
        return 1 / (self.view.scale * self.one)


def part_dxf(sheet: Sheet, unit: str = "in") -> bytes:
    """The drawing file of a part's sheet; ``unit``: in or mm. ValueError for a sheet of no part."""
    import ezdxf

    if sheet.view is None or sheet.size is None:
        raise ValueError(f"{sheet.title} is no part drawing")
    ezdxf.options.write_fixed_meta_data_for_testing = True
    one = IN if unit == "in" else 1.0
    doc = ezdxf.new("R2010", units=1 if unit == "in" else 4)
    doc.header["$MEASUREMENT"] = int(unit == "mm")
    to = _To(sheet.view, one)
    _tables(doc, to)
    space = doc.modelspace()
    for loop in sheet.view.exact:
        _loop(space, loop, one)
    for points, kind in sheet.view.lines[len(sheet.view.exact) :]:
        _polyline(space, [to.at(p) for p in points], LAYERS[kind][0])
    for placed in sheet.view.placed:
        _dimension(doc, space, placed, to)
    _layout(doc, sheet, one)
    return text_of(doc).encode()


def _tables(doc: Drawing, to: _To) -> None:
    """Line types, layers, text and dimension style, sized for the scale of the view."""
    k = to.point
    doc.linetypes.add("HIDDEN", [9 * k, 6 * k, -3 * k])
    doc.linetypes.add("CENTER", [23 * k, 14 * k, -3 * k, 3 * k, -3 * k])
    doc.linetypes.add("BEND", [29 * k, 14 * k, -3 * k, 3 * k, -3 * k, 3 * k, -3 * k])
    for name, color, weight, line in LAYERS.values():
        doc.layers.add(name, color=color, lineweight=weight, linetype=line)
    doc.styles.add(STYLE, font="arial.ttf").dxf.width = NARROW
    style = doc.dimstyles.new(STYLE)
    style.dxf.dimtxsty = STYLE
    style.dxf.dimtxt = HEIGHT * k
    style.dxf.dimasz = 8.0 * k
    style.dxf.dimexo = 3.0 * k
    style.dxf.dimexe = 3.0 * k
    style.dxf.dimgap = 3.0 * k


def _polyline(space: BaseLayout, points: list[Vec2], layer: str) -> None:
    closed = points[0] == points[-1]
    space.add_lwpolyline(
        points[:-1] if closed else points, close=closed, dxfattribs={"layer": layer}
    )


def _loop(space: BaseLayout, loop: Loop, one: float) -> None:
    """An edge of the part with its true arcs, or a circle, in the file's unit."""
    look = {"layer": LAYERS["wide"][0]}
    round_ = outline.is_circle(loop)
    if round_:
        (x, y), diameter = round_
        space.add_circle((x / one, y / one), diameter / 2 / one, dxfattribs=look)
        return
    rows = [(edge.start[0] / one, edge.start[1] / one, edge.bulge) for edge in loop]
    space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs=look)


def _text(space: BaseLayout, text: Text, at: Vec2, height: float, layer: str = "TEXT") -> None:
    from ezdxf.enums import TextEntityAlignment

    place = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    look = {"layer": layer, "style": STYLE, "width": NARROW}
    entity = space.add_text(text.words, height=height, rotation=text.turn, dxfattribs=look)
    entity.set_placement(at, align=place[text.anchor])


def _dimension(doc: Drawing, space: Modelspace, placed: Placed, to: _To) -> None:
    """One dimension as its own kind of entity; a note as a leader with text."""
    made = _entity(space, placed, to)
    if made is None:
        for points, _ in placed.lines[:1]:
            space.add_leader(
                [to.at(p) for p in points], STYLE, dxfattribs={"layer": LAYERS["dimension"][0]}
            )
        _drawn(space, placed._replace(lines=placed.lines[1:], arrows=()), to)
        return
    block = doc.blocks.new_anonymous_block(type_char="D")
    _drawn(block, placed, to)
    made.dxf.geometry = block.name
    made.dxf.text = placed.measured.words
    made.dxf.layer = LAYERS["dimension"][0]
    text = placed.texts[0]
    made.dxf.text_midpoint = to.at(text.at)


def _entity(space: Modelspace, placed: Placed, to: _To) -> Dimension | None:
    found, points = placed.measured, [to.at(p) for p in placed.measured.points]
    if found.what in ("x", "y"):
        feature, end = points
        offset = (end[0] - feature[0], end[1] - feature[1])
        add = space.add_ordinate_x_dim if found.what == "x" else space.add_ordinate_y_dim
        return add(feature, offset=offset, origin=(0.0, 0.0), dimstyle=STYLE).dimension
    if found.what == "radius":
        centre, tip = points
        return space.add_radius_dim(centre, mpoint=tip, dimstyle=STYLE).dimension
    if found.what == "diameter":
        centre, tip = points
        return space.add_diameter_dim(centre, mpoint=tip, dimstyle=STYLE).dimension
    if found.what == "linear":
        one, two, base = points
        return space.add_aligned_dim(
            one, two, distance=_beside(one, two, base), dimstyle=STYLE
        ).dimension
    if found.what == "angle":
        start, end, base = points
        level = (start[0] + max(abs(end[0] - start[0]), AWAY), start[1])
        line = ((start[0], start[1]), level), ((start[0], start[1]), end)
        return space.add_angular_dim_2l(
            base, line1=line[0], line2=line[1], dimstyle=STYLE
        ).dimension
    return None


def _beside(one: Vec2, two: Vec2, base: Vec2) -> float:
    """How far a point lies left of the line from one point to another."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    reach = math.hypot(dx, dy)
    return (dx * (base[1] - one[1]) - dy * (base[0] - one[0])) / reach


def _drawn(space: BaseLayout, placed: Placed, to: _To) -> None:
    """Lines, arrowheads and lettering of a dimension."""
    layer = LAYERS["dimension"][0]
    for points, _ in placed.lines:
        _polyline(space, [to.at(p) for p in points], layer)
    for head in placed.arrows:
        corners = [to.at(p) for p in head]
        space.add_solid([*corners, corners[-1]], dxfattribs={"layer": layer})
    for text in placed.texts:
        _text(space, text, to.at(text.at), HEIGHT * to.point, layer)


def _layout(doc: Drawing, sheet: Sheet, one: float) -> None:
    """The sheet: frame, title block and notes on paper, the part through a viewport."""
    assert sheet.size is not None and sheet.view is not None
    paper: Paperspace = doc.layout("Layout1")  # type: ignore[assignment]  # never the model space
    wide, high = (x * MM for x in sheet.size)
    paper.page_setup(size=(wide, high), margins=(0, 0, 0, 0), units="mm")
    for port in paper.viewports():
        paper.delete_entity(port)
    shown = {id(text) for placed in sheet.view.placed for text in placed.texts}
    drawn = {points for points, _ in sheet.view.lines}
    drawn |= {points for placed in sheet.view.placed for points, _ in placed.lines}
    drawn |= {head for placed in sheet.view.placed for head in placed.arrows}
    for line in sheet.lines:
        if line.points not in drawn:
            points = [(x * MM, y * MM) for x, y in line.points]
            closed = [*points, points[0]] if line.closed else points
            layer = LAYERS["frame" if line.kind == "wide" else "narrow"][0]
            _polyline(paper, closed, layer)
    for text in sheet.texts:
        if id(text) not in shown:
            _text(paper, text, (text.at[0] * MM, text.at[1] * MM), HEIGHT * MM)
    box = sheet.view.area
    middle = ((box.left + box.right) / 2, (box.low + box.high) / 2)
    size = (box.right - box.left, box.high - box.low)
    to = _To(sheet.view, one)
    paper.add_viewport(
        center=(middle[0] * MM, middle[1] * MM),
        size=(size[0] * MM, size[1] * MM),
        view_center_point=to.at(middle),
        view_height=size[1] * to.point,
        status=2,
        dxfattribs={"layer": LAYERS["port"][0]},
    )
