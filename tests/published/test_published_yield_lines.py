"""Plates by yield lines against published values, and against virtual work by hand where no example
of the shape was seen.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from published import published
from soapstone.parts.rules import yield_lines

IN, KSI, KIP = 25.4, 6.894757, 4448.2216
FY = 250.0


def wanted(moment: float, fy: float = FY) -> float:
    """Thickness for a plastic moment a millimeter, over 1.67."""
    return math.sqrt(4 * 1.67 * moment / fy)


def test_plate_lifted() -> None:
    """By hand (Johansen's method; no published example of this shape was seen: unverified). Ribs
    200 mm apart, 100 mm tall, 20 mm off the near edge, 10 mm from the welds beside them: tilted by
    1 the plate turns 200 (1 + 100/20) between the ribs and 100^2 / 10 beside them, 2200 m.
    """
    published(
        yield_lines.plate_lifted,
        moment_Nmm=2.2e6,
        ribs_mm=200.0,
        lifted_mm=100.0,
        held_mm=20.0,
        beside_mm=10.0,
        fy_MPa=FY,
        t_mm=6.0,
        demand=wanted(1000.0),
        capacity=6.0,
    )


@pytest.mark.parametrize("along", [0.0, 30.0, 80.0])
def test_wall_pulled(along: float) -> None:
    """AISC 360-10 (K1-12), plate on the face of a square tube: Fy t^2 / (1 - b/B) (2 l/B + 4
    sqrt(1 - b/B)), from memory: unverified.
    """
    wide, across, t = 100.0, 20.0, 6.0
    beta = across / wide
    force = FY * t**2 / (1 - beta) * (2 * along / wide + 4 * math.sqrt(1 - beta)) / 1.67
    given = {
        "patch_along_mm": along,
        "patch_across_mm": across,
        "edges_mm": wide,
        "fy_MPa": FY,
        "t_mm": t,
    }
    published(yield_lines.wall_pulled, force_N=force, edges_held=2.0, demand=t, **given)


def test_wall_pulled_on_edges_that_turn_freely() -> None:
    """The brute force of every length of the pattern: side panels turn by 1/e over l + 2a, ends by
    1/a over B on both their lines.
    """
    wide, across, along = 60.0, 20.0, 25.0
    lengths = np.linspace(5.0, 200.0, 40000)
    resists = (2 * (along + 2 * lengths) / 20.0 + 4 * wide / lengths).min()
    published(
        yield_lines.wall_pulled,
        force_N=1000.0 * resists,
        patch_along_mm=along,
        patch_across_mm=across,
        edges_mm=wide,
        edges_held=1.0,
        fy_MPa=FY,
        t_mm=6.0,
        demand=wanted(1000.0),
        rel=1e-6,
    )


def test_disk_pushed() -> None:
    """Round plate, edge free to turn, even push: collapse at 6 m / R^2, 6 pi m in all (Save and
    Massonnet, Plastic Analysis and Design of Plates, Shells and Disks; from memory: unverified).
    """
    given = {"ring_mm": 40.0, "fy_MPa": FY, "t_mm": 6.0}
    published(
        yield_lines.disk_pushed,
        force_N=6 * math.pi * 1000.0,
        hole_radius_mm=0.0,
        demand=wanted(1000.0),
        **given,
    )
    rings = np.linspace(10.0, 40.0, 20001)
    mean = np.trapezoid((1 - rings / 40.0) * rings, rings) / np.trapezoid(rings, rings)
    published(
        yield_lines.disk_pushed,
        force_N=1000.0 * 2 * math.pi * 30.0 / 40.0 / mean,
        hole_radius_mm=10.0,
        demand=wanted(1000.0),
        rel=1e-6,
        **given,
    )


def test_disk_past() -> None:
    """Half a disk past a line through its middle: 4 R / (3 pi) is its centroid (any handbook), so
    M = F/2 4R/(3 pi) on a line 2 R long.
    """
    published(
        yield_lines.disk_past,
        force_N=12_000.0 * math.pi,
        rim_mm=30.0,
        chord_mm=0.0,
        fy_MPa=FY,
        t_mm=6.0,
        demand=wanted(12_000.0 * math.pi / 2 * 4 * 30.0 / (3 * math.pi) / 60.0),
    )


def test_seat_on_lines() -> None:
    """By hand: a line of 10 kN along the middle of a seat of radius 75 between plates 40 mm off it
    is P L / 4 on 150 mm; past the plates a ring outside them brings its share and lever.
    """
    given = {"rim_mm": 75.0, "fy_MPa": FY, "t_mm": 6.0}
    published(
        yield_lines.seat_on_lines,
        coil_N=0.0,
        stop_N=10_000.0,
        coil_radius_mm=60.0,
        line_mm=40.0,
        fold_mm=0.0,
        past_mm=46.0,
        demand=wanted(10_000.0 * 80.0 / 4 / 150.0),
        **given,
    )
    turn = np.linspace(0, math.tau, 200_000, endpoint=False)
    past = np.maximum(70.0 * np.sin(turn) - 20.0, 0.0).mean()
    published(
        yield_lines.seat_on_lines,
        coil_N=10_000.0,
        stop_N=0.0,
        coil_radius_mm=70.0,
        line_mm=14.0,
        fold_mm=0.0,
        past_mm=20.0,
        demand=wanted(10_000.0 * past / (2 * math.sqrt(75.0**2 - 20.0**2))),
        rel=2e-3,
        **given,
    )


def test_blade_pulled() -> None:
    """By hand (Johansen's method; no published example of this shape was seen: unverified). A
    narrow plate folds in its whole width: each side W (1/h + 1/c). A wide one along a triangle,
    worked from the turns of its three lines for every foot in fine steps.
    """
    given = {"held_mm": 20.0, "lifted_mm": 100.0, "fy_MPa": FY, "t_mm": 6.0}
    narrow = 2 * 15.0 * (1 / 100.0 + 1 / 20.0)
    published(
        yield_lines.blade_pulled,
        force_N=1000.0 * narrow,
        beside_blade_mm=15.0,
        demand=wanted(1000.0),
        **given,
    )
    worst = math.inf
    for foot in np.linspace(5.0, 400.0, 8000):
        slope = np.array((120.0 / foot, -1.0))  # of the panel on the blade, lifted 100 at its end
        lower = np.array((0.0, 100.0 / 20.0))  # of the one on the edge
        lines = (
            (math.hypot(foot, 120.0), math.hypot(*slope)),
            (100.0, slope[0]),
            (math.hypot(foot, 20.0), math.hypot(*(slope - lower))),
        )
        worst = min(worst, sum(long * turn for long, turn in lines) / 100.0)
    published(
        yield_lines.blade_pulled,
        force_N=1000.0 * 2 * worst,
        beside_blade_mm=1e4,
        demand=wanted(1000.0),
        rel=2e-3,
        **given,
    )


def test_strip_bent() -> None:
    """AISC Design Examples v15, F.11A: bar 5 x 3 in, A36, Z 18.8 in3, Mp 677 kip in (from memory:
    unverified): the bar of that width whose moment is allowed is 5 in thick.
    """
    published(
        yield_lines.strip_bent,
        moment_Nmm=677 * KIP * IN / 1.67,
        strip_mm=3 * IN,
        fy_MPa=36 * KSI,
        t_mm=5 * IN,
        demand=5 * IN,
        rel=3e-3,
    )
