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


def _single(q: CheckedValues) -> bool:
    return q.job.words.get("driveline.type") == "single"


def _place(q: CheckedValues) -> tuple[float, ...]:
    return tuple(q(name) for name in pinion.SPACE.split())


def _plain(q: CheckedValues) -> tuple[float, ...]:
    return tuple(q(name) for name in pinion.PLACE.split())


def _given(q: CheckedValues, name: str) -> bool:
    return Key(name, "C") in q.solved.readings


def working_given(q: CheckedValues) -> Iterator[Diagnosis]:
    """A working angle given below what the sideways offset leaves."""
    floor = q("pinion.floor")
    if not _below_floor(q):
        return
    yield Diagnosis(
        "working_given",
        "conflict",
        f"The pinion joint is given as working at {degrees(q('pinion.working'), 2)}: it cannot. The"
        f" sideways offset of pinion and transfer case leaves {degrees(floor, 2)} at least.",
        f"The nearest it can have is {degrees(floor, 2)}, with the pinion in line with the shaft in"
        " side view: read it again, or leave it out of [fixed].",
        keys(("pinion.working", "C"), ("pinion.floor", "C")),
        q("pinion.working") - floor,
    )


def _below_floor(q: CheckedValues) -> bool:
    given = _given(q, "pinion.working")
    return given and q("pinion.working") < q("pinion.floor") - math.radians(0.01)


def working(q: CheckedValues) -> Iterator[Diagnosis]:
    """Sideways offset and working band of a shaft with a double-Cardan joint."""
    if _single(q) or _below_floor(q):
        return
    low, high, floor = q("wanted.band_low"), q("wanted.band_high"), q("pinion.floor")
    got = pinion.working(q("pinion.up"), *_place(q))
    if floor > high + SMALL:
        aside = abs(q("driveline.output.y") - q("axle.pinion_joint.y"))
        allowed = q("shaft.length") * math.sin(high)
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
    elif got > high + SMALL and not _given(q, "caster.ride"):
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


def single_joints(q: CheckedValues) -> Iterator[Diagnosis]:
    """Two single joints: equal angles within a degree, each enough to roll its needles."""
    if not _single(q):
        return
    one, two = pinion.working(q("pinion.up"), *_place(q)), q("shaft.transfer")
    apart, where = abs(one - two), keys(("pinion.working", "C"), ("shaft.transfer", "C"))
    turn = q("pinion.up") - q("driveline.output_axis_down")
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


def caster_given(q: CheckedValues) -> Iterator[Diagnosis]:
    """Caster given as measured: it stands the pinion at one angle, and its joint must be able to
    work there.
    """
    if not _given(q, "caster.ride"):
        return
    level, given, high = q("axle.caster_at_level_pinion"), q("caster.ride"), q("wanted.band_high")
    place, plain = _place(q), _plain(q)
    up_ = level - given
    if _single(q):
        down = q("driveline.output_axis_down")
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


def caster(q: CheckedValues) -> Iterator[Diagnosis]:
    """Pinion and caster are one number: with the pinion as it is asked for, caster is outside its
    window.
    """
    low, high, got = q("wanted.caster_low"), q("wanted.caster_high"), q("caster.ride")
    low, high = _was(q, "wanted.caster_low", low), _was(q, "wanted.caster_high", high)
    short = max(low - got, got - high)
    if short <= SMALL or q.solved.role(Key("caster.ride", "C")) == "conflict":
        return
    way, edge = ("back", low) if got < low else ("forward", high)
    says = (
        f"caster is given as {degrees(got)}, which stands the pinion at {degrees(q('pinion.up'))},"
        if _given(q, "caster.ride")
        else (
            f"with the pinion at {degrees(q('pinion.up'))} as it is asked for, caster is"
            f" {degrees(got)}"
        )
    )
    least = _least(q, low, high)
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


def _least(q: CheckedValues, low: float, high: float) -> str:
    """The turn that would do with the pinion at the end of what the shaft allows, in words; empty
    where the pinion is given.
    """
    if any(_given(q, n) for n in ("caster.ride", "pinion.up", "pinion.aim", "pinion.working")):
        return ""
    level, place, plain = q("axle.caster_at_level_pinion"), _place(q), _plain(q)
    down = q("driveline.output_axis_down")
    ends = (
        (down - pinion.APART, down + pinion.APART)
        if _single(q)
        else tuple(pinion.elevation(a, *plain) for a in pinion.band(q("wanted.band_high"), *place))
    )
    casters = sorted(level - e for e in ends)
    turn = max(low - casters[1], casters[0] - high)
    return f" ({degrees_up(turn)} with the pinion as far over as the shaft allows)"


def _was(q: CheckedValues, name: str, value: float) -> float:
    moved = q.solved.gave_way().get(Key(name, "C"))
    return moved[0] if moved else value


def wish_unused(q: CheckedValues) -> Iterator[Diagnosis]:
    """A working angle wanted of a shaft that takes its angle from the output shaft."""
    r = q.job.readings.get(Key("wanted.pinion_working", "C"))
    if _single(q) and r is not None and not r.assumed:
        yield Diagnosis(
            "pinion_wish_unused",
            "note",
            f"The working angle asked for, {degrees(float(r.value))}, is not used: with single"
            " joints at both ends the pinion stands parallel to the output shaft,"
            f" {degrees(q('pinion.up'))} up, and both joints work at"
            f" {degrees(q('shaft.transfer'))}.",
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
