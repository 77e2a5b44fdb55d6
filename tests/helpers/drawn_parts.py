"""Every part of three jobs with its drawing: the two invented trucks, and one typed in mm."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import metric
from designs import designed_of
from soapstone.layout.reader import System, reading_in
from soapstone.parts import drawing
from soapstone.parts.drawing.display import Sheet
from soapstone.parts.drawing.part_sheet import TitleHead
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.numbering import numbered_bolts, numbered_welds
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.truck.truck import Truck
from trucks import NAMES, truck

JOBS = (*NAMES, "mm")
HEAD = TitleHead("DEMO1", "d123456", "2026-01-15", "DRAFT - not released")


@contextmanager
def reading(name: str) -> Iterator[None]:
    """Prints for whoever the job is for."""
    with reading_in(System.METRIC if name == "mm" else System.INCH):
        yield


@cache
def job_of(name: str) -> tuple[Truck, Shop]:
    if name != "mm":
        return truck(name)[0], default_shop()
    with tempfile.TemporaryDirectory() as folder:
        shop = metric.metric_shop(Path(folder))
    job = metric.metric_job()
    with reading(name):
        return designed_of(job, shop).truck, shop


@cache
def sheets(name: str) -> tuple[tuple[Part, Sheet], ...]:
    """Every part of a job with its sheet."""
    made, shop = job_of(name)
    with reading(name):
        return tuple((part, sheet_of(made, part, shop)) for part in made.parts)


def sheet_of(made: Truck, part: Part, shop: Shop, twin: Part | None = None) -> Sheet:
    assembly = made.assembly
    numbers = {
        x.id: n for n, x in (*numbered_welds(assembly).items(), *numbered_bolts(assembly).items())
    }
    places = {*part.places, *(twin.places if twin else ())}
    welds = tuple(w for w in assembly.welds if places & {w.on, w.to})
    return drawing.sheet(part, welds, HEAD, shop, numbers, (), twin)
