"""Tubes, columns, groups of bolts and welds against worked examples.

Tags: read, read*, memory as in the tables they are from.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from published import published
from soapstone.parts.rules import bolts, plates, tubes, welds

IN, KSI, KIP = 25.4, 6.894757, 4448.2216


def test_column_of_the_design_example() -> None:
    """HSS12x10x3/8, 46 ksi, K 0.8, L 20 ft, ry 4.01, A 14.6: KL/r 47.9, Pn/1.67 345 kip (AISC
    Design Examples v14 E.9): read; A from memory.
    """
    slender = 0.8 * 240 / 4.01
    assert slender == pytest.approx(47.9, abs=0.05)
    published(
        tubes.column,
        force_N=0.0,
        area_mm2=14.6 * IN**2,
        slender=slender,
        fy_MPa=46 * KSI,
        capacity=345 * KIP,
        rel=5e-3,
    )


def test_column_meets_euler_when_slender() -> None:
    """Pipe 40/36 mm, I 43.22e3 mm4, A 238.8 mm2, L 1.2 m, E 210 GPa: 62.2 kN (Gere 11.4-2): read;
    E3 takes 0.877 of it with E 200 GPa.
    """
    i, a = float(tubes.inertia(40.0, 2.0)), float(tubes.area(40.0, 2.0))
    assert i == pytest.approx(43.22e3, rel=5e-4)
    got = float(tubes.critical(2000.0, 1200 / math.sqrt(i / a))) * a
    assert got == pytest.approx(0.877 * 62_200 * 200 / 210, rel=3e-3)


@pytest.mark.parametrize(
    ("p", "pc", "mx", "mcx", "my", "mcy", "want"),
    [(400, 1130, 250, 642, 80, 311, 0.928), (267, 751, 167, 428, 53.3, 207, 0.930)],
)
def test_push_with_bending_of_the_design_example(
    p: float, pc: float, mx: float, mcx: float, my: float, mcy: float, want: float
) -> None:
    """H1-1a, AISC Design Examples v15 H.1B: inputs read, answers memory."""
    published(
        tubes.combined,
        force_N=p,
        capacity_N=pc,
        moment_Nmm=mx / mcx + my / mcy,
        capacity_Nmm=1.0,
        demand=want,
        capacity=1.0,
        rel=2e-3,
    )


def test_small_push_takes_the_other_line() -> None:
    """H1-1b below 0.2, and both lines meet there: identity."""
    half = {"capacity_N": 1.0, "moment_Nmm": 0.5, "capacity_Nmm": 1.0}
    published(tubes.combined, force_N=0.1, **half, demand=0.55)
    published(tubes.combined, force_N=0.2, **half, demand=0.2 + 8 / 18)


def test_tension_and_torsion_are_arithmetic() -> None:
    """J4.1 Fy A / 1.67 (memory); H3.1 with C = J / (D/2), 4.6 % below the user note's pi (D - t)^2
    t / 2 for 5.000 x 0.250: strength page, derived.
    """
    published(
        tubes.tension, force_N=0.0, area_mm2=100.0, fy_MPa=250.0, demand=0.0, capacity=25_000 / 1.67
    )
    wall = 0.93 * 0.25 * IN  # design wall of welded tube
    c = 2 * float(tubes.inertia(5 * IN, wall)) / (2.5 * IN)
    note = math.pi * (5 * IN - wall) ** 2 * wall / 2
    assert note / c == pytest.approx(1.046, abs=0.003)
    assert float(tubes.torsion(5 * IN, wall, 250.0)) == pytest.approx(0.6 * 250 * c / 1.67)


def test_bent_and_twisted() -> None:
    """H3-6 without push: Mr/Mc + (Vr/Vc + Tr/Tc)^2 (memory): a half, and a quarter and a half
    squared. G5: Vn = Fcr Ag / 2 with Fcr = 0.6 Fy of a stout tube (memory).
    """
    assert float(tubes.shearing(60.0, 5.0, 250.0)) == pytest.approx(
        0.6 * 250.0 * math.pi * (30.0**2 - 25.0**2) / 2 / 1.67
    )
    published(
        tubes.bent_and_twisted,
        moment_Nmm=-1.0,
        bending_Nmm=2.0,
        shear_N=-1.0,
        sheared_N=4.0,
        torque_Nmm=2.0,
        torsion_Nmm=4.0,
        demand=0.5 + 0.75**2,
        capacity=1.0,
    )


def test_plastic_modulus_of_a_tube() -> None:
    """(D^3 - d^3)/6; a solid round has 1.70 times its elastic one: identity."""
    assert float(tubes.plastic(10.0, 5.0)) / (math.pi * 10**3 / 32) == pytest.approx(
        1.698, rel=1e-3
    )
    assert float(tubes.bending(50.0, 5.0, 250.0)) == pytest.approx(250 * (50**3 - 40**3) / 6 / 1.67)


def test_bolt_pulled_and_sheared() -> None:
    """3/4 A325 (Fnt 90, Fnv 54 ksi, AISC 360-10 Table J3.2: read), Ab 0.4418: 19.9 kip allowable
    pull; J3-3b at half the shear: 1.3 Fnt - Fnt/2 capped: arithmetic.
    """
    bolt = {"force_N": 0.0, "d_mm": 0.75 * IN}
    marks = {"fnt_MPa": 90 * KSI, "fnv_MPa": 54 * KSI}
    pull, shear = 19.88 * KIP, 11.93 * KIP
    published(bolts.bolt_tension, **bolt, fnt_MPa=90 * KSI, capacity=pull, rel=1e-3)
    published(
        bolts.bolt_combined, **bolt, **marks, shear_N=shear / 2, capacity=0.8 * pull, rel=1e-3
    )
    published(bolts.bolt_combined, **bolt, **marks, shear_N=0.1 * shear, capacity=pull, rel=1e-3)
    published(bolts.bolt_combined, **bolt, **marks, shear_N=2 * shear, capacity=0.0)


def test_pin_bending_formula() -> None:
    """EN 1993-1-8 table 3.10: M = F (b + 4c + 2a)/8, 1.5 W fy: read; the 1.5 under it is the
    project's scale.
    """
    published(
        bolts.pin_bending,
        force_N=20_000.0,
        inner_mm=50.0,
        gap_mm=1.0,
        outer_mm=6.0,
        d_mm=16.0,
        fy_MPa=640.0,
        demand=20_000 * 66 / 8,
        capacity=math.pi / 32 * 16**3 * 640,
    )


def test_elastic_bolt_group_of_the_textbook() -> None:
    """Four bolts 150 x 120 mm, 16 kN at 425 mm: FA = FB 21.0, FC = FD 14.8 kN (Shigley 9e Ex. 8-7
    pp. 457-458): read.
    """
    points = np.array([(x, y, 0.0) for x in (-75.0, 75.0) for y in (-60.0, 60.0)])
    each = (
        np.linalg.norm(
            bolts.shares(
                points, np.ones(4), np.array((0.0, -16_000.0, 0.0)), np.array((425.0, 0.0, 0.0))
            ),
            axis=1,
        )
        / 1000
    )
    assert sorted(each) == pytest.approx([14.79, 14.79, 20.97, 20.97], rel=5e-3)


def test_square_of_weld_twisted_of_the_textbook() -> None:
    """All four sides of 2 x 2, leg 5/16, load F 7 in out: direct 0.566 F, secondary 2.97 F on the
    throat (Shigley solutions manual 9-6): read. Ju = 10.667.
    """
    n = 400
    side = (np.arange(n) + 0.5) / n * 2 - 1
    pts = np.vstack(
        [np.column_stack((side, np.full(n, s), np.zeros(n))) for s in (-1, 1)]
        + [np.column_stack((np.full(n, s), side, np.zeros(n))) for s in (-1, 1)]
    )
    length = 2 / n
    throat = 0.7071 * 5 / 16
    each = (
        bolts.shares(
            pts, np.full(len(pts), length), np.array((0.0, -1.0, 0.0)), np.array((7.0, 0.0, 0.0))
        )
        / length
        / throat
    )
    corner = each[np.argmax(np.linalg.norm(each, axis=1))]
    assert abs(corner[0]) == pytest.approx(2.97, rel=5e-3)
    assert abs(corner[1]) == pytest.approx(2.97 + 0.566, rel=5e-3)


@pytest.mark.parametrize("seed", range(4))
def test_shares_of_any_group_in_space(seed: int) -> None:
    """Statics and a rigid plate, which leave one answer only (closed form): the shares add up to
    the force and to its moment about any point, and each over its weight is a shift and a turn.
    """
    draw = np.random.default_rng(seed)
    points = draw.uniform(-80.0, 120.0, (7, 3))
    weights = draw.uniform(0.5, 3.0, 7)
    force, at = draw.uniform(-9e3, 9e3, 3), draw.uniform(-300.0, 300.0, 3)
    each = bolts.shares(points, weights, force, at)
    assert each.sum(axis=0) == pytest.approx(force)
    assert np.cross(points, each).sum(axis=0) == pytest.approx(np.cross(at, force))
    way = (each / weights[:, None]).ravel()
    turns = [np.cross(axis, points).ravel() for axis in np.eye(3)]
    rigid = np.array([*(np.tile(axis, 7) for axis in np.eye(3)), *turns]).T
    left = way - rigid @ np.linalg.lstsq(rigid, way, rcond=None)[0]
    assert left == pytest.approx(np.zeros(21), abs=1e-6 * np.abs(way).max())


def test_shares_of_bolts_in_a_row() -> None:
    """Two bolts 100 mm apart, 1 kN across a quarter along: 750 and 250 N (law of the lever)."""
    row = np.array(((0.0, 0.0, 0.0), (100.0, 0.0, 0.0)))
    each = bolts.shares(row, np.ones(2), np.array((0.0, 0.0, 1e3)), np.array((25.0, 0.0, 0.0)))
    assert each == pytest.approx(np.array(((0, 0, 750.0), (0, 0, 250.0))), abs=1e-6)


def test_weld_line_is_the_design_examples_inch_of_weld() -> None:
    """E70, 3/16 leg: 5.57 kip/in nominal (AISC Design Examples v14 J.1): read.

    J4.2 beside it: 0.6 Fu t / 2 (memory).
    """
    published(
        welds.weld_line,
        force_N_mm=0.0,
        leg_mm=3 / 16 * IN,
        fexx_MPa=70 * KSI,
        capacity=5.57 / 2 * KIP / IN,
        rel=2e-3,
    )
    published(welds.wall_beside, force_N_mm=1.0, t_mm=5.0, fu_MPa=400.0, demand=1.0, capacity=600.0)


def test_plate_root_is_the_sum_of_its_parts() -> None:
    """AISC Manual part 9 form (memory): a 100 x 10 plate, Fy 250: Mp 6.25e6, weak 0.625e6 N mm, Py
    250 kN, Vp 150 kN, each over 1.67: arithmetic.
    """
    free = {"moment_Nmm": 0.0, "sideways_Nmm": 0.0, "pull_N": 0.0, "shear_N": 0.0}
    for load, want in (
        ({"moment_Nmm": 6.25e6 / 1.67}, 1.0),
        ({"sideways_Nmm": 0.625e6 / 1.67}, 1.0),
        ({"pull_N": 250e3 / 1.67 / 2}, 0.25),
        ({"shear_N": 150e3 / 1.67 / 2}, 1 / 16),
    ):
        published(
            plates.plate_root,
            **{**free, **load},
            width_mm=100.0,
            t_mm=10.0,
            fy_MPa=250.0,
            demand=want,
            capacity=1.0,
        )


def test_yield_over_omega() -> None:
    """AISC 360 F: Fy over 1.67, A36 36 ksi: 21.6 ksi (the allowable the old handbooks print as 0.60
    Fy): read.
    """
    published(plates.bent, stress_MPa=0.0, fy_MPa=36 * KSI, capacity=21.6 * KSI, abs=0.05 * KSI)


def test_arm_spin_and_bent_tube() -> None:
    """Pcr over 1.67 (the critical push itself: tests of travel limits); F8: Fy Z over 1.67 with Z
    of 2.000 x 0.250: 0.771 in3: arithmetic of (D^3 - d^3)/6.
    """
    published(tubes.arm_spin, force_N=1.0, critical_N=167.0, demand=1.0, capacity=100.0)
    published(
        tubes.bent_tube,
        moment_Nmm=0.0,
        od_mm=2 * IN,
        wall_mm=0.25 * IN,
        fy_MPa=36 * KSI,
        capacity=36 * 0.7708 / 1.67 * KIP * IN,
        rel=1e-3,
    )
