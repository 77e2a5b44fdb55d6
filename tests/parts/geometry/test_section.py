"""Rail sections against an independent section library, handbook formulas and the worked sample
rail.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from soapstone.parts.geometry.rail_section import (
    RailSection,
    box,
    channel,
    cut,
    plated,
    rail_torsion,
    restored,
)
from soapstone.parts.geometry.section import (
    Poly,
    closed_cell,
    corners_of,
    open_strip,
    rect,
    section,
)

IN = 25.4
CASES = {
    "box": box(75, 150, 3.5),
    "round box": box(75, 150, 3.5, 8.0),
    "channel": channel(60, 140, 5.0),
    "round channel": channel(60, 140, 5.0, 9.0),
    "round channel, cut and plated": plated(
        cut(60, 140, 5.0, 30, 110, radius=9.0, shape="channel"), 5.0, 20.0, 120.0
    ),
    "side wall cut": cut(75, 150, 3.5, 15, 105),
    "round, cut": cut(75, 150, 3.5, 15, 105, radius=8.0),
    "wall and flange cut": cut(75, 150, 3.5, 0, 105, flange=30.0),
    "cut and plated": plated(cut(75, 150, 3.5, 15, 105), 3.0, 0, 125),
    "side plate and strip": plated(
        cut(75, 150, 3.5, 0, 105, flange=30.0), 4.0, 0, 125, strip=(4.0, 45.0)
    ),
    "both strips": plated(
        cut(69.85, 146.05, 4.0, 0, 146.05),
        3.4,
        0.0,
        146.05,
        strip=(3.4, 25.4),
        height=146.05,
        both=True,
    ),
    "full height, plated": plated(cut(69.85, 146.05, 4.0005, 0, 146.05), 4.7625, 4.0, 142.05),
    "channel, cut and plated": plated(cut(60, 140, 5.0, 20, 120, shape="channel"), 5.0, 5.0, 135.0),
}


@pytest.mark.parametrize("name", CASES)
def test_against_sectionproperties(name: str) -> None:
    """sectionproperties (registry library), geometric analysis of the same polygons: five digits,
    moduli too.
    """
    from sectionproperties.analysis import Section as Mesh
    from sectionproperties.pre import Geometry
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    solid = unary_union([Polygon(p.points) for p in CASES[name] if p.sign > 0])
    for p in CASES[name]:
        if p.sign < 0:
            solid = solid.difference(Polygon(p.points))
    mesh = Mesh(Geometry(solid).create_mesh(mesh_sizes=[0]))
    mesh.calculate_geometric_properties()
    iy, iz, iyz = mesh.get_ic()
    mine = section(CASES[name], corners_of(CASES[name]))
    assert mine.area == pytest.approx(mesh.get_area(), rel=1e-6)
    assert (mine.iy, mine.iz) == pytest.approx((iy, iz), rel=1e-5)
    assert mine.iyz == pytest.approx(iyz, rel=1e-5, abs=1e-6 * iy)
    cy, cz = mesh.get_c()
    pts = [
        q
        for g in (solid.geoms if hasattr(solid, "geoms") else [solid])
        for q in (*g.exterior.coords, *(c for r in g.interiors for c in r.coords))
    ]
    den = iy * iz - iyz**2
    assert mine.vertical == pytest.approx(
        1 / max(abs(iz * (z - cz) - iyz * (y - cy)) / den for y, z in pts), rel=1e-4
    ), "corners are those of the union"
    assert mine.lateral == pytest.approx(
        1 / max(abs(iyz * (z - cz) - iy * (y - cy)) / den for y, z in pts), rel=1e-4
    )


def test_rectangle_by_the_handbook() -> None:
    """b h^2 / 6 (any strength-of-materials handbook)."""
    s = section((rect(0, 0, 20, 60),))
    assert s.vertical == s.held == pytest.approx(20 * 60**2 / 6)
    assert s.lateral == pytest.approx(60 * 20**2 / 6)


# sample rail 150 x 75 x 3.5 of the strength page: % of the original, vertical/lateral, notched and
# with 3, 4, 5, 6, 8 mm
SAMPLE = [
    ("A", (15, 105), 0, (0, 125), 0, "78/49 105/104 107/105 109/106 111/107 116/110"),
    ("A'", (15, 105), 0, (5, 115), 0, "78/49 102/101 102/103 103/104 104/105 106/107"),
    ("B", (0, 105), 30, (0, 125), 0, "43/34 73/83 82/101 90/107 97/113 104/113"),
    ("B2", (0, 105), 30, (-25, 125), 0, "43/34 75/106 85/104 94/103 102/103 118/104"),
    ("B3", (0, 105), 30, (0, 125), 45, "43/34 102/100 112/107 116/108 121/109 132/114"),
]


@pytest.mark.parametrize(
    ("name", "notch", "flange", "plate", "strip", "want"), SAMPLE, ids=[s[0] for s in SAMPLE]
)
def test_sample_rail(
    name: str,
    notch: tuple[float, float],
    flange: float,
    plate: tuple[float, float],
    strip: float,
    want: str,
) -> None:
    """Sample rail worked with an independent prototype and confirmed by sectionproperties, to its
    printed digits.
    """
    whole, opened = (
        section(box(75, 150, 3.5), corners_of(box(75, 150, 3.5))),
        cut(75, 150, 3.5, *notch, flange=flange),
    )
    assert (whole.vertical / 1e3, whole.lateral / 1e3) == pytest.approx((60.3, 40.7), abs=0.05)
    got = []
    for t in (0, 3, 4, 5, 6, 8):
        parts = plated(opened, t, *plate, strip=(t if strip else 0.0, strip)) if t else opened
        s = section(parts, corners_of(parts))
        got.append(f"{100 * s.vertical / whole.vertical:.0f}/{100 * s.lateral / whole.lateral:.0f}")
    assert " ".join(got) == want


@pytest.mark.parametrize(("case", "need"), [((15, 105, 0, 125), 2.6), ((15, 105, 5, 115), 3.0)])
def test_thickness_the_sample_needs(case: tuple[float, float, float, float], need: float) -> None:
    """A 2.6 mm, A' 3.0 mm restore the rail; a tenth less does not."""
    for t, enough in ((need, True), (need - 0.1, False)):
        r = restored(RailSection(width=75, height=150, wall=3.5), case[:2], t, case[2:])
        assert (min(r["vertical"], r["held"], r["lateral"]) >= 1) is enough


