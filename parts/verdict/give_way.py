"""What can give way where two bodies come too close: how deep an edge of a made plate would have to
be trimmed, how far something the shop listed would have to move, how much less travel or lock it
takes. Each is tried on the placed truck, against everything else, before it is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ...layout import units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.travel import Place, study
from ..geometry.closest import from_round
from ..geometry.solid import Points, Solid, into
from ..model.assembly import Member, Part
from ..model.body import Plate
from ..model.verdict import Verdict
from ..placed.clearance import Gap, Hits, positions
from ..placed.fit import weld_line
from ..placed.motion import Rigid, rigids, rounds
from ..stock import Shop
from ..truck.truck import Truck

IN = units.IN
STEP, DEEPEST, FURTHEST = IN / 16, IN / 2, 2 * IN
FINE, CORNER = 3.0, IN


class Trim(NamedTuple):
    """An edge of a made plate, by the way it faces; how deep and long it is taken off, mm."""

    code: str
    edge: str
    depth: float
    length: float


class Shift(NamedTuple):
    """How far, mm, and which way an obstacle the shop listed would move."""

    name: str
    by: float
    way: str


class Less(NamedTuple):
    """Less of "bump", "droop" (mm) or "lock" (rad): by how much, and what is left."""

    what: str
    by: float
    left: float


class _Moved:
    """A solid somewhere else."""

    def __init__(self, body: Solid, by: Points) -> None:
        self.body, self.by = body, by

    def signed(self, p: Points) -> Points:
        return np.asarray(self.body.signed(p - self.by))


WAYS = {
    "forward": (1, 0, 0),
    "rearward": (-1, 0, 0),
    "to the left": (0, 1, 0),
    "to the right": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


class Giving:
    """A designed truck at the positions looked at; what cures a pair that comes too close."""

    def __init__(self, truck: Truck, job: Job, solved: Graph, shop: Shop) -> None:
        self.truck, self.job, self.solved, self.shop = truck, job, solved, shop
        self.v = solved.values
        self.bodies = rigids(truck, job, self.v, shop)
        self.members = {m.code: m for m in truck.assembly.members}
        self.parts = {p.id: p for p in truck.singles}
        self.obstacles = {
            job.words.get(f"travel.obstacle.{i}.name", f"obstacle {i}")
            for i in range(1, job.counts.get("travel.obstacle", 0) + 1)
        } - set(self.members)

    def _hits(self, rows: Iterable[tuple[Place, float]], bodies: tuple[Rigid, ...]) -> Hits:
        rows = list(rows)
        t = study(self.job, self.solved, [p for p, _ in rows])
        return Hits(self.truck, self.job, self.v, self.shop, t, [k for _, k in rows], bodies)

    @cached_property
    def now(self) -> Hits:
        """Gaps of the truck as it stands, at every one of ``clearance.positions``."""
        return self._hits(positions(self.v), self.bodies)

    def rides(self, code: str) -> str:
        """What a member moves with ("frame", "axle", "arm.L", ...), "" for one nobody placed."""
        return self.now.rides.get(code, "")

    def trim(self, code: str, other: str, allowed: float) -> Trim | None:
        """The shallowest free edge of a plate whose trimming opens the gap at every position; None
        where none can give way.
        """
        m, p = self.members[code], self.parts.get(code)
        body = next((b for b in self.bodies if b.name == code), None)
        if body is None or p is None or not isinstance(m.body, Plate) or m.body.bends:
            return None
        near = self._too_close(body, other, allowed)
        if not len(near):
            return None
        flat = into(m.place, near)[:, :2]
        found = [t for t in self._edges(m, p, flat) if t.depth <= DEEPEST + 1e-9]
        return min(found, key=lambda t: t.depth, default=None)

    def _too_close(self, body: Rigid, other: str, allowed: float) -> Points:
        """Points of a plate's surface, truck axes at ride height, that come too close to another
        body at any position.
        """
        h = self.now
        cloud = body.solid.skin(FINE)
        bad = np.zeros(len(cloud), dtype=bool)
        two = next((b for b in self.bodies if b.name == other), None)
        for i in range(len(h.t.places)):
            turn, shift = (a[i] for a in h.moves[body.group])
            at = cloud @ turn.T + shift
            if two is not None and h.locks[i] == 0.0:
                turn, shift = (a[i] for a in h.moves[two.group])
                bad |= two.solid.signed((at - shift) @ turn) < allowed
            elif two is None:
                for r in rounds(h.t, self.truck, self.job, self.v, i, h.locks[i]):
                    if r.name == other and (h.locks[i] == 0.0 or r.flat or other == "tie_rod"):
                        bad |= from_round(at, r) < allowed
        return np.asarray(cloud[bad])

    def _edges(self, m: Member, p: Part, flat: Points) -> Iterable[Trim]:
        assert isinstance(m.body, Plate)
        loop = m.body.outline
        welded = {e for w in self.truck.assembly.welds if w.on == m.code for e in w.edges}
        for a, b in zip(loop, (*loop[1:], loop[0]), strict=True):
            run = np.array(b.start) - a.start
            long = float(np.linalg.norm(run))
            if a.bulge or long < IN / 2 or a.name in welded:
                continue
            along = run / long
            out = np.array((along[1], -along[0]))
            deep = float((np.array(a.start) - flat).dot(out).max())
            depth = max(1, math.ceil(deep / STEP)) * STEP
            s = (flat - np.array(a.start)) @ along
            if s.max() < -CORNER or s.min() > long + CORNER or depth > DEEPEST + 1e-9:
                continue
            line = _Line(np.array(a.start), along, out, depth, (float(s.min()), float(s.max())))
            if self._free(m, p, line):
                way = facing(m.place.turn((float(out[0]), float(out[1]), 0.0)), m.code)
                reach = line.s[1] - line.s[0] + 2 * STEP
                yield Trim(m.code, way, depth, math.ceil(reach / STEP) * STEP)

    def _free(self, m: Member, p: Part, line: _Line) -> bool:
        """Whether what is taken off keeps clear of holes (one and a half diameters from their
        middle), openings and welds (half an inch).
        """
        assert isinstance(m.body, Plate)
        holes = all(line.clear(np.array([h.at]), 1.5 * max(h.diameter, h.length)) for h in p.holes)
        openings = (*m.body.openings, *p.slots)
        cut = all(line.clear(np.array([e.start for e in o]), IN / 2) for o in openings)
        return holes and cut and all(line.clear(w, IN / 2) for w in self._weld_lines(m))

    def _weld_lines(self, m: Member) -> Iterable[Points]:
        for w in self.truck.assembly.welds:
            on = self.members.get(w.on)
            if m.code not in (w.on, w.to) or on is None or not isinstance(on.body, Plate):
                continue
            t = self.shop.plate(on.body.stock).thickness
            for e in w.edges:
                points = weld_line(on, e, t, "top" if w.face == "top" else "bottom", w.stop)
                if len(points):
                    yield into(m.place, points)[:, :2]

    def shift(self, name: str) -> Shift | None:
        """The least move of an obstacle that leaves it clear of everything, at every position; None
        where there is none within 2 in.
        """
        body = next(b for b in self.bodies if b.name == name)
        reach = body.radius + FURTHEST + self.now.look
        near = tuple(b for b in self.bodies if b.name != name and _may_meet(b, body, reach))
        for by in np.arange(1, 9) * IN / 4:
            for way, d in WAYS.items():
                to = float(by) * np.array(d, dtype=float)
                if self._clear(_at(body, to), near):
                    return Shift(name, float(by), way)
        return None

    def _clear(self, body: Rigid, near: tuple[Rigid, ...]) -> bool:
        h = Hits(
            self.truck,
            self.job,
            self.v,
            self.shop,
            self.now.t,
            self.now.locks,
            (body, *near),
        )
        return not any(
            g.verdict is not Verdict.OK
            for i, p in enumerate(h.t.places)
            for g in h.at(i, p.name, lambda a, b: body.name in (a, b))
        )

    def less(self, g: Gap) -> Less | None:
        """The least less bump, droop or lock that keeps a pair apart; None where it is not the end
        of one of them that brings it together.
        """
        pair = frozenset((g.one, g.two))
        what = kind_of(g.place)
        own = tuple(b for b in self.bodies if b.name in pair)
        if not what:
            return None
        whole = self.v.get(Key({"lock": "steering.lock"}.get(what, f"travel.{what}"), "C"), 0.0)
        step, most = (units.DEG, 12) if what == "lock" else (IN / 4, 8)
        for n in range(1, most + 1):
            by = n * step
            if by > whole / 2:
                return None
            rows = [(_less(p, what, by, whole), _lock(k, what, by)) for p, k in positions(self.v)]
            h = self._hits(rows, own)
            if not any(
                x.verdict is not Verdict.OK
                for i, (p, _) in enumerate(rows)
                for x in h.at(i, p.name, lambda a, b: frozenset((a, b)) == pair)
            ):
                return Less(what, by, whole - by)
        return None


class _Line(NamedTuple):
    """A cut along a straight edge: its start, direction, outward normal, depth, and from where to
    where along it.
    """

    start: Points
    along: Points
    out: Points
    depth: float
    s: tuple[float, float]

    def clear(self, p: Points, room: float) -> bool:
        """Whether points stay ``room`` away from the steel that is taken off."""
        rel = p - self.start
        inward, s = -(rel @ self.out), rel @ self.along
        beside = np.maximum(np.maximum(self.s[0] - s, s - self.s[1]), 0.0)
        return bool((np.hypot(np.maximum(inward - self.depth, 0.0), beside) >= room).all())


def _at(b: Rigid, to: Points) -> Rigid:
    return b._replace(
        solid=_Moved(b.solid, to),  # type: ignore[arg-type]
        cloud=b.cloud + to,
        centre=b.centre + to,
        low=b.low + to,
        high=b.high + to,
    )


def _may_meet(b: Rigid, body: Rigid, reach: float) -> bool:
    """Whether a body comes within reach; what rides with the axle may come 12 in further."""
    far = float(np.linalg.norm(b.centre - body.centre))
    return far < reach + b.radius + (0.0 if b.group == body.group else 12 * IN)


def kind_of(place: str) -> str:
    """Which end of the travel a position is: "lock", "bump", "droop" or "" where it is none."""
    if place.endswith("lock"):
        return "lock"
    if place == "full bump" or place.endswith("on its stop"):
        return "bump"
    return "droop" if place == "full droop" else ""


def _less(p: Place, what: str, by: float, whole: float) -> Place:
    end = p.heave if what == "droop" else -p.heave
    on_stop = "on its stop" in p.name or "full bump" in p.name
    if what == "bump" and on_stop:
        return p._replace(heave=p.heave - by)
    if what == "droop" and end < by - whole + 1e-6:
        return p._replace(heave=by - whole)
    return p


def _lock(k: float, what: str, by: float) -> float:
    return k if what != "lock" else math.copysign(abs(k) - by, k) if k else 0.0


def facing(way: tuple[float, float, float], code: str) -> str:
    """The way an edge faces on the truck, in a word: front or rear, upper or lower, inboard or
    outboard on a sided part, else left or right.

    ``way``: outward in truck axes; ``code``: of the member, whose hand says which way is inboard.
    """
    n = int(np.argmax(np.abs(way)))
    if n == 1:
        side = {"L": 1.0, "R": -1.0}.get(code.rpartition(".")[2], 0.0)
        if side:
            return "outboard" if way[1] * side > 0 else "inboard"
        return "left" if way[1] > 0 else "right"
    return (("front", "rear"), (), ("upper", "lower"))[n][way[n] < 0]


def made(giving: Mapping[str, Member], code: str, rides: str) -> bool:
    """Whether a member is a flat plate the tool made that rides with frame or axle: the only thing
    that may be trimmed.
    """
    m = giving.get(code)
    return m is not None and isinstance(m.body, Plate) and rides in ("frame", "axle")
