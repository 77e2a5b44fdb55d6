"""Trucks designed for their loads, looked at and written once a run of the tests: what one process
has worked, another reads from the run's own cache.
"""

from __future__ import annotations

from collections.abc import Mapping

from shared import sharing
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed, sized
from soapstone.cli.building.every_file import files
from soapstone.cli.building.reuse import Reuse
from soapstone.cli.building.verdict import Looked
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve
from soapstone.parts.model.family import Choice
from soapstone.parts.stock import Shop, default_shop


def designed_of(job: Job, shop: Shop | None = None) -> Designed:
    """A job with the sizes its loads ask for, by whoever's shop; for the reader of now."""
    solved, own = solve(job), shop or default_shop()
    with sharing():
        truck, strength, _ = sized(job, solved, own)
    return Designed(job, solved, truck, own, strength)


def sizes_of(job: Job) -> Mapping[str, Mapping[str, Choice]]:
    """What its loads ask for."""
    with sharing():
        return sized(job, solve(job), default_shop()).sizes


def looked_at(designed: Designed) -> Looked:
    """Its travel and its verdict."""
    with sharing():
        return designed.looked()


def written(designed: Designed, with_solids: bool = True) -> dict[str, bytes]:
    """Every file of its build."""
    looked = looked_at(designed)
    with sharing():
        again = Reuse()
        made = files(Build(designed, looked, again=again, with_solids=with_solids))
        again.keep(made)
    return made
