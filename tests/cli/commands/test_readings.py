"""Readings checked; the measuring sheet out and in."""

from __future__ import annotations

import csv
import io
import itertools
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from pdf_text import pages as pages_of
from soapstone.layout.job.closures import APART
from soapstone.layout.job.cross import sides_apart
from soapstone.layout.job.fields import FIELDS, pattern
from soapstone.layout.job.form import blank_job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from typed import DEMO, soapstone


def test_measuring_sheet_goes_out_and_comes_back(tmp_path: Path) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    assert soapstone("readings", str(job), "--sheet", str(tmp_path / "s.csv")).returncode == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "s.csv").read_text(encoding="utf-8-sig"))))
    assert {r["code"] for r in rows} == {f.sheet_code for f in FIELDS.values() if f.at_truck} - {
        "B-41",
        "B-48",
        "B-40",
    } | {r["code"] for r in rows if r["code"] in ("B-40", "B-41", "B-48")}
    for r in rows:
        if r["reading"] == "frame.station.1.outer.left":
            r |= {"value": "17 9/16", "plus_minus": "1/32", "by": "me"}
        if r["reading"] == "frame.station.1.outside":
            r["value"] = "35 1/16"
    out = tmp_path / "filled.csv"
    with out.open("w", newline="") as f:
        w = csv.DictWriter(f, list(rows[0]))
        w.writeheader()
        w.writerows(rows)
    assert soapstone("readings", str(job), "--take", str(out)).returncode == 0
    assert job.read_bytes() == DEMO.read_bytes(), "the job file is never rewritten"
    assert len((tmp_path / "d.taped.toml").read_text().splitlines()) == 4, (
        "only what is new is taken"
    )
    got = load(job)
    key = Key("frame.station.1.outer", "L")
    assert got.readings[key].value == pytest.approx(17.5625 * 25.4) and got.readings[key].by == "me"
    assert got.readings[key].half_width == pytest.approx(25.4 / 32)
    assert got.readings[Key("frame.station.1.outer", "R")].typed == ("17 1/2",)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("frame.station.1.outer.left", "frame.station.1.outre.left", "frame.station.*.outer"),
        ("17 1/2", "seventeen", "seventeen"),
        ("17 1/2", "-3", "5 in .. 40 in"),
    ],
)
def test_a_bad_line_of_the_sheet_takes_nothing_in(
    old: str, new: str, says: str, tmp_path: Path
) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    soapstone("readings", str(job), "--sheet", str(tmp_path / "s.csv"))
    lines = (tmp_path / "s.csv").read_text(encoding="utf-8-sig").splitlines()
    at = next(i for i, line in enumerate(lines) if "frame.station.1.outer.left" in line)
    lines[at] = (
        lines[at].replace(old, new)
        if old != "frame.station.1.outer.left"
        else lines[at].replace(old, new).replace("17 1/2", "17")
    )
    (tmp_path / "bad.csv").write_text("\n".join(lines))
    got = soapstone("readings", str(job), "--take", str(tmp_path / "bad.csv"))
    assert got.returncode == 3 and says in got.stderr and "Traceback" not in got.stderr
    assert not (tmp_path / "d.taped.toml").exists()


def test_left_and_right_far_apart_are_asked_about_by_both_readings(tmp_path: Path) -> None:
    """Every sided reading of the demo that a tape or a finder gives, its right side moved by more
    than the form on the phone allows; read twice on both sides nobody asks.
    """
    got = load(DEMO)
    assert not list(sides_apart(got.readings))
    for key in [key for key in got.readings if key.side == "L"]:
        field = FIELDS[pattern(key.name)]
        if field.role != "measured" or field.kind not in APART:
            continue
        right = got.readings[Key(key.name, "R")]
        moved = right._replace(value=right.value + 2 * APART[field.kind])
        said = list(sides_apart({**got.readings, moved.key: moved}))
        assert len(said) == 1 and said[0].startswith(f"{key.name}: left "), (key, said)
        again = {
            k: r._replace(typed=r.typed * 2)
            for k, r in ((key, got.readings[key]), (moved.key, moved))
        }
        assert not list(sides_apart({**got.readings, **again}))
    job = tmp_path / "d.toml"
    wide = DEMO.read_text().replace(
        'width = { both = "2 3/4" }', 'width = { left = "4 3/4", right = "2 3/4" }', 1
    )
    job.write_text(wide)
    assert (
        "width: left 4 3/4 in, right 2 3/4 in, 2 in apart" in soapstone("readings", str(job)).stdout
    )


