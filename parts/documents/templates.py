"""Paper at full size: wraps for coped tube ends, patterns of plates that are drilled by hand, each
with scale bars both ways. What is larger than the paper is cut into pages with marks to join them
by.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from ...layout.reader import metric, unit
from ..design import lettering as marks
from ..drawing.display import PAPERS, Sheet
from ..drawing.entities import Kind
from ..geometry import outline
from ..geometry.cope import cope
from ..model.assembly import Part
from ..model.body import Plate, Tube
from ..model.vectors import Vec2
from ..stock import IN
from ..words import names
from ..words import numbers as shown
from .engine import Doc, Drawn, Words
from .facts import Facts

PT = 72 / IN
"""Points a millimetre."""
EDGE = 40.0
STEPS = 144
"""Points round a wrap."""
NEAR = 1e-6
"""Slack of a place on the paper, points."""
LEVEL = 1e-12
"""A run below this is none: the line is along the edge of the box, points."""
BAR_IN, BAR_MM = 4.0 * IN, 100.0
"""Scale bars: one is drawn both ways, in the reader's unit."""


def bars(s: Sheet, x: float, y: float, upright: float | None = None) -> None:
    """Scale bars of 4 in or 100 mm along and up, the upright one at ``upright`` if it must stand
    elsewhere.
    """
    long, parts, words = (BAR_MM, 10, "100.0 mm") if metric() else (BAR_IN, 4, "4.000 in")
    step = long / parts * PT
    s.line((x, y), (x + long * PT, y), kind="wide")
    for k in range(parts + 1):
        s.line((x + k * step, y), (x + k * step, y + 6))
    s.text(x + 80, y + 9, words, 8)
    u = x if upright is None else upright
    s.line((u, y), (u, y + long * PT), kind="wide")
    for k in range(parts + 1):
        s.line((u, y + k * step), (u - 6, y + k * step))
    s.text(u - 9, y + long * PT / 2, words, 8, anchor="middle", turn=90)


