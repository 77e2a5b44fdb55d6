"""Arm frame bracket, transmission pad and drill templates on the invented demo truck.

Geometry is checked by sampling the placed bodies, not through the families' own formulas.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from cross_truck import (
    IN,
    FakeSite,
    bolt,
    built,
    corners_in_truck,
    edge_in_truck,
    member,
    thickness,
)
from soapstone.parts.geometry.outline import (
    bbox,
    contains,
    distance,
    edge_points,
    signed_area,
    spans,
)


@pytest.fixture(scope="module")
def demo() -> tuple[dict[str, Any], FakeSite]:
    return built()


def test_pivot_is_on_the_solved_joint_and_square_to_the_arm(demo: Any) -> None:
    b = bolt(demo[0], "arm.joint#1")
    joint = np.array([-40.0, 13.618, 17.5]) * IN
    off = joint - np.array(b.at)
    along = np.array(b.along)
    assert np.linalg.norm(off - along * (off @ along)) < 0.005 * IN
    assert along @ np.array(
        [math.cos(math.radians(6)), math.sin(math.radians(6)), 0.0]
    ) == pytest.approx(0.0, abs=1e-12)
    assert along[1] > 0 and b.through[0] == "AB2", (
        "the bolt must come out inboard, away from the side plate"
    )
    assert b.through == ("AB2", "AR3", "AB1")


def test_cheeks_stand_apart_by_the_joint_and_a_thirtysecond(demo: Any) -> None:
    out, inn = member(demo[0], "AB1"), member(demo[0], "AB2")
    apart = np.array(out.place.origin) - np.array(inn.place.origin)
    assert apart @ np.array(out.place.z) == pytest.approx((2.0 + 1 / 32) * IN)
    assert np.array(out.place.z) @ np.array(inn.place.z) == pytest.approx(-1.0)
    assert signed_area(out.body.outline) != pytest.approx(
        signed_area(inn.body.outline), rel=1e-3
    ), "the slant makes them unequal"


@pytest.mark.parametrize("slant", [-6.0, 0.0, 3.0, 6.0, 10.0, -12.0])
def test_feet_sit_on_the_round_tube(slant: float) -> None:
    """Both faces of each foot: no bite over 0.01 in; the welded face within 0.5 mm of the tube,
    outside where the slant lets it.
    """
    made, _ = built(**{"arm.slant": math.radians(slant)})
    axis = made["XT"].ports["cross.tube"].frame.origin
    for code in ("AB1", "AB2"):
        m = member(made, code)
        for w in (0.0, thickness(m)):
            gaps = [
                math.hypot(p[0] - axis[0], p[2] - axis[2]) - 1.5 * IN
                for p in edge_in_truck(m, "saddle", w)
            ]
            welded = next(x.face for x in made["AB"].welds if x.on == code) == (
                "top" if w else "bottom"
            )
            assert min(gaps) > -0.254 and (max(gaps) < 0.5 or not welded), (
                code,
                w,
                min(gaps),
                max(gaps),
            )
            assert not (abs(slant) <= 6 and w and not welded), "weld outside while the gap allows"
        angles = [
            math.degrees(math.atan2(p[2] - axis[2], axis[0] - p[0])) % 360
            for p in edge_in_truck(m, "saddle", 0.0)
        ]
        wrapped = [(a - angles[0] + 180) % 360 - 180 for a in angles]
        assert 100 < max(wrapped) - min(wrapped) < 140


def test_bracket_slides_an_inch_each_way_clear_of_flange_and_side_plate(demo: Any) -> None:
    made = demo[0]
    flange, socket = max(corners_in_truck(member(made, "XT2"))[:, 1]), 1.5 * IN
    for code in ("AB1", "AB2", "AB3"):
        m = member(made, code)
        assert m.moves["y"] == pytest.approx((-IN, IN)) and m.fixed_after == "set-down"
        ys = [
            m.place.out((*p, w))[1]
            for e, q in spans(m.body.outline)
            for p in edge_points(e, q)
            for w in (0.0, thickness(m))
        ]
        assert min(ys) - IN > flange + socket, "no room for the flange bolts' socket"
        assert max(ys) + IN < 17.5 * IN - 0.5 * IN


def test_bridge_clears_the_swinging_housing_and_the_tube(demo: Any) -> None:
    """Housing 2.25 in OD, widest that swings 22 degrees between the spacers' faces; 1/8 in clear
    all round.
    """
    made, m = demo[0], member(demo[0], "AB3")
    joint, axis = np.array([-40.0, 13.618, 17.5]) * IN, made["XT"].ports["cross.tube"].frame.origin
    half = ((2.0 + 1 / 32) / 2 - 2.25 / 2 * math.sin(math.radians(22))) / math.cos(math.radians(22))
    assert m.place.into(tuple(joint))[2] - thickness(m) > (math.hypot(2.25 / 2, half) + 1 / 8) * IN
    for p in corners_in_truck(m):
        assert math.hypot(p[0] - axis[0], p[2] - axis[2]) > 1.5 * IN
    back = [
        m.place.out((x, axis[2] - m.place.origin[2], 0.0))
        for x in np.linspace(*bbox(m.body.outline)[::2], 9)
    ]
    assert min(
        math.hypot(p[0] - axis[0], p[2] - axis[2]) for p in back
    ) - 1.5 * IN == pytest.approx(IN / 32, abs=0.02)


def test_end_radius_is_one_and_a_half_bolts_past_the_slot(demo: Any) -> None:
    """Edge distance 1.5 D at a round tab end: common practice; over AISC 360-16 Table J3.4 (3/4 in
    bolt: 1 in).
    """
    for code in ("AB1", "AB2"):
        loop = member(demo[0], code).body.outline
        for end in (-0.25 * IN, 0.25 * IN):
            assert distance(loop, (end, 0.0)) >= 1.5 * 0.75 * IN - 1e-6


def test_center_section_comes_out_downward(demo: Any) -> None:
    """Nothing of the center lies beyond the parting plane less half the shim."""
    made = demo[0]
    plane = made["XT"].ports["cross.tube"].size["parting"]
    for code in ("XT4", "XP1", "XP2", "XP3", "XP4"):
        assert max(abs(corners_in_truck(member(made, code))[:, 1])) <= plane - IN / 64 + 1e-9, code
    assert min(corners_in_truck(member(made, "XT2"))[:, 1]) == pytest.approx(plane + IN / 64)
    t = member(made, "XT3")
    assert -t.place.origin[1] == pytest.approx(t.body.length / 2) and t.body.length / 2 < plane
    assert len([b for b in made["XJ"].bolts if b.id.startswith("cross.flange")]) >= 4
    assert len([b for b in made["XJ"].bolts if b.id.startswith("cross.dowel")]) == 2


def test_transmission_pad_meets_the_measured_mount(demo: Any) -> None:
    made, pad = demo[0], member(demo[0], "XP1")
    assert max(corners_in_truck(pad)[:, 2]) == pytest.approx((20.5 - 1.5) * IN)
    at = sorted((round(b.at[0] / IN, 6), round(b.at[1] / IN, 6)) for b in made["XP"].bolts)
    assert at == [(-52.0, -2.0), (-52.0, 2.0)]
    assert all(b.slots["XP1"] == (pytest.approx(IN), (1.0, 0.0, 0.0)) for b in made["XP"].bolts)
    for code in ("XP2", "XP3"):
        arm = member(made, code)
        assert all(
            p[2] == pytest.approx(19.0 * IN - thickness(pad))
            for p in edge_in_truck(arm, "top", 0.0)
        )
        axis = made["XT"].ports["cross.tube"].frame.origin
        assert all(
            math.hypot(p[0] - axis[0], p[2] - axis[2]) == pytest.approx(1.5 * IN, abs=0.06)
            for p in edge_in_truck(arm, "saddle", 0.0)
        )
    four, _ = built(**{"driveline.mount.bolt_dx": 3 * IN})
    assert len(four["XP"].bolts) == 4


def test_transmission_mount_ahead_of_the_tube_turns_the_arms_about() -> None:
    made, _ = built(**{"driveline.mount.x": -34.0 * IN})
    for code, side in (("XP2", 1.0), ("XP3", -1.0)):
        ys, xs = (
            corners_in_truck(member(made, code))[:, 1] * side,
            corners_in_truck(member(made, code))[:, 0],
        )
        assert min(ys) > 2.0 * IN and max(xs) > -34.0 * IN
    tie = corners_in_truck(member(made, "XP4"))
    assert min(tie[:, 0]) > -43.5 * IN and max(tie[:, 1]) == pytest.approx(-min(tie[:, 1]))


def test_templates_take_their_holes_from_the_side_plate(demo: Any) -> None:
    made = demo[0]
    holes = [b for b in made["XS"].bolts if b.id.startswith("cross.side")]
    pilots = [b for b in made["DT"].bolts]
    assert len(pilots) == len(holes)
    for code in ("DT1", "DT2"):
        m = member(made, code)
        assert m.fixed_after == "tool"
        for b in holes:
            x, y, _ = m.place.into(b.at)
            assert contains(m.body.outline, (x, y)) and distance(m.body.outline, (x, y)) >= 0.5 * IN
        assert all(p[2] == pytest.approx(25.25 * IN) for p in edge_in_truck(m, "rail_bottom", 0.0))
        front = np.array(edge_in_truck(m, "front_cut", 0.0)).mean(axis=0)
        assert front[0] > m.place.origin[0] + IN, "the cut corner is at the front"
    assert member(made, "DT1").place.z == pytest.approx((0, 1, 0)) and member(
        made, "DT2"
    ).place.z == pytest.approx((0, -1, 0))
    assert member(made, "DT2").place.origin[1] == pytest.approx((17.5 - 2.75) * IN)
