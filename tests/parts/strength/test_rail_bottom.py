"""The rail's bottom over the crossmember's foot: bolted on a strap, or welded."""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.loads.cases import CASES, both_hands
from soapstone.layout.loads.forces import forces
from soapstone.layout.quantities import Key
from soapstone.layout.units import IN
from soapstone.parts.pieces import cross_sides
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.coverage import coverage
from soapstone.parts.strength.result import strength
from trucks import job, shaped, truck


def test_wall_and_strap_by_hand() -> None:
    """The strap's long edges bear near the rail's corners; the pattern of AISC 360-10 (K1-12) with
    edges that turn freely, by its own length minimized here, for the wall (strap in the middle) and
    for the strap (a washer in the middle). Without the strap the wall gives way.
    """
    rows = {row.what: row for row in strength(*truck(), default_shop()).checks if row.must}
    wall = next(
        row for says, row in rows.items() if "bottom wall" in says and "most pulled" in says
    )
    strap = next(row for says, row in rows.items() if "nut strap" in says and "most pulled" in says)

    def carries(lp: float, bp: float, wide: float, t: float) -> float:
        """Least pull, N, of the pattern over its length."""
        plastic = 250.0 * t**2 / 4 / 1.67
        side = (wide - bp) / 2
        return min(
            plastic * (2 * (lp + 2 * a) / side + 4 * wide / a) for a in np.linspace(5, 200, 4000)
        )

    washer, across = 2 * 9 / 16 * IN, 1.875 * IN
    inside, thin = (2.75 - 2 * 0.1575) * IN, 0.1575 * IN
    reach = washer + 2 * math.sqrt(across * (across - washer) / 2)
    pull = dict(wall.given)["force_N"]
    assert dict(strap.given)["force_N"] == pytest.approx(pull)
    assert wall.utilisation == pytest.approx(
        math.sqrt(pull / carries(reach, across, inside, thin)), rel=2e-3
    )
    assert strap.utilisation == pytest.approx(
        math.sqrt(pull / carries(washer, washer, across, IN / 4)), rel=2e-3
    )
    assert pull > carries(washer, washer, inside, thin), "nuts on the bare wall"


def test_a_welded_foot_takes_what_turns_about_the_side_bolts() -> None:
    """Bolts in one line resist no turning about it: the foot's weld does, and the free body of
    bracket, bolts and weld balances about the line (statics).
    """
    j = job()
    words = {
        name: "keep clear" if name.startswith("frame.hole.") and said == "crossmember" else said
        for name, said in j.words.items()
    } | {f"frame.hole.{n}.face": "top" for n in (1, 2, 5, 6)}
    made, solved = shaped(j._replace(words=words))
    found = strength(made, solved, default_shop())
    known = coverage(made, found)
    assert not {w.id for w in made.assembly.welds if w.id.startswith("cross.")} - {
        *known.held,
        *known.aside,
    }
    group = next(g for g in found.groups if set(g.welds) == {"cross.foot.rail.L"})
    bolts = [b.at for b in made.assembly.bolts if b.id.startswith("cross.side#") and b.grade]
    line = np.mean([at for at in bolts if at[1] > 0], axis=0)
    joint = np.array([solved.values[Key(f"arm.joint.{axis}", "L")] for axis in "xyz"])
    place, force, couple = group.weld.pulls[0]
    turning = np.cross(place - line, force)[0]
    every = [
        np.cross(joint - line, (f.jack - f.joint)[0])[0]
        for f in forces(solved.values, both_hands(CASES))
    ]
    assert not couple.any()
    assert "for want of holes" in cross_sides.FAMILY.otherwise(made.assembly)
    assert cross_sides.FAMILY.otherwise(truck()[0].assembly) == ""
    assert abs(turning) == pytest.approx(max(map(abs, every)), rel=1e-3)


def test_an_open_rail_s_flange_is_not_passed_in_silence() -> None:
    j = job()
    words = {**j.words, "frame.section": "channel", "frame.open_side": "inboard"}
    made, solved = shaped(j._replace(words=words))
    fails = strength(made, solved, default_shop()).fails["XS9.L"]
    assert any("flange bent from its web" in row.what and row.utilisation > 1 for row in fails)
