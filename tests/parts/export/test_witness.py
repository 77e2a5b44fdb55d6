"""Solids read back by the kernel alone: good ones pass, others are told. Volumes by hand: a plate's
net area times its thickness, a box of three edges.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from again import once
from built_jobs import made
from designs import designed_of, looked_at
from soapstone.cli.building.build import Build
from soapstone.cli.building.solid_files import read_back as wanted
from soapstone.parts.export.witness import SolidToRead, read_back
from soapstone.parts.model.body import Plate, Tube
from trucks import job


@pytest.mark.parametrize("name", once(["demo", "uneven"]))
def test_every_solid_of_a_build_is_its_part(name: str) -> None:
    found = designed_of(job("demo_uneven" if name == "uneven" else name))
    every = wanted(Build(found, looked_at(found)), made(name).files)
    assert set(every) == {path for path in made(name).files if path.startswith("solid/")}
    assert read_back(every) == {}
    assert sum(solid.most == 0 for solid in every.values()) == 1, "the placed truck"


def one_plate() -> SolidToRead:
    found = designed_of(job())
    every = wanted(Build(found, looked_at(found)), made("demo").files)
    flat = next(
        part
        for part in found.truck.parts
        if isinstance(part.member.body, Plate) and not part.member.body.bends
    )
    return next(own for path, own in every.items() if flat.number in path)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda own: own._replace(data=own.data[:-2000]), "STEP file|sound|0 solids"),
        (lambda own: own._replace(data=b"not a solid"), "no STEP file"),
        (lambda own: own._replace(least=1.01 * own.least, most=1.01 * own.most), "cm3 where"),
        (lambda own: own._replace(least=0.99 * own.least, most=0.99 * own.most), "cm3 where"),
        (lambda own: own._replace(data=made("demo").files["solid/DEMO1-assembly-mm.step"]), "one"),
    ],
)
def test_a_solid_that_is_not_its_part_is_told(
    change: Callable[[SolidToRead], SolidToRead], said: str
) -> None:
    plate = one_plate()
    assert read_back({"a": plate}) == {}
    told = read_back({"a": change(plate), "b": plate})
    assert list(told) == ["a"] and re.search(said, told["a"]), told


def test_what_is_expected_of_a_tube_is_its_section_times_its_length() -> None:
    found = designed_of(job())
    every = wanted(Build(found, looked_at(found)), made("demo").files)
    tubes = [part for part in found.truck.parts if isinstance(part.member.body, Tube)]
    assert tubes
    for part in tubes:
        own = next(each for path, each in every.items() if f"-{part.number}-" in path)
        assert own.most == pytest.approx(part.area_net * part.member.body.length, rel=2e-4)
