"""The invented truck and its set-out, for the tests of this folder."""

from __future__ import annotations

import pytest
import trucks
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve


@pytest.fixture(scope="module")
def job() -> Job:
    return trucks.job()


@pytest.fixture(scope="module")
def solved(job: Job) -> Graph:
    return solve(job)