@pytest.mark.parametrize(("depth", "want"), [(10, 10.2), (11, 11.9)])
def test_truck_frame_table(depth: float, want: float) -> None:
    """Section modulus of a 3/8 in channel with 1.50 in flanges, 10 and 11 in deep: a published
    truck-frame table, 10.2 and 11.9 in3.
    """
    parts = channel(1.5 * IN, depth * IN, 0.375 * IN)
    assert section(parts, corners_of(parts)).held / IN**3 == pytest.approx(want, abs=0.05)


def test_torsion_of_the_sample() -> None:
    """Closed 3.6e6, cut open 5.0e3 mm4, printed digits of the strength page; Bredt leaves out what
    the walls carry themselves (3 %).
    """
    assert rail_torsion(75, 150, 3.5) == pytest.approx(3.6e6, rel=0.03)
    assert rail_torsion(75, 150, 3.5, (15, 105)) == pytest.approx(5.0e3, rel=0.02)
    assert rail_torsion(75, 150, 3.5, (15, 105), 3.5) > rail_torsion(75, 150, 3.5)


def test_bredt_against_the_library() -> None:
    """Warping analysis of the closed box by sectionproperties (finite elements): 3 % of Bredt."""
    from sectionproperties.analysis import Section as Mesh
    from sectionproperties.pre.library import rectangular_hollow_section

    g = rectangular_hollow_section(d=150, b=75, t=3.5, r_out=0, n_r=1)
    mesh = Mesh(g.create_mesh(mesh_sizes=[12]))
    mesh.calculate_geometric_properties()
    mesh.calculate_warping_properties()
    assert rail_torsion(75, 150, 3.5) == pytest.approx(mesh.get_j(), rel=0.03)


def test_round_tube_by_bredt() -> None:
    """2 pi r^3 t of a thin round tube (any handbook)."""
    import math

    r, t = 30.0, 2.0
    assert closed_cell([(2 * math.pi * r, t)], math.pi * r * r) == pytest.approx(
        2 * math.pi * r**3 * t
    )
    assert open_strip([(100.0, 3.0)]) == pytest.approx(900.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(-200, 200), st.floats(-200, 200))
def test_a_shift_changes_nothing_and_a_mirror_keeps_vertical(dy: float, dz: float) -> None:
    parts = CASES["side plate and strip"]
    a = section(parts, corners_of(parts))
    moved = tuple(Poly(tuple((y + dy, z + dz) for y, z in p.points), p.sign) for p in parts)
    image = tuple(Poly(tuple((-y, z) for y, z in reversed(p.points)), p.sign) for p in parts)
    for other in (section(moved, corners_of(moved)), section(image, corners_of(image))):
        assert (other.area, other.vertical, other.lateral, other.held) == pytest.approx(
            (a.area, a.vertical, a.lateral, a.held), rel=1e-6
        )


def test_a_cut_weakens_and_enough_plate_restores() -> None:
    r = restored(
        RailSection(width=69.85, height=146.05, wall=4.0005), (0, 146.05), 6.35, (4.0, 142.05)
    )
    assert r["cut vertical"] < 1 and r["cut lateral"] < 1 and r["cut torsion"] < 0.01
    assert min(r["vertical"], r["lateral"], r["held"], r["torsion"]) > 1
