"""The gap of one pair of bodies, and how far it can be told."""

from __future__ import annotations

import math
from typing import NamedTuple

from ...layout import reader, units
from ...layout.job.load import Job
from ...layout.quantities import Key
from ..model.verdict import Verdict, of_gap

TAPE = units.IN / 16
"""Half width of a taped place where the job says nothing of its tape: common practice, no
source.
"""
SHRINK = units.IN / 32
"""How far welding moves what is welded on, either way: common practice, no source."""
READ_AT = {
    "drag_link": ("axle.drag_link_ball", "steering.pitman_ball"),
    "tie_rod": ("axle.tie_rod_end",),
    "tire": ("axle.tire_diameter", "axle.tire_width", "axle.wheel_track"),
    "shaft": ("axle.pinion_joint", "driveline.output"),
}
"""Body -> readings that say where it is; everything else is placed with the shop's tape."""


class Gap(NamedTuple):
    """Least gap of one pair, mm, below zero if they run into each other by that much; where (truck
    axes, mm) and at which position. ``plus_minus``: how far the gap can be told, mm.
    """

    one: str
    two: str
    titles: tuple[str, str]
    gap: float
    place: str
    at: tuple[float, float, float]
    allowed: float
    plus_minus: float = 0.0

    @property
    def verdict(self) -> Verdict:
        """Touches, tight or ok."""
        return of_gap(self.gap, self.plus_minus, self.allowed)

    @property
    def told(self) -> str:
        """How far apart, as people read it: what is short by less than the last digit gets one
        more, so that it never reads as enough.

        >>> short = Gap("a", "b", ("a", "b"), 12.65, "ride", (0.0, 0.0, 0.0), 12.7)
        >>> short.told, short._replace(gap=12.7).told
        ('0.498 in', '0.50 in')
        """
        words = reader.length(self.gap)
        hidden = self.gap < self.allowed and words == reader.length(self.allowed)
        return reader.fine(self.gap) if hidden else words

    @property
    def needed(self) -> float:
        """Least gap at which nothing is said of it, mm."""
        return max(self.allowed, self.plus_minus)


class Doubt:
    """How far the gaps of one truck can be told.

    Each body is where it was taped or where a fitter put it with a tape, so a gap's plus-minus is
    the root of the squares of both and of what welding moves. The steel of one joint is cut and
    bought to fit round its bolt: welding alone moves it.
    """

    def __init__(self, job: Job) -> None:
        self.job = job
        given = job.readings.get(Key("units.tape", "C"))
        self.tape = TAPE if given is None else float(given.value)
        self.listed = {
            job.words.get(
                f"travel.obstacle.{number}.name", f"obstacle {number}"
            ): f"travel.obstacle.{number}"
            for number in range(1, job.counts.get("travel.obstacle", 0) + 1)
        }
        self._known: dict[str, float] = {}

    def body(self, name: str) -> float:
        """Plus-minus of where one body is, mm: the widest of its own readings, at least the tape's.

        >>> from types import SimpleNamespace
        >>> Doubt(SimpleNamespace(readings={}, words={}, counts={})).body("drag_link") / units.IN
        0.0625
        """
        if name not in self._known:
            self._known[name] = self._body(name)
        return self._known[name]

    def _body(self, name: str) -> float:
        head = name.partition(".")[0]
        starts = READ_AT.get(head, (self.listed.get(name, name),))
        own = (
            reading.half_width
            for key, reading in self.job.readings.items()
            if any(key.name == start or key.name.startswith(f"{start}.") for start in starts)
        )
        return max((self.tape, *own))

    def pair(self, one: str, two: str, at_joint: bool) -> float:
        """Plus-minus of the gap of a pair, mm."""
        return SHRINK if at_joint else math.hypot(self.body(one), self.body(two), SHRINK)


__all__ = ["Doubt", "Gap"]
