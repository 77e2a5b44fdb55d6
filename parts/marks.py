"""Lettering on the steel: part, revision, hand, stock, drill sizes, each where there is room for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np
from numpy.typing import NDArray

from . import outline, strokes
from .model import Hole, Loop, Mark, Plate

IN = 25.4
ROOM = 3.0
"""Steel left round lettering, mm."""
SMALL = 5.0
HEIGHTS = (12.7, 9.525, 7.0, 5.0)
"""Lettering heights tried, mm: 1/2 in first; 3/8 in and more reads well when scribed (common practice, no source)."""


def size_text(d: float) -> str:
    """A drill's size as a fraction of an inch if it is one to 1/64, else in decimals of an inch."""
    n = d / IN * 64
    if abs(n - round(n)) < 0.05:
        whole, part = divmod(Fraction(round(n), 64), 1)
        return f"{whole} {part}" if whole and part else f"{whole or part}"
    return f"{d / IN:.3f}"


def drill_sizes(body: Plate, holes: Sequence[Hole]) -> tuple[Mark, ...]:
    """Finished size lettered beside each drill point, on whichever side of it there is steel; the drawing has it in any case."""
    found = []
    for h in holes:
        if h.how == "cut":
            continue
        text, r = size_text(h.diameter), h.diameter / 2 + 1.5
        w = strokes.width(text, SMALL)
        for dx, dy in ((r, -SMALL / 2), (-r - w, -SMALL / 2), (-w / 2, r), (-w / 2, -r - SMALL)):
            at = (h.at[0] + dx, h.at[1] + dy)
            box = [(at[0] + i * w / 6, at[1] + j * SMALL) for i in range(7) for j in (0, 1)]
            clear = all(outline.contains(body.outline, p) for p in box) and not any(
                outline.contains(o, p) for o in body.openings for p in box
            )
            if clear and all(
                math.dist(p, o.at) > o.diameter / 2 for o in holes if o is not h for p in box
            ):
                found.append(Mark("drill", strokes.letter(text, at, SMALL)))
                break
    return tuple(found)


def letter_plate(
    body: Plate,
    holes: Sequence[Hole],
    lines: Sequence[str],
    small: str,
    drawn: Sequence[Mark] = (),
    kept: Sequence[Mark] = (),
) -> tuple[Mark, ...]:
    """The lines stacked where they fit on the plate, the largest height first; on a small plate ``small`` alone; else nothing.
    Lines ``drawn`` already are kept clear where there is room without them, crossed where there is not; what is ``kept`` (sizes, bends) never is."""
    for busy in ((*drawn, *kept), kept):
        found = _lettered(body, _free(body, holes, busy), lines, small)
        if found:
            return found
    return ()


def _lettered(
    body: Plate, free: NDArray[np.bool_], lines: Sequence[str], small: str
) -> tuple[Mark, ...]:
    x0, y0, *_ = outline.bbox(body.outline)
    step = pitch(body)
    for rows in (tuple(lines), (small,), (small.replace(" LEFT", "L").replace(" RIGHT", "R"),)):
        for height in HEIGHTS:
            block = (
                max(strokes.width(line, height) for line in rows),
                height * (1.6 * len(rows) - 0.6),
            )
            spot = _window(free, math.ceil(block[0] / step) + 1, math.ceil(block[1] / step) + 1)
            if spot:
                at = (x0 + spot[0] * step, y0 + spot[1] * step)
                drawn = [
                    strokes.letter(
                        line, (at[0], at[1] + 1.6 * height * (len(rows) - 1 - k)), height
                    )
                    for k, line in enumerate(rows)
                ]
                return (Mark("text", tuple(s for row in drawn for s in row)),)
    return ()


def pitch(body: Plate) -> float:
    """Grid of the search for room, mm: finer on a small plate."""
    x0, y0, x1, y1 = outline.bbox(body.outline)
    return min(4.0, max(1.0, min(x1 - x0, y1 - y0) / 60))


def _free(body: Plate, holes: Sequence[Hole], drawn: Sequence[Mark]) -> NDArray[np.bool_]:
    """Grid of points (x, y) of the plate's box that are steel with ROOM round them; beside drill points room for their size too."""
    x0, y0, x1, y1 = outline.bbox(body.outline)
    step = pitch(body)
    px, py = np.meshgrid(np.arange(x0, x1, step), np.arange(y0, y1, step), indexing="ij")
    free = _inside(body.outline, px, py) & (_away(body.outline, px, py) > ROOM)
    for o in body.openings:
        free &= ~_inside(o, px, py) & (_away(o, px, py) > ROOM)
    for h in holes:
        r = max(h.diameter, h.length) / 2 + ROOM
        free &= np.hypot(px - h.at[0], py - h.at[1]) > r
        if h.how != "cut":
            free &= ~((px > h.at[0]) & (px < h.at[0] + r + 26) & (abs(py - h.at[1]) < 6))
    for p, q in (
        (p, q)
        for m in drawn
        for stroke in m.strokes
        for p, q in zip(stroke, stroke[1:], strict=False)
    ):
        free &= _from_line(p, q, px, py) > ROOM
    return np.asarray(free)


def _ends(loop: Loop) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    p = np.array(outline.flatten(loop, 0.3))
    return p, np.roll(p, -1, axis=0)


def _inside(loop: Loop, px: NDArray[np.float64], py: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Even-odd rule on the flattened loop."""
    p, q = _ends(loop)
    found = np.zeros(px.shape, dtype=bool)
    for (ax, ay), (bx, by) in zip(p, q, strict=True):
        if ay != by:
            found ^= ((ay > py) != (by > py)) & (px < (bx - ax) * (py - ay) / (by - ay) + ax)
    return found


def _away(loop: Loop, px: NDArray[np.float64], py: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance to the flattened loop."""
    p, q = _ends(loop)
    least = np.full(px.shape, np.inf)
    for a, b in zip(p, q, strict=True):
        least = np.minimum(least, _from_line(a, b, px, py))
    return least


def _from_line(
    a: Any, b: Any, px: NDArray[np.float64], py: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Distance to a straight line from a to b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    k = np.clip(((px - a[0]) * dx + (py - a[1]) * dy) / max(dx * dx + dy * dy, 1e-12), 0, 1)
    return np.asarray(np.hypot(px - a[0] - k * dx, py - a[1] - k * dy))


def _window(free: NDArray[np.bool_], nx: int, ny: int) -> tuple[int, int] | None:
    """First corner of an nx by ny window that is all free."""
    if nx > free.shape[0] or ny > free.shape[1]:
        return None
    total = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=int)
    total[1:, 1:] = free.cumsum(axis=0).cumsum(axis=1)
    whole = total[nx:, ny:] - total[:-nx, ny:] - total[nx:, :-ny] + total[:-nx, :-ny] == nx * ny
    spots = np.argwhere(whole)
    return (int(spots[0][0]), int(spots[0][1])) if len(spots) else None
