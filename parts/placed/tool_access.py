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
from ..words.names import part

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


class Blocked(NamedTuple):
    """What stands in the way of a socket and of a ring wrench at each end of a bolt, empty where
    nothing does.
    """

    socket_head: str
    wrench_head: str
    socket_nut: str
    wrench_nut: str

    @property
    def head(self) -> str:
        """What is in the way at the head; empty where a socket goes on."""
        return (self.wrench_head or self.socket_head) if self.socket_head else ""

    @property
    def nut(self) -> str:
        """What is in the way at the nut, of the wrench first."""
        return self.wrench_nut or self.socket_nut

    def reached(self) -> bool:
        """Whether a socket goes on one end and a wrench on the other."""
        return (not self.socket_head and not self.wrench_nut) or (
            not self.socket_nut and not self.wrench_head
        )

    def ways_out(self) -> list[str]:
        """What makes it reachable, the least work first (common practice, no source)."""
        names = " or ".join(dict.fromkeys(part(code) for code in self if code))
        ways = []
        if not self.wrench_head and not self.wrench_nut:
            ways.append("a ring wrench goes on both ends: set its torque with a crowfoot ring")
        elif not self.socket_head:
            ways.append("weld a strap to its nut, or weld the nut, so that nobody has to hold it")
        elif not self.socket_nut:
            ways.append("turn it round, head to where the nut is, and weld a strap to its nut")
        ways.append(f"tighten it before {names} goes on, and write that into the step")
        ways.append(f"move it or {names} until a socket goes over one end")
        return ways


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


def bolt_room(bolt: Bolt, span: tuple[float, float], others: Mapping[str, Solid]) -> Blocked | None:
    """None where a socket goes on one end and a wrench on the other; else what is in the way."""
    diameter = stock.bolt(bolt.size).d
    found = []
    for face in ends(bolt, span):
        rooms = (
            barrel(face, radius, 1.0, long)
            for radius, long in (
                (socket_radius(diameter), SOCKET_LONG),
                (SPANNER * socket_radius(diameter), 0.9 * diameter),
            )
        )
        found.append(
            [
                next((code for code, body in others.items() if body.deep(room, CLEAR).any()), "")
                for room in rooms
            ]
        )
    blocked = Blocked(*found[0], *found[1])
    return None if blocked.reached() else blocked


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
    """Bolts no tool reaches, with what is in the way and what makes them reachable.

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
                and not got.head
                and members.get(got.nut) is not None
                and is_rail(members[got.nut])
            )
            if got is not None and not captive:
                where = f"head: {got.head or 'free'}, nut: {got.nut or 'free'}"
                yield bolt.id, f"({where}): {'; or '.join(got.ways_out())}"
