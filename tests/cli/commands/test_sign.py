"""Nothing is signed for weld or final without words for each thing that is not as it should be."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from soapstone.cli.archive.record import Record
from soapstone.cli.archive.signature import (
    Open,
    before_first,
    before_last,
    level_faults,
    too_early,
)
from soapstone.parts.model.terms import Level
from typed import run, words_of

WELD = ("sign", "DEMO1", "A", "--level", "weld", "--by", "the owner", "--date", "2026-02-02")
FINAL = ("sign", "DEMO1", "A", "--level", "final", "--by", "the owner", "--date", "2026-02-03")
LOG = ("enter", "DEMO1", "A", "--by", "the welder", "--date", "2026-02-02", "--weld")
GAPS = "each gap looked at through the travel"
CONFIRM = "weighed: the truck carries less than these rows take"
ASSUMED = "values taken as they are"
LEVEL = "owner wants it level with his other truck"
REST = "owner inspected the rest himself"
CONFIRMED = ("--accept", f"confirm={CONFIRM}", "--accept", f"assumed={ASSUMED}")
FINDINGS = ("--accept", f"gaps={GAPS}", *CONFIRMED)
SET_DOWN = ("--accept", f"set-down={LEVEL}")
WELDS = ("--accept", f"welds = {REST}", "--accept", f"bolts = {REST}")


@pytest.fixture
def shop(set_down_out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(set_down_out, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def event(shop: Path, number: int) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((shop / f"archive/DEMO1/A.{number}.json").read_text())
    return found


def test_a_set_down_out_of_its_limits_is_not_released_for_weld(shop: Path) -> None:
    weld = ("--note", "tacked", "--by", "the owner", "--level", "weld")
    assert "does not stand right" in run("release", "d.toml", *weld, code=2)
    assert "does not stand right" in run("release", "d.toml", *weld, *SET_DOWN, code=2)
    assert "NOT RELEASED FOR WELD" in run(*LOG, "W2"), "it stays on record, and is said"


def test_weld_wants_words_for_the_set_down_and_words_for_the_findings(shop: Path) -> None:
    asked = run(*WELD, code=2)
    assert "beside the coil, left 24 5/8 in" in asked and "not read: rear hub center" in asked
    assert "--accept set-down" in asked
    assert "--accept set-down" in run(*WELD, "--note", LEVEL, code=2), "a note answers nothing"
    assert "--accept set-down" in run(*WELD, *FINDINGS, code=2), "nor does another thing's reason"
    asked = run(*WELD, *SET_DOWN, code=2)
    assert "--accept confirm" in asked and "to confirm" in asked
    assert "--accept gaps" in asked and "gaps under" in asked and "--accept assumed" in asked
    asked = run(*WELD, *SET_DOWN, *CONFIRMED, code=2)
    assert "--accept gaps" in asked and "--accept confirm" not in asked, "each has its own words"
    told = run(*WELD, *SET_DOWN, *FINDINGS)
    assert "signed for weld" in told and all(why in told for why in (GAPS, CONFIRM, ASSUMED))
    (row,) = event(shop, 1)["open"]
    assert row["subject"] == "set-down" and row["why"] == LEVEL and row["by"] == "the owner"
    assert "not read: rear hub center" in row["what"], "what was signed over stands with it"
    assert {(one["verdict"], one["why"]) for one in event(shop, 1)["accepted"]} == {
        ("tight", GAPS),
        ("confirm", CONFIRM),
        ("assumed", ASSUMED),
    }


def test_final_after_weld_wants_words_for_the_welds_only(shop: Path) -> None:
    run(*WELD, *SET_DOWN, *FINDINGS)
    assert "NOT RELEASED FOR WELD" not in run(*LOG, "W2")
    asked = run(*FINAL, code=2)
    assert "not logged" in asked and "W1, W3-W" in asked and "set-down" not in asked
    assert "--accept welds" in run(*FINAL, "--note", REST, code=2), "a note answers nothing"
    assert "leave it out" in run(*FINAL, *WELDS, *SET_DOWN, code=2), "it was answered before"
    assert "leave it out" in run(*FINAL, *WELDS, *FINDINGS, code=2), "so were these"
    assert "signed for final" in run(*FINAL, *WELDS)
    row, bolts = event(shop, 3)["open"]
    assert bolts["subject"] == "bolts" and bolts["what"].startswith("B1-B")
    assert row["subject"] == "welds" and row["what"].startswith("W1, W3-W") and row["why"] == REST
    assert event(shop, 3)["accepted"] == [], "accepted once"
    sheet = next((shop / "out/DEMO1/A/nest").rglob("*.pdf"))
    signed = sheet.read_bytes()
    sheet.write_bytes(b"of the level before: a stop came here")
    assert "written once more" in run(*FINAL, *WELDS) and sheet.read_bytes() == signed
    assert not (shop / "archive/DEMO1/A.4.json").exists()
    handed = " ".join(words_of(shop / "out/DEMO1/A/log/hand-over-record.pdf")[0].split())
    assert LEVEL in handed and REST in handed
    since = run("revisions", "DEMO1")
    assert LEVEL in since and REST in since


def test_final_straight_from_tack_wants_all_that_weld_wants(shop: Path) -> None:
    asked = run(*FINAL, code=2)
    assert "--accept set-down" in asked and "--accept welds" in asked
    for missing, given in (
        ("--accept set-down", (*WELDS, *FINDINGS)),
        ("--accept welds", (*SET_DOWN, *FINDINGS)),
        ("to confirm", (*WELDS, *SET_DOWN)),
    ):
        assert missing in run(*FINAL, *given, code=2)
    assert not (shop / "archive/DEMO1/A.1.json").exists(), "nothing was written"
    assert "signed for final" in run(*FINAL, *WELDS, *SET_DOWN, *FINDINGS)
    assert {row["subject"]: row["why"] for row in event(shop, 1)["open"]} == {
        "set-down": LEVEL,
        "welds": REST,
        "bolts": REST,
    }


@pytest.mark.parametrize("day", ["2026-02-30", "2026-13-01", "2020-01-01", "soon", ""])
def test_no_signature_on_a_day_that_is_none_or_before_the_release(shop: Path, day: str) -> None:
    asked = run(*WELD[:-1], day, *SET_DOWN, *FINDINGS, code=2)
    assert asked.startswith("not signed\n--date") and asked.count("\n") == 2, asked


def test_nothing_is_signed_before_the_release_or_what_was_signed_last() -> None:
    released = Record({"date": "2026-01-15"}, "")
    assert "2026-01-15 or later" in str(*too_early("2026-01-14", released, ()))
    assert not too_early("2026-01-15", released, ())
    since = ({"kind": "signed", "date": "2026-02-02"}, {"kind": "entered", "date": "2026-03-01"})
    assert "2026-02-02 or later" in str(*too_early("2026-02-01", released, since))
    assert not too_early("2026-02-02", released, since), "a weld may have been logged later"


def test_no_release_before_the_last_and_no_weld_before_the_first() -> None:
    """A clock that was set back, or a job's date from the truck before."""
    a, b = (
        Record({"letter": letter, "date": day}, "")
        for letter, day in (("A", "2026-01-15"), ("B", "2026-02-15"))
    )
    assert "2026-02-15 or later; B was" in str(*before_last("2026-02-14", (a, b)))
    assert not before_last("2026-02-15", (a, b)) and not before_last("2020-01-01", ())
    assert "2026-01-15 or later; A was" in str(*before_first("2026-01-14", (a, b)))
    assert not before_first("2026-01-15", (a, b)), "a weld that was laid under A stays laid under B"


