"""Jobs built whole, each as its own shop reads it, for what is read back out of their files."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

import pytest
from designs import designed_of, looked_at, written
from metric import metric_job, metric_shop
from shared import sharing
from soapstone.cli.archive import acceptance
from soapstone.cli.archive.as_built import as_built
from soapstone.cli.archive.releasing import Signed, inputs_of, lettered, release_files
from soapstone.cli.archive.set_down import not_down
from soapstone.cli.archive.signature import Signer
from soapstone.cli.archive.store import Archive
from soapstone.cli.building.design import designed
from soapstone.layout import setdown
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.reader import System, reading_in
from soapstone.parts.model.terms import Level
from soapstone.parts.rules.welds import MM_LEGS
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.strength.result import Strength
from soapstone.parts.truck.truck import Truck
from soapstone.parts.verdict.findings import Judged
from trucks import DATA, job

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
    "demo": (lambda: (job("demo"), default_shop()), System.INCH),
    "uneven": (
        lambda: (job("demo_uneven"), default_shop()._replace(friction="oiled")),
        System.INCH,
    ),
    "metric": (metric, System.INCH),
    "typed mm": (typed_mm, System.METRIC),
}
SET_DOWN = "set down"
NAMES = (
    "demo",
    "typed mm",
    *(pytest.param(name, marks=pytest.mark.again) for name in ("uneven", SET_DOWN)),
    pytest.param("metric", marks=pytest.mark.long),
)
"""Every job that is read back; another is one more entry of ``JOBS``. What the metric one shows is
shown by the one typed in mm too, but for a shop that reads inches.
"""


def set_down_and_released() -> Made:
    """The demo tacked, set down with every reading as it should be, and released for weld as A, its
    findings signed for.
    """
    with TemporaryDirectory() as folder, reading_in(System.INCH), sharing():
        path = Path(folder) / "T1.toml"
        path.write_bytes((DATA / "demo.toml").read_bytes())
        found = designed(path, None)
        truck = setdown.truck_of(found.solved)
        rounds = (setdown.Round(dict(truck.targets), {}),)
        state = as_built(found.job.chassis, rounds, setdown.advise(truck, rounds))
        path.with_name("T1.asbuilt.json").write_text(json.dumps(state))
        assert not_down(path.with_name("T1.asbuilt.json").read_bytes()) == ""
        looked = found.looked()
        why = acceptance.Reasons(
            dict.fromkeys(acceptance.Subject, "looked at on the stands, it stays as drawn")
        )
        signer = Signer("the owner", "2026-02-01", "stands right")
        agreed = acceptance.accepted(looked.judged, signer.by, signer.date, why)
        store = Archive(Path(folder) / "archive")
        new = lettered(store, found, path)
        signed = Signed(Level.WELD, signer, agreed, [])
        inputs = inputs_of(path, None)
        _, files = release_files(store, found, looked, new, signed, inputs=inputs, kept={})
    return Made(
        found.job,
        found.solved,
        new.truck,
        found.shop,
        found.strength,
        looked.judged,
        files,
        new.letters,
        System.INCH,
    )


def whole(job: Job, shop: Shop, system: System, with_solids: bool = True) -> Made:
    """A job built as its shop reads it."""
    with reading_in(system):
        own = designed_of(job, shop)
        judged, files = looked_at(own).judged, written(own, with_solids)
    return Made(own.job, own.solved, own.truck, own.shop, own.strength, judged, files, {}, system)


@cache
def made(name: str) -> Made:
    """Built once a job."""
    if name == SET_DOWN:
        return set_down_and_released()
    of, system = JOBS[name]
    return whole(*of(), system)
