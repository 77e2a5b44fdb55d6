"""Jobs built whole, each as its own shop reads it, for what is read back out of their files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from metric import metric_job, metric_shop
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.reader import System, reading_in
from soapstone.layout.setout import solve
from soapstone.parts.rules.welds import MM_LEGS
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.strength.growth import held
from soapstone.parts.strength.result import Strength
from soapstone.parts.truck.truck import Truck
from soapstone.parts.verdict.findings import Judged
from trucks import job

METRIC = {"1/2-13": "M12x1.75", "5/8-11": "M16x2", "3/4-10": "M20x2.5"}
CHANNEL = {"frame.section": "channel", "frame.open_side": "inboard"}


class Made(NamedTuple):
    """A job with everything that was made of it."""

    job: Job
    solved: Graph
    truck: Truck
    shop: Shop
    strength: Strength
    judged: Judged
    files: Mapping[str, bytes]
    letters: Mapping[str, str]
    """Letter of every part that is released."""
    system: System


def metric() -> tuple[Job, Shop]:
    """The demo with metric bolts under a channel frame, by a shop that cuts in mm and welds in mm
    legs, and reads inches.
    """
    inch = job()
    words = {k: METRIC.get(v, v) for k, v in inch.words.items()} | CHANNEL
    shop = default_shop()._replace(unit="mm", legs=MM_LEGS, paper="A4", friction="dry")
    return inch._replace(words=words), shop


def typed_mm() -> tuple[Job, Shop]:
    """The demo as a shop in millimeters types it, under a channel frame, with that shop's stock."""
    with TemporaryDirectory() as folder:
        shop = metric_shop(Path(folder))
    found = metric_job()
    return found._replace(words={**found.words, **CHANNEL}), shop


JOBS: dict[str, tuple[Callable[[], tuple[Job, Shop]], System]] = {
    "demo": (lambda: (job("demo"), default_shop()._replace(friction="oiled")), System.INCH),
    "uneven": (lambda: (job("demo_uneven"), default_shop()), System.INCH),
    "metric": (metric, System.INCH),
    "typed mm": (typed_mm, System.METRIC),
}
NAMES = tuple(JOBS)
"""Every job that is read back; another is one more entry of ``JOBS``."""


@cache
def made(name: str) -> Made:
    """Built once a job."""
    of, system = JOBS[name]
    with reading_in(system):
        found, shop = of()
        solved = solve(found)
        grown = held(solved, found.words, found.pins, found.chassis, shop)
        whole = Designed(found, solved, grown.truck, shop, grown.strength)
        looked = whole.looked()
        files = every_file(Build(whole, looked))
    truck, strength = grown.truck, grown.strength
    return Made(found, solved, truck, shop, strength, looked.judged, files, {}, system)
