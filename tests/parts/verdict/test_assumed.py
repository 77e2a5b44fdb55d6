"""What nobody read is said: each source reading or setting blanked in turn, its row appears with a
value, what takes its place and what it moves; no strength is typed into the code.
"""

from __future__ import annotations

import io
import tokenize
from functools import cache
from pathlib import Path

import pytest
from anyjob import Change, apply, demo
from soapstone.cli.building.verdict import look
from soapstone.layout.assumed import Assumed, about, touching
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.fields import field_of, pattern
from soapstone.layout.job.fields_axle import STEELS
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load, of_table
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.setout.surety import doubt, plus_minus
from soapstone.layout.travel.linkage import AXES, axis_keys
from soapstone.parts import stock
from soapstone.parts.documents import cutting, facts, finish, schedules, survey, welding
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.stock.classes import called
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import design
from soapstone.parts.verdict.assumptions import NOT_YET, assumptions
from soapstone.parts.verdict.findings import Judged
from trucks import DATA, job, truck

ROOT = Path(__file__).parents[3]


@cache
def told() -> Job:
    """The demo with everything read that may be."""
    j = job()
    more = {
        "arms.joint_housing_width": 28.0,
        "travel.shock_collapsed": 300.0,
        "travel.shock_extended": 650.0,
    }
    some = next(iter(j.readings.values()))
    readings = {
        **{k: r._replace(usual=False) for k, r in j.readings.items()},
        **{
            Key(n, "C"): some._replace(key=Key(n, "C"), value=x, usual=False)
            for n, x in more.items()
        },
        **{k: some._replace(key=k, value=0.0, usual=False) for n in AXES for k in axis_keys(n)},
    }
    words = {**j.words, "frame.steel": "A572-50", "axle.tube_steel": "A500-B"}
    return j._replace(readings=readings, words=words)


def full() -> Shop:
    s = default_shop()
    return s._replace(
        filler="E7018",
        dowel="A36",
        plates=tuple(p._replace(taken=True, measured=p.thickness * 1.002) for p in s.plates),
    )


def listed(j: Job, shop: Shop) -> tuple[Assumed, ...]:
    solved = solve(j)
    return assumptions(j, solved, design(solved, j.words, j.pins, j.chassis, shop), None, shop)


def test_a_truck_that_is_read_whole_assumes_nothing() -> None:
    assert listed(told(), full()) == ()


READINGS = [
    "spring.truck_weight",
    "travel.cg_height",
    "travel.brake_front",
    "track_bar.wall",
    "arms.joint_housing_width",
    "travel.shock_collapsed",
    "travel.shock_extended",
    "arms.bush_max_radial",
    "arms.bush_max_cone",
    *(
        f"arms.{end}_bush_{rate}"
        for end in ("lower", "upper")
        for rate in ("radial", "axial", "torsion", "cone")
    ),
]
WORDS = [
    "frame.steel",
    "axle.tube_steel",
    "arms.tube_steel",
    "arms.upper_tube_steel",
    "frame.bolt_class",
    "axle.bolt_class",
    "axle.upper_bolt_class",
    "arms.joint_bolt_class",
    "arms.upper_joint_bolt_class",
    "track_bar.bolt_class",
    "driveline.mount.bolt_class",
    "travel.shock_bolt_class",
    "travel.strap_bolt_class",
]


@pytest.mark.parametrize("name", READINGS)
def test_a_reading_that_is_missing_is_said(name: str) -> None:
    j = told()
    short = j._replace(readings={k: r for k, r in j.readings.items() if k.name != name})
    solved = solve(short)
    found = assumptions(short, solved, truck()[0], None, full())
    assert len(about(found, name)) == 1, name