def test_a_weld_laid_before_the_release_is_not_entered(shop: Path) -> None:
    early = ("--weld", "W1", "--by", "the welder", "--date", "2025-12-31")
    assert "2026-01-15 or later" in run("enter", "DEMO1", "A", *early, code=2)
    assert not (shop / "archive/DEMO1/A.1.json").exists(), "nothing was written"


@pytest.mark.parametrize("by", ["..", "12", " a ", "-"])
def test_no_signature_without_a_name(shop: Path, by: str) -> None:
    who = [by if word == "the owner" else word for word in WELD]
    assert "--by" in run(*who, *SET_DOWN, *FINDINGS, code=2)
    assert "--accept" in run(*WELD, *SET_DOWN, "--accept", "gaps=...", code=2), "dots are no reason"


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("--accept", "nuts=all tight"), 'set-down="why" | welds="why" | bolts="why"'),
        (("--accept", "set-down=x"), "3 to 400 characters"),
        (("--accept", "set-down=because", "--accept", "set-down=of this"), "given twice"),
        (("--accept", "looked at"), "say what it is about"),
        (("--accept", "gaps=looked at", "--accept", "gaps=again"), "given twice"),
    ],
)
def test_words_that_answer_nothing_are_refused(
    given: tuple[str, ...], says: str, shop: Path
) -> None:
    assert says in run(*WELD, *given, code=2)


