"""The layout: every pivot and seat from the readings, left and right on their own.

``solve(job)`` answers for every name; ``given_and_solved`` makes the rows of the layout sheet;
``diagnoses.diagnose`` says in sentences what does not fit and the least change that cures it.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from ..graph import Graph, solve_graph
from ..job.fields import FIELDS, pattern
from ..job.load import Job
from ..quantities import SIDES, Key, Reading, Relation, Side
from . import arms, bar, datum, pinion, rail, spring, stop, upper

PINION_RESULTS = ("pinion.aim", "pinion.up", "pinion.working", "caster.ride")


def of_side(r: Relation, side: Side, sided: frozenset[str]) -> Relation:
    """A sided relation for one side only."""

    def name(n: str) -> str:
        return f"{n}@{side}" if "@" not in n and n in sided else n

    return r._replace(out=f"{r.out}@{side}", ins=tuple(map(name, r.ins)), sided=False)


@lru_cache(maxsize=16)
def _relations(
    stations: int,
    pinion_given: bool,
    mode: str,
    bar_given: tuple[str, ...],
    bar_on_hand: bool,
    slant: tuple[str, ...],
    read: tuple[bool, bool],
    ends: str,
    pad: bool,
    stop_place: str,
    hub: bool,
    shaft: str,
) -> tuple[Relation, ...]:
    slants = tuple(
        (arms.SLANT_TAPE,) * ("tape" in s) + (arms.SLANT_ANGLE,) * ("angle" in s) for s in slant
    )
    loaded = tuple((spring.READ_LENGTH if r else spring.RATE_LENGTH,) for r in read)
    along = rail.relations(stations, stop_place, hub)
    parts = (
        datum.RELATIONS,
        (pinion.PLAIN_AIM if pinion_given else pinion.aimed(shaft),),
        pinion.RELATIONS,
        arms.RELATIONS,
        upper.RELATIONS,
        spring.RELATIONS,
        spring.solid(ends),
        spring.wedge(pad),
        bar.RELATIONS,
        tuple(r for r in bar.mount(mode) if r.out not in bar_given),
        (bar.LENGTH_ON_HAND,) * bar_on_hand,
        stop.relations(stop_place),
        along,
        datum.HEIGHT * hub,
    )
    sided = _sided() | {r.out for p in (*parts, *slants, *loaded) for r in p if r.sided}

    def by_side(pair: tuple[tuple[Relation, ...], ...]) -> tuple[Relation, ...]:
        return tuple(
            of_side(r, side, sided) for side, rows in zip(SIDES, pair, strict=True) for r in rows
        )

    return tuple(
        r
        for p in (*parts[:3], by_side(slants), *parts[3:5], by_side(loaded), *parts[5:])
        for r in p
    )


@lru_cache(maxsize=1)
def _sided() -> frozenset[str]:
    return frozenset(f.name for f in FIELDS.values() if f.sided)


def _slant(job: Job, side: Side) -> str:
    given = Key("arms.plan_slant", side) in job.readings
    tape = all(Key(f"arms.offset_{n}", side) in job.readings for n in ("front", "rear", "run"))
    return ("tape" if tape or not given else "") + ("angle" if given else "")


def relations(job: Job, fixed: Mapping[Key, Any]) -> tuple[Relation, ...]:
    """The equations of this job.

    What was read decides: slant by tape or by angle, coil by rate or as read, bar parallel or
    level.
    """

    def has(name: str, side: Side = "C") -> bool:
        return Key(name, side) in job.readings

    held = {k.name for k in fixed}
    read = tuple(
        (r := job.readings.get(Key("spring.loaded_length", s))) is not None
        and r.state in ("ride", "any", "")
        for s in SIDES
    )
    return _relations(
        job.counts.get("frame.station", 0),
        bool(held & set(PINION_RESULTS)),
        job.words.get("track_bar.mode", ""),
        tuple(sorted(held & {"bar.frame.x", "bar.frame.z"})),
        has("track_bar.length"),
        (_slant(job, "L"), _slant(job, "R")),
        read,
        job.words.get("spring.ends", ""),
        has("spring.pad_wedge"),
        job.words.get("travel.stop_place", ""),
        has("wanted.hub_to_lip", "L") or has("wanted.hub_to_lip", "R"),
        job.words.get("driveline.type", ""),
    )


@lru_cache(maxsize=1)
def _terms() -> dict[str, Any]:
    numbers = {n: f for n, f in FIELDS.items() if not f.is_word}
    return {
        "yields": {n: f.yields for n, f in numbers.items() if f.yields is not None},
        "limits": {n: (f.low, f.high) for n, f in numbers.items()},
        "units": {n: f.kind for n, f in numbers.items()},
        "sided": _sided(),
    }


def solve(job: Job, fixed: Mapping[Key, Reading] | None = None) -> Graph:
    """Every quantity of the layout, given, solved or waiting. Never raises for geometry.

    ``fixed``: results given as measured beside those of the job file's [fixed]."""
    fixed = {**(getattr(job, "fixed", None) or {}), **(fixed or {})}
    terms = _terms()
    rows = {pattern(k.name): k.name for k in job.readings if k.name.startswith("frame.station.")}
    sided = terms["sided"] | {k.name for k in job.readings if pattern(k.name) in terms["sided"]}
    sided |= {
        f"frame.station.{i + 1}.{p.rpartition('.')[2]}"
        for p in rows
        for i in range(max(2, job.counts.get("frame.station", 0)))
        if p in terms["sided"]
    }
    got = solve_graph(
        relations(job, fixed),
        job.readings,
        fixed,
        **{**terms, "sided": frozenset(sided)},
        tied=getattr(job, "both", frozenset()),
    )
    return got.noting(_set_aside(got, job.words.get("driveline.type", "")))


