"""Standard scales and sheets.

Scales: ISO 5455 (1:1, 1:2, 1:5, 1:10; 2:1, 5:1); a shop in inches draws full, half, quarter and
eighth size (ASME Y14.1 practice), enlarged 2:1 and 4:1. Sheets: ANSI A, B and C, ISO A4 to A2,
each laid on its side; the shop's own first.
"""

from __future__ import annotations

from typing import NamedTuple

from ...layout.reader import metric
from ..model.vectors import Vec2
from .display import PAPERS


class Scale(NamedTuple):
    """Paper over part, and as the title block says it."""

    ratio: float
    words: str


INCH = (
    Scale(4.0, "4:1"),
    Scale(2.0, "2:1"),
    Scale(1.0, "full, 1:1"),
    Scale(1 / 2, "half, 1:2"),
    Scale(1 / 4, "quarter, 1:4"),
    Scale(1 / 8, "1:8"),
)
ISO = (
    Scale(5.0, "5:1"),
    Scale(2.0, "2:1"),
    Scale(1.0, "1:1"),
    Scale(1 / 2, "1:2"),
    Scale(1 / 5, "1:5"),
    Scale(1 / 10, "1:10"),
)
SERIES = (("letter", "tabloid", "C"), ("A4", "A3", "A2"))
LARGE = {"C": (1224.0, 1584.0), "A2": (1190.55, 1683.78)}
"""Sheets only drawings come on: portrait, points."""


LARGEST = {"C": ("D", (2448.0, 1584.0)), "A2": ("A1", (2383.94, 1683.78))}
"""What a general arrangement may come on when the largest sheet of the series is too small."""


def scales() -> tuple[Scale, ...]:
    """Those of the reader's shop, largest first."""
    return ISO if metric() else INCH


def papers(own: str) -> list[tuple[str, Vec2]]:
    """The shop's paper and the larger ones of its series: name, width and height lying, points."""
    series = next(names for names in SERIES if own in names)
    sizes = PAPERS | LARGE
    return [(name, (sizes[name][1], sizes[name][0])) for name in series[series.index(own) :]]


def largest(own: str) -> Vec2:
    """The largest sheet of the series the shop's paper is of, lying, points: what a general
    arrangement may come on, and several drawings together.
    """
    return LARGEST[papers(own)[-1][0]][1]
