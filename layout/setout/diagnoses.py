"""What does not fit in the layout, in sentences, each with the least change that cures it.

Travel has its own diagnoses.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from .. import units
from ..graph import Graph
from ..job.load import Job
from ..quantities import SIDE_WORD, SIDES, Conflict, Key
from .diagnoses_coil import COIL_CHECKS
from .diagnoses_frame import FRAME_CHECKS
from .diagnoses_pinion import PINION_CHECKS
from .diagnosis import CheckedValues, Diagnosis, LayoutCheck, MissingValueError, keys
from .wording import degrees, degrees_up, inch, up

SMALL = 1e-9


def arm_reach(value: CheckedValues) -> Iterator[Diagnosis]:
    """The arm's circle about the frame joint does not come to ride height or droop.

    Conflict; ``margin`` in mm: how far back the joint line is, less how far it must be.
    """
    x = value("arms.joint_behind")
    joint = (value("arms.joint_height", "L") + value("arms.joint_height", "R")) / 2
    for name, height in (
        ("axle.x_ride", value("axle.z_ride")),
        ("axle.x_droop", value("axle.z_droop")),
    ):
        bump_height = value("axle.z_bump")
        short = (height - joint) ** 2 - (bump_height - joint) ** 2 - x * x
        if short <= 0 or value.solved.role(Key(name, "C")) != "conflict":
            continue
        where = "ride height" if name == "axle.x_ride" else "full droop"
        least = math.sqrt(x * x + short)
        lower = (
            joint
            - (x * x + bump_height * bump_height - height * height) / (2 * (bump_height - height))
            if bump_height > height
            else math.nan
        )
        drop = f", or the joints {up(lower)} lower" if math.isfinite(lower) else ""
        yield Diagnosis(
            "arm_reach",
            "conflict",
            f"The arm cannot reach {where}: on a frame joint {inch(x)} behind the full-bump plumb"
            f" line and {inch(joint)} above the floor it is too short for the"
            f" {inch(bump_height - height)} of travel from {where} to full bump.",
            f"Set the joint line {up(least - x)} further back{drop}.",
            keys((name, "C"), ("arms.joint_behind", "C"), ("arm.x_ride", "L"), ("arm.x_ride", "R")),
            x - least,
        )


def bar_length(value: CheckedValues) -> Iterator[Diagnosis]:
    """The frame mount falls outside where its bracket can stand.

    Conflict; ``margin`` in mm of bar length, never above 0. A miss to 1/64 in passes.
    """
    y, low, high = (
        value("bar.frame.y"),
        value("track_bar.frame_y_low"),
        value("track_bar.frame_y_high"),
    )
    long, run = value("bar.length"), value("bar.frame.y") - value("bar.axle.y")
    slack = units.IN / 64
    miss = y - low if y < low - slack else y - high if y > high + slack else 0.0
    if not miss:
        return
    change = abs(miss / run * long)
    short = (miss < 0) == (run > 0)
    on_hand = (
        Key("track_bar.length", "C") in value.job.readings
        or value.solved.role(Key("bar.length", "C")) == "measured"
    )
    what = (
        f"The track bar on hand, {inch(long)},"
        if on_hand
        else f"A track bar to the frame mount asked for, {inch(long)},"
    )
    yield Diagnosis(
        "bar_short" if short else "bar_long",
        "conflict",
        f"{what} is {up(change)} too {'short' if short else 'long'}: its frame mount lands at "
        f"y = {inch(y)}, and the bracket can stand from {inch(low)} to {inch(high)}.",
        f"Use a bar {up(change)} {'longer' if short else 'shorter'}, or a bracket that stands at y"
        f" = {inch(y)}.",
        keys(("bar.length", "C"), ("bar.frame.y", "C")),
        -change,
    )


def bar_angles(value: CheckedValues) -> Iterator[Diagnosis]:
    """Bar against drag link, and against level.

    Conflict for the first, warning for the second, both past ``track_bar.max_error``; rad.
    """
    most, error, slope, drop = (
        value("track_bar.max_error"),
        value("bar.error"),
        value("bar.slope"),
        value("bar.pitman_drop"),
    )
    if error > most + SMALL:
        yield Diagnosis(
            "link_parallel",
            "conflict",
            f"Drag link and track bar are {degrees(error)} out of parallel; the shop accepts"
            f" {degrees(most)}.",
            f"{_pitman(value, error - most)}, or set the bar parallel to the drag link.",
            keys(("bar.error", "C"), ("steering.pitman_ball.z", "C")),
            most - error,
        )
    if abs(slope) > most + SMALL:
        move = (abs(slope) - most) * value("bar.length")
        yield Diagnosis(
            "bar_level",
            "warning",
            f"The track bar is not level: it {'rises' if slope > 0 else 'falls'}"
            f" {degrees(abs(slope))} to the frame, and the axle moves sideways the more for it.",
            f"Bring its frame end {up(move)} {'lower' if slope > 0 else 'higher'}; "
            f"a pitman arm with {inch(drop)} more drop makes drag link and bar level.",
            keys(
                ("bar.slope", "C"),
            ),
            most - abs(slope),
        )


def _pitman(value: CheckedValues, angle: float) -> str:
    drop = value("drag.dz") - value("drag.length") * value("bar.slope")
    least = math.copysign(min(abs(drop), angle * value("drag.length")), drop)
    return f"Use a pitman arm with {up(abs(least))} {'more' if least > 0 else 'less'} drop"


def joints_in_rails(value: CheckedValues) -> Iterator[Diagnosis]:
    """Frame joints between the rails, and clear of each other.

    Conflicts; ``margin`` in mm. A side with a reading missing is left out alone.
    """
    half = value("arms.joint_width") / 2
    for side in SIDES:
        try:
            y = value("arm.joint.y", side)
            inner = value("rail.cross.outer", side) - value("rail.cross.width", side)
        except MissingValueError:
            continue
        over = y + half - inner
        if over > SMALL:
            turn = over / value("arm.run", side) * math.cos(value("arm.slant", side)) ** 2
            yield Diagnosis(
                "joint_outside",
                "conflict",
                f"The {SIDE_WORD[side]} frame joint does not fit between the rails: its outer end"
                f" is {inch(y + half)} from the center line, the rail's inner face {inch(inner)}.",
                f"Slant the arm {degrees_up(turn)} more, which brings the joint {up(over)} inward.",
                keys(("arm.joint.y", side), ("arm.slant", side)),
                -over,
            )
    spacing = value("joint.spacing")
    if spacing < 2 * half - SMALL:
        short = 2 * half - spacing
        turn = short / (value("arm.run", "L") + value("arm.run", "R"))
        yield Diagnosis(
            "joints_overlap",
            "conflict",
            f"The frame joints overlap: they are {inch(spacing)} apart and each is {inch(2 * half)}"
            " wide.",
            f"Slant both arms {degrees_up(turn)} less, which parts the joints {up(short)}.",
            keys(
                ("joint.spacing", "C"),
            ),
            -short,
        )


def thread(value: CheckedValues) -> Iterator[Diagnosis]:
    """Adjustment left in the screwed joints against what the tape can miss, and against tubes on
    hand.
    """
    for arm, pre, what in (
        ("arm", "arms.joint", "radius arm"),
        ("upper", "arms.upper_joint", "upper arm"),
    ):
        each_way = (value(f"{pre}_thread") - value(f"{pre}_engagement")) / 2
        conflicts = {
            next((k for k in c.keys if value.solved.role(k) == "conflict"), None): c
            for c in value.solved.conflicts()
            if math.isfinite(c.miss)
        }
        for side in SIDES:
            tube, cc = Key(f"{arm}.tube", side), Key(f"{arm}.cc", side)
            if each_way <= 0:
                yield Diagnosis(
                    "thread_used",
                    "conflict",
                    f"The {SIDE_WORD[side]} {what}'s joint has no thread to spare:"
                    f" {inch(value(f'{pre}_thread'))} of thread,"
                    f" {inch(value(f'{pre}_engagement'))} to stay engaged.",
                    f"Use a joint with {up(-2 * each_way + units.IN / 4)} more thread.",
                    (cc,),
                    each_way,
                )
            elif tube in conflicts:
                yield _tube_on_hand(
                    tube,
                    conflicts[tube],
                    each_way,
                    value.get(f"{pre}_tpi", "C", 0.0),
                    f"{SIDE_WORD[side]} {what}",
                )
            elif cc in value.solved.values and 2 * value.solved.half_width(cc) > each_way:
                miss = 2 * value.solved.half_width(cc)
                yield Diagnosis(
                    "thread_used",
                    "warning",
                    f"The readings leave the {SIDE_WORD[side]} {what} uncertain by ±{inch(miss)}, "
                    f"and its joint adjusts {inch(each_way)} each way.",
                    "Read again what moves it most, or cut the tube after the mock-up.",
                    (cc,),
                    each_way - miss,
                )


def _tube_on_hand(tube: Key, c: Conflict, each_way: float, tpi: float, what: str) -> Diagnosis:
    miss = abs(c.miss)
    if miss > each_way:
        return Diagnosis(
            "thread_used",
            "conflict",
            f"The tube given for the {what} is {inch(miss)} too {'short' if c.miss > 0 else 'long'}"
            f" and its joint adjusts {inch(each_way)} each way.",
            f"Cut a tube {up(miss - each_way)} {'longer' if c.miss > 0 else 'shorter'} at least, "
            f"{inch(miss)} to have the joint at mid-thread.",
            (tube,),
            each_way - miss,
        )
    turns = f"{miss / units.IN * tpi:.1f} turns" if tpi else inch(miss)
    return Diagnosis(
        "thread_taken",
        "note",
        f"The tube given for the {what} is {inch(miss)} {'short' if c.miss > 0 else 'long'}: its"
        " joint takes that up.",
        f"Screw the joint {turns} {'out' if c.miss > 0 else 'in'} from mid-thread.",
        (tube,),
        each_way - miss,
    )


def shaft_angles(value: CheckedValues) -> Iterator[Diagnosis]:
    """Joint angles of the shaft at ride height against their makers' limits.

    Conflict, one a joint; ``margin`` in rad. A joint without a limit or an angle passes.
    """
    for key, limit, what in (
        ("pinion.working", "driveline.max_pinion_joint", "pinion joint"),
        ("shaft.transfer", "driveline.max_transfer_joint", "transfer-case joint"),
    ):
        got, most = value.get(key, "C", 0.0), value.get(limit, "C", math.inf)
        if got > most:
            yield Diagnosis(
                "shaft_angle",
                "conflict",
                f"The {what} works at {degrees(got)} at ride height; its maker allows"
                f" {degrees(most)}.",
                f"Take {degrees_up(got - most)} out: a longer shaft, the transfer case tipped, or"
                " less lift.",
                keys((key, "C")),
                most - got,
            )


def sides(value: CheckedValues) -> Iterator[Diagnosis]:
    """Left and right arms that ask for different axle places: the mean is used."""
    left, right = value("arm.x_ride", "L"), value("arm.x_ride", "R")
    if abs(left - right) > 2 * max(value.u("axle.x_ride"), units.IN / 32):
        yield Diagnosis(
            "sides_differ",
            "note",
            f"The left arm alone would put the axle {inch(left)} and the right {inch(right)} "
            "ahead of the full-bump plumb line; the mean is used.",
            "Set the frame joints at one height to make them agree.",
            keys(("arm.x_ride", "L"), ("arm.x_ride", "R")),
            -abs(left - right),
        )


CHECKS: tuple[LayoutCheck, ...] = (
    arm_reach,
    *PINION_CHECKS,
    bar_length,
    bar_angles,
    joints_in_rails,
    thread,
    shaft_angles,
    sides,
    *COIL_CHECKS,
    *FRAME_CHECKS,
)


def givens(solved: Graph) -> Iterator[Diagnosis]:
    """Given values that cannot all be true, and quantities without a solution.

    One each, with the readings it is about and, where there is a miss, by how much one of them
    would have to differ.
    """
    for conflict in solved.conflicts():
        names = tuple(sorted(conflict.keys))
        about = next(
            (key for key in names if solved.role(key) == "conflict"),
            names[0] if names else Key("", "C"),
        )
        if math.isfinite(conflict.miss):
            kind = solved.unit(about)
            cure = " or ".join(
                f"{key} {units.show(d, solved.unit(key))} {'more' if d > 0 else 'less'}".replace(
                    " -", " "
                )
                for key, d in conflict.cures[:2]
                if solved.unit(key) in units.SHORT
            )
            others = ", ".join(str(key) for key, _ in conflict.cures[:6] if key != about)
            miss = units.show(abs(conflict.miss), kind)
            yield Diagnosis(
                "givens_conflict",
                "conflict",
                (
                    f"{about} as given and what was measured do not meet: they miss by {miss}"
                    f" ({others}). That is within the doubt of the readings, but no choice can give"
                    " way, so every part would still be made to what was measured."
                    if conflict.within
                    else (
                        f"{about} as given and what was measured cannot both be true: they miss by"
                        f" {miss} ({others})."
                    )
                ),
                f"Leave it out of [fixed], or read again; the least change that cures it: {cure}.",
                (about, *(key for key in names if key != about)),
                -abs(conflict.miss),
            )
    for key in solved.every_key():
        if solved.role(key) == "conflict" and key not in solved.readings and _first(solved, key):
            yield Diagnosis(
                "no_solution",
                "conflict",
                f"{key} ({solved.title(key)}) has no solution with these readings.",
                f"Check {', '.join(map(str, _nearest(solved, key)))}.",
                (key,),
                math.nan,
            )


def _nearest(solved: Graph, k: Key) -> list[Key]:
    """Readings a result rests on, those put straight into its equation first; at most eight."""
    e = solved.equations.get(k)
    direct = [solved.system.keys[i] for i in e.ins] if e else []
    return [i for i in direct if i in solved.readings][:8] or sorted(solved.rests_on(k))[:8]


def _first(solved: Graph, k: Key) -> bool:
    e = solved.equations.get(k)
    return e is None or all(solved.system.keys[i] in solved.values for i in e.ins)


SAYS = ("thread_taken",)
"""Notes that say of a given result what takes up its miss."""


def diagnose(job: Job, solved: Graph) -> tuple[Diagnosis, ...]:
    """Everything that does not fit, conflicts first.

    Checks whose values wait are left out; nothing is raised for geometry.
    """
    value = CheckedValues(job, solved)
    found: list[Diagnosis] = []
    for check in CHECKS:
        try:
            found += check(value)
        except MissingValueError:
            continue
    # a warning beside a given result does not say that it cannot be
    said = {k for d in found if d.severity == "conflict" or d.code in SAYS for k in d.keys}
    found += [d for d in givens(solved) if d.keys[0] not in said]
    order = {"conflict": 0, "warning": 1, "note": 2}
    return tuple(sorted(found, key=lambda d: order[d.severity]))
