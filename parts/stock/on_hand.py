"""What a shop has and wants: plates, tubes, sheets, and its settings. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

from ...layout.reader import fine, number
from ...layout.units import IN
from ..rules.welds import INCH_LEGS
from .tables import known, rows

DRILLS_64THS = range(4, 97)
"""Default drills, in 1/64 in: 1/16 to 1 1/2."""


class PlateOnHand(NamedTuple):
    """One plate as the shop has it.

    Attributes
    ----------
    key : str
        "1/4 A36": what job file and sheets call it.
    thickness, measured : float
        Nominal and as measured, mm; parts are sized for the smaller of the two.
    steel : str
        Key of the steel table.
    taken : bool
        Whether the shop measured it; else ``measured`` is the nominal one, and said to be assumed.
    """

    key: str
    thickness: float
    measured: float
    steel: str
    taken: bool = False

    def called(self) -> str:
        """Its thickness in words: a measured one only where the shop measured."""
        nominal = f"{fine(self.thickness)} nominal"
        return (
            f"{nominal}, {fine(self.measured)} measured"
            if self.taken
            else f"{nominal}, ASSUMED: not measured"
        )


class TubeOnHand(NamedTuple):
    """One round tube: stock key, outside diameter, wall (mm), steel."""

    key: str
    od: float
    wall: float
    steel: str


class SheetOnHand(NamedTuple):
    """A sheet or remnant.

    Attributes
    ----------
    stock : str
        Key of its plate.
    name : str
        What is painted on it.
    width, length : float
        mm.
    quantity : int
        0: as many as wanted, so never first used up.
    """

    stock: str
    name: str
    width: float
    length: float
    quantity: int = 0


class Rates(NamedTuple):
    """What work costs: an hour at the bench, an inch of cut, a pierce; 0 = not given; ``margin``:
    what is put on everything made here, percent.
    """

    hour: float = 0.0
    cut_inch: float = 0.0
    pierce: float = 0.0
    margin: float = 0.0


INCH_FRAME_BOLTS = ("1/2-13", "9/16-12", "5/8-11")
MM_FRAME_BOLTS = ("M12x1.75", "M14x2", "M16x2")
"""Bolts that may hold a crossmember, where the shop does not say (common practice, no source)."""

LAYERS = {name: name for name in ("OUTLINE", "OPENING", "SCRIBE", "DRILL", "FOLD", "NOT_CUT")}


class Shop(NamedTuple):
    """What the shop has and wants. Lengths in mm.

    Attributes
    ----------
    plates, tubes, drills : tuple
        Plates thinnest first; drills' diameters, smallest first.
    layers, dxf, unit : mapping, str, str
        Layer names, kind and unit of cut files.
    hole_least, hole_factor : float
        Smallest hole that is cut, and the same in thicknesses; smaller ones are drilled.
    bed : (float, float)
        The cutting table.
    prices, rates : mapping, Rates
        A pound by stock key; hours, cut and pierces. 0 = not given.
    weld, filler : str
        Process, and filler as typed; "" = not named.
    archive : str
        Folder of the archive, "" = beside the job.
    loads, load_notes : mapping, tuple
        Load factors of its own by case, and who set them why.
    sheets, spacing, margin : tuple, float, float
        Sheets and remnants, and room between parts and at the edge of a nest.
    paper, terms, reads : str
        Size of its sheets, and whose words of the trade they speak; unit of length its file says,
        "" = the job's own is printed.
    friction, classes, dowel, frame_bolts
        State of the threads, "" = not known; marks of bolts by use; steel of dowels, "" = not
        named; stock keys of bolts that may hold a crossmember, smallest first.
    legs : tuple of float
        Of fillets, smallest first.
    inner_radius, mark_margin : float
        Least radius of an inner corner, and least distance of a scribe line from an edge.
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
    terms: str = "US"
    friction: str = ""
    legs: tuple[float, ...] = INCH_LEGS
    inner_radius: float = 0.125 * IN
    mark_margin: float = 0.125 * IN
    filler: str = ""
    classes: Mapping[str, str] = {}
    dowel: str = ""
    frame_bolts: tuple[str, ...] = INCH_FRAME_BOLTS
    reads: str = ""
    """Unit of length the shop's file says, "in" or "mm"; empty where it says none and the job's own
    is printed.
    """

    def sheets_of(self, key: str) -> tuple[SheetOnHand, ...]:
        """Sheets of a plate, remnants (counted ones) smallest first, so that they are used up;
        without a list, the cutting table's size without end.
        """
        if not self.sheets:
            w, h = sorted(self.bed)
            return (SheetOnHand(key, f"{number(w, 'length', 0)} x {number(h, 'length', 0)}", w, h),)
        return tuple(
            sorted(
                (sheet for sheet in self.sheets if sheet.stock == key),
                key=lambda s: (s.quantity == 0, s.width * s.length),
            )
        )

    def plate(self, key: str) -> PlateOnHand:
        """One plate by its key. KeyError lists the known ones."""
        return known("plate", key, {plate.key: plate for plate in self.plates})

    def tube(self, key: str) -> TubeOnHand:
        """One tube by its key. KeyError lists the known ones."""
        return known("tube", key, {tube.key: tube for tube in self.tubes})


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
    return Shop(plates=tuple(plates), tubes=tubes, drills=tuple(n * IN / 64 for n in DRILLS_64THS))