def _set_aside(g: Graph, shaft: str) -> dict[Key, tuple[float, float]]:
    """Wishes about the pinion that the band or the caster window set aside: from, to."""
    value = lambda n: g.values.get(Key(n, "C"))
    aim, target, caster = value("pinion.aim"), value("wanted.pinion_working"), value("caster.ride")
    moved: dict[Key, tuple[float, float]] = {}
    if shaft != "single" and aim is not None and target is not None and abs(aim - target) > 1e-9:
        moved[Key("wanted.pinion_working", "C")] = (target, aim)
    for name, worse in (("wanted.caster_low", 1), ("wanted.caster_high", -1)):
        edge = value(name)
        if caster is not None and edge is not None and worse * (edge - caster) > 1e-9:
            moved[Key(name, "C")] = (edge, caster)
    return moved


class Row(NamedTuple):
    """One row of the layout sheet.

    ``value`` and ``plus_minus`` (2u) in internal units of ``unit``; None while there is no number.
    """

    key: Key
    title: str
    value: float | None
    unit: str
    plus_minus: float | None
    role: str
    rests_on: tuple[Key, ...]


def given_and_solved(solved: Graph) -> tuple[Row, ...]:
    """Rows of the layout sheet and of setout.json: every result, choices that gave way, in the
    order of the layout.
    """
    from .surety import plus_minus

    rows = []
    for k in solved.every_key():
        value = solved.values.get(k)
        title = solved.title(k) or (
            FIELDS[pattern(k.name)].how if pattern(k.name) in FIELDS else ""
        )
        rows.append(
            Row(
                k,
                title,
                value,
                solved.unit(k),
                None if value is None else plus_minus(solved, k),
                solved.role(k),
                tuple(sorted(solved.rests_on(k))),
            )
        )
    return tuple(rows)


@lru_cache(maxsize=1)
def names() -> dict[str, tuple[str, bool]]:
    """Every name that can be solved: kind of unit, and whether it has sides.

    These are the names [fixed] takes.
    """
    rows = _relations(
        2,
        False,
        "parallel",
        (),
        True,
        ("tapeangle", "tapeangle"),
        (True, True),
        "ground",
        True,
        "beside",
        True,
        "double_cardan",
    )
    return {r.out.partition("@")[0]: (r.unit, r.sided or "@" in r.out) for r in rows}
