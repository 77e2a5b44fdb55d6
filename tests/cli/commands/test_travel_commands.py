"""cycle, explain, suppose, correct as a shop types them, right and wrong."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from built_jobs import made
from pdf_text import pages as pages_of
from soapstone.parts.placed.cycle import MAIN
from typed import DEMO, soapstone


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
        *(row for key, row in MAIN.items() if not key.startswith("anti_dive.")),
    ):
        assert words in got.stdout, words
    rates = job.read_text().replace("brake_front = 0.64", "")
    job.write_text(rates)
    said = soapstone("cycle", str(job)).stdout
    assert "anti-dive at least, %" in said and "anti-dive at most, %" in said


@pytest.mark.long
def test_cycle_with_an_obstacle_in_the_way_ends_6_and_says_where(job: Path) -> None:
    job.write_text(job.read_text().replace('z = "30 3/4" }', "z = 27 }"))
    got = soapstone("cycle", str(job))
    assert (
        got.returncode == 6
        and "oil pan" in got.stdout
        and "touches" in got.stdout
        and "of the datum hole" in got.stdout
    )


@pytest.mark.long
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
        "ASSUMED: rates of the arm bushings" in more.stdout
        and "ASSUMED: height of the center of gravity" in more.stdout
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


@pytest.mark.long
def test_suppose_lists_only_what_changes_and_writes_nothing(job: Path) -> None:
    before = sorted(job.parent.iterdir())
    got = soapstone("suppose", str(job), "spring.rate=222", "--json")
    assert got.returncode == 0, got.stderr
    data = json.loads(got.stdout)
    names = {r["key"].rpartition(".")[0] for r in data["values"]}
    assert {"seat.upper.z", "spring.loaded"} <= names and not any(
        n.startswith(("arm", "bar", "pinion")) for n in names
    )
    parts = {p["part"]: p for p in data["parts"]["change"]}
    assert any(p.startswith("CM") for p in parts) and not any(
        p.startswith(("AR", "UA", "XS", "TB1.")) for p in parts
    )
    assert {p["because"] for p in parts.values()} == {"spring.rate"}
    assert (
        parts["CM4.L"]["word"] == "same plate, another place" and "down" in parts["CM4.L"]["what"]
    )
    assert parts["CM2.L"]["word"] == "new shape" and " in, now " in parts["CM2.L"]["what"]
    assert {r["key"] for r in data["travel"]} >= {"at_bump.coil.length.left"}
    assert data["limits"] and data["margins"]
    assert sorted(job.parent.iterdir()) == before
    none = soapstone("suppose", str(job), "spring.rate=225")
    assert "Nothing changes: no value, no travel, no limit, no gap" in none.stdout
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


@pytest.mark.long
def test_suppose_sees_what_only_travel_sees(job: Path) -> None:
    """Steering lock moves no value of the layout, but the tire at lock; bushing rates move travel
    and margins; a hair of difference moves no part.
    """
    lock = soapstone("suppose", str(job), "steering.lock=20")
    assert lock.returncode == 0, lock.stderr
    assert "layout: 0 values change" in lock.stdout and "coil seat CM4 left: tight" in lock.stdout
    assert re.search(r"^parts, each place counted: \d+ the same$", lock.stdout, re.M)
    soft = json.loads(
        soapstone("suppose", str(job), "arms.lower_bush_radial=20000", "--json").stdout
    )
    assert soft["travel"] and soft["margins"] and not soft["values"]
    hair = json.loads(soapstone("suppose", str(job), "driveline.output.x=-47.25", "--json").stdout)
    assert hair["values"] and not hair["parts"]["change"]


def test_correct_from_blank_sheet_to_moves(job: Path) -> None:
    assert soapstone("correct", str(job)).returncode == 4
    assert soapstone("correct", str(job), "--blank").returncode == 0
    down = job.with_name("T1.down.toml")
    text = down.read_text()
    assert '"height.left" = ""' in text and "needed 25 1/4 in, ± 1/8 in" in text
    assert soapstone("correct", str(job), "--blank").returncode == 7
    empty = soapstone("correct", str(job))
    assert empty.returncode == 3 and "between the quotes" in empty.stderr
    down.write_text('[[down]]\nheight = { left = "24 5/8", right = "25" }\npinion = 5.0\n')
    got = soapstone("correct", str(job))
    assert got.returncode == 6, "out: a script that goes on to sign stops here"
    for words in (
        "OUT, -0.63 in, allowed ± 1/8 in",
        "still to be read: rear hub center",
        "Do this, in this order",
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
    assert state["out"] == ["height.left", "height.right", "pinion"]
    assert {"caster.left", "drag", "coil.right", "rake"} <= set(state["not_read"])


def test_a_truck_that_is_out_is_not_welded_whatever_was_read(job: Path) -> None:
    """Caster, drag link and coils far out, heights right: named one by one, in the stored state
    too; and one reading alone is not a set-down.
    """
    from soapstone.cli.archive.set_down import not_down

    soapstone("correct", str(job), "--blank")
    down = job.with_name("T1.down.toml")
    wild = {"caster.left": "-4", "caster.right": "-4", "drag": "6", "coil.left": "11"}
    rows = []
    for row in down.read_text().splitlines():
        found = re.match(r'"([a-z.]+)" = "".*needed ([^,]+),', row)
        rows.append(f'"{found[1]}" = "{wild.get(found[1], found[2])}"' if found else row)
    down.write_text("\n".join(rows))
    got = soapstone("correct", str(job))
    assert "NOT TO BE WELDED YET" in got.stdout and "weld in the order" not in got.stdout
    state = job.with_name("T1.asbuilt.json").read_bytes()
    for words in ("caster against the floor, left -4.0 deg", "drag link", "coil, seat to seat"):
        assert words in not_down(state), words
    assert got.returncode == 6
    down.write_text('[[down]]\nbar = "0.6"\n')
    assert soapstone("correct", str(job)).returncode == 4, "only readings are owed"
    alone = not_down(job.with_name("T1.asbuilt.json").read_bytes())
    assert (
        "not read: rail bottom above the floor" in alone
        and "rake" not in alone.split("not read")[0]
    )


def test_a_set_down_stored_before_is_judged_again() -> None:
    """The older state said done of a truck whose bar alone was read, or whose caster was out."""
    from soapstone.cli.archive.set_down import not_down

    old = {
        "set_downs": [{"readings": {"bar": 0.6, "caster.left": -4.0}, "moved": {}}],
        "errors": {"bar": 0.0, "caster.left": -9.2},
        "done": True,
        "take_again": [],
    }
    said = not_down(json.dumps(old).encode())
    assert "caster against the floor, left -4.0 deg, needed 5.2 deg" in said
    assert "not read: rail bottom above the floor beside the coil, left" in said
    assert "pinion" in said.partition("not read")[2]


def test_the_set_down_sheet_asks_what_the_set_down_file_asks(job: Path) -> None:
    """Same readings, same order, same words, same limits, in a file that is not filled in
    beforehand.
    """
    from types import SimpleNamespace

    from soapstone.layout.job_file import load
    from soapstone.layout.setout import solve
    from soapstone.parts.documents.down import setdown_rows

    soapstone("correct", str(job), "--blank")
    asked = re.findall(
        r'^"[a-z.]+" = ""   # (.*); needed ([^,]+), (.*)$',
        job.with_name("T1.down.toml").read_text(),
        re.MULTILINE,
    )
    facts = SimpleNamespace(solved=solve(load(job)))
    assert [tuple(r) for r in setdown_rows(facts)] == asked and len(asked) == 14


def test_a_mistyped_set_down_is_refused_whole(job: Path) -> None:
    job.with_name("T1.down.toml").write_text(
        '[[down]]\nheigth = { left = "24 5/8" }\npinion = "5 in"\n"height.left" ='
        ' "-3"\n[[down]]\nmoved = { "seat.lft" = "1/8", "upper.left" = "half" }\n'
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
    job.with_name("T1.down.toml").write_text(
        '[[down]]\npinion = 4.6\n[[down]]\nmoved = { "seat.left" = "40 in" }\npinion = 4.6\n'
    )
    far = soapstone("correct", str(job))
    assert far.returncode == 3 and "4 in either way in all" in far.stderr
    job.with_name("T1.down.toml").write_text("[[down]\n")
    assert "mend that line" in soapstone("correct", str(job)).stderr


def test_travel_stands_in_the_build() -> None:
    draft = made("demo").files
    data = json.loads(draft["travel.json"])
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
        and any("length of the shocks" in a for a in data["assumed"])
        and data["lost"] == {}
    )
    assert (
        {p["place"] for p in data["positions"]} >= {"full bump", "full droop", "left on its stop"}
        and data["limits"]
        and data["answers"]
    )
    pages = pages_of(draft["sheet/travel.pdf"])
    assert (
        "Where the pivots go" in pages[0]
        and any("Read again, best first" in page for page in pages)
        and "caster, deg" in pages[1]
        and "12 in on the truck" in pages[2]
    )
    assert all("not an approval" in p for p in pages)
