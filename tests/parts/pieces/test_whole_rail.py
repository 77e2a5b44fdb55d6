"""A rail that stays whole where the coil stands: one question asked, the cut's readings not."""

from __future__ import annotations

import copy
import tomllib
from functools import cache
from typing import Any

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.quantities import SIDES, Key
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.geometry.outline import bbox
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.rail_stations import stations
from soapstone.parts.strength.work import Work
from soapstone.parts.truck.truck import Truck, design
from trucks import DATA


@cache
def _demo() -> dict[str, Any]:
    return tomllib.loads((DATA / "demo.toml").read_text())


def _job(cut: str, notch: dict[str, Any] | None = None) -> Job:
    table = copy.deepcopy(_demo())
    read = table["frame"].pop("notch")
    if notch is not None:
        table["frame"]["notch"] = {**read, **notch}
    return of_table({**table, "frame": {**({"cut": cut} if cut else {}), **table["frame"]}})


@cache
def _made(cut: str) -> tuple[Truck, Graph]:
    """The lightest plates, no load looked at."""
    job = _job(cut, {} if cut == "yes" else None)
    solved = solve(job)
    return design(solved, job.words, job.pins, job.chassis, default_shop()), solved


ZERO = {name: {"both": 0} for name in ("x_first", "x_last", "z_low", "z_high")}


def test_one_question_is_owed_and_no_spares_the_rest() -> None:
    assert _job("").owed == (Key("frame.cut", "C"),)
    assert not _job("no").owed
    assert {key.name.rpartition(".")[0] for key in _job("yes").owed} >= {"frame.notch"}
    assert not _job("no", ZERO).owed, "zeros say that there is none"
    waits = {name for name in map(str, solve(_job("no")).equations) if name.startswith("notch.")}
    assert not waits


@pytest.mark.parametrize(
    ("cut", "notch", "says"),
    [
        ("no", {}, "frame.notch.x_first"),
        ("", ZERO, 'frame.cut = "no"'),
    ],
)
def test_what_contradicts_it_is_refused(cut: str, notch: dict[str, Any], says: str) -> None:
    with pytest.raises(SoapstoneError) as got:
        _job(cut, notch)
    assert any(says in str(fault) for fault in got.value.faults)


def test_the_plate_lies_on_sound_wall_under_the_coil() -> None:
    """Nothing is gone, so nothing is closed: no strip, no line of a cut on the steel, the plate as
    high as the rail's wall lets it, the mount as near as the coil lets it, the section at least the
    rail's own everywhere (a section with steel added has no smaller modulus about an axis through
    its middle; statics).
    """
    truck, solved = _made("no")
    rail = Work(truck, default_shop(), solved.values, ())
    for side in SIDES:
        (plate,) = [m for m in truck.assembly.members if m.code == f"CS1.{side}"]
        assert isinstance(plate.body, Plate)
        x0, low, x1, high = bbox(plate.body.outline)
        height = solved.values[Key("rail.coil.height", side)]
        assert x0 == pytest.approx(-2 * height) and x1 == pytest.approx(2 * height)
        assert low == pytest.approx(height - high), "as far from either flange"
        assert height - (high - low) < 2 * 0.75 * IN
        drawn = [scribe for scribe in truck.assembly.scribes if scribe.on == f"CS1.{side}"]
        assert [scribe.role for scribe in drawn] == ["ride"]
        along = stations(rail, side)
        assert [place.what for place in along] == [
            "plate's front end",
            "plate on the sound wall, under the coil",
            "plate's rear end",
        ]
        assert min(value for place in along for value in place.ratio.values()) >= 1.0
    assert not [m for m in truck.assembly.members if m.code.startswith("RS")]


def test_the_mount_need_not_reach_past_a_cut() -> None:
    """With the cut the gussets stand past its farther edge, 1/4 in and rounded up; without it they
    stand where the bowed coil lets them, nearer, so that the mount is narrower.
    """
    wide = {
        cut: max(
            bbox(m.body.outline)[2] - bbox(m.body.outline)[0]
            for m in _made(cut)[0].assembly.members
            if m.code.startswith("CM1") and isinstance(m.body, Plate)
        )
        for cut in ("yes", "no")
    }
    assert wide["no"] < wide["yes"]