WISHES = {
    "wanted.belly_limit": "a wish: without it nothing is held to it",
    "spring.pad_wedge": "a pad on hand: without it the wedge needed is worked out",
}
"""Readings without which nothing is owed and nothing assumed."""
ELSEWHERE = {
    "steering.lock": "tires at lock are said to be not looked at",
    "axle.tire_width": "tires at lock are said to be not looked at",
    "axle.lower_ear": "the bolt's length waits for it on the order",
    "driveline.mount.foot": "the bolts' length waits for it on the order",
    "frame.measuring_width": "the set-down waits for it",
    "frame.station.*.outside": "holds two other readings against each other, no more",
}
"""Readings that are said to be missing where they are used: by the travel, the order, `correct`."""
OPTIONAL = sorted(
    {
        k.name
        for k, r in job().readings.items()
        if not field_of(k.name).needed and not r.assumed and not k.name.startswith("fixed.")
    }
)


def test_the_optional_readings_are_those_of_the_demo() -> None:
    patterns = set(map(pattern, OPTIONAL))
    assert WISHES.keys() < patterns and ELSEWHERE.keys() < patterns


@pytest.mark.parametrize("name", OPTIONAL)
def test_no_reading_goes_without_a_word(name: str) -> None:
    """Whatever may be left out is owed, assumed, or changes nothing that was not asked for."""
    table = demo("demo")
    for side in ("left", "right") if field_of(name).sided else ("",):
        apply(table, Change(name, side, None))
    short = of_table(table)
    owed = name in {key.name for key in short.owed}
    found = assumptions(short, solve(short), None, None, full())
    silent = pattern(name) in WISHES.keys() | ELSEWHERE.keys()
    assert (owed or bool(about(found, name))) != silent, name


@pytest.mark.parametrize("name", WORDS)
def test_a_word_that_is_missing_is_said(name: str) -> None:
    j = told()
    short = j._replace(words={k: w for k, w in j.words.items() if k != name})
    hit = about(listed(short, full()), name)
    assert hit and all(name in a for a in hit), name
    if not name.endswith("_class"):
        unknown = j._replace(words={**j.words, name: "unknown"})
        assert about(listed(unknown, full()), name) == hit


@pytest.mark.parametrize(
    ("shop", "words"),
    [
        ({"filler": ""}, "[weld]"),
        ({"dowel": ""}, "dowel under [bolts]"),
        ({"plates": default_shop().plates}, "measured under [[plate]]"),
        ({"plates": default_shop().plates}, "steel under [[plate]]"),
    ],
)
def test_a_setting_that_is_missing_is_said(shop: dict[str, object], words: str) -> None:
    assert len(about(listed(told(), full()._replace(**shop)), words)) == 1


def test_plus_minus_nobody_gave_is_said() -> None:
    j = told()
    k = Key("axle.caster_at_level_pinion", "C")
    one = j._replace(readings={**j.readings, k: j.readings[k]._replace(usual=True)})
    (said,) = about(listed(one, full()), "plus-minus")
    assert "1 readings" in said and "caster ±" in said


def test_plus_minus_is_the_one_that_is_printed_of_every_result() -> None:
    """Of caster, shaft and arm as the set-out prints it; twice as wide as the set-out itself says
    with every reading that is silent twice as doubtful.
    """
    j = job()
    silent = [k for k, r in j.readings.items() if r.usual and r.role == "measured"]
    wide = {k: j.readings[k]._replace(half_width=2 * j.readings[k].half_width) for k in silent}
    now, then = solve(j), solve(j._replace(readings={**j.readings, **wide}))
    (said,) = about(listed(j, full()), "plus-minus")
    for title, key, unit in (
        ("caster", Key("caster.ride", "C"), "angle"),
        ("shaft length", Key("shaft.length", "C"), "length"),
        ("arm tube", Key("arm.tube", "L"), "length"),
    ):
        before, after = (doubt(plus_minus(solved, key), unit) for solved in (now, then))
        assert f"{title} ±{before}, ±{after} if" in said, (title, said)


