"""Readings: what parses, and that every bad one is a sentence with field, typed, allowed,
remedy.
"""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from soapstone.layout import units
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.job.fields import FIELDS, nearest
from soapstone.layout.job_file import load

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.mark.parametrize(
    "typed", ["23 7/16", '23-7/16"', "1' 11 7/16\"", "595.3125 mm", "59.53125 cm", 23.4375]
)
def test_one_length_many_ways(typed: str | float) -> None:
    assert units.parse(typed, "length", "in") == pytest.approx(595.3125)


@given(st.integers(-16 * 400, 16 * 400))
def test_printed_sixteenths_parse_back(n: int) -> None:
    assert units.parse(units.show(n * 25.4 / 16, "length"), "length") == pytest.approx(
        n * 25.4 / 16, abs=1e-9
    )


@pytest.mark.parametrize(
    ("typed", "kind", "unit"),
    [
        ("7 lbf", "force", "N"),
        ("3 kgf", "force", "N"),
        ("225 lbf/in", "rate", "N/mm"),
        ("6 deg", "angle", "rad"),
        ("2 ft", "length", "mm"),
    ],
)
def test_units_against_pint(typed: str, kind: str, unit: str) -> None:
    q = pint.UnitRegistry().Quantity(typed).to(unit)
    assert units.parse(typed, kind) == pytest.approx(q.magnitude, rel=1e-9)


def faults(tmp_path: Path, old: str, new: str) -> list[str]:
    text = DEMO.read_text()
    assert old in text
    job = tmp_path / "job.toml"
    job.write_text(text.replace(old, new, 1))
    with pytest.raises(SoapstoneError) as e:
        load(job)
    assert e.value.code is Exit.JOB_FILE
    return [str(f) for f in e.value.faults]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("rate = 225", "rate = 225\nraet = 3", "spring.rate"),
        ("rate = 225", "rate = 225\nraet = { left = [3], on = true }", "{ left = [3], on = true }"),
        ("rate = 225", 'rate = "225 mm"', "spring.rate"),
        ("wall = { both = 0.1575 }", "wall = { both = -0.1575 }", "frame.station.1.wall"),
        ("rate = 225", "rate = nan", "spring.rate"),
        ("rate = 225", "rate = inf", "spring.rate"),
        ('chassis = "DEMO1"', 'chassis = "../up"', "job.chassis"),
        ('chassis = "DEMO1"', 'chassis = "/tmp/x"', "job.chassis"),
        ("plan_slant = { both = 6 }", "plan_slant = 6", "arms.plan_slant"),
        ("outside = 35", "outside = 36", "frame.station.1.outside"),
        ("[spring]", "[sprung]", "sprung"),
        ("rate = 225", "rate =", "TOML"),
        ('heat_treated = "no"', 'heat_treated = "perhaps"', "frame.heat_treated"),
        ("axle_load = 3700", 'axle_load = { value = 3700, state = "droop" }', "allowed: ride"),
        ("axle_load = 3700", 'axle_load = { value = 3700, state = "banana" }', "use one of these"),
        ("wire = ", 'wire = { value = "0.72", state = "banana" } # ', "any | ride | stand | droop"),
        ('ends = "ground"', 'loaded_length = { left = "13 1/2" }', "loaded_length.left state"),
        ('ends = "ground"', 'loaded_length = { both = "13 1/2" }', "ride | stand | droop"),
        (
            'ends = "ground"',
            'loaded_length = { left = { value = "13 1/2", state = "any" } }',
            "ride | stand | droop",
        ),
        ('date = "2026-01-15"', 'date = "yesterday"', "job.date"),
        ('date = "2026-01-15"', 'date = "2026-02-30"', "job.date"),
        ('date = "2026-01-15"', "date = 2026-01-15T10:00:00", "job.date"),
        ("rate = 225", 'rate = { value = 225, date = "spring" }', "2024-05-17"),
        ("rate = 225", "rate = { value = 225, by = 3 }", "spring.rate by"),
        ("rate = 225", "rate = { value = 225, with = 2 }", 'as "tape 2", up to 60 characters'),
        ("rate = 225", 'rate = { value = 225, with = "tape\\n2" }', "spring.rate with"),
        ("rate = 225", f'rate = {{ value = 225, with = "{61 * "t"}" }}', "spring.rate with"),
        ("rate = 225", "rate = { value = 225, again = 5 }", "put them in square brackets"),
        ("rate = 225", "rate = { value = 225, plus_minus = -5 }", "spring.rate plus_minus"),
        ("rate = 225", "rate = { again = [3] }", "needs its value"),
    ],
)
def test_each_fault_names_its_field(tmp_path: Path, old: str, new: str, says: str) -> None:
    assert any(says in f for f in faults(tmp_path, old, new))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ('"upper.pinion_rate" = { both = 0.2 }', "nobody can measure this one"),
        ('"arm.run" = { both = 0 }', "1/2 in .. 200 in"),
        ('"arm.cc" = { left = 1e308 }', "not a finite number"),
        ('"axle.z_droop" = "90 in"', "no truck has that"),
        ('"caster.ride" = { value = 5, state = "banana" }', "any | ride | stand | droop"),
        ('"caster.ride" = { value = 5, again = [5] }', "give their mean"),
        ('"caster.ride" = { value = 5, plus_minus = -1 }', "0 or more"),
        ('"caster.ride" = { value = 5, date = "now" }', "2024-05-17"),
        ('"caster.ride" = [5]', "fixed.caster.ride"),
    ],
)
def test_a_result_given_that_cannot_be_is_a_fault(more: str, says: str, tmp_path: Path) -> None:
    said = faults(tmp_path, "[spring]", f"[fixed]\n{more}\n\n[spring]")
    assert any(says in f for f in said), said