def test_a_sheet_that_says_otherwise_than_the_job_names_every_reading(tmp_path: Path) -> None:
    """The job was changed while somebody filled in the sheet: what stood there is said beside what
    holds, of these readings and of no other.
    """
    job, out = tmp_path / "d.toml", tmp_path / "s.csv"
    job.write_text(DEMO.read_text())
    soapstone("readings", str(job), "--sheet", str(out))
    job.write_text(
        DEMO.read_text().replace("lock = 24", "lock = 25").replace("kpi = 8.5", "kpi = 9")
    )
    text = out.read_text(encoding="utf-8-sig")
    assert ",24,,," in text and ",8.5,,," in text
    out.write_text(text.replace(",24,,,", ",26,,,", 1))
    said = soapstone("readings", str(job), "--take", str(out)).stdout
    told = [line for line in said.splitlines() if "stood there" in line]
    assert [line.split(",")[0] for line in told] == [
        "axle.kpi: 9 stood there",
        "steering.lock: 25 stood there",
    ]
    assert "26 holds now" in told[1] and "8.5 holds now" in told[0]


def test_the_sheet_carries_how_the_truck_stood(tmp_path: Path) -> None:
    """A coil read loaded, out of one job and into another where nothing stood; without the state
    it is refused.
    """
    said = 'loaded_length = { both = { value = "13 1/2", state = "ride" } }\nends = "ground"'
    job, blank, out = tmp_path / "d.toml", tmp_path / "b.toml", tmp_path / "s.csv"
    job.write_text(DEMO.read_text().replace('ends = "ground"', said, 1))
    blank.write_text(blank_job("DEMO1"))
    soapstone("readings", str(job), "--sheet", str(out))
    assert soapstone("readings", str(blank), "--take", str(out)).returncode == 0
    key = Key("spring.loaded_length", "L")
    assert load(blank).readings[key].state == "ride"
    lines = out.read_text(encoding="utf-8-sig").replace(",ride,in,3 in,40 in,", ",,in,3 in,40 in,")
    out.write_text(lines)
    (tmp_path / "b.taped.toml").unlink()
    got = soapstone("readings", str(blank), "--take", str(out))
    assert got.returncode == 3 and "say how the truck stood" in got.stderr
    assert not (tmp_path / "b.taped.toml").exists()


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_whole_sheet_fills_a_blank_job(unit: str, tmp_path: Path) -> None:
    """Every row of the demo's sheet, rows of lists with it, into a job where nothing stood: the
    same readings come out.
    """
    whole = tmp_path / "d.toml"
    whole.write_text(DEMO.read_text())
    blank = tmp_path / "b.toml"
    blank.write_text(blank_job("DEMO1").replace('length = "in"', f'length = "{unit}"', 1))
    out = tmp_path / "s.csv"
    assert soapstone("readings", str(whole), "--sheet", str(out)).returncode == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8-sig"))))
    for r in rows:
        if r["unit"] == "in" and unit == "mm" and not re.search("[a-z'\"]", r["value"]):
            r["value"] += " in" if r["value"] else ""
    with out.open("w", newline="") as f:
        w = csv.DictWriter(f, list(rows[0]))
        w.writeheader()
        w.writerows(rows)
    got = soapstone("readings", str(blank), "--take", str(out))
    assert got.returncode == 0 and "0 still needed" in got.stdout, got.stderr
    one, two = load(whole), load(blank)
    assert {k: r.value for k, r in two.readings.items()} == pytest.approx(
        {k: r.value for k, r in one.readings.items()}
    )
    again = tmp_path / "again.csv"
    soapstone("readings", str(blank), "--sheet", str(again))
    rows = list(csv.DictReader(io.StringIO(again.read_text(encoding="utf-8-sig"))))
    assert {r["unit"] for r in rows if r["reading"].startswith("axle.tire")} == {unit}


