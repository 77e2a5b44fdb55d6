"""The calculations put together, chapter by chapter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from ...layout.graph import Graph
from ...layout.quantities import Key, Reading
from ...layout.reader import measure
from ..drawing.display import pdf
from ..drawing.stress import seat_picture
from ..model.clause import Clause
from ..pieces._room_rules import ROOM
from ..stock import Shop
from ..strength.result import Strength, settled
from ..strength.work import Work
from ..truck.pins import on_paper
from ..truck.truck import Truck
from ..words import names
from ..words import numbers as shown
from ..words.readings import in_words
from . import bodies, cover, coverage, given, groups, loads, materials
from .cover import Issued
from .materials import Heats
from .paper import Column, Paper
from .rows import EQUAL, Rows

OWN: Mapping[str, Clause] = {ROOM.__name__: ROOM}
"""Clauses of families, outside the register."""


NONE: Heats = MappingProxyType({})


class ForSigner(NamedTuple):
    """A designed truck as the calculations see it; ``aside``: rules set aside, as printed;
    ``heats``: entered to the archive.
    """

    readings: Mapping[Key, Reading]
    solved: Graph
    truck: Truck
    shop: Shop
    strength: Strength
    aside: Sequence[str] = ()
    heats: Heats = NONE


def calculations_pdf(issued: Issued, truck: ForSigner, foot: str = "") -> bytes:
    """The document; where load cases wait, what is owed instead of them."""
    sheets = written(issued, truck).numbered()
    return pdf(sheets, truck.shop.paper, foot, issued.shop)


def written(issued: Issued, truck: ForSigner) -> Paper:
    """All its pages, not numbered yet."""
    pages = Paper(issued.chassis, issued.date)
    numbers = names.numbers(truck.truck.assembly)
    found = truck.strength

    def say(text: str) -> str:
        return shown.worded(names.sentence(in_words(on_paper(text), truck.solved), numbers))

    cover.write(pages, issued, found, say)
    cover.how_to_read(pages)
    given.readings(pages, truck.readings)
    if found.waits:
        _owed(pages, found)
    else:
        _loaded(pages, truck, numbers)
    cards = groups.Cards(found.groups)
    rows = Rows(pages, say, OWN, cards)
    if found.checks:
        pages.chapter("rows under load")
        rows.write(found.checks)
    if truck.truck.checks:
        pages.chapter("shop and code rules")
        rows.write(truck.truck.checks)
    if not found.waits:
        groups.write(pages, cards, say, numbers)
        _stations(pages, found)
        _pictures(pages, found)
        coverage.write(pages, found, say, numbers)
    coverage.assumptions(pages, found, truck.aside, say)
    cover.contents(pages)
    return pages


def _owed(pages: Paper, found: Strength) -> None:
    pages.chapter("what is owed")
    pages.heading("No load case can be worked: these readings are owed")
    for key in found.waits:
        pages.line(str(key))


def _loaded(pages: Paper, truck: ForSigner, numbers: Mapping[str, str]) -> None:
    """What is there only where the load cases could be worked."""
    values = settled(truck.truck, truck.solved)
    found = truck.strength
    given.coordinates(pages, truck.solved)
    given.bushings(pages, truck.solved)
    given.weights(pages, values)
    loads.cases(pages, found.forces)
    loads.joints(pages, found.telling, found.everyday)
    bodies.write(pages, truck.truck, values, found)
    work = Work(truck.truck, truck.shop, truck.solved.values, found.forces)
    materials.write(pages, work, numbers, truck.heats)


def _stations(pages: Paper, found: Strength) -> None:
    """The rail's stiffness at each station, as a share of the rail as measured."""
    ways = {
        "vertical": "vertical bending",
        "held": "held sideways",
        "lateral": "sideways bending",
        "torsion": "torsion",
    }
    rows = [
        [
            {"L": "left", "R": "right"}[side],
            measure(station.ahead, "length"),
            station.what,
            *(f"{100 * station.ratio[way]:.0f} %" if way in station.ratio else "" for way in ways),
        ]
        for side, stations in found.stations.items()
        for station in stations
    ]
    if not rows:
        return
    pages.chapter("rail along the coil-seat plate")
    pages.line("Stiffness at each station as a share of the rail as measured.")
    wide = (Column("rail", 50), Column("ahead of the coil", 90), Column("station", 250))
    pages.table((*wide, *(Column(head, 90) for head in ways.values())), rows)


def _pictures(pages: Paper, found: Strength) -> None:
    """Stress of every plate in elements; one picture where the other side's is equal."""
    drawn: list[tuple[float, float]] = []
    for part, (seat, most) in found.seats.items():
        own = (seat.per_newton, most)
        if any(np.allclose(own, other, rtol=EQUAL) for other in drawn):
            pages.line(f"{names.part(part)}: equal, drawn from the other side.")
            continue
        drawn.append(own)
        pages.chapter(f"{names.part(part)}, finite elements")
        seat_picture(pages.sheets[-1], seat, most)
