"""The demo's job, truck and files."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

import built_jobs
import pytest
import trucks
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.parts.truck.truck import Truck

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.fixture(scope="session")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="session")
def truck() -> Truck:
    return trucks.truck()[0]


@pytest.fixture(scope="session")
def made() -> Mapping[str, bytes]:
    return built_jobs.made("demo").files
