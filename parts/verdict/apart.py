"""What stands clear instead of two made parts that stand in one another: the least move of a choice
or a wish with which they do, tried one by one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from ...layout.explain import supposed
from ...layout.job.fields import pattern
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.setout import solve
from ..model.family import Choice
from ..placed.fit import Misfit, fit
from ..stock import Shop
from ..truck.needs import kept
from ..truck.truck import Truck, design, families
from .least_change import PassingChange, moves, way

MOST_TRIED = 60
"""Trucks designed and laid together before the search gives up: about a second each."""
KINDS = ("overlap", "pivot", "weld", "hole", "bolt")


def overlapping(truck: Truck, shop: Shop, values: Mapping[Key, float]) -> list[Misfit]:
    """Parts that stand in one another; ``values``: the solved quantities."""
    return list(fit(truck, shop, values, ("overlap",)))


def clear(job: Job, shop: Shop, truck: Truck, misfit: Misfit) -> list[PassingChange]:
    """The nearest change with which two parts stand clear, nothing else comes to stand in another
    and nothing that could be made is lost, with the same field the other way if that does too; none
    where none was found.

    Every size stays as it is. A field that few families rest on is tried first, since it moves
    little else.
    """
    sizes = _sizes(truck)
    lost = {*truck.failed, *truck.behind, *truck.waiting}
    before = _misfits(truck, shop, solve(job).values)
    found: list[PassingChange] = []
    least = ("", 0.0)
    for tried, (keys, step) in enumerate(_nearest(job, truck, misfit.of)):
        if tried >= MOST_TRIED or (found and least != (keys[0].name, abs(step))):
            break
        values = {key: job.readings[key].value + step for key in keys}
        solved = solve(supposed(job, values))
        made = design(solved, job.words, sizes, job.chassis, shop)
        if not {*made.failed, *made.behind, *made.waiting} <= lost:
            continue
        now = _misfits(made, shop, solved.values)
        if misfit.of not in now and now <= before:
            least = (keys[0].name, abs(step))
            found.append(way(job, keys, values))
    return found


def _misfits(truck: Truck, shop: Shop, values: Mapping[Key, float]) -> set[tuple[str, ...]]:
    return {row.of for row in fit(truck, shop, values, KINDS)}


def _sizes(truck: Truck) -> dict[str, dict[str, Choice]]:
    """What was chosen for every family, as it would be pinned."""
    known = {family.code: (name, family.variables) for name, family in families()}
    found: dict[str, dict[str, Choice]] = {}
    for who, pick in truck.picks.items():
        name, variables = known[who.partition(".")[0]]
        own = {row.name: pick.chosen[row.name] for row in variables if row.name in pick.chosen}
        found.setdefault(name, own)
    return found


def _nearest(
    job: Job, truck: Truck, codes: Sequence[str]
) -> Iterator[tuple[tuple[Key, ...], float]]:
    """Moves of what either part rests on, a field that few families rest on first."""
    letters = sorted({own.family for own in truck.assembly.members if own.code in codes})
    every = [move for letter in letters for move in moves(job, letter)]
    moved = Counter(name for row in kept() for name in row.fields)
    yield from sorted(every, key=lambda move: (moved[pattern(move[0][0].name)], abs(move[1])))
