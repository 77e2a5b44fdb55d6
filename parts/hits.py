"""Will it hit? Least gap between every two bodies that move against each other and are not joined, at bump, ride, droop, roll and lock.

Between what is really there: generated parts and bought joints from their own solids, links and coils as round bars, tyres as discs at lock,
obstacles as boxes or rounds. Solids are compared by points on their surface, 10 mm apart, both ways round; round bars exactly."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ..layout import units
from ..layout.graph import Graph
from ..layout.job.load import Job
from ..layout.quantities import Key
from ..layout.setout._say import SIDE_WORD, inch
from ..layout.travel import Place, Travel, envelope, study
from ..layout.travel.limits import Criterion
from .riding import PITCH, Rigid, Round, groups, in_joint, joined, rigids, rounds, transforms
from .solid import Points
from .stock import Shop
from .truck import Truck
from .verdict import Verdict

LOOK, JOINT = units.IN, units.IN / 16
INSIDE_COIL = ("CM4", "CM5", "LS", "BP")
HELD = {"coil": INSIDE_COIL, "ST7": ("ST",)}


class Gap(NamedTuple):
    """Least gap of one pair, mm, below zero if they run into each other by that much; where (truck axes, mm) and at which position."""

    one: str
    two: str
    titles: tuple[str, str]
    gap: float
    place: str
    at: tuple[float, float, float]
    allowed: float

    @property
    def verdict(self) -> Verdict:
        """Touches, tight or ok."""
        if self.gap < 0:
            return Verdict.TOUCHES
        return Verdict.TIGHT if self.gap < self.allowed - 1e-9 else Verdict.OK


class Posed:
    """A rigid body at one position: turn, shift, its moved middle; its moved surface on demand."""

    def __init__(self, body: Rigid, turn: Points, shift: Points) -> None:
        self.body, self.turn, self.shift = body, turn, shift
        self.middle = turn @ body.centre + shift

    @cached_property
    def cloud(self) -> Points:
        """Surface points in truck axes."""
        return np.asarray(self.body.cloud @ self.turn.T + self.shift)


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
    """Every pair that comes within 1 in (or the clearance asked for), tightest first; 1/16 in is allowed at a joint. Empty while the linkage waits."""
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

    def all(self) -> tuple[Gap, ...]:
        """Least gap of every pair over all positions, what is furthest under the gap wanted first."""
        best: dict[tuple[str, str], Gap] = {}
        for i, place in enumerate(self.t.places):
            assert self.t.pose is not None
            if not self.t.pose.settled[i]:
                continue
            for g in self.at(i, place.name):
                k = (g.one, g.two)
                if k not in best or g.gap < best[k].gap - 1e-6:
                    best[k] = g
        return tuple(
            sorted(best.values(), key=lambda g: (round(g.gap - g.allowed, 3), g.one, g.two))
        )

    def at(
        self, i: int, place: str, only: Callable[[str, str], bool] = lambda a, b: True
    ) -> Iterator[Gap]:
        """Gaps of every pair within reach at position ``i``."""
        lock = self.locks[i]
        posed = [Posed(b, (m := self.moves[b.group])[0][i], m[1][i]) for b in self.bodies]
        middles, reach = (
            np.array([p.middle for p in posed]).reshape(-1, 3),
            np.array([p.body.radius for p in posed]),
        )
        bars = rounds(self.t, self.truck, self.job, self.v, i, lock)
        at_lock = lock != 0.0
        for n, one in enumerate(posed) if not at_lock else ():
            apart = np.linalg.norm(middles[n + 1 :] - one.middle, axis=1)
            for k in np.flatnonzero(apart < reach[n + 1 :] + one.body.radius + self.look):
                two = posed[n + 1 + int(k)]
                if (
                    one.body.group != two.body.group
                    and self._apart(one.body.name, two.body.name)
                    and only(one.body.name, two.body.name)
                ):
                    yield from self._solids(one, two, place)
        for r in bars:
            if at_lock and not (r.flat or r.name == "tie_rod"):
                continue
            mid, half = (r.a + r.b) / 2, float(np.linalg.norm(r.b - r.a)) / 2
            for k in np.flatnonzero(
                np.linalg.norm(middles - mid, axis=1) < reach + half + r.radius + self.look
            ):
                p = posed[int(k)]
                if self._free(r, p.body) and only(r.name, p.body.name):
                    yield from self._bar(r, p, place)
        for n, r in enumerate(bars):
            for s in bars[n + 1 :]:
                if self._loose(r, s) and (not at_lock or r.flat or s.flat) and only(r.name, s.name):
                    yield from self._bars(r, s, place)

    def _apart(self, one: str, two: str) -> bool:
        return frozenset((one, two)) not in self.touching

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
        if bases == {"coil"} or bases == {"tyre"} or bases == {"ST7"}:
            return False
        return not ("tyre" in bases and bases & {"tie_rod", "drag_link"})

    def _solids(self, one: Posed, two: Posed, place: str) -> Iterator[Gap]:
        best = (math.inf, np.zeros(3))
        for a, b in ((one, two), (two, one)):
            local = (a.cloud - b.shift) @ b.turn
            keep = ((local > b.body.low - self.look) & (local < b.body.high + self.look)).all(
                axis=1
            )
            if keep.any():
                near = a.cloud[keep]
                d = b.body.solid.signed(local[keep])
                j = int(np.argmin(d))
                best = min(best, (float(d[j]), near[j]), key=lambda x: x[0])
        yield from self._gap(
            one.body.name, two.body.name, (one.body.title, two.body.title), best, place
        )

    def _bar(self, r: Round, p: Posed, place: str) -> Iterator[Gap]:
        if r.flat:
            d = _from_round(p.cloud, r)
            j = int(np.argmin(d))
            best = (float(d[j]), p.cloud[j])
        elif not self._beside(r, p):
            return
        else:
            best = from_axis(r, lambda x: p.body.solid.signed((x - p.shift) @ p.turn))
        yield from self._gap(r.name, p.body.name, (r.title, p.body.title), best, place)

    def _beside(self, r: Round, p: Posed) -> bool:
        """Whether a bar comes near a body's own box at all."""
        axis = (np.linspace(r.a, r.b, 12) - p.shift) @ p.turn
        room = r.radius + self.look + float(np.linalg.norm(r.b - r.a)) / 22
        return bool(((axis > p.body.low - room) & (axis < p.body.high + room)).all(axis=1).any())

    def _bars(self, r: Round, s: Round, place: str) -> Iterator[Gap]:
        if r.flat or s.flat:
            flat, bar = (r, s) if r.name.startswith("tyre") or not s.flat else (s, r)
            axis = bar.a + (bar.b - bar.a) * np.linspace(0, 1, 60)[:, None]
            d = _from_round(axis, flat) - bar.radius
            j = int(np.argmin(d))
            yield from self._gap(r.name, s.name, (r.title, s.title), (float(d[j]), axis[j]), place)
            return
        d, at = segments(r.a, r.b, s.a, s.b)
        yield from self._gap(
            r.name, s.name, (r.title, s.title), (d - r.radius - s.radius, at), place
        )

    def _gap(
        self, one: str, two: str, titles: tuple[str, str], best: tuple[float, Points], place: str
    ) -> Iterator[Gap]:
        if best[0] < self.look:
            yield Gap(
                one,
                two,
                titles,
                best[0],
                place,
                tuple(float(x) for x in best[1]),
                min(self.allowed, JOINT) if self.at_joint(one, two) else self.allowed,
            )  # type: ignore[arg-type]


