"""The job as the set-down sees it: linkage, gear, weights, and what every reading should be on the
truck as designed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from .. import units
from ..graph import Graph
from ..quantities import SIDE_WORD, SIDES, Key, Side
from ..travel import rates_of
from ..travel.gear import AskedValues, Gear, gear
from ..travel.linkage import Linkage, linkage
from ..travel.outputs import outputs
from ..travel.pose import pose
from .readings import ASKED, BY, COIL_SHARE, Targets, Window

IN = units.IN
SQUEEZE = Key("arms.bush_max_radial", "C")
USUAL_SQUEEZE = 0.12 * IN
"""What moves are weighed by where the maker's most is not given; judgment, no source."""


class SetdownTruck(NamedTuple):
    """The job as the set-down sees it, mm, N, rad.

    ``lk``, ``g``: linkage and gear as designed; ``squeeze``: radial limit of the bushings, mm, and
    whether the job gives it;
    ``asked``: what each reading should be and may be.
    """

    lk: Linkage
    g: Gear
    load: float
    width: float
    track: float
    wheelbase: float
    asked: Targets
    rake: float
    threads: tuple[float, float]
    squeeze: float
    squeeze_given: bool = True

    @property
    def targets(self) -> Mapping[str, float]:
        """What each reading should be, internal units."""
        return self.asked.wanted


class OwedError(Exception):
    """The set-down needs readings that are not there: ``keys``."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        self.keys = keys
        super().__init__(", ".join(map(str, keys)))


def truck_of(solved: Graph) -> SetdownTruck:
    """The truck as the set-down sees it, from the values of a solved layout.

    OwedError names the readings that are owed.
    """
    values = AskedValues(solved.values)
    try:
        return _truck(values)
    except KeyError:
        if not values.missing:
            raise
        owed = {leaf for key in values.missing for leaf in solved.rests_on(key) or {key}}
        raise OwedError(tuple(sorted(owed))) from None


def _truck(values: AskedValues) -> SetdownTruck:
    (lower, upper), _ = rates_of(values)
    links, gears = linkage(values, lower, upper), gear(values)
    if gears.coils is None or gears.steering is None:
        values.missing += [
            key for name in ("coils", "steering") for key in gears.waits.get(name, ())
        ]
        raise KeyError(values.missing[0])
    tpi = [
        IN / values.get(Key(f"arms.{name}_tpi", "C"), usual)
        for name, usual in (("joint", 12.0), ("upper_joint", 16.0))
    ]
    wanted = _wanted(values, links, gears)
    apart = wanted["drag"] - wanted["bar"]
    parallel = max(values.get(Key("track_bar.max_error", "C"), BY["drag"].limit), abs(apart))
    return SetdownTruck(
        lk=links,
        g=gears,
        load=values[Key("spring.axle_load", "C")] - values[Key("spring.unsprung", "C")],
        width=values[Key("frame.measuring_width", "C")],
        track=values[Key("axle.wheel_track", "C")],
        wheelbase=values[Key("frame.wheelbase", "C")],
        asked=Targets(wanted, _windows(values, wanted), parallel),
        rake=wanted["rake"],
        threads=(tpi[0], tpi[1]),
        squeeze=values.get(SQUEEZE, USUAL_SQUEEZE),
        squeeze_given=SQUEEZE in values,
    )


def _wanted(values: Mapping[Key, float], links: Linkage, gears: Gear) -> dict[str, float]:
    """What each reading is on the truck as designed."""
    flat = outputs(links, gears, pose(links, np.zeros(1), np.zeros(1)))

    def one(name: str, side: Side = "C") -> float:
        return float(flat[Key(name, side)][0])

    base = values[Key("frame.wheelbase", "C")]
    found = {
        "sideways": 0.0,
        "pinion": one("pinion.up"),
        "bar": one("bar.angle"),
        "drag": one("drag.angle"),
        "rake": sum(values.get(Key("frame.rake", key), 0.0) for key in SIDES) / 2,
    }
    for key in SIDES:
        side = SIDE_WORD[key]
        found |= {
            f"height.{side}": values[Key("rail.coil.bottom", key)],
            f"wheelbase.{side}": base,
            f"caster.{side}": one("caster", key),
            f"coil.{side}": one("coil.length", key),
        }
    if gears.shaft:
        found["shaft"] = float(np.linalg.norm(gears.shaft.output - gears.shaft.pinion))
    return {asked.name: found[asked.name] for asked in ASKED if asked.name in found}


def _windows(values: Mapping[Key, float], wanted: Mapping[str, float]) -> dict[str, Window]:
    """Each reading's own limit; caster inside the window wanted besides; a coil as its load and its
    room at bump allow; the shaft in its slip.
    """
    rows = {
        name: Window(value - BY[name].limit, value + BY[name].limit)
        for name, value in wanted.items()
    }
    low, high = (
        values.get(Key(f"wanted.caster_{end}", "C"), math.copysign(math.inf, way))
        for end, way in (("low", -1), ("high", 1))
    )
    for key in SIDES:
        side = SIDE_WORD[key]
        name = f"caster.{side}"
        near = rows[name]
        says = "" if low <= near.low and near.high <= high else "the caster asked for ends there"
        rows[name] = Window(max(near.low, low), min(near.high, high), says)
        name = f"coil.{side}"
        share = COIL_SHARE * (values[Key("spring.free_length", "C")] - wanted[name])
        room = [
            Key("spring.at_bump", key),
            Key("spring.solid", key),
            Key("spring.bind_margin", "C"),
        ]
        bind = (
            values[room[0]] - values[room[1]] - values[room[2]]
            if all(need in values for need in room)
            else share
        )
        short = max(min(share, bind), BY[name].limit)
        says = "shorter it binds before full bump" if short < share else ""
        rows[name] = Window(wanted[name] - short, wanted[name] + max(share, BY[name].limit), says)
    if "shaft" in rows:
        value = wanted["shaft"]
        inward, out = (
            min(BY["shaft"].limit, values.get(Key(f"driveline.slip_{name}", "C"), math.inf))
            for name in ("compress", "extend")
        )
        rows["shaft"] = Window(value - inward, value + out)
    return rows
