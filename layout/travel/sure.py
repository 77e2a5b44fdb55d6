"""How sure a travel result is: every reading the layout rests on moved by its own uncertainty, all
variants solved in one call.

The layout's slopes are exact; the pose is solved again for each reading, from where it rested. u of
a reading within +-a is a / sqrt 3.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..graph import Graph
from ..quantities import SIDES, Key
from . import Place, rates_of
from .gear import Gear, gear
from .linkage import AXES, Linkage, axis_keys, linkage, needs, stack
from .outputs import outputs
from .pose import Start, cut_pose, pose
from .turning import Array

SHOWN = 0.01
"""Share of the square of an uncertainty under which a reading is not named."""


class Sure(NamedTuple):
    """Standard uncertainty of outputs at places.

    ``u``: key -> (N,); ``parts``: key -> reading -> (N,), signed change for one u of the reading.
    """

    u: Mapping[Key, Array]
    parts: Mapping[Key, Mapping[Key, Array]]

    def dominating(self, k: Key, at: int, most: int = 3) -> tuple[tuple[Key, float], ...]:
        """Readings that make up most of the uncertainty at one place, with their share of its
        square.
        """
        total = float(self.u[k][at]) ** 2
        if total <= 0:
            return ()
        rows = sorted(
            ((leaf, float(a[at]) ** 2 / total) for leaf, a in self.parts[k].items()),
            key=lambda r: (-r[1], str(r[0])),
        )
        return tuple(r for r in rows[:most] if r[1] > SHOWN)


def leaves(solved: Graph, names: Sequence[Key]) -> dict[Key, float]:
    """Given readings with a plus-minus that any of ``names`` rests on, and their u."""
    found: dict[Key, float] = {}
    for k in names:
        for leaf in solved.gradient(k):
            u = solved.half_width(leaf)
            if u > 0:
                found[leaf] = u
    return found


def used(solved: Graph) -> tuple[Key, ...]:
    """Layout values that linkage and gear are made of."""
    more = [
        Key(n, "C")
        for n in (
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
        more += [Key(f"{base}.{a}", "C") for a in "xyz"]
    for base in ("seat.lower", "seat.upper"):
        more += [Key(f"{base}.{a}", s) for a in "xyz" for s in SIDES]
    more += [
        Key(f"arms.{b}_bush_{f}", "C")
        for b in ("lower", "upper")
        for f in ("radial", "axial", "torsion", "cone")
    ]
    more += [k for base in AXES for k in axis_keys(base)]
    return tuple(k for k in (*needs(), *more) if k in solved.values)


def moved_values(solved: Graph, keys: Sequence[Key], step: Mapping[Key, float]) -> dict[Key, float]:
    """Layout values with the given readings moved by ``step``, to first order."""
    out = dict(solved.values)
    for k in keys:
        slopes = solved.gradient(k)
        out[k] = solved.values[k] + sum(slopes.get(leaf, 0.0) * d for leaf, d in step.items())
    return out


def sure(
    solved: Graph, places: Sequence[Place], want: Callable[[Key], bool] = lambda k: True
) -> Sure:
    """Uncertainty of every output (``want`` picks) at ``places``. Empty where the linkage waits."""
    keys = used(solved)
    if any(k not in solved.values for k in needs()):
        return Sure({}, {})
    given = leaves(solved, keys)
    heave, roll = np.array([p.heave for p in places]), np.array([p.roll for p in places])
    base, made = (
        _variant(solved.values),
        [_variant(moved_values(solved, keys, {leaf: u})) for leaf, u in given.items()],
    )
    q0 = pose(base[0], heave, roll)
    nominal = outputs(base[0], base[1], q0)
    n, many = len(places), len(made)
    again = Start(*(np.concatenate([a] * many) for a in (q0.p, q0.d, q0.m, q0.g, q0.force)))
    lks = stack([m[0] for m in made])
    each = Linkage(*(np.repeat(a, n, axis=0) for a in lks))
    q = pose(each, np.tile(heave, many), np.tile(roll, many), again)
    found: dict[Key, dict[Key, Array]] = {k: {} for k in nominal if want(k)}
    for i, leaf in enumerate(given):
        rows = slice(i * n, (i + 1) * n)
        part = outputs(Linkage(*(a[rows] for a in each)), made[i][1], cut_pose(q, rows))
        for k, own in found.items():
            own[leaf] = part[k] - nominal[k]
    return Sure(
        {k: np.sqrt(sum((a**2 for a in rows.values()), np.zeros(n))) for k, rows in found.items()},
        found,
    )


def _variant(v: Mapping[Key, float]) -> tuple[Linkage, Gear]:
    (lower, upper), _ = rates_of(v)
    return linkage(v, lower, upper), gear(v)
