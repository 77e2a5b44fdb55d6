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
from ...layout.travel import Place, Travel, study
from ..geometry.closest import from_round
from ..geometry.prism import Points, into
from ..geometry.solid import Solid
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

    def signed(self, points: Points) -> Points:
        return np.asarray(self.body.signed(points - self.by))


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
        self._ends: dict[tuple[str, int], _Ended] = {}
        self.members = {member.code: member for member in truck.assembly.members}
        self.parts = {part.id: part for part in truck.singles}
        self.obstacles = {
            job.words.get(f"travel.obstacle.{index}.name", f"obstacle {index}")
            for index in range(1, job.counts.get("travel.obstacle", 0) + 1)
        } - set(self.members)

    @cached_property
    def now(self) -> Hits:
        """Gaps of the truck as it stands, at every one of ``clearance.positions``."""
        rows = positions(self.v)
        travel = study(self.job, self.solved, [place for place, _ in rows], posed=True)
        locks = [lock for _, lock in rows]
        return Hits(self.truck, self.job, self.v, self.shop, travel, locks, bodies=self.bodies)

    def rides(self, code: str) -> str:
        """What a member moves with ("frame", "axle", "arm.L", ...), "" for one nobody placed."""
        return self.now.rides.get(code, "")

    def trim(self, code: str, other: str, allowed: float) -> Trim | None:
        """The shallowest free edge of a plate whose trimming opens the gap at every position; None
        where none can give way.
        """
        member, part = self.members[code], self.parts.get(code)
        body = next((each for each in self.bodies if each.name == code), None)
        if body is None or part is None or not isinstance(member.body, Plate) or member.body.bends:
            return None
        near = self._too_close(body, other, allowed)
        if not len(near):
            return None
        flat = into(member.place, near)[:, :2]
        found = [cut for cut in self._edges(member, part, flat) if cut.depth <= DEEPEST + 1e-9]
        return min(found, key=lambda cut: cut.depth, default=None)

    def _too_close(self, body: Rigid, other: str, allowed: float) -> Points:
        """Points of a plate's surface, truck axes at ride height, that come too close to another
        body at any position.
        """
        hits = self.now
        cloud = body.solid.skin(FINE)
        bad = np.zeros(len(cloud), dtype=bool)
        two = next((each for each in self.bodies if each.name == other), None)
        for index in range(len(hits.t.places)):
            turn, shift = (move[index] for move in hits.moves[body.group])
            at = cloud @ turn.T + shift
            if two is not None and hits.locks[index] == 0.0:
                turn, shift = (move[index] for move in hits.moves[two.group])
                bad |= two.solid.signed((at - shift) @ turn) < allowed
            elif two is None:
                for round_ in rounds(
                    hits.t, self.truck, self.job, self.v, index, hits.locks[index]
                ):
                    if round_.name == other and (
                        hits.locks[index] == 0.0 or round_.flat or other == "tie_rod"
                    ):
                        bad |= from_round(at, round_) < allowed
        return np.asarray(cloud[bad])

    def _edges(self, member: Member, part: Part, flat: Points) -> Iterable[Trim]:
        assert isinstance(member.body, Plate)
        loop = member.body.outline
        welded = {
            name
            for weld in self.truck.assembly.welds
            if weld.on == member.code
            for name in weld.edges
        }
        for edge, after in zip(loop, (*loop[1:], loop[0]), strict=True):
            run = np.array(after.start) - edge.start
            long = float(np.linalg.norm(run))
            if edge.bulge or long < IN / 2 or edge.name in welded:
                continue
            along = run / long
            out = np.array((along[1], -along[0]))
            deep = float((np.array(edge.start) - flat).dot(out).max())
            depth = max(1, math.ceil(deep / STEP)) * STEP
            ahead = (flat - np.array(edge.start)) @ along
            if ahead.max() < -CORNER or ahead.min() > long + CORNER or depth > DEEPEST + 1e-9:
                continue
            line = _EdgeCut(
                np.array(edge.start), along, out, depth, (float(ahead.min()), float(ahead.max()))
            )
            if self._free(member, part, line):
                way = facing(member.place.turn((float(out[0]), float(out[1]), 0.0)), member.code)
                reach = line.s[1] - line.s[0] + 2 * STEP
                yield Trim(member.code, way, depth, math.ceil(reach / STEP) * STEP)

    def _free(self, member: Member, part: Part, line: _EdgeCut) -> bool:
        """Whether what is taken off keeps clear of holes (one and a half diameters from their
        middle), openings and welds (half an inch).
        """
        assert isinstance(member.body, Plate)
        holes = all(
            line.clear(np.array([hole.at]), 1.5 * max(hole.diameter, hole.length))
            for hole in part.holes
        )
        openings = (*member.body.openings, *part.slots)
        cut = all(line.clear(np.array([edge.start for edge in loop]), IN / 2) for loop in openings)
        return holes and cut and all(line.clear(run, IN / 2) for run in self._weld_lines(member))

    def _weld_lines(self, member: Member) -> Iterable[Points]:
        for weld in self.truck.assembly.welds:
            on = self.members.get(weld.on)
            if (
                member.code not in (weld.on, weld.to)
                or on is None
                or not isinstance(on.body, Plate)
            ):
                continue
            thickness = self.shop.plate(on.body.stock).thickness
            for edge in weld.edges:
                points = weld_line(
                    on, edge, thickness, "top" if weld.face == "top" else "bottom", weld.stop
                )
                if len(points):
                    yield into(member.place, points)[:, :2]

    def shift(self, name: str) -> Shift | None:
        """The least move of an obstacle that leaves it clear of everything, at every position; None
        where there is none within 2 in.
        """
        body = next(each for each in self.bodies if each.name == name)
        reach = body.radius + FURTHEST + self.now.look
        near = tuple(
            each for each in self.bodies if each.name != name and _may_meet(each, body, reach)
        )
        for by in np.arange(1, 9) * IN / 4:
            for way, way_ in WAYS.items():
                to = float(by) * np.array(way_, dtype=float)
                if self._clear(_at(body, to), near):
                    return Shift(name, float(by), way)
        return None

    def _clear(self, body: Rigid, near: tuple[Rigid, ...]) -> bool:
        hits = self.now.elsewhere(self.now.t, self.now.locks, (body, *near))
        return not any(
            gap.verdict is not Verdict.OK
            for index, place in enumerate(hits.t.places)
            for gap in hits.at(index, place.name, lambda one, two: body.name in (one, two))
        )

    def less(self, gap: Gap) -> Less | None:
        """The least less bump, droop or lock that keeps a pair apart; None where it is not the end
        of one of them that brings it together.
        """
        pair = frozenset((gap.one, gap.two))
        what = kind_of(gap.place)
        own = tuple(two for two in self.bodies if two.name in pair)
        if not what:
            return None
        whole = self.v.get(Key({"lock": "steering.lock"}.get(what, f"travel.{what}"), "C"), 0.0)
        step, most = (units.DEG, 12) if what == "lock" else (IN / 4, 8)
        for index in range(1, most + 1):
            by = index * step
            if by > whole / 2:
                return None
            ended = self._ended(what, index, by, whole)
            hits = self.now.elsewhere(ended.travel, ended.locks, own, bars=len(own) < len(pair))
            names = [place.name for place in ended.travel.places]
            # where it was tightest comes first: there it mostly still is
            order = sorted(range(len(names)), key=lambda each: names[each] != gap.place)
            if not any(
                x.verdict is not Verdict.OK
                for each in order
                for x in hits.at(each, names[each], lambda one, two: frozenset((one, two)) == pair)
            ):
                return Less(what, by, whole - by)
        return None

    def _ended(self, what: str, index: int, by: float, whole: float) -> _Ended:
        """Every position with less of an end, worked once for all pairs."""
        if (what, index) not in self._ends:
            rows = [
                (_less(where, what, by, whole), _lock(lock, what, by))
                for where, lock in positions(self.v)
            ]
            travel = study(self.job, self.solved, [place for place, _ in rows], posed=True)
            self._ends[what, index] = _Ended(travel, [lock for _, lock in rows])
        return self._ends[what, index]


