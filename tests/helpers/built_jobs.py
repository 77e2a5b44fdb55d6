"""Jobs built whole, each as its own shop reads it, for what is read back out of their files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import chdir
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from metric import metric_job, metric_shop
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed, designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.reader import System, reading_in
from soapstone.layout.setout import solve
from soapstone.parts.rules.welds import MM_LEGS
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.strength.growth import held
from soapstone.parts.strength.rows import Strength
from soapstone.parts.truck.truck import Truck, relettered
from soapstone.parts.verdict.findings import Judged
from trucks import DATA, job
from typed import run

METRIC = {"1/2-13": "M12x1.75", "5/8-11": "M16x2", "3/4-10": "M20x2.5"}
CHANNEL = {"frame.section": "channel", "frame.open_side": "inboard"}
SET_DOWN = '[[down]]\nheight = { left = "24 5/8", right = "25" }\n'
"""Two readings of the tacked truck, one of them out; the demo is invented, and so are these."""


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
SET_DOWN_JOB = "set down"
NAMES = (*JOBS, SET_DOWN_JOB)
"""Every job that is read back; another is one more entry."""


@cache
def made(name: str) -> Made:
    """Built once a job."""
    if name == SET_DOWN_JOB:
        return _set_down()
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


def _set_down() -> Made:
    """The demo by its commands: set down, the readings taken, released for tack with them."""
    with TemporaryDirectory() as folder, chdir(folder), reading_in(System.INCH):
        here = Path(folder)
        path = here / "d.toml"
        path.write_bytes((DATA / "demo.toml").read_bytes())
        (here / "d.down.toml").write_text(SET_DOWN)
        run("correct", "d.toml", code=6)
        run("build", "d.toml")
        run("release", "d.toml", "--note", "tacked and set down", "--by", "the owner")
        found = designed(path, None)
        letters = {p.id: "A" for p in found.truck.singles}
        truck = relettered(found.truck, found.shop, found.job.chassis, letters, {})
        root = here / "out" / found.job.chassis / "A"
        files = {
            p.relative_to(root).as_posix(): p.read_bytes() for p in root.rglob("*") if p.is_file()
        }
        judged = found.looked().judged
    parts = {p.id: "A" for p in truck.parts}
    return Made(
        *(found.job, found.solved, truck, found.shop, found.strength, judged, files, parts),
        System.INCH,
    )
