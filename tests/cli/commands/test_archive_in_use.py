"""The archive as a shop uses it: two revisions compared, given again, traced, signed, carried to
another archive.
"""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from soapstone.parts.words.names import part as part_name
from typed import run, words_of

WELDER = ("--by", "the welder", "--date", "2026-02-01")
OWNER = ("--by", "the owner", "--date", "2026-02-02")

DECIDED = (
    *("--measured", "9/16 in", "--rule", "edge distance, J3.4"),
    *("--decision", "use"),
)


@pytest.fixture
def shop(two_revisions: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(two_revisions, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def sheet(shop: Path) -> tuple[str, list[str]]:
    """The nested sheet the coil-seat plate is on, and the parts on it."""
    sheets = json.loads((shop / "archive/DEMO1/A.json").read_text())["sheets"]
    return next((name, parts) for name, parts in sheets.items() if "CS1.L" in parts)


def test_two_revisions_are_compared_and_drawn_over_each_other(shop: Path) -> None:
    said = run("compare", "DEMO1:A", "DEMO1:B", "--picture", "d.pdf")
    assert "spring.rate" in said and "225 -> 224" in said
    listed = said.split("parts of DEMO1:A")[1]
    assert re.search(r"\bCM4(, |\n)", listed), "cut alike for both sides: it has none"
    assert "CM4 left" not in listed
    assert "CS1 left" not in said.split("parts of DEMO1:A")[1]
    assert (shop / "d.pdf").read_bytes()[:4] == b"%PDF"
    assert "nothing to draw" in run("compare", "DEMO1:A", "DEMO1:A", "--picture", "e.pdf", code=2)


def test_own_files_beside_a_released_revision_outlive_its_next_writing(shop: Path) -> None:
    """A photo of a weld in the folder that is cut from; in that of one part, and of one that the
    next letter is to take, too.
    """
    run("reissue", "DEMO1", "A", "--part", "CS1")
    for folder in ("A", "A-CS1", "C"):
        (shop / "out/DEMO1" / folder / "photos").mkdir(parents=True)
        (shop / "out/DEMO1" / folder / f"photos/{folder}.jpg").write_bytes(b"a weld")
    run("reissue", "DEMO1", "A", "--part", "CS1")
    run("reissue", "DEMO1", "A")
    (shop / "d.toml").write_text((shop / "d.toml").read_text().replace("rate = 224", "rate = 223"))
    run("build", "d.toml")
    run("release", "d.toml", "--note", "softer yet", "--by", "the owner")
    kept = [file.name for file in (shop / "out/DEMO1/kept").rglob("*") if file.is_file()]
    assert sorted(kept) == ["A-CS1.jpg", "A.jpg", "C.jpg"]
    run("reissue", "DEMO1", "A")
    assert len([*(shop / "out/DEMO1/kept").rglob("*.*")]) == len(kept), "none of ours is set aside"


def test_a_revision_is_built_anew_the_same(shop: Path) -> None:
    assert "the same to the byte" in run("reissue", "DEMO1", "A", "--rebuild")
    assert "no such revision" in run("reissue", "DEMO1", "Q", code=2)
    assert "nothing of it" in run("reissue", "T9", code=2)


def test_a_heat_is_found_from_either_end(shop: Path, sheet: tuple[str, list[str]]) -> None:
    name, parts = sheet
    run("enter", "DEMO1", "A", "--heat", "H4711", "--sheet", name, *WELDER)
    rows = json.loads((shop / "archive/DEMO1/A.json").read_text())["parts"]
    called = [part_name(row["number"]) for row in rows if row["part"] in parts]
    assert called and all(f" {number} " in run("trace", "h4711") for number in called)
    assert "H4711" in run("trace", "CS1")
    run(
        *("enter", "DEMO1", "A", "--weld", "W13", "--weld", "W14-W16", "--heat", "H4712"),
        *("--sheet", name, "--part", "CS1", *WELDER),
    )
    since = run("revisions", "DEMO1")
    assert "W13, W14, W15, W16" in since and "H4711" in since and "H4712" in since
    assert all("CS1" in run("trace", heat) for heat in ("H4711", "H4712"))


def test_what_is_cut_alike_is_found_and_entered_by_any_place_it_goes_to(shop: Path) -> None:
    """The number of a plate stands for every place of it: its heat is of all of them, and only of
    the one that was named is it said that it is used though not as drawn.
    """
    record = json.loads((shop / "archive/DEMO1/B.json").read_text())
    alike = [row for row in record["parts"] if len(row["places"]) > 1]
    assert len(alike) > 10
    for row in alike:
        for place in row["places"]:
            traced = run("trace", part_name(place))
            assert f"{part_name(row['number'])} " in traced, place
            assert all(weld in traced for weld in record["welds"].get(row["part"], ())), place
    assert run("revisions", "--part", "CS1 right") == run("revisions", "--part", "CS1 left")
    run("enter", "DEMO1", "B", "--heat", "H9", "--part", "CS1 right", *WELDER)
    run("enter", "DEMO1", "B", "--concession", "CS1 right", "--note", "1/16 short", *OWNER)
    run("enter", "DEMO1", "B", "--concession", "LS1", "--note", "rusty, used", *OWNER)
    run("reissue", "DEMO1", "B")
    log = shop / "out/DEMO1/B/log"
    steel = " ".join(words_of(log / "heat-log.pdf"))
    assert "CS1 left" not in steel and "CS1 right" not in steel and "H9" in steel
    conceded = " ".join(words_of(log / "concessions.pdf"))
    assert "CS1 right" in conceded and "CS1 left" not in conceded
    assert "LS1 left" in conceded and "LS1 right" in conceded


def test_nothing_is_entered_in_part(shop: Path) -> None:
    bad = run(
        *("enter", "DEMO1", "A", "--weld", "W1-W3", "--weld", "W999"),
        *("--by", "x", "--date", "soon"),
        code=2,
    )
    assert all(word in bad for word in ("W999", "--by", "--date"))
    assert list((shop / "archive/DEMO1").glob("A.*.json")) == []


def test_sheets_come_again_at_each_level_they_were_signed_for(shop: Path) -> None:
    assert "tack" in run("sign", "DEMO1", "B", "--level", "weld", *OWNER, code=2)
    run("sign", "DEMO1", "B", "--level", "tack", *OWNER)
    assert [line.split()[2] for line in run("revisions").splitlines()] == ["tack", "tack"]
    assert run("revisions", "--part", "CS1.L").count("DEMO1") == 1
    assert len(list((shop / "archive/DEMO1").glob("B.*.json"))) == 1, "signed once"
    drawn = shop / "out/DEMO1/B/drawing/DEMO1-UA1-A.pdf"
    for level, word in (("", "for tack"), ("mock-up", "for mock-up")):
        said = run("reissue", "DEMO1", "B", *(("--level", level) if level else ()))
        assert word in said and "it is the good revision" in said
        assert word in words_of(drawn)[0], "the level it was signed for, to the byte"
    assert "mock-up | tack" in run("reissue", "DEMO1", "B", "--level", "weld", code=2)
    assert "as it was stored" in run("verify")


def test_what_is_superseded_says_so_on_every_page(shop: Path, sheet: tuple[str, list[str]]) -> None:
    heats = ("--heat", "H4711", "--heat", "H4712", "--sheet", sheet[0])
    run("enter", "DEMO1", "A", "--weld", "W13-W16", *heats, *WELDER)
    used = ("--concession", "CS1.L", "--note", "1/16 short, used", *DECIDED)
    run("enter", "DEMO1", "A", *used, *OWNER)
    assert "1/16 short" in run("search", "concession")
    assert "concession" in run("search", "edge distance")
    assert "measured 9/16 in; against edge distance, J3.4; decided: use" in run(
        "revisions", "DEMO1"
    )
    assert "SUPERSEDED BY B" in run("reissue", "DEMO1", "A")
    old = [path for path in (shop / "out/DEMO1/A").rglob("*.pdf") if "stage" not in path.name]
    assert len(old) > 50
    assert all("SUPERSEDED BY B" in words for path in old for words in words_of(path))
    assert "as it was stored" in run("verify"), "a stamped copy is no changed one"
    log = shop / "out/DEMO1/A/log"
    welds = " ".join(words_of(log / "weld-log.pdf"))
    record = json.loads((shop / "archive/DEMO1/A.json").read_text())
    every = {weld for welds in record["welds"].values() for weld in welds}
    assert every == {f"W{n}" for n in range(1, len(every) + 1)}, "every weld, both sides"
    assert f"4 of {len(every)}" in welds and "W13" in welds and "W1-W12" in welds
    steel = " ".join(words_of(log / "heat-log.pdf"))
    assert "H4711" in steel and "H4712" in steel and "not entered" in steel
    conceded = " ".join(words_of(log / "concessions.pdf"))
    assert "1/16 short, used" in conceded and "CS1 left" in conceded
    flat = " ".join(conceded.split())
    assert "CS1 left 9/16 in edge distance, J3.4 use A the owner" in flat, "each in its column"
    page = (shop / "out/DEMO1/current.html").read_text()
    assert "revision B is good" in page and "superseded by B" in page


def test_a_chassis_goes_to_another_archive(shop: Path) -> None:
    listed = json.loads(run("revisions", "--json"))
    assert [(row["letter"], row["current"]) for row in listed] == [("A", False), ("B", True)]
    run("export", "DEMO1", "x.zip")
    assert "2 revisions were new" in run("import", "x.zip", "--archive", "other")
    assert "as it was stored" in run("verify", "--archive", "other")


def test_a_log_goes_out_blank_and_a_stage_is_entered_whole(shop: Path) -> None:
    run("enter", "DEMO1", "A", "--stage", "axle", *WELDER)
    event = json.loads((shop / "archive/DEMO1/A.1.json").read_text())
    stored = json.loads((shop / "out/DEMO1/A/schedule/welds.json").read_text())
    assert [row["what"] for row in event["rows"]] == [
        row["weld"] for row in stored if row["stage"] == "axle"
    ]
    assert "crossmember" in run("enter", "DEMO1", "A", "--stage", "roof", *WELDER, code=2)
    run("enter", "DEMO1", "A", "--blank", "log.csv")
    assert "a name that is free" in run("enter", "DEMO1", "A", "--blank", "log.csv", code=7)
    bad = run("enter", "DEMO1", "B", "--log", "log.csv", *WELDER, code=2)
    assert "at least one line" in bad
    assert not (shop / "archive/DEMO1/B.1.json").exists()
    assert "--blank" in run("enter", "DEMO1", "A", "--log", "none.csv", *WELDER, code=3)