class _Ended(NamedTuple):
    """Positions solved with less of an end of the travel, and the wheels' lock at each, rad."""

    travel: Travel
    locks: list[float]


class _EdgeCut(NamedTuple):
    """A cut along a straight edge: its start, direction, outward normal, depth, and from where to
    where along it.
    """

    start: Points
    along: Points
    out: Points
    depth: float
    s: tuple[float, float]

    def clear(self, points: Points, room: float) -> bool:
        """Whether points stay away from the steel that is taken off.

        ``points``: (N, 2), mm, in the plate's own axes; ``room``: least distance, mm. True for
        none.
        """
        rel = points - self.start
        inward, run = -(rel @ self.out), rel @ self.along
        beside = np.maximum(np.maximum(self.s[0] - run, run - self.s[1]), 0.0)
        return bool((np.hypot(np.maximum(inward - self.depth, 0.0), beside) >= room).all())


def _at(rigid: Rigid, to: Points) -> Rigid:
    return rigid._replace(
        solid=_Moved(rigid.solid, to),  # type: ignore[arg-type]  # asked for distances alone
        cloud=rigid.cloud + to,
        center=rigid.center + to,
        low=rigid.low + to,
        high=rigid.high + to,
    )


def _may_meet(rigid: Rigid, body: Rigid, reach: float) -> bool:
    """Whether a body comes within reach; what rides with the axle may come 12 in further."""
    far = float(np.linalg.norm(rigid.center - body.center))
    return far < reach + rigid.radius + (0.0 if rigid.group == body.group else 12 * IN)


