"""Job and shop files spoilt at random: wrong types, tables for lists, huge numbers, results and
pins given, rows repeated, fields gone, letters of the file changed; and what must hold of whatever
comes of reading one.

Used by ``tests/soak/loads.py`` and by ``test_spoilt_files``; the trucks are invented.
"""

from __future__ import annotations

import copy
import datetime
import json
import math
import random
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from anyjob import PROGRAM_WORDS, alone, demo
from soapstone.cli.building.design import loaded
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import names, solve
from soapstone.layout.setout.diagnoses import diagnose
from soapstone.parts.stock import default_shop
from soapstone.parts.stock.settings import settings_text
from soapstone.parts.stock.shop_file import shop_of_table
from soapstone.parts.truck import pins
from soapstone.parts.truck.truck import families
from trucks import NAMES

NUMBERS = (0, -0.0, -1, 1, 5, 10**30, -(10**30), 1e308, -1e308, 5e-324, math.inf, math.nan)
WORDS = (
    *("", " ", "x", "1/0", "0/0", "1 1/2", "1e400 in", "1e400", "-3/4 in", "59 in", "3 deg"),
    *("200 lbf", "12 mm", "12 mi", "both", "left", "ride", "½", "\u0661\u0662", "\u202eni 3"),
    *("\x00", "\x1b[2J", "in", "1 in in", "--1", "1_0", "0x10", "nan", "inf", "1 -1/2", "a" * 300),
    *("=1+1", "../../x", "<b>", "1" * 400, "1/" + "9" * 400),
)
NESTS: tuple[Any, ...] = (
    True,
    [],
    [[]],
    [1, 2, 3],
    ["a"],
    [{}],
    {},
    {"both": {}},
    {"both": 1e308},
    {"left": 1},
    {"left": 1, "right": "x", "both": 2},
    {"value": 5, "again": 5},
    {"value": [1]},
    {"value": 5, "again": [[1]]},
    {"value": 5, "again": [5, "x", True]},
    {"value": 5, "plus_minus": math.nan},
    {"value": 5, "plus_minus": 1e308},
    {"value": 5, "state": "banana", "date": 5, "by": 7},
    {"": 0},
    datetime.date(2024, 5, 17),
    datetime.time(1, 2),
    datetime.datetime(1, 1, 1),
)
JUNK = (*NUMBERS, *WORDS, *NESTS)
SLIPS = (0.0, 0.1, 0.5, 0.98, 1.02, 2.0, 10.0, 25.4, 1 / 25.4, -1.0)
"""By what a number is mistyped: a decimal point, a sign, inch for mm."""

Place = tuple[str | int, ...]


class Read(NamedTuple):
    """What became of a file: an exit code's name or "read", and what must not be."""

    kind: str
    wrong: tuple[str, ...]


def places(at: Any, path: Place = ()) -> Iterator[Place]:
    """Every place of a tree but its root, tables and lists too."""
    rows = at.items() if isinstance(at, dict) else enumerate(at) if isinstance(at, list) else ()
    for name, below in rows:
        yield (*path, name)
        yield from places(below, (*path, name))


def at(table: Any, path: Place) -> Any:
    for step in path:
        table = table[step]
    return table


@cache
def _results() -> tuple[tuple[str, bool], ...]:
    return tuple((name, sided) for name, (_, sided) in names().items())


@cache
def _variables() -> tuple[tuple[str, str, tuple[Any, ...]], ...]:
    shop = default_shop()
    return tuple(
        (name, v.name, tuple(v.values(shop))) for name, f in families() for v in f.variables
    )


def spoilt_job(draw: random.Random) -> dict[str, Any]:
    """The tables of an invented truck with one to six things done to it."""
    table = demo(draw.choice(NAMES))
    if draw.random() < 0.1:
        _part_of(draw, table)
    for _ in range(draw.choice((1, 1, 1, 2, 3, 6))):
        draw.choice((_junk, _junk, _slip, _slip, _other, _gone, _fixed, _pin, _row, _extra))(
            draw, table
        )
    return table


def spoilt_shop(draw: random.Random) -> dict[str, Any]:
    """The tables of the settings file with one to four things done to it."""
    table = copy.deepcopy(_settings())
    for _ in range(draw.choice((1, 1, 2, 4))):
        draw.choice((_junk, _junk, _slip, _other, _gone, _row, _load))(draw, table)
    return table


@cache
def _settings() -> dict[str, Any]:
    return tomllib.loads(settings_text())


def _junk(draw: random.Random, table: dict[str, Any]) -> None:
    _put(draw, table, draw.choice(JUNK))


def _put(draw: random.Random, table: dict[str, Any], value: Any) -> None:
    *path, last = draw.choice(list(places(table)))
    at(table, tuple(path))[last] = copy.deepcopy(value)


def _slip(draw: random.Random, table: dict[str, Any]) -> None:
    numbers = [p for p in places(table) if isinstance(at(table, p), int | float)]
    if numbers:
        *path, last = draw.choice(numbers)
        at(table, tuple(path))[last] *= draw.choice(SLIPS)


def _other(draw: random.Random, table: dict[str, Any]) -> None:
    """What stands at one place put at another."""
    _put(draw, table, at(table, draw.choice(list(places(table)))))


def _gone(draw: random.Random, table: dict[str, Any]) -> None:
    *path, last = draw.choice(list(places(table)))
    del at(table, tuple(path))[last]


