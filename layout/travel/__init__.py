"""Travel: what the axle does through bump, droop, roll and steer, what limits it, and how sure each
number is.

``study`` solves a job's envelope; ``at_positions`` gives every output at positions of one's own.
Limits stated in the tool: rigid arms, axle and frame; linear bushings; coil bow is geometry;
anti-dive holds the height of the center of gravity.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from .. import units
from ..arrays import Array
from ..graph import Graph
from ..job.load import Job
from ..quantities import Key
from ..setout import solve
from .gear import Gear, gear
from .linkage import Bush, Linkage, linkage, needs, rates
from .outputs import KINDS, TravelOutputs, outputs
from .pose import Pose, pose

TYPICAL = (Bush(5250.0, 790.0, 230_000.0, 2_000_000.0), Bush(3940.0, 525.0, 145_000.0, 750_000.0))
"""Lower and upper bushing where the shop gives no rates: N/mm, N mm/rad; judgment, no source.

Soft is a third of it, hard three times.
"""
SOFT, HARD = 1 / 3, 3.0
BRACKET = (
    (SOFT, SOFT, 1.0),
    (HARD, HARD, 1.0),
    (SOFT, HARD, 1.0),
    (HARD, SOFT, 1.0),
    (HARD, HARD, SOFT),
    (SOFT, SOFT, HARD),
)
"""Lower rates, upper rates, and torsion and cone besides, each times this: the corners of soft to
hard.
"""
IN = units.IN


class Place(NamedTuple):
    """A named position of the axle off ride height.

    ``heave`` mm, bump positive; ``roll`` rad, left wheel up positive.
    """

    name: str
    heave: float
    roll: float


class Travel(NamedTuple):
    """A job's envelope.

    ``found``: outputs (N,) by key; ``low``, ``high``: their least and most between soft and hard
    bushings where rates are not read, else None; ``waits``: subject -> keys owed; ``lost``:
    positions that did not come to rest, with why.
    """

    places: tuple[Place, ...]
    linkage: Linkage | None
    gear: Gear
    pose: Pose | None
    found: TravelOutputs
    low: TravelOutputs | None
    high: TravelOutputs | None
    waits: Mapping[str, tuple[Key, ...]]
    lost: Mapping[str, str]

    def at(self, name: str) -> int:
        """Row of a named position in every array of ``found``.

        ValueError if no position has that name.
        """
        return [place.name for place in self.places].index(name)

    @property
    def bracketed(self) -> bool:
        """Whether bushing rates are assumed, soft to hard.

        Then ``low`` and ``high`` have the least and the most of every output between them; where
        every rate is read, or nothing could be worked yet, both are None.
        """
        return self.low is not None


def rates_of(values: Mapping[Key, float]) -> tuple[tuple[Bush, Bush], bool]:
    """Bushing rates as read, lower and upper, and whether any is not read.

    N/mm and N mm/rad, as ``Bush``; where a rate is not read that of ``TYPICAL`` stands in.

    >>> rates_of({}) == (TYPICAL, True)
    True
    """
    got, assumed = [], False
    for base, usual in zip(("lower", "upper"), TYPICAL, strict=True):
        rows = [values.get(Key(f"arms.{base}_bush_{field}", "C")) for field in Bush._fields]
        assumed |= None in rows
        got.append(
            Bush(
                *(
                    typical if rate is None else rate
                    for rate, typical in zip(rows, usual, strict=True)
                )
            )
        )
    return (got[0], got[1]), assumed


def scaled(bush: Bush, times: float, turn: float = 1.0) -> Bush:
    """All rates times ``times``, torsion and cone times ``turn`` besides.

    >>> scaled(Bush(1.0, 2.0, 3.0, 4.0), 2.0, 0.5)
    Bush(radial=2.0, axial=4.0, torsion=3.0, cone=4.0)
    """
    return Bush(
        times * bush.radial,
        times * bush.axial,
        times * turn * bush.torsion,
        times * turn * bush.cone,
    )


def envelope(values: Mapping[Key, float]) -> tuple[Place, ...]:
    """Full droop to full bump by inches, roll each way at ride height, roll each way with one wheel
    on the stop.
    """
    bump, droop, roll = (
        values.get(Key(f"travel.{name}", "C"), usual)
        for name, usual in (("bump", 4 * IN), ("droop", 6 * IN), ("roll", math.radians(5)))
    )
    steps = sorted(
        {round(heave * IN, 6) for heave in range(-60, 61) if -droop < heave * IN < bump}
        | {-droop, 0.0, bump}
    )
    heaves = [
        Place(
            {bump: "full bump", 0.0: "ride height", -droop: "full droop"}.get(
                heave, f"{'bump' if heave > 0 else 'droop'} {units.show(abs(heave), 'length')}"
            ),
            heave,
            0.0,
        )
        for heave in steps
    ]
    half = values.get(Key("axle.wheel_track", "C"), 65 * IN) / 2
    low = bump - half * math.sin(roll)
    return (
        *heaves,
        Place("roll, left up", 0.0, roll),
        Place("roll, right up", 0.0, -roll),
        Place("left on its stop", low, roll),
        Place("right on its stop", low, -roll),
    )


def study(
    job: Job, solved: Graph, places: Iterable[Place] | None = None, *, posed: bool = False
) -> Travel:
    """Everything at every position of the envelope (or ``places``); ``posed``: where everything
    stands alone, without outputs and what softer or harder bushings change.

    What waits is named, the rest is still there; never raises for geometry.
    """
    values = solved.values
    positions = tuple(places or envelope(values))
    gears = gear(values)
    waits = {subject: _leaves(solved, keys) for subject, keys in gears.waits.items()}
    if owed := _leaves(solved, tuple(key for key in needs() if key not in values)):
        return Travel(
            places=positions,
            linkage=None,
            gear=gears,
            pose=None,
            found={},
            low=None,
            high=None,
            waits={"linkage": owed, **waits},
            lost={},
        )
    (lower, upper), assumed = rates_of(values)
    heave = np.array([place.heave for place in positions])
    roll = np.array([place.roll for place in positions])
    links = linkage(values, lower, upper)
    rest = pose(links, heave, roll)
    wide = assumed and not posed
    low, high = _bracket(values, (lower, upper), gears, heave, roll) if wide else (None, None)
    lost = {
        place.name: why(links, place)
        for place, settled in zip(positions, rest.settled, strict=True)
        if not settled
    }
    return Travel(
        places=positions,
        linkage=links,
        gear=gears,
        pose=rest,
        found={} if posed else outputs(links, gears, rest),
        low=low,
        high=high,
        waits=waits,
        lost=lost,
    )


def _leaves(solved: Graph, keys: Iterable[Key]) -> tuple[Key, ...]:
    """The readings owed for values that wait."""
    return tuple(
        sorted(
            {
                leaf
                for key in keys
                for leaf in solved.rests_on(key) or {key}
                if leaf not in solved.values or key not in solved.values
            }
        )
    )


def _bracket(
    values: Mapping[Key, float], usual: tuple[Bush, Bush], gears: Gear, heave: Array, roll: Array
) -> tuple[TravelOutputs, TravelOutputs]:
    """Least and most of every output over the corners of soft and hard."""
    corners = []
    for lower, upper, turn in BRACKET:
        links = linkage(values, scaled(usual[0], lower, turn), scaled(usual[1], upper, turn))
        corners.append(outputs(links, gears, pose(links, heave, roll)))
    low, high = (
        {key: pick([corner[key] for corner in corners], axis=0) for key in corners[0]}
        for pick in (np.min, np.max)
    )
    return low, high


def second_rests(travel: Travel) -> dict[str, str]:
    """By place, in words: where the bushings have a second rest beside the one that is printed, at
    the rates used and, where none are read, with the softest cones against the hardest squeeze.
    Arms that can come to rest in two ways may flip from one to the other.
    """
    if travel.linkage is None or travel.pose is None:
        return {}
    stands = [("", travel.linkage)]
    if travel.bracketed:
        lower, upper, turn = BRACKET[4]
        soft = rates(
            *(
                scaled(bush, times, turn)
                for bush, times in zip(TYPICAL, (lower, upper), strict=True)
            )
        )
        stands.append((" with hard bushings that cone softly", travel.linkage._replace(rates=soft)))
    said: dict[str, str] = {}
    for how, links in stands:
        rest = pose(links, travel.pose.heave, travel.pose.roll, everywhere=True)
        for place, energy, other in zip(travel.places, rest.energy, rest.other, strict=True):
            if math.isfinite(other) and place.name not in said:
                more = f"{other / energy:.2f} times" if energy > 1.0 else "more than"
                said[place.name] = (
                    f"the arms can come to rest in two ways{how}, the other with {more} the energy"
                    " in the bushings: they may flip over; bushings that cone less easily, or an"
                    " upper joint lower on the arm, leave one"
                )
    return said


def why(links: Linkage, place: Place) -> str:
    """In words, what keeps a position from coming to rest.

    ``links``: a single linkage, mm. Looked at in turn: arms too short for the heave, track bar
    too short, else the bushings themselves.
    """
    joint = links.joint.mean(axis=0)
    reach = math.hypot(links.center[0] - joint[0], links.center[2] - joint[2])
    if abs(links.center[2] + place.heave - joint[2]) > 0.97 * reach:
        return f"the arms cannot reach a heave of {units.show(place.heave, 'length')}"
    drop = abs(links.bar_axle[2] + place.heave - links.bar_frame[2])
    if drop > 0.97 * math.dist(links.bar_axle, links.bar_frame):
        return "the track bar cannot reach that far"
    return (
        "the bushings find no rest there without being pulled out of their eyes: the links cannot"
        " reach, or two of them lie in one line"
    )


def at_positions(job: Job, heave: Array, roll: Array) -> TravelOutputs:
    """Every output of a job at N positions, arrays (N,) by key, internal units.

    ``heave`` mm (bump positive) and ``roll`` rad (left wheel up positive), (N,) each. Outputs
    whose readings wait are left out.
    """
    return study(
        job,
        solve(job),
        [
            Place(str(number), float(up), float(lean))
            for number, (up, lean) in enumerate(zip(heave, roll, strict=True))
        ],
    ).found


__all__ = [
    "KINDS",
    "Place",
    "Travel",
    "at_positions",
    "envelope",
    "rates_of",
    "second_rests",
    "study",
]
