"""Diagnoses of coil, bump stop and rails."""

from __future__ import annotations

import math
from collections.abc import Iterator

from .. import units
from ..job.fields import LEAST_ROWS
from ..quantities import SIDE_WORD, SIDES, Key
from .diagnosis import CheckedValues, Diagnosis, LayoutCheck, MissingValueError, keys
from .wording import degrees, degrees_up, inch, up

SMALL = 1e-9


def bump_room(value: CheckedValues) -> Iterator[Diagnosis]:
    """The axle tube and the stop, pressed flat, do not fit under the rail at full bump.

    Conflict, one a side; ``margin`` in mm of height. A stop inside the coil does not stand on the
    tube and takes no room here.
    """
    for side in SIDES:
        inside = value.job.words.get("travel.stop_place") == "inside coil"
        pressed = 0.0 if inside else value("travel.stop_compressed")
        tube = value("axle.z_bump") + value("axle.tube_diameter") / 2
        room = value("rail.stop.bottom", side) - tube - pressed
        if room < -SMALL:
            stop = "" if inside else f" with the stop pressed to {inch(pressed)},"
            yield Diagnosis(
                "bump_room",
                "conflict",
                f"There is no room for {inch(value('travel.bump'))} of bump on the"
                f" {SIDE_WORD[side]}:{stop} the axle tube is {up(-room)} too high under the rail.",
                f"Take {up(-room)} less bump, raise the frame that much"
                + ("." if inside else ", or use a stop that presses flatter."),
                keys(("stop.spacer", side), ("travel.bump", "C")),
                room,
            )


def coil_binds(value: CheckedValues) -> Iterator[Diagnosis]:
    """Coil at full bump against solid length and margin.

    Conflict, one a side; ``margin`` in mm of coil length. The cure is in mm of axle travel: the
    length over ``spring.ratio``.
    """
    for side in SIDES:
        length, least = (
            value("spring.at_bump", side),
            value("spring.solid", side) + value("spring.bind_margin"),
        )
        if length < least - SMALL:
            yield Diagnosis(
                "coil_binds",
                "conflict",
                f"The {SIDE_WORD[side]} coil binds: {inch(length)} long at full bump,"
                f" {inch(value('spring.solid', side))} solid, and"
                f" {inch(value('spring.bind_margin'))} to be kept in hand.",
                f"Take {up((least - length) / value('spring.ratio', side))} less bump, "
                f"or a coil with a solid length {up(least - length)} shorter.",
                keys(("spring.at_bump", side), ("spring.solid", side)),
                length - least,
            )


def coil_loose(value: CheckedValues) -> Iterator[Diagnosis]:
    """Coil at full droop against its free length.

    Conflict, one a side; ``margin`` in mm of coil length, the cure in mm of axle travel.
    """
    for side in SIDES:
        length, free = value("spring.at_droop", side), value("spring.free_length")
        if length > free + SMALL:
            yield Diagnosis(
                "coil_loose",
                "conflict",
                f"The {SIDE_WORD[side]} coil is loose at full droop: {inch(length)} between its"
                f" seats, {inch(free)} long free.",
                f"Take {up((length - free) / value('spring.ratio', side))} less droop with straps,"
                " or retain the coil.",
                keys(("spring.at_droop", side), ("spring.free_length", "C")),
                free - length,
            )


def seat_angle(value: CheckedValues) -> Iterator[Diagnosis]:
    """Angle between the coil's seats over the travel; the least a wedge can make of it.

    Conflict; ``margin`` in rad. The axle turns as it travels and the lower seat with it: a wedge
    moves the whole band of angles, at best to the same size each way, but makes it no narrower.
    """
    got, most = value("seat.angle"), value("spring.max_seat_angle")
    if got <= most + SMALL:
        return
    ups = [value(n) for n in ("pinion.up_at_bump", "pinion.up", "pinion.up_at_droop")]
    middle, least = -(max(ups) + min(ups)) / 2, (max(ups) - min(ups)) / 2
    cure = (
        f"Use a pad wedge of {degrees(middle)}: the seats then stand at most {degrees(least)}"
        " apart."
        if least <= most
        else (
            f"Travel alone turns the axle {degrees(max(ups) - min(ups))}: "
            f"take {degrees_up(2 * (least - most))} out of it, or use seats that turn."
        )
    )
    yield Diagnosis(
        "seat_angle",
        "conflict",
        f"The coil's seats stand {degrees(got)} apart at the end of travel; {degrees(most)} is"
        " allowed.",
        cure,
        keys(("seat.angle", "C"), ("spring.pad_wedge", "C")),
        most - got,
    )