def _part_of(draw: random.Random, table: dict[str, Any]) -> None:
    """A survey that has only begun: some of the readings."""
    share = draw.random()
    leaves = [p for p in places(table) if len(p) > 1 and not isinstance(at(table, p), dict | list)]
    for *path, last in leaves:
        if draw.random() < share:
            del at(table, tuple(path))[last]


def _row(draw: random.Random, table: dict[str, Any]) -> None:
    """A row of a list again, or one of its rows too many."""
    lists = [p for p in places(table) if isinstance(at(table, p), list) and at(table, p)]
    if lists:
        rows = at(table, draw.choice(lists))
        rows.insert(draw.randrange(len(rows) + 1), copy.deepcopy(draw.choice(rows)))


def _extra(draw: random.Random, table: dict[str, Any]) -> None:
    """A field or a word nobody knows, or a known one at another place."""
    tables = [(), *(p for p in places(table) if isinstance(at(table, p), dict))]
    word = draw.choice(("x", "", "values", "both", "left", "1", "a.b", *list(FIELDS)[:40]))
    at(table, draw.choice(tables))[word.rpartition(".")[2]] = copy.deepcopy(draw.choice(JUNK))


def _fixed(draw: random.Random, table: dict[str, Any]) -> None:
    name, sided = draw.choice(_results())
    value = draw.choice((*JUNK, draw.uniform(-100, 100), draw.gauss(0, 3)))
    side = draw.choice(("left", "right", "both")) if sided and draw.random() < 0.9 else ""
    fixed = table.setdefault("fixed", {})
    if isinstance(fixed, dict):
        fixed[name] = {side: copy.deepcopy(value)} if side else copy.deepcopy(value)


def _pin(draw: random.Random, table: dict[str, Any]) -> None:
    family, variable, values = draw.choice(_variables())
    good = draw.random() < 0.7 and values
    pin = table.setdefault("pin", {})
    own = pin.setdefault(family, {}) if isinstance(pin, dict) else None
    if isinstance(own, dict):
        own[variable] = draw.choice(values) if good else copy.deepcopy(draw.choice(JUNK))


def _load(draw: random.Random, table: dict[str, Any]) -> None:
    row = {
        "key": draw.choice(("pothole", "stand", 5, "bump")),
        "factor": draw.choice((0, 0.5, 2, 1e308, *NUMBERS)),
        "by": draw.choice(("A. Fitter", "", 5)),
        "reason": draw.choice(("because", "")),
    }
    rows = table.setdefault("load", [])
    if isinstance(rows, list):
        rows.append(row)


def toml_text(value: Any) -> str:
    """A value as TOML, tables in one line; a tree's own tables each on a line of its own."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {toml_text(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml_text, value)) + "]"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return json.dumps(value) if isinstance(value, str) else repr(value)


def file_of(table: dict[str, Any]) -> str:
    """A whole file of a tree."""
    return "".join(f"{json.dumps(k)} = {toml_text(v)}\n" for k, v in table.items())


def spoilt_text(draw: random.Random, text: str) -> bytes:
    """A file with some of its bytes changed, gone, doubled, or with its end cut off."""
    data = bytearray(text.encode())
    for _ in range(draw.choice((1, 2, 5, 20))):
        here = draw.randrange(len(data))
        how = draw.randrange(4)
        if how == 0:
            data[here] = draw.randrange(256)
        elif how == 1:
            del data[here : here + draw.randrange(1, 40)]
        elif how == 2:
            data[here:here] = data[here : here + draw.randrange(1, 80)]
        else:
            data[here:here] = draw.choice(WORDS).encode("utf-8", "replace")
    return bytes(data[: draw.randrange(len(data))] if draw.random() < 0.1 else data)


def job_read(table: dict[str, Any]) -> Read:
    """What becomes of a job's tables: refused with sentences, or solved to numbers."""
    shop = default_shop()
    try:
        job = of_table(copy.deepcopy(table))
        found = pins.faults(job.pins, shop, dict)
        if found:
            raise SoapstoneError(Exit.JOB_FILE, found)
        solved = solve(job)
        said = [f"{d.sentence} {d.cure}" for d in diagnose(job, solved)]
    except SoapstoneError as e:
        return _refused(e)
    wrong = [f"{k} is no number" for k, v in solved.values.items() if not math.isfinite(v)]
    wrong += [
        f"the plus-minus of {k} is no number"
        for k in solved.values
        if not math.isfinite(solved.half_width(k))
    ]
    return Read("owes" if job.owed else "solved", (*wrong, *_words(said)))


def file_read(path: Path) -> Read:
    """What becomes of a job file beside its settings file, as a command reads them."""
    try:
        job, _ = loaded(path)
    except SoapstoneError as e:
        return _refused(e)
    return Read("owes" if job.owed else "read", ())


def shop_read(table: dict[str, Any]) -> Read:
    """What becomes of a settings file's tables."""
    try:
        shop_of_table(copy.deepcopy(table), Path("shop.toml"))
    except SoapstoneError as e:
        return _refused(e)
    return Read("read", ())


def _refused(e: SoapstoneError) -> Read:
    said = [str(f) for f in e.faults]
    return Read(e.code.name.lower(), (*_words(said), *([] if said else ["refused without a word"])))


def _words(said: list[str]) -> Iterator[str]:
    for text in said:
        if not text.isprintable() and any(not c.isprintable() and c != "\n" for c in text):
            yield f"what does not print in: {text!r}"
        hit = [w for w in PROGRAM_WORDS[:4] if w in text and alone(w, text)]
        if hit or not text.strip():
            yield f"a word of the program ({', '.join(hit)}) in: {text}"
