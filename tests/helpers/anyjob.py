"""Any job within the stated ranges: fields of the two invented trucks changed at random, and what
must hold of whatever comes of it.

The trucks are invented; what is held is not a number but that every job builds or is refused by
name. Used by ``test_any_job`` and by ``tests/soak``.
"""

from __future__ import annotations

import copy
import json
import math
import tomllib
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any, NamedTuple, Protocol

import sound_plate
from soapstone.cli.building.travel_report import as_json
from soapstone.cli.building.verdict import look
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.graph import Graph
from soapstone.layout.job.fields import FIELDS, LISTS, Field, field_of
from soapstone.layout.job.fixed import between
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.layout.setout.diagnoses import diagnose
from soapstone.layout.units import SHORT, factor
from soapstone.parts.geometry import shape
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.growth import held
from soapstone.parts.strength.result import Strength, strength
from soapstone.parts.truck.truck import Truck, design
from soapstone.parts.verdict.findings import Judged
from soapstone.parts.verdict.judging import LookedAt, judge
from trucks import DATA, NAMES

INNER = default_shop().inner_radius
PROGRAM_WORDS = ("Key(", "KeyError", "NoneType", "Traceback", "nan", "inf ", "<function")
"""Words of the program that no sentence for a shop holds."""


class Change(NamedTuple):
    """One field of a job set to something else: its path and side ("" for the center), and the
    value as typed; None takes it out.
    """

    path: str
    side: str
    value: Any


class Draw(Protocol):
    """Where choices come from: hypothesis or a seeded generator."""

    def choice(self, rows: list[Any]) -> Any: ...
    def number(self, low: float, high: float) -> float: ...


class Outcome(NamedTuple):
    """What became of one job: "refused" (the file) or the exit code; and everything that must not
    be.
    """

    kind: str
    wrong: tuple[str, ...]


@cache
def _demo(name: str) -> dict[str, Any]:
    return _apart(tomllib.loads((DATA / f"{name}.toml").read_text()))


def _apart(at: Any) -> Any:
    """Every sided field written as left and right, so that one side can be changed."""
    if isinstance(at, list):
        return [_apart(row) for row in at]
    if not isinstance(at, dict):
        return at
    if set(at) == {"both"}:
        return {"left": at["both"], "right": at["both"]}
    return {k: _apart(v) for k, v in at.items()}


def demo(name: str) -> dict[str, Any]:
    """The tables of an invented truck, to change."""
    return copy.deepcopy(_demo(name))


def typed(kind: str, x: float) -> Any:
    """A value in internal units as a shop types it: a number with the unit the readings are usually
    in.
    """
    if kind == "count":
        return x
    unit = SHORT[kind][0]
    return f"{x / factor(unit, kind):.9g} {unit}"


def paths_of(table: dict[str, Any], f: Field) -> list[str]:
    """A field's path, or one for each row of its list."""
    base = next((n for n in LISTS if f.name.startswith(f"{n}.*")), "")
    if not base:
        return [f.name]
    at: Any = table
    for word in base.split("."):
        at = at.get(word, {})
    return [f.name.replace("*", str(i + 1)) for i in range(len(at))]


def a_change(draw: Draw, table: dict[str, Any]) -> Change:
    """One field over its whole range, its ends included, or near what it is; a word over its words;
    a result given as measured.
    """
    kind = draw.choice(["number"] * 6 + ["word"] * 2 + ["fixed", "out"])
    if kind == "fixed":
        return _fixed(draw)
    words = [f for f in FIELDS.values() if f.words]
    numbers = [f for f in FIELDS.values() if not f.is_word]
    f = draw.choice(words if kind == "word" else numbers if kind == "number" else words + numbers)
    paths = paths_of(table, f)
    if not paths:
        return Change("", "", None)
    path = draw.choice(paths)
    side = draw.choice(["left", "right", "both"]) if f.sided else ""
    if kind == "out":
        return Change(path, side, None)
    if f.words:
        return Change(path, side, draw.choice(list(f.words)))
    end = draw.choice(["low", "high", "any", "any", "any", "any"])
    whole = f.high - f.low
    slack = 1e-6 * whole if f.kind != "count" else 0.0
    x = (
        f.low + slack
        if end == "low"
        else f.high - slack
        if end == "high"
        else draw.number(f.low + slack, f.high - slack)
    )
    return Change(path, side, typed(f.kind, x))


