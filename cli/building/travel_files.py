"""Travel as data, tables and sheets."""

from __future__ import annotations

from ...layout import reader, units
from ...parts.model.verdict import Verdict
from ...parts.words.names import called
from . import travel_report
from .build import Build
from .text import csv_bytes, json_bytes

Close = tuple[str, str, str, str]
"""A pair that comes close, as the sheet that is filled in has it: who, where, gap, gap wanted."""

COLUMNS = {
    "positions": ("place", "key", "value", "unit", "plus_minus"),
    "limits": (
        *("path", "what", "at", "along", "asked", "there", "bound", "limit", "unit", "governs"),
    ),
    "gaps": (
        *("verdict", "gap", "plus_minus", "wanted", "unit", "one", "two", "says", "place"),
        *("x", "y", "z"),
    ),
}
"""Columns of each table of travel.json that is a CSV too."""


def travel_files(build: Build) -> tuple[dict[str, bytes], list[Close]]:
    """travel.json, its tables and the travel sheets; and the close pairs."""
    from ...parts.drawing.travel import travel_pdf

    cycle, solved = build.travel, build.solved
    data = travel_report.as_json(cycle, solved, build.judged)
    tables = travel_report.tables(cycle)
    close = [
        (
            " to ".join(map(called, gap.titles, (gap.one, gap.two))),
            gap.place,
            gap.told.partition(" ")[0],
            reader.number(gap.allowed, "length"),
        )
        for gap in cycle.gaps
        if gap.verdict is not Verdict.OK or gap.gap < units.IN
    ]
    made = {"travel.json": json_bytes(data)}
    for name, columns in COLUMNS.items():
        made[f"schedule/{name}.csv"] = csv_bytes(tables[name], columns)
    made["sheet/travel.pdf"] = travel_pdf(
        chassis=build.chassis,
        date=build.date,
        travel=cycle.travel,
        values=solved.values,
        words=travel_report.sheet_words(cycle, solved),
        paper=build.shop.paper,
        foot=build.foot,
    )
    return made, close
