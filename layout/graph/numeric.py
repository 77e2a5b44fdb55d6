"""Numbers for a structure: block after block, evaluated forward or inverted; giving way when there
is one given too many.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from ..quantities import Key
from .roots import FoundRoot, scalar, several
from .system import Block, EquationSystem, Structure, analyse, over_determined

STEP = {
    "length": 25.4,
    "angle": math.pi / 180,
    "force": 445.0,
    "rate": 1.75,
    "torsion": 6473.0,
    "mass": 45.0,
    "count": 1.0,
}
REACH = 5.0


class Terms(NamedTuple):
    """What is known of names beside their equations: order of giving way, limits, kinds of unit,
    one reading for two sides.
    """

    yields: Mapping[str, int]
    limits: Mapping[str, tuple[float, float]]
    units: Mapping[str, str]
    fixed: frozenset[int]
    tied: frozenset[str] = frozenset()


class Outcome(NamedTuple):
    """Structure and values; ``released``: givens that gave way; ``dropped``: equations the given
    values cannot meet; ``banned``: missing readings that no value solves, and why ("rank": the
    equation does not act on it, "no root").
    """

    structure: Structure
    values: list[float]
    released: tuple[int, ...]
    dropped: tuple[int, ...]
    banned: Mapping[int, str]


def call(f: Callable[..., float], args: Iterable[float]) -> float:
    """f(*args), NaN where the geometry has no answer: outside a function's domain, or a power that
    is no real number.
    """
    try:
        found = f(*args)
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan
    return math.nan if isinstance(found, complex) else float(found)


def unit_of(s: EquationSystem, t: Terms) -> list[str]:
    """Kind of unit of every key: of the equation that gives it, else of its field."""
    units = [t.units.get(k.name, "") for k in s.keys]
    for e in s.equations:
        units[e.out] = e.relation.unit
    return [u or "length" for u in units]


class Solver:
    """One system with given values; ``run`` finds which choices give way and the numbers that
    follow.
    """

    def __init__(self, s: EquationSystem, given: Mapping[int, float], t: Terms) -> None:
        self.s, self.t = s, t
        self.given = dict(given)
        self.units = unit_of(s, t)
        self.step = [STEP.get(u, 1.0) for u in self.units]
        self.nominal: list[float] | None = None

    def run(self) -> Outcome:
        """Analyse and evaluate.

        Equations too many are settled one by one: the next choice in order gives way, or it is a
        conflict.
        """
        released: dict[int, int] = {}
        tried: dict[int, set[int]] = {}
        banned: dict[int, str] = {}
        dropped: set[int] = set()
        later = set(analyse(self.s, frozenset(self.given)).extra)
        trial: int | None = None
        while True:
            known = frozenset(self.given) - set(released)
            st = analyse(self.s, known, frozenset(banned), frozenset(dropped | later))
            if len(st.extra) > 1:
                later |= set(st.extra[1:])
                continue
            if st.extra:
                (e,) = st.extra
                trial = self._next(e, known, st, tried.setdefault(e, set()))
                if trial is None:
                    dropped.add(e)
                else:
                    tried[e].add(trial)
                    released[trial] = e
                continue
            values, faults = self._values(st, known)
            failed = self._failed(st, values, faults, released)
            if failed is None and not later:
                return Outcome(st, values, tuple(released), tuple(sorted(dropped)), banned)
            if failed is None:
                trial = None
                later.remove(min(later))
            elif trial is not None:
                del released[trial]
                trial = None
            else:
                banned[failed] = faults.get(failed, "no root")

    def _next(self, e: int, known: frozenset[int], st: Structure, tried: set[int]) -> int | None:
        """The choice or wish to give way next for equation ``e``: least ``yields``, left before
        right.
        """
        found = {
            v
            for q in over_determined(self.s, e, known, st.solver)
            for v in self.s.equations[q].every
            if v in known
            and v not in tried
            and v not in self.t.fixed
            and self.s.keys[v].name in self.t.yields
        }
        return min(found, key=lambda v: (self.t.yields[self.s.keys[v].name], v), default=None)

    def _failed(
        self,
        st: Structure,
        values: list[float],
        faults: Mapping[int, str],
        released: Mapping[int, int],
    ) -> int | None:
        """A released choice, or a missing reading, that takes no value which meets its equation."""
        for v, e in released.items():
            if (
                v in st.waiting
                or not math.isfinite(values[v])
                or not self._allowed(v, values[v])
                or self._far(v, e, values)
            ):
                return v
        outs = {q.out for q in self.s.equations} if faults else set()
        return next(
            (v for v in faults if v not in released and v not in self.given and v not in outs), None
        )

    def _allowed(self, v: int, x: float) -> bool:
        low, high = self._limits(v)
        return low - 1e-9 <= x <= high + 1e-9

    def _limits(self, v: int) -> tuple[float, float]:
        return self.t.limits.get(self.s.keys[v].name, (-math.inf, math.inf))

    def _far(self, v: int, e: int, values: list[float]) -> bool:
        """Whether a choice moves more than REACH times (in or deg) as far as the result it gives
        way to: it hardly acts on it.
        """
        out = self.s.equations[e].out
        before = self._start(out)
        if out not in self.t.fixed or before is None:
            return False
        asked = abs(values[out] - before) / self.step[out]
        return abs(values[v] - self.given[v]) / self.step[v] > REACH * asked + 1e-9

    def _start(self, v: int) -> float | None:
        """Value before any result was fixed, from which a search starts."""
        if self.nominal is None:
            known = frozenset(self.given) - self.t.fixed
            st = analyse(self.s, known, frozenset(range(len(self.s.keys))))
            self.nominal, _ = self._values(st, known, plain=True)
        x = self.nominal[v]
        return x if math.isfinite(x) else None

    def _values(
        self, st: Structure, known: frozenset[int], plain: bool = False
    ) -> tuple[list[float], dict[int, str]]:
        values = [math.nan] * len(self.s.keys)
        for v in known:
            values[v] = self.given[v]
        faults: dict[int, str] = {}
        rows = self.s.equations
        for b in st.blocks:
            if not b.tears:
                for e in b.explicit:
                    row = rows[e]
                    args = [values[i] for i in row.ins]
                    values[row.out] = call(row.f, args)
            elif not plain:
                root = self._block(b, values)
                if root.fault:
                    faults |= {v: root.fault for v in b.tears}
                    for v in (*b.tears, *(rows[e].out for e in b.explicit)):
                        values[v] = math.nan
        return values, faults

    def _block(self, b: Block, values: list[float]) -> FoundRoot:
        rows = self.s.equations

        def g(x: Sequence[float]) -> list[float]:
            for v, xv in zip(b.tears, x, strict=True):
                values[v] = xv
            for e in b.explicit:
                values[rows[e].out] = call(rows[e].f, [values[i] for i in rows[e].ins])
            return [
                call(rows[e].f, [values[i] for i in rows[e].ins]) - values[rows[e].out]
                for e in b.residuals
            ]

        outside = (
            {i for e in (*b.explicit, *b.residuals) for i in rows[e].every}
            - set(b.tears)
            - {rows[e].out for e in b.explicit}
        )
        if any(not math.isfinite(values[i]) for i in outside):
            return FoundRoot((), "no root")
        starts = [self._guess(v) for v in b.tears]
        steps = [self.step[v] for v in b.tears]
        scales = [self.step[rows[e].out] for e in b.residuals]
        limits = [self._limits(v) for v in b.tears]
        if len(b.tears) == 1:
            root = scalar(lambda x: g((x,))[0], starts[0], steps[0], scales[0], *limits[0])
        else:
            root = several(g, starts, steps, scales, limits)
        if not root.fault:
            g(root.values)
        return root

    def _guess(self, v: int) -> float:
        if v in self.given:
            return self.given[v]
        before = self._start(v)
        if before is not None:
            return before
        low, high = self._limits(v)
        return 0.5 * (low + high) if math.isfinite(low + high) else 4 * self.step[v]


def cut(s: EquationSystem, keys: Mapping[Key, float]) -> dict[int, float]:
    """Given values by number, keys that no equation names left out."""
    return {s.number[k]: x for k, x in keys.items() if k in s.number}
