"""cycle, explain, suppose, correct as a shop types them, right and wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_commands import DEMO, soapstone


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "T1.toml"
    path.write_bytes(DEMO.read_bytes())
    return path


def test_cycle_says_how_far_what_touches_and_what_to_read_again(job: Path) -> None:
    got = soapstone("cycle", str(job))
    assert got.returncode == 0, got.stderr
    for words in (
        "full bump",
        "bump stop at 4 in  <- governs",
        "limit strap at 6 in  <- governs",
        "What comes closest",
        "Take again, best first: spring.rate",
        "not an approval",
        "thread takes up",
    ):
        assert words in got.stdout, words


def test_cycle_with_an_obstacle_in_the_way_ends_6_and_says_where(job: Path) -> None:
    job.write_text(job.read_text().replace('z = "30 3/4" }', "z = 27 }"))
    got = soapstone("cycle", str(job))
    assert (
        got.returncode == 6
        and "oil pan" in got.stdout
        and "touches" in got.stdout
        and "of the datum hole" in got.stdout
    )


def test_cycle_of_half_a_survey_says_what_is_owed(job: Path) -> None:
    job.write_text(
        "\n".join(
            x
            for x in job.read_text().splitlines()
            if not x.startswith(("pitman_ball", "cg_height", "lower_bush_radial"))
        )
    )
    got = soapstone("cycle", str(job))
    assert got.returncode == 4 and "linkage waits for steering.pitman_ball.x" in got.stdout
    whole = job.with_name("T2.toml")
    whole.write_text(
        "\n".join(
            x
            for x in DEMO.read_text().splitlines()
            if not x.startswith(("cg_height", "lower_bush_radial"))
        )
    )
    more = soapstone("cycle", str(whole))
    assert (
        "ASSUMED: bushing rates" in more.stdout
        and "ASSUMED: height of the centre of gravity" in more.stdout
        and ".." in more.stdout
    )


def test_joint_lines_are_printed(job: Path) -> None:
    got = soapstone("cycle", str(job), "--joint-line")
    assert (
        got.returncode == 0 and "<- chosen" in got.stdout and "anti-dive 130 per cent" in got.stdout
    )


def test_explain_follows_a_number_down_to_the_tape(job: Path) -> None:
    got = soapstone("explain", str(job), "arm.cc.left", "spring.rate", "at_droop.lateral")
    assert got.returncode == 0
    for words in (
        "arm.cc.left = 39.531 in",
        "L = D / cos(slant)",
        "arm.run.left = 39.315 in",
        "rests on",
        "spring.rate = 225",
        "typed 225",
        "least bushing energy",
        "mostly from",
    ):
        assert words in got.stdout, words
    bad = soapstone("explain", str(job), "arm.tubes.left")
    assert bad.returncode == 2 and "nearest known one is" in bad.stderr


def test_suppose_lists_only_what_changes_and_writes_nothing(job: Path) -> None:
    before = sorted(job.parent.iterdir())
    got = soapstone("suppose", str(job), "spring.rate=222", "--json")
    assert got.returncode == 0, got.stderr
    data = json.loads(got.stdout)
    names = {r["key"].rpartition(".")[0] for r in data["values"]}
    assert {"seat.upper.z", "spring.loaded"} <= names and not any(
        n.startswith(("arm", "bar", "pinion")) for n in names
    )
    assert any(p.startswith("CM") for p in data["parts"]["change"]) and not any(
        p.startswith(("AR", "UA", "XS", "TB1.")) for p in data["parts"]["change"]
    )
    assert sorted(job.parent.iterdir()) == before
    none = soapstone("suppose", str(job), "spring.rate=225")
    assert "0 values change" in none.stdout and "parts that change: none" in none.stdout
    bad = soapstone("suppose", str(job), "spring.rte=240", "travel.bump=99", "spring.rate=fast")
    assert bad.returncode == 2 and all(
        w in bad.stderr
        for w in (
            "spring.rte",
            "nearest known one is spring.rate",
            "travel.bump",
            "1/2 in .. 16 in",
            "'fast'",
        )
    )


def test_correct_from_blank_sheet_to_moves(job: Path) -> None:
    assert soapstone("correct", str(job)).returncode == 4
    assert soapstone("correct", str(job), "--blank").returncode == 0
    down = job.with_name("T1.down.toml")
    assert (
        '"height.left" = "25 1/4 in"' in down.read_text()
        and soapstone("correct", str(job), "--blank").returncode == 7
    )
    down.write_text('[[down]]\nheight = { left = "24 5/8", right = "25" }\npinion = 5.0\n')
    got = soapstone("correct", str(job))
    assert got.returncode == 0, got.stderr
    for words in (
        "<- outside 1/8 in",
        "do this, in this order",
        "upper coil seat",
        "down",
        "not an approval",
        "Chock the wheels",
    ):
        assert words in got.stdout, words
    state = json.loads(job.with_name("T1.asbuilt.json").read_text())
    assert (
        state["set_downs"][0]["readings"]["height.left"] == pytest.approx(24.625)
        and state["moves"]
        and not state["done"]
    )


def test_a_mistyped_set_down_is_refused_whole(job: Path) -> None:
    job.with_name("T1.down.toml").write_text(
        '[[down]]\nheigth = { left = "24 5/8" }\npinion = "5 in"\n"height.left" = "-3"\n[[down]]\nmoved = { "seat.lft" = "1/8", "upper.left" = "half" }\n'
    )
    got = soapstone("correct", str(job))
    assert got.returncode == 3 and not job.with_name("T1.asbuilt.json").exists()
    for words in (
        "heigth",
        "pinion",
        "height.left",
        "seat.lft",
        "upper.left",
        "down.2; allowed: at least one reading",
    ):
        assert words in got.stderr, words
    job.with_name("T1.down.toml").write_text("[[down]\n")
    assert "mend that line" in soapstone("correct", str(job)).stderr


def test_travel_stands_in_the_build(tmp_path: Path) -> None:
    from pypdf import PdfReader

    got = soapstone("demo", "--out", str(tmp_path))
    assert got.returncode == 0, got.stderr
    draft = tmp_path / "DEMO1" / "draft"
    data = json.loads((draft / "travel.json").read_text())
    row = next(
        r for r in data["positions"] if r["place"] == "full bump" and r["key"] == "caster.left"
    )
    assert (
        row["value"] == pytest.approx(10.8754, abs=0.003)
        and row["plus_minus"] > 0.2
        and "axle.caster_at_level_pinion" in row["from"]
    )
    assert (
        data["gaps"][0]["gap"] - data["gaps"][0]["wanted"]
        <= data["gaps"][1]["gap"] - data["gaps"][1]["wanted"]
        and data["assumed"] == []
        and data["lost"] == {}
    )
    assert (
        {p["place"] for p in data["positions"]} >= {"full bump", "full droop", "left on its stop"}
        and data["limits"]
        and data["answers"]
    )
    pages = [p.extract_text() for p in PdfReader(draft / "sheet" / "travel.pdf").pages]
    assert (
        "Where the pivots go" in pages[0]
        and "Read again, best first" in pages[0]
        and "caster, deg" in pages[1]
        and "12 in on the truck" in pages[2]
    )
    assert all("not an approval" in p for p in pages)
