"""One field's value: words, readings, repeats, left and right. Faults are gathered, never raised."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from statistics import median
from typing import Any, NamedTuple

from .. import units
from ..faults import Fault
from ..quantities import Key, Reading, Side
from .field import FINDER, STATES, TAPE, Field
from .source import typed

SIDES: dict[str, Side] = {"left": "L", "right": "R"}
ABOUT = ("plus_minus", "state", "by", "date")
WORDS = ("value", "again", *ABOUT)
MAX_REPEATS = 20
OUTLIER = 3.0


class Desk(NamedTuple):
    """What reading needs at hand: header units, the shop's half-widths, and where faults go."""

    units: dict[str, str]
    tape: float
    finder: float
    faults: list[Fault]

    def fault(self, field: str, was: Any, allowed: str, remedy: str) -> None:
        """Note one fault."""
        self.faults.append(Fault(field, typed(was), allowed, remedy))

    def half_width(self, field: Field, value: float) -> float:
        """Half-width by field: tape and finder as this shop has them, or a share of the value."""
        swap = {("length", TAPE): self.tape, ("angle", FINDER): self.finder}
        return max(swap.get((field.kind, field.half_width), field.half_width), field.share * abs(value))


def number(desk: Desk, where: str, kind: str, value: Any, field: Field | None = None) -> float | None:
    """Internal value of one typed number within the field's range, or a fault and None."""
    unit = desk.units.get(kind, "")
    limits = field.range_text(unit) if field else units.EXAMPLES.get(kind, "")
    try:
        got = units.parse(value, kind, unit or None)
    except units.UnitFault as e:
        desk.fault(where, value, f"{limits}; as {e.allowed}" if field and e.allowed else limits, f"{e.what}; {e.remedy}")
        return None
    if field and not field.low - 1e-9 <= got <= field.high + 1e-9:
        below = got < field.low
        why = "negative" if below and got < 0 <= field.low else "too small" if below else "too large"
        desk.fault(where, value, limits, f"{units.show(got, kind, unit)} is {why}; {field.remedy}")
        return None
    return got


def read_word(desk: Desk, name: str, field: Field, value: Any) -> str | None:
    """A word, text or date of the file, or a fault and None."""
    if isinstance(value, datetime.date) and field.kind == "date":
        value = value.isoformat()[:10]
    if not isinstance(value, str):
        desk.fault(name, value, field.range_text(), "put it in quotes")
    elif len(value) > field.high:
        desk.fault(name, value, f"up to {int(field.high)} characters", "shorten it")
    elif any(ord(c) < 32 or ord(c) == 127 for c in value):
        desk.fault(name, value.encode("unicode_escape").decode(), "one line of plain text", "take out line breaks and control signs")
    elif field.words and value not in field.words:
        desk.fault(name, value, field.range_text(), field.remedy)
    elif field.kind == "date" and not is_day(value):
        desk.fault(name, value, field.range_text(), field.remedy)
    else:
        return value
    return None


def is_day(text: str) -> bool:
    """True for a day written year-month-day."""
    try:
        return len(text) == 10 and bool(datetime.date.fromisoformat(text))
    except ValueError:
        return False


