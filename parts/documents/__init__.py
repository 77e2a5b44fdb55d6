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


def every(f: Facts, gaps: Sequence[tuple[str, str, str, str]]) -> list[Doc]:
    """All documents, in the order of the stages they belong to.

    ``gaps``: close pairs for the sheet to fill in: pair, position, model's gap, needed, as printed.
    """
    found = [
        *survey.docs(f),
        *fitting.docs(f),
        *down.docs(f),
        *cutting.docs(f),
        *ordering.docs(f),
        *welding.docs(f),
        *finish.docs(f, list(gaps)),
        *templates.docs(f),
    ]
    return sorted(found, key=lambda d: STAGES.index(d.stage))


def files(
    f: Facts,
    head: Head,
    gaps: Sequence[tuple[str, str, str, str]],
    say: Callable[[str], None] = lambda _: None,
) -> tuple[dict[str, bytes], dict[int, list[str]]]:
    """Path -> bytes, ``sheet/<name>.pdf`` and ``sheet/tables.xlsx``; and the paths of each stage's
    sheets, by its number, in order.
    """
    found = every(f, gaps)
    made: dict[str, bytes] = {}
    stages: dict[int, list[str]] = {n: [] for n in range(1, len(STAGES) + 1)}
    for d in found:
        say(f"sheet {d.title}")
        made[f"sheet/{d.name}.pdf"] = render([d], head)
        stages[STAGES.index(d.stage) + 1].append(f"sheet/{d.name}.pdf")
    made["sheet/tables.xlsx"] = workbook(found, _schedules(f))
    return made, stages


def _schedules(f: Facts) -> Mapping[str, tuple[Sequence[str], Sequence[Sequence[object]]]]:
    rows = [
        *schedules.tables(f.truck, f.shop),
        strength_tables.rail(f.strength),
        strength_tables.tacks(f.truck, f.strength),
    ]
    return {t.name: _as_read(t, f.numbers) for t in rows}


def _as_read(t: Schedule, numbers: Mapping[str, str]) -> tuple[list[str], list[list[object]]]:
    """A table for people: no column of the model's ids, headings and names in words."""
    kept = [c for c in t.columns if c not in DATA]
    return (
        [c.replace("_", " ") for c in kept],
        [[_cell(c, r.get(c, ""), numbers) for c in kept] for r in t.rows],
    )


def _cell(column: str, value: object, numbers: Mapping[str, str]) -> object:
    if not isinstance(value, str):
        return value
    if column in ("edge", "edges"):
        return names.edges(tuple(value.split()))
    return names.part(value) if column == "part" else names.sentence(value, numbers)
