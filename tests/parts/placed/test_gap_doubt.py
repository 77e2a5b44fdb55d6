"""A gap nobody can tell from touching counts as touching; how far a gap can be told."""

from __future__ import annotations

import math

import pytest
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.placed.clearance import hits
from soapstone.parts.placed.gap import Doubt, Gap
from soapstone.parts.stock import default_shop
from soapstone.parts.verdict.judging import pair_words
from trucks import NAMES, job, truck

TAPED = {
    "drag_link": ("axle.drag_link_ball.x", "steering.pitman_ball.z"),
    "tie_rod": ("axle.tie_rod_end.y",),
    "tire.L": ("axle.tire_width", "axle.wheel_track"),
    "shaft": ("driveline.output.x",),
    "oil pan": ("travel.obstacle.1.center.z",),
}


def gap(mm: float, plus_minus: float) -> Gap:
    return Gap(
        "drag_link", "TB4.R", ("drag link", "shelf"), mm, "full bump", (0, 0, 0), 12.7, plus_minus
    )


def test_under_its_own_plus_minus_a_gap_touches() -> None:
    """1 mm that can be told to 2.4 mm may be none at all."""
    for mm, plus_minus, says in (
        (-0.1, 0.0, Verdict.TOUCHES),
        (1.0, 2.4, Verdict.TOUCHES),
        (2.5, 2.4, Verdict.TIGHT),
        (12.7, 2.4, Verdict.OK),
        (13.0, 14.0, Verdict.TOUCHES),
    ):
        assert gap(mm, plus_minus).verdict is says


def test_what_is_said_of_a_gap_that_cannot_be_told_gives_both_numbers() -> None:
    words = pair_words(gap(0.04 * IN, 0.09 * IN))
    assert "0.04 in apart" in words and "± 0.09 in" in words and "into each other" not in words


def test_plus_minus_of_a_gap_is_the_root_of_the_squares_of_its_two_places_and_the_weld() -> None:
    """Two places taped to 1/16 in and 1/32 in of shrinkage; at a joint the shrinkage alone. ± of
    the tape and of welding: common practice, no source.
    """
    doubt = Doubt(job())
    both = math.sqrt(2 * (IN / 16) ** 2 + (IN / 32) ** 2)
    assert doubt.pair("TB4.R", "drag_link", False) == pytest.approx(both)
    assert doubt.pair("TB4.R", "TB8.R", True) == pytest.approx(IN / 32)


@pytest.mark.parametrize("body", TAPED)
def test_a_place_read_badly_widens_the_gaps_of_its_body_only(body: str) -> None:
    j = job()
    for name in TAPED[body]:
        key = Key(name, "C")
        bad = j._replace(readings={**j.readings, key: j.readings[key]._replace(half_width=IN)})
        assert Doubt(bad).body(body) == IN
        assert Doubt(bad).body("TB4.R") == Doubt(j).body("TB4.R") == IN / 16


def test_the_shops_own_tape_is_the_plus_minus_of_what_is_placed_with_it() -> None:
    j = job()
    some = next(iter(j.readings.values()))
    key = Key("units.tape", "C")
    shop = j._replace(readings={**j.readings, key: some._replace(key=key, value=IN / 8)})
    assert Doubt(shop).body("TB4.R") == IN / 8


def test_a_link_read_too_badly_touches_what_it_only_came_close_to() -> None:
    """The demo's drag link over the track bar's shelf: tight with a tape, touching where its ball
    was guessed to half an inch.
    """
    t, g = truck()
    j = job()
    pair = {"drag_link", "TB4.R"}

    def shelf(rows: tuple[Gap, ...]) -> Gap:
        return next(x for x in rows if {x.one, x.two} == pair)

    assert shelf(hits(t, j, g, default_shop())).verdict is Verdict.TIGHT
    key = Key("axle.drag_link_ball.x", "C")
    bad = j._replace(readings={**j.readings, key: j.readings[key]._replace(half_width=IN / 2)})
    assert shelf(hits(t, bad, solve(bad), default_shop())).verdict is Verdict.TOUCHES


@pytest.mark.parametrize("name", NAMES)
def test_neither_invented_truck_touches_anything(name: str) -> None:
    t, g = truck(name)
    rows = hits(t, job(name), g, default_shop())
    assert rows and all(x.gap > x.plus_minus > 0 for x in rows)
