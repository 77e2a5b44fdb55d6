"""Welds against published tables and worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from published import published
from soapstone.parts.rules import welds
from soapstone.parts.stock.fillers import filler_of

IN, KSI, KIP = 25.4, 6.894757, 4448.2216


@pytest.mark.parametrize(
    ("t", "leg"),
    [
        (0.25, 1 / 8),
        (0.3125, 3 / 16),
        (0.5, 3 / 16),
        (9 / 16, 1 / 4),
        (0.625, 1 / 4),
        (0.75, 1 / 4),
        (0.8125, 5 / 16),
        (1.0, 5 / 16),
    ],
)
def test_fillet_least(t: float, leg: float) -> None:
    """AISC 360 Table J2.4: read.

    Cyclic loading: 3/16 in whatever the thickness (AWS D1.1:2025 Table 7.7 note c): read.
    """
    published(welds.fillet_least, t_mm=t * IN, leg_mm=1, cyclic=False, demand=leg * IN)
    cyclic = max(leg, 3 / 16) * IN
    published(welds.fillet_least, t_mm=t * IN, leg_mm=1, cyclic=True, demand=cyclic, capacity=1)


@pytest.mark.parametrize(("t", "leg"), [(0.1875, 3 / 16), (0.25, 3 / 16), (0.375, 5 / 16)])
def test_fillet_most(t: float, leg: float) -> None:
    """Edge of 3/16 sheet: 3/16; of 3/8 plate: 5/16 (AISC 360 J2.2b): read."""
    published(welds.fillet_most, t_mm=t * IN, leg_mm=1, demand=1, capacity=leg * IN)


@pytest.mark.parametrize("t", [0.1196, 0.1345, 0.1875, 0.25, 0.3125, 0.375, 0.5, 0.75])
@pytest.mark.parametrize("legs", [welds.INCH_LEGS, welds.MM_LEGS, (5.0, 6.0)])
def test_legs_are_of_the_list_and_meet_both_limits(t: float, legs: tuple[float, ...]) -> None:
    """Table J2.4, J2.2b (read).

    Where the wall carries no leg of the list, the smallest is drawn and fails by name.
    """
    leg, most = welds.leg_for(legs, t * IN), float(welds.most_leg(t * IN))
    assert leg in legs
    if most < legs[0]:
        need, have = welds.fillet_most(t_mm=t * IN, leg_mm=leg)
        assert leg == legs[0] and need > have
        return
    assert leg <= most + 1e-6
    larger = [x for x in legs if leg < x <= most + 1e-6]
    need = float(welds.least_leg(t * IN))
    assert leg >= need - 1e-9 or not larger
    carried = welds.carried_leg(legs, t * IN)
    demand, have = welds.fillet_least(t_mm=t * IN, leg_mm=leg, cyclic=True, most_mm=carried)
    assert demand <= have + 1e-9


def test_a_leg_on_a_wall_between_two_sizes_is_the_smaller() -> None:
    """A 0.158 in wall carries 1/8, never 3/16 (J2.2b); a 4 mm wall 4 mm from a metric list."""
    assert welds.leg_for(welds.INCH_LEGS, 0.158 * IN, 0.25 * IN) == pytest.approx(IN / 8)
    assert welds.leg_for(welds.MM_LEGS, 4.0, 10.0) == 4.0
    assert [welds.leg_within((3.0, 5.0, 8.0), most) for most in (2.0, 3.0, 9.0)] == [3.0, 3.0, 8.0]
    assert (
        welds.leg_text(IN / 8) == "1/8"
        and welds.leg_text(4.0) == "4 mm"
        and welds.leg_text(4.1) == "4.1 mm"
    )


def test_the_legs_a_shop_has_a_gauge_for() -> None:
    """A fillet gauge set in inches (common practice, no source); preferred sizes of fillets in mm,
    2 to 12 (AS/NZS 1554.1: from memory), of which the smallest is left out.
    """
    sixteenths = [leg / IN * 16 for leg in welds.INCH_LEGS]
    assert sixteenths == pytest.approx([2, 3, 4, 5, 6, 8])
    assert [2.0, *welds.MM_LEGS] == [2, 3, 4, 5, 6, 8, 10, 12]


def test_a_gap_that_a_fillet_bridges_is_less_than_the_code_lets_pass() -> None:
    """AWS D1.1: 1/16 in without a larger leg (from memory); a shop is held to 3/64 (judgment)."""
    inches = welds.BRIDGED / IN
    assert inches == pytest.approx(3 / 64) and inches < 1 / 16


def test_legs_elementwise() -> None:
    t = np.array([3.3, 4.0, 4.7625, 6.35, 9.525, 19.05, 25.4])
    each = [welds.leg_for(welds.INCH_LEGS, float(x)) for x in t]
    assert welds.leg_for(welds.INCH_LEGS, t) == pytest.approx(each)


def test_fillet_wall() -> None:
    """Common practice, no source: never larger than the thinner wall."""
    published(welds.fillet_wall, t_mm=4.0, leg_mm=4.7625, demand=4.7625, capacity=4.0)


E70 = filler_of("E7018").fexx


def test_fillet_length() -> None:
    """5/16 fillet: 1 1/4 in at least, stitches 1 1/2 (AISC 360-05 J2.2b; AWS D1.1:2010 2.4.2):
    read.
    """
    leg = 5 / 16 * IN
    run = {"leg_mm": leg, "length_mm": 1}
    published(welds.fillet_length, **run, stitched=False, demand=1.25 * IN, capacity=1)
    published(welds.fillet_length, **run, stitched=True, demand=1.5 * IN)
    published(welds.fillet_length, leg_mm=IN / 2, length_mm=1, stitched=True, demand=2 * IN)


def test_fillet_strength_of_the_design_example() -> None:
    """E70, 3/16, 133 kip ASD needs 47.8 in (AISC Design Examples v14 J.1): read."""
    published(
        welds.fillet_strength,
        force_N=0,
        leg_mm=3 / 16 * IN,
        length_mm=47.8 * IN,
        fexx_MPa=E70,
        capacity=133 * KIP,
        rel=2e-3,
    )


@pytest.mark.parametrize(
    ("angle", "want"), [(0.0, 133.62), (math.pi / 4, 133.62 * 1.2973), (math.pi / 2, 200.4)]
)
def test_directional_fillet(angle: float, want: float) -> None:
    """E70, 3/4 leg, 8 in, phi 0.75: 133.62 and 200.4 kip: read. At 45 degrees J2-5 gives
    1 + 0.5 x 0.7071^1.5 = 1.2973: by hand.
    """
    published(
        welds.fillet_strength,
        force_N=0,
        leg_mm=0.75 * IN,
        length_mm=8 * IN,
        fexx_MPa=E70,
        angle_rad=angle,
        capacity=want * KIP / 1.5,
        rel=1e-3,
    )


@pytest.mark.parametrize("t", [0.1345, 0.1875, 0.25, 0.3125, 0.375, 0.5])
@pytest.mark.parametrize("legs", [welds.INCH_LEGS, welds.MM_LEGS])
def test_the_largest_leg_fills_its_edge(t: float, legs: tuple[float, ...]) -> None:
    """AISC 360-16 J2.2b (read): no larger leg of the list is within the edge's limit."""
    leg, most = welds.leg_for(welds.Largest(legs), t * IN), float(welds.most_leg(t * IN))
    assert leg <= most + 1e-6 and not [x for x in legs if leg < x <= most + 1e-6]
    assert leg >= welds.leg_for(legs, t * IN)


@pytest.mark.parametrize("legs", [welds.INCH_LEGS, welds.MM_LEGS])
def test_the_leg_drawn_is_the_leg_asked(legs: tuple[float, ...]) -> None:
    """AISC 360-16 J2.2b: of every wall that carries the list's smallest leg, the leg a family draws
    is no smaller than the least and no larger than the largest that its rows ask for.
    """
    for thick in np.linspace(legs[0], 25.0, 300):
        leg, most = welds.leg_for(legs, float(thick)), welds.most_leg(float(thick))
        carried = float(welds.carried_leg(legs, float(thick)))
        least, drawn = welds.fillet_least(t_mm=thick, leg_mm=leg, cyclic=True, most_mm=carried)
        assert least <= drawn + 1e-6 and leg <= most + 1e-6, thick
