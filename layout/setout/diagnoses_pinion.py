"""What does not fit at the pinion: sideways offset, working band, two single joints, caster, and
angles given that cannot be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..quantities import Key
from . import pinion
from .diagnosis import CheckedValues, Diagnosis, LayoutCheck, keys
from .wording import degrees, degrees_up, inch, up

SMALL = 1e-9
LEAST = math.radians(0.5)
"""Least working angle of a joint with needle bearings: a joint maker's rule, read second-hand."""


def _single(value: CheckedValues) -> bool:
    return value.job.words.get("driveline.type") == "single"


def _place(value: CheckedValues) -> tuple[float, ...]:
    return tuple(value(name) for name in pinion.SPACE.split())


def _plain(value: CheckedValues) -> tuple[float, ...]:
    return tuple(value(name) for name in pinion.PLACE.split())


def _given(value: CheckedValues, name: str) -> bool:
    return Key(name, "C") in value.solved.readings


def working_given(value: CheckedValues) -> Iterator[Diagnosis]:
    """A working angle given below what the sideways offset leaves.

    Conflict; ``margin`` in rad, past a hundredth of a degree. Working angles are 3-D: no turn of
    the pinion in side view takes out what the offset makes.
    """
    floor = value("pinion.floor")
    if not _below_floor(value):
        return
    yield Diagnosis(
        "working_given",
        "conflict",
        f"The pinion joint is given as working at {degrees(value('pinion.working'), 2)}: it cannot."
        f" The sideways offset of pinion and transfer case leaves {degrees(floor, 2)} at least.",
        f"The nearest it can have is {degrees(floor, 2)}, with the pinion in line with the shaft in"
        " side view: read it again, or leave it out of [fixed].",
        keys(("pinion.working", "C"), ("pinion.floor", "C")),
        value("pinion.working") - floor,
    )


def _below_floor(value: CheckedValues) -> bool:
    given = _given(value, "pinion.working")
    return given and value("pinion.working") < value("pinion.floor") - math.radians(0.01)


def working(value: CheckedValues) -> Iterator[Diagnosis]:
    """Sideways offset and working band of a shaft with a double-Cardan joint.

    ``margin`` in rad. Conflict where the offset alone is past the band, or where the joint works
    above it; warning below it. Says nothing of single joints, nor beside ``working_given``.
    """
    if _single(value) or _below_floor(value):
        return
    low, high, floor = value("wanted.band_low"), value("wanted.band_high"), value("pinion.floor")
    got = pinion.working(value("pinion.up"), *_place(value))
    if floor > high + SMALL:
        aside = abs(value("driveline.output.y") - value("axle.pinion_joint.y"))
        allowed = value("shaft.length") * math.sin(high)
        yield Diagnosis(
            "pinion_aside",
            "conflict",
            f"The pinion stands {inch(aside)} to the side of the transfer case's output: its joint"
            f" works at {degrees(floor, 2)} at least, and {degrees(high, 2)} is allowed.",
            f"Bring pinion or output {up(aside - allowed)} closer to one line, or use a longer"
            " shaft.",
            keys(("pinion.floor", "C"), ("axle.pinion_joint.y", "C"), ("driveline.output.y", "C")),
            high - floor,
        )
    elif got > high + SMALL and not _given(value, "caster.ride"):
        yield Diagnosis(
            "pinion_working",
            "conflict",
            f"The pinion joint works at {degrees(got, 2)}; {degrees(high, 2)} is allowed.",
            f"Turn the pinion {degrees_up(got - high)} toward the shaft line.",
            keys(
                ("pinion.working", "C"),
            ),
            high - got,
        )
    elif got < low - SMALL:
        yield Diagnosis(
            "pinion_working_low",
            "warning",
            f"The pinion joint works at {degrees(got, 2)}, below the {degrees(low, 2)} its needles"
            " want.",
            f"Turn the pinion {degrees_up(low - got)} further off the shaft line; an angle finder"
            " reads to 0.2 deg.",
            keys(
                ("pinion.working", "C"),
            ),
            got - low,
        )


def single_joints(value: CheckedValues) -> Iterator[Diagnosis]:
    """Two single joints: equal angles within a degree, each enough to roll its needles.

    Conflict for angles that differ by more than ``APART``, warning for a joint below ``LEAST``;
    ``margin`` in rad. Says nothing of a double-Cardan shaft.
    """
    if not _single(value):
        return
    one, two = pinion.working(value("pinion.up"), *_place(value)), value("shaft.transfer")
    apart, where = abs(one - two), keys(("pinion.working", "C"), ("shaft.transfer", "C"))
    turn = value("pinion.up") - value("driveline.output_axis_down")
    if apart > pinion.APART + SMALL:
        yield Diagnosis(
            "joints_unequal",
            "conflict",
            "With single joints at both ends the shaft's two angles must be alike within"
            f" {degrees(pinion.APART)}: the pinion joint works at {degrees(one)}, the transfer-case"
            f" joint at {degrees(two)}, and what is left over shakes.",
            f"Turn the pinion {degrees_up(turn)} {'down' if turn > 0 else 'up'}, parallel to the"
            " output shaft; or use a shaft with a double-Cardan joint at the transfer case.",
            where,
            pinion.APART - apart,
        )
    if min(one, two) < LEAST - SMALL:
        yield Diagnosis(
            "joint_still",
            "warning",
            f"A joint of the shaft works at {degrees(min(one, two), 2)}, below the"
            f" {degrees(LEAST, 2)} its needles want.",
            "Pinion and output are nearly in one line: tip the transfer case, or have the shaft's"
            " maker judge it.",
            where,
            min(one, two) - LEAST,
        )


