"""How sure the answers are that a shop cuts and welds by: plus-minus, the readings behind it,
whether an adjuster covers it, what to read again.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from typing import NamedTuple

from .. import reader, units
from ..graph import Graph
from ..quantities import SIDE_WORD, SIDES, Key, Reading, Side

LEAST_SHARE = 0.02
"""Share of an answer's doubt under which a reading is not named."""
RECTANGLE = 3.0
"""Square of a rectangular reading's half-width over its standard uncertainty (NIST/SEMATECH
e-Handbook 2.5.4).
"""
OWN_CASTER = Key("axle.caster_at_level_pinion", "C")
_ARM, _RATE = Key("upper.cc", "L"), Key("upper.pinion_rate", "L")
MOUNT_ROOM = 1.5 * units.IN
"""How far the coil mount goes up or down before it is welded, mm (judgment, no source)."""


class Answer(NamedTuple):
    """One answer.

    ``plus_minus``: 2u, internal units. ``room``: what the adjuster takes up each way, NaN where
    there is none. ``behind``: readings with their share of u squared, largest first.
    """

    key: Key
    title: str
    value: float
    plus_minus: float
    unit: str
    room: float
    adjuster: str
    behind: tuple[tuple[Key, float], ...]

    @property
    def covered(self) -> bool | None:
        """Whether the adjuster takes up the plus-minus; None where nothing adjusts.

        Both are 2u and room either way, in ``unit``.
        """
        return None if math.isnan(self.room) else self.plus_minus <= self.room


ANSWERS: tuple[tuple[str, bool, str], ...] = (
    ("arm.tube", True, "frame joint's thread"),
    ("upper.tube", True, "upper joint's thread"),
    ("joint.spacing", False, "arm brackets on the crossmember"),
    ("arm.joint.y", True, ""),
    ("pinion.up", False, "upper joints' thread"),
    ("caster.ride", False, "upper joints' thread"),
    ("seat.upper.z", True, "coil mount until it is welded"),
    ("spring.at_bump", True, ""),
    ("bar.length", False, ""),
    ("bar.frame.z", False, "bracket until it is welded"),
    ("stop.spacer", True, "shims"),
    ("shaft.length", False, "slip of the shaft"),
)


def behind(solved: Graph, key: Key, most: int = 3) -> tuple[tuple[Key, float], ...]:
    """Readings that make up the uncertainty of a quantity, with their share of its square.

    (slope x u)^2 over the sum of them all, 0 to 1, largest first; at most ``most``, none under
    ``LEAST_SHARE``. Empty where nothing is uncertain.
    """
    rows = {
        leaf: (slope * solved.half_width(leaf)) ** 2 for leaf, slope in solved.gradient(key).items()
    }
    total = sum(rows.values())
    if total <= 0:
        return ()
    best = sorted(rows.items(), key=lambda row: (-row[1], str(row[0])))[:most]
    return tuple((leaf, x / total) for leaf, x in best if x / total > LEAST_SHARE)


def answers(solved: Graph) -> tuple[Answer, ...]:
    """Every answer of ``ANSWERS`` that is solved and whose doubt can be told (the pinion's waits
    for the upper arm).
    """
    return tuple(_answers(solved))


def _answers(solved: Graph) -> Iterator[Answer]:
    for name, sided, adjuster in ANSWERS:
        at: tuple[Side, ...] = SIDES if sided else ("C",)
        for side in at:
            key = Key(name, side)
            if key in solved.values and math.isfinite(_u(solved, key)):
                yield Answer(
                    key=key,
                    title=solved.title(key),
                    value=solved.values[key],
                    plus_minus=plus_minus(solved, key),
                    unit=solved.unit(key),
                    room=_room(solved, key),
                    adjuster=adjuster,
                    behind=behind(solved, cause(key)),
                )


def cause(key: Key) -> Key:
    """The pinion as built hangs on how well the upper arm is cut, not on the angle that is aimed
    for.
    """
    return _ARM if key.name in ("pinion.up", "caster.ride") else key


def plus_minus(solved: Graph, key: Key, twice: Collection[Reading] = ()) -> float:
    """Plus-minus (2u) of an answer as the truck is built, the one number every sheet and screen
    prints for it.

    ``twice``: readings whose own plus-minus is taken twice as wide, to see what it would do.
    """
    return 2 * _u(solved, key, twice)


def _u(solved: Graph, key: Key, twice: Collection[Reading] = ()) -> float:
    rate = solved.values.get(_RATE, math.nan)
    if key.name not in ("pinion.up", "caster.ride") or math.isnan(rate):
        return _wider(solved, key, twice)
    arm = abs(rate * _wider(solved, _ARM, twice))
    return math.hypot(arm, _wider(solved, OWN_CASTER, twice)) if key.name == "caster.ride" else arm