def loaded_state(value: CheckedValues) -> Iterator[Diagnosis]:
    """A coil length that was not read at ride height is not used.

    Note, one a side, without a measure (``margin`` NaN).
    """
    for side in SIDES:
        r = value.job.readings.get(Key("spring.loaded_length", side))
        if r is not None and r.state not in ("ride", "any", ""):
            yield Diagnosis(
                "loaded_state",
                "note",
                f"The {SIDE_WORD[side]} coil's length was read in the state {r.state!r}; the seat"
                " height rests on the spring rate instead.",
                "Read it with the truck at ride height and its weight on.",
                keys(("spring.loaded_length", side)),
                math.nan,
            )


def block_height(value: CheckedValues) -> Iterator[Diagnosis]:
    """Frame blocked higher or lower than the wanted lip height asks for.

    Note, one a side; ``margin`` in mm. What lies within twice the standard uncertainty of the miss
    is not told from none.
    """
    for side in SIDES:
        miss, sure = value("frame.block_miss", side), 2 * value.u("frame.block_miss", side)
        if abs(miss) > sure:
            yield Diagnosis(
                "block_height",
                "note",
                f"On the {SIDE_WORD[side]} the hub-to-lip height asked for puts the rail bottom at"
                f" {inch(value('frame.bottom_wanted', side))}; it was taped at"
                f" {inch(value('rail.hub.bottom', side))}.",
                f"Block the frame {inch(abs(miss))} {'higher' if miss > 0 else 'lower'} and tape"
                " again, or change the height asked for.",
                keys(("frame.block_miss", side)),
                sure - abs(miss),
            )


def beyond_stations(value: CheckedValues) -> Iterator[Diagnosis]:
    """A part stands where no rail station was taped.

    Note, one for each of coil, crossmember, track-bar bracket and stop; ``margin`` in mm along the
    rail, never above 0. With fewer stations than the job needs it says nothing: those are owed.
    """
    xs = [
        r.value
        for k, r in value.job.readings.items()
        if k.name.startswith("frame.station.") and k.name.endswith(".x")
    ]
    if len(xs) < LEAST_ROWS["frame.station"]:
        return
    for at, name in (
        ("coil", "coil"),
        ("cross", "crossmember"),
        ("bar", "track-bar bracket"),
        ("stop", "bump stop"),
    ):
        x = value.solved.values.get(Key(f"rail.{at}.x", "L"))
        over = 0.0 if x is None else max(x - max(xs), min(xs) - x)
        if over > SMALL and x is not None:
            yield Diagnosis(
                "beyond_stations",
                "note",
                f"The {name} stands {inch(over)} beyond the last rail station; the rail is taken to"
                " run on straight.",
                f"Tape a station at {inch(x)} or beyond.",
                keys((f"rail.{at}.x", "L")),
                -over,
            )


def plane_warp(value: CheckedValues) -> Iterator[Diagnosis]:
    """Four readings of the plate plane that are not in one plane.

    Three readings make a plane; the fourth shows how much more the front pair leans than the rear
    pair. Note, one a side, past 1/4 in (judgment, no source); ``margin`` in mm. A side with a
    reading missing is left out alone.
    """
    for side in SIDES:
        try:
            fl, fh, rl, rh = (
                value(f"frame.notch.plane_{n}", side)
                for n in ("front_low", "front_high", "rear_low", "rear_high")
            )
        except MissingValueError:
            continue
        warp = (fh - fl) - (rh - rl)
        if abs(warp) > units.IN / 4:
            yield Diagnosis(
                "plane_warp",
                "note",
                f"The four readings of the {SIDE_WORD[side]} plate plane are not in one plane: the"
                f" rail side is wound {inch(abs(warp))}.",
                "Read them again with string and square; the plate follows the plane of least"
                " squares.",
                keys(("notch.y0", side)),
                units.IN / 4 - abs(warp),
            )


COIL_CHECKS: tuple[LayoutCheck, ...] = (
    bump_room,
    coil_binds,
    coil_loose,
    seat_angle,
    loaded_state,
    block_height,
    beyond_stations,
    plane_warp,
)
