"""Readings of one job that contradict each other: whole widths against their parts, the cut's edges in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from .. import units
from ..faults import Fault
from ..quantities import Key, Reading, Side

SLACK = 4 * units.IN / 16
"""Four readings of 1/16 in each."""


def contradictions(readings: Mapping[Key, Reading], stations: int) -> Iterator[Fault]:
    """A fault for each set of readings that cannot all be true."""
    for i in range(1, stations + 1):
        yield from _widths(readings, f"frame.station.{i}.")
    for side in ("L", "R"):
        for low, high in (
            ("frame.notch.x_first", "frame.notch.x_last"),
            ("frame.notch.z_low", "frame.notch.z_high"),
        ):
            a, b = _value(readings, low, side), _value(readings, high, side)  # type: ignore[arg-type]
            if a is not None and b is not None and a >= b:
                yield Fault(
                    str(Key(low, side)),  # type: ignore[arg-type]
                    units.show(a, "length"),
                    f"less than {high} ({units.show(b, 'length')})",
                    "swap or read them again",
                )


def _value(readings: Mapping[Key, Reading], name: str, side: Side) -> float | None:
    r = readings.get(Key(name, side))
    return None if r is None else float(r.value)


def _pair(readings: Mapping[Key, Reading], name: str) -> float | None:
    left, right = _value(readings, name, "L"), _value(readings, name, "R")
    return None if left is None or right is None else left + right


def _widths(readings: Mapping[Key, Reading], base: str) -> Iterator[Fault]:
    outer, walls = _pair(readings, base + "outer"), _pair(readings, base + "width")
    whole, gap = _value(readings, base + "outside", "C"), _value(readings, base + "inside", "C")
    if whole is not None and outer is not None and abs(outer - whole) > SLACK:
        yield Fault(
            base + "outside",
            units.show(whole, "length"),
            f"outer left + outer right = {units.show(outer, 'length')}",
            "these readings contradict each other: tape all three again",
        )
    if (
        whole is not None
        and gap is not None
        and walls is not None
        and abs(gap + walls - whole) > SLACK
    ):
        yield Fault(
            base + "inside",
            units.show(gap, "length"),
            f"outside - both rail widths = {units.show(whole - walls, 'length')}",
            "these readings contradict each other: tape inside, outside and both widths again",
        )