@cache
def _results() -> list[tuple[str, str, bool]]:
    """Every result that may be given as measured: name, kind of unit, whether it has sides."""
    solved = solve(of_table(demo(NAMES[0])))
    rows: dict[str, tuple[str, bool]] = {}
    for k in dict.fromkeys(solved.every_key()):
        kind = solved.unit(k)
        if kind in SHORT or kind == "count":
            rows[k.name] = (kind, k.side != "C")
    return [(n, *row) for n, row in sorted(rows.items())]


def _fixed(draw: Draw) -> Change:
    name, kind, sided = draw.choice(_results())
    low, high = between(name, kind)
    wide = draw.choice([True, False])
    near = solve(of_table(demo(NAMES[0]))).values
    x = draw.number(low, high)
    if not wide:
        now = next((v for k, v in near.items() if k.name == name), x)
        x = min(max(now + draw.number(-0.02, 0.02) * (high - low), low), high)
    return Change(
        f"fixed.{name}", draw.choice(["left", "right", "both"]) if sided else "", typed(kind, x)
    )


def apply(table: dict[str, Any], c: Change) -> None:
    """Set or take out one field."""
    if not c.path:
        return
    if c.path.startswith("fixed."):
        names = table.setdefault("fixed", {})
        name = c.path.removeprefix("fixed.")
        names[name] = {c.side: c.value} if c.side else c.value
        return
    *steps, last = c.path.split(".")
    at: Any = table
    for word in steps:
        at = at[int(word) - 1] if word.isdigit() else at.setdefault(word, {})
    if c.value is None:
        if c.side in ("left", "right") and isinstance(at.get(last), dict):
            at[last].pop(c.side, None)
            if not at[last]:
                del at[last]
        else:
            at.pop(last, None)
        return
    if not c.side:
        at[last] = c.value
        return
    now = at.setdefault(last, {})
    for side in ("left", "right") if c.side == "both" else (c.side,):
        now[side] = c.value


def outcome(table: dict[str, Any], deep: bool = False) -> Outcome:
    """What becomes of a job.

    Whatever raises here and is not a refusal of the job file is a slip of the program. ``deep``:
    grown for its loads, travel, gaps and fit too.
    """
    try:
        job = of_table(table)
        solved = solve(job)
    except SoapstoneError as e:
        said = [str(f) for f in e.faults]
        return Outcome(
            "refused", tuple(_program_words(said)) if said else ("refused without a word",)
        )
    shop = default_shop()
    said = [f"{d.sentence} {d.cure}" for d in diagnose(job, solved)]
    if deep:
        h = held(solved, job.words, job.pins, job.chassis, shop)
        truck, load = h.truck, h.strength
        cycle, judged = look(job, solved, truck, shop, load)
        json.dumps(as_json(cycle, solved, judged), allow_nan=False)
    else:
        truck = design(solved, job.words, job.pins, job.chassis, shop)
        load = strength(truck, solved, shop)
        judged = judge(job, solved, truck, load, LookedAt())
    said += [*truck.failed.values(), judged.headline, *judged.lines(10**6)]
    wrong = [
        *_program_words(said),
        *_not_numbers(solved, truck, load),
        *_cut(truck, load, judged),
        *_shapes(truck),
    ]
    return Outcome(_kind(truck, judged), tuple(wrong))


