"""One wheel on its stop is a path of its own, every joint that swings has a limit, and limits are
printed with their signs.

Checked against plane geometry (a wheel's height is the axle's plus half the track times the sine of
the roll) and against positions solved one by one.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from linkages import DEG, IN
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import KINDS, Place, second_rests, study
from soapstone.layout.travel.limits import MOST, ON_STOP, Limit, limits, paths
from soapstone.parts.placed.cycle import Cycle
from soapstone.parts.placed.travel_ends import limit_rows, limit_words
from trucks import job


def with_value(name: str, value: float):
    j = job()
    key = Key(name, "C")
    return j._replace(readings={**j.readings, key: j.readings[key]._replace(value=value)})


@pytest.mark.parametrize("path", ON_STOP)
def test_the_upper_wheel_stays_on_its_stop(path: str) -> None:
    g = solve(job())
    places = paths(g)[path]
    half = g.values[Key("axle.wheel_track", "C")] / 2
    height = np.array([p.heave + half * math.sin(abs(p.roll)) for p in places])
    assert np.abs(height - g.values[Key("travel.bump", "C")]).max() < 1e-9
    way = 1 if "left" in path else -1
    assert all(way * p.roll >= 0 for p in places) and abs(places[-1].roll) > 7 * DEG


@pytest.mark.parametrize("path", ON_STOP)
def test_every_criterion_of_roll_is_looked_at_on_the_stop_and_ends_where_it_is_met(
    path: str,
) -> None:
    j = with_value("arms.bush_max_radial", 0.09 * IN)
    g = solve(j)
    rows = limits(j, g)

    def names(path: str) -> set[str]:
        return {x.name for x in rows if x.path == path}

    assert names(path) == names("roll, left up") and len(names(path)) > 20
    met = next(x for x in rows if x.path == path and x.governs)
    assert met.short and "upper bushing's squeeze" in met.name
    half = g.values[Key("axle.wheel_track", "C")] / 2
    heave = g.values[Key("travel.bump", "C")] - half * math.sin(abs(met.at))
    t = study(j, g, [Place("there", heave, met.at)])
    side = "L" if met.name.endswith("left") else "R"
    assert t.found[Key("upper.radial", side)][0] == pytest.approx(0.09 * IN, rel=2e-3)


def test_the_upper_joint_ends_the_travel_where_its_swing_is_used_up() -> None:
    g = solve(job())
    t = study(job(), g)
    swing = max(t.found[Key("upper_joint", s)].max() for s in ("L", "R"))
    assert swing > 2 * DEG
    j = with_value("arms.max_upper_joint_angle", 0.7 * swing)
    rows = [x for x in limits(j, solve(j)) if x.name.startswith("upper joint's swing")]
    assert any(x.short for x in rows) and len(rows) == 12
    assert not any(x.short for x in limits(job(), g) if x.name.startswith("upper joint's swing"))


def test_every_joint_that_swings_has_a_limit_and_a_field() -> None:
    fields = set(FIELDS)
    swings = {
        n
        for n, (kind, says) in KINDS.items()
        if kind == "angle"
        and says.startswith(("swing", "working angle", "cone angle", "angle between"))
    }
    assert swings <= set(MOST)
    assert {field for field, _ in MOST.values()} <= fields


def test_limits_keep_their_signs() -> None:
    """A pair 0.5 in into each other is not half an inch left; a coil's least length is a least;
    droop and right up are negative.
    """
    hit = Limit("droop", "a touches b", math.nan, -100.0, 0.5 * IN, 0.0, "length", shown=-1)
    assert "-0.50 in left" in limit_words(hit)
    j = job()
    g = solve(j)
    c = Cycle(study(j, g), limits(j, g), (), (), (), None)
    rows = {(r["path"], r["what"]): r for r in limit_rows(c)}
    coil = rows["bump", "coil binds, left"]
    assert coil["bound"] == "least" and coil["there"] > coil["limit"] > 5
    assert rows["droop", "limit strap"]["asked"] == -6
    assert rows["roll, right up", "coil loose, left"]["asked"] == -5
    slip = rows["droop", "shaft's slip bottoms"]
    assert slip["there"] < 0 < slip["limit"]


def test_two_rests_are_said_and_one_is_not() -> None:
    j = job()
    assert second_rests(study(j, solve(j))) == {}
    soft = {"arms.lower_bush_cone": 58, "arms.upper_bush_cone": 22}
    readings = dict(j.readings)
    for name, rate in soft.items():
        key = Key(name, "C")
        scale = {"arms.lower_bush_cone": 350, "arms.upper_bush_cone": 130}[name]
        readings[key] = readings[key]._replace(value=readings[key].value * rate / scale)
    weak = j._replace(readings=readings)
    said = second_rests(study(weak, solve(weak), [Place("far over", -5 * IN, 8 * DEG)]))
    assert "two ways" in said["far over"]
