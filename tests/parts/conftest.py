"""The demo's job, truck and files, made once a process."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import pytest
from shared import sharing
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.cli.building.reuse import Reuse
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.setout import solve
from soapstone.parts import stock
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck, design

SHOP = stock.default_shop()
DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.fixture(scope="session")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="session")
def truck(job: Job) -> Truck:
    return design(solve(job), job.words, job.pins, job.chassis)


@pytest.fixture(scope="session")
def made(job: Job, truck: Truck) -> dict[str, bytes]:
    solved = solve(job)
    designed = Designed(job, solved, truck, SHOP, strength(truck, solved, SHOP))
    with sharing():
        again = Reuse()
        files = every_file(Build(designed, designed.looked(), again=again))
        again.keep(files)
    return files
