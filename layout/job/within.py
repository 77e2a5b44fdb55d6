"""Readings of one thing that no such thing can have: a sleeve as wide as its bushing, a bolt as
thick as what it passes, a wall past the middle of its tube.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from .. import units
from ..faults import Fault
from ..quantities import SIDES, Key, Reading


class Within(NamedTuple):
    """Two readings of which ``times`` the one stays under the other; ``solid``: or is as much."""

    low: str
    high: str
    remedy: str
    times: float = 1.0
    solid: bool = False


_ROUND = "read both again with the caliper"
_WALL = "read the wall again, or the outside: a wall is on both sides"
WITHIN = (
    Within("axle.lower_sleeve_od", "axle.lower_bushing_od", _ROUND),
    Within("axle.upper_sleeve_od", "axle.upper_bushing_od", _ROUND),
    Within("track_bar.sleeve_od", "track_bar.bushing_od", _ROUND),
    Within("axle.tube_wall", "axle.tube_diameter", _WALL, 2.0),
    Within("arms.tube_wall", "arms.tube_od", _WALL, 2.0, solid=True),
    Within("arms.upper_tube_wall", "arms.upper_tube_od", _WALL, 2.0, solid=True),
    Within("track_bar.wall", "track_bar.od", _WALL, 2.0, solid=True),
    Within("axle.casting_from", "axle.casting_to", "swap or read them again"),
    Within("travel.stop_compressed", "travel.stop_free", "swap or read them again"),
    Within("travel.shock_collapsed", "travel.shock_extended", "swap or read them again"),
    Within(
        "axle.tire_loaded_radius",
        "axle.tire_diameter",
        "read both again: a tire with weight on is less than half its free diameter high",
        2.0,
    ),
)
BOLTED = (
    ("axle.bolt", "axle.lower_sleeve_od"),
    ("axle.upper_bolt", "axle.upper_sleeve_od"),
    ("track_bar.bolt", "track_bar.sleeve_od"),
    ("arms.joint_bolt", "arms.joint_housing"),
    ("arms.upper_joint_bolt", "arms.upper_joint_housing"),
)
"""Bolt -> the round it passes."""


def impossible(readings: Mapping[Key, Reading], words: Mapping[str, str]) -> Iterator[Fault]:
    """A fault for each two readings that no one thing can have.

    ``readings``: by key, internal units; ``words``: words by path. Nothing where one was not read.
    """
    for pair in WITHIN:
        for side in ("C", *SIDES):
            low, high = readings.get(Key(pair.low, side)), readings.get(Key(pair.high, side))
            if low is None or high is None:
                continue
            past = pair.times * low.value - high.value
            if past > EDGE or (past > -EDGE and not pair.solid):
                under = units.show(high.value / pair.times, "length")
                part = "half of " * (pair.times > 1.0)
                yield Fault(
                    str(Key(pair.low, side)),
                    units.show(low.value, "length"),
                    f"{'up to' if pair.solid else 'less than'} {part}{pair.high}, {under}",
                    pair.remedy,
                )
    for bolt, around in BOLTED:
        size, outside = words.get(bolt, ""), readings.get(Key(around, "C"))
        if size and outside is not None and thick(size) > outside.value - EDGE:
            yield Fault(
                around,
                units.show(outside.value, "length"),
                f"more than the bolt that passes it: {bolt} is {size}",
                "read the round again, or the bolt in it",
            )


EDGE = 0.01
"""mm to which two readings are told apart."""


def thick(size: str) -> float:
    """Diameter of a thread by its name, mm.

    >>> thick("3/4-10"), thick("M20x2.5")
    (19.05, 20.0)
    """
    if size.startswith("M"):
        return float(size[1:].partition("x")[0])
    return float(Fraction(size.partition("-")[0])) * units.IN
