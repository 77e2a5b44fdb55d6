"""[fixed] of the job file: any solved name given as measured, an existing hole or a bar on hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .. import units
from ..faults import Fault
from ..job.fields import FIELDS, nearest, pattern
from ..quantities import Key, Reading, Side

HALF_WIDTH = {"length": units.IN / 16, "angle": 0.25 * units.DEG}
_SIDES: dict[str, Side] = {"left": "L", "right": "R"}


def read(
    table: Mapping[str, Any], headers: Mapping[str, str], known: Mapping[str, tuple[str, bool]]
) -> tuple[dict[Key, Reading], list[Fault]]:
    """Readings of a [fixed] table, every fault found. ``headers``: the file's [units]; ``known``: name to (kind of unit, has sides).

    Names may be written with dots in quotes or as nested tables; sides as {left = .., right = ..} or {both = ..}."""
    found: dict[Key, Reading] = {}
    faults: list[Fault] = []
    for name, value in _flat("", table, known):
        kind, sided = _kind(name, known)
        if not kind:
            faults.append(
                Fault(
                    f"fixed.{name[:80]}",
                    str(value)[:80],
                    "a name that `solve` prints",
                    nearest(name, tuple(known)),
                )
            )
            continue
        if sided and not (
            isinstance(value, dict) and value and set(value) <= {"left", "right", "both"}
        ):
            faults.append(
                Fault(
                    f"fixed.{name}",
                    str(value)[:80],
                    "{left = .., right = ..} or {both = ..}",
                    "this one has two sides: say which",
                )
            )
            continue
        for side, typed in _by_side(value) if sided else (("C", value),):
            key = Key(name, side)  # type: ignore[arg-type]
            try:
                found[key] = _reading(key, typed, kind, headers)
            except units.UnitFault as e:
                faults.append(
                    Fault(
                        f"fixed.{key}",
                        str(typed)[:80],
                        units.EXAMPLES.get(kind, "a number"),
                        str(e),
                    )
                )
    return found, faults


def _kind(name: str, known: Mapping[str, tuple[str, bool]]) -> tuple[str, bool]:
    if name in known:
        return known[name]
    field = FIELDS.get(pattern(name))
    return ("", False) if field is None or field.is_word else (field.kind, field.sided)


def _flat(
    path: str, table: Mapping[str, Any], known: Mapping[str, tuple[str, bool]]
) -> list[tuple[str, Any]]:
    rows = []
    for word, value in table.items():
        name = f"{path}.{word}" if path else word
        deeper = isinstance(value, dict) and not set(value) & {"left", "right", "both", "value"}
        rows += _flat(name, value, known) if deeper and value else [(name, value)]
    return rows


def _by_side(value: Mapping[str, Any]) -> list[tuple[Side, Any]]:
    rows: list[tuple[Side, Any]] = []
    for word, typed in value.items():
        rows += [("L", typed), ("R", typed)] if word == "both" else [(_SIDES[word], typed)]
    return rows


def _reading(key: Key, value: Any, kind: str, headers: Mapping[str, str]) -> Reading:
    row = value if isinstance(value, dict) else {"value": value}
    plain = kind if kind in units.SHORT or kind == "count" else "count"
    number = units.parse(row.get("value"), plain, headers.get(plain))  # type: ignore[arg-type]
    half = (
        units.parse(row["plus_minus"], plain, headers.get(plain))
        if "plus_minus" in row
        else HALF_WIDTH.get(kind, 0.0)
    )
    return Reading(
        key,
        (str(row.get("value")),),
        number,
        half,
        str(row.get("state", "any")),
        str(row.get("by", "")),
        str(row.get("date", "")),
    )
