"""Bent plates: the flat cut into panels at its bend lines, each panel with its own place once it is
folded.

A bend of angle a and inside radius R takes BA = a (R + K t) of the flat; its line is the middle of
that zone. The panel on the line's left turns about the bend's center, which lies R off the top face
(angle > 0) or off the face below (angle < 0). Source: bend allowance as in any sheet-metal
handbook; K is a shop setting.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from ..model.body import Bend, Edge, Loop, Plate
from ..model.vectors import Frame, Vec2
from . import outline
from .outline import NO_EDGE, ROUNDING, OutlineError

K_FACTOR = 0.44
"""Neutral line from the inside face, in thicknesses: air bending of mild steel (published worked
example of a 90 degree bend).
"""


class Panel(NamedTuple):
    """One flat of a bent plate: outline and openings still in the flat's coordinates, and the frame
    that puts them on the folded part (in the coordinates of the member's own frame).
    """

    outline: Loop
    openings: tuple[Loop, ...]
    place: Frame


class Fold(NamedTuple):
    """One bend zone: the bend, its allowance, the ends of its line in the flat, and the frame of
    the panel it starts from.
    """

    bend: Bend
    allowance: float
    start: Vec2
    end: Vec2
    place: Frame


BASE = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def allowance(angle: float, radius: float, t: float) -> float:
    """Length of flat a bend takes, mm: |angle| (R + K t), angle in rad.

    A right angle of 3 mm inside radius in plate 6 mm thick:

    >>> round(allowance(math.pi / 2, 3.0, 6.0), 3)
    8.859
    """
    return abs(angle) * (radius + K_FACTOR * t)


def clip(loop: Loop, p: Vec2, u: Vec2, keep: float) -> Loop:
    """The part of a loop on one side of the line through ``p`` along ``u``: left if ``keep`` > 0.

    Arcs must not cross the line.
    """

    def off(q: Vec2) -> float:
        return keep * (u[0] * (q[1] - p[1]) - u[1] * (q[0] - p[0]))

    found: list[Edge] = []
    for e, q in outline.spans(loop):
        a, b = off(e.start), off(q)
        if e.bulge and any(off(m) * a < -ROUNDING for m in (*outline.edge_points(e, q, 0.02), q)):
            raise OutlineError(
                f"bend line crosses the round edge {e.name!r}: it may cross straight edges only"
            )
        if a >= 0:
            found.append(e)
        if (a < 0) != (b < 0):
            k = a / (a - b)
            at = (e.start[0] + k * (q[0] - e.start[0]), e.start[1] + k * (q[1] - e.start[1]))
            found.append(Edge(e.name if a < 0 else "bend", at))
    return outline.check(
        tuple(
            e
            for e, n in zip(found, [*found[1:], *found[:1]], strict=True)
            if math.dist(e.start, n.start) > NO_EDGE
        )
    )


def _turned(bend: Bend, ba: float, t: float, base: Frame) -> Frame:
    """Frame of the panel left of a bend, for points in flat coordinates."""
    length = math.dist(bend.start, bend.end)
    ux, uy = (bend.end[0] - bend.start[0]) / length, (bend.end[1] - bend.start[1]) / length
    vx, vy = -uy, ux
    c, s = math.cos(bend.angle), math.sin(bend.angle)
    zc = t + bend.radius if bend.angle > 0 else -bend.radius

    def at(x: float, y: float, w: float) -> tuple[float, float, float]:
        along = (x - bend.start[0]) * ux + (y - bend.start[1]) * uy
        v = (x - bend.start[0]) * vx + (y - bend.start[1]) * vy - ba / 2
        out, up = -ba / 2 + v * c - (w - zc) * s, zc + v * s + (w - zc) * c
        return base.out(
            (bend.start[0] + along * ux + out * vx, bend.start[1] + along * uy + out * vy, up)
        )

    o, x, z = at(0.0, 0.0, 0.0), at(1.0, 0.0, 0.0), at(0.0, 0.0, 1.0)
    return Frame.of(
        o, (x[0] - o[0], x[1] - o[1], x[2] - o[2]), (z[0] - o[0], z[1] - o[1], z[2] - o[2])
    )


def fold(body: Plate, t: float) -> tuple[tuple[Panel, ...], tuple[Fold, ...]]:
    """Panels and bend zones of a plate; one panel, its own outline, if it is flat.

    Bends are taken in order, each on the panel its line lies in; openings stay whole and must lie
    in one panel. OutlineError if not.

    A strip 100 mm long, folded up square at its middle: the far panel's outline stays in the flat,
    its frame stands it upright.

    >>> line = Bend("fold", (50.0, 0.0), (50.0, 40.0), -math.pi / 2, 3.0)
    >>> strip = Plate("1/4 A36", outline.rectangle(0.0, 0.0, 100.0, 40.0), bends=(line,))
    >>> panels, folds = fold(strip, 6.0)
    >>> len(panels), len(folds), round(folds[0].allowance, 3)
    (2, 1, 8.859)
    >>> [tuple(round(v) + 0 for v in panel.place.x) for panel in panels]
    [(1, 0, 0), (0, 0, 1)]
    """
    panels, folds = [Panel(body.outline, body.openings, BASE)], []
    for b in body.bends:
        ba = allowance(b.angle, b.radius, t)
        length = math.dist(b.start, b.end)
        u = ((b.end[0] - b.start[0]) / length, (b.end[1] - b.start[1]) / length)
        v = (-u[1], u[0])
        mid = ((b.start[0] + b.end[0]) / 2, (b.start[1] + b.end[1]) / 2)
        k = next((i for i, p in enumerate(panels) if outline.contains(p.outline, mid)), None)
        if k is None:
            raise OutlineError(f"bend {b.name!r} lies outside the plate")
        was = panels[k]
        low, high = ((mid[0] + w * ba / 2 * v[0], mid[1] + w * ba / 2 * v[1]) for w in (-1.0, 1.0))
        here, there = clip(was.outline, low, u, -1.0), clip(was.outline, high, u, 1.0)
        stay = tuple(o for o in was.openings if outline.contains(here, outline.centroid(o)))
        move = tuple(o for o in was.openings if outline.contains(there, outline.centroid(o)))
        if len(stay) + len(move) != len(was.openings):
            raise OutlineError(f"an opening lies on bend {b.name!r}")
        panels[k : k + 1] = [
            Panel(here, stay, was.place),
            Panel(there, move, _turned(b, ba, t, was.place)),
        ]
        folds.append(Fold(b, ba, b.start, b.end, was.place))
    return tuple(panels), tuple(folds)


class BendSector(NamedTuple):
    """The steel of a bend zone: a ring sector in its own x-y plane, ``length`` along its z, and its
    place in the member's own frame.
    """

    outline: Loop
    length: float
    place: Frame


def round_of(f: Fold, b: Plate, t: float) -> BendSector:
    """Sector of the bend about its center, over the width the plate has at its line."""
    length = math.dist(f.start, f.end)
    u = ((f.end[0] - f.start[0]) / length, (f.end[1] - f.start[1]) / length)
    v = (-u[1], u[0])
    ends = _crossings(b, f, u, v)
    x0, y0 = (f.start[i] - f.allowance / 2 * v[i] + min(ends) * u[i] for i in (0, 1))
    zc = t + f.bend.radius if f.bend.angle > 0 else -f.bend.radius
    turn = math.tan(f.bend.angle / 4)
    low, high = (
        ((zc - w) * math.sin(f.bend.angle), zc + (w - zc) * math.cos(f.bend.angle))
        for w in (0.0, t)
    )
    sector = (Edge("", (0.0, 0.0), turn), Edge("", low), Edge("", high, -turn), Edge("", (0.0, t)))
    place = joined(f.place, Frame((x0, y0, 0.0), (*v, 0.0), (*u, 0.0)))
    return BendSector(sector, max(ends) - min(ends), place)


def _crossings(b: Plate, f: Fold, u: Vec2, v: Vec2) -> list[float]:
    """Where along a bend's line, from its start, the plate's edges cross it."""
    found = []
    for e, q in outline.spans(b.outline):
        a, c = (((p[0] - f.start[0]) * v[0] + (p[1] - f.start[1]) * v[1]) for p in (e.start, q))
        if (a < 0) != (c < 0):
            k = a / (a - c)
            p = (e.start[0] + k * (q[0] - e.start[0]), e.start[1] + k * (q[1] - e.start[1]))
            found.append((p[0] - f.start[0]) * u[0] + (p[1] - f.start[1]) * u[1])
    return found


def panel_of(panels: tuple[Panel, ...], p: Vec2) -> Panel:
    """The panel a point of the flat lies on or nearest to."""
    for panel in panels:
        if outline.contains(panel.outline, p):
            return panel
    return min(panels, key=lambda panel: outline.distance(panel.outline, p))


def joined(outer: Frame, inner: Frame) -> Frame:
    """Frame of a panel on the truck: ``inner`` is given in the coordinates of ``outer``."""
    return Frame(outer.out(inner.origin), outer.turn(inner.x), outer.turn(inner.z))
