"""Will it hit? Least gap between every two bodies that move against each other and are not joined,
at bump, ride, droop, roll and lock.

Between what is really there: generated parts and bought joints from their own solids, links and
coils as round bars, tires as discs at lock, obstacles as boxes or rounds. Solids are compared by
the edges of each against the other, to 0.005 in (``closest``); round bars exactly.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import combinations

import numpy as np

from ...layout import units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.travel import Place, Travel, envelope, study
from ...layout.travel.limits import Criterion
from ..geometry.closest import Edges, Round, drum, from_axis, nearest, pieces, segments
from ..geometry.solid import Capsule, Pipe, Points
from ..model.verdict import Verdict
from ..stock import Shop
from ..truck.truck import Truck
from ..words.names import called
from .gap import Doubt, Gap
from .motion import PITCH, Rigid, groups, in_joint, joined, rigids, rounds, transforms

LOOK, JOINT = units.IN, units.IN / 16
INSIDE_COIL = ("CM4", "CM5", "LS", "BP")
HELD = {"coil": INSIDE_COIL, "ST7": ("ST",)}


AT_END = 1e-9
"""Share of a line from its end that is its end."""
Only = Callable[[str, str], bool]
"""Which pairs are looked at, by their names."""


class Posed:
    """A rigid body at one position: turn, shift, its moved middle; its moved surface on demand."""

    def __init__(self, body: Rigid, turn: Points, shift: Points) -> None:
        self.body, self.turn, self.shift = body, turn, shift
        self.middle = turn @ body.centre + shift

    @cached_property
    def cloud(self) -> Points:
        """Surface points in truck axes."""
        return np.asarray(self.body.cloud @ self.turn.T + self.shift)

    @cached_property
    def edges(self) -> Edges:
        """Edges in truck axes."""
        return self.body.edges.moved(self.turn, self.shift)

    def signed(self, p: Points) -> Points:
        """Distance of points in truck axes from its steel, below zero inside."""
        return np.asarray(self.body.solid.signed((p - self.shift) @ self.turn))

    def near(self, e: Edges, room: float) -> Edges:
        """Pieces of edge that reach into its own box, ``room`` wider; still in truck axes."""
        own = Edges((e.a - self.shift) @ self.turn, (e.b - self.shift) @ self.turn)
        own = own.within(self.body.low - room, self.body.high + room)
        return own.moved(self.turn, self.shift)


def positions(v: Mapping[Key, float]) -> tuple[tuple[Place, float], ...]:
    """Positions looked at, each with the wheels straight or at lock (rad, left +)."""
    by = {p.name: p for p in envelope(v)}
    lock = v.get(Key("steering.lock", "C"), 0.0)
    names = (
        "full bump",
        "ride height",
        "full droop",
        "roll, left up",
        "roll, right up",
        "left on its stop",
        "right on its stop",
    )
    rows = [(by[n], 0.0) for n in names if n in by]
    for n in ("ride height", "full bump", "left on its stop", "right on its stop"):
        for way, word in ((1, "left"), (-1, "right")):
            if lock and n in by:
                rows.append((by[n]._replace(name=f"{n}, {word} lock"), way * lock))
    return tuple(rows)


def hits(truck: Truck, job: Job, solved: Graph, shop: Shop) -> tuple[Gap, ...]:
    """Every pair that comes within 1 in (or the clearance asked for), tightest first; 1/16 in is
    allowed at a joint. Empty while the linkage waits.
    """
    v = solved.values
    rows = positions(v)
    t = study(job, solved, [p for p, _ in rows])
    if t.pose is None:
        return ()
    return Hits(truck, job, v, shop, t, [lock for _, lock in rows]).all()


class Hits:
    """The bodies of a truck at the positions of ``t``; gaps of all pairs or of one."""

    def __init__(
        self,
        truck: Truck,
        job: Job,
        v: Mapping[Key, float],
        shop: Shop,
        t: Travel,
        locks: list[float],
        bodies: tuple[Rigid, ...] | None = None,
    ) -> None:
        self.truck, self.job, self.v, self.t, self.locks = truck, job, v, t, locks
        self.bodies = rigids(truck, job, v, shop) if bodies is None else bodies
        self.moves = transforms(t)
        self.touching = joined(truck.assembly)
        self.rides = groups(truck.assembly)
        self.allowed = v.get(Key("travel.clearance", "C"), 0.5 * units.IN)
        self.look = max(LOOK, self.allowed)
        self.at_joint = in_joint(truck.assembly, self.rides)
        self.doubt = Doubt(job)
        self.least: dict[tuple[str, str], float] = {}

    def all(self) -> tuple[Gap, ...]:
        """Least gap of every pair over all positions, what is furthest under the gap wanted
        first.
        """
        best: dict[tuple[str, str], Gap] = {}
        for i, place in enumerate(self.t.places):
            assert self.t.pose is not None
            if not self.t.pose.settled[i]:
                continue
            for g in self.at(i, place.name):
                k = (g.one, g.two)
                if k not in best or g.gap < best[k].gap - 1e-6:
                    best[k] = g
                    self.least[k] = g.gap
        return tuple(
            sorted(best.values(), key=lambda g: (round(g.gap - g.allowed, 3), g.one, g.two))
        )

    def at(self, i: int, place: str, only: Only = lambda one, two: True) -> Iterator[Gap]:
        """Gaps of every pair within reach at position ``i``; ``only``: pairs looked at."""
        lock = self.locks[i]
        posed = []
        for b in self.bodies:
            turn, shift = self.moves[b.group]
            posed.append(Posed(b, turn[i], shift[i]))
        bars = rounds(self.t, self.truck, self.job, self.v, i, lock)
        if lock == 0.0:
            for one, two in self._reached(posed):
                if self._apart(one.body, two.body) and only(one.body.name, two.body.name):
                    yield from self._solids(one, two, place)
        for bar, p in self._beside_bars(
            posed, [r for r in bars if lock == 0.0 or r.flat or r.name == "tie_rod"]
        ):
            if self._free(bar, p.body) and only(bar.name, p.body.name):
                yield from self._bar(bar, p, place)
        for r, s in combinations(bars, 2):
            steered = lock == 0.0 or r.flat or s.flat
            if steered and self._loose(r, s) and only(r.name, s.name):
                yield from self._bars(r, s, place)

    def _reached(self, posed: Sequence[Posed]) -> Iterator[tuple[Posed, Posed]]:
        """Pairs of bodies whose balls come within what is looked at."""
        middles, reach = _balls(posed)
        for n, one in enumerate(posed):
            apart = np.linalg.norm(middles[n + 1 :] - one.middle, axis=1)
            for k in np.flatnonzero(apart < reach[n + 1 :] + one.body.radius + self.look):
                yield one, posed[n + 1 + int(k)]

    def _beside_bars(
        self, posed: Sequence[Posed], bars: Iterable[Round]
    ) -> Iterator[tuple[Round, Posed]]:
        """Bars and bodies whose balls come within what is looked at."""
        middles, reach = _balls(posed)
        for bar in bars:
            middle, half = (bar.a + bar.b) / 2, float(np.linalg.norm(bar.b - bar.a)) / 2
            apart = np.linalg.norm(middles - middle, axis=1)
            for k in np.flatnonzero(apart < reach + half + bar.radius + self.look):
                yield bar, posed[int(k)]

    def _apart(self, one: Rigid, two: Rigid) -> bool:
        return one.group != two.group and frozenset((one.name, two.name)) not in self.touching

    def _free(self, r: Round, b: Rigid) -> bool:
        base, _, side = r.name.partition(".")
        held = HELD.get(base, ())
        mine = not side or b.name.endswith("." + side)
        if base in ("coil", "ST7") and mine and b.name.startswith(held):
            return False
        if base == "tyre" and b.name == "axle.C":
            return False
        return not (base == "shaft" and b.name == "diff.C")

    def _loose(self, r: Round, s: Round) -> bool:
        bases = {r.name.partition(".")[0], s.name.partition(".")[0]}
        if bases in ({"coil"}, {"tyre"}, {"ST7"}):
            return False
        return not ("tyre" in bases and bases & {"tie_rod", "drag_link"})

    def _solids(self, one: Posed, two: Posed, place: str) -> Iterator[Gap]:
        names = (one.body.name, two.body.name)
        best = between(one, two, self.look, self._asked(*names))
        yield from self._gap(*names, (one.body.title, two.body.title), best, place)

    def _asked(self, one: str, two: str) -> float:
        """Gap from which a pair is of no interest: what is looked at, or the least known so far."""
        return min(self.look, self.least.get((one, two), math.inf))

    def _bar(self, r: Round, p: Posed, place: str) -> Iterator[Gap]:
        if not self._beside(r, p):
            return
        if r.flat:
            best, solid = (self._asked(r.name, p.body.name), np.zeros(3)), drum(r)
            half = np.abs(r.b - r.a) / 2 + r.radius + self.look
            middle = (r.a + r.b) / 2
            own = p.edges.within(middle - half, middle + half)
            rims = p.near(pieces(*solid.edges(), PITCH), self.look)
            for e, signed in ((own, solid.signed), (rims, p.signed)):
                best = min(best, nearest(e, signed, best[0]), key=lambda x: x[0])
        else:
            best = from_axis(r, p.signed, PITCH, self._asked(r.name, p.body.name))
        yield from self._gap(r.name, p.body.name, (r.title, p.body.title), best, place)

    def _beside(self, r: Round, p: Posed) -> bool:
        """Whether a bar comes near a body's own box at all."""
        axis = (np.linspace(r.a, r.b, 12) - p.shift) @ p.turn
        room = r.radius + self.look + float(np.linalg.norm(r.b - r.a)) / 22
        return bool(((axis > p.body.low - room) & (axis < p.body.high + room)).all(axis=1).any())

    def _bars(self, r: Round, s: Round, place: str) -> Iterator[Gap]:
        if r.flat or s.flat:
            flat, bar = (r, s) if r.name.startswith("tyre") or not s.flat else (s, r)
            d, at = from_axis(bar, drum(flat).signed, PITCH)
            yield from self._gap(r.name, s.name, (r.title, s.title), (d, at), place)
            return
        d, at = segments(r.a, r.b, s.a, s.b)
        yield from self._gap(
            r.name, s.name, (r.title, s.title), (d - r.radius - s.radius, at), place
        )

    def _gap(
        self, one: str, two: str, titles: tuple[str, str], best: tuple[float, Points], place: str
    ) -> Iterator[Gap]:
        if best[0] < self.look:
            at_joint = self.at_joint(one, two)
            x, y, z = (float(a) for a in best[1])
            yield Gap(
                one,
                two,
                titles,
                best[0],
                place,
                (x, y, z),
                min(self.allowed, JOINT) if at_joint else self.allowed,
                self.doubt.pair(one, two, at_joint),
            )