def caster_given(value: CheckedValues) -> Iterator[Diagnosis]:
    """Caster given as measured: it stands the pinion at one angle, and its joint must be able to
    work there.
    """
    if not _given(value, "caster.ride"):
        return
    level, given, high = (
        value("axle.caster_at_level_pinion"),
        value("caster.ride"),
        value("wanted.band_high"),
    )
    place, plain = _place(value), _plain(value)
    up_ = level - given
    if _single(value):
        down = value("driveline.output_axis_down")
        low_up, high_up = down - pinion.APART, down + pinion.APART
        says = (
            f"{degrees(abs(up_ - down))} off parallel to the output shaft, and"
            f" {degrees(pinion.APART)} is allowed"
        )
    else:
        low_up, high_up = (pinion.elevation(a, *plain) for a in pinion.band(high, *place))
        works = pinion.working(up_, *place)
        says = f"where its joint works at {degrees(works, 2)}, and {degrees(high, 2)} is allowed"
    nearest = min(max(given, level - high_up), level - low_up)
    if not abs(nearest - given) > math.radians(0.01):
        return
    turn = nearest - given
    yield Diagnosis(
        "caster_given",
        "conflict",
        f"Caster is given as {degrees(given)}: that stands the pinion at {degrees(up_)}, {says}. "
        f"The nearest caster with the pinion where the shaft can have it is {degrees(nearest)}.",
        f"Knuckles whose tops stand {degrees_up(turn)} further {'forward' if turn > 0 else 'back'}"
        f" give {degrees(given)} with the pinion at {degrees(level - nearest)}: the axle's builder"
        " sets that and answers for it; or leave caster out of [fixed].",
        keys(("caster.ride", "C"), ("axle.caster_at_level_pinion", "C")),
        -abs(turn),
    )


def caster(value: CheckedValues) -> Iterator[Diagnosis]:
    """Pinion and caster are one number: with the pinion as it is asked for, caster is outside its
    window.
    """
    low, high, got = value("wanted.caster_low"), value("wanted.caster_high"), value("caster.ride")
    low, high = _was(value, "wanted.caster_low", low), _was(value, "wanted.caster_high", high)
    short = max(low - got, got - high)
    if short <= SMALL or value.solved.role(Key("caster.ride", "C")) == "conflict":
        return
    way, edge = ("back", low) if got < low else ("forward", high)
    says = (
        f"caster is given as {degrees(got)}, which stands the pinion at"
        f" {degrees(value('pinion.up'))},"
        if _given(value, "caster.ride")
        else (
            f"with the pinion at {degrees(value('pinion.up'))} as it is asked for, caster is"
            f" {degrees(got)}"
        )
    )
    least = _least(value, low, high)
    yield Diagnosis(
        "pinion_caster",
        "conflict",
        f"Pinion and caster conflict: {says} and {degrees(edge)} is the"
        f" {'least' if way == 'back' else 'most'} asked for.",
        f"Knuckles whose tops stand {degrees_up(short)} further {way} cure it, and the pinion stays"
        f" as it is asked for{least}: the axle's builder sets that and answers for it; or widen the"
        " caster window.",
        keys(("caster.ride", "C"), ("axle.caster_at_level_pinion", "C")),
        -short,
    )


def _least(value: CheckedValues, low: float, high: float) -> str:
    """The turn that would do with the pinion at the end of what the shaft allows, in words; empty
    where the pinion is given.
    """
    if any(_given(value, n) for n in ("caster.ride", "pinion.up", "pinion.aim", "pinion.working")):
        return ""
    level, place, plain = value("axle.caster_at_level_pinion"), _place(value), _plain(value)
    down = value("driveline.output_axis_down")
    ends = (
        (down - pinion.APART, down + pinion.APART)
        if _single(value)
        else tuple(
            pinion.elevation(a, *plain) for a in pinion.band(value("wanted.band_high"), *place)
        )
    )
    casters = sorted(level - e for e in ends)
    turn = max(low - casters[1], casters[0] - high)
    return f" ({degrees_up(turn)} with the pinion as far over as the shaft allows)"


def _was(value: CheckedValues, name: str, now: float) -> float:
    moved = value.solved.gave_way().get(Key(name, "C"))
    return moved[0] if moved else now


def wish_unused(value: CheckedValues) -> Iterator[Diagnosis]:
    """A working angle wanted of a shaft that takes its angle from the output shaft.

    Note, only where the angle was asked for, not assumed; ``margin`` 0: nothing is missing.
    """
    r = value.job.readings.get(Key("wanted.pinion_working", "C"))
    if _single(value) and r is not None and not r.assumed:
        yield Diagnosis(
            "pinion_wish_unused",
            "note",
            f"The working angle asked for, {degrees(float(r.value))}, is not used: with single"
            " joints at both ends the pinion stands parallel to the output shaft,"
            f" {degrees(value('pinion.up'))} up, and both joints work at"
            f" {degrees(value('shaft.transfer'))}.",
            "Leave wanted.pinion_working out, or use a shaft with a double-Cardan joint at the"
            " transfer case.",
            keys(("pinion.up", "C"), ("shaft.transfer", "C")),
            -0.0,
        )


PINION_CHECKS: tuple[LayoutCheck, ...] = (
    working_given,
    working,
    single_joints,
    caster_given,
    caster,
    wish_unused,
)