def from_axis(r: Round, signed: Callable[[Points], Points]) -> tuple[float, Points]:
    """Least distance from a round bar with round ends to a solid given by its distance function, and where: its axis, looked at ever closer."""
    low, high = 0.0, 1.0
    n = max(3, math.ceil(float(np.linalg.norm(r.b - r.a)) / PITCH) + 1)
    best = (math.inf, r.a)
    for _ in range(3):
        at = np.linspace(low, high, n)
        axis = r.a + (r.b - r.a) * at[:, None]
        d = signed(axis) - r.radius
        j = int(np.argmin(d))
        best = min(best, (float(d[j]), axis[j]), key=lambda x: x[0])
        low, high, n = max(0.0, at[j] - (at[1] - at[0])), min(1.0, at[j] + (at[1] - at[0])), 17
    return best


def _from_round(p: Points, r: Round) -> Points:
    """Distance of points from a round bar (round ends) or from a disc (flat ends); below zero inside."""
    along = r.b - r.a
    long = float(np.linalg.norm(along))
    rel = p - r.a
    k = rel @ along / long
    if not r.flat:
        foot = np.clip(k, 0.0, long)[:, None] * along / long
        return np.asarray(np.linalg.norm(rel - foot, axis=1) - r.radius)
    out = np.linalg.norm(rel - k[:, None] * along / long, axis=1) - r.radius
    side = np.maximum(-k, k - long)
    return np.asarray(
        np.where(
            (out < 0) & (side < 0),
            np.maximum(out, side),
            np.hypot(np.maximum(out, 0.0), np.maximum(side, 0.0)),
        )
    )


