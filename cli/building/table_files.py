"""Layout, verdict, checks, loads and every schedule as CSV and JSON."""

from __future__ import annotations

from .build import Build
from .data_rows import check_row, load_rows, setout_rows
from .text import csv_bytes, json_bytes

DIGITS = 4
"""Decimals of a utilisation in checks.json."""


def table_files(build: Build) -> dict[str, bytes]:
    """The tables by path."""
    from ...parts.documents import schedules, strength_tables

    held, truck = build.strength, build.truck
    rows = setout_rows(build.solved)
    made = {
        "setout.json": json_bytes(rows),
        "schedule/setout.csv": csv_bytes(
            rows, ("key", "title", "shown", "value", "unit", "plus_minus", "role")
        ),
        "checks.json": json_bytes(
            [check_row(check, DIGITS) for check in (*truck.checks, *held.checks)]
        ),
        "verdict.json": json_bytes(build.judged.as_json()),
        "loads.json": json_bytes(load_rows(held)),
    }
    for table in (
        *schedules.tables(truck, build.shop),
        strength_tables.rail(held),
        strength_tables.tacks(truck, held),
    ):
        made[f"schedule/{table.name}.csv"] = csv_bytes(list(table.rows), table.columns)
        made[f"schedule/{table.name}.json"] = json_bytes(table.rows)
    return made
