"""The placed truck under load: thicker is never worse, units do not matter, a pin that is too weak
fails by name and is not cut, what is assumed is said.

Sources: the clauses' own (tests/published); statics in test_loads.
"""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.loads.basis import load_basis
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts.rules import all_clauses
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.strength import growth as way_out
from soapstone.parts.strength.result import NOT_CHECKED, Strength, strength
from soapstone.parts.truck.truck import design
from trucks import job, truck
from typed import DEMO, soapstone

IN = 25.4


def held(name: str = "demo", pins: dict | None = None, shop: Shop | None = None) -> Strength:
    j = job(name)
    return way_out.held(
        solve(j), j.words, {**j.pins, **(pins or {})}, j.chassis, shop or default_shop()
    ).strength


def use(s: Strength, part: str, words: str) -> float:
    return max(c.utilisation for c in s.checks if c.part.startswith(part) and words in c.what)


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_both_invented_trucks_pass_with_their_margins(name: str) -> None:
    t, g = truck(name)
    s = strength(t, g, default_shop())
    assert not s.fails and len(s.checks) > 60 and not s.waits
    assert 0.8 < max(c.utilisation for c in s.checks if c.must) <= 1.0
    assert all(c.case and c.clause and c.formula and c.numbers for c in s.checks if c.capacity > 0)
    families = {c.part[:2] for c in s.checks}
    assert {
        "AR",
        "UA",
        "LT",
        "AP",
        "AB",
        "TB",
        "CM",
        "LS",
        "XS",
        "XT",
        "WW",
        "ST",
        "BP",
    } <= families


def test_thicker_is_never_worse() -> None:
    for family, part, thin, thick in (
        ("axle_upper", "AP", "1/4 A36", "3/8 A36"),
        ("link_tabs", "LT", "1/4 A36", "5/16 A36"),
        ("track_bar_axle", "TB5", "1/4 A36", "3/8 A36"),
    ):
        a, b = (
            strength(
                design(
                    solve(job()), job().words, {**job().pins, family: {"plate": k}}, job().chassis
                ),
                solve(job()),
                default_shop(),
            )
            for k in (thin, thick)
        )
        assert use(b, part, "bearing") <= use(a, part, "bearing") + 1e-9, family


def test_thicker_or_stronger_steel_is_never_worse_in_any_row() -> None:
    """Every row under load of the demo, its own clause asked again with one number a third up. A
    thicker plate draws more of the rail's stress to its ends: that clause says the opposite.
    """
    clauses, looked = all_clauses(), set()
    for row in strength(*truck(), default_shop()).checks:
        if row.rule not in clauses:
            continue
        given = dict(row.given)
        for name in ("t_mm", "wall_mm", "leg_mm", "fy_MPa", "fu_MPa", "fexx_MPa"):
            if name in given and (row.rule, name) != ("plate_end", "t_mm"):
                demand, capacity = clauses[row.rule](**{**given, name: given[name] * 4 / 3})
                assert demand * row.capacity <= row.demand * capacity * (1 + 1e-9), (row.what, name)
                looked.add((row.rule, name))
    assert len(looked) > 30


def test_a_small_arm_tube_fails_by_name_in_the_case_that_breaks_it() -> None:
    j = job()
    readings = {
        k: r._replace(
            value={"arms.tube_od": 2.0 * IN, "arms.tube_wall": 0.25 * IN}.get(k.name, r.value)
        )
        for k, r in j.readings.items()
    }
    small = j._replace(readings=readings)
    solved = solve(small)
    s = strength(
        design(
            solved,
            small.words,
            {**small.pins, "arms": {"tube": "2.000 x 0.250 DOM 1020"}},
            small.chassis,
        ),
        solved,
        default_shop(),
    )
    row = next(c for c in s.checks if c.part == "AR1.L" and c.must)
    assert (
        row.verdict == "fails"
        and row.utilisation > 1.5
        and row.case.startswith(("deep pothole", "pothole", "twist", "braking"))
    )


def test_heavier_loads_are_never_easier() -> None:
    j = job()
    solved = solve(j)
    same = design(solved, j.words, j.pins, j.chassis)
    more = strength(
        same, solved, default_shop()._replace(loads={"twist": 2.2, "pothole": 5.5, "curb": 2.2})
    )
    usual = strength(same, solved, default_shop())
    by = {(c.part, c.what): c.utilisation for c in usual.checks}
    for c in more.checks:
        if (c.part, c.what) in by and c.utilisation < 2:
            assert c.utilisation >= by[c.part, c.what] - 0.02, (c.part, c.what)
    assert more.fails


