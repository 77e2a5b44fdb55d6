"""The two invented chassis, designed, for the tests; changed readings on request."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path

from designs import designed_of, sizes_of
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key, Reading, Side
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.model.family import Choice
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, design

DATA = Path(str(files("soapstone.layout.data")))
NAMES = ("demo", "demo_uneven")


@cache
def job(name: str = "demo") -> Job:
    return load(DATA / f"{name}.toml")


def truck_of(j: Job) -> tuple[Truck, Graph]:
    """A job's truck with the sizes its own loads ask for."""
    made = designed_of(j)
    return made.truck, made.solved


@cache
def truck(name: str = "demo") -> tuple[Truck, Graph]:
    return truck_of(job(name))


@cache
def _sizes(name: str) -> Mapping[str, Mapping[str, Choice]]:
    return sizes_of(job(name))


def shaped(j: Job) -> tuple[Truck, Graph]:
    """A job's truck with the sizes that the demo's loads ask for: no load of its own is worked,
    where only shapes and places are asked after.
    """
    sizes, solved = _sizes("demo"), solve(j)
    asked = {name: {**sizes.get(name, {}), **j.pins.get(name, {})} for name in {*sizes, *j.pins}}
    return design(solved, j.words, asked, j.chassis, default_shop()), solved


def changed(key: str, by: float, words: dict[str, str] | None = None) -> tuple[Truck, Graph]:
    """The demo with every reading of a name moved by ``by`` (internal units), both sides, as
    ``shaped``.
    """
    j = job()
    hit = [k for k in j.readings if k.name == key]
    assert hit or words, key
    readings = {
        **j.readings,
        **{k: j.readings[k]._replace(value=j.readings[k].value + by) for k in hit},
    }
    return shaped(j._replace(readings=readings, words={**j.words, **(words or {})}))


def given(name: str, side: Side, value: float, half: float = IN / 16) -> dict[Key, Reading]:
    """A result given as measured (internal units)."""
    key = Key(name, side)
    return {key: Reading(key, (), value, half)}


def without(job: Job, *gone: str) -> Job:
    """The job without the readings of these names."""
    return job._replace(readings={k: r for k, r in job.readings.items() if k.name not in gone})


def left(name: str) -> Key:
    return Key(name, "L")


def mirrored(j: Job) -> Job:
    """The same truck seen in a mirror: left and right change places, what is across the truck
    changes its sign; results given of the center line must not be of those.
    """
    across = {
        "axle.casting_from": "axle.casting_to",
        "axle.casting_to": "axle.casting_from",
        "track_bar.frame_y_low": "track_bar.frame_y_high",
        "track_bar.frame_y_high": "track_bar.frame_y_low",
        "track_bar.frame_mount_y": "track_bar.frame_mount_y",
    }
    other = {"L": "R", "R": "L", "C": "C"}
    readings = {}
    for k, r in j.readings.items():
        key = Key(across.get(k.name, k.name), other[k.side])
        turned = k.side == "C" and (k.name.endswith(".y") or k.name in across)
        readings[key] = r._replace(key=key, value=-r.value if turned else r.value)
    fixed = {
        k._replace(side=other[k.side]): r._replace(key=k._replace(side=other[k.side]))
        for k, r in j.fixed.items()
    }
    return j._replace(
        readings=readings,
        fixed=fixed,
        words={k: {"left": "right", "right": "left"}.get(v, v) for k, v in j.words.items()},
    )


def reference_job() -> Job:
    """The demo with coil seats and tie rod where the reference has them: seats 21 1/4 in out, tie
    rod 1 1/2 in below the axle.
    """
    j = job()
    was = {"axle.spring_seat.y": 21.25 * IN, "axle.tie_rod_end.z": -1.5 * IN}
    readings = {k: r._replace(value=was.get(k.name, r.value)) for k, r in j.readings.items()}
    return j._replace(readings=readings)