def test_measuring_sheet_on_paper_has_every_code(tmp_path: Path) -> None:
    from pypdf import PdfReader

    got = soapstone("readings", str(DEMO), "--sheet", str(tmp_path / "s.pdf"))
    assert got.returncode == 0
    pages = PdfReader(tmp_path / "s.pdf").pages
    words = " ".join(pages_of((tmp_path / "s.pdf").read_bytes()))
    assert {float(pages[0].mediabox.width), float(pages[0].mediabox.height)} == {792.0, 612.0}
    assert "never on a jack alone" in words
    assert all(
        f.sheet_code in words
        for f in FIELDS.values()
        if f.at_truck
        and not f.name.startswith("travel.obstacle")
        and not f.when  # what another answer of the demo spares
    )


def _blank_lines(page: str) -> dict[str, range]:
    """Numbers of the blank lines of the last measuring sheet, as they are printed one after the
    other.
    """
    holes, _, hit = page.partition("What may be hit")
    found = {}
    for name, part in (("hole", holes), ("obstacle", hit)):
        numbers = [int(line) for line in part.splitlines() if line.isdigit()]
        found[name] = range(numbers[0], numbers[-1] + 1)
        assert numbers == [*found[name]]
    return found


def test_a_paper_sheet_is_a_stop_of_the_walk_with_a_number_and_a_box_a_reading() -> None:
    """What is cut first stands on the first sheets; on each the numbers of the sketch are those of
    its rows, at most so many as can be told apart; every reading once, nothing outside the page.
    """
    from soapstone.layout.job.load import filled
    from soapstone.layout.job.sheet import sheet_rows
    from soapstone.layout.job_file import of_table
    from soapstone.parts.drawing.measuring import MOST, measuring_pdf
    from soapstone.parts.truck.needs import first_fields

    rows = sheet_rows(of_table(filled(tomllib.loads(blank_job("T1")))))
    *said, last = pages_of(measuring_pdf("T1", rows))
    first = {f.sheet_code for f in FIELDS.values() if f.name in first_fields()} - {
        f.sheet_code for f in FIELDS.values() if f.name.startswith("frame.hole")
    }
    early = [text for text in said if "what is cut first" in text]
    assert said[: len(early)] == early and 3 <= len(early) <= 6
    assert all(any(f"{code} " in text for text in early) for code in first)
    for text in said:
        lines = text.splitlines()
        for number in range(1, MOST + 1):
            assert lines.count(str(number)) in (0, 2), "in the sketch and beside its row"
        assert "left" in lines and "right" in lines and "again" in lines
    whole = "\n".join(said)
    assert whole.count("A-07 ") == 1 and whole.count("F-20 no. 2") == 1
    assert "F-44 " in whole
    assert _blank_lines(last) == {"hole": range(1, 10), "obstacle": range(1, 7)}
    codes = {
        f.sheet_code
        for f in FIELDS.values()
        if f.at_truck and f.name.startswith(("frame.hole", "travel.obs"))
    }
    assert len(codes) > 14 and all(f"{code} " in last for code in codes)
    known = sheet_rows(load(DEMO))
    again = pages_of(measuring_pdf("T1", known))[-1]
    assert _blank_lines(again) == {"hole": range(9, 18), "obstacle": range(2, 8)}
    no = measuring_pdf("T1", rows, words={"frame.cut": "no"})
    assert "F-44 " not in "".join(pages_of(no))