def test_every_row_says_what_it_moves_by_how_much() -> None:
    """On a designed truck a strength that is assumed carries the row it moves most, before and
    after.
    """
    j, (t, g) = job(), truck()
    found = assumptions(j, g, t, strength(t, g, default_shop()), default_shop())
    assert found and all(a.moves and NOT_YET not in a.moves for a in found)
    rails = next(a for a in found if a.instead == "frame.steel")
    assert "XS" in rails.parts and " used, " in rails.moves and "A572-50" in rails.moves
    assert str(rails).startswith("ASSUMED: steel of the rails A36") and str(rails) in touching(
        found, ["XS"]
    )


def test_weaker_filler_is_the_one_that_is_used() -> None:
    """E6011 is printed and worked with: a weld's strength falls by 60/70 (AISC 360 J2.4: FEXX)."""
    t, g = truck()
    shop = default_shop()
    usual, weak = (
        {
            (c.part, c.what): c
            for c in strength(t, g, shop._replace(filler=f)).checks
            if "FEXX" in c.formula
        }
        for f in ("ER70S-6", "E6011 1/8")
    )
    both = usual.keys() & weak.keys()
    assert len(both) > 20
    for k in both:
        assert weak[k].capacity / usual[k].capacity == pytest.approx(60 / 70, rel=1e-5), k


def typed(tmp_path: Path, *changes: tuple[str, str]) -> Job:
    text = (DATA / "demo.toml").read_text()
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    path = tmp_path / "job.toml"
    path.write_text(text)
    return load(path)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('\nbolt = "3/4-10"', '\nbolt = "M20x2.5"', ("axle.bolt_class", "class 8.8", "M20x2.5")),
        (
            'joint_bolt_class = "grade 8"',
            'joint_bolt_class = "class 10.9"',
            ("arms.joint_bolt_class", "grade 5", "3/4-10 is inch"),
        ),
        ('steel = "unknown"', 'steel = "iron"', ("frame.steel", "A572-50", "unknown")),
        ('\ntube_steel = "A513', '\ntube_steel = "steel', ("arms.tube_steel", "A513 1020 DOM")),
    ],
)
def test_marks_and_steels_that_cannot_be(
    tmp_path: Path, old: str, new: str, said: tuple[str, ...]
) -> None:
    with pytest.raises(SoapstoneError) as e:
        typed(tmp_path, (old, new))
    words = " / ".join(map(str, e.value.faults))
    assert all(w in words for w in said), words


def test_steels_of_the_job_are_the_table() -> None:
    assert set(STEELS) == {r["key"] for r in stock.rows("steels")}
    assert all(
        r["source"] and r["tag"] for n in ("steels", "classes", "fillers") for r in stock.rows(n)
    )


def test_metric_bolts_without_a_mark(tmp_path: Path) -> None:
    """M20 pivot bolts: class 8.8 ASSUMED, 660 MPa yield in bending (ISO 898-1 over M16), the same
    words in schedule, material list and torque sheet, 441 N m at most when dry.
    """
    j = typed(
        tmp_path,
        ('\nbolt = "3/4-10"\nbolt_class = "grade 8"', '\nbolt = "M20x2.5"'),
        ('joint_bolt = "3/4-10"\njoint_bolt_class = "grade 8"', 'joint_bolt = "M20x2.5"'),
    )
    shop = default_shop()._replace(friction="dry")
    solved = solve(j)
    t = design(solved, j.words, j.pins, j.chassis, shop)
    s = strength(t, solved, shop)
    rows = {r["id"]: r for r in schedules.bolts(t, shop).rows}
    mine = [b for b in t.assembly.bolts if b.size == "M20x2.5" and b.grade]
    assert mine and {b.grade for b in mine} == {"class 8.8"}
    for b in mine:
        assert called(b.size, rows[b.id]["grade"]) == "M20x2.5 class 8.8"
        assert rows[b.id]["torque"].startswith("325 lb ft")
    bent = next(c for c in s.checks if c.part == "arm.joint#1.L" and "bent" in c.what)
    assert "fy 660" in bent.numbers or "660" in bent.numbers
    assert any(
        "M20x2.5" in a for a in about(assumptions(j, solved, t, None, shop), "axle.bolt_class")
    )
    f = facts.Facts(
        "T",
        "",
        j.words,
        j.readings,
        solved,
        t,
        shop,
        s,
        None,
        {},
        Judged(()),
    )
    rows = [r for b in finish.bolts(f).blocks if hasattr(b, "columns") for r in b.rows]
    assert any("M20x2.5" in c and c.endswith("class 8.8") for row in rows for c in map(str, row))
    assert not any("grade" in str(cell) and "M20" in str(cell) for row in rows for cell in row)