def test_the_unit_system_does_not_matter(tmp_path: Path) -> None:
    """The same truck typed in mm and N: the same rows; in elements to the mesh's own doubt."""
    from soapstone.layout.job_file import load

    text = DEMO.read_text()
    mm = tmp_path / "mm.toml"
    mm.write_text(
        text.replace("axle_load = 3700", 'axle_load = "16458.42 N"')
        .replace("rate = 225", 'rate = "39.40339 N/mm"')
        .replace('tube_wall = "1/2"', 'tube_wall = "12.7 mm"')
    )
    j = load(mm)
    solved = solve(j)
    other = way_out.held(solved, j.words, j.pins, j.chassis, default_shop()).strength
    t, g = truck()
    mine = strength(t, g, default_shop())
    for a, b in zip(sorted(mine.checks), sorted(other.checks), strict=True):
        assert (a.part, a.what, a.case) == (
            b.part,
            b.what,
            b.case,
        ) and a.utilisation == pytest.approx(
            b.utilisation, rel=1e-3 if "one thickness off its welds" in a.what else 1e-5
        )


def test_missing_weights_wait_and_say_so(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text(
        "\n".join(x for x in DEMO.read_text().splitlines() if not x.startswith("axle_load"))
    )
    got = soapstone("check", str(path))
    assert got.returncode == 4 and "spring.axle_load" in got.stderr


@pytest.mark.long
def test_a_failing_part_is_drawn_but_not_cut(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text(f'{DEMO.read_text()}\n[pin.cross_sides]\nplate = "1/4 A36"\n')
    got = soapstone("build", str(path), "--out", str(tmp_path / "out"))
    assert (
        got.returncode == 6
        and "XS1 left is not for cutting" in got.stderr
        and "deep pothole" in got.stderr
    )
    draft = tmp_path / "out" / "DEMO1" / "draft"
    names = [p.name for p in (draft / "cut").iterdir()]
    assert not any("-XS1-" in n for n in names) and any("-CS1-" in n for n in names)
    assert any("XS1" in p.name for p in (draft / "drawing").iterdir())
    rows = json.loads((draft / "checks.json").read_text())
    assert any(
        r["part"] == "XS1.L" and r["verdict"] == "fails" and r["case"].startswith("deep")
        for r in rows
    )
    assert json.loads((draft / "loads.json").read_text())[0]["case"] == "static"


def test_check_prints_cases_assumptions_and_what_is_not_held() -> None:
    got = soapstone("check", str(DEMO))
    assert got.returncode == 0
    for words in (
        "twist, left wheel (often)",
        "pothole",
        "AISC 360 H1.1",
        " things nobody read: soapstone check ",
        "not held against anything: knuckles",
        "not an approval",
        " more rows pass with 0.8 or less used: soapstone check ",
    ):
        assert words in got.stdout, words
    told = [line.split() for line in got.stdout.splitlines() if " of " in line and "[" in line]
    rows = [words for words in told if "ok" in words[:5]]
    assert rows and all(float(words[words.index("ok") + 1]) > 0.8 - 0.005 for words in rows)
    assert all(w in got.stdout for w in NOT_CHECKED)


def test_shop_load_factors(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(
        '[[load]]\nkey = "twist"\nfactor = 1.5\nby = "the owner"\nreason = "road use'
        ' only"\n[[load]]\nkey = "bump"\nfactor = 3.5\n'
    )
    got = load_shop(shop)
    assert got.loads == {"twist": 1.5, "bump": 3.5} and any(
        "the owner: road use only" in n for n in got.load_notes
    )
    shop.write_text(
        '[[load]]\nkey = "twist"\nfactor = 0.8\n[[load]]\nkey = "jump"\nfactor = 3\n[[load]]\nkey ='
        ' "curb"\nfactor = "high"\n[weld]\nprocess = ""\n[[plate]]\nkey = "x"\nthickness = 0\nsteel'
        ' = "iron"\n'
    )
    with pytest.raises(SoapstoneError) as e:
        load_shop(shop)
    said = " / ".join(map(str, e.value.faults))
    assert all(
        w in said
        for w in (
            "load.twist.factor",
            "needs a name and a reason",
            "load.2.key",
            "load.curb.factor",
            "weld.process",
            "plate.1.thickness",
            "plate.1.steel",
        )
    )


def test_a_value_from_memory_is_no_pass_on_its_own() -> None:
    t, g = truck()
    rows = strength(t, g, default_shop()).checks
    assert {c.verdict for c in rows if c.tag == "memory" and c.must and c.utilisation > 0.8} == {
        "confirm"
    }
    assert all(c.verdict == "ok" for c in rows if c.tag == "memory" and c.utilisation <= 0.8)
    root = next(c for c in rows if c.what.startswith("root of the ear") and c.must)
    assert (
        "width" in root.numbers
        and "mm" in root.numbers
        and "N/mm" in next(c for c in rows if c.what.startswith("welds of")).numbers
    )


def test_what_fails_under_load_is_made_larger_unless_it_is_pinned() -> None:
    """The side plate: 1/4 in is the lightest that fits, too thin beside its bolts; with it pinned
    the row fails and the way out is that pin's other value.
    """
    j = job()
    solved = solve(j)
    free = way_out.held(solved, j.words, j.pins, j.chassis, default_shop())
    assert free.truck.picks["XS.L"].chosen["plate"] == "3/8 A36" and not free.strength.fails
    assert any(g.sets("cross_sides", "plate") and "prying" in g.why for g in free.grown)
    sizes = [(c.family, c.name) for g in free.grown for c in g.changes]
    assert len(sizes) == len(set(sizes)), "each size once, as it is in the end"
    lightest = design(solved, j.words, j.pins, j.chassis, default_shop())
    assert (
        lightest.picks["XS.L"].chosen["plate"] == "1/4 A36"
        and "XS1.L" in strength(lightest, solved, default_shop()).fails
    )
    pinned = way_out.held(
        solved, j.words, {**j.pins, "cross_sides": {"plate": "1/4 A36"}}, j.chassis, default_shop()
    )
    assert "XS1.L" in pinned.strength.fails and pinned.ways["XS1.L"].startswith(
        'with [pin.cross_sides] plate = "3/8 A36" and [pin.cross_sides] bolt = "9/16-12" it passes'
    )


def test_the_mirror_image_is_as_strong() -> None:
    """The uneven truck and its mirror: every row has its twin on the other side with the same use;
    the gussets' welds within what their tabs
    do (set off to one end so that a gusset goes in one way only).
    """
    from trucks import mirrored, truck_of

    def swap(words: str) -> str:
        return re.sub(r"\.(L|R)\b", lambda m: "." + {"L": "R", "R": "L"}[m[1]], words)

    one = strength(*truck("demo_uneven"), default_shop()).checks
    two = {
        (c.part, c.what): c
        for c in strength(*truck_of(mirrored(job("demo_uneven"))), default_shop()).checks
    }
    assert len(one) > 150
    for c in one:
        twin = two[swap(c.part), swap(c.what)]
        loose = 5e-3 if "gussets to its" in c.what else 1e-3
        assert twin.utilisation == pytest.approx(c.utilisation, rel=loose, abs=1e-4), (
            c.part,
            c.what,
        )


def test_small_parts_against_statics_by_hand() -> None:
    """Statics by hand: a shock takes one wheel's standing load, two ears half each; a strap's one
    ear takes all; three times the transmission hangs on two arms, one of which its torque presses
    down.

    AISC 360-16 J3.6: capacity of a bolt is 0.75 x 0.563 Fu x area x planes (phi and 0.563 from
    memory, as in tests/published).
    """
    j = job()
    s, g = held(), solve(j).values
    weight = g[Key("spring.axle_load", "C")]
    shock = next(c for c in s.checks if c.part == "shock.upper#1.L" and "shear" in c.what)
    assert shock.demand == pytest.approx(weight / 2, rel=1e-6)
    cheek = next(c for c in s.checks if c.part == "ST3.L" and "half of the force" in c.what)
    assert cheek.demand == pytest.approx(weight / 4, rel=1e-6)
    strap = next(c for c in s.checks if c.part == "strap.upper#1.L" and "shear" in c.what)
    alone = next(c for c in s.checks if c.part == "ST5.L" and "all of the force" in c.what)
    assert alone.demand == strap.demand > 0 and strap.capacity == pytest.approx(shock.capacity / 2)
    stop = next(c for c in s.checks if c.part == "BP1.L" and "pushed" in c.what)
    legs = next(c for c in s.checks if c.part == "BP4.L" and "pushed" in c.what)
    assert stop.demand == pytest.approx(2 * legs.demand) and stop.demand == pytest.approx(
        max(f.stop[0] for f in s.forces)
    )
    arm = next(c for c in s.checks if c.part == "XP2.C" and c.what.startswith("root"))
    pull, shear = (
        float(re.search(rf"{word} ([\d.]+) N", arm.numbers)[1]) for word in ("pull", "shear")
    )
    apart, radius = (
        g[Key(name, "C")] for name in ("driveline.mount.bolt_dy", "axle.tire_loaded_radius")
    )
    torque = load_basis(g).weight * radius / 3 * apart**2 / (apart**2 + (24 * IN) ** 2)
    mount = 3 * g[Key("driveline.mount.weight", "C")] / 2 + torque / apart
    assert math.hypot(pull, shear) == pytest.approx(mount, rel=1e-3)
    assert not any(
        c.part[:3] in ("ST1", "XP2") and ("every day" in c.what or c.what.startswith("tacks"))
        for c in s.checks
    )
