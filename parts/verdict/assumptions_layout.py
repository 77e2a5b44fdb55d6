"""Assumptions of the set-out and of travel: plus-minus nobody gave, values of the tool's own,
shocks and joints whose sizes are not read.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ...layout import units
from ...layout.assumed import Assumed
from ...layout.graph import Graph
from ...layout.job.fields import field_of
from ...layout.job.load import Job
from ...layout.quantities import Key, Side
from ...layout.reader import measure, metric
from ...layout.setout.surety import doubt, plus_minus
from ...layout.travel import Place, study
from ...layout.travel.gear import ASSUMED_BRAKE
from ...layout.travel.linkage import AXES, axis_keys
from ..model.terms import Role
from ..truck.roles import families_of

SURE = (("caster.ride", "caster"), ("shaft.length", "shaft length"), ("arm.tube", "arm tube"))


def layout_assumed(job: Job, solved: Graph) -> Iterator[Assumed]:
    """What the set-out and travel take for want of a reading, in the order of the set-out: usual
    plus-minus, defaults, housings, axes, brake share, shocks, what bushings may be squeezed.
    """
    yield from _plus_minus(job, solved)
    yield from _defaults(job, solved)
    yield from _housings(job)
    yield from _axes(job)
    yield from _brake(job, solved)
    yield from _shocks(job, solved)
    yield from _bushings(job, solved)


def _plus_minus(job: Job, solved: Graph) -> Iterator[Assumed]:
    """Readings whose plus-minus is the usual one of the tape or finder; what twice as much would
    do.
    """
    silent = [
        reading
        for reading in job.readings.values()
        if reading.usual
        and reading.half_width > 0
        and reading.role == "measured"
        and not reading.assumed
    ]
    if not silent:
        return
    said = []
    for name, title in SURE:
        for key in (Key(name, "C"), Key(name, "L")):
            if key in solved.values:
                unit = solved.unit(key)
                before, after = (
                    doubt(plus_minus(solved, key, twice), unit) for twice in ((), silent)
                )
                said.append(f"{title} ±{before}, ±{after} if they are twice that")
                break
    counted: dict[str, int] = {}
    for reading in silent:
        field = field_of(reading.key.name)
        words = (
            f"±{100 * field.share:g} % "
            if field.share
            else (
                f"±{math.degrees(field.half_width):.2f} deg"
                if field.kind == "angle"
                else f"±{measure(field.half_width, 'length', 2 if metric() else 3)}"
            )
        ).strip()
        counted[words] = counted.get(words, 0) + 1
    kinds = [
        f"{words} for {value}" for words, value in sorted(counted.items(), key=lambda x: -x[1])
    ]
    yield Assumed(
        f"plus-minus of {len(silent)} readings",
        "as a tape, a caliper or an angle finder is usually read: " + ", ".join(kinds),
        "plus-minus of the reading",
        "; ".join(said) or "the plus-minus of every result",
    )


def _defaults(job: Job, solved: Graph) -> Iterator[Assumed]:
    """Values of the tool's own where the job gives none."""
    for key, reading in job.readings.items():
        if not reading.assumed:
            continue
        field = field_of(key.name)
        hit = [
            follower
            for follower in solved.every_key()
            if follower != key and key in solved.rests_on(follower)
        ]
        names = [solved.title(follower) or str(follower) for follower in hit]
        value = units.show(reading.value, field.kind, "deg" if field.kind == "angle" else "")
        moves = (
            f"{len(hit)} results: {'; '.join(sorted(set(names))[:4])}"
            if hit
            else "what is warned of or accepted, no size"
        )
        yield Assumed(field.how[:1].lower() + field.how[1:], value, str(key), moves)


def _housings(job: Job) -> Iterator[Assumed]:
    """Joints whose housing's width is not read."""
    for name, what, codes in (
        ("arms.joint_housing_width", "frame joint", families_of(Role.ARM_BRACKET)),
    ):
        if Key(name, "C") not in job.readings:
            yield Assumed(
                f"width of the {what}'s housing",
                "the widest that can swing so far between the bracket's sides",
                name,
                f"the room round the {what}; whether the housing itself fits between them is not"
                " looked at",
                codes,
            )


