"""What a reading was taken with is kept as typed and said wherever it is said who took it, when."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from pathlib import Path

import pytest
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from soapstone.parts.calculations import given
from soapstone.parts.calculations.paper import Paper
from typed import DEMO, run, soapstone

RATE = 'rate = { value = 225, by = "Pat", date = "2026-02-01", with = "scale 3" }'
OUTER, OTHER = Key("frame.station.1.outer", "L"), Key("frame.station.1.outer", "R")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    made = tmp_path / "d.toml"
    made.write_text(DEMO.read_text().replace("rate = 225", RATE, 1))
    return made


def test_it_is_said_where_who_and_when_are_said(job: Path) -> None:
    assert "taken by Pat, 2026-02-01, with scale 3: 1\n" in run("readings", str(job))
    assert "with scale 3: spring.rate" in run("readings", str(job), "--all")
    told = json.loads(soapstone("readings", str(job), "--json").stdout)
    assert told["taken"] == {"by Pat, 2026-02-01, with scale 3": ["spring.rate"]}
    assert "by Pat, 2026-02-01, with scale 3" in run("explain", str(job), "spring.rate")


def test_it_stands_in_the_calculations_and_only_where_it_was_said(job: Path) -> None:
    words = []
    for path in (job, DEMO):
        pages = Paper("T1", "")
        pages.chapter("given")
        given.readings(pages, load(path).readings)
        words.append(" ".join(text.words for sheet in pages.sheets for text in sheet.texts))
    assert "by Pat, 2026-02-01, with scale 3" in words[0] and "Taken" not in words[1]


def test_a_measuring_sheet_brings_it_in_as_typed(job: Path, tmp_path: Path) -> None:
    run("readings", str(job), "--sheet", str(tmp_path / "s.csv"))
    rows = list(csv.DictReader(io.StringIO((tmp_path / "s.csv").read_text(encoding="utf-8-sig"))))
    for row in rows:
        if row["reading"] == "frame.station.1.outer.left":
            row |= {"value": "17 9/16", "with": 'Tape No. 2, 25 ft, hook bent 1/32"'}
    with (tmp_path / "filled.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    run("readings", str(job), "--take", str(tmp_path / "filled.csv"))
    taped = tomllib.loads((tmp_path / "d.taped.toml").read_text())
    assert 'Tape No. 2, 25 ft, hook bent 1/32"' in str(taped)
    got = load(job).readings
    assert got[OUTER].instrument == 'Tape No. 2, 25 ft, hook bent 1/32"'
    assert got[OTHER].instrument == ""


def test_a_given_result_keeps_it_too(job: Path) -> None:
    with job.open("a") as file:
        file.write('\n[fixed]\n"arm.tube" = { left = { value = "35", with = "tape 2" } }\n')
    assert "with tape 2" in run("explain", str(job), "arm.tube.left")