def turns(solved: Graph) -> dict[Key, float]:
    """How far one u of each reading turns the pinion up of a truck whose upper arm is cut already,
    rad: a reading that asked for a longer arm finds it too short. Empty without an upper arm.
    """
    rate = solved.values.get(_RATE, math.nan)
    if math.isnan(rate):
        return {}
    slopes = solved.gradient(_ARM)
    return {leaf: -rate * slope * solved.half_width(leaf) for leaf, slope in slopes.items()}


def _wider(solved: Graph, key: Key, twice: Collection[Reading]) -> float:
    """Standard uncertainty of a result with some readings twice as doubtful: each adds three times
    its own square.
    """
    now = solved.half_width(key)
    if not twice:
        return now
    slopes = solved.gradient(key)
    squares = sum((slopes.get(row.key, 0.0) * row.half_width) ** 2 for row in twice)
    return math.sqrt(now**2 + 3 * squares / RECTANGLE)


def _room(solved: Graph, key: Key) -> float:
    values = solved.values

    def read(name: str) -> float:
        return values.get(Key(name, "C"), math.nan)

    def thread(base: str) -> float:
        return (read(f"arms.{base}_thread") - read(f"arms.{base}_engagement")) / 2

    if key.name == "arm.tube":
        return thread("joint")
    if key.name == "upper.tube":
        return thread("upper_joint")
    if key.name in ("pinion.up", "caster.ride"):
        return thread("upper_joint") * abs(values.get(Key("upper.pinion_rate", "L"), math.nan))
    if key.name == "shaft.length":
        return min(read("driveline.slip_compress"), read("driveline.slip_extend"))
    if key.name == "seat.upper.z":
        return MOUNT_ROOM
    return math.nan


def take_again(solved: Graph, most: int = 4) -> tuple[tuple[Key, float, tuple[Key, ...]], ...]:
    """Readings worth taking again, best first: how much of the answers' doubt each carries (sum of
    shares), and which answers.

    Answers whose doubt is under 1/8 in or 0.25 deg and those an adjuster covers with half its room
    to spare are left out.
    """
    carried: dict[Key, tuple[float, list[Key]]] = {}
    for a in answers(solved):
        small = a.plus_minus < (units.IN / 8 if a.unit == "length" else math.radians(0.25))
        if small or (a.covered and a.plus_minus < a.room / 2):
            continue
        for leaf, share in a.behind:
            total, keys = carried.get(leaf, (0.0, []))
            carried[leaf] = (total + share, [*keys, a.key])
    rows = sorted(carried.items(), key=lambda r: (-r[1][0], str(r[0])))
    return tuple((leaf, total, tuple(keys)) for leaf, (total, keys) in rows[:most])


def rounded(value: float, unit: str) -> str:
    """A value as it deserves to be printed: 1/16 in or 0.1 mm, 0.1 deg.

    ``value`` in internal units of the kind ``unit``; a kind without a unit of its own in two
    decimals.
    """
    if unit == "length":
        return units.show(value, "length")
    if unit == "angle":
        return f"{math.degrees(value):.1f} deg"
    return units.show(value, unit) if unit in units.SHORT else f"{value:.2f}"


def doubt(x: float, unit: str) -> str:
    """A plus-minus as printed: lengths up to the tape's next step, angles up to the next 0.1 deg.

    ``x`` in internal units of the kind ``unit``; never less than one step.

    >>> doubt(math.radians(0.31), "angle")
    '0.4 deg'
    """
    if unit == "length":
        step = reader.step()
        return units.show(max(1, math.ceil(x / step - 1e-9)) * step, "length")
    if unit == "angle":
        return f"{max(1, math.ceil(math.degrees(x) * 10 - 0.05)) / 10:.1f} deg"
    return units.show(x, unit) if unit in units.SHORT else f"{x:.2f}"


def sentence(a: Answer) -> str:
    """One line for a person: value, plus-minus, what is behind it, what takes it up.

    In the units people read (``doubt`` rounds up); shares of the variance in percent. What takes it
    up is left out where nothing does.
    """
    side = f" {SIDE_WORD[a.key.side]}" if a.key.side != "C" else ""
    why = ", ".join(f"{k} {100 * s:.0f} %" for k, s in a.behind)
    room = (
        ""
        if a.covered is None
        else (
            f"; the {a.adjuster} takes up {doubt(a.room, a.unit)} each way:"
            f" {'covered' if a.covered else 'NOT covered'}"
        )
    )
    return f"{a.title}{side}: {rounded(a.value, a.unit)} ±{doubt(a.plus_minus, a.unit)}{room}" + (
        f"; mostly from {why}" if why else ""
    )
