"""Tables of bolts and plate. An unknown key lists the known ones. Lengths in mm."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from ...layout.reader import measure, metric, number
from ..rules.welds import INCH_LEGS

IN = 25.4
STEEL_DENSITY = 7.85e-6
"""kg/mm3 (7850 kg/m3, EN 1991-1-1, from memory; 490 lb/ft3 of the AISC Manual agrees within 0.01
%).
"""


class BoltSize(NamedTuple):
    """One thread: diameter, pitch, tensile stress area (mm2), across flats, close and normal
    clearance holes.
    """

    key: str
    d: float
    pitch: float
    area: float
    head_af: float
    hole_close: float
    hole_normal: float
    tag: str


class PlateOnHand(NamedTuple):
    """One plate: stock key, nominal and measured thickness (mm), steel; ``taken``: whether the shop
    measured it, else ``measured`` is the nominal one.
    """

    key: str
    thickness: float
    measured: float
    steel: str
    taken: bool = False

    def called(self) -> str:
        """Its thickness in words: a measured one only where the shop measured."""
        places = 2 if metric() else 4
        nominal = f"{measure(self.thickness, 'length', places)} nominal"
        return (
            f"{nominal}, {number(self.measured, 'length', places)} measured"
            if self.taken
            else f"{nominal}, ASSUMED: not measured"
        )


class TubeOnHand(NamedTuple):
    """One round tube: stock key, outside diameter, wall (mm), steel."""

    key: str
    od: float
    wall: float
    steel: str


class Steel(NamedTuple):
    """Yield and tensile strength, MPa."""

    name: str
    fy: float
    fu: float


class SheetOnHand(NamedTuple):
    """A sheet or remnant: plate's stock key, name, width and length (mm), how many (0 = as many as
    wanted).
    """

    stock: str
    name: str
    width: float
    length: float
    count: int = 0


class Rates(NamedTuple):
    """What work costs: an hour at the bench, an inch of cut, a pierce; 0 = not given."""

    hour: float = 0.0
    cut_inch: float = 0.0
    pierce: float = 0.0


LAYERS = {name: name for name in ("OUTLINE", "OPENING", "SCRIBE", "DRILL", "FOLD", "NOT_CUT")}


class Shop(NamedTuple):
    """What the shop has and wants: plates thinnest first, tubes, drills; layer names and kind of
    cut files; smallest hole that is cut (mm, and in thicknesses); table (mm); price a pound by
    stock key; weld process; folder of the archive, "" = beside the job; load factors of its own by
    case, and who set them why; sheets and remnants, spacing and margin of nests (mm); rates; paper
    of sheets; friction state of the bolts, "" = not known; least radius of an inner corner of a
    plate and least distance of a scribe line from an edge (mm); legs of fillets, mm, smallest
    first; filler as typed, "" = not named; bolts' marks by use; steel of dowels, "" = not named.
    """

    plates: tuple[PlateOnHand, ...]
    tubes: tuple[TubeOnHand, ...]
    drills: tuple[float, ...]
    name: str = ""
    layers: Mapping[str, str] = LAYERS
    dxf: str = "R2010"
    unit: str = "in"
    hole_least: float = 0.375 * IN
    hole_factor: float = 1.5
    bed: tuple[float, float] = (48 * IN, 96 * IN)
    prices: Mapping[str, float] = {}
    weld: str = "GMAW, ER70S-6"
    archive: str = ""
    loads: Mapping[str, float] = {}
    load_notes: tuple[str, ...] = ()
    sheets: tuple[SheetOnHand, ...] = ()
    spacing: float = 0.375 * IN
    margin: float = 0.5 * IN
    rates: Rates = Rates()
    paper: str = "letter"
    friction: str = ""
    legs: tuple[float, ...] = INCH_LEGS
    inner_radius: float = 0.125 * IN
    mark_margin: float = 0.125 * IN
    filler: str = ""
    classes: Mapping[str, str] = {}
    dowel: str = ""
    reads: str = ""
    """Unit of length the shop's file says, "in" or "mm"; empty where it says none and the job's own
    is printed.
    """

    def sheets_of(self, key: str) -> tuple[SheetOnHand, ...]:
        """Sheets of a plate, remnants (counted ones) smallest first; without a list, the cutting
        table's size without end.
        """
        if not self.sheets:
            w, h = sorted(self.bed)
            return (SheetOnHand(key, f"{number(w, 'length', 0)} x {number(h, 'length', 0)}", w, h),)
        return tuple(
            sorted(
                (s for s in self.sheets if s.stock == key),
                key=lambda s: (s.count == 0, s.width * s.length),
            )
        )

    def plate(self, key: str) -> PlateOnHand:
        """One plate by its key. KeyError lists the known ones."""
        return _known("plate", key, {p.key: p for p in self.plates})

    def tube(self, key: str) -> TubeOnHand:
        """One tube by its key. KeyError lists the known ones."""
        return _known("tube", key, {t.key: t for t in self.tubes})


def _known(what: str, key: str, found: dict[str, Any]) -> Any:
    if key not in found:
        raise KeyError(f"no {what} {key!r}; known: {', '.join(found)}")
    return found[key]


@cache
def rows(table: str) -> tuple[dict[str, str], ...]:
    """Every row of a table in this folder."""
    with (files(__package__) / f"{table}.csv").open(encoding="utf-8") as f:
        return tuple(csv.DictReader(f))


@cache
def _bolts() -> dict[str, BoltSize]:
    n = lambda r, c: float(r[c])
    inch = {
        r["key"]: BoltSize(
            r["key"],
            n(r, "d_in") * IN,
            IN / n(r, "tpi"),
            n(r, "area_in2") * IN**2,
            n(r, "head_af_in") * IN,
            n(r, "close_in") * IN,
            n(r, "normal_in") * IN,
            r["tag"],
        )
        for r in rows("threads")
    }
    mm = {
        r["key"]: BoltSize(
            r["key"],
            n(r, "d_mm"),
            n(r, "pitch_mm"),
            n(r, "area_mm2"),
            n(r, "head_af_mm"),
            n(r, "close_mm"),
            n(r, "normal_mm"),
            r["tag"],
        )
        for r in rows("threads_metric")
    }
    return inch | mm


def bolt(key: str) -> BoltSize:
    """Row of the thread table. KeyError lists the known sizes."""
    return _known("bolt", key, _bolts())  # type: ignore[no-any-return]


def steel(key: str) -> Steel:
    """Row of the steel table. KeyError lists the known ones."""
    found = {
        r["key"]: Steel(r["key"], float(r["fy_MPa"]), float(r["fu_MPa"])) for r in rows("steels")
    }
    return _known("steel", key, found)  # type: ignore[no-any-return]


@cache
def default_shop() -> Shop:
    """The stock in this folder's tables; drills by 1/64 in from 1/16 to 1 1/2."""
    plates = sorted(
        (
            PlateOnHand(r["key"], float(r["t_in"]) * IN, float(r["t_in"]) * IN, r["steel"])
            for r in rows("plates")
        ),
        key=lambda p: p.thickness,
    )
    tubes = tuple(
        TubeOnHand(r["key"], float(r["od_in"]) * IN, float(r["wall_in"]) * IN, r["steel"])
        for r in rows("tubes")
    )
    return Shop(tuple(plates), tubes, tuple(n * IN / 64 for n in range(4, 97)))