def test_two_rows_at_one_place_are_a_fault(tmp_path: Path) -> None:
    """A right-hand hole said to be on the left lies on the left one; two stations at one place have
    no line between them.
    """
    text = DEMO.read_text()
    last = text.rindex('side = "right"\nface = "bottom"')
    job = tmp_path / "j.toml"
    job.write_text(text[:last] + text[last:].replace("right", "left", 1))
    with pytest.raises(SoapstoneError, match="is one on the other rail"):
        load(job)
    job.write_text(text.replace("x = 20", "x = -60", 1))
    with pytest.raises(SoapstoneError, match="two rows are at one place"):
        load(job)


def test_dates_are_days_typed_either_way(tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    for typed in ('"2026-01-15"', "2026-01-15"):
        job.write_text(DEMO.read_text().replace('date = "2026-01-15"', f"date = {typed}"))
        assert load(job).words["job.date"] == "2026-01-15"


def test_two_megabytes_of_name(tmp_path: Path) -> None:
    assert faults(tmp_path, 'title = "', 'title = "' + "x" * 2_000_000)


def test_all_faults_in_one_run(tmp_path: Path) -> None:
    text = (
        DEMO.read_text()
        .replace("rate = 225", 'rate = "225 mm"')
        .replace("free_length", "fre_length")
        .replace("total = 1", "")
    )
    job = tmp_path / "job.toml"
    job.write_text(text.replace('chassis = "DEMO1"', 'chassis = "a b"'))
    with pytest.raises(SoapstoneError) as e:
        load(job)
    assert len(e.value.faults) == 3


def test_repeats_are_averaged_and_the_outlier_named(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(
        DEMO.read_text().replace(
            'free_length = "19 3/4"', 'free_length = { value = "19 3/4", again = ["19 11/16"] }'
        )
    )
    from soapstone.layout.quantities import Key

    assert load(job).readings[Key("spring.free_length", "C")].value == pytest.approx(
        25.4 * (19.75 + 19.6875) / 2
    )
    said = faults(
        tmp_path,
        'free_length = "19 3/4"',
        'free_length = { value = "19 3/4", again = ["19 11/16", "18 1/4"] }',
    )
    assert "18 1/4" in said[0]


def test_two_readings_that_disagree_are_no_mean(tmp_path: Path) -> None:
    """Of two nobody knows which is wrong; within reach of each other they widen what is doubted."""
    wheelbase = 'wheelbase = "12\'"'
    said = faults(tmp_path, wheelbase, 'wheelbase = { value = "144", again = ["156"] }')
    assert "144 and 156" in said[0] and "third time" in said[0]
    job = tmp_path / "near.toml"
    near = 'wheelbase = { value = "144", again = ["144 1/4"] }'
    job.write_text(DEMO.read_text().replace(wheelbase, near))
    from soapstone.layout.quantities import Key

    got = load(job).readings[Key("frame.wheelbase", "C")]
    assert got.value == pytest.approx(25.4 * 144.125)
    assert got.half_width == pytest.approx(25.4 / 8), "half of how far they are apart"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (
            '\n[override]\nwelding_on_flanges = { by = "me", reason = "quick" }\n',
            "override.welding_on_flanges",
        ),
        ('\n[override]\nnew_bottom_holes = { by = "me" }\n', "a name and a reason"),
        ('\n[override]\nnew_bottom_holes = "yes"\n', "a name and a reason"),
    ],
)
def test_overrides_need_a_name_and_a_reason(more: str, says: str, tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    job.write_text(DEMO.read_text() + more)
    with pytest.raises(SoapstoneError) as e:
        load(job)
    assert any(says in str(f) for f in e.value.faults)


def test_inside_width_closes_with_the_outside(tmp_path: Path) -> None:
    """35 less twice 2 3/4 is 29 1/2 in."""
    job = tmp_path / "j.toml"
    job.write_text(DEMO.read_text().replace("outside = 35", 'outside = 35\ninside = "29 1/2"', 1))
    load(job)
    job.write_text(DEMO.read_text().replace("outside = 35", "outside = 35\ninside = 31", 1))
    with pytest.raises(SoapstoneError, match=r"29 1/2"):
        load(job)


def test_a_unit_nobody_knows_is_a_fault_like_any_other(tmp_path) -> None:
    """One sentence for the unit, none for the readings that rest on it, and every other fault of
    the file in the same run; never a bug.
    """
    path = tmp_path / "j.toml"
    path.write_text(
        (Path(str(files("soapstone.layout.data"))) / "demo.toml")
        .read_text()
        .replace('rate = "lbf/in"', 'rate = "2x5"')
        .replace("rate = 225", 'rate = 225\nangle = "3 bananas"')
        .replace("belly_limit = 10", 'belly_limit = "ten"')
    )
    with pytest.raises(SoapstoneError) as e:
        load(path)
    said = [f.field for f in e.value.faults]
    assert said == ["units.rate", "wanted.belly_limit", "spring.angle"]


def test_a_slip_in_any_name_finds_it() -> None:
    """A letter lost anywhere in the last word of a name; and what is offered can be typed."""
    lost = []
    for name in FIELDS:
        table, _, last = name.rpartition(".")
        for place in range(1, len(last)) if len(last) > 2 else ():
            said = nearest(f"{table}.{last[:place]}{last[place + 1 :]}")
            offered = re.findall(r"[a-z_]+(?:\.[a-z_0-9*]+)+", said)
            assert offered and all(each in FIELDS for each in offered), (name, said)
            lost += [(name, said)] * (name not in offered)
    assert not lost, lost


@pytest.mark.parametrize("word", ["caster", "castor", "rate", "bump", "clearence"])
def test_a_word_alone_lists_the_names_with_it(word: str) -> None:
    meant = {"castor": "caster", "clearence": "clearance"}.get(word, word)
    offered = re.findall(r"[a-z_]+(?:\.[a-z_0-9*]+)+", nearest(word))
    assert offered and all(meant in re.split(r"[._]", each) for each in offered), nearest(word)
