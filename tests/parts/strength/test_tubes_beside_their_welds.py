"""Everyday range of stress in arms and links beside their welds against the detail category.

Source: AISC 360 appendix 3, category E: 11e8 and 4.5 ksi seen second-hand as of the 2022
table A-3.1 (rows 5.5 and 6.1); that lengthwise fillet ends are of it (row 4.1) is from memory; so
are category D and row 7.1.
Stress by hand: M c / I and P / A (any text).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.loads.cases import EVERYDAY, both_hands
from soapstone.layout.loads.forces import forces
from soapstone.parts.rules.life import life_tube
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from trucks import truck

IN, KSI = 25.4, 6.894757


def test_category_e() -> None:
    _, allowed = life_tube(range_MPa=1.0)
    assert float(allowed) == pytest.approx((11e8 / 2e5) ** (1 / 3) * KSI)
    assert float(allowed) / KSI == pytest.approx(17.65, abs=0.01)


def foot_of(code: str) -> float:
    """Length of a link tab's foot along its own x, mm."""
    tab = next(p for p in truck()[0].singles if p.member.code == code)
    ends = [e.start[0] for e in tab.member.body.outline if e.name in ("foot", "side_rear")]
    return max(ends) - min(ends)


def ends_of_feet(side: str) -> list[np.ndarray]:
    """Corners of both tabs' feet on the arm, truck axes."""
    thick, found = truck()[0].picks["LT.L"].chosen["plate.t"], []
    for code in (f"LT1.{side}", f"LT2.{side}"):
        tab = next(p for p in truck()[0].singles if p.member.code == code).member
        ends = [e.start for e in tab.body.outline if e.name in ("foot", "side_rear")]
        for x, y in (min(ends), max(ends)):
            found += [np.array(tab.place.out((x, y, z))) for z in (0.0, thick)]
    return found


def test_range_of_the_arm_by_hand() -> None:
    """Between any two everyday states: M c / I + P / A at each end of each tab's foot on the round,
    as a beam from the frame joint forward: behind the tabs that joint's force alone, ahead of them
    the upper arm's at its height above the arm with it.
    """
    made, solved = truck()
    checks = strength(made, solved, default_shop()).checks
    row = next(c for c in checks if c.part == "AR1.L" and c.what.startswith("arm tube where the"))
    pick = made.picks["AR.L"].chosen
    out, inside = pick["tube.od"], pick["tube.od"] - 2 * pick["tube.wall"]
    section = math.pi / 4 * (out**2 - inside**2)
    inertia = math.pi / 64 * (out**4 - inside**4)

    def at(name: str) -> np.ndarray:
        return np.array(
            [
                next(
                    v for k, v in solved.values.items() if k.name == f"{name}.{a}" and k.side == "L"
                )
                for a in "xyz"
            ]
        )

    joint, bolt, upper = at("arm.joint"), at("arm.bolt"), at("upper.joint")
    along = (joint - bolt) / np.linalg.norm(joint - bolt)
    aside = np.cross(along, (0.0, 0.0, 1.0))
    aside /= np.linalg.norm(aside)
    over = np.cross(aside, along)
    most, back = 0.0, (joint - upper) @ along
    above = float((upper - bolt) @ over)
    for place in ends_of_feet("L"):
        end = (joint - place) @ along
        at_face = np.array([(place - joint) @ aside, (place - joint) @ over])
        y, z = at_face * out / 2 / np.hypot(*at_face)
        stress = []
        for f in forces(solved.values, both_hands(EVERYDAY)):
            behind, tab = f.joint[0], -f.upper_vec[0]
            upright, sideways, pull = end * (behind @ over), end * (behind @ aside), behind @ along
            if end > back:
                upright += (end - back) * (tab @ over) - above * (tab @ along)
                sideways += (end - back) * (tab @ aside)
                pull += tab @ along
            stress.append((upright * z + sideways * y) / inertia + pull / section)
        most = max(most, max(stress) - min(stress))
    assert row.demand == pytest.approx(most, rel=0.03)
    assert row.verdict == "ok" and row.case.startswith("everyday")
    assert any(c.part == "UA1.R" and c.what.startswith("upper-arm tube at") for c in checks)


def test_feet_of_the_tabs_leave_the_tube_in_its_category() -> None:
    """AISC 360-16 table A-3.1 row 7.1 (unverified source): no longer than twelve thicknesses of the
    tab, nor 4 in.
    """
    thick = truck()[0].picks["LT.L"].chosen["plate.t"]
    for code in ("LT1.L", "LT2.L", "LT1.R", "LT2.R"):
        assert 2 * IN < foot_of(code) <= min(12 * thick, 4 * IN) + 1e-6
