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


def unit_of(system: EquationSystem, terms: Terms) -> list[str]:
    """Kind of unit of every key of a system: of the equation that gives it, else of its field.

    "length" for what neither names; a list in the order of ``system.keys``.
    """
    units = [terms.units.get(key.name, "") for key in system.keys]
    for equation in system.equations:
        units[equation.out] = equation.relation.unit
    return [unit or "length" for unit in units]


class Solver:
    """One system with given values; ``run`` finds which choices give way and the numbers that
    follow.
    """

    def __init__(self, system: EquationSystem, given: Mapping[int, float], terms: Terms) -> None:
        self.system, self.terms = system, terms
        self.given = dict(given)
        self.units = unit_of(system, terms)
        self.step = [STEP.get(unit, 1.0) for unit in self.units]
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
        later = set(analyse(self.system, frozenset(self.given)).extra)
        trial: int | None = None
        while True:
            known = frozenset(self.given) - set(released)
            structure = analyse(self.system, known, frozenset(banned), frozenset(dropped | later))
            if len(structure.extra) > 1:
                later |= set(structure.extra[1:])
                continue
            if structure.extra:
                (equation,) = structure.extra
                trial = self._next(equation, known, structure, tried.setdefault(equation, set()))
                if trial is None:
                    dropped.add(equation)
                else:
                    tried[equation].add(trial)
                    released[trial] = equation
                continue
            values, faults = self._values(structure, known)
            failed = self._failed(structure, values, faults, released)
            if failed is None and not later:
                return Outcome(structure, values, tuple(released), tuple(sorted(dropped)), banned)
            if failed is None:
                trial = None
                later.remove(min(later))
            elif trial is not None:
                del released[trial]
                trial = None
            else:
                banned[failed] = faults.get(failed, "no root")

    def _next(
        self, equation: int, known: frozenset[int], structure: Structure, tried: set[int]
    ) -> int | None:
        """The choice or wish to give way next for ``equation``: least ``yields``, then left before
        right.
        """
        found = {
            unknown
            for other in over_determined(self.system, equation, known, structure.solver)
            for unknown in self.system.equations[other].every
            if unknown in known
            and unknown not in tried
            and unknown not in self.terms.fixed
            and self.system.keys[unknown].name in self.terms.yields
        }
        return min(
            found,
            key=lambda unknown: (self.terms.yields[self.system.keys[unknown].name], unknown),
            default=None,
        )

    def _failed(
        self,
        structure: Structure,
        values: list[float],
        faults: Mapping[int, str],
        released: Mapping[int, int],
    ) -> int | None:
        """A released choice, or a missing reading, that takes no value which meets its equation."""
        for unknown, equation in released.items():
            if (
                unknown in structure.waiting
                or not math.isfinite(values[unknown])
                or not self._allowed(unknown, values[unknown])
                or self._far(unknown, equation, values)
            ):
                return unknown
        outs = {row.out for row in self.system.equations} if faults else set()
        return next(
            (
                unknown
                for unknown in faults
                if unknown not in released and unknown not in self.given and unknown not in outs
            ),
            None,
        )

    def _allowed(self, unknown: int, x: float) -> bool:
        low, high = self._limits(unknown)
        return low - 1e-9 <= x <= high + 1e-9

    def _limits(self, unknown: int) -> tuple[float, float]:
        return self.terms.limits.get(self.system.keys[unknown].name, (-math.inf, math.inf))

    def _far(self, unknown: int, equation: int, values: list[float]) -> bool:
        """Whether a choice moves more than REACH times (in or deg) as far as the result it gives
        way to: it hardly acts on it.
        """
        out = self.system.equations[equation].out
        before = self._start(out)
        if out not in self.terms.fixed or before is None:
            return False
        asked = abs(values[out] - before) / self.step[out]
        return (
            abs(values[unknown] - self.given[unknown]) / self.step[unknown] > REACH * asked + 1e-9
        )

    def _start(self, unknown: int) -> float | None:
        """Value before any result was fixed, from which a search starts."""
        if self.nominal is None:
            known = frozenset(self.given) - self.terms.fixed
            structure = analyse(self.system, known, frozenset(range(len(self.system.keys))))
            self.nominal, _ = self._values(structure, known, plain=True)
        x = self.nominal[unknown]
        return x if math.isfinite(x) else None

    def _values(
        self, structure: Structure, known: frozenset[int], plain: bool = False
    ) -> tuple[list[float], dict[int, str]]:
        values = [math.nan] * len(self.system.keys)
        for unknown in known:
            values[unknown] = self.given[unknown]
        faults: dict[int, str] = {}
        rows = self.system.equations
        for block in structure.blocks:
            if not block.tears:
                for equation in block.explicit:
                    row = rows[equation]
                    args = [values[place] for place in row.ins]
                    values[row.out] = call(row.f, args)
            elif not plain:
                root = self._block(block, values)
                if root.fault:
                    faults |= {unknown: root.fault for unknown in block.tears}
                    for unknown in (
                        *block.tears,
                        *(rows[equation].out for equation in block.explicit),
                    ):
                        values[unknown] = math.nan
        return values, faults

    def _block(self, block: Block, values: list[float]) -> FoundRoot:
        rows = self.system.equations

        def residuals(x: Sequence[float]) -> list[float]:
            for unknown, value in zip(block.tears, x, strict=True):
                values[unknown] = value
            for equation in block.explicit:
                values[rows[equation].out] = call(
                    rows[equation].f, [values[place] for place in rows[equation].ins]
                )
            return [
                call(rows[equation].f, [values[place] for place in rows[equation].ins])
                - values[rows[equation].out]
                for equation in block.residuals
            ]

        outside = (
            {
                place
                for equation in (*block.explicit, *block.residuals)
                for place in rows[equation].every
            }
            - set(block.tears)
            - {rows[equation].out for equation in block.explicit}
        )
        if any(not math.isfinite(values[place]) for place in outside):
            return FoundRoot((), "no root")
        starts = [self._guess(unknown) for unknown in block.tears]
        steps = [self.step[unknown] for unknown in block.tears]
        scales = [self.step[rows[equation].out] for equation in block.residuals]
        limits = [self._limits(unknown) for unknown in block.tears]
        if len(block.tears) == 1:
            root = scalar(lambda x: residuals((x,))[0], starts[0], steps[0], scales[0], *limits[0])
        else:
            root = several(residuals, starts, steps, scales, limits)
        if not root.fault:
            residuals(root.values)
        return root

    def _guess(self, unknown: int) -> float:
        if unknown in self.given:
            return self.given[unknown]
        before = self._start(unknown)
        if before is not None:
            return before
        low, high = self._limits(unknown)
        return 0.5 * (low + high) if math.isfinite(low + high) else 4 * self.step[unknown]


def cut(system: EquationSystem, keys: Mapping[Key, float]) -> dict[int, float]:
    """Given values by number, keys that no equation names left out.

    ``keys``: values by key, internal units; numbers as ``system.number`` has them.
    """
    return {system.number[key]: x for key, x in keys.items() if key in system.number}
