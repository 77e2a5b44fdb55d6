"""The schema of job and shop files, held to an implementation of JSON Schema (the library
jsonschema, draft 7) on files the loader takes and on files it refuses.
"""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest
from soapstone.cli.building.schema import schema_text
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.form import POINTER, blank_job
from soapstone.parts.stock.settings import settings_text
from trucks import DATA, NAMES

jsonschema = pytest.importorskip("jsonschema")
Table = dict[str, Any]


@cache
def validator() -> Any:
    schema = json.loads(schema_text())
    jsonschema.Draft7Validator.check_schema(schema)
    return jsonschema.Draft7Validator(schema)


def faults(table: Table) -> list[str]:
    plain = json.loads(json.dumps(table, default=str))  # an editor hands dates on as text
    return [f"{list(e.path)}: {e.message[:80]}" for e in validator().iter_errors(plain)]


@pytest.mark.parametrize("name", NAMES)
def test_invented_trucks_are_good(name: str) -> None:
    assert not faults(tomllib.loads((DATA / f"{name}.toml").read_text()))


def test_blank_forms_and_settings_are_good_and_point_at_it() -> None:
    for text in (blank_job("T1"), blank_job("T1", {"travel.bump"}), settings_text()):
        assert text.splitlines()[0] == POINTER
        assert not faults(tomllib.loads(text))


def test_every_field_is_in_it_with_where_and_how() -> None:
    text = schema_text()
    assert all(json.dumps(f.how, ensure_ascii=False)[1:-1] in text for f in FIELDS.values())
    assert all(f.sheet_code in text for f in FIELDS.values())


def demo() -> Table:
    return copy.deepcopy(tomllib.loads((DATA / "demo.toml").read_text()))


TYPED: tuple[object, ...] = ("23 7/16", '23-7/16"', "1' 11 7/16\"", "595.3 mm", "59.5 CM", "½", 23)


@pytest.mark.parametrize("typed", TYPED)
def test_what_a_tape_reads_is_good(typed: object) -> None:
    table = demo()
    table["axle"]["wheel_track"] = {"value": typed, "again": [typed], "plus_minus": "1/16"}
    assert not faults(table)


def test_a_coil_read_loaded_says_how_the_truck_stood() -> None:
    table = demo()
    table["spring"]["loaded_length"] = {"left": {"value": "13 1/2", "state": "ride"}, "right": ""}
    assert not faults(table)


def _set(path: str, value: object) -> Callable[[Table], None]:
    *way, last = path.split(".")

    def change(table: Table) -> None:
        here: Any = table
        for word in way:
            here = here[int(word)] if word.isdigit() else here.setdefault(word, {})
        here[last] = value

    return change


BAD: dict[str, object] = {
    "axle.kpo": 8.5,
    "axle.wheel_track": "seventeen",
    "axle.tire_loaded_radius": -3,
    "axle.kpi": [1],
    "frame.section": "round",
    "frame.rake": {"left": 0, "middle": 0},
    "frame.station.0.wall": 0.157,
    "frame.station.0.outre": 1,
    "job.chassis": "../T1",
    "job.date": "17 May",
    "spring.rate": "225 mm",
    "spring.wire": {"again": ["0.72"]},
    "axle.kpi ": {"value": 8.5},
    "travel.bump": {"value": 4, "state": "flying"},
    "spring.loaded_length": {"left": "13 1/2"},
    "override.any_hole": {"by": "me", "reason": "because"},
    "override.new_bottom_holes": {"by": "me"},
    "brakes.front": 1,
}


@pytest.mark.parametrize("path", BAD)
def test_what_the_loader_refuses_is_bad(path: str) -> None:
    from soapstone.layout.faults import SoapstoneError
    from soapstone.layout.job_file import of_table

    table = demo()
    _set(path, BAD[path])(table)
    assert faults(table)
    with pytest.raises(SoapstoneError):
        of_table(table)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("cut.unit", "cubits"),
        ("cut.bed", ["48"]),
        ("paper.size", "A9"),
        ("layers.OUTLINE", "a layer"),
        ("plate.0.steel", "unobtainium"),
        ("rates.hour", "ninety"),
        ("nest.spaces", 1),
    ],
)
def test_a_wrong_setting_is_bad(path: str, value: object) -> None:
    table: Table = {"plate": [{"key": "3/16 A36", "thickness": "3/16", "steel": "A36"}]}
    assert not faults(table)
    _set(path, value)(table)
    assert faults(table)
