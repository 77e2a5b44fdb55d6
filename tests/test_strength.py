"""The placed truck under load: thicker is never worse, units do not matter, a pin that is too weak fails by name and is not cut, what is assumed is said.

Sources: the clauses' own (tests/published); statics in test_loads."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.setout import solve
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.strength import NOT_CHECKED, Strength, strength
from soapstone.parts.truck import design
from test_commands import DEMO, soapstone
from trucks import job, truck

IN = 25.4


def held(name: str = "demo", pins: dict | None = None, shop: Shop | None = None) -> Strength:
    j = job(name)
    solved = solve(j)
    shop = shop or default_shop()
    return strength(design(solved, j.words, {**j.pins, **(pins or {})}, j.chassis, shop), solved, shop)


def use(s: Strength, part: str, words: str) -> float:
    return max(c.utilisation for c in s.checks if c.part.startswith(part) and words in c.what)


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_both_invented_trucks_pass_with_their_margins(name: str) -> None:
    t, g = truck(name)
    s = strength(t, g, default_shop())
    assert not s.fails and len(s.checks) > 60 and not s.waits
    assert 0.8 < max(c.utilisation for c in s.checks) <= 1.0
    assert all(c.case and c.clause and c.formula and c.numbers for c in s.checks if c.capacity > 0)
    families = {c.part[:2] for c in s.checks}
    assert {"AR", "UA", "LT", "AP", "AB", "TB", "CM", "LS", "XS", "XT", "WW"} <= families


def test_thicker_is_never_worse() -> None:
    for family, part, thin, thick in (("axle_upper", "AP", "1/4 A36", "3/8 A36"), ("link_tabs", "LT", "1/4 A36", "5/16 A36"), ("track_bar_axle", "TB5", "1/4 A36", "3/8 A36")):
        a, b = (held(pins={family: {"plate": k}}) for k in (thin, thick))
        assert use(b, part, "bearing") <= use(a, part, "bearing") + 1e-9, family


def test_a_small_arm_tube_fails_by_name_in_the_case_that_breaks_it() -> None:
    j = job()
    readings = {k: r._replace(value={"arms.tube_od": 2.0 * IN, "arms.tube_wall": 0.25 * IN}.get(k.name, r.value)) for k, r in j.readings.items()}
    small = j._replace(readings=readings)
    solved = solve(small)
    s = strength(design(solved, small.words, {**small.pins, "arms": {"tube": "2.000 x 0.250 DOM 1020"}}, small.chassis), solved, default_shop())
    row = next(c for c in s.checks if c.part == "AR1.L")
    assert row.verdict == "FAILS" and row.utilisation > 1.5 and row.case.startswith(("pothole", "twist", "braking"))


def test_heavier_loads_are_never_easier() -> None:
    more = held(shop=default_shop()._replace(loads={"twist": 2.2, "pothole": 5.5, "kerb": 2.2}))
    usual = held()
    by = {(c.part, c.what): c.utilisation for c in usual.checks}
    for c in more.checks:
        if (c.part, c.what) in by and c.utilisation < 2:
            assert c.utilisation >= by[c.part, c.what] - 0.02, (c.part, c.what)
    assert more.fails


def test_the_unit_system_does_not_matter(tmp_path: Path) -> None:
    """The same truck typed in mm and N: the same rows."""
    from soapstone.layout.job.load import load

    text = DEMO.read_text()
    mm = tmp_path / "mm.toml"
    mm.write_text(text.replace('axle_load = 3700', 'axle_load = "16458.42 N"').replace('rate = 225', 'rate = "39.40339 N/mm"').replace('tube_wall = "1/2"', 'tube_wall = "12.7 mm"'))
    j = load(mm)
    solved = solve(j)
    other = strength(design(solved, j.words, j.pins, j.chassis), solved, default_shop())
    t, g = truck()
    mine = strength(t, g, default_shop())
    for a, b in zip(sorted(mine.checks), sorted(other.checks), strict=True):
        assert (a.part, a.what, a.case) == (b.part, b.what, b.case) and a.utilisation == pytest.approx(b.utilisation, rel=1e-5)


def test_missing_weights_wait_and_say_so(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text("\n".join(x for x in DEMO.read_text().splitlines() if not x.startswith("axle_load")))
    got = soapstone("check", str(path))
    assert got.returncode == 4 and "spring.axle_load" in got.stderr


def test_a_failing_part_is_drawn_but_not_cut(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text(DEMO.read_text())
    (tmp_path / "shop.toml").write_text('[[load]]\nkey = "low-range pull"\nfactor = 2.45\n')
    got = soapstone("build", str(path), "--out", str(tmp_path / "out"))
    assert got.returncode == 6 and "XS1.L is not for cutting" in got.stderr and "low-range pull" in got.stderr
    draft = tmp_path / "out" / "DEMO1" / "draft"
    names = [p.name for p in (draft / "cut").iterdir()]
    assert not any("-XS1-" in n for n in names) and any("-CS1-" in n for n in names)
    assert any("XS1" in p.name for p in (draft / "drawing").iterdir())
    rows = json.loads((draft / "checks.json").read_text())
    assert any(r["part"] == "XS1.L" and r["verdict"] == "FAILS" and r["case"].startswith("low-range") for r in rows)
    assert json.loads((draft / "loads.json").read_text())[0]["case"] == "static"


def test_check_prints_cases_assumptions_and_what_is_not_held() -> None:
    got = soapstone("check", str(DEMO))
    assert got.returncode == 0
    for words in ("twist, left wheel (often)", "pothole", "AISC 360 H1.1", "ASSUMED: whole weight", "not held against anything: fatigue", "not an approval"):
        assert words in got.stdout, words
    assert all(w in got.stdout for w in NOT_CHECKED)


def test_shop_load_factors(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text('[[load]]\nkey = "twist"\nfactor = 1.5\nby = "the owner"\nreason = "road use only"\n[[load]]\nkey = "bump"\nfactor = 3.5\n')
    got = load_shop(shop)
    assert got.loads == {"twist": 1.5, "bump": 3.5} and any("the owner: road use only" in n for n in got.load_notes)
    shop.write_text('[[load]]\nkey = "twist"\nfactor = 0.8\n[[load]]\nkey = "jump"\nfactor = 3\n[[load]]\nkey = "kerb"\nfactor = "high"\n[weld]\nprocess = ""\n[[plate]]\nkey = "x"\nthickness = 0\nsteel = "iron"\n')
    with pytest.raises(SoapstoneError) as e:
        load_shop(shop)
    said = " / ".join(map(str, e.value.faults))
    assert all(w in said for w in ("load.twist.factor", "needs a name and a reason", "load.2.key", "load.kerb.factor", "weld.process", "plate.1.thickness", "plate.1.steel"))


def test_the_pack_for_whoever_signs(tmp_path: Path) -> None:
    import io

    from pypdf import PdfReader
    from soapstone.parts.drawing.strength import strength_pdf

    t, g = truck()
    pages = [p.extract_text() for p in PdfReader(io.BytesIO(strength_pdf("DEMO1", "2026-01-15", strength(t, g, default_shop()), t.checks))).pages]
    text = "\n".join(pages)
    for words in ("not an approval", "Load cases", "ASSUMED", "Not held against anything", "judgement, no source", "low-range pull, left wheel", "H1-1a", " N/mm, leg"):
        assert words in text, words
    assert all("not an approval" in p for p in pages)


def test_finite_elements_warn_of_the_coil_seat_plate_and_scale_with_the_load() -> None:
    t, g = truck()
    s = strength(t, g, default_shop(), True)
    rows = [c for c in s.checks if "bent under coil" in c.what]
    assert {c.part for c in rows} == {"CS1.L", "CS1.R"} and not any(c.must for c in rows) and not s.fails
    got, most = s.seats["CS1.L"]
    assert rows[0].demand == pytest.approx(s.seats[rows[0].part][0].per_newton * s.seats[rows[0].part][1], rel=1e-9)
    # what is pushed comes back at the welds
    assert got.solved.reaction[:, 1].sum() == pytest.approx(-1.0, abs=1e-6)
    # the order of the hand rule that was fitted to such plates: 6 S e (1/2 - h/3H) / (b t^2), strength page 2.2
    assert 1e-3 < got.per_newton < 1e-1 and most > 20_000


def test_a_mount_that_reaches_lower_bends_the_plate_less() -> None:
    """The strip below the mount is what bends: with 1/2 in to move down it is within what is allowed, with 1 1/2 in nearly four times over."""
    use_ = []
    for down in ("1 1/2 in", 25.4, "12.7 mm"):
        j = job()
        solved = solve(j)
        t = design(solved, j.words, {**j.pins, "coil_mount": {"down": down}}, j.chassis)
        assert not t.failed
        use_.append(max(c.utilisation for c in strength(t, solved, default_shop(), True).checks if "bent under coil" in c.what))
    assert use_[0] > use_[1] > use_[2] and use_[2] < 1.0


def test_thicker_coil_seat_plate_bends_less() -> None:
    j = job()
    solved = solve(j)
    shop = default_shop()
    shop = shop._replace(plates=tuple(p._replace(thickness=p.thickness * 1.1, measured=p.measured * 1.1) if p.key == "3/16 A36" else p for p in shop.plates))
    thick = strength(design(solved, j.words, j.pins, j.chassis, shop), solved, shop, True)
    t, g = truck()
    thin = strength(t, g, default_shop(), True)
    assert thick.seats["CS1.L"][0].per_newton < thin.seats["CS1.L"][0].per_newton


def test_a_value_from_memory_is_no_pass_on_its_own() -> None:
    t, g = truck()
    rows = strength(t, g, default_shop()).checks
    assert {c.verdict for c in rows if c.tag == "memory" and c.utilisation > 0.8} == {"confirm"}
    assert all(c.verdict == "ok" for c in rows if c.tag == "memory" and c.utilisation <= 0.8)
    root = next(c for c in rows if c.what.startswith("root of the cheek"))
    assert "width" in root.numbers and "mm" in root.numbers and "N/mm" in next(c for c in rows if "welds of" in c.what).numbers
