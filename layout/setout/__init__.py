"""The set-out: every pivot and seat from the readings, left and right on their own."""

from __future__ import annotations

from ..graph import Graph
from ..job.load import Job
from . import rail
from .relations import ARMS, AXLE, SPRING, STEERING, UPPER


def solve(job: Job) -> Graph:
    """Every quantity of the set-out, given, solved or waiting."""
    return Graph((*AXLE, *ARMS, *UPPER, *SPRING, *STEERING, *rail.relations(job.counts.get("frame.station", 0))), job.readings)
