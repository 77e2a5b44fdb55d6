"""Tables of this folder: threads, steels, and their rows as they stand. Lengths in mm.

An unknown key is a KeyError that lists the known ones.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import NamedTuple, TypeVar

from ...layout.units import IN

STEEL_DENSITY = 7.85e-6
"""kg/mm3 (7850 kg/m3, EN 1991-1-1, from memory; 490 lb/ft3 of the AISC Manual agrees within 0.01
%).
"""
TableRow = TypeVar("TableRow")


class Thread(NamedTuple):
    """One thread. Lengths in mm.

    Attributes
    ----------
    key : str
        "1/2-13", "M12x1.75".
    d, pitch : float
        Nominal diameter, pitch.
    area : float
        Tensile stress area, mm2.
    head_af : float
        Across flats, for the room a socket takes.
    hole_close, hole_normal : float
        Clearance holes.
    tag : str
        How the row was seen: "read", "memory".
    """

    key: str
    d: float
    pitch: float
    area: float
    head_af: float
    hole_close: float
    hole_normal: float
    tag: str


class Steel(NamedTuple):
    """Yield and tensile strength, MPa."""

    name: str
    fy: float
    fu: float


def known(what: str, key: str, found: Mapping[str, TableRow]) -> TableRow:
    """The row of a key. KeyError names ``what`` it is and lists the known ones."""
    if key not in found:
        raise KeyError(f"no {what} {key!r}; known: {', '.join(found)}")
    return found[key]


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """Every row of a table in this folder, each value as text; read once. ``table``: the file's
    name without its ending.
    """
    with (files(__package__) / f"{table}.csv").open(encoding="utf-8") as f:
        return tuple(csv.DictReader(f))


@cache
def _bolts() -> dict[str, Thread]:
    inch = [_inch(row) for row in rows("threads")]
    metric = [_metric(row) for row in rows("threads_metric")]
    return {size.key: size for size in (*inch, *metric)}


def _inch(row: Mapping[str, str]) -> Thread:
    return Thread(
        key=row["key"],
        d=float(row["d_in"]) * IN,
        pitch=IN / float(row["tpi"]),
        area=float(row["area_in2"]) * IN**2,
        head_af=float(row["head_af_in"]) * IN,
        hole_close=float(row["close_in"]) * IN,
        hole_normal=float(row["normal_in"]) * IN,
        tag=row["tag"],
    )


def _metric(row: Mapping[str, str]) -> Thread:
    return Thread(
        key=row["key"],
        d=float(row["d_mm"]),
        pitch=float(row["pitch_mm"]),
        area=float(row["area_mm2"]),
        head_af=float(row["head_af_mm"]),
        hole_close=float(row["close_mm"]),
        hole_normal=float(row["normal_mm"]),
        tag=row["tag"],
    )


def bolt(key: str) -> Thread:
    """Row of the thread table. KeyError lists the known sizes.

    >>> bolt("M16x2").d, bolt("M16x2").area
    (16.0, 157.0)
    """
    return known("bolt", key, _bolts())


def bolt_over(least: float, like: float) -> str:
    """What a bolt of at least ``least`` mm is called that is of the kind of one of ``like`` mm,
    inch or metric; empty where the table has none so large.

    >>> bolt_over(17.0, 12.7), bolt_over(17.0, 12.0), bolt_over(100.0, 12.0)
    ('3/4 in', 'M18', '')
    """
    inch = any(math.isclose(size.d, like) for size in map(_inch, rows("threads")))
    table = [(size.d, size.key) for size in _bolts().values() if inch == (size.key[0] != "M")]
    found = min((row for row in table if row[0] >= least), default=(0.0, ""))[1]
    return f"{found.partition('-')[0]} in" if inch and found else found.partition("x")[0]


@cache
def _steels() -> dict[str, Steel]:
    return {
        row["key"]: Steel(row["key"], float(row["fy_MPa"]), float(row["fu_MPa"]))
        for row in rows("steels")
    }


def steel(key: str) -> Steel:
    """Row of the steel table. KeyError lists the known ones."""
    return known("steel", key, _steels())
