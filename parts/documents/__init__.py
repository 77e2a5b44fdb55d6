"""Shop documents: every sheet alone, which stage each belongs to, and a workbook of all tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ..words import names
from . import (
    cutting,
    down,
    finish,
    fitting,
    ordering,
    quote,
    schedules,
    strength_tables,
    survey,
    templates,
    welding,
)
from .engine import Doc, Head, render
from .facts import Facts
from .schedule import Schedule
from .workbook import workbook

DATA = frozenset({"id", "item", "finished_mm", "leg_mm", "length_mm", "mass_kg"})
"""Columns for programs, which the workbook leaves out."""
STAGES = tuple(name for name, _ in survey.STAGES)


def every(facts: Facts, gaps: Sequence[tuple[str, str, str, str]]) -> list[Doc]:
    """All documents, in the order of the stages they belong to.

    ``gaps``: close pairs for the sheet to fill in: pair, position, model's gap, needed, as printed.
    """
    found = [
        *survey.docs(facts),
        *fitting.docs(facts),
        *down.docs(facts),
        *cutting.docs(facts),
        *ordering.docs(facts),
        *quote.docs(facts),
        *welding.docs(facts),
        *finish.docs(facts, list(gaps)),
        *templates.docs(facts),
    ]
    return sorted(found, key=lambda doc: STAGES.index(doc.stage))


def files(
    facts: Facts,
    head: Head,
    gaps: Sequence[tuple[str, str, str, str]],
    say: Callable[[str], None] = lambda _: None,
) -> tuple[dict[str, bytes], dict[int, list[str]]]:
    """Path -> bytes, ``sheet/<name>.pdf`` and ``sheet/tables.xlsx``; and the paths of each stage's
    sheets, by its number, in order.
    """
    found = every(facts, gaps)
    made: dict[str, bytes] = {}
    stages: dict[int, list[str]] = {number: [] for number in range(1, len(STAGES) + 1)}
    for doc in found:
        say(f"sheet {doc.title}")
        made[f"sheet/{doc.name}.pdf"] = render([doc], head)
        stages[STAGES.index(doc.stage) + 1].append(f"sheet/{doc.name}.pdf")
    made["sheet/tables.xlsx"] = workbook(found, _schedules(facts))
    return made, stages


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
