"""Lettering of a part drawing: one height, 1/8 in, narrow as drawing letters are.

Source of the least height: ASME Y14.2 and ISO 3098 give 3 mm for dimensions and notes on sheets of
these sizes; 1/8 in is 3.175 mm.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from ..model.vectors import Vec2
from .display import width_of
from .entities import Text
from .field import Box

HEIGHT = 9.0
"""Height of a capital, points: 1/8 in."""
SIZE = 14.27
"""Nominal size that gives it: Vera's capitals are 0.729 of its size, set at 0.866 of the nominal
one (measured on the font).
"""
NARROW = 0.8
"""Width of the letters over the face's own."""
BOLD_SIZE = HEIGHT / 0.729 / 0.818
LINE = 14.5
"""From one line of lettering to the next, points."""
Anchor = Literal["start", "middle", "end"]


@lru_cache(maxsize=8192)
def width(words: str, bold: bool = False) -> float:
    """Width of lettering, points."""
    return NARROW * width_of(words, BOLD_SIZE if bold else SIZE, bold)


def letters(
    at: Vec2, words: str, anchor: Anchor = "start", *, turn: float = 0.0, bold: bool = False
) -> Text:
    """A line of lettering in the drawing's face and size.

    ``at``: its foot where ``anchor`` holds it, points of the sheet; ``turn``: degrees, left turning
    +.
    """
    return Text(
        at=at,
        words=words,
        size=BOLD_SIZE if bold else SIZE,
        bold=bold,
        anchor=anchor,
        turn=turn,
        narrow=NARROW,
    )


def box_of(text: Text) -> Box:
    """The box a line of lettering stands in, turned by 0 or 90 degrees; with what hangs below."""
    wide = text.narrow * width_of(text.words, text.size, text.bold)
    tall = HEIGHT * text.size / (BOLD_SIZE if text.bold else SIZE)
    back = {"start": 0.0, "middle": wide / 2, "end": wide}[text.anchor]
    x, y = text.at
    hang = 0.25 * tall if set("gjpqy,()") & set(text.words) else 0.0
    if text.turn:
        return Box(x - tall, y - back, x + hang, y - back + wide)
    return Box(x - back, y - hang, x - back + wide, y + tall)


def wrapped(words: str, room: float) -> list[str]:
    """Lines no wider than ``room`` points; the face has no kerning, so widths add up."""
    rows: list[list[str]] = []
    space, long = width(" "), 0.0
    for word in words.split():
        own = width(word)
        if rows and long + space + own <= room:
            rows[-1].append(word)
            long += space + own
        else:
            rows.append([word])
            long = own
    return [" ".join(row) for row in rows]


def cut_to(words: str, room: float, bold: bool = False) -> str:
    """The words, less what does not fit in ``room`` points, with dots for it."""
    if width(words, bold) <= room:
        return words
    while words and width(words + " ...", bold) > room:
        words = words[:-1]
    return words.rstrip() + " ..."