def kind_of(place: str) -> str:
    """Which end of the travel a position is: "lock", "bump", "droop" or "" where it is none."""
    if place.endswith("lock"):
        return "lock"
    if place == "full bump" or place.endswith("on its stop"):
        return "bump"
    return "droop" if place == "full droop" else ""


def _less(place: Place, what: str, by: float, whole: float) -> Place:
    end = place.heave if what == "droop" else -place.heave
    on_stop = "on its stop" in place.name or "full bump" in place.name
    if what == "bump" and on_stop:
        return place._replace(heave=place.heave - by)
    if what == "droop" and end < by - whole + 1e-6:
        return place._replace(heave=by - whole)
    return place


def _lock(lock: float, what: str, by: float) -> float:
    return lock if what != "lock" else math.copysign(abs(lock) - by, lock) if lock else 0.0


def facing(way: tuple[float, float, float], code: str) -> str:
    """The way an edge faces on the truck, in a word: front or rear, upper or lower, inboard or
    outboard on a sided part, else left or right.

    ``way``: outward in truck axes; ``code``: of the member, whose hand says which way is inboard.
    """
    axis = int(np.argmax(np.abs(way)))
    if axis == 1:
        side = {"L": 1.0, "R": -1.0}.get(code.rpartition(".")[2], 0.0)
        if side:
            return "outboard" if way[1] * side > 0 else "inboard"
        return "left" if way[1] > 0 else "right"
    return (("front", "rear"), (), ("upper", "lower"))[axis][way[axis] < 0]


def made(giving: Mapping[str, Member], code: str, rides: str) -> bool:
    """Whether a member is a flat plate the tool made that rides with frame or axle: the only thing
    that may be trimmed.
    """
    member = giving.get(code)
    return member is not None and isinstance(member.body, Plate) and rides in ("frame", "axle")
