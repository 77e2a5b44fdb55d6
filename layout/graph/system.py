"""The structure of the graph: relations laid out by side, who is solved by what, in which order.

Matching of equations to unknowns; Dulmage-Mendelsohn parts (solved, waiting, over-determined) by
alternating paths; strongly connected blocks by Tarjan. Source: Dulmage and Mendelsohn, Canadian
Journal of Mathematics 10 (1958); Tarjan, SIAM Journal on Computing 1 (1972); both from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from ..quantities import SIDES, Key, Relation, Side


class Equation(NamedTuple):
    """One relation for one side; keys by their numbers in the system.

    ``f``: ``out`` from ``ins``, in the order of its arguments; ``every``: ``out`` and ``ins``, each
    once.
    """

    relation: Relation
    f: Callable[..., float]
    out: int
    ins: tuple[int, ...]
    every: tuple[int, ...]


class EquationSystem(NamedTuple):
    """All equations of a job, keys numbered in order of first appearance.

    ``number``: a key's place in ``keys``; ``uses``: for each key the equations that name it.
    """

    keys: tuple[Key, ...]
    number: dict[Key, int]
    equations: tuple[Equation, ...]
    uses: tuple[tuple[int, ...], ...]


class Block(NamedTuple):
    """Equations solved together.

    ``explicit`` in order of evaluation; ``tears`` are guessed until ``residuals`` vanish.
    """

    explicit: tuple[int, ...]
    tears: tuple[int, ...]
    residuals: tuple[int, ...]


class Structure(NamedTuple):
    """What can be solved.

    ``extra``: equations too many; ``free``: unknowns that nothing gives; ``waiting``: what hangs on
    those.
    """

    blocks: tuple[Block, ...]
    solver: tuple[int, ...]
    extra: tuple[int, ...]
    free: frozenset[int]
    waiting: frozenset[int]


def key_of(name: str, side: Side, sided: frozenset[str]) -> Key:
    """Key of a name in a relation: ``arm.cc@L`` names its side, a name without sides is taken from
    the center.
    """
    head, at, which = name.partition("@")
    if at:
        return Key(head, "L" if which == "L" else "R")
    return Key(name, side if name in sided else "C")


@lru_cache(maxsize=32)
def lay_out(relations: tuple[Relation, ...], sided: frozenset[str]) -> EquationSystem:
    """Every relation once, or once for L and once for R if it is sided.

    ``sided``: names that have sides beyond those solved with sides.
    """
    both = sided | {
        relation.out.partition("@")[0]
        for relation in relations
        if relation.sided or "@" in relation.out
    }
    index: dict[Key, int] = {}
    rows: list[Equation] = []
    for relation in relations:
        at: tuple[Side, ...] = SIDES if relation.sided else ("C",)
        for side in at:
            number = [
                index.setdefault(key_of(name, side, both), len(index))
                for name in (relation.out, *relation.ins)
            ]
            rows.append(
                Equation(
                    relation, relation.f, number[0], tuple(number[1:]), tuple(dict.fromkeys(number))
                )
            )
    uses: list[list[int]] = [[] for _ in index]
    for equation, row in enumerate(rows):
        for unknown in row.every:
            uses[unknown].append(equation)
    return EquationSystem(tuple(index), index, tuple(rows), tuple(map(tuple, uses)))


def analyse(
    system: EquationSystem,
    given: frozenset[int],
    banned: frozenset[int] = frozenset(),
    dropped: frozenset[int] = frozenset(),
) -> Structure:
    """Match, part and order.

    ``banned`` unknowns are never solved for by an equation too many; ``dropped`` equations are left
    out.
    """
    solver = [-1] * len(system.keys)
    live = [equation for equation in range(len(system.equations)) if equation not in dropped]
    loose = []
    for equation in live:
        out = system.equations[equation].out
        if out not in given and solver[out] < 0:
            solver[out] = equation
        else:
            loose.append(equation)
    extra = tuple(
        equation for equation in loose if not _augment(system, equation, given, banned, solver)
    )
    free = frozenset(
        unknown
        for unknown in range(len(system.keys))
        if unknown not in given and solver[unknown] < 0
    )
    waiting = _downstream(system, free, solver, dropped)
    blocks = tuple(
        _block(system, members, given, solver)
        for members in _components(system, given, solver, waiting)
    )
    return Structure(blocks, tuple(solver), extra, free, waiting)


def over_determined(
    system: EquationSystem, first: int, given: frozenset[int], solver: Sequence[int]
) -> tuple[int, ...]:
    """Equations that equation ``first`` is one too many for: itself and all its alternating paths
    reach, in order of reach.
    """
    found = {first: None}
    queue = [first]
    for equation in queue:
        for unknown in system.equations[equation].every:
            if unknown not in given and solver[unknown] >= 0 and solver[unknown] not in found:
                found[solver[unknown]] = None
                queue.append(solver[unknown])
    return tuple(found)


def _augment(
    system: EquationSystem,
    first: int,
    given: frozenset[int],
    banned: frozenset[int],
    solver: list[int],
) -> bool:
    """Find an unknown for equation ``first`` by the shortest alternating path and match anew along
    it; whether there was one.
    """
    came: dict[int, int] = {}
    holds = {first: -1}
    queue = [first]
    for equation in queue:
        for unknown in system.equations[equation].every:
            if unknown in given or unknown in came or (solver[unknown] < 0 and unknown in banned):
                continue
            came[unknown] = equation
            if solver[unknown] >= 0:
                holds[solver[unknown]] = unknown
                queue.append(solver[unknown])
                continue
            back = unknown
            while back >= 0:
                giver = came[back]
                solver[back], back = giver, holds[giver]
            return True
    return False


def _downstream(
    system: EquationSystem, free: frozenset[int], solver: Sequence[int], dropped: frozenset[int]
) -> frozenset[int]:
    """Unknowns that nothing fixes: the free ones and all that alternating paths reach from them."""
    if not free:
        return free
    held = {equation: unknown for unknown, equation in enumerate(solver) if equation >= 0}
    seen = set(free)
    queue = list(free)
    for unknown in queue:
        for equation in system.uses[unknown]:
            other = held.get(equation, -1)
            if other >= 0 and other not in seen:
                seen.add(other)
                queue.append(other)
    return frozenset(seen)


def _components(
    system: EquationSystem, given: frozenset[int], solver: Sequence[int], waiting: frozenset[int]
) -> list[list[int]]:
    """Strongly connected unknowns in order of solution."""

    def needs(unknown: int) -> list[int]:
        every = system.equations[solver[unknown]].every
        return [other for other in every if other != unknown and other not in given]

    search = _Tarjan(needs)
    for root in range(len(system.keys)):
        if solver[root] >= 0 and root not in waiting and root not in given:
            search.start(root)
    return search.found


class _Tarjan:
    """Strongly connected components, iterative; ``found`` in order of solution."""

    def __init__(self, needs: Callable[[int], list[int]]) -> None:
        self.needs = needs
        self.order: dict[int, int] = {}
        self.low: dict[int, int] = {}
        self.stack: list[int] = []
        self.on_stack: set[int] = set()
        self.found: list[list[int]] = []

    def start(self, root: int) -> None:
        """Everything that is reached from ``root`` and was not yet."""
        if root in self.order:
            return
        work = [self._enter(root)]
        while work:
            node, more = work[-1]
            deeper = self._next(node, more)
            if deeper is not None:
                work.append(self._enter(deeper))
                continue
            work.pop()
            if work:
                above = work[-1][0]
                self.low[above] = min(self.low[above], self.low[node])
            if self.low[node] == self.order[node]:
                self._close(node)

    def _enter(self, node: int) -> tuple[int, Iterator[int]]:
        self.order[node] = self.low[node] = len(self.order)
        self.stack.append(node)
        self.on_stack.add(node)
        return node, iter(self.needs(node))

    def _next(self, node: int, more: Iterator[int]) -> int | None:
        """The next neighbor nobody came to yet; those on the stack lower ``node``."""
        for other in more:
            if other not in self.order:
                return other
            if other in self.on_stack:
                self.low[node] = min(self.low[node], self.order[other])
        return None

    def _close(self, node: int) -> None:
        """``node`` and what stands above it on the stack are one component."""
        members = [self.stack.pop()]
        while members[-1] != node:
            members.append(self.stack.pop())
        self.on_stack.difference_update(members)
        self.found.append(members)


def _block(
    system: EquationSystem, members: list[int], given: frozenset[int], solver: Sequence[int]
) -> Block:
    """Equations of a block: those that give one of its unknowns forward, the unknowns left to
    guess, the equations left to meet.
    """
    if len(members) == 1 and system.equations[solver[members[0]]].out == members[0]:
        return Block((solver[members[0]],), (), ())
    inside = set(members)
    gives: dict[int, int] = {}
    residuals = []
    for equation in sorted(solver[unknown] for unknown in members):
        out = system.equations[equation].out
        if out in inside and out not in gives and out not in system.equations[equation].ins:
            gives[out] = equation
        else:
            residuals.append(equation)
    order = _in_order(system, gives)
    while order is None:
        order = _in_order(system, gives)
    residuals += [
        equation
        for equation in sorted(solver[unknown] for unknown in members)
        if equation not in residuals and equation not in order
    ]
    return Block(order, tuple(sorted(inside - set(gives))), tuple(residuals))


def _in_order(system: EquationSystem, gives: dict[int, int]) -> tuple[int, ...] | None:
    """Order of evaluation; None after taking out the unknown that closed a loop, which is then
    guessed.
    """
    done: dict[int, None] = {}
    busy: set[int] = set()

    def visit(unknown: int) -> int | None:
        equation = gives[unknown]
        if equation in done:
            return None
        if unknown in busy:
            return unknown
        busy.add(unknown)
        for other in system.equations[equation].ins:
            if other in gives and (loop := visit(other)) is not None:
                return loop
        done[equation] = None
        return None

    for unknown in sorted(gives):
        if (loop := visit(unknown)) is not None:
            del gives[loop]
            return None
    return tuple(done)
