"""Shop documents: every sheet alone, which stage each belongs to, and a workbook of all tables."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ..drawing.assembled import Placed
from ..geometry.kept import Keep, anew
from ..words import names
from . import (
    cutting,
    down,
    finish,
    fitting,
    ordering,
    packets,
    quote,
    schedules,
    steps,
    strength_tables,
    survey,
    templates,
    welding,
)
from .engine import Doc, render
from .facts import Facts
from .heads import PageHead
from .schedule import Schedule
from .workbook import workbook

DATA = frozenset({"id", "item", "finished_mm", "leg_mm", "length_mm", "mass_kg"})
"""Columns for programs, which the workbook leaves out."""
STAGES = tuple(name for name, _ in survey.STAGES)


class Documents(NamedTuple):
    """Every sheet alone, in the order of the stages they belong to, and each stage's packet."""

    docs: list[Doc]
    packets: list[list[Doc]]


def every(facts: Facts, gaps: Sequence[tuple[str, str, str, str]], keep: Keep = anew) -> Documents:
    """All documents.

    ``gaps``: close pairs for the sheet to fill in: pair, position, model's gap, needed, as printed.
    """
    placed = Placed(facts.truck, facts.shop)
    pictured = steps.told(facts, placed, keep)
    found = [
        *survey.docs(facts, placed),
        *fitting.docs(facts),
        *down.docs(facts),
        *steps.docs(facts, placed, pictured),
        *cutting.docs(facts),
        *ordering.docs(facts, keep),
        *quote.docs(facts),
        *welding.docs(facts),
        *finish.docs(facts, list(gaps)),
        *templates.docs(facts),
    ]
    found.sort(key=lambda doc: STAGES.index(doc.stage))
    return Documents(found, packets.packets(facts, placed, found, pictured))


def files(
    facts: Facts,
    head: PageHead,
    gaps: Sequence[tuple[str, str, str, str]],
    keep: Keep = anew,
) -> tuple[dict[str, bytes], list[bytes]]:
    """Path -> bytes, ``sheet/<name>.pdf`` and ``sheet/tables.xlsx``; and each stage's packet as far
    as it is words and pictures, uncounted.
    """
    work = every(facts, gaps, keep)
    made = {f"sheet/{doc.name}.pdf": render([doc], head, keep=keep) for doc in work.docs}
    made["sheet/tables.xlsx"] = workbook(
        [doc for doc in work.docs if not doc.name.startswith("steps-")], _schedules(facts)
    )
    return made, [render(docs, head, counted=False, keep=keep) for docs in work.packets]


def _schedules(facts: Facts) -> Mapping[str, tuple[Sequence[str], Sequence[Sequence[object]]]]:
    rows = [
        *schedules.tables(facts.truck, facts.shop),
        strength_tables.rail(facts.strength),
        strength_tables.tacks(facts.truck, facts.strength),
    ]
    return {schedule.name: _as_read(schedule, facts.numbers) for schedule in rows}


def _as_read(
    schedule: Schedule, numbers: Mapping[str, str]
) -> tuple[list[str], list[list[object]]]:
    """A table for people: no column of the model's ids, headings and names in words."""
    kept = [column for column in schedule.columns if column not in DATA]
    return (
        [column.replace("_", " ") for column in kept],
        [[_cell(column, row.get(column, ""), numbers) for column in kept] for row in schedule.rows],
    )


def _cell(column: str, value: object, numbers: Mapping[str, str]) -> object:
    if not isinstance(value, str):
        return value
    if column in ("edge", "edges"):
        return names.edges(tuple(value.split()))
    return names.part(value) if column == "part" else names.sentence(value, numbers)
