"""The graph of quantities: relations laid out for left, right and centre, evaluated in order of need.

What cannot be evaluated is "waiting" and says for which readings. A quantity that is read as well as computed keeps
the reading.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from .quantities import Conflict, Derived, Key, Reading, Relation, Role, Side


class Equation:
    """One relation for one side: its output key and its input keys."""

    def __init__(self, relation: Relation, side: Side, sided: frozenset[str]) -> None:
        self.relation = relation
        self.out = Key(relation.out, side)
        self.ins = tuple(_key(n, side, sided) for n in relation.ins)


def _key(name: str, side: Side, sided: frozenset[str]) -> Key:
    if "@" in name:
        head, _, which = name.partition("@")
        return Key(head, which)  # type: ignore[arg-type]
    return Key(name, side if name in sided else "C")


class Graph:
    """Every quantity of a job, solved forward. Implements ``quantities.Solved``."""

    def __init__(self, relations: Sequence[Relation], readings: Mapping[Key, Reading], derived: Iterable[Derived] = ()) -> None:
        self.readings = dict(readings)
        self.relations = tuple(relations)
        self.derived = {d.key: d for d in derived}
        sided = frozenset(r.out for r in relations if r.sided) | frozenset(k.name for k in readings if k.side != "C")
        rows = [Equation(r, s, sided) for r in relations for s in (("L", "R") if r.sided else ("C",))]
        self.equations: dict[Key, Equation] = {e.out: e for e in rows}
        leaves = {k: r.value for k, r in readings.items() if isinstance(r.value, float)}
        self.values: dict[Key, float] = {}
        self._evaluate(leaves, self.values)

    def _evaluate(self, leaves: Mapping[Key, float], values: dict[Key, float]) -> None:
        values.update(leaves)
        todo = [e for k, e in self.equations.items() if k not in values]
        while todo:
            left = [e for e in todo if not all(i in values for i in e.ins)]
            for e in todo:
                if all(i in values for i in e.ins):
                    values[e.out] = _call(e, values)
            if len(left) == len(todo):
                return
            todo = left

    def keys(self) -> Sequence[Key]:
        """Solved and waiting keys in the order of the relations."""
        return tuple(self.equations)

    def role(self, k: Key) -> Role:
        """Given, solved or waiting; a value that is no number is a conflict."""
        if k in self.readings:
            return self.readings[k].role
        if k in self.derived:
            return "solved"
        if k not in self.values:
            return "waiting"
        return "solved" if math.isfinite(self.values[k]) else "conflict"

    def value(self, k: Key) -> float:
        """Value in internal units; KeyError while it waits."""
        return self.derived[k].value if k in self.derived else self.values[k]

    def unit(self, k: Key) -> str:
        """Kind of unit: length, angle, force ..."""
        if k in self.derived:
            return self.derived[k].unit
        return self.equations[k].relation.unit if k in self.equations else "length"

    @cached_property
    def _leaves(self) -> dict[Key, frozenset[Key]]:
        return {}

    def rests_on(self, k: Key) -> frozenset[Key]:
        """Readings it rests on; for a waiting key the readings that are owed."""
        if k not in self._leaves:
            self._leaves[k] = self._find_leaves(k)
        return self._leaves[k]

    def _find_leaves(self, k: Key) -> frozenset[Key]:
        if k in self.readings or (k not in self.equations and k not in self.derived):
            return frozenset((k,))
        ins = self.derived[k].ins if k in self.derived else self.equations[k].ins
        found: frozenset[Key] = frozenset().union(*(self.rests_on(i) for i in ins))
        if k in self.values or k in self.derived:
            return found
        return frozenset(i for i in found if i not in self.readings) or found

    def gradient(self, k: Key) -> Mapping[Key, float]:
        """d value / d reading by central differences; internal units."""
        grads: dict[Key, float] = {}
        base = {r: v.value for r, v in self.readings.items() if isinstance(v.value, float)}
        for leaf in self.rests_on(k):
            if leaf not in base:
                continue
            step = 1e-5 * max(1.0, abs(base[leaf]))
            ends = []
            for sign in (1.0, -1.0):
                values: dict[Key, float] = {}
                self._evaluate({**base, leaf: base[leaf] + sign * step}, values)
                ends.append(values.get(k, math.nan))
            grads[leaf] = (ends[0] - ends[1]) / (2 * step)
        return grads

    def half_width(self, k: Key) -> float:
        """Standard uncertainty u of a value: root sum of squares, rectangular readings u = a / sqrt 3 [NIST/SEMATECH 2.5.4]."""
        return math.sqrt(sum((g * self.readings[r].half_width) ** 2 / 3.0 for r, g in self.gradient(k).items()))

    def steps(self, k: Key) -> Sequence[tuple[Relation | Derived, Mapping[Key, float]]]:
        """The relations from the readings to ``k``, each with the numbers put in."""
        if k not in self.equations or k in self.readings:
            return ()
        e = self.equations[k]
        before = [step for i in dict.fromkeys(e.ins) for step in self.steps(i)]
        return (*before, (e.relation, {i: self.values[i] for i in e.ins if i in self.values}))

    def conflicts(self) -> tuple[Conflict, ...]:
        """Values without a solution, with the readings they rest on."""
        return tuple(Conflict(self.rests_on(k), math.nan, ()) for k in self.equations if self.role(k) == "conflict")

    def gave_way(self) -> Mapping[Key, tuple[float, float]]:
        """Forward evaluation moves no wish."""
        return {}

    def extend(self, rows: Iterable[Derived]) -> Graph:
        """The same graph with more derived values."""
        return Graph(self.relations, self.readings, (*self.derived.values(), *rows))


def _call(e: Equation, values: Mapping[Key, float]) -> float:
    try:
        return float(e.relation.f(*(values[i] for i in e.ins)))
    except (ValueError, ZeroDivisionError, OverflowError):
        return math.nan