def test_a_truck_that_stands_right_is_released_for_weld(shop: Path) -> None:
    """Record, log sheets and list of revisions say so; the log comes again as it was."""
    down = shop / "d.down.toml"
    down.write_text('[[down]]\nheight = { left = "25 1/8", right = "25 1/4" }\n')
    assert "NOT TO BE WELDED YET" in run("correct", "d.toml", code=4)
    down.unlink()
    run("correct", "d.toml", "--blank")
    text = re.sub(r'= "" (.*; needed )([^,]+),', r'= "\2" \1\2,', down.read_text())
    down.write_text(text.replace('"25 1/4 in"', '"25 1/8 in"', 1))
    assert "Everything asked was read and is within its limit" in run("correct", "d.toml")
    run("build", "d.toml")
    last = ("release", "d.toml", "--note", "stands right", "--by", "the owner", "--level")
    assert "--accept" in run(*last, "weld", code=2)
    assert "--accept welds" in run(*last, "final", *FINDINGS, code=2), "none of them is logged"
    run(*last, "weld", *FINDINGS)
    kept = json.loads((shop / "archive/DEMO1/B.json").read_text())
    assert {row["verdict"] for row in kept["accepted"]} >= {"tight", "confirm", "assumed"}
    assert kept["headline"].startswith("No part fails")
    levels = [line.split()[2] for line in run("revisions").splitlines() if line[:5] == "DEMO1"]
    assert levels == ["tack", "weld"]
    day = ("--by", "the owner", "--date", "2026-02-09")
    run("enter", "DEMO1", "B", "--weld", "W1-W9", *day)
    form = shop / "log.csv"
    run("enter", "DEMO1", "B", "--blank", "log.csv")
    text = form.read_text()
    assert "DEMO1 B,inspection,," in text and "in .. " in text, (
        "what the set-down asked, its limits"
    )
    form.write_text(text.replace('centered",,,,', 'centered",,ok,the aligner,2026-02-08'))
    run("enter", "DEMO1", "B", "--log", "log.csv", *day)
    run("sign", "DEMO1", "B", "--level", "final", *day, *WELDS)
    log = shop / "out/DEMO1/B/log"
    handed = " ".join(words_of(log / "hand-over-record.pdf")[0].split())
    found = " ".join(" ".join(words_of(log / "inspection-log.pdf")).split())
    assert "box centered ok" in found and "the aligner" in found
    assert "9 of " in handed and "final" in handed and "within its limits" in handed
    assert any("25 1/8" in words for words in words_of(log / "as-built.pdf"))
    stored = {path.name: path.read_bytes() for path in log.iterdir()}
    run("reissue", "DEMO1", "B")
    assert {path.name: path.read_bytes() for path in log.iterdir()} == stored


def test_a_later_set_down_is_asked_about_whatever_the_revision_keeps(shop: Path) -> None:
    """The last set-down counts, also one nobody released since, and no words said before answer
    it.
    """
    run(*WELD, *SET_DOWN, *FINDINGS)
    assert "set-down" not in run(*FINAL, code=2), "answered for exactly what was out then"
    down = shop / "d.down.toml"
    down.write_text('[[down]]\n"caster.left" = "9 deg"\n')
    run("correct", "d.toml", code=6)
    asked = run(*FINAL, *WELDS, code=2)
    assert "--accept set-down" in asked and "caster against the floor, left 9.0 deg" in asked


def test_a_void_revision_is_no_basis_for_welding() -> None:
    right = Open("", [], [])
    assert level_faults(Level.WELD, Level.TACK, right, "B", "B") == []
    (fault,) = level_faults(Level.WELD, Level.TACK, right, good="B", letter="A")
    assert "sign B" in fault.remedy