def between(one: Posed, two: Posed, look: float, least: float = math.inf) -> tuple[float, Points]:
    """Least gap of two solids and where, looked for up to ``look``; settled to 0.05 mm only where
    it may be under ``least``. Below zero: how far a point of one lies in the other.
    """
    best = (math.inf, np.zeros(3))
    for a, b in ((one, two), (two, one)):
        local = (a.cloud - b.shift) @ b.turn
        keep = ((local > b.body.low - look) & (local < b.body.high + look)).all(axis=1)
        if keep.any():
            near = a.cloud[keep]
            d = b.body.solid.signed(local[keep])
            j = int(np.argmin(d))
            best = min(best, (float(d[j]), near[j]), key=lambda x: x[0])
    if best[0] - PITCH < min(look, least):
        for a, b in ((one, two), (two, one)):
            if isinstance(a.body.solid, Capsule):
                start, end = a.body.solid.ends() @ a.turn.T + a.shift
                ball = Round("", "", start, end, a.body.solid.od / 2)
                best = min(best, from_axis(ball, b.signed, PITCH, best[0]), key=lambda x: x[0])
        if all(type(p.body.solid) is Pipe for p in (one, two)):
            best = min(best, _beside(one, two), key=lambda x: x[0])
        for a, b in ((one, two), (two, one)):
            got = nearest(b.near(a.edges, look), b.signed, best[0])
            best = min(best, got, key=lambda x: x[0])
    return best


