"""What the frame's own readings say: is it square, does the bulge end where the cut does."""

from __future__ import annotations

from collections.abc import Iterator

from ..quantities import SIDE_WORD, SIDES, Key
from ..units import IN
from .diagnosis import CheckedValues, Diagnosis, LayoutCheck
from .wording import inch, up

FLUSH = IN / 16
"""What a plate may stand off a rail's side and still be clamped to it (common practice, no
source).
"""
SQUARE = IN / 8
"""Difference of the diagonals that the trade accepts (common practice, no source)."""


def frame_square(value: CheckedValues) -> Iterator[Diagnosis]:
    """The two diagonals of the frame differ.

    Warning past ``SQUARE``; ``margin`` in mm. Equal diagonals show that the rails are not shifted
    along each other, nothing of a twisted frame.
    """
    a, b = value("frame.diagonal_a"), value("frame.diagonal_b")
    if abs(a - b) > SQUARE:
        yield Diagnosis(
            "frame_square",
            "warning",
            f"The frame's diagonals differ by {inch(abs(a - b))} ({inch(a)} and {inch(b)}): the"
            " rails stand shifted against each other.",
            "Tape both again between the plumbed floor marks; if they stay, square the frame before"
            " any station is used.",
            (Key("frame.diagonal_a", "C"), Key("frame.diagonal_b", "C")),
            SQUARE - abs(a - b),
        )


def bulge_beyond_cut(value: CheckedValues) -> Iterator[Diagnosis]:
    """The rail's side still stands proud of the plane where the cut ends: the plate would not lie
    on it.
    """
    for side in SIDES:
        ends = value("frame.notch.x_first", side), value("frame.notch.x_last", side)
        rows = [
            (value(f"frame.notch.proud.{i}.x"), value(f"frame.notch.proud.{i}.proud", side), i)
            for i in range(1, value.job.counts.get("frame.notch.proud", 0) + 1)
        ]
        out = [(p, x, i) for x, p, i in rows if p > FLUSH and not ends[0] < x < ends[1]]
        if not out:
            continue
        proud, x, i = max(out)
        far = max(ends[0] - x, x - ends[1])
        yield Diagnosis(
            "bulge_beyond_cut",
            "warning",
            f"The {SIDE_WORD[side]} rail's side stands {inch(proud)} proud at {inch(x)} from the"
            " full-bump plumb line, where it is not cut: the plate is made to lie flat there.",
            f"Cut the bulge {up(far + IN / 16)} further that way, or read frame.notch.proud.{i}"
            " again.",
            (Key(f"frame.notch.proud.{i}.proud", side),),
            FLUSH - proud,
        )


FRAME_CHECKS: tuple[LayoutCheck, ...] = (frame_square, bulge_beyond_cut)
