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


def locked(assembly: Assembly, shop: Shop) -> Assembly:
    """The assembly with its interlocks cut: tabs on one plate, slots in its mate.

    Raises
    ------
    Refused
        A tab that would hold what a correction may still move, that finds no straight edge, runs
        off it, or misses its mate.
    """
    members = {member.code: member for member in assembly.members}
    for lock in assembly.interlocks:
        if lock.tab_on not in members or lock.slot_in not in members:
            continue
        one, two = members[lock.tab_on], members[lock.slot_in]
        assert isinstance(one.body, Plate) and isinstance(two.body, Plate)
        if dict(one.moves) != dict(two.moves):
            raise Refused(
                f"tabs of {lock.tab_on} would hold {lock.slot_in} where a correction may move one"
                " of them"
            )
        members[lock.tab_on], places = _tabbed(
            one, lock, shop.plate(two.body.stock).measured, shop.inner_radius
        )
        members[lock.slot_in] = _slotted(
            two, one, lock, places, shop.plate(one.body.stock).measured
        )
    return assembly._replace(members=tuple(members[member.code] for member in assembly.members))


def room(width: float, inner: float) -> float:
    """Length of edge a tab takes, mm: its ``width``, its reliefs of radius ``inner``, and a bit of
    straight edge on each side.
    """
    return width + 4 * inner + 2 * LEAST_EDGE


def _tabbed(
    member: Member, lock: Interlock, mate: float, inner: float
) -> tuple[Member, list[tuple[Vec2, Vec2]]]:
    """The plate with its tabs and the reliefs beside them, round with radius ``inner``; middle of
    each tab's root and the direction along the edge.
    """
    body = member.body
    assert isinstance(body, Plate)
    spans = [
        (straight, ends)
        for straight, ends in outline.spans(body.outline)
        if straight.name == lock.edge and not straight.bulge
    ]
    if len(spans) != 1:
        raise Refused(f"{member.code} has no one straight edge {lock.edge} for tabs")
    ((edge, end),) = spans
    long = math.dist(edge.start, end)
    along = ((end[0] - edge.start[0]) / long, (end[1] - edge.start[1]) / long)
    out = (along[1], -along[0])
    deep = mate - SHY
    made: list[Edge] = [edge]
    places: list[tuple[Vec2, Vec2]] = []
    for number, middle in enumerate(sorted(lock.at)):
        if not room(lock.width, inner) / 2 <= middle <= long - room(lock.width, inner) / 2:
            raise Refused(
                f"a tab of {member.title} ({member.code}) runs off its edge, which is"
                f" {reader.length(long)} long; a tab with its reliefs takes"
                f" {reader.length(room(lock.width, inner))}"
            )

        def at(along_edge: float, off: float) -> Vec2:
            return (
                edge.start[0] + along[0] * along_edge + out[0] * off,
                edge.start[1] + along[1] * along_edge + out[1] * off,
            )

        left, right = middle - lock.width / 2, middle + lock.width / 2
        made += [
            Edge(f"{lock.edge}_relief", at(left - 2 * inner, 0.0), -1.0),
            Edge(f"{lock.edge}_tab{number}a", at(left, 0.0)),
            Edge(f"{lock.edge}_tab{number}b", at(left, deep)),
            Edge(f"{lock.edge}_tab{number}c", at(right, deep)),
            Edge(f"{lock.edge}_relief", at(right, 0.0), -1.0),
            Edge(lock.edge, at(right + 2 * inner, 0.0)),
        ]
        places.append((at(middle, 0.0), along))
    loop: list[Edge] = []
    for each in body.outline:
        loop += made if each is edge else [each]
    return member._replace(body=body._replace(outline=outline.check(tuple(loop)))), places


def _slotted(
    member: Member, tab: Member, lock: Interlock, places: list[tuple[Vec2, Vec2]], thick: float
) -> Member:
    body = member.body
    assert isinstance(body, Plate)
    found: list[Loop] = []
    for number, (root, tab_along) in enumerate(places):
        middle = member.place.into(tab.place.out((root[0], root[1], thick / 2)))
        along = np.array(tab.place.turn((tab_along[0], tab_along[1], 0.0)))
        x, y = float(along @ np.array(member.place.x)), float(along @ np.array(member.place.y))
        wide = thick + SPARE
        if math.hypot(x, y) < LEVEL or not outline.contains(body.outline, middle[:2]):
            raise Refused(
                f"a tab of {tab.title} ({tab.code}) misses {member.title} ({member.code}): one of"
                " them is too small for the other"
            )
        found.append(
            contours.slot(
                (middle[0], middle[1]),
                lock.width + SPARE + wide,
                wide,
                math.atan2(y, x),
                f"lock_{tab.code.partition('.')[0]}_{number}",
            )
        )
    return member._replace(body=body._replace(openings=(*body.openings, *found)))