def shapes(table: dict[str, Any]) -> Outcome:
    """What becomes of a job's parts before any load is worked: their shapes, by other means too,
    and the words of what is not made.
    """
    try:
        job = of_table(table)
        solved = solve(job)
    except SoapstoneError as e:
        return Outcome("refused", tuple(_program_words(str(f) for f in e.faults)))
    truck = design(solved, job.words, job.pins, job.chassis, default_shop())
    wrong = [
        *_program_words(truck.failed.values()),
        *(f"{k} is no number" for k, v in solved.values.items() if not math.isfinite(v)),
        *_weights(truck),
        *_shapes(truck),
        *(
            f"{p.id}: {fault}"
            for p, body in _plates(truck)
            for fault in sound_plate.wrong(body, p.holes, INNER)
        ),
    ]
    kind = "a part refused" if truck.failed else "waits" if truck.waiting else "every part made"
    return Outcome(kind, tuple(wrong))


def _plates(truck: Truck) -> Iterator[tuple[Part, Plate]]:
    for p in truck.singles:
        if isinstance(p.member.body, Plate):
            yield p, p.member.body


def _weights(truck: Truck) -> Iterator[str]:
    for p in truck.singles:
        if not (math.isfinite(p.mass) and p.mass > 0 and p.area_net >= 0):
            yield f"{p.id} weighs {p.mass}"


def _kind(truck: Truck, judged: Judged) -> str:
    return f"exit {int(judged.exit_code)}" + (", a part refused" if truck.failed else "")


def _program_words(said: Iterable[str]) -> Iterator[str]:
    for text in said:
        hit = [w for w in PROGRAM_WORDS if w in text and alone(w, text)]
        if hit or not text.strip():
            yield f"a word of the program ({', '.join(hit)}) in: {text}"


def alone(word: str, text: str) -> bool:
    import re

    return bool(re.search(rf"(?<![A-Za-z]){re.escape(word.strip())}(?![A-Za-z])", text))


def _not_numbers(solved: Graph, truck: Truck, load: Strength) -> Iterator[str]:
    for k in solved.values:
        if not math.isfinite(solved.values[k]):
            yield f"{k} is no number"
        elif not math.isfinite(solved.half_width(k)):
            yield f"the plus-minus of {k} is no number"
    for c in (*truck.checks, *load.checks):
        if math.isnan(c.demand) or math.isnan(c.capacity):
            yield f"{c.part}, {c.what}: {c.demand} of {c.capacity}"
    yield from _weights(truck)


def _cut(truck: Truck, load: Strength, judged: Judged) -> Iterator[str]:
    """Nothing is both for cutting and failing, and everything that is made was judged."""
    bad = {c.part for c in (*truck.checks, *load.checks) if c.verdict is Verdict.FAILS}
    for p in truck.singles:
        if judged.cut(p.id)[0] and bad & {p.id, p.member.code}:
            yield f"{p.id} is for cutting and fails"


def _shapes(truck: Truck) -> Iterator[str]:
    for p, body in _plates(truck):
        for fault in shape.faults(body, INNER, tuple(map(slot_loop, p.holes))):
            yield f"{p.id}: {fault}"


def typed_in_mm(table: dict[str, Any]) -> dict[str, Any]:
    """The tables with each length's own value in millimeters, by what the job reads of them."""
    job = of_table(table)
    out: dict[str, Any] = json.loads(json.dumps(table, default=str))
    for key, reading in job.readings.items():
        field = field_of(key.name)
        if field.kind != "length" or reading.assumed or len(reading.typed) != 1:
            continue
        *steps, last = key.name.split(".")
        at: Any = out
        for word in steps:
            at = at[int(word) - 1] if isinstance(at, list) else at[word]
        said = f"{reading.value:.12g} mm"
        if not field.sided:
            at[last] = said
        else:
            at[last] = {**_sides(at[last]), {"L": "left", "R": "right"}[key.side]: said}
    return out


def _sides(value: dict[str, Any]) -> dict[str, Any]:
    return {"left": value["both"], "right": value["both"]} if "both" in value else value


def shrunk(base: str, changes: list[Change], bad: Callable[[dict[str, Any]], bool]) -> list[Change]:
    """The fewest of the changes that still go wrong, for a report."""
    kept = list(changes)
    for c in changes:
        fewer = [k for k in kept if k is not c]
        table = demo(base)
        for k in fewer:
            apply(table, k)
        if fewer and bad(table):
            kept = fewer
    return kept
