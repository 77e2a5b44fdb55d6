"""A display list as SVG."""

from __future__ import annotations

import html

from ..drawing.display import Sheet
from ..drawing.entities import Polyline, Text
from ..words.terms import spoken

WIDE, NARROW = 1.4, 0.6
"""Widths of a wide and of any other line, points."""


def svg(sheet: Sheet, size: tuple[float, float], label: str) -> str:
    """A sheet as SVG, without any style of its own.

    ``size``: width and height, points; ``label``: what a reader aloud is told, escaped here.
    """
    wide, high = size
    told = html.escape(spoken(label))
    return (
        f'<svg viewBox="0 0 {wide:.0f} {high:.0f}" role="img" aria-label="{told}"'
        ' fill="none" stroke="#111">'
        + "".join(_line(line, high) for line in sheet.lines)
        + "".join(_text(text, high) for text in sheet.texts)
        + "</svg>"
    )


def _line(line: Polyline, high: float) -> str:
    points = " ".join(f"{x:.1f},{high - y:.1f}" for x, y in line.points)
    look = (
        f'stroke-width="{WIDE if line.kind == "wide" else NARROW}"'
        + (' stroke-dasharray="5 3"' if line.kind == "dashed" else "")
        + (' fill="#fff"' if line.white else "")
        + ("" if line.edge else ' stroke="none"')
    )
    return f'<{"polygon" if line.closed else "polyline"} points="{points}" {look}/>'


def _text(text: Text, high: float) -> str:
    x, y = text.at[0], high - text.at[1]
    turn = f' transform="rotate({-text.turn:g} {x:.1f} {y:.1f})"' if text.turn else ""
    bold = ' font-weight="bold"' if text.bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{text.size:g}" text-anchor="{text.anchor}"'
        f' fill="#111" stroke="none"{bold}{turn}>{html.escape(spoken(text.words))}</text>'
    )
