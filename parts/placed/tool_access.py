"""Room for tools in the placed assembly: a socket on one end of every bolt, a wrench on the other,
and the torch at every weld on a plate's edge.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import stock
from ..geometry.prism import Points
from ..geometry.solid import Solid
from ..model.assembly import Bolt, Member
from ..model.body import Plate
from ..model.codes import is_rail
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
RING = tuple(index * math.tau / 12 for index in range(12))


class End(NamedTuple):
    """One end of a bolt's stack: where it stands out and which way."""

    at: Vec3
    way: Vec3


def ends(bolt: Bolt, span: tuple[float, float]) -> tuple[End, End]:
    """Head's and nut's faces of a bolt.

    ``span``: first and last face along the bolt from its place, mm. Gives both ends with the way
    out of the stack, truck axes.
    """
    start, way = np.array(bolt.at), np.array(bolt.along)
    return End(tuple(start + way * span[0]), tuple(-way)), End(
        tuple(start + way * span[1]), tuple(way)
    )


def barrel(face: End, radius: float, start: float, end: float) -> Points:
    """Points of the room a socket takes: a cylinder that stands on an end of a bolt.

    ``radius``, ``start``, ``end``: mm, the last two out from the face. Gives (N, 3), mm, truck
    axes: a ring at the radius and one at half of it every 5 mm.
    """
    way = np.array(face.way)
    one = np.cross(way, (1.0, 0.0, 0.0) if abs(way[0]) < ALONG else (0.0, 1.0, 0.0))
    one /= np.linalg.norm(one)
    two = np.cross(way, one)
    levels = np.arange(start, end + 1e-6, 5.0)
    ring = np.array([math.cos(angle) * one + math.sin(angle) * two for angle in RING])
    return np.concatenate(
        [
            np.array(face.at) + way * level + radius * part * ring
            for level in levels
            for part in (0.5, 1.0)
        ]
    )


def bolt_room(
    bolt: Bolt, span: tuple[float, float], others: Mapping[str, Solid]
) -> tuple[str, str] | None:
    """None where a socket goes on one end and a wrench on the other; else what stands in the way at
    head and nut.
    """
    diameter = stock.bolt(bolt.size).d
    found = []
    for face in ends(bolt, span):
        found.append(
            [
                next(
                    (
                        code
                        for code, body in others.items()
                        if body.deep(barrel(face, radius, 1.0, long), CLEAR).any()
                    ),
                    "",
                )
                for radius, long in (
                    (socket_radius(diameter), SOCKET_LONG),
                    (SPANNER * socket_radius(diameter), 0.9 * diameter),
                )
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
    """Solids whose box comes within ``reach`` mm of a point.

    ``boxes``: code -> low and high corner, each (3,), mm; ``at``: the point, truck axes. KeyError
    for a solid without a box.
    """
    point = np.array(at)
    return {
        code: body
        for code, body in solids.items()
        if (boxes[code][0] - reach <= point).all() and (point <= boxes[code][1] + reach).all()
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
        code: body
        for code, body in solids.items()
        if isinstance(members[code].body, Plate)
        or is_rail(members[code])
        or hasattr(members[code].body, "ends")
    }
    boxes = {
        code: (points.min(axis=0), points.max(axis=0))
        for code, body in steel.items()
        if len(points := body.skin(20.0))
    }
    for bolt in bolts:
        if (
            bolt.duty in ("pivot", "frame", "mount", "steering")
            and bolt.grade
            and bolt.grade != "dowel"
            and bolt.id in spans
        ):
            got = bolt_room(
                bolt,
                spans[bolt.id],
                near({code: steel[code] for code in boxes}, boxes, bolt.at, 200.0),
            )
            captive = (
                got is not None
                and not got[0]
                and members.get(got[1]) is not None
                and is_rail(members[got[1]])
            )
            if got is not None and not captive:
                yield bolt.id, f"head: {got[0] or 'free'}, nut: {got[1] or 'free'}"
