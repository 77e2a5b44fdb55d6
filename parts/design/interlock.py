"""Tabs and slots that hold plates to each other for tacking: made once, on the placed assembly, so
that a tab and its slot cannot drift. Tabs are cut to the mate's measured thickness, slots to the
tab's with 1/32 in to spare and round ends (square ones crack). Beside each tab the edge has a round
relief of the shop's inner radius, so that no sharp inner corner is left and the edge lies flat on
its mate.
"""

from __future__ import annotations

import math

import numpy as np

from ...layout import reader
from ..geometry import contours, outline
from ..geometry.shape import LEAST_EDGE
from ..model.assembly import Assembly, Interlock, Member
from ..model.body import Edge, Loop, Plate
from ..model.vectors import Vec2
from ..stock import IN, Shop
from .site import Refused

SPARE = IN / 32
LEVEL = 0.999
"""Cosine of the tilt from which a tab no longer lies in its slot's plate."""
SHY = 0.5
"""mm a tab stays below the far face of its mate."""


def locked(a: Assembly, shop: Shop) -> Assembly:
    """The assembly with its interlocks cut.

    Refused for a tab that would hold what a correction may still move, that finds no straight edge,
    or misses its mate.
    """
    members = {m.code: m for m in a.members}
    for i in a.interlocks:
        if i.tab_on not in members or i.slot_in not in members:
            continue
        one, two = members[i.tab_on], members[i.slot_in]
        assert isinstance(one.body, Plate) and isinstance(two.body, Plate)
        if dict(one.moves) != dict(two.moves):
            raise Refused(
                f"tabs of {i.tab_on} would hold {i.slot_in} where a correction may move one of them"
            )
        members[i.tab_on], places = _tabbed(
            one, i, shop.plate(two.body.stock).measured, shop.inner_radius
        )
        members[i.slot_in] = _slotted(two, one, i, places, shop.plate(one.body.stock).measured)
    return a._replace(members=tuple(members[m.code] for m in a.members))


def room(width: float, inner: float) -> float:
    """Length of edge a tab takes with its reliefs and a bit of straight edge each side, mm."""
    return width + 4 * inner + 2 * LEAST_EDGE


def _tabbed(
    m: Member, i: Interlock, mate: float, inner: float
) -> tuple[Member, list[tuple[Vec2, Vec2]]]:
    """The plate with its tabs and the reliefs beside them, round with radius ``inner``; middle of
    each tab's root and the direction along the edge.
    """
    body = m.body
    assert isinstance(body, Plate)
    spans = [(e, q) for e, q in outline.spans(body.outline) if e.name == i.edge and not e.bulge]
    if len(spans) != 1:
        raise Refused(f"{m.code} has no one straight edge {i.edge} for tabs")
    ((edge, end),) = spans
    long = math.dist(edge.start, end)
    u = ((end[0] - edge.start[0]) / long, (end[1] - edge.start[1]) / long)
    out = (u[1], -u[0])
    deep = mate - SHY
    made: list[Edge] = [edge]
    places: list[tuple[Vec2, Vec2]] = []
    for n, at in enumerate(sorted(i.at)):
        if not room(i.width, inner) / 2 <= at <= long - room(i.width, inner) / 2:
            raise Refused(
                f"a tab of {m.title} ({m.code}) runs off its edge, which is {reader.length(long)}"
                f" long; a tab with its reliefs takes {reader.length(room(i.width, inner))}"
            )

        def p(s: float, d: float) -> Vec2:
            return edge.start[0] + u[0] * s + out[0] * d, edge.start[1] + u[1] * s + out[1] * d

        a, b = at - i.width / 2, at + i.width / 2
        made += [
            Edge(f"{i.edge}_relief", p(a - 2 * inner, 0.0), -1.0),
            Edge(f"{i.edge}_tab{n}a", p(a, 0.0)),
            Edge(f"{i.edge}_tab{n}b", p(a, deep)),
            Edge(f"{i.edge}_tab{n}c", p(b, deep)),
            Edge(f"{i.edge}_relief", p(b, 0.0), -1.0),
            Edge(i.edge, p(b + 2 * inner, 0.0)),
        ]
        places.append((p(at, 0.0), u))
    loop: list[Edge] = []
    for e in body.outline:
        loop += made if e is edge else [e]
    return m._replace(body=body._replace(outline=outline.check(tuple(loop)))), places


def _slotted(
    m: Member, tab: Member, i: Interlock, places: list[tuple[Vec2, Vec2]], thick: float
) -> Member:
    body = m.body
    assert isinstance(body, Plate)
    found: list[Loop] = []
    for n, (root, u) in enumerate(places):
        middle = m.place.into(tab.place.out((root[0], root[1], thick / 2)))
        along = np.array(tab.place.turn((u[0], u[1], 0.0)))
        x, y = float(along @ np.array(m.place.x)), float(along @ np.array(m.place.y))
        wide = thick + SPARE
        if math.hypot(x, y) < LEVEL or not outline.contains(body.outline, middle[:2]):
            raise Refused(
                f"a tab of {tab.title} ({tab.code}) misses {m.title} ({m.code}): one of them is too"
                " small for the other"
            )
        found.append(
            contours.slot(
                (middle[0], middle[1]),
                i.width + SPARE + wide,
                wide,
                math.atan2(y, x),
                f"lock_{tab.code.partition('.')[0]}_{n}",
            )
        )
    return m._replace(body=body._replace(openings=(*body.openings, *found)))
