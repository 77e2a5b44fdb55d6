"""Tables of bolts and plate. An unknown key lists the known ones. Lengths in mm."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import NamedTuple

IN = 25.4
STEEL_DENSITY = 7.85e-6
"""kg/mm3 (7850 kg/m3, EN 1991-1-1, from memory; 490 lb/ft3 of the AISC Manual agrees within 0.01 %)."""


class BoltSize(NamedTuple):
    """One thread: diameter, pitch, tensile stress area (mm2), across flats, close and normal clearance holes."""

    key: str
    d: float
    pitch: float
    area: float
    head_af: float
    hole_close: float
    hole_normal: float
    tag: str


class PlateStock(NamedTuple):
    """One plate: stock key, nominal thickness, steel."""

    key: str
    t: float
    steel: str


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """Every row of a table in this folder."""
    with (files(__package__) / f"{table}.csv").open(encoding="utf-8") as f:
        return tuple(csv.DictReader(f))


@cache
def _bolts() -> dict[str, BoltSize]:
    n = lambda r, c: float(r[c])  # noqa: E731
    return {r["key"]: BoltSize(r["key"], n(r, "d_in") * IN, IN / n(r, "tpi"), n(r, "area_in2") * IN**2, n(r, "head_af_in") * IN,
                               n(r, "close_in") * IN, n(r, "normal_in") * IN, r["tag"]) for r in rows("threads")}


def bolt(key: str) -> BoltSize:
    """Row of the thread table. KeyError lists the known sizes."""
    if key not in _bolts():
        raise KeyError(f"no bolt {key!r} in the table; known: {', '.join(_bolts())}")
    return _bolts()[key]


def plates() -> tuple[PlateStock, ...]:
    """Plate on hand, thinnest first."""
    return tuple(sorted((PlateStock(r["key"], float(r["t_in"]) * IN, r["steel"]) for r in rows("plates")), key=lambda p: p.t))


def plate(key: str) -> PlateStock:
    """One plate by its key. KeyError lists the known ones."""
    found = {p.key: p for p in plates()}
    if key not in found:
        raise KeyError(f"no plate {key!r} in stock; known: {', '.join(found)}")
    return found[key]
