"""Lettering and lines of a sheet as shapes, from the font's own tables."""

from __future__ import annotations

import itertools

import shapely
from soapstone.parts.drawing.display import Sheet, Text, width_of
from soapstone.parts.drawing.sheet import MARGIN

CAPITAL = 0.729
"""Height of a capital of Vera over its size, from the font's own table (OS/2 sCapHeight)."""
NARROWER = {True: 0.818, False: 0.866}
"""Size of the condensed face that is printed over that of Vera, bold or not."""


def tall(text: Text) -> float:
    """Height of a text's capitals, points."""
    return CAPITAL * NARROWER[text.bold] * text.size


def box(text: Text) -> shapely.Polygon:
    """A text's box from the font's own widths and height of capitals."""
    wide = text.narrow * width_of(text.words, text.size, text.bold)
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[text.anchor]
    x, y = text.at
    if text.turn:
        return shapely.box(x - tall(text), y - back, x, y - back + wide)
    return shapely.box(x - back, y, x - back + wide, y + tall(text))


def lines(sheet: Sheet) -> list[shapely.LineString]:
    """Every line of a sheet as a shape."""
    return [
        shapely.LineString((*line.points, line.points[0]) if line.closed else line.points)
        for line in sheet.lines
    ]


def one_on_another(sheet: Sheet) -> list[str]:
    """Texts of a sheet that stand on a text, on a line or over the frame."""
    assert sheet.size is not None
    frame = shapely.box(MARGIN, MARGIN, sheet.size[0] - MARGIN, sheet.size[1] - MARGIN)
    tree = shapely.STRtree(lines(sheet))
    texts = [(box(text), text.words) for text in sheet.texts]
    found = [f"{words} over the frame" for shape, words in texts if not frame.contains(shape)]
    found += [
        f"{words} on a line"
        for shape, words in texts
        if len(tree.query(shape, predicate="intersects"))
    ]
    return found + [
        f"{first} on {second}"
        for (one, first), (two, second) in itertools.combinations(texts, 2)
        if one.intersects(two)
    ]
