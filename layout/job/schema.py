"""The JSON schema of a job file, made from its fields: an editor that reads it completes their
names, shows where and how each is taken, and marks what cannot be a reading.

It knows no [units], so that a bare number is held only to what no unit allows.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from .. import units
from ..units.table import TABLE
from .field import Field
from .fields import FIELDS, LISTS, OTHER_TABLES, TABLES
from .load import LEAST_WORDS, MOST_WORDS, OVERRIDES
from .reading import MOST_REPEATS, WORDS, states_of

Schema = dict[str, object]
DIALECT = "http://json-schema.org/draft-07/schema#"
SIGN = "[-+\u2212\u2013\u2010\u2011]?"
DIGITS = "0-9.\u00bc-\u00be\u2153-\u215e"
AMONG = "0-9 ./'\"\u00b0\u00ba\u2032\u2033\u2019\u201d\u2044\u2215\u00bc-\u00be\u2153-\u215e-"
CHASSIS = "^[A-Za-z0-9_-]{1,24}$"
DAY = r"^(?:\d{4}-\d{2}-\d{2})?$"
OBJECT: Schema = {"type": "object", "additionalProperties": False}


def job_tables() -> dict[str, Schema]:
    """The schema of each table of a job file."""
    tables = {name: _table(f"{name}.", name) for name in TABLES}
    tables["job"] = {**tables["job"], "required": ["chassis"]}
    tables |= {name: {"type": "object"} for name in OTHER_TABLES}
    tables["override"] = {
        **OBJECT,
        "properties": {
            name: {
                **OBJECT,
                "required": ["by", "reason"],
                "description": says,
                "properties": {word: _line() for word in ("by", "reason")},
            }
            for name, says in OVERRIDES.items()
        },
    }
    return tables


def readings() -> dict[str, Schema]:
    """What may be typed for a reading of each kind, as the tables refer to it."""
    return {kind: _reading(kind) for kind in (*TABLE, "count")}


def _line() -> Schema:
    return {"type": "string", "minLength": LEAST_WORDS, "maxLength": MOST_WORDS}


def _table(start: str, title: str) -> Schema:
    """A table whose fields' names begin so; tables and lists below it in it."""
    names = [name for name in FIELDS if name.startswith(start)]
    words = dict.fromkeys(name.removeprefix(start).split(".")[0] for name in names)
    found: Schema = {}
    for word in words:
        name = f"{start}{word}"
        if name in FIELDS:
            found[word] = _field(FIELDS[name])
        elif name.replace(".*", "") in LISTS and f"{name}.*." in "".join(names):
            row = _table(f"{name}.*.", name)
            found[word] = {"type": "array", "items": row, "description": f"one [[{name}]] for each"}
        else:
            found[word] = _table(f"{name}.", name)
    return {**OBJECT, "title": title, "properties": found}


def _field(field: Field) -> Schema:
    """What may be typed for a field."""
    state = "" if field.state in ("any", "said") else f", at {field.state} height"
    says = {"description": f"{field.sheet_code} {field.how}{state}; {field.range_text()}"}
    if field.name == "job.chassis":
        return {**says, "type": "string", "pattern": CHASSIS}
    if field.kind == "date":
        return {**says, "type": "string", "pattern": DAY}
    if field.is_word:
        if field.words:
            return {**says, "enum": ["", *field.words]}
        return {**says, "type": "string", "maxLength": int(field.high), "pattern": "^[^\\n]*$"}
    one = _one(field)
    if not field.sided:
        return {**says, **one}
    sides = {**OBJECT, "properties": {"left": one, "right": one}, "minProperties": 1}
    both = {**OBJECT, "properties": {"both": one}, "required": ["both"]}
    return {**says, "anyOf": [sides, both]}


def _one(field: Field) -> Schema:
    """One reading of a field: as its kind is typed, a bare number no further off than the unit in
    which it is largest allows.
    """
    low, high = _bounds(field)
    bare = {"type": "number", "minimum": low, "maximum": high}
    text = {"$ref": f"#/definitions/{field.kind}"}
    words: Schema = {
        "value": {"anyOf": [bare, text]},
        "plus_minus": {"anyOf": [{"type": "number", "minimum": 0}, text]},
        "again": {"type": "array", "items": {"anyOf": [bare, text]}, "maxItems": MOST_REPEATS},
        "state": {"enum": [*states_of(field)]},
        "by": {"type": "string"},
        "with": {"type": "string", "description": "what it was taken with, as tape 2"},
        "date": {"type": "string", "pattern": DAY},
    }
    assert set(words) == set(WORDS), "as a reading is read"
    if field.state == "said":
        table = {**OBJECT, "required": ["value", "state"], "properties": words}
        return {"anyOf": [{"enum": [""]}, table]}
    table = {**OBJECT, "required": ["value"], "properties": words}
    return {"anyOf": [bare, text, table]}


def _bounds(field: Field) -> tuple[float, float]:
    """Least and greatest bare number in any unit."""
    kinds: Mapping[str, float] = TABLE.get(field.kind, {"": 1.0})
    each = [limit / factor for limit in (field.low, field.high) for factor in kinds.values()]
    return (min(0.0, *each) if field.low <= 0 else min(each)), max(each)


def _reading(kind: str) -> Schema:
    """Text of a reading: empty, or a number as a tape is read, with or without its unit."""
    spelled = sorted(_spellings(TABLE.get(kind, {})), key=len, reverse=True)
    unit = f"(?: *(?:{'|'.join(map(re.escape, spelled))})\\.?)?" if spelled else ""
    value = f"{SIGN} *[{DIGITS}][{AMONG}]*(?:[eE][+-]?[0-9]+)?{unit}"
    # feet and inches, degrees and minutes: a second number with its unit
    second = f"(?: *-? *[{DIGITS}][{AMONG}]*{unit})?" if kind in ("length", "angle") else ""
    example = units.EXAMPLES[kind]
    return {"type": "string", "pattern": f"^ *(?:{value}{second})? *$", "description": example}


def _spellings(names: Iterable[str]) -> set[str]:
    """Units as people write them: small, capital, and the usual mixed ones."""
    found = set()
    for name in names:
        mixed = name.replace("n*m", "N*m").replace("kn", "kN").replace("n/", "N/")
        found |= {name, name.upper(), name.capitalize(), mixed}
        found |= {own.replace("*", "\u00b7") for own in (name, mixed)}
        found |= {"N"} if name == "n" else set()
    return found
