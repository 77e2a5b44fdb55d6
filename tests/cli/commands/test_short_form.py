"""From an empty page to the first plates: the short form filled in, and the lines of a further part
put into it.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from forms import filled
from soapstone.layout.job.fields import FIELDS, pattern
from soapstone.layout.job.form import blank_job, with_fields
from soapstone.layout.job.load import filled as read
from soapstone.layout.job_file import load
from soapstone.layout.setout import solve
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.needs import kept, tables
from soapstone.parts.verdict.assumptions import assumptions
from trucks import job as demo
from typed import DEMO, run, soapstone

WISHES = 8
"""Lines of the short form that cost no tape: two caster angles, bump, plan angle, place and height
of the frame joint, and what the axle, shaft and frame are called.
"""


def test_the_first_cut_files_from_what_the_short_form_asks(tmp_path: Path) -> None:
    """Nothing but its lines is typed: about thirty with the tape and the wishes, and the drill
    templates and fish plates are cut; everything else waits by name.
    """
    job = tmp_path / "DEMO1.toml"
    assert "short form" in run("new", "DEMO1", "--out", str(job))
    assert (tmp_path / "soapstone.schema.json").is_file()
    text, typed = filled(job.read_text(), tables("demo"))
    job.write_text(text)
    own = [name for name in typed if not name.startswith(("job.", "units."))]
    assert len(own) <= 30 + WISHES + 1, own
    got = soapstone("readings", str(job))
    assert got.returncode == 4 and "the first plates can be cut" in got.stderr, got.stderr
    assert "1. " in got.stdout and "--add" in got.stdout and "what further readings" in got.stdout
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4 and "No part fails or touches" in got.stderr, got.stderr
    cut = {path.name.split("-")[1] for path in (tmp_path / "o").rglob("cut/**/*.dxf")}
    assert cut == {"DT1", "DT2", "FP1"}
    assert "waits for" in got.stderr and "cut now, cut/now: 5 files" in got.stdout
    assert "next: cut what lies in cut/now; for the rest: soapstone readings" in got.stderr
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"), "--only", "fp1")
    assert got.returncode == 0 and len(list((tmp_path / "o/DEMO1/only-FP1").rglob("*.*"))) == 4
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"), "--only", "CM2")
    assert got.returncode == 4 and "--for CM" in got.stderr
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"), "--only", "Q!")
    assert got.returncode == 2 and "FP1" in got.stderr


def test_the_screen_says_what_to_read_before_what_is_assumed(tmp_path: Path) -> None:
    """What is assumed is one line behind what is owed, a line each only when asked for; what is cut
    first is the first step, since the file has its lines.
    """
    job = tmp_path / "T1.toml"
    run("new", "T1", "--out", str(job))
    few = run("readings", str(job), code=4).splitlines()
    lines = [n for n, line in enumerate(few) if line.startswith("assumed: ")]
    owed = [n for n, line in enumerate(few) if line.startswith("  needed ")]
    assert len(lines) == 1 and max(owed) < lines[0] and "--all lists them" in few[lines[0]]
    assert not [line for line in few if "ASSUMED" in line]
    step = next(line for line in few if line.startswith("  1. "))
    assert "drill templates DT" in step and "fish plate FP" in step
    every = run("readings", str(job), "--all", code=4)
    assert every.count("ASSUMED: ") >= 12 and every.count("  needed ") > len(owed)


def test_a_step_frees_what_it_says(tmp_path: Path) -> None:
    """The lines of the first step put in and filled: its parts wait for nothing more."""
    job = tmp_path / "T1.toml"
    run("new", "T1", "--out", str(job))
    job.write_text(filled(job.read_text(), tables("demo"))[0])
    before = run("readings", str(job), code=4)
    code = before.partition("--add ")[2][:2]
    said = run("readings", str(job), "--add", code)
    assert "nothing that was typed is changed" in said
    job.write_text(filled(job.read_text(), tables("demo"))[0])
    assert f"{code}: 0 readings still needed" in run("readings", str(job), "--for", code)
    again = job.read_bytes()
    assert "has a line for everything" in run("readings", str(job), "--add", code)
    assert job.read_bytes() == again


def test_with_every_line_added_nothing_assumed_lacks_its_line(tmp_path: Path) -> None:
    """What would take the place of something assumed where the demo's readings that are not asked
    for are left out.
    """
    job = tmp_path / "T1.toml"
    run("new", "T1", "--out", str(job))
    run("readings", str(job), "--add", "all")
    typed = tomllib.loads(job.read_text())
    bare = {key: row for key, row in demo().readings.items() if FIELDS[pattern(key.name)].needed}
    words = {name: word for name, word in demo().words.items() if FIELDS[pattern(name)].needed}
    short = demo()._replace(readings=bare, words=words)
    assumed = assumptions(short, solve(short), None, None, default_shop())
    said = re.findall(r"[a-z_.]+", " ".join(own.instead for own in assumed))
    asked = set(said) & set(FIELDS)
    assert len(asked) > 25 and "arms.lower_bush_radial" in asked
    taken = {key.name for key, row in demo().readings.items() if row.assumed}
    asked |= {pattern(name) for name in taken}
    assert not [name for name in asked if not there(typed, name)]


def there(at: Any, name: str) -> bool:
    """Whether a file has a line for a field, in the first row where it is one of a list."""
    for word in name.split("."):
        found = at[0] if word == "*" else at.get(word)
        if found is None:
            return False
        at = found
    return True


@pytest.mark.parametrize("code", sorted({row.code for row in kept() if row.fields}))
def test_lines_are_added_to_any_file_and_nothing_is_lost(code: str) -> None:
    """To the short form, to a file with one table, to the demo: what was said is said, every line
    stands in its order, and of the part nothing lacks a line.
    """
    names = set().union(*(row.fields for row in kept() if row.code == code))
    short = blank_job("T1", {"travel.bump", "frame.station.*.x"})
    bare = '[job]\r\nchassis = "T1"  # mine\r\n\r\n[frame]\r\nsection = "boxed"\r\n'
    demo = DEMO.read_text()
    for text in (short, bare, demo, demo.replace('wheelbase = "12\'"', "")):
        made, new = with_fields(text, names)
        lines = iter(made.splitlines())
        assert all(line in lines for line in text.splitlines()), "in order, every one"
        was, now = read(tomllib.loads(text)), read(tomllib.loads(made))
        assert all(now[name].items() >= was[name].items() for name in was if name != "frame")
        assert with_fields(made, names)[1] == [] and set(new) <= names
        assert ("\r\n" in text) == ("\r\n" in made)
    assert with_fields(demo, names)[1] == [
        f.name
        for f in FIELDS.values()
        if f.name in names and not there(tomllib.loads(demo), f.name)
    ]


def test_a_file_laid_out_otherwise_is_left_alone(tmp_path: Path) -> None:
    """Rows in one line take no further row: a sentence, and the file as it was."""
    job = tmp_path / "T1.toml"
    job.write_text('frame = { station = [{ x = "-60 in" }] }\n[job]\nchassis = "T1"\n')
    before = job.read_bytes()
    got = soapstone("readings", str(job), "--add", "CS")
    assert got.returncode == 3 and "by hand" in got.stderr and "Traceback" not in got.stderr
    assert job.read_bytes() == before
    bad = soapstone("readings", str(job), "--add", "ZZ")
    assert bad.returncode == 2 and "CS coil-seat plate" in bad.stderr


def test_what_is_left_empty_is_owed_and_what_is_mistyped_is_a_sentence(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    run("new", "T1", "--all", "--out", str(job))
    text = job.read_text()
    assert all(f.sheet_code in text for f in FIELDS.values())
    assert len(load(job).owed) > 150
    job.write_text(
        text.replace('rake = { left = "", right = "" }', 'rake = { left = "2", right = "" }')
    )
    assert "frame.rake.right" in map(str, load(job).owed) and len(load(job).readings)
    job.write_text(text.replace('wheelbase = ""', 'wheelbase = "12 ft o"'))
    got = soapstone("readings", str(job))
    assert got.returncode == 3 and "frame.wheelbase" in got.stderr and "Traceback" not in got.stderr


def test_the_schema_is_written_where_it_is_asked(tmp_path: Path) -> None:
    got = soapstone("readings", "--schema", str(tmp_path / "s.json"), cwd=tmp_path)
    assert got.returncode == 0 and (tmp_path / "s.json").is_file(), "no job is needed"
