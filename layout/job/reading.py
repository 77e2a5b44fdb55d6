"""One reading as it is typed: a number, text, or a table with its repeats, plus-minus, state, by
whom, when and with what.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping

from .. import units
from ..faults import Fault, as_typed
from ..quantities import SIDE_OF, Key, Reading
from .field import STATES, Field

WORDS = ("value", "plus_minus", "state", "by", "date", "with", "again")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_NAME = 60
MOST_REPEATS = 20
LEAST_REPEATS = 3
"""Readings of which one can be said to stand apart; of two nobody knows which."""
WILD = 6
"""How many half-widths a repeat may lie from the middle one, or two from each other (judgment, no
source).
"""
TOOLS = {"tape": "units.tape", "finder": "units.finder"}


def day(value: object) -> str | None:
    """A day as year-month-day, typed as text or as a TOML date; None for anything else.

    >>> day("2024-05-17"), day("17 May"), day(datetime.date(2024, 5, 17))
    ('2024-05-17', None, '2024-05-17')
    """
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    if not isinstance(value, str) or not _DAY.fullmatch(value):
        return None
    try:
        return datetime.date.fromisoformat(value).isoformat()
    except ValueError:
        return None


def plain_faults(name: str, table: Mapping[str, object], states: tuple[str, ...]) -> list[Fault]:
    """Faults of what stands beside the number: unknown words, repeats that are no list, a state, a
    name or a day that is none.
    """
    found = []
    if "value" not in table or not set(table) <= set(WORDS):
        typed = ", ".join(f"{word} = {value}" for word, value in table.items())
        sided = table and set(table) <= {*SIDE_OF, "both"}
        remedy = (
            "it is one for the truck, not one for each side: give one number"
            if sided
            else "a reading needs its value"
        )
        found.append(Fault(name, typed, ", ".join(WORDS), remedy))
    again = table.get("again", [])
    if not isinstance(again, list) or len(again) > MOST_REPEATS:
        says = 'a list of the other readings, again = ["23 1/2", "23 7/16"]'
        found.append(Fault(f"{name} again", str(again), says, "put them in square brackets"))
    state = table.get("state", states[0])
    if states == STATES and "state" not in table:
        says = 'say how the truck stood: { value = "..", state = "ride" }'
        found.append(Fault(f"{name} state", str(table.get("value", "")), " | ".join(STATES), says))
    elif state not in states:
        wrong = (
            "this one is read at that height: read it again there"
            if state in STATES
            else "use one of these words"
        )
        found.append(Fault(f"{name} state", str(state), " | ".join(states), wrong))
    for word, called in (("by", "a name"), ("with", 'what it was taken with, as "tape 2"')):
        said = table.get(word, "")
        if not isinstance(said, str) or len(said) > _NAME or not said.isprintable():
            says = f"{called}, up to {_NAME} characters on one line"
            found.append(Fault(f"{name} {word}", str(said), says, "put it in quotes, shorter"))
    if "date" in table and day(table["date"]) is None:
        remedy = "write it as year-month-day, 2024-05-17"
        found.append(Fault(f"{name} date", str(table["date"]), "a day, as 2024-05-17", remedy))
    return found


def taken(reading: Reading) -> str:
    """By whom, when and with what a reading was taken, as far as it was said.

    >>> taken(Reading(Key("frame.rake", "C"), ("1",), 1.0, 0.1, by="Pat", instrument="finder 2"))
    'by Pat, with finder 2'
    """
    said = (("by ", reading.by), ("", reading.date), ("with ", reading.instrument))
    return ", ".join(f"{word}{text}" for word, text in said if text)


def all_taken(readings: Mapping[Key, Reading]) -> dict[str, list[Key]]:
    """Readings by what ``taken`` says of them, in their order; those of which nothing was said are
    left out.
    """
    found: dict[str, list[Key]] = {}
    for key, reading in readings.items():
        if says := taken(reading):
            found.setdefault(says, []).append(key)
    return found


def states_of(field: Field) -> tuple[str, ...]:
    """States a reading of the field may say, its own first.

    Where the field is read at one height no other is taken.
    """
    return {"any": ("any", *STATES), "said": STATES}.get(field.state, (field.state,))


def half_width(field: Field, tools: Mapping[str, float]) -> float:
    """Plus-minus of a field, internal units: the shop's own tape or finder where it is read with
    one.
    """
    return tools.get(field.tool, field.half_width)


def read(
    key: Key,
    field: Field,
    value: object,
    headers: Mapping[str, str],
    tools: Mapping[str, float],
) -> tuple[Reading | None, list[Fault]]:
    """The reading, or every fault of it.

    ``headers``: the file's [units], a wrong one of which is a fault of its own and none of this
    reading; ``tools``: plus-minus of "tape" and "finder" (internal units).
    """
    table = value if isinstance(value, dict) else {"value": value}
    faults = plain_faults(str(key), table, states_of(field))
    if faults:
        return None, faults
    header = headers.get(field.kind)
    allowed = field.range_text(header or "")
    again = table.get("again")
    typed = [table["value"], *(again if isinstance(again, list) else ())]
    try:
        numbers = [units.parse(text, field.kind, header) for text in typed]
        half = (
            units.parse(table["plus_minus"], field.kind, header)
            if "plus_minus" in table
            else half_width(field, tools)
        )
    except units.HeaderError:
        return None, []
    except units.UnitError as error:
        return None, [Fault(str(key), as_typed(value), allowed, str(error))]
    if any(not field.low <= number <= field.high for number in numbers):
        return None, [Fault(str(key), as_typed(value), allowed, field.remedy)]
    if half < 0 or half > field.high - field.low:
        return None, [_too_unsure(key, field, table["plus_minus"])]
    mean = sum(numbers) / len(numbers)
    faults = _apart(key, typed, numbers, half, field)
    half = max(half, field.share * abs(mean), (max(numbers) - min(numbers)) / 2)
    return Reading(
        key=key,
        typed=tuple(str(text) for text in typed),
        value=mean,
        half_width=half,
        state=str(table.get("state", field.state)),
        by=str(table.get("by", "")),
        date=day(table["date"]) or "" if "date" in table else "",
        instrument=str(table.get("with", "")),
        role=field.role,
        usual="plus_minus" not in table and field.tool not in tools,
    ), faults


def _too_unsure(key: Key, field: Field, typed: object) -> Fault:
    """A plus-minus that is below zero or wider than what the field may be."""
    says = f"0 .. {units.show(field.high - field.low, field.kind)}"
    remedy = "say by how much the reading may be out, either way"
    return Fault(f"{key} plus_minus", as_typed(typed), says, remedy)


def _apart(
    key: Key, typed: list[object], numbers: list[float], half: float, field: Field
) -> list[Fault]:
    """Repeats that stand apart from the others, or two from each other."""
    if half <= 0:
        return []
    if len(numbers) < LEAST_REPEATS:
        if max(numbers) - min(numbers) <= WILD * half:
            return []
        said = " and ".join(map(str, typed))
        allowed = f"two readings within {units.show(WILD * half, field.kind)} of each other"
        return [Fault(str(key), said, allowed, "one of them is wrong: read it a third time")]
    middle = sorted(numbers)[len(numbers) // 2]
    return [
        Fault(
            str(key),
            str(text),
            f"within {units.show(WILD * half, field.kind)} of the other readings",
            "this one stands apart: read it again",
        )
        for text, number in zip(typed, numbers, strict=True)
        if abs(number - middle) > WILD * half
    ]
