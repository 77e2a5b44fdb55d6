"""An ear's section above its weld and the arc of its foot, seen from outside.

Sources: a section by counting points inside the outline; slip along an arc is rigid rotation about
its middle (upper bound theorem of plasticity, any text): work of the force = shear yield times the
arc's length times the radius.
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from soapstone.parts.design.sizing import Check
from soapstone.parts.geometry import outline
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import neck
from soapstone.parts.strength.result import strength
from trucks import truck

IN = 25.4


@cache
def rows() -> tuple[Check, ...]:
    return strength(*truck(), default_shop()).checks


def test_a_section_is_as_wide_as_what_lies_inside_the_outline() -> None:
    part = next(p for p in truck()[0].singles if p.member.code == "AP1.L")
    loop = part.member.body.outline
    flat = np.array(outline.flatten(loop))
    for share in (0.3, 0.5, 0.7):
        y0, y1 = flat[:, 1].min(), flat[:, 1].max()
        at = y0 + share * (y1 - y0)
        cut = neck._cut(flat, -float(at))
        xs = np.linspace(flat[:, 0].min() - 1, flat[:, 0].max() + 1, 4001)
        inside = np.array([outline.contains(loop, (float(x), float(at))) for x in xs])
        assert cut is not None
        assert cut.width == pytest.approx(inside.sum() * (xs[1] - xs[0]), abs=0.1)
        assert cut.beside == pytest.approx(xs[inside].mean(), abs=0.1)


def test_arc_of_points_on_a_round() -> None:
    turn = np.radians(np.linspace(-50, 50, 9))
    points = np.column_stack((40 * np.sin(turn), 40 * np.cos(turn) - 90))
    found = neck.arc(neck.EarShape(points, points, 8.0))
    assert found is not None
    assert found == pytest.approx((40.0, math.radians(100), 90.0), rel=1e-6)
    turn = np.radians(np.linspace(-120, 120, 19))
    round_it = np.column_stack((40 * np.sin(turn), 40 * np.cos(turn) - 90))
    more = neck.arc(neck.EarShape(round_it, round_it, 8.0))
    assert more == pytest.approx((40.0, math.radians(240), 90.0), rel=1e-6), "past half round"
    flat = np.column_stack((points[:, 0], np.full(9, -60.0)))
    assert neck.arc(neck.EarShape(flat, flat, 8.0)) is None


def test_every_saddle_of_an_ear_is_held_against_slipping_round_the_tube() -> None:
    """An ear on the axle tube: the arc's radius is the tube's."""
    radius = 3.25 / 2 * IN
    found = [row for row in rows() if row.rule == "arc_slip"]
    assert {"AP1.L", "AP2.R"} <= {row.part for row in found}
    for row in (row for row in found if row.part.startswith("AP")):
        given = dict(row.given)
        assert given["radius_mm"] == pytest.approx(radius, rel=0.03)
        work = 0.6 * given["fy_MPa"] * given["t_mm"] * given["arc_rad"] * given["radius_mm"] ** 2
        assert row.capacity == pytest.approx(work / 1.67)
        assert row.verdict == "ok"


def test_a_narrow_neck_asks_more_than_a_wide_foot() -> None:
    """A foot 100 wide under a neck of 40: the neck, 30 above the weld, is the worst section."""
    loop = np.array([(-50, -60), (50, -60), (50, -30), (20, -30), (20, 10), (-20, 10), (-20, -30)])
    weld = np.array([(-50.0, -60.0), (50.0, -60.0)])
    cuts = neck.sections(neck.EarShape(loop, weld, 8.0))
    worst = max(cuts, key=lambda cut: cut.down / cut.width**2)
    assert worst.width == pytest.approx(40) and 20 < worst.down <= 30


def test_an_ears_numbers_say_where_they_come_from() -> None:
    """Every root's moment, push and size are worked again from the force's parts."""
    found = [row for row in rows() if row.rule in ("plate_root", "plate_push", "bolt_shear")]
    told = [row for row in found if row.steps]
    assert len(told) > 20 and {row.rule for row in told} >= {"plate_root", "bolt_shear"}
