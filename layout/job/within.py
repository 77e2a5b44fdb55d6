"""Readings of one thing that no such thing can have: a sleeve as wide as its bushing, a bolt as
thick as what it passes, a wall past the middle of its tube, a kingpin inside of the tube's end.
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
_SWAP = "swap or read them again"
_CASTING = "read along the axle again: the cast center lies between the tubes, its round bar in it"
_KNUCKLE = (
    "read both from the center line again: from inside out come the tube's end, the kingpin, and"
    " the tire's center, half the track out"
)
_ON_TUBE = "what stands on the tube ends inside of its end: read or choose it again, or the tube"
WITHIN = (
    Within("axle.lower_sleeve_od", "axle.lower_bushing_od", _ROUND),
    Within("axle.upper_sleeve_od", "axle.upper_bushing_od", _ROUND),
    Within("track_bar.sleeve_od", "track_bar.bushing_od", _ROUND),
    Within("axle.tube_wall", "axle.tube_diameter", _WALL, 2.0),
    Within("arms.tube_wall", "arms.tube_od", _WALL, 2.0, solid=True),
    Within("arms.upper_tube_wall", "arms.upper_tube_od", _WALL, 2.0, solid=True),
    Within("track_bar.wall", "track_bar.od", _WALL, 2.0, solid=True),
    Within("axle.casting_from", "axle.casting_to", _SWAP),
    Within("axle.casting_to", "axle.tube_half_length", _CASTING),
    Within("axle.casting_from", "axle.diff.y", _CASTING),
    Within("axle.diff.y", "axle.casting_to", _CASTING),
    Within("axle.diff.x1", "axle.diff.x2", _SWAP),
    Within("axle.tube_half_length", "axle.kingpin_y", _KNUCKLE),
    Within("axle.kingpin_y", "axle.wheel_track", _KNUCKLE, 2.0),
    Within("axle.lower_mount.y", "axle.tube_half_length", _ON_TUBE),
    Within("axle.upper_mount.y", "axle.tube_half_length", _ON_TUBE),
    Within("axle.spring_seat.y", "axle.tube_half_length", _ON_TUBE),
    Within("frame.notch.plane_x_rear", "frame.notch.plane_x_front", _SWAP),
    Within("frame.notch.plane_z_low", "frame.notch.plane_z_high", _SWAP),
    Within("travel.stop_compressed", "travel.stop_free", _SWAP),
    Within("travel.shock_collapsed", "travel.shock_extended", _SWAP),
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
            low = readings.get(Key(pair.low, side))
            high = readings.get(Key(pair.high, side)) or readings.get(Key(pair.high, "C"))
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
    yield from _behind(readings)
    for bolt, around in BOLTED:
        size, outside = words.get(bolt, ""), readings.get(Key(around, "C"))
        if size and outside is not None and thick(size) > outside.value - EDGE:
            yield Fault(
                around,
                units.show(outside.value, "length"),
                f"more than the bolt that passes it: {bolt} is {size}",
                "read the round again, or the bolt in it",
            )


def _behind(readings: Mapping[Key, Reading]) -> Iterator[Fault]:
    """What hangs in the middle of the truck and is read behind its rear axle."""
    base = readings.get(Key("frame.wheelbase", "C"))
    for name in ("driveline.output.x", "driveline.mount.x"):
        back = readings.get(Key(name, "C"))
        if base is not None and back is not None and -back.value >= base.value:
            yield Fault(
                name,
                units.show(back.value, "length"),
                "ahead of the rear axle, less than frame.wheelbase"
                f" ({units.show(base.value, 'length')}) back",
                "read it from the plumb line again, or the wheelbase",
            )


EDGE = 0.01
"""mm to which two readings are told apart."""


def thick(size: str) -> float:
    """Diameter of a thread by its name, mm.

    >>> [round(thick(size), 2) for size in ("3/4-10", "M20x2.5")]
    [19.05, 20.0]
    """
    if size.startswith("M"):
        return float(size[1:].partition("x")[0])
    return float(Fraction(size.partition("-")[0])) * units.IN