def _balls(posed: Sequence[Posed]) -> tuple[Points, Points]:
    """Middle (N, 3) and radius (N,) of the ball round each body."""
    middles = np.array([p.middle for p in posed]).reshape(-1, 3)
    return middles, np.array([p.body.radius for p in posed])


def _beside(one: Posed, two: Posed) -> tuple[float, Points]:
    """Gap of two rounds that pass each other side by side; infinite where an end comes first, which
    the edges see.
    """
    axes, radii = [], 0.0
    for p in (one, two):
        assert isinstance(p.body.solid, Pipe)
        axes.append(p.body.solid.ends() @ p.turn.T + p.shift)
        radii += p.body.solid.od / 2
    (a, b), (c, d) = axes
    apart, at = segments(a, b, c, d)
    _, other = segments(c, d, a, b)
    inner = _inside(at, a, b) and _inside(other, c, d)
    return (apart - radii if inner else math.inf), at


def _inside(x: Points, start: Points, end: Points) -> bool:
    """Whether a point of a line lies between its ends, not at one."""
    long = end - start
    part = float((x - start) @ long) / float(long @ long)
    return AT_END < part < 1 - AT_END


def touching(
    truck: Truck, job: Job, v: Mapping[Key, float], shop: Shop, gaps: Iterable[Gap], most: int = 6
) -> Callable[[Travel], tuple[Criterion, ...]]:
    """Limits from the closest pairs: where each would touch along a path, wheels straight. A gap
    counts from where nobody can tell it from touching.
    """
    close = [g for g in gaps if "lock" not in g.place and g.verdict is not Verdict.OK][:most]
    wanted = {frozenset((g.one, g.two)): g for g in close}
    names = {n for p in wanted for n in p}
    bodies = tuple(b for b in rigids(truck, job, v, shop) if b.name in names) if wanted else ()

    def at(t: Travel) -> tuple[Criterion, ...]:
        if not wanted:
            return ()
        h = Hits(truck, job, v, shop, t, [0.0] * len(t.places), bodies)
        n = len(t.places)
        looked = sorted({*range(0, n, 2), n - 1})
        value = {p: np.full(n, h.look - g.plus_minus) for p, g in wanted.items()}
        for i in looked:
            for g in h.at(i, t.places[i].name, lambda a, b: frozenset((a, b)) in wanted):
                value[frozenset((g.one, g.two))][i] = g.gap - g.plus_minus
        value = {p: np.interp(np.arange(n), looked, a[looked]) for p, a in value.items()}
        return tuple(
            Criterion(
                " touches ".join(
                    called(t, c)
                    for t, c in zip(wanted[p].titles, (wanted[p].one, wanted[p].two), strict=True)
                ),
                -a,
                0.0,
                "length",
                Key("gap", "C"),
                -1,
            )
            for p, a in value.items()
        )

    return at


__all__ = [
    "Gap",
    "Hits",
    "from_axis",
    "hits",
    "positions",
    "segments",
    "touching",
]