def test_marks_by_the_shops_settings(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text('[bolts]\npivot = "grade 8"\npivot_metric = "class 10.9"\ndowel = "A572-50"\n')
    shop = load_shop(path)
    assert shop.classes == {"pivot": "grade 8", "pivot_metric": "class 10.9"}
    assert shop.dowel == "A572-50"
    j = job()
    words = {k: w for k, w in j.words.items() if not k.endswith("_class")}
    solved = solve(j)
    marks = {b.id: b.grade for b in design(solved, words, j.pins, j.chassis, shop).assembly.bolts}
    assert marks["arm.bolt#1.L"] == "grade 8" and marks["bar.axle#1.R"] == "grade 5"
    path.write_text('[bolts]\npivot = "class 8.8"\npivot_metric = "grade 5"\nframe = "grade 9"\n')
    with pytest.raises(SoapstoneError) as e:
        load_shop(path)
    assert len(e.value.faults) == 3


def test_the_sheets_say_what_they_rest_on() -> None:
    j, (t, g) = job(), truck()
    shop = default_shop()
    s = strength(t, g, shop)
    s = s._replace(assumed=assumptions(j, g, t, s, shop))

    class Nest:
        sheets = left = ()

    f = facts.Facts(
        "T",
        "",
        j.words,
        j.readings,
        g,
        t,
        shop,
        s,
        Nest(),
        {p.id: "d" for p in t.parts},
        look(j, g, t, shop, s).judged,
    )
    for doc, words in (
        (cutting.cut_sheet(f), "thickness of plate"),
        (finish.bolts(f), "steel of the dowels"),
        (welding.schedule(f), "filler ER70S-6"),
        (survey.decisions(f), "steel of the rails"),
        (finish.owed(f), "length of the shocks"),
    ):
        said = [r for b in doc.blocks for r in getattr(b, "rows", ()) if isinstance(r, str)]
        assert any(r.startswith("ASSUMED") and words in r for r in said), doc.name
    titles = [getattr(b, "title", "") for b in cutting.cut_sheet(f).blocks]
    assert not any("in measured" in str(x) for x in titles)
    assert any("ASSUMED: not measured" in str(x) for x in titles)


STRENGTHS = {
    *(248.0, 250.0, 345.0, 400.0, 410.0, 450.0, 482.6, 482.63, 413.7),
    *(827.4, 827.0, 1034.2, 896.3, 634.3, 586.1, 660.0, 830.0, 940.0, 1040.0, 600.0, 580.0, 640.0),
}


def test_no_strength_is_typed_into_the_code() -> None:
    """Strengths come from rows of the stock tables: with a source, and assumed aloud."""
    drawn = {"drawing", "documents", "page", "export"}
    found = []
    for path in [*ROOT.glob("parts/**/*.py"), *ROOT.glob("layout/**/*.py")]:
        if drawn & set(path.relative_to(ROOT).parts):
            continue
        for tok in tokenize.generate_tokens(io.StringIO(path.read_text()).readline):
            if tok.type == tokenize.NUMBER and "." in tok.string:
                try:
                    value = float(tok.string)
                except ValueError:
                    continue
                if value in STRENGTHS:
                    found.append((path.name, tok.start[0], tok.string))
    assert not found, found