def wrap_sheets(f: Facts, p: Part, paper: tuple[float, float]) -> Iterator[Sheet]:
    """A strip a coped end, wrapped round the tube: across the paper, up it where that is too short,
    in two halves where both are.
    """
    body = p.member.body
    assert isinstance(body, Tube)
    t = f.shop.tube(body.stock)
    for n, end in enumerate(body.ends):
        if end.kind != "cope":
            continue
        round_it = np.linspace(0.0, math.tau, STEPS + 1)
        outer, bore = (
            cope(end, n, t.od, radius, round_it) for radius in (t.od / 2, t.od / 2 - t.wall)
        )
        long = math.pi * t.od * PT
        whole = [(0, STEPS)]
        upright = long > paper[0] - 2 * EDGE - 20
        if upright and long > paper[1] - 2 * EDGE - 30:
            upright, whole = False, [(0, STEPS // 2), (STEPS // 2, STEPS)]
        for k, (first, last) in enumerate(whole):
            words = (
                f"{names.made(p)} {p.member.title}, end {'ab'[n]}"
                + (f", half {k + 1}" if len(whole) > 1 else "")
                + f": wrap round {shown.fine(t.od)} OD; once round is {shown.fine(long / PT)}"
                f" {unit('length')}"
            )
            yield _strip(
                words,
                [[float(x) * PT for x in line[first : last + 1]] for line in (outer, bore)],
                long / STEPS,
                first,
                upright,
            )


USE = (
    (
        "Saw the blank square to the cut list's length, line ZERO up with its square end, 0 deg on"
        " the tube's top as it sits on the truck."
    ),
    (
        "Wide line: where the outside ends, for a hole saw or a mill. Dashed line: where the bore"
        " ends; a torch held square to the tube follows it and leaves the groove."
    ),
)


def _strip(words: str, cuts: list[list[float]], step: float, first: int, upright: bool) -> Sheet:
    """One strip: zero line, where the outside and the bore end, quarter marks, words; with
    ``upright`` turned up the paper.
    """
    cut = cuts[0]
    s = Sheet("wrap")
    x0, y0 = (EDGE + 330.0, EDGE + 20.0) if upright else (EDGE, 400.0)

    def at(u: float, v: float) -> Vec2:
        return (x0 - v, y0 + u) if upright else (x0 + u, y0 + v)

    turn = 90.0 if upright else 0.0
    run, top = step * (len(cut) - 1), max(map(max, cuts)) + 90.0
    kinds: tuple[Kind, Kind] = ("wide", "dashed")
    for line, kind in zip(cuts, kinds, strict=True):
        s.line(*(at(step * i, v) for i, v in enumerate(line)), kind=kind)
    s.line(at(0.0, 0.0), at(run, 0.0))
    s.text(*at(4.0, -9.0), "ZERO: square end of the blank, the tube's long point", 7, turn=turn)
    s.line(at(0.0, -20.0), at(0.0, top), at(run, top), at(run, -20.0))
    for k in range(5):
        u = (k * STEPS / 4 - first) * step
        if -NEAR <= u <= run + NEAR:
            s.line(at(u, top - 30), at(u, top))
            edge = u > run - 20
            s.text(
                *at(u - 3 if edge else u + 3, top - 12),
                f"{k * 90 % 360} deg",
                7,
                anchor="end" if edge else "start",
                turn=turn,
            )
    for k, row in enumerate((*reversed(USE), words)):
        s.text(*at(0.0, top + 10 + 10 * k), row, 7.5 if row is words else 6.5, turn=turn)
    bars(s, EDGE, 60.0)
    return s


def plate_pages(p: Part, paper: tuple[float, float], words: str) -> Iterator[Sheet]:
    """A plate's outline and holes at full size over as many pages as it takes, with crosses where
    pages join.
    """
    body = p.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    room = ((paper[0] - 2 * EDGE - 40) / PT, (paper[1] - 2 * EDGE - 150) / PT)
    turned = x1 - x0 > room[0] and x1 - x0 <= room[1] and y1 - y0 <= room[0]
    own: Callable[[Vec2], Vec2] = (lambda q: (-q[1], q[0])) if turned else (lambda q: q)
    x0, y0, x1, y1 = (-y1, x0, -y0, x1) if turned else (x0, y0, x1, y1)
    nx, ny = math.ceil((x1 - x0) / room[0]), math.ceil((y1 - y0) / room[1])
    for j in range(ny):
        for i in range(nx):
            s = Sheet(f"{p.called} template")
            ox, oy = x0 + i * room[0], y0 + j * room[1]

            def at(q: Vec2, ox: float = ox, oy: float = oy) -> Vec2:
                x, y = own(q)
                return EDGE + (x - ox) * PT, EDGE + 115 + (y - oy) * PT

            low, high = (EDGE, EDGE + 115), (EDGE + room[0] * PT, EDGE + 115 + room[1] * PT)
            for loop in (body.outline, *body.openings):
                pts = outline.flatten(loop, 0.05)
                for a, b in zip(pts, (*pts[1:], pts[0]), strict=True):
                    piece = _clip(at(a), at(b), low, high)
                    if piece:
                        s.line(*piece, kind="wide")
            for n, h in enumerate(p.holes, 1):
                x, y = at(h.at)
                if low[0] <= x <= high[0] and low[1] <= y <= high[1]:
                    s.line((x - 9, y), (x + 9, y))
                    s.line((x, y - 9), (x, y + 9))
                    ring = [
                        (
                            x + h.diameter / 2 * PT * math.cos(k * math.tau / 48),
                            y + h.diameter / 2 * PT * math.sin(k * math.tau / 48),
                        )
                        for k in range(48)
                    ]
                    s.poly(ring, "narrow")
                    s.text(
                        x + h.diameter / 2 * PT + 4,
                        y + 4,
                        f"H{n} {marks.size_text(h.diameter)}, pilot"
                        f" {marks.size_text(h.pilot) if h.pilot else '-'}",
                        7.5,
                    )
            for x, y in (
                (low[0], low[1]),
                (high[0], low[1]),
                (low[0], high[1]),
                (high[0], high[1]),
            ):
                s.line((x - 6, y), (x + 6, y))
                s.line((x, y - 6), (x, y + 6))
            s.text(EDGE + 330, EDGE + 60, f"{names.made(p)} {words}", 9, True)
            s.text(
                EDGE + 330,
                EDGE + 46,
                f"page {i + 1},{j + 1} of {nx},{ny}; join at the crosses. THIS FACE OUT.",
                8,
            )
            bars(s, EDGE, 40.0, paper[0] - 34)
            yield s


def _clip(a: Vec2, b: Vec2, low: Vec2, high: Vec2) -> tuple[Vec2, Vec2] | None:
    """Part of a line within a box."""
    t0, t1 = 0.0, 1.0
    d = (b[0] - a[0], b[1] - a[1])
    for i in (0, 1):
        for p, q in ((-d[i], a[i] - low[i]), (d[i], high[i] - a[i])):
            if abs(p) < LEVEL:
                if q < 0:
                    return None
                continue
            r = q / p
            t0, t1 = (max(t0, r), t1) if p < 0 else (t0, min(t1, r))
    return (
        ((a[0] + t0 * d[0], a[1] + t0 * d[1]), (a[0] + t1 * d[0], a[1] + t1 * d[1]))
        if t0 < t1
        else None
    )


def docs(f: Facts) -> list[Doc]:
    """Templates of coped tubes and of drilled plates."""
    paper = PAPERS[f.shop.paper]
    pages: list[Drawn] = []
    for p in f.truck.parts:
        if isinstance(p.member.body, Tube):
            pages += [Drawn(s, paper, True) for s in wrap_sheets(f, p, paper)]
        elif p.member.fixed_after == "tool":
            pages += [Drawn(s, paper, True) for s in plate_pages(p, paper, p.member.title)]
    said = (
        "Print at 100 %, no fitting. Measure the bars both ways with a steel rule before anything"
        f" is marked: {'100 mm' if metric() else '4 in'}, within {shown.inches(1 / 64)}. Paper"
        " stretches when wet."
    )
    return (
        [
            Doc(
                "templates",
                "Full-size templates",
                "Stage 2, cut",
                "whoever cuts and drills",
                (),
                [Words("", [said, f"{len(pages)} pages follow."]), *pages],
            )
        ]
        if pages
        else []
    )
