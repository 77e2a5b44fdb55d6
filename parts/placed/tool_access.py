"""Room for tools in the placed assembly: a socket on one end of every bolt, a wrench on the other,
and the torch at every weld on a plate's edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import stock
from ..geometry.solid import Points, Solid
from ..model.assembly import Bolt, Member
from ..model.body import Plate
from ..model.vectors import Vec3
from ..pieces._outlines import socket_radius
from ..stock import IN

SOCKET_LONG = 2.5 * IN
SPANNER = 0.75
"""Radius a ring wrench needs over the socket's, as its share: it is thin, from the side."""
CLEAR = 0.4
"""mm that may be missing: paint and a file."""
ALONG = 0.9
"""Cosine from which a direction runs along an axis."""
RING = tuple(k * math.tau / 12 for k in range(12))


class End(NamedTuple):
    """One end of a bolt's stack: where it stands out and which way."""

    at: Vec3
    way: Vec3


def ends(b: Bolt, span: tuple[float, float]) -> tuple[End, End]:
    """Head's and nut's faces; ``span``: first and last face along the bolt from ``b.at``, mm."""
    a, u = np.array(b.at), np.array(b.along)
    return End(tuple(a + u * span[0]), tuple(-u)), End(tuple(a + u * span[1]), tuple(u))


def barrel(e: End, radius: float, start: float, end: float) -> Points:
    """Points on a cylinder's side and far face, standing on an end."""
    u = np.array(e.way)
    one = np.cross(u, (1.0, 0.0, 0.0) if abs(u[0]) < ALONG else (0.0, 1.0, 0.0))
    one /= np.linalg.norm(one)
    two = np.cross(u, one)
    levels = np.arange(start, end + 1e-6, 5.0)
    ring = np.array([math.cos(k) * one + math.sin(k) * two for k in RING])
    return np.concatenate(
        [np.array(e.at) + u * h + radius * k * ring for h in levels for k in (0.5, 1.0)]
    )


def bolt_room(
    b: Bolt, span: tuple[float, float], others: Mapping[str, Solid]
) -> tuple[str, str] | None:
    """None where a socket goes on one end and a wrench on the other; else what stands in the way at
    head and nut.
    """
    d = stock.bolt(b.size).d
    found = []
    for e in ends(b, span):
        found.append(
            [
                next(
                    (c for c, s in others.items() if s.deep(barrel(e, r, 1.0, h), CLEAR).any()), ""
                )
                for r, h in ((socket_radius(d), SOCKET_LONG), (SPANNER * socket_radius(d), 0.9 * d))
            ]
        )
    (socket_head, spanner_head), (socket_nut, spanner_nut) = found
    if (not socket_head and not spanner_nut) or (not socket_nut and not spanner_head):
        return None
    return (spanner_head or socket_head) if socket_head else "", spanner_nut or socket_nut


def near(
    solids: Mapping[str, Solid],
    boxes: Mapping[str, tuple[Points, Points]],
    at: Sequence[float],
    reach: float,
) -> dict[str, Solid]:
    """Solids whose box comes within ``reach`` of a point."""
    p = np.array(at)
    return {
        c: s
        for c, s in solids.items()
        if (boxes[c][0] - reach <= p).all() and (p <= boxes[c][1] + reach).all()
    }


def tight(
    bolts: Sequence[Bolt],
    members: Mapping[str, Member],
    solids: Mapping[str, Solid],
    spans: Mapping[str, tuple[float, float]],
) -> Iterator[tuple[str, str]]:
    """Bolts no tool reaches, with what is in the way.

    ``spans``: face to face along each bolt. A nut inside a closed rail is held by its strap (see
    ``fasteners.nut_of``).
    """
    steel = {
        c: s
        for c, s in solids.items()
        if isinstance(members[c].body, Plate)
        or members[c].title == "frame rail"
        or hasattr(members[c].body, "ends")
    }
    boxes = {c: (p.min(axis=0), p.max(axis=0)) for c, s in steel.items() if len(p := s.skin(20.0))}
    for b in bolts:
        if (
            b.duty in ("pivot", "frame", "mount", "steering")
            and b.grade
            and b.grade != "dowel"
            and b.id in spans
        ):
            got = bolt_room(b, spans[b.id], near({c: steel[c] for c in boxes}, boxes, b.at, 200.0))
            captive = (
                got is not None
                and not got[0]
                and members.get(got[1]) is not None
                and members[got[1]].title == "frame rail"
            )
            if got is not None and not captive:
                yield b.id, f"head: {got[0] or 'free'}, nut: {got[1] or 'free'}"
