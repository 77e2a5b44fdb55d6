"""Why sizes a job pins leave no design, and the fewest of them to let go."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import NamedTuple

import numpy as np

from ..model.family import Choice, Family, Site
from .sizing import Designs, FamilyPins, field, pinned_choice, size


class Fight(NamedTuple):
    """Pins that cannot all be met.

    Attributes
    ----------
    sets : tuple of (pins, rule)
        Each a smallest set, no part of which fights by itself, shortest first, with the rule that
        stands against it in shop words.
    release : tuple of str
        The fewest pins to let go; () where nothing in stock serves at all.
    then : mapping of str to Choice
        The sizes the rest then gets.
    """

    sets: tuple[tuple[tuple[str, ...], str], ...]
    release: tuple[str, ...]
    then: Mapping[str, Choice]


def fight(family: Family, site: Site, pins: FamilyPins, most: int = 3) -> Fight | None:
    """Why these pins leave no design; None if they do.

    Exact: every design of the stock is looked at, rules are never let go.

    Parameters
    ----------
    most : int
        How many of the smallest sets are told.
    """
    whole = field(family, site, {})
    names = [variable.name for variable in family.variables]
    pinned = [name for name in names if name in pins]

    pins = {
        variable.name: pinned_choice(variable, pins[variable.name], whole.choices[variable.name])
        for variable in family.variables
        if variable.name in pins
    }

    def part(kept: tuple[str, ...]) -> tuple[int | slice, ...]:
        return tuple(
            whole.choices[name].index(pins[name]) if name in kept else slice(None) for name in names
        )

    def serves(kept: tuple[str, ...]) -> bool:
        return bool(np.any(whole.fits[part(kept)]))

    if serves(tuple(pinned)):
        return None
    sets: list[tuple[tuple[str, ...], str]] = []
    for size_ in range(1, len(pinned) + 1):
        for some in combinations(pinned, size_):
            if not any(set(old) <= set(some) for old, _ in sets) and not serves(some):
                sets.append((some, _against(family, whole, part(some))))
    for gone in range(1, len(pinned) + 1):
        ways = [
            way
            for way in combinations(pinned, gone)
            if serves(tuple(name for name in pinned if name not in way))
        ]
        if ways:
            return Fight(
                tuple(sets[:most]),
                ways[0],
                size(
                    family, site, "", {name: pins[name] for name in pinned if name not in ways[0]}
                ).chosen,
            )
    return Fight(tuple(sets[:most]), (), {})


def _against(family: Family, whole: Designs, part: tuple[int | slice, ...]) -> str:
    """The rule that most designs of a part of the field break."""
    counts = [float(np.mean(whole.broken[row][part])) for row in range(len(family.rules))]
    return family.rules[int(np.argmax(counts))].says