def segments(a: Points, b: Points, c: Points, d: Points) -> tuple[float, Points]:
    """Least distance between segments ab and cd, exact, and the point of ab it is at."""
    u, v, w = b - a, d - c, a - c
    uu, vv, uv, uw, vw = float(u @ u), float(v @ v), float(u @ v), float(u @ w), float(v @ w)
    det = uu * vv - uv * uv
    tries = []
    if det > 1e-12 * uu * vv:
        s, t = (uv * vw - vv * uw) / det, (uu * vw - uv * uw) / det
        if 0 <= s <= 1 and 0 <= t <= 1:
            tries.append((s, t))
    for s in (0.0, 1.0):
        tries.append((s, min(max((vw + s * uv) / vv, 0.0), 1.0)))
    for t in (0.0, 1.0):
        tries.append((min(max((t * uv - uw) / uu, 0.0), 1.0), t))
    best = min(tries, key=lambda x: float(np.sum((w + x[0] * u - x[1] * v) ** 2)))
    return float(np.linalg.norm(w + best[0] * u - best[1] * v)), a + best[0] * u


def trims(found: Iterable[Gap], solved: Graph, truck: Truck) -> tuple[str, ...]:
    """For every pair that hits or is too tight: what to trim or notch, where in tape-able offsets and how deep, and whether one side only."""
    rows = list(found)
    said = []
    bad = {(g.one, g.two): g for g in rows if g.verdict is not Verdict.OK}
    for (one, two), g in bad.items():
        x, y, z = g.at
        side = "left" if y > 0 else "right"
        datum = solved.values.get(Key("frame.datum_hole", "L" if y > 0 else "R"))
        along = (
            f"{inch(abs(x - datum))} {'ahead of' if x > datum else 'behind'} the datum hole"
            if datum is not None
            else f"{inch(x)} from the full-bump plumb line"
        )
        other = (_swap(one), _swap(two))
        twin = bad.get(other) or bad.get((other[1], other[0]))
        alone = (
            f"; on the {side} only, the axle is shifted sideways there"
            if twin is None
            and (one, two) != other
            and any(n.endswith((".L", ".R")) for n in (one, two))
            else ""
        )
        deep = units.show(
            math.ceil((g.allowed - g.gap) / (units.IN / 16)) * units.IN / 16, "length"
        )
        state = "runs into" if g.gap < 0 else f"comes within {max(g.gap, 0) / units.IN:.2f} in of"
        said.append(
            f"{g.titles[0]} {one} {state} {g.titles[1]} {two} at {g.place}: {along}, {inch(abs(y))} {side} of the centre line, {inch(z)} above the floor{alone}. "
            f"{_cure(g, solved, truck)} {deep} there."
        )
    return tuple(said)


def _swap(name: str) -> str:
    return name[:-1] + {"L": "R", "R": "L"}[name[-1]] if name.endswith((".L", ".R")) else name


def _cure(g: Gap, solved: Graph, truck: Truck) -> str:
    by = {m.code: m for m in truck.assembly.members}
    for name in (g.one, g.two):
        if name.startswith("diff"):
            return "Grind or trim the axle casting"
        if name.startswith("rail"):
            return "Notch the rail (and plate it), or move the other away by"
        if (
            name not in by
            and name not in ("drag_link", "tie_rod", "shaft")
            and not name.startswith(("coil", "tyre"))
        ):
            return f"Move or notch {name} by"
    return f"Move or trim {min(g.titles, key=len)} by"


def touching(
    truck: Truck, job: Job, v: Mapping[Key, float], shop: Shop, gaps: Iterable[Gap], most: int = 6
) -> Callable[[Travel], tuple[Criterion, ...]]:
    """Limits from the closest pairs: where each would touch along a path, wheels straight."""
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
        value = {p: np.full(n, h.look) for p in wanted}
        for i in looked:
            for g in h.at(i, t.places[i].name, lambda a, b: frozenset((a, b)) in wanted):
                value[frozenset((g.one, g.two))][i] = g.gap
        value = {p: np.interp(np.arange(n), looked, a[looked]) for p, a in value.items()}
        return tuple(
            Criterion(
                f"{wanted[p].titles[0]} {wanted[p].one} touches {wanted[p].titles[1]} {wanted[p].two}",
                -a,
                0.0,
                "length",
                Key("gap", "C"),
            )
            for p, a in value.items()
        )

    return at


__all__ = ["SIDE_WORD", "Gap", "Hits", "hits", "positions", "segments", "touching", "trims"]
