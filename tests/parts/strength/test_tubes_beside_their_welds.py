"""Everyday range of stress in arms and links beside their welds against the detail category.

Source: AISC 360 appendix 3, category E: 11e8 and 4.5 ksi seen second-hand as of the 2022
table A-3.1 (rows 5.5 and 6.1); that lengthwise fillet ends are of it (row 4.1) is from memory.
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

KSI = 6.894757


def test_category_e() -> None:
    _, allowed = life_tube(range_MPa=1.0)
    assert float(allowed) == pytest.approx((11e8 / 2e5) ** (1 / 3) * KSI)
    assert float(allowed) / KSI == pytest.approx(17.65, abs=0.01)


def test_range_of_the_arm_by_hand() -> None:
    """Between any two everyday states: the bending vector and the pull at the upper joint, their
    differences put into M c / I + P / A, at most over the round.
    """
    made, solved = truck()
    checks = strength(made, solved, default_shop()).checks
    row = next(
        c for c in checks if c.part == "AR1.L" and c.what.startswith("arm tube at the welds")
    )
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
    states = []
    for f in forces(solved.values, both_hands(EVERYDAY)):
        moment = np.cross(joint - upper, f.joint[0])
        states.append((moment - (moment @ along) * along, f.joint[0] @ along))
    most = max(
        np.linalg.norm(m - n) * out / 2 / inertia + abs(p - q) / section
        for m, p in states
        for n, q in states
    )
    assert row.demand == pytest.approx(most, rel=0.02)
    assert row.verdict in ("ok", "confirm") and row.case.startswith("everyday")
    assert any(c.part == "UA1.R" and c.what.startswith("upper-arm tube at") for c in checks)
