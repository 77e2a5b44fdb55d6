"""Readings of one job that contradict each other: whole widths against their parts, the cut's edges
in order; and those whose left and right differ so far that one may be wrong.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from .. import units
from ..faults import Fault
from ..quantities import SIDES, Key, Reading, Side
from .closures import APART, CLOSURES, ORDERS, SLACK, Closure, Order
from .field import key_of, pattern
from .fields import FIELDS
from .within import impossible

LEAST_FLAT = units.IN / 4
"""Of a rail's side, left flat between two corners (judgment, no source)."""


def contradictions(
    readings: Mapping[Key, Reading], words: Mapping[str, str], counts: Mapping[str, int]
) -> Iterator[Fault]:
    """A fault for each set of readings that cannot all be true.

    ``readings``: by key, internal units; ``words``: words by path; ``counts``: rows of each list,
    by its table. Only what was read is held against each other; nothing is raised.
    """
    for closure in CLOSURES:
        table = closure.path.partition(".*.")[0]
        for number in range(1, counts.get(table, 0) + 1):
            yield from _closed(readings, closure, number)
    yield from _holes(readings, words, counts.get("frame.hole", 0))
    yield from _one_place(readings, "frame.station", counts.get("frame.station", 0))
    yield from _one_place(readings, "frame.notch.proud", counts.get("frame.notch.proud", 0))
    yield from _corner(readings, counts.get("frame.station", 0))
    yield from impossible(readings, words)
    if words.get("frame.cut") == "no":
        yield from _cut_after_all(readings)
        return
    for order in ORDERS:
        yield from _ordered(readings, order)


def sides_apart(readings: Mapping[Key, Reading]) -> Iterator[str]:
    """A sentence for each reading whose left and right differ by more than ``APART``: one may have
    been read wrong, or on the other side.

    ``readings``: by key, internal units. Nothing of what is a wish or a choice, nor where both
    sides were read twice.
    """
    for key, left in readings.items():
        right = readings.get(Key(key.name, "R"))
        field = FIELDS.get(pattern(key.name))
        if key.side != "L" or right is None or field is None or field.role != "measured":
            continue
        apart = abs(left.value - right.value)
        twice = len(left.typed) > 1 and len(right.typed) > 1
        if apart > APART.get(field.kind, math.inf) and not twice:
            one, two, by = (units.show(x, field.kind) for x in (left.value, right.value, apart))
            yield (
                f"{key.name}: left {one}, right {two}, {by} apart; read both again, and give the"
                ' second reading beside each (again = [".."])'
            )


def _value(readings: Mapping[Key, Reading], name: str, side: Side) -> float | None:
    reading = readings.get(Key(name, side))
    return None if reading is None else float(reading.value)


def _closed(readings: Mapping[Key, Reading], closure: Closure, number: int) -> Iterator[Fault]:
    """A row whose readings do not add up; nothing where one of them is not there."""

    def read(paths: tuple[str, ...]) -> list[float | None]:
        keys = (key_of(path.replace("*", str(number), 1)) for path in paths)
        return [_value(readings, key.name, key.side) for key in keys]

    whole, adds, less = read((closure.path,))[0], read(closure.adds), read(closure.less)
    if whole is None or None in adds or None in less:
        return
    total = sum(filter(None, adds)) - sum(filter(None, less))
    if abs(total - whole) > SLACK:
        yield Fault(
            closure.path.replace("*", str(number), 1),
            units.show(whole, "length"),
            f"{closure.says} = {units.show(total, 'length')}",
            closure.remedy,
        )


def _ordered(readings: Mapping[Key, Reading], order: Order) -> Iterator[Fault]:
    for side in SIDES:
        least, most = _value(readings, order.low, side), _value(readings, order.high, side)
        if least is not None and most is not None and least >= most:
            yield Fault(
                str(Key(order.low, side)),
                units.show(least, "length"),
                f"less than {order.high} ({units.show(most, 'length')})",
                order.remedy,
            )


def _cut_after_all(readings: Mapping[Key, Reading]) -> Iterator[Fault]:
    """The readings of a cut in a rail that is said to stay whole; zeros say that there is none."""
    for order in ORDERS:
        for side in SIDES:
            ends = [_value(readings, name, side) for name in (order.low, order.high)]
            if any(ends):
                yield Fault(
                    "frame.cut",
                    "no",
                    f'"yes", since {Key(order.low, side)} or {order.high} is read',
                    "say yes where the rail's side is cut or to be cut, or take these readings out",
                )
                return


def _corner(readings: Mapping[Key, Reading], rows: int) -> Iterator[Fault]:
    """A corner radius that the rail has no room for: two of them and a flat between on its least
    side.
    """
    radius = _value(readings, "frame.corner_radius", "C")
    sides = [
        (x, str(key))
        for number in range(1, rows + 1)
        for what in ("width", "height")
        for side in SIDES
        if (x := _value(readings, (key := Key(f"frame.station.{number}.{what}", side)).name, side))
    ]
    if radius is None or not sides:
        return
    least, where = min(sides)
    if 2 * radius > least - LEAST_FLAT:
        yield Fault(
            "frame.corner_radius",
            units.show(radius, "length"),
            f"up to {units.show((least - LEAST_FLAT) / 2, 'length')}: the rail is"
            f" {units.show(least, 'length')} across ({where})",
            "read the radius on the outside of the rail's corner again, or that side of the rail",
        )


def _one_place(readings: Mapping[Key, Reading], table: str, rows: int) -> Iterator[Fault]:
    """Two rows of a table that is read along the truck at one place: no line goes through them."""
    seen: dict[float, int] = {}
    for number in range(1, rows + 1):
        x = _value(readings, f"{table}.{number}.x", "C")
        if x is None:
            continue
        first = seen.setdefault(round(x, 3), number)
        if first != number:
            yield Fault(
                f"{table}.{number}.x",
                units.show(x, "length"),
                f"another place than {table}.{first}.x",
                "two rows are at one place: take one out, or read it again",
            )


def _holes(readings: Mapping[Key, Reading], words: Mapping[str, str], rows: int) -> Iterator[Fault]:
    """Two holes of one face that run into each other: one is on the other rail, or read twice."""
    seen: list[tuple[tuple[str, ...], float, float, float, int]] = []
    for number in range(1, rows + 1):
        base = f"frame.hole.{number}."
        face = tuple(words.get(base + word, "") for word in ("side", "face"))
        x, edge, diameter = (
            _value(readings, base + earlier, "C") for earlier in ("x", "from_edge", "diameter")
        )
        if x is None or edge is None or diameter is None or "" in face:
            continue
        for other, other_x, other_edge, other_diameter, earlier in seen:
            if (
                other == face
                and math.hypot(x - other_x, edge - other_edge) < (diameter + other_diameter) / 2
            ):
                yield Fault(
                    f"frame.hole.{number}",
                    f"{' rail, '.join(face)} face, {units.show(x, 'length')}",
                    f"clear of frame.hole.{earlier}, {units.show(other_x, 'length')}",
                    "two holes at one place of one face: is one on the other rail, or typed twice?",
                )
        seen.append((face, x, edge, diameter, number))