def read_sides(desk: Desk, name: str, field: Field, value: Any) -> tuple[list[Reading], bool]:
    """Readings of one field, one a side; True if both were given as one ({both = ..})."""
    if not field.sided:
        if isinstance(value, dict) and ({"left", "right", "both"} & set(value)):
            desk.fault(name, value, "one value", "this one has no sides: give it bare")
            return [], False
        got = read_one(desk, Key(name, "C"), field, value)
        return ([got] if got else []), False
    if not isinstance(value, dict) or not set(value) - set(ABOUT) or not set(value) <= {"left", "right", "both", *ABOUT}:
        desk.fault(name, value, "{left = .., right = ..} or {both = ..}", "this one has two sides: give {left=,right=} or {both=}")
        return [], False
    if "both" in value and ("left" in value or "right" in value):
        desk.fault(name, value, "{left = .., right = ..} or {both = ..}", "give both, or each side, not all")
        return [], False
    about = {k: v for k, v in value.items() if k in ABOUT}
    given = {"left": value["both"], "right": value["both"]} if "both" in value else value
    before = len(desk.faults)
    read = [read_one(desk, Key(name, SIDES[w]), field, _with(v, about)) for w, v in given.items() if w in SIDES]
    if "both" in value and len(desk.faults) > before:
        del desk.faults[before + (len(desk.faults) - before) // 2:]
        desk.faults[before:] = [f._replace(field=f.field.removesuffix(".left")) for f in desk.faults[before:]]
    return [r for r in read if r], "both" in value


def _with(value: Any, about: dict[str, Any]) -> Any:
    if not about:
        return value
    return {**about, **value} if isinstance(value, dict) else {**about, "value": value}


def read_one(desk: Desk, key: Key, field: Field, value: Any) -> Reading | None:
    """One reading: a string, a number, or a table with value, plus_minus, state, by, date, again."""
    where = str(key)
    table = value if isinstance(value, dict) else {"value": value}
    if "value" not in table or not set(table) <= set(WORDS):
        desk.fault(where, value, ", ".join(WORDS), "a reading is a value, or a table with value and these")
        return None
    again = table.get("again", [])
    repeats = [table["value"], *(again if isinstance(again, list) else [again])]
    if len(repeats) > MAX_REPEATS:
        desk.fault(where, f"{len(repeats)} readings", f"up to {MAX_REPEATS}", "keep the last ones")
        return None
    before = len(desk.faults)
    numbers = [number(desk, where, field.kind, v, field) for v in repeats]
    half = number(desk, f"{where} plus_minus", field.kind, table["plus_minus"]) if "plus_minus" in table else None
    if half is not None and half < 0:
        desk.fault(f"{where} plus_minus", table["plus_minus"], "0 or more", "give the half-width, without a sign")
    state, by, day = (_about(desk, where, field, table, w) for w in ("state", "by", "date"))
    if len(desk.faults) > before:
        return None
    found = [n for n in numbers if n is not None]
    mean = sum(found) / len(found)
    width = half if half is not None else desk.half_width(field, mean)
    if not _agree(desk, where, field, repeats, found, width):
        return None
    return Reading(key, tuple(typed(v) for v in repeats), mean, max(width, (max(found) - min(found)) / 2), state, by, day, field.role)


def _agree(desk: Desk, where: str, field: Field, repeats: list[Any], found: list[float], width: float) -> bool:
    """False, with a fault that names it, if a repeat stands apart from the middle by more than three half-widths."""
    if len(found) < 2 or width <= 0:
        return True
    middle, limit, unit = median(found), OUTLIER * width, desk.units.get(field.kind, "")
    apart = [typed(v) for v, n in zip(repeats, found, strict=True) if abs(n - middle) > limit * (1 + 1e-9)]
    if not apart:
        return True
    remedy = "these two contradict each other: read it a third time" if len(found) == 2 else "this one stands apart: strike it, or read it again"
    desk.fault(where, " and ".join(apart), f"within {units.show(limit, field.kind, unit)} of the middle, {units.show(middle, field.kind, unit)}", remedy)
    return False


def _about(desk: Desk, where: str, field: Field, table: dict[str, Any], word: str) -> str:
    value = table.get(word, "")
    if isinstance(value, datetime.date):
        value = value.isoformat()[:10]
    checks: dict[str, tuple[Callable[[str], bool], str, str]] = {
        "state": (lambda v: v in STATES, " | ".join(STATES), "say in which height state it was read"),
        "by": (lambda v: len(v) <= 60 and v.isprintable(), "up to 60 characters", "shorten it"),
        "date": (is_day, "a day, as 2024-05-17", "write it as year-month-day"),
    }
    ok, allowed, remedy = checks[word]
    if value == "":
        return field.state if word == "state" and field.state != "any" else ""
    if not isinstance(value, str) or not ok(value):
        desk.fault(f"{where} {word}", value, allowed, remedy)
        return ""
    if word == "state" and field.state not in ("any", value):
        desk.fault(f"{where} state", value, field.state, f"this one counts only in state {field.state}: read it again there")
    return value
