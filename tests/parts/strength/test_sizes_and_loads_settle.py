"""A chosen size goes back into the linkage's stiffness: what is chosen and what is typed agree.

Source: the job itself, designed both ways; no outside figure is needed for an identity.
"""

from __future__ import annotations

import pytest
from soapstone.layout.graph import Graph
from soapstone.layout.loads.cases import CASES
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.named_loads import VECTORS
from soapstone.parts.strength.result import cases_of, rows_of
from soapstone.parts.truck.truck import Truck, design
from trucks import job

STOUT = {"arms": {"tube": "3.000 x 0.250 DOM 1020"}}


def arms(od: float, wall: float, pins: dict[str, dict[str, str]]) -> tuple[Truck, Graph]:
    typed = {Key("arms.tube_od", "C"): od * IN, Key("arms.tube_wall", "C"): wall * IN}
    j = job()
    readings = {k: r._replace(value=typed.get(k, r.value)) for k, r in j.readings.items()}
    solved = solve(j._replace(readings=readings))
    return design(solved, j.words, {**j.pins, **pins}, j.chassis, default_shop()), solved


def test_a_tube_chosen_stouter_than_the_job_says_is_held_as_stiff_as_it_is() -> None:
    shop = default_shop()
    chosen, typed = arms(2.0, 0.25, STOUT), arms(3.0, 0.25, {})
    pick = chosen[0].picks["AR.L"].chosen
    assert (pick["tube.od"], pick["tube.wall"]) == pytest.approx((3 * IN, 0.25 * IN))
    one, other = (
        {(r.part, r.what): r.utilisation for r in rows_of(*each, shop, "arms", daily=False)}
        for each in (chosen, typed)
    )
    assert one == pytest.approx(other, rel=1e-9)
    soft = arms(2.0, 0.25, {})
    stiff = [f.bend.max() for f in cases_of(*chosen, shop)]
    assert max(stiff) > 1.01 * max(f.bend.max() for f in cases_of(*soft, shop))


def test_a_jack_pushes_the_bracket_and_not_the_arm() -> None:
    """The bracket feels the arm's pull turned round, and the jack."""
    made, solved = arms(2.5, 0.5, {})
    rows = cases_of(made, solved, default_shop())
    lifted = next(f for f in rows if f.case.name == "jack at the bracket" and f.case.hand == "L")
    on_arm, on_bracket = VECTORS["arm.joint"](lifted, 0), VECTORS["bracket"](lifted, 0)
    factor = next(c.factor for c in CASES if c.name == "jack at the bracket")
    load = solved.values[Key("spring.axle_load", "C")] / 2
    assert on_bracket + on_arm == pytest.approx((0.0, 0.0, factor * load))
    assert VECTORS["bracket"](lifted, 1) == pytest.approx(-VECTORS["arm.joint"](lifted, 1))
