"""[fixed] of the job file: any solved name given as measured, an existing hole or a bar on hand."""

from __future__ import annotations

import re
from collections.abc import Mapping

from .. import units
from ..faults import Fault, as_typed
from ..quantities import SIDE_OF, Key, Reading, Side
from . import reading
from .field import STATES
from .fields import FIELDS, nearest, pattern

HALF_WIDTH = {"length": units.IN / 16, "angle": 0.25 * units.DEG}
TOOL = {"length": "tape", "angle": "finder"}
NO_TOOLS: Mapping[str, float] = {}
STATED = ("any", *STATES)
BY_KIND = {
    "length": (-200.0 * units.IN, 300.0 * units.IN),
    "angle": (-60.0 * units.DEG, 60.0 * units.DEG),
    "count": (-10.0, 10.0),
    "force": (50.0 * units.LBF, 50_000.0 * units.LBF),
}
BETWEEN = {
    r"arm\.run|.*\.(cc|tube|length|loaded|at_bump|at_droop|solid)|joint\.spacing": (0.5, 200.0),
    r"rail\..*\.(width|height)": (0.5, 14.0),
    r"rail\..*\.wall": (0.03, 0.75),
    r"rail\..*\.(outer|bottom)|.*\.z|axle\.z_.*": (0.5, 80.0),
}
"""Smallest and largest value, inches, a result may be given as; other results by the kind of their
unit. Judgment, no source.
"""
RATIOS = {
    r"rail\..*\.slope_.*|notch\.(lean|yaw)": (-0.5, 0.5),
    r".*\.ratio": (0.05, 5.0),
}
"""The same for plain numbers: slopes of a rail (rise over run) and ratios of two lengths."""


def read(
    table: Mapping[str, object],
    headers: Mapping[str, str],
    known: Mapping[str, tuple[str, bool]],
    tools: Mapping[str, float] = NO_TOOLS,
) -> tuple[dict[Key, Reading], list[Fault]]:
    """Readings of a [fixed] table, every fault found.

    ``headers``: the file's [units]; ``known``: name to (kind of unit, has sides); ``tools``:
    plus-minus of "tape" and "finder", internal units.

    Names may be written with dots in quotes or as nested tables; sides as {left = .., right = ..}
    or {both = ..}.
    """
    found: dict[Key, Reading] = {}
    faults: list[Fault] = []
    for name, value in _flat("", table, known):
        kind, sided = _kind(name, known)
        field = f"fixed.{name[:80]}"
        if not kind:
            remedy = nearest(name, tuple(known))
            faults.append(Fault(field, as_typed(value)[:80], "a name that `solve` prints", remedy))
            continue
        if kind not in units.SHORT and kind != "count":
            remedy = (
                "nobody can measure this one: give a length, an angle or a weight it follows from"
            )
            faults.append(
                Fault(field, as_typed(value)[:80], "a result with a unit of its own", remedy)
            )
            continue
        if sided and not (
            isinstance(value, dict) and value and set(value) <= {"left", "right", "both"}
        ):
            allowed, remedy = (
                "{left = .., right = ..} or {both = ..}",
                "this one has two sides: say which",
            )
            faults.append(Fault(field, as_typed(value)[:80], allowed, remedy))
            continue
        for side, typed in _by_side(value, sided):
            key = Key(name, side)
            got, wrong = _reading(key, typed, kind, headers, tools)
            faults += wrong
            if got is not None:
                found[key] = got
    return found, faults


def between(name: str, kind: str) -> tuple[float, float]:
    """Smallest and largest value a result may be given as, internal units: what a truck can have,
    so that a slip is caught as one.
    """
    if pattern(name) in FIELDS:
        field = FIELDS[pattern(name)]
        return field.low, field.high
    if kind == "length":
        for names, (low, high) in BETWEEN.items():
            if re.fullmatch(names, name):
                return low * units.IN, high * units.IN
    if kind == "count":
        for names, row in RATIOS.items():
            if re.fullmatch(names, name):
                return row
    return BY_KIND.get(kind, (-1e6, 1e6))


def _kind(name: str, known: Mapping[str, tuple[str, bool]]) -> tuple[str, bool]:
    if name in known:
        return known[name]
    field = FIELDS.get(pattern(name))
    return ("", False) if field is None or field.is_word else (field.kind, field.sided)


def _flat(
    path: str, table: Mapping[str, object], known: Mapping[str, tuple[str, bool]]
) -> list[tuple[str, object]]:
    rows: list[tuple[str, object]] = []
    for word, value in table.items():
        name = f"{path}.{word}" if path else word
        if (
            isinstance(value, dict)
            and value
            and not set(value) & {"left", "right", "both", "value"}
        ):
            rows += _flat(name, value, known)
        else:
            rows.append((name, value))
    return rows


def _by_side(value: object, sided: bool) -> list[tuple[Side, object]]:
    """What was typed of each side; of "C" where left and right are one."""
    if not sided or not isinstance(value, dict):
        return [("C", value)]
    rows: list[tuple[Side, object]] = []
    for word, typed in value.items():
        rows += [("L", typed), ("R", typed)] if word == "both" else [(SIDE_OF[word], typed)]
    return rows


def _reading(
    key: Key, value: object, kind: str, headers: Mapping[str, str], tools: Mapping[str, float]
) -> tuple[Reading | None, list[Fault]]:
    row = value if isinstance(value, dict) else {"value": value}
    name = f"fixed.{key}"
    faults = reading.plain_faults(name, row, STATED)
    if "again" in row:
        remedy = "give their mean: a result is given once"
        faults.append(Fault(f"{name} again", str(row["again"]), "one value", remedy))
    if faults:
        return None, faults
    low, high = between(key.name, kind)
    allowed = f"{units.show(low, kind)} .. {units.show(high, kind)}"
    try:
        number = units.parse(row["value"], kind, headers.get(kind))
        half = (
            units.parse(row["plus_minus"], kind, headers.get(kind))
            if "plus_minus" in row
            else tools.get(TOOL.get(kind, ""), HALF_WIDTH.get(kind, 0.0))
        )
    except units.HeaderError:
        return None, []
    except units.UnitError as error:
        return None, [Fault(name, as_typed(value)[:80], allowed, str(error))]
    if not low <= number <= high:
        remedy = "no truck has that: read it again, or leave it out and let it be solved"
        return None, [Fault(name, str(row["value"]), allowed, remedy)]
    if not 0 <= half <= high - low:
        remedy = "say by how much it may be out, either way"
        return None, [Fault(f"{name} plus_minus", str(row["plus_minus"]), "0 or more", remedy)]
    return (
        Reading(
            key=key,
            typed=(str(row["value"]),),
            value=number,
            half_width=half,
            state=str(row.get("state", "any")),
            by=str(row.get("by", "")),
            date=reading.day(row["date"]) or "" if "date" in row else "",
            instrument=str(row.get("with", "")),
        ),
        [],
    )
