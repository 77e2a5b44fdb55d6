"""Every assembly drawing of the jobs whose part drawings are looked at, drawn once a process."""

from __future__ import annotations

from functools import cache

import metric
import trucks
from drawn_parts import HEAD, JOBS, job_of, reading
from soapstone.layout.graph import Graph
from soapstone.layout.setout import solve
from soapstone.parts.drawing.assembled import (
    DrawnGroup,
    Placed,
    SheetGroup,
    assembly_sheet,
    general_sheet,
    groups,
)

__all__ = ["JOBS", "assemblies", "general", "grouped", "placed", "reading"]


@cache
def placed(name: str) -> Placed:
    return Placed(*job_of(name))


def solved(name: str) -> Graph:
    return solve(metric.metric_job()) if name == "mm" else trucks.truck(name)[1]


@cache
def grouped(name: str) -> tuple[tuple[SheetGroup, str], ...]:
    """Every group with its drawing's number."""
    with reading(name):
        return tuple((g, f"DEMO1-A{n}") for n, g in enumerate(groups(placed(name)), 2))


@cache
def assemblies(name: str) -> tuple[DrawnGroup, ...]:
    """Every group's sheet."""
    with reading(name):
        own, head = solved(name), HEAD
        return tuple(assembly_sheet(placed(name), g, head, own, n) for g, n in grouped(name))


@cache
def general(name: str) -> DrawnGroup:
    with reading(name):
        return general_sheet(placed(name), grouped(name), HEAD, solved(name), "DEMO1-A1")
