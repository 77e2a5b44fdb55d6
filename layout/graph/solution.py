"""What the graph answers about every quantity: value, role, what it rests on, how sure it is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from ..quantities import GIVEN, Conflict, Derived, Key, QuantityRole, Reading, Relation
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
    both = sided | {key.name for key in readings if key.side != "C"}
    system = lay_out(tuple(relations), frozenset(both))
    held = {key: reading._replace(role="measured") for key, reading in (fixed or {}).items()}
    every = {**readings, **held}
    numbers = {
        key: float(reading.value)
        for key, reading in every.items()
        if isinstance(reading.value, (int, float)) and not isinstance(reading.value, bool)
    }
    outs = frozenset(equation.out for equation in system.equations)
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
            **{key: x for key, x in zip(system.keys, got.values, strict=True) if math.isfinite(x)},
            **{key: row.value for key, row in self.derived.items() if math.isfinite(row.value)},
        }

    @cached_property
    def relations(self) -> Mapping[Key, Relation]:
        """The relation that gives a key forward, by key."""
        return {key: equation.relation for key, equation in self.equations.items()}

    @cached_property
    def equations(self) -> Mapping[Key, Equation]:
        """The equation whose result a key is, by key."""
        found: dict[Key, Equation] = {}
        for equation in self.system.equations:
            found.setdefault(self.system.keys[equation.out], equation)
        return found

    def every_key(self) -> Sequence[Key]:
        """Results in the order of the relations, then choices that gave way and readings that were
        solved for, then derived values.
        """
        solver = self.got.structure.solver
        leaves = [
            key
            for number, key in enumerate(self.system.keys)
            if key not in self.equations
            and solver[number] >= 0
            and number not in self.got.structure.waiting
        ]
        return (
            *self.equations,
            *leaves,
            *(key for key in self.derived if key not in self.equations),
        )

    def role(self, key: Key) -> QuantityRole:
        """Given ("measured", "choice", "wanted"), solved, waiting; conflict: no solution, or given
        against others that were measured.
        """
        if key in self.derived:
            return "solved"
        number = self.system.number.get(key)
        if key in self.readings and key not in self._released:
            return (
                "conflict"
                if self.got.dropped and key in self._fighting
                else self.readings[key].role
            )
        if number is None or number in self.got.structure.waiting:
            return "waiting"
        return "solved" if math.isfinite(self.got.values[number]) else "conflict"

    def has(self, key: Key) -> bool:
        """Whether there is a number."""
        return key in self.values

    def value(self, key: Key) -> float:
        """Value in internal units (mm, rad, N ...).

        KeyError while it waits or has no solution; ``has`` asks first.
        """
        return self.values[key]

    def unit(self, key: Key) -> str:
        """Kind of unit: length, angle, force, rate, count ...

        Of the equation that gives it, else of its field; length for what is unknown.
        """
        if key in self.derived:
            return self.derived[key].unit
        return (
            self.equations[key].relation.unit
            if key in self.equations
            else self.terms.units.get(key.name, "length")
        )

    def title(self, key: Key) -> str:
        """What the quantity is, in the words of its relation; empty for a reading."""
        return self.equations[key].relation.title if key in self.equations else ""

    def rests_on(self, key: Key) -> frozenset[Key]:
        """Given keys it rests on; for a waiting key the readings that are owed.

        What is given, or is no name of the graph, rests on itself.
        """
        if key in self.derived:
            return frozenset().union(*(self.rests_on(number) for number in self.derived[key].ins))
        number = self.system.number.get(key)
        if number is None or (key in self.readings and key not in self._released):
            return frozenset((key,))
        if number in self.got.structure.waiting:
            return self._owed(number)
        return self._leaves.get(number, frozenset((key,)))

    @cached_property
    def _leaves(self) -> Mapping[int, frozenset[Key]]:
        """Given keys under every solved unknown, block by block."""
        found: dict[int, frozenset[Key]] = {}
        rows = self.system.equations
        for block in self.got.structure.blocks:
            members = (*block.explicit, *block.residuals)
            solves = {rows[equation].out for equation in block.explicit} | set(block.tears)
            ins = {number for equation in members for number in rows[equation].every} - solves
            leaves = frozenset().union(
                *(
                    found[number] if number in found else frozenset((self.system.keys[number],))
                    for number in ins
                )
            )
            found |= dict.fromkeys(solves, leaves)
        return found

    def _owed(self, number: int) -> frozenset[Key]:
        structure = self.got.structure
        seen = {number}
        queue = [number]
        for unknown in queue:
            if unknown in structure.free:
                continue
            for other in self.system.equations[structure.solver[unknown]].every:
                if other in structure.waiting and other not in seen:
                    seen.add(other)
                    queue.append(other)
        return frozenset(self.system.keys[unknown] for unknown in seen if unknown in structure.free)

    @cached_property
    def _slopes(self) -> Slopes:
        return Slopes(self.system, self.got, self.readings, self.terms.tied)

    def gradient(self, key: Key) -> Mapping[Key, float]:
        """d value / d given, by the implicit-function theorem over the whole system; internal
        units. Empty for derived and waiting keys.
        """
        if key in self.derived:
            return NO_SLOPES
        if key in self.readings and key not in self._released:
            return {key: 1.0}
        number = self.system.number.get(key)
        return NO_SLOPES if number is None or key not in self.values else self._slopes.row(number)

    def half_width(self, key: Key) -> float:
        """Standard uncertainty u; printed plus-minus is 2u.

        Root sum of squares; a reading within +-a is rectangular, u = a / sqrt 3 [NIST/SEMATECH
        e-Handbook 2.5.4].
        """
        if key in self.derived:
            return 0.0
        if key in self.readings and key not in self._released:
            return self.readings[key].half_width / math.sqrt(3.0)
        number = self.system.number.get(key)
        return 0.0 if number is None or key not in self.values else self._slopes.u(number)

    def steps(self, key: Key) -> Sequence[tuple[Relation | Derived, Mapping[Key, float]]]:
        """Relations from the given values to ``key`` in order, each with the numbers put in (the
        result too where it was solved backward).
        """
        if key in self.derived:
            row = self.derived[key]
            before = {id(s[0]): s for number in sorted(row.ins) for s in self.steps(number)}
            return (
                *before.values(),
                (
                    row,
                    {
                        number: self.values[number]
                        for number in sorted(row.ins)
                        if number in self.values
                    },
                ),
            )
        number = self.system.number.get(key, -1)
        solver = self.got.structure.solver
        if number < 0 or solver[number] < 0 or (key in self.readings and key not in self._released):
            return ()
        rows, names = self.system.equations, self.system.keys
        wanted, queue = {number}, [number]
        for unknown in queue:
            for other in rows[solver[unknown]].every:
                if solver[other] >= 0 and other not in wanted:
                    wanted.add(other)
                    queue.append(other)
        found: list[tuple[Relation | Derived, Mapping[Key, float]]] = []
        for block in self.got.structure.blocks:
            gives = {rows[equation].out for equation in block.explicit}
            for equation in (*block.explicit, *block.residuals):
                if (set(block.tears) | gives) & wanted:
                    keys = (
                        rows[equation].ins
                        if rows[equation].out in gives and equation in block.explicit
                        else rows[equation].every
                    )
                    found.append(
                        (
                            rows[equation].relation,
                            {
                                names[unknown]: self.values[names[unknown]]
                                for unknown in keys
                                if names[unknown] in self.values and unknown not in block.tears
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
            Conflict(self.rests_on(names[out]), math.nan, ())
            for equation in rows
            if (out := equation.out) not in self.got.structure.waiting
            and self.role(names[out]) == "conflict"
            and names[out] not in self.readings
            and all(math.isfinite(self.got.values[place]) for place in equation.ins)
        ]
        return (*(cure for _, cure in self._missed), *none)

    @cached_property
    def _missed(self) -> tuple[tuple[int, Conflict], ...]:
        found = []
        for equation in self.got.dropped:
            row = self.system.equations[equation]
            miss = (
                call(row.f, [self.got.values[number] for number in row.ins])
                - self.got.values[row.out]
            )
            if math.isnan(miss) and "no root" not in {
                self.got.banned.get(number) for number in row.ins
            }:
                continue
            slopes = self._slopes.of_equation(equation)
            keys = [key for key in slopes if self.readings[key].role in GIVEN]
            doubt = self._slopes.spread(self._slopes.miss(equation))
            # a result that nothing follows from: no part moves with it, so it must fit as closely
            # as it was given
            held = [
                key
                for key in slopes
                if self.system.number[key] in self.terms.fixed
                and self.system.uses[self.system.number[key]] == (equation,)
            ]
            own = sum(abs(slopes[key]) * self.readings[key].half_width for key in held)
            if abs(miss) <= (min(own, 2 * doubt) if held else 2 * doubt) + SMALL:
                continue
            cures = [
                (key, -miss / slopes[key])
                for key in keys
                if abs(slopes[key]) > NO_SLOPE and self.readings[key].half_width > 0
            ]
            cures.sort(
                key=lambda cure: (abs(cure[1]) / self.readings[cure[0]].half_width, str(cure[0]))
            )
            within = abs(miss) <= 2 * doubt + SMALL
            found.append((row.out, Conflict(frozenset(keys), miss, tuple(cures), within)))
        return tuple(found)

    @cached_property
    def _fighting(self) -> frozenset[Key]:
        return frozenset(self.system.keys[out] for out, _ in self._missed)

    def gave_way(self) -> Mapping[Key, tuple[float, float]]:
        """Choices and wishes that moved, by key: from, to, internal units.

        Those that moved by no more than ``SMALL`` are not among them.
        """
        moved = {
            self.system.keys[number]: (
                self.numbers[self.system.keys[number]],
                self.got.values[number],
            )
            for number in self.got.released
        }
        return {
            **{key: ends for key, ends in moved.items() if abs(ends[0] - ends[1]) > SMALL},
            **self.moved,
        }

    def extend(self, rows: Iterable[Derived]) -> Graph:
        """The same graph with more derived values."""
        return self._with({**self.derived, **{row.key: row for row in rows}}, self.moved)

    def noting(self, moved: Mapping[Key, tuple[float, float]]) -> Graph:
        """The same graph with wishes that a relation itself set aside (a window that binds)."""
        return self._with(self.derived, {**self.moved, **moved})

    def _with(
        self, derived: Mapping[Key, Derived], moved: Mapping[Key, tuple[float, float]]
    ) -> Graph:
        return Graph(
            system=self.system,
            readings=self.readings,
            numbers=self.numbers,
            terms=self.terms,
            got=self.got,
            derived=derived,
            moved=moved,
        )
