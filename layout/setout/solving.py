"""A job's equations put together and solved, and the rows of its layout sheet."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from ..graph import Graph, solve_graph
from ..job.fields import FIELDS, pattern
from ..job.load import Job
from ..quantities import SIDES, Key, Reading, Relation, Side
from . import arms, bar, datum, pinion, rail, spring, stop, upper
from .surety import plus_minus

SMALL = 1e-9
"""Difference that is none, rad."""
PINION_RESULTS = ("pinion.aim", "pinion.up", "pinion.working", "caster.ride")


def of_side(relation: Relation, side: Side, sided: frozenset[str]) -> Relation:
    """A sided relation for one side only: ``out@L`` from ``ins`` of the same side.

    ``sided``: names that have sides; an input that names its side, or has none, stays as it is.
    """

    def name(own: str) -> str:
        return f"{own}@{side}" if "@" not in own and own in sided else own

    return relation._replace(
        out=f"{relation.out}@{side}", ins=tuple(map(name, relation.ins)), sided=False
    )


class Read(NamedTuple):
    """What was read of a job that decides its equations.

    ``stations``: rail stations; ``pinion_given``: a result of the pinion stands in [fixed];
    ``bar_mode``, ``bar_given``, ``bar_on_hand``: how the track bar is set, which of its frame
    mount's coordinates are given, whether its length is; ``slant`` ("tape", "angle") and
    ``coil_read`` (its loaded length at ride height), left and right; ``coil_ends``, ``pad``,
    ``stop_place``, ``hub``, ``shaft``: end type of the coil, pad on hand, place of the stop, lip
    height asked for, kind of front shaft.
    """

    stations: int
    pinion_given: bool
    bar_mode: str
    bar_given: tuple[str, ...]
    bar_on_hand: bool
    slant: tuple[str, str]
    coil_read: tuple[bool, bool]
    coil_ends: str
    pad: bool
    stop_place: str
    hub: bool
    shaft: str
    cut: bool


EVERYTHING = Read(
    stations=2,
    pinion_given=False,
    bar_mode="parallel",
    bar_given=(),
    bar_on_hand=True,
    slant=("tapeangle", "tapeangle"),
    coil_read=(True, True),
    coil_ends="ground",
    pad=True,
    stop_place="beside",
    hub=True,
    shaft="double_cardan",
    cut=True,
)
"""A job of which everything was read."""


@lru_cache(maxsize=16)
def _relations(read: Read) -> tuple[Relation, ...]:
    slants = tuple(
        (arms.SLANT_TAPE,) * ("tape" in said) + (arms.SLANT_ANGLE,) * ("angle" in said)
        for said in read.slant
    )
    loaded = tuple(
        (spring.READ_LENGTH if relation else spring.RATE_LENGTH,) for relation in read.coil_read
    )
    along = rail.relations(read.stations, read.stop_place, read.hub, cut=read.cut)
    parts = (
        datum.RELATIONS,
        (pinion.PLAIN_AIM if read.pinion_given else pinion.aimed(read.shaft),),
        pinion.RELATIONS,
        arms.RELATIONS,
        upper.RELATIONS,
        spring.RELATIONS,
        spring.solid(read.coil_ends),
        spring.wedge(read.pad),
        bar.RELATIONS,
        tuple(
            relation for relation in bar.mount(read.bar_mode) if relation.out not in read.bar_given
        ),
        (bar.LENGTH_ON_HAND,) * read.bar_on_hand,
        stop.relations(read.stop_place),
        along,
        datum.HEIGHT * read.hub,
    )
    sided = _sided() | {
        relation.out for part in (*parts, *slants, *loaded) for relation in part if relation.sided
    }

    def by_side(pair: tuple[tuple[Relation, ...], ...]) -> tuple[Relation, ...]:
        return tuple(
            of_side(relation, side, sided)
            for side, rows in zip(SIDES, pair, strict=True)
            for relation in rows
        )

    return tuple(
        relation
        for part in (*parts[:3], by_side(slants), *parts[3:5], by_side(loaded), *parts[5:])
        for relation in part
    )


@lru_cache(maxsize=1)
def _sided() -> frozenset[str]:
    return frozenset(field.name for field in FIELDS.values() if field.sided)


def _slant(job: Job, side: Side) -> str:
    given = Key("arms.plan_slant", side) in job.readings
    tape = all(
        Key(f"arms.offset_{place}", side) in job.readings for place in ("front", "rear", "run")
    )
    return ("tape" if tape or not given else "") + ("angle" if given else "")


def _coil_read(job: Job, side: Side) -> bool:
    """Whether the coil's loaded length was read at ride height."""
    reading = job.readings.get(Key("spring.loaded_length", side))
    return reading is not None and reading.state in ("ride", "any", "")


