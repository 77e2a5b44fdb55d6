"""What the graph answers about every quantity: value, role, what it rests on, how sure it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from ..quantities import GIVEN, Conflict, Derived, Key, Reading, Relation, Role
from .numeric import Outcome, Solver, Terms, call, cut
from .slopes import Slopes
from .system import Equation, EquationSystem, lay_out

NO_SLOPES: Mapping[Key, float] = {}
SMALL = 1e-9
"""Difference that is none, internal units."""
NO_SLOPE = 1e-12
"""Slope through which a reading cures nothing."""


def solve_graph(
    relations: Iterable[Relation],
    readings: Mapping[Key, Reading],
    fixed: Mapping[Key, Reading] | None = None,
    *,
    yields: Mapping[str, int] | None = None,
    limits: Mapping[str, tuple[float, float]] | None = None,
    units: Mapping[str, str] | None = None,
    sided: frozenset[str] = frozenset(),
    tied: frozenset[str] = frozenset(),
) -> Graph:
    """Solve every quantity.

    ``fixed``: results given as measured; ``yields``: order in which a choice or wish gives way;
    ``limits``: low, high a name may take; ``units``: kinds of names that no relation gives;
    ``sided``: names read left and right; ``tied``: names whose left and right are one reading and
    err together. Never raises for geometry: a value that does not exist has the role "conflict".
    """
    both = sided | {k.name for k in readings if k.side != "C"}
    system = lay_out(tuple(relations), frozenset(both))
    held = {k: r._replace(role="measured") for k, r in (fixed or {}).items()}
    every = {**readings, **held}
    numbers = {
        k: float(r.value)
        for k, r in every.items()
        if isinstance(r.value, (int, float)) and not isinstance(r.value, bool)
    }
    outs = frozenset(e.out for e in system.equations)
    given = cut(system, numbers)
    terms = Terms(
        {n: y for n, y in (yields or {}).items() if y is not None},
        limits or {},
        units or {},
        frozenset(i for i in given if i in outs or system.keys[i] in held),
        tied,
    )
    return Graph(system, every, numbers, terms, Solver(system, given, terms).run())


class Graph:
    """Every quantity of a job, solved.

    ``readings`` holds what was given, ``values`` every finite number by key."""

    def __init__(
        self,
        system: EquationSystem,
        readings: Mapping[Key, Reading],
        numbers: Mapping[Key, float],
        terms: Terms,
        got: Outcome,
        derived: Mapping[Key, Derived] | None = None,
        moved: Mapping[Key, tuple[float, float]] | None = None,
    ) -> None:
        self.system, self.terms, self.got = system, terms, got
        self.readings: dict[Key, Reading] = dict(readings)
        self.derived = dict(derived or {})
        self.numbers = numbers
        self.moved = dict(moved or {})
        self._released = frozenset(system.keys[i] for i in got.released)
        self.values: dict[Key, float] = {
            **numbers,
            **{k: x for k, x in zip(system.keys, got.values, strict=True) if math.isfinite(x)},
            **{k: d.value for k, d in self.derived.items() if math.isfinite(d.value)},
        }

    @cached_property
    def relations(self) -> Mapping[Key, Relation]:
        """The relation that gives a key forward, by key."""
        return {k: e.relation for k, e in self.equations.items()}

    @cached_property
    def equations(self) -> Mapping[Key, Equation]:
        """The equation whose result a key is, by key."""
        found: dict[Key, Equation] = {}
        for e in self.system.equations:
            found.setdefault(self.system.keys[e.out], e)
        return found

    def every_key(self) -> Sequence[Key]:
        """Results in the order of the relations, then choices that gave way and readings that were
        solved for, then derived values.
        """
        solver = self.got.structure.solver
        leaves = [
            k
            for i, k in enumerate(self.system.keys)
            if k not in self.equations and solver[i] >= 0 and i not in self.got.structure.waiting
        ]
        return (*self.equations, *leaves, *(k for k in self.derived if k not in self.equations))

    def role(self, k: Key) -> Role:
        """Given ("measured", "choice", "wanted"), solved, waiting; conflict: no solution, or given
        against others that were measured.
        """
        if k in self.derived:
            return "solved"
        i = self.system.number.get(k)
        if k in self.readings and k not in self._released:
            return "conflict" if self.got.dropped and k in self._fighting else self.readings[k].role
        if i is None or i in self.got.structure.waiting:
            return "waiting"
        return "solved" if math.isfinite(self.got.values[i]) else "conflict"

    def has(self, k: Key) -> bool:
        """Whether there is a number."""
        return k in self.values

    def value(self, k: Key) -> float:
        """Value in internal units; KeyError while it waits or has no solution."""
        return self.values[k]

    def unit(self, k: Key) -> str:
        """Kind of unit: length, angle, force, rate, count ..."""
        if k in self.derived:
            return self.derived[k].unit
        return (
            self.equations[k].relation.unit
            if k in self.equations
            else self.terms.units.get(k.name, "length")
        )

    def title(self, k: Key) -> str:
        """What the quantity is, in the words of its relation; empty for a reading."""
        return self.equations[k].relation.title if k in self.equations else ""

    def rests_on(self, k: Key) -> frozenset[Key]:
        """Given keys it rests on; for a waiting key the readings that are owed."""
        if k in self.derived:
            return frozenset().union(*(self.rests_on(i) for i in self.derived[k].ins))
        i = self.system.number.get(k)
        if i is None or (k in self.readings and k not in self._released):
            return frozenset((k,))
        if i in self.got.structure.waiting:
            return self._owed(i)
        return self._leaves.get(i, frozenset((k,)))

    @cached_property
    def _leaves(self) -> Mapping[int, frozenset[Key]]:
        """Given keys under every solved unknown, block by block."""
        found: dict[int, frozenset[Key]] = {}
        rows = self.system.equations
        for b in self.got.structure.blocks:
            members = (*b.explicit, *b.residuals)
            solves = {rows[e].out for e in b.explicit} | set(b.tears)
            ins = {i for e in members for i in rows[e].every} - solves
            leaves = frozenset().union(
                *(found[i] if i in found else frozenset((self.system.keys[i],)) for i in ins)
            )
            found |= dict.fromkeys(solves, leaves)
        return found

    def _owed(self, i: int) -> frozenset[Key]:
        st = self.got.structure
        seen = {i}
        queue = [i]
        for v in queue:
            if v in st.free:
                continue
            for w in self.system.equations[st.solver[v]].every:
                if w in st.waiting and w not in seen:
                    seen.add(w)
                    queue.append(w)
        return frozenset(self.system.keys[v] for v in seen if v in st.free)

    @cached_property
    def _slopes(self) -> Slopes:
        return Slopes(self.system, self.got, self.readings, self.terms.tied)

    def gradient(self, k: Key) -> Mapping[Key, float]:
        """d value / d given, by the implicit-function theorem over the whole system; internal
        units. Empty for derived and waiting keys.
        """
        if k in self.derived:
            return NO_SLOPES
        if k in self.readings and k not in self._released:
            return {k: 1.0}
        i = self.system.number.get(k)
        return NO_SLOPES if i is None or k not in self.values else self._slopes.row(i)

    def half_width(self, k: Key) -> float:
        """Standard uncertainty u; printed plus-minus is 2u.

        Root sum of squares; a reading within +-a is rectangular, u = a / sqrt 3 [NIST/SEMATECH
        e-Handbook 2.5.4].
        """
        if k in self.derived:
            return 0.0
        if k in self.readings and k not in self._released:
            return self.readings[k].half_width / math.sqrt(3.0)
        i = self.system.number.get(k)
        return 0.0 if i is None or k not in self.values else self._slopes.u(i)

    def steps(self, k: Key) -> Sequence[tuple[Relation | Derived, Mapping[Key, float]]]:
        """Relations from the given values to ``k`` in order, each with the numbers put in (the
        result too where it was solved backward).
        """
        if k in self.derived:
            d = self.derived[k]
            before = {id(s[0]): s for i in sorted(d.ins) for s in self.steps(i)}
            return (
                *before.values(),
                (d, {i: self.values[i] for i in sorted(d.ins) if i in self.values}),
            )
        i = self.system.number.get(k, -1)
        solver = self.got.structure.solver
        if i < 0 or solver[i] < 0 or (k in self.readings and k not in self._released):
            return ()
        rows, names = self.system.equations, self.system.keys
        wanted, queue = {i}, [i]
        for v in queue:
            for w in rows[solver[v]].every:
                if solver[w] >= 0 and w not in wanted:
                    wanted.add(w)
                    queue.append(w)
        found: list[tuple[Relation | Derived, Mapping[Key, float]]] = []
        for b in self.got.structure.blocks:
            gives = {rows[e].out for e in b.explicit}
            for e in (*b.explicit, *b.residuals):
                if (set(b.tears) | gives) & wanted:
                    keys = (
                        rows[e].ins if rows[e].out in gives and e in b.explicit else rows[e].every
                    )
                    found.append(
                        (
                            rows[e].relation,
                            {
                                names[v]: self.values[names[v]]
                                for v in keys
                                if names[v] in self.values and v not in b.tears
                            },
                        )
                    )
        return tuple(found)

    def conflicts(self) -> tuple[Conflict, ...]:
        """Given values that cannot all be true, the miss and the cures, least first in units of
        each u; then what has no solution.
        """
        rows, names = self.system.equations, self.system.keys
        none = [
            Conflict(self.rests_on(names[i]), math.nan, ())
            for e in rows
            if (i := e.out) not in self.got.structure.waiting
            and self.role(names[i]) == "conflict"
            and names[i] not in self.readings
            and all(math.isfinite(self.got.values[j]) for j in e.ins)
        ]
        return (*(c for _, c in self._missed), *none)

    @cached_property
    def _missed(self) -> tuple[tuple[int, Conflict], ...]:
        found = []
        for e in self.got.dropped:
            row = self.system.equations[e]
            miss = call(row.f, [self.got.values[i] for i in row.ins]) - self.got.values[row.out]
            if math.isnan(miss) and "no root" not in {self.got.banned.get(i) for i in row.ins}:
                continue
            slopes = self._slopes.of_equation(e)
            keys = [k for k in slopes if self.readings[k].role in GIVEN]
            u = self._slopes.spread(self._slopes.miss(e))
            # a result that nothing follows from: no part moves with it, so it must fit as closely
            # as it was given
            held = [
                k
                for k in slopes
                if self.system.number[k] in self.terms.fixed
                and self.system.uses[self.system.number[k]] == (e,)
            ]
            own = sum(abs(slopes[k]) * self.readings[k].half_width for k in held)
            if abs(miss) <= (min(own, 2 * u) if held else 2 * u) + SMALL:
                continue
            cures = [
                (k, -miss / slopes[k])
                for k in keys
                if abs(slopes[k]) > NO_SLOPE and self.readings[k].half_width > 0
            ]
            cures.sort(key=lambda c: (abs(c[1]) / self.readings[c[0]].half_width, str(c[0])))
            within = abs(miss) <= 2 * u + SMALL
            found.append((row.out, Conflict(frozenset(keys), miss, tuple(cures), within)))
        return tuple(found)

    @cached_property
    def _fighting(self) -> frozenset[Key]:
        return frozenset(self.system.keys[out] for out, _ in self._missed)

    def gave_way(self) -> Mapping[Key, tuple[float, float]]:
        """Choices and wishes that moved: from, to."""
        moved = {
            self.system.keys[i]: (self.numbers[self.system.keys[i]], self.got.values[i])
            for i in self.got.released
        }
        return {**{k: v for k, v in moved.items() if abs(v[0] - v[1]) > SMALL}, **self.moved}

    def extend(self, rows: Iterable[Derived]) -> Graph:
        """The same graph with more derived values."""
        return Graph(
            self.system,
            self.readings,
            self.numbers,
            self.terms,
            self.got,
            {**self.derived, **{d.key: d for d in rows}},
            self.moved,
        )

    def noting(self, moved: Mapping[Key, tuple[float, float]]) -> Graph:
        """The same graph with wishes that a relation itself set aside (a window that binds)."""
        return Graph(
            self.system,
            self.readings,
            self.numbers,
            self.terms,
            self.got,
            self.derived,
            {**self.moved, **moved},
        )
