"""How sure a travel result is: every reading the layout rests on moved by its own uncertainty, all
variants solved in one call.

The layout's slopes are exact; the pose is solved again for each reading, from where it rested. u of
a reading within +-a is a / sqrt 3.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..arrays import Array
from ..graph import Graph
from ..quantities import SIDES, Key
from ..setout.surety import OWN_CASTER, turns
from . import Place, rates_of
from .gear import Gear, gear
from .linkage import AXES, Linkage, axis_keys, linkage, needs, stack
from .outputs import outputs
from .pose import Start, cut_pose, pose

RIDE = Place("ride height", 0.0, 0.0)
SHOWN = 0.01
"""Share of the square of an uncertainty under which a reading is not named."""


class Sure(NamedTuple):
    """Standard uncertainty of outputs at places.

    ``u``: key -> (N,); ``parts``: key -> reading -> (N,), signed change for one u of the reading.
    """

    u: Mapping[Key, Array]
    parts: Mapping[Key, Mapping[Key, Array]]

    def dominating(self, key: Key, at: int, most: int = 3) -> tuple[tuple[Key, float], ...]:
        """Readings that make up most of the uncertainty at one place, with their share of its
        square.
        """
        total = float(self.u[key][at]) ** 2
        if total <= 0:
            return ()
        rows = sorted(
            ((leaf, float(change[at]) ** 2 / total) for leaf, change in self.parts[key].items()),
            key=lambda row: (-row[1], str(row[0])),
        )
        return tuple(row for row in rows[:most] if row[1] > SHOWN)


def leaves(solved: Graph, names: Sequence[Key]) -> dict[Key, float]:
    """Given readings with a plus-minus that any of ``names`` rests on, and their u.

    u: standard uncertainty, the half-width of the plus-minus as ``Graph.half_width`` gives it,
    internal units. Readings without one are left out.
    """
    found: dict[Key, float] = {}
    for key in names:
        for leaf in solved.gradient(key):
            u = solved.half_width(leaf)
            if u > 0:
                found[leaf] = u
    return found


def used(solved: Graph) -> tuple[Key, ...]:
    """Layout values that linkage and gear are made of, those that are there.

    ``needs`` of the linkage first, then what steering, coils, driveline and weights read.
    """
    more = [
        Key(name, "C")
        for name in (
            "axle.caster_at_level_pinion",
            "axle.kpi",
            "axle.kingpin_y",
            "spring.rate",
            "spring.free_length",
            "driveline.output_axis_down",
            "spring.pad_wedge",
            "frame.wheelbase",
            "travel.cg_height",
            "travel.brake_front",
        )
    ]
    for base in (
        "axle.drag_link_ball",
        "axle.tie_rod_end",
        "axle.pinion_joint",
        "driveline.output",
        "steering.pitman_ball",
    ):
        more += [Key(f"{base}.{axis}", "C") for axis in "xyz"]
    for base in ("seat.lower", "seat.upper"):
        more += [Key(f"{base}.{axis}", side) for axis in "xyz" for side in SIDES]
    more += [
        Key(f"arms.{arm}_bush_{field}", "C")
        for arm in ("lower", "upper")
        for field in ("radial", "axial", "torsion", "cone")
    ]
    more += [key for base in AXES for key in axis_keys(base)]
    return tuple(key for key in (*needs(), *more) if key in solved.values)


def moved_values(solved: Graph, keys: Sequence[Key], step: Mapping[Key, float]) -> dict[Key, float]:
    """Layout values with the given readings moved by ``step``, to first order.

    ``keys``: the values to move; ``step``: change by reading, internal units. Every other value
    of the layout comes back as it is. KeyError for a key without a value.
    """
    out = dict(solved.values)
    for key in keys:
        slopes = solved.gradient(key)
        out[key] = solved.values[key] + sum(
            slopes.get(leaf, 0.0) * change for leaf, change in step.items()
        )
    return out


def sure(
    solved: Graph, places: Sequence[Place], want: Callable[[Key], bool] = lambda key: True
) -> Sure:
    """Uncertainty of every output (``want`` picks) at ``places``, to first order.

    Each given reading is moved by its u, the pose found again, and the changes added as root sum
    of squares (GUM, JCGM 100:2008, 5.1.2). Empty where the linkage waits.
    """
    keys = used(solved)
    if any(key not in solved.values for key in needs()):
        return Sure({}, {})
    given = leaves(solved, keys)
    heave, roll = (
        np.array([place.heave for place in places]),
        np.array([place.roll for place in places]),
    )
    base, made = (
        _variant(solved.values),
        [_variant(moved_values(solved, keys, {leaf: doubt})) for leaf, doubt in given.items()],
    )
    first = pose(base[0], heave, roll)
    nominal = outputs(base[0], base[1], first)
    spots, many = len(places), len(made)
    again = Start(
        *(
            np.concatenate([rows] * many)
            for rows in (first.p, first.d, first.m, first.g, first.force)
        )
    )
    variants = stack([variant[0] for variant in made])
    each = Linkage(*(np.repeat(stacked, spots, axis=0) for stacked in variants))
    rest = pose(each, np.tile(heave, many), np.tile(roll, many), again)
    found: dict[Key, dict[Key, Array]] = {key: {} for key in nominal if want(key)}
    for number, leaf in enumerate(given):
        rows = slice(number * spots, (number + 1) * spots)
        part = outputs(
            Linkage(*(stacked[rows] for stacked in each)), made[number][1], cut_pose(rest, rows)
        )
        for key, own in found.items():
            own[leaf] = part[key] - nominal[key]
    return Sure({key: _root_sum(rows, spots) for key, rows in found.items()}, found)


TURNED = {"pinion.up": 1.0, "caster": -1.0}
"""Outputs that turn with the axle: degrees for a degree the pinion turns up."""


def as_built(
    solved: Graph, places: Sequence[Place], want: Callable[[Key], bool] = lambda key: True
) -> Sure:
    """``sure`` of the truck as it is built, whose upper arms stay as they were cut.

    ``sure`` lays out anew for every reading, so that pinion and caster come where they are aimed
    for. Built, their doubt at ride height is the one of ``setout.surety``; elsewhere it is that and
    what travel adds to it.
    """
    found = sure(solved, (*places, RIDE), want)
    spots, parts = len(places), {}
    for key, rows in found.parts.items():
        still = {leaf: change[:-1] for leaf, change in rows.items()}
        if turned := TURNED.get(key.name):
            at_ride = {leaf: turned * change for leaf, change in turns(solved).items()}
            if key.name == "caster":
                own = solved.half_width(OWN_CASTER)
                at_ride[OWN_CASTER] = math.hypot(at_ride.get(OWN_CASTER, 0.0), own)
            none = np.zeros(spots + 1)
            still = {
                leaf: rows.get(leaf, none)[:-1] - rows.get(leaf, none)[-1] + at_ride.get(leaf, 0.0)
                for leaf in {**rows, **at_ride}
            }
        parts[key] = still
    return Sure({key: _root_sum(rows, spots) for key, rows in parts.items()}, parts)


def _root_sum(rows: Mapping[Key, Array], spots: int) -> Array:
    return np.sqrt(sum((change**2 for change in rows.values()), np.zeros(spots)))


def _variant(values: Mapping[Key, float]) -> tuple[Linkage, Gear]:
    (lower, upper), _ = rates_of(values)
    return linkage(values, lower, upper), gear(values)
