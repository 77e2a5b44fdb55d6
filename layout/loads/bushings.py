"""Rates of the arms' bushings the loads are worked with: as read, or where they are not, over what
bushings of this kind may have.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..arrays import Array
from ..quantities import Key
from ..travel import BRACKET, rates_of, scaled
from ..travel.linkage import Bush, rates

CORNERS = (
    "soft bushings",
    "hard bushings",
    "soft lower, hard upper bushings",
    "hard lower, soft upper bushings",
    "hard bushings that turn easily",
    "soft bushings that turn hard",
)
"""The corners of ``travel.BRACKET`` in words."""


class RateSet(NamedTuple):
    """One set of bushing rates that the loads are worked with.

    ``rates``: (4, 4) as ``Linkage.rates``, N/mm and N mm/rad; ``says``: which corner of soft to
    hard in words, empty for those read or usual.
    """

    says: str
    rates: Array


def rate_sets(values: Mapping[Key, float]) -> tuple[RateSet, ...]:
    """The rates as read, usual ones for those that are not; where any is not, the corners of a
    third to three times for those besides, as travel has them.
    """
    (lower, upper), assumed = rates_of(values)
    found = [RateSet("", rates(lower, upper))]
    if assumed:
        for says, (low, up, turn) in zip(CORNERS, BRACKET, strict=True):
            below = _kept(values, "lower", lower, scaled(lower, low, turn))
            above = _kept(values, "upper", upper, scaled(upper, up, turn))
            found.append(RateSet(says, rates(below, above)))
    return tuple(found)


def _kept(values: Mapping[Key, float], base: str, used: Bush, other: Bush) -> Bush:
    """The other rates, but those that were read as they were read."""
    return Bush(
        *(
            now if Key(f"arms.{base}_bush_{name}", "C") in values else then
            for name, now, then in zip(Bush._fields, used, other, strict=True)
        )
    )
