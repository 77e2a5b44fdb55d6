"""Will it hit? Least gap between every two bodies that move against each other and are not joined,
at bump, ride, droop, roll and lock.

Between what is really there: generated parts and bought joints from their own solids, links and
coils as round bars, tires as discs at lock, obstacles as boxes, rounds or the solids they came as.
Solids are compared by the edges of each against the other, to 0.005 in (``closest``); round bars
exactly.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np

from ...layout import units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.travel import Place, Travel, envelope, study
from ...layout.travel.limits import Criterion
from ..geometry.closest import RoundBar, drum, from_axis, nearest, segments
from ..geometry.pipe import Capsule, Pipe
from ..geometry.prism import Points
from ..model.terms import Role
from ..model.verdict import Verdict
from ..stock import Shop
from ..truck.roles import codes, does
from ..truck.truck import Truck
from ..words.names import called
from .cycle import POSITIONS
from .gap import Doubt, Gap
from .motion import PITCH, Rigid, groups, in_joint, joined, rigids, rounds, transforms
from .posed import Posed, PosedBar

LOOK, JOINT = units.IN, units.IN / 16


SAME = 1e-6
"""Gaps no further apart are the same, mm."""
AT_END = 1e-9
"""Share of a line from its end that is its end."""
Only = Callable[[str, str], bool]
"""Which pairs are looked at, by their names."""


def positions(values: Mapping[Key, float]) -> tuple[tuple[Place, float], ...]:
    """Positions at which gaps are looked at.

    ``values``: solved, mm and radians. Gives pairs of place and lock angle of the wheels, rad, left
    +, 0 where they stand straight; no pair at lock while the lock is not read.
    """
    by_name = {place.name: place for place in envelope(values)}
    lock = values.get(Key("steering.lock", "C"), 0.0)
    rows = [(by_name[name], 0.0) for name in POSITIONS if name in by_name]
    for name in ("ride height", "full bump", "left on its stop", "right on its stop"):
        for way, word in ((1, "left"), (-1, "right")):
            if lock and name in by_name:
                rows.append((by_name[name]._replace(name=f"{name}, {word} lock"), way * lock))
    return tuple(rows)


def hits(truck: Truck, job: Job, solved: Graph, shop: Shop) -> tuple[Gap, ...]:
    """Every pair that comes within 1 in (or the clearance asked for), tightest first; 1/16 in is
    allowed at a joint. Empty while the linkage waits.
    """
    values = solved.values
    rows = positions(values)
    travel = study(job, solved, [place for place, _ in rows], posed=True)
    if travel.pose is None:
        return ()
    return Hits(truck, job, values, shop, travel, [lock for _, lock in rows]).all()


class Hits:
    """The bodies of a truck at the positions of ``t``; gaps of all pairs or of one."""

    def __init__(
        self,
        truck: Truck,
        job: Job,
        values: Mapping[Key, float],
        shop: Shop,
        travel: Travel,
        locks: list[float],
        bodies: tuple[Rigid, ...] | None = None,
    ) -> None:
        self.truck, self.job, self.v, self.t, self.locks = truck, job, values, travel, locks
        self.bodies = rigids(truck, job, values, shop) if bodies is None else bodies
        self.moves = transforms(travel)
        self.touching = joined(truck.assembly)
        self.rides = groups(truck.assembly)
        self.allowed = values.get(Key("travel.clearance", "C"), 0.5 * units.IN)
        self.look = max(LOOK, self.allowed)
        self.at_joint = in_joint(truck.assembly, self.rides)
        self.doubt = Doubt(job)
        self.least: dict[tuple[str, str], float] = {}
        self.bars = True

    def elsewhere(
        self, travel: Travel, locks: list[float], bodies: tuple[Rigid, ...], *, bars: bool = True
    ) -> Hits:
        """Some bodies of the same truck at the positions of another travel; ``bars``: with its
        round bars.
        """
        other = copy.copy(self)
        other.t, other.locks, other.bodies, other.bars = travel, locks, bodies, bars
        other.moves, other.least = transforms(travel), {}
        return other

    def all(self) -> tuple[Gap, ...]:
        """Least gap of every pair over all positions, what is furthest under the gap wanted
        first.
        """
        best: dict[tuple[str, str], Gap] = {}
        for number, place in enumerate(self.t.places):
            assert self.t.pose is not None
            if not self.t.pose.settled[number]:
                continue
            for gap in self.at(number, place.name):
                pair = (gap.one, gap.two)
                if pair not in best or gap.gap < best[pair].gap - SAME:
                    best[pair] = gap
                    self.least[pair] = gap.gap
        return tuple(
            sorted(
                best.values(), key=lambda gap: (round(gap.gap - gap.allowed, 3), gap.one, gap.two)
            )
        )

    def at(self, number: int, place: str, only: Only = lambda one, two: True) -> Iterator[Gap]:
        """Gaps of every pair within reach at position ``number``; ``only``: pairs looked at."""
        lock = self.locks[number]
        posed = []
        for body in self.bodies:
            turn, shift = self.moves[body.group]
            posed.append(Posed(body, turn[number], shift[number]))
        bars = rounds(self.t, self.truck, self.job, self.v, number, lock) if self.bars else ()
        stand = [PosedBar(each) for each in bars if lock == 0.0 or each.flat or _steered(each)]
        if lock == 0.0:
            for one, two in self._reached(posed):
                if (
                    self._apart(one.body, two.body)
                    and only(one.body.name, two.body.name)
                    and not one.apart(two, self.look + PITCH)
                ):
                    yield from self._solids(one, two, place)
        for bar, posed_body in self._beside_bars(posed, stand):
            if self._free(bar.bar, posed_body.body) and only(bar.bar.name, posed_body.body.name):
                yield from self._bar(bar, posed_body, place)
        for first, second in combinations(bars, 2):
            steered = lock == 0.0 or first.flat or second.flat
            if steered and self._loose(first, second) and only(first.name, second.name):
                yield from self._bars(first, second, place)

    def _reached(self, posed: Sequence[Posed]) -> Iterator[tuple[Posed, Posed]]:
        """Pairs of bodies whose balls come within what is looked at."""
        middles, reach = _balls(posed)
        for number, one in enumerate(posed):
            apart = np.linalg.norm(middles[number + 1 :] - one.middle, axis=1)
            for further in np.flatnonzero(
                apart < reach[number + 1 :] + one.body.radius + self.look
            ):
                yield one, posed[number + 1 + int(further)]

    def _beside_bars(
        self, posed: Sequence[Posed], bars: Iterable[PosedBar]
    ) -> Iterator[tuple[PosedBar, Posed]]:
        """Bars and bodies whose balls come within what is looked at."""
        middles, reach = _balls(posed)
        for bar in bars:
            apart = np.linalg.norm(middles - bar.middle, axis=1)
            for number in np.flatnonzero(apart < reach + bar.half + bar.bar.radius + self.look):
                yield bar, posed[int(number)]

    def _apart(self, one: Rigid, two: Rigid) -> bool:
        return one.group != two.group and frozenset((one.name, two.name)) not in self.touching

    def _free(self, bar: RoundBar, body: Rigid) -> bool:
        base, _, side = bar.name.partition(".")
        holder = Role.IN_COIL if base == "coil" else Role.SHOCK_TABS
        mine = not side or body.name.endswith("." + side)
        held = does(holder, body.name, body.family)
        if (base == "coil" or base in codes(Role.SHOCK)) and mine and held:
            return False
        if base == "tire" and body.name == "axle.C":
            return False
        return not (base == "shaft" and body.name == "diff.C")

    def _loose(self, one: RoundBar, two: RoundBar) -> bool:
        bases = {one.name.partition(".")[0], two.name.partition(".")[0]}
        if bases in ({"coil"}, {"tire"}, set(codes(Role.SHOCK))):
            return False
        return not ("tire" in bases and bases & {"tie_rod", "drag_link"})

    def _solids(self, one: Posed, two: Posed, place: str) -> Iterator[Gap]:
        names = (one.body.name, two.body.name)
        best = between(one, two, self.look, self._asked(*names))
        yield from self._gap(*names, (one.body.title, two.body.title), best, place)

    def _asked(self, one: str, two: str) -> float:
        """Gap from which a pair is of no interest: what is looked at, or the least known so far."""
        return min(self.look, self.least.get((one, two), math.inf))

    def _bar(self, own: PosedBar, posed: Posed, place: str) -> Iterator[Gap]:
        bar = own.bar
        asked = self._asked(bar.name, posed.body.name)
        if not own.near(posed, self.look, asked):
            return
        if bar.flat:
            best = asked, np.zeros(3)
            half = np.abs(bar.b - bar.a) / 2 + bar.radius + self.look
            edges = posed.edges.within(own.middle - half, own.middle + half)
            rims = posed.near(own.rims, self.look)
            for of, signed in ((edges, own.solid.signed), (rims, posed.signed)):
                best = min(best, nearest(of, signed, best[0]), key=lambda found: found[0])
        else:
            best = from_axis(bar, posed.signed, PITCH, asked)
        yield from self._gap(bar.name, posed.body.name, (bar.title, posed.body.title), best, place)

    def _bars(self, one: RoundBar, two: RoundBar, place: str) -> Iterator[Gap]:
        if one.flat or two.flat:
            flat, bar = (one, two) if one.name.startswith("tire") or not two.flat else (two, one)
            apart, at = from_axis(bar, drum(flat).signed, PITCH)
            yield from self._gap(one.name, two.name, (one.title, two.title), (apart, at), place)
            return
        apart, at = segments(one.a, one.b, two.a, two.b)
        yield from self._gap(
            one.name, two.name, (one.title, two.title), (apart - one.radius - two.radius, at), place
        )

    def _gap(
        self, one: str, two: str, titles: tuple[str, str], best: tuple[float, Points], place: str
    ) -> Iterator[Gap]:
        # what is no nearer than was found elsewhere is no news, and its doubt is not worked
        if best[0] < min(self.look, self.least.get((one, two), math.inf) - SAME):
            at_joint = self.at_joint(one, two)
            x, y, z = (float(part) for part in best[1])
            yield Gap(
                one=one,
                two=two,
                titles=titles,
                gap=best[0],
                place=place,
                at=(x, y, z),
                allowed=min(self.allowed, JOINT) if at_joint else self.allowed,
                plus_minus=self.doubt.pair(one, two, at_joint),
            )


def between(one: Posed, two: Posed, look: float, least: float = math.inf) -> tuple[float, Points]:
    """Least gap of two solids and where, looked for up to ``look``; settled to 0.05 mm only where
    it may be under ``least``. Below zero: how far a point of one lies in the other.
    """
    best = (math.inf, np.zeros(3))
    reach = min(look, least + PITCH)
    for own, other in ((one, two), (two, one)):
        local = (own.cloud - other.shift) @ other.turn
        keep = ((local > other.body.low - reach) & (local < other.body.high + reach)).all(axis=1)
        if keep.any():
            near = own.cloud[keep]
            apart = other.body.solid.signed(local[keep])
            nearest_row = int(np.argmin(apart))
            best = min(
                best, (float(apart[nearest_row]), near[nearest_row]), key=lambda found: found[0]
            )
    if best[0] - PITCH < min(look, least):
        for own, other in ((one, two), (two, one)):
            if isinstance(own.body.solid, Capsule):
                start, end = own.body.solid.ends() @ own.turn.T + own.shift
                ball = RoundBar("", "", start, end, own.body.solid.od / 2)
                best = min(
                    best, from_axis(ball, other.signed, PITCH, best[0]), key=lambda found: found[0]
                )
        if all(type(posed.body.solid) is Pipe for posed in (one, two)):
            best = min(best, _beside(one, two), key=lambda found: found[0])
        for own, other in ((one, two), (two, one)):
            got = nearest(other.near(own.edges, look), other.signed, best[0])
            best = min(best, got, key=lambda found: found[0])
    return best


def _steered(bar: RoundBar) -> bool:
    """Whether it stands elsewhere at lock, though it has no square ends."""
    return bar.name == "tie_rod"


def _balls(posed: Sequence[Posed]) -> tuple[Points, Points]:
    """Middle (N, 3) and radius (N,) of the ball round each body."""
    middles = np.array([one.middle for one in posed]).reshape(-1, 3)
    return middles, np.array([one.body.radius for one in posed])


def _beside(one: Posed, two: Posed) -> tuple[float, Points]:
    """Gap of two rounds that pass each other side by side; infinite where an end comes first, which
    the edges see.
    """
    axes, radii = [], 0.0
    for posed in (one, two):
        assert isinstance(posed.body.solid, Pipe)
        axes.append(posed.body.solid.ends() @ posed.turn.T + posed.shift)
        radii += posed.body.solid.od / 2
    first, second = axes
    apart, at = segments(*first, *second)
    _, other = segments(*second, *first)
    inner = _inside(at, *first) and _inside(other, *second)
    return (apart - radii if inner else math.inf), at


def _inside(point: Points, start: Points, end: Points) -> bool:
    """Whether a point of a line lies between its ends, not at one."""
    long = end - start
    part = float((point - start) @ long) / float(long @ long)
    return AT_END < part < 1 - AT_END


def touching(
    truck: Truck,
    job: Job,
    values: Mapping[Key, float],
    shop: Shop,
    gaps: Iterable[Gap],
    most: int = 6,
) -> Callable[[Travel], tuple[Criterion, ...]]:
    """Limits from the closest pairs: where each would touch along a path, wheels straight. A gap
    counts from where nobody can tell it from touching.
    """
    close = [gap for gap in gaps if "lock" not in gap.place and gap.verdict is not Verdict.OK][
        :most
    ]
    wanted = {frozenset((gap.one, gap.two)): gap for gap in close}
    names = {name for pair in wanted for name in pair}
    bodies = (
        tuple(body for body in rigids(truck, job, values, shop) if body.name in names)
        if wanted
        else ()
    )

    bars = len(bodies) < len(names)
    first: list[Hits] = []

    def at(travel: Travel) -> tuple[Criterion, ...]:
        if not wanted:
            return ()
        locks = [0.0] * len(travel.places)
        if not first:
            first.append(Hits(truck, job, values, shop, travel, locks, bodies=bodies))
        placed = first[0].elsewhere(travel, locks, bodies, bars=bars)
        return tuple(
            Criterion(_touches(wanted[pair]), -left, 0.0, "length", Key("gap", "C"), -1)
            for pair, left in _gaps_along(placed, travel, wanted).items()
        )

    return at


def _touches(gap: Gap) -> str:
    """What a pair is called that may touch."""
    one, two = zip(gap.titles, (gap.one, gap.two), strict=True)
    return f"{called(*one)} touches {called(*two)}"


def _gaps_along(
    placed: Hits, travel: Travel, wanted: Mapping[frozenset[str], Gap]
) -> dict[frozenset[str], Points]:
    """Gap less its plus-minus of each pair at every position (N,), mm: every second one is looked
    at, straight lines between.
    """
    many = len(travel.places)
    looked = sorted({*range(0, many, 2), many - 1})
    left = {pair: np.full(many, placed.look - gap.plus_minus) for pair, gap in wanted.items()}
    for row in looked:
        name = travel.places[row].name
        for gap in placed.at(row, name, lambda one, two: frozenset((one, two)) in wanted):
            left[frozenset((gap.one, gap.two))][row] = gap.gap - gap.plus_minus
    return {pair: np.interp(np.arange(many), looked, own[looked]) for pair, own in left.items()}


__all__ = ["Gap", "Hits", "Posed", "from_axis", "hits", "positions", "segments", "touching"]
