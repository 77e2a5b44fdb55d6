"""The two invented chassis, designed, for the tests; changed readings on request."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job, load
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts.stock import default_shop
from soapstone.parts.truck import Truck
from soapstone.parts.way_out import held

DATA = Path(str(files("soapstone.layout.data")))
NAMES = ("demo", "demo_uneven")


@cache
def job(name: str = "demo") -> Job:
    return load(DATA / f"{name}.toml")


def truck_of(j: Job) -> tuple[Truck, Graph]:
    solved = solve(j)
    return held(solved, j.words, j.pins, j.chassis, default_shop()).truck, solved


@cache
def truck(name: str = "demo") -> tuple[Truck, Graph]:
    return truck_of(job(name))


def changed(key: str, by: float, words: dict[str, str] | None = None) -> tuple[Truck, Graph]:
    """The demo with every reading of a name moved by ``by`` (internal units), both sides."""
    j = job()
    hit = [k for k in j.readings if k.name == key]
    assert hit or words, key
    readings = {**j.readings, **{k: j.readings[k]._replace(value=j.readings[k].value + by) for k in hit}}
    return truck_of(j._replace(readings=readings, words={**j.words, **(words or {})}))


def left(name: str) -> Key:
    return Key(name, "L")
