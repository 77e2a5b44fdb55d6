"""What limits bump, droop, roll, and roll with one wheel on its stop: each criterion's own travel,
and which of them governs.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

import numpy as np

from .. import units
from ..arrays import Array
from ..graph import Graph
from ..job.load import Job
from ..quantities import SIDE_WORD, SIDES, Key
from . import Place, Travel, study
from .outputs import KINDS, moved

IN = units.IN
BEYOND = 2.0 * IN
STEPS = 25
HEAVES = ("bump", "droop")
ON_STOP = ("left on its stop", "right on its stop")


class Criterion(NamedTuple):
    """One thing that may end the travel: ``value`` (N,) must stay at or below ``most`` along a
    path. ``shown`` -1 where both are the negative of what people read: a length or a gap that must
    not fall below the least.
    """

    name: str
    value: Array
    most: float
    unit: str
    key: Key
    shown: int = 1


class Limit(NamedTuple):
    """Where one criterion ends one path.

    ``at``: mm of heave or rad of roll, NaN where it is not met as far as was looked; ``there``: the
    value at the travel asked for, ``most`` what is allowed, ``margin`` between them in units of
    ``unit``; times ``shown`` they read as people read them, and ``shown`` -1 makes ``most`` a
    least.
    """

    path: str
    name: str
    at: float
    asked: float
    there: float
    most: float
    unit: str
    governs: bool = False
    shown: int = 1

    @property
    def reads(self) -> tuple[float, float]:
        """Value at the travel asked for and its limit, signed as people read them.

        Both in ``unit``, internal (mm, rad, N ...).
        """
        return self.shown * self.there, self.shown * self.most

    @property
    def rolls(self) -> bool:
        """Whether the path is one of roll, not of heave.

        Then ``at`` and ``asked`` are rad, otherwise mm.
        """
        return self.path not in HEAVES

    @property
    def short(self) -> bool:
        """Whether it ends the travel before what was asked for.

        False where it is not met as far as was looked (``at`` NaN), or only past the travel asked
        for.

        >>> Limit("bump", "coil", at=80.0, asked=100.0, there=3.0, most=1.0, unit="length").short
        True
        """
        return math.isfinite(self.at) and abs(self.at) < abs(self.asked) - 1e-6

    @property
    def used(self) -> float:
        """How much of what is allowed is used up at the travel asked for: 1 = all of it.

        A ratio without unit. Where nothing is allowed (``most`` 0), infinite once it is overdrawn,
        else by what is left against an inch.
        """
        if self.most == 0:
            return math.inf if self.there > 0 else 1 / (1 - self.there / IN)
        return self.most / self.there if self.most < 0 and self.there else self.there / self.most

    @property
    def margin(self) -> float:
        """What is left at the travel asked for, in ``unit``; below zero it is overdrawn.

        ``most`` less ``there``, before ``shown`` turns them round for reading, so that its sign
        means the same for a least as for a most.

        >>> Limit("bump", "coil", at=80.0, asked=100.0, there=3.0, most=1.0, unit="length").margin
        -2.0
        """
        return self.most - self.there


def paths(solved: Graph) -> dict[str, tuple[Place, ...]]:
    """Bump, droop, roll each way at ride height, and roll each way with the upper wheel held on its
    stop, a little further than asked.
    """
    values = solved.values
    bump, droop, roll = (
        values.get(Key(f"travel.{name}", "C"), usual)
        for name, usual in (("bump", 4 * IN), ("droop", 6 * IN), ("roll", math.radians(5)))
    )
    part = np.linspace(0.0, 1.0, STEPS + 1)
    lean = (roll + math.radians(3)) * part
    half = values.get(Key("axle.wheel_track", "C"), 65 * IN) / 2
    stop = bump - half * np.sin(lean)
    rows = {
        "bump": ((bump + BEYOND) * part, 0 * part),
        "droop": (-(droop + BEYOND) * part, 0 * part),
        "roll, left up": (0 * part, lean),
        "roll, right up": (0 * part, -lean),
        ON_STOP[0]: (stop, lean),
        ON_STOP[1]: (stop, -lean),
    }
    return {
        name: tuple(
            Place(f"{name} {number}", float(up), float(over))
            for number, (up, over) in enumerate(zip(heaves, rolls, strict=True))
        )
        for name, (heaves, rolls) in rows.items()
    }


def asked_of(solved: Graph, path: str) -> float:
    """Travel asked for along a path: mm of heave (bump +), rad of roll (left wheel up +).

    ``path`` is a key of ``paths``. NaN where the job does not say.
    """
    values = solved.values
    return {
        "bump": values.get(Key("travel.bump", "C"), math.nan),
        "droop": -values.get(Key("travel.droop", "C"), math.nan),
    }.get(path, values.get(Key("travel.roll", "C"), math.nan) * (1 if "left" in path else -1))


MOST = {
    "frame_joint": ("arms.max_joint_angle", "frame joint's swing"),
    "upper_joint": ("arms.max_upper_joint_angle", "upper joint's swing"),
    "pinion.joint": ("driveline.max_pinion_joint", "pinion joint's angle"),
    "transfer.joint": ("driveline.max_transfer_joint", "transfer-case joint's angle"),
    "lower.radial": ("arms.bush_max_radial", "lower bushing's squeeze"),
    "upper.radial": ("arms.bush_max_radial", "upper bushing's squeeze"),
    "lower.cone": ("arms.bush_max_cone", "lower bushing's cone"),
    "upper.cone": ("arms.bush_max_cone", "upper bushing's cone"),
    "coil.seat": ("spring.max_seat_angle", "coil seat's angle"),
}
"""Travel output -> the field of its most, what a limit on it is called."""


def criteria(travel: Travel, solved: Graph) -> Iterator[Criterion]:
    """Every criterion whose readings are there, at the positions of ``travel``; the worse of soft
    and hard where bushings are not read.
    """
    values = solved.values
    high, low = travel.high or travel.found, travel.low or travel.found
    for key, rows in high.items():
        field, says = MOST.get(key.name, ("", ""))
        limit = values.get(Key(field, "C"))
        side = f", {SIDE_WORD[key.side]}" if key.side != "C" else ""
        if limit is not None:
            yield Criterion(says + side, rows, limit, KINDS[key.name][0], key)
        if key.name == "slip":
            if (allowed := values.get(Key("driveline.slip_compress", "C"))) is not None:
                yield Criterion("shaft's slip bottoms", -low[key], allowed, "length", key)
            if (allowed := values.get(Key("driveline.slip_extend", "C"))) is not None:
                yield Criterion("shaft's slip runs out", rows, allowed, "length", key)
        if key.name == "coil.length":
            solid, free = (
                values.get(Key("spring.solid", key.side)),
                values.get(Key("spring.free_length", "C")),
            )
            if solid is not None:
                yield Criterion(
                    f"coil binds{side}",
                    -low[key],
                    -solid - values.get(Key("spring.bind_margin", "C"), 0.0),
                    "length",
                    key,
                    -1,
                )
            if free is not None:
                yield Criterion(f"coil loose{side}", rows, free, "length", key)
    yield from _shocks(travel, values)


def _shocks(travel: Travel, values: Mapping[Key, float]) -> Iterator[Criterion]:
    """Shock pin to pin against its closed and open length, with the pins where the job has them."""
    if travel.pose is None or travel.linkage is None:
        return
    for side, way in zip(SIDES, (1, -1), strict=True):
        try:
            beside = way * values[Key("travel.shock_y", side)]
            low = np.array(
                (values[Key("travel.shock_x", "C")], beside, values[Key("axle.z_ride", "C")])
            )
            top = np.array(
                (values[Key("travel.shock_top_x", "C")], beside, values[Key("travel.shock_z", "C")])
            )
        except KeyError:
            continue
        long = np.linalg.norm(moved(travel.linkage, travel.pose, low) - top, axis=-1)
        word = SIDE_WORD[side]
        key = Key("shock.length", side)
        if (allowed := values.get(Key("travel.shock_collapsed", "C"))) is not None:
            yield Criterion(f"shock bottoms, {word}", -long, -allowed, "length", key, -1)
        if (allowed := values.get(Key("travel.shock_extended", "C"))) is not None:
            yield Criterion(f"shock tops out, {word}", long, allowed, "length", key)


def reach(along: Array, value: Array, most: float) -> float:
    """First place along a path where a value passes ``most``; NaN if it does not, 0 if it is past
    it at the start.
    """
    past = value > most + 1e-9
    if not past.any():
        return math.nan
    first = int(np.argmax(past))
    if first == 0:
        return 0.0
    before, after = value[first - 1], value[first]
    return float(
        along[first - 1] + (along[first] - along[first - 1]) * (most - before) / (after - before)
    )


def limits(
    job: Job, solved: Graph, more: Callable[[Travel], Iterable[Criterion]] = lambda travel: ()
) -> tuple[Limit, ...]:
    """Every criterion along bump, droop and roll each way; the first on each path governs.

    Stop and strap end bump and droop by design. ``more``: criteria of one's own, such as gaps
    between parts, at the positions of a path.
    """
    rows: list[Limit] = []
    for path, places in paths(solved).items():
        asked = asked_of(solved, path)
        travel = study(job, solved, places)
        along = np.array([place.heave if path in HEAVES else place.roll for place in places])
        mine = list(_by_design(path, asked))
        for criterion in (
            *criteria(travel, solved),
            *(more(travel) if travel.pose is not None else ()),
        ):
            if (criterion.name.startswith("coil loose") and path == "bump") or (
                criterion.name.startswith("coil binds") and path == "droop"
            ):
                continue
            there = float(np.interp(abs(asked), np.abs(along), criterion.value))
            at = reach(along, criterion.value, criterion.most)
            mine.append(
                Limit(
                    path=path,
                    name=criterion.name,
                    at=at,
                    asked=asked,
                    there=there,
                    most=criterion.most,
                    unit=criterion.unit,
                    shown=criterion.shown,
                )
            )
        met = [abs(limit.at) for limit in mine if math.isfinite(limit.at)]
        first = min(met, default=math.inf)
        rows += sorted(
            (
                limit._replace(governs=math.isfinite(limit.at) and abs(limit.at) <= first + 1e-6)
                for limit in mine
            ),
            key=lambda limit: (
                abs(limit.at) if math.isfinite(limit.at) else math.inf,
                -limit.used,
                limit.name,
            ),
        )
    return tuple(rows)


def _by_design(path: str, asked: float) -> Iterator[Limit]:
    """Stop and strap end bump and droop where they were asked to."""
    if path in HEAVES:
        what = "bump stop" if path == "bump" else "limit strap"
        yield Limit(
            path=path,
            name=what,
            at=asked,
            asked=asked,
            there=abs(asked),
            most=abs(asked),
            unit="length",
        )
