"""What the frame's own readings say: is it square, do the widths close."""

from __future__ import annotations

from collections.abc import Iterator

from ..quantities import Key
from ..units import IN
from ._say import Check, Diagnosis, Facts, inch

SQUARE = IN / 8
"""Difference of the diagonals that the trade accepts (common practice, no source)."""


def frame_square(q: Facts) -> Iterator[Diagnosis]:
    """The two diagonals of the frame differ."""
    a, b = q("frame.diagonal_a"), q("frame.diagonal_b")
    if abs(a - b) > SQUARE:
        yield Diagnosis(
            "frame_square",
            "warning",
            f"The frame's diagonals differ by {inch(abs(a - b))} ({inch(a)} and {inch(b)}): the rails stand shifted against each other.",
            "Tape both again between the plumbed floor marks; if they stay, square the frame before any station is used.",
            (Key("frame.diagonal_a", "C"), Key("frame.diagonal_b", "C")),
            SQUARE - abs(a - b),
        )


FRAME_CHECKS: tuple[Check, ...] = (frame_square,)