def relations(job: Job, fixed: Mapping[Key, Reading]) -> tuple[Relation, ...]:
    """The equations of this job.

    What was read decides: slant by tape or by angle, coil by rate or as read, bar parallel or
    level.
    """

    def has(name: str, side: Side = "C") -> bool:
        return Key(name, side) in job.readings

    held = {key.name for key in fixed}
    return _relations(
        Read(
            stations=job.counts.get("frame.station", 0),
            pinion_given=bool(held & set(PINION_RESULTS)),
            bar_mode=job.words.get("track_bar.mode", ""),
            bar_given=tuple(sorted(held & {"bar.frame.x", "bar.frame.z"})),
            bar_on_hand=has("track_bar.length"),
            slant=(_slant(job, "L"), _slant(job, "R")),
            coil_read=(_coil_read(job, "L"), _coil_read(job, "R")),
            coil_ends=job.words.get("spring.ends", ""),
            pad=has("spring.pad_wedge"),
            stop_place=job.words.get("travel.stop_place", ""),
            hub=has("wanted.hub_to_lip", "L") or has("wanted.hub_to_lip", "R"),
            shaft=job.words.get("driveline.type", ""),
            cut=job.words.get("frame.cut") != "no",
        )
    )


class _Terms(NamedTuple):
    """What the fields say of every quantity's name: its place in giving way, its range, its unit,
    and whether it has a side.
    """

    yields: dict[str, int]
    limits: dict[str, tuple[float, float]]
    units: dict[str, str]
    sided: frozenset[str]


@lru_cache(maxsize=1)
def _terms() -> _Terms:
    numbers = {name: field for name, field in FIELDS.items() if not field.is_word}
    return _Terms(
        yields={name: field.yields for name, field in numbers.items() if field.yields is not None},
        limits={name: (field.low, field.high) for name, field in numbers.items()},
        units={name: field.kind for name, field in numbers.items()},
        sided=_sided(),
    )


def solve(job: Job, fixed: Mapping[Key, Reading] | None = None) -> Graph:
    """Every quantity of the layout, given, solved or waiting. Never raises for geometry.

    ``fixed``: results given as measured beside those of the job file's [fixed].
    """
    fixed = {**job.fixed, **(fixed or {})}
    terms = _terms()
    rows = {
        pattern(key.name): key.name for key in job.readings if key.name.startswith("frame.station.")
    }
    sided = terms.sided | {key.name for key in job.readings if pattern(key.name) in terms.sided}
    sided |= {
        f"frame.station.{number + 1}.{path.rpartition('.')[2]}"
        for path in rows
        for number in range(max(2, job.counts.get("frame.station", 0)))
        if path in terms.sided
    }
    got = solve_graph(
        relations(job, fixed),
        job.readings,
        fixed,
        yields=terms.yields,
        limits=terms.limits,
        units=terms.units,
        sided=frozenset(sided),
        tied=job.both,
    )
    return got.noting(_set_aside(got, job.words.get("driveline.type", "")))


def _set_aside(graph: Graph, shaft: str) -> dict[Key, tuple[float, float]]:
    """Wishes about the pinion that the band or the caster window set aside: from, to."""

    def value(name: str) -> float | None:
        return graph.values.get(Key(name, "C"))

    aim, target, caster = value("pinion.aim"), value("wanted.pinion_working"), value("caster.ride")
    moved: dict[Key, tuple[float, float]] = {}
    if shaft != "single" and aim is not None and target is not None and abs(aim - target) > SMALL:
        moved[Key("wanted.pinion_working", "C")] = (target, aim)
    for name, worse in (("wanted.caster_low", 1), ("wanted.caster_high", -1)):
        edge = value(name)
        if caster is not None and edge is not None and worse * (edge - caster) > SMALL:
            moved[Key(name, "C")] = (edge, caster)
    return moved


class LayoutRow(NamedTuple):
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


def given_and_solved(solved: Graph) -> tuple[LayoutRow, ...]:
    """Rows of the layout sheet and of setout.json: every result, choices that gave way, in the
    order of the layout.
    """
    rows = []
    for key in solved.every_key():
        value = solved.values.get(key)
        title = solved.title(key) or (
            FIELDS[pattern(key.name)].how if pattern(key.name) in FIELDS else ""
        )
        rows.append(
            LayoutRow(
                key=key,
                title=title,
                value=value,
                unit=solved.unit(key),
                plus_minus=None if value is None else plus_minus(solved, key),
                role=solved.role(key),
                rests_on=tuple(sorted(solved.rests_on(key))),
            )
        )
    return tuple(rows)


@lru_cache(maxsize=1)
def names() -> dict[str, tuple[str, bool]]:
    """Every name that can be solved: kind of unit, and whether it has sides.

    These are the names [fixed] takes.
    """
    rows = _relations(EVERYTHING)
    return {
        relation.out.partition("@")[0]: (relation.unit, relation.sided or "@" in relation.out)
        for relation in rows
    }