def test_words_to_tick_are_words_and_clear_of_the_next_box() -> None:
    """Printed and read back by pypdf: every word of every field that has boxes, none with an
    underscore, each with room before the next begins.
    """
    from pypdf import PdfReader
    from soapstone.layout.job.load import filled
    from soapstone.layout.job.sheet import sheet_rows
    from soapstone.layout.job_file import of_table
    from soapstone.parts.drawing.display import width_of
    from soapstone.parts.drawing.measuring import FEW, SIZE, measuring_pdf

    rows = sheet_rows(of_table(filled(tomllib.loads(blank_job("T1")))))
    pages = PdfReader(io.BytesIO(measuring_pdf("T1", rows))).pages
    places: dict[tuple[int, float], list[tuple[float, str]]] = {}
    for number, page in enumerate(pages):

        def seen(text: str, cm: Any, tm: Any, _font: Any, _size: Any, at: int = number) -> None:
            if text.strip():
                x, y = (cm[4 + way] + tm[4 + way] for way in (0, 1))
                places.setdefault((at, round(y, 1)), []).append((x, text.strip()))

        page.extract_text(visitor_text=seen)
    assert not any("_" in text and "__" not in text for row in places.values() for _, text in row)
    told = {
        word.replace("_", " ")
        for f in FIELDS.values()
        if 0 < len(f.words) <= FEW
        for word in f.words
    }
    found = set()
    for row in places.values():
        for (x, text), (after, _) in itertools.pairwise(sorted(row)):
            if text in told:
                found.add(text)
                assert x + width_of(text, SIZE) + 3 <= after, (text, after)
    assert "double cardan" in found and len(found) > 10


@pytest.mark.parametrize("line", ['section = "boxed"', "max_pinion_joint = 15"])
def test_an_owed_safety_reading_ends_four_everywhere(line: str, tmp_path: Path) -> None:
    """Named with the parts it holds up, or with what else hangs on it; never "0 still owed"."""
    job = tmp_path / "d.toml"
    text = DEMO.read_text()
    assert line in text
    job.write_text(text.replace(line, "", 1))
    name = line.partition(" ")[0]
    # a truck whose travel alone waits is worked whole by check: minutes
    for command in ("readings", "solve", "check")[: 3 if "section" in line else 2]:
        got = soapstone(command, str(job))
        assert got.returncode == 4, (command, got.stdout[-300:], got.stderr)
        assert name in got.stdout + got.stderr
    said = soapstone("readings", str(job)).stdout
    assert "1 still needed" in said and "needed SAFETY" in said
    if name == "section":
        listed = re.search(r"for \d+ parts: ([A-Z ]+)", said)
        assert listed and {"EX", "CS"} <= set(listed[1].split()), "every part that rests on it"
        got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
        assert got.returncode == 4
        cut = [p.name for p in (tmp_path / "o/DEMO1/draft/cut").rglob("*.dxf")]
        assert cut and not [n for n in cut if n.split("-")[1][:2] in ("CS", "XS", "CM", "FP")]


def test_what_one_part_needs_is_asked_all_at_once_and_in_the_order_of_the_walk(
    tmp_path: Path,
) -> None:
    blank = tmp_path / "b.toml"
    blank.write_text(blank_job("B1"))
    whole = soapstone("readings", str(blank)).stdout
    own = soapstone("readings", str(blank), "--for", "xt")
    assert own.returncode == 4
    asked = [line for line in own.stdout.splitlines() if "needed " in line and " for " in line]
    assert 20 < len(asked) < whole.count("  needed ") / 2, "of one part, and all of it"
    stops = [line for line in own.stdout.splitlines() if line.endswith(":")]
    assert len(stops) == len(set(stops)) and "wished for" in stops[0], stops
    assert "the most parts for the fewest readings:" in whole and " parts: " in whole
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    done = soapstone("readings", str(job), "--for", "XT")
    assert done.returncode == 0 and "0 readings still needed" in done.stdout
    job.write_text(DEMO.read_text().replace('section = "boxed"', "", 1))
    assert soapstone("readings", str(job), "--for", "CS", "--json").returncode == 4
    assert soapstone("readings", str(job), "--for", "EX").returncode == 4
    bad = soapstone("readings", str(job), "--for", "ZZ")
    assert bad.returncode == 2 and "CS coil-seat plate" in bad.stderr
