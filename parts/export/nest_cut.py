"""A nested sheet as a cut file: its parts where they lie, its edge, the check square."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from ..geometry import outline
from ..geometry.strokes import letter
from ..model.assembly import Part
from ..model.body import Plate
from ..model.vectors import Vec2
from ..stock import Shop
from .cut import Stroke, dxf_text, strokes
from .nest import CHECK, SQUARE, Nested
from .packing import PlacedPiece


def sheet_dxf(nested: Nested, parts: Mapping[str, Part], shop: Shop) -> str:
    """The sheet's DXF: its edge on the layer that is not cut, every part as in its own file, the
    check square.
    """
    wide, high = nested.sheet.length, nested.sheet.width

    def every() -> Iterator[Stroke]:
        yield Stroke(
            "NOT_CUT",
            ((0.0, 0.0, 0.0), (wide, 0.0, 0.0), (wide, high, 0.0), (0.0, high, 0.0)),
            True,
        )
        for put in nested.placed:
            cosine, sine = math.cos(math.radians(put.angle)), math.sin(math.radians(put.angle))
            rows, (dx, dy) = _own(put, parts, shop)
            for stroke in rows:
                yield stroke._replace(
                    points=tuple(
                        (
                            (x - dx) * cosine - (y - dy) * sine + put.x,
                            (x - dx) * sine + (y - dy) * cosine + put.y,
                            bulge,
                        )
                        for x, y, bulge in stroke.points
                    )
                )

    return dxf_text(every(), shop)


def _own(put: PlacedPiece, parts: Mapping[str, Part], shop: Shop) -> tuple[list[Stroke], Vec2]:
    if put.name != SQUARE:
        body = parts[put.name].member.body
        assert isinstance(body, Plate)
        return list(strokes(parts[put.name])), outline.bbox(body.outline)[:2]
    side = CHECK[shop.unit]
    words = "4.000 IN" if shop.unit == "in" else "100.0 MM"
    text = [
        Stroke("SCRIBE", tuple((x, y, 0.0) for x, y in line))
        for line in letter(words, (side * 0.12, side * 0.42), side * 0.12)
    ]
    return [
        Stroke(
            "OUTLINE",
            ((0.0, 0.0, 0.0), (side, 0.0, 0.0), (side, side, 0.0), (0.0, side, 0.0)),
            True,
        ),
        *text,
    ], (0.0, 0.0)