def _axes(job: Job) -> Iterator[Assumed]:
    """Bolts whose own axis is not read."""
    square = [
        value
        for name, value in AXES.items()
        if any(axis_key not in job.readings for axis_key in axis_keys(name))
    ]
    if square:
        names = [
            f"arms.{name}_plan, arms.{name}_tilt"
            for name in AXES
            if any(axis_key not in job.readings for axis_key in axis_keys(name))
        ]
        yield Assumed(
            f"axes of {', '.join(square)}",
            "square across the truck",
            "; ".join(names),
            "a bushing's cone and a joint's swing by up to a degree for each degree off square",
        )


def _brake(job: Job, solved: Graph) -> Iterator[Assumed]:
    """The front axle's share of braking: anti-dive from low to high."""
    if Key("travel.brake_front", "C") in job.readings:
        return
    low, high = ASSUMED_BRAKE
    moves = "anti-dive"
    found = study(job, solved, [Place("ride height", 0.0, 0.0)]).found
    ends = [found.get(Key(f"anti_dive.{end}", "C")) for end in ("low", "high")]
    if ends[0] is not None and ends[1] is not None:
        moves = f"anti-dive at ride height: {float(ends[0][0]):.0f} to {float(ends[1][0]):.0f} %"
    yield Assumed("front brakes' share", f"{low:g} to {high:g}", "travel.brake_front", moves)


def _shocks(job: Job, solved: Graph) -> Iterator[Assumed]:
    """Shocks whose lengths are not read: what theirs must be, the axle straight up and down."""
    values = solved.values
    missing = [
        f"travel.shock_{end}"
        for end in ("collapsed", "extended")
        if Key(f"travel.shock_{end}", "C") not in values
    ]
    if not missing:
        return
    yield Assumed(
        "length of the shocks",
        "never the first to end the travel",
        " and ".join(missing),
        f"what ends the travel: {_shock_room(values) or 'waits for where the shocks stand'}",
        families_of(Role.SHOCK_TABS),
    )


def _shock_room(values: dict[Key, float]) -> str:
    side: Side = "L"
    try:
        rise = values[Key("travel.shock_z", "C")] - values[Key("axle.z_ride", "C")]
        along = values[Key("travel.shock_top_x", "C")] - values[Key("travel.shock_x", "C")]
        values[Key("travel.shock_y", side)]
        bump, droop = (values[Key(f"travel.{end}", "C")] for end in ("bump", "droop"))
    except KeyError:
        return ""
    short, long = (measure(math.hypot(along, rise - heave), "length") for heave in (bump, -droop))
    return (
        f"pin to pin it is {short} at full bump and {long} at full droop; a shock that closes to"
        " more, or opens to less, ends it sooner or breaks"
    )


def _bushings(job: Job, solved: Graph) -> Iterator[Assumed]:
    """Arm bushings whose most squeeze or cone their maker was not asked for: how far each goes."""
    missing = [
        name
        for name in ("arms.bush_max_radial", "arms.bush_max_cone")
        if Key(name, "C") not in job.readings
    ]
    if not missing:
        return
    bump, droop, roll = (
        solved.values.get(Key(f"travel.{way}", "C"), 0.0) for way in ("bump", "droop", "roll")
    )
    places = [
        Place("full bump", bump, 0.0),
        Place("full droop", -droop, 0.0),
        Place("left up", 0.0, roll),
        Place("right up", 0.0, -roll),
    ]
    travel = study(job, solved, places)
    most: dict[str, float] = {}
    for found in (travel.found, travel.low or {}, travel.high or {}):
        for key, rows in found.items():
            if f"arms.bush_max_{key.name.rpartition('.')[2]}" in missing:
                name = key.name.rpartition(".")[2]
                most[name] = max(most.get(name, 0.0), float(np.nanmax(np.abs(rows))))
    said = " and ".join(
        f"squeezed {measure(value, 'length')}"
        if name == "radial"
        else f"coned {math.degrees(value):.1f} deg"
        for name, value in sorted(most.items(), reverse=True)
    )
    far = f"at the bump, droop and roll asked for they are {said}" if said else "waits for travel"
    yield Assumed(
        "most squeeze and cone of the arm bushings",
        "never the first to end the travel",
        " and ".join(missing),
        f"what ends the travel: {far}; a bushing made for less ends it sooner or tears",
    )
