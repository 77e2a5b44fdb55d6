"""Rail sections against an independent section library and the handbook rectangle."""

from __future__ import annotations

import pytest
from soapstone.parts.section import Rect, box, cut, plated, restored, section

CASES = {
    "box": box(75, 150, 3.5),
    "side wall cut": cut(75, 150, 3.5, 15, 105),
    "cut and plated": plated(cut(75, 150, 3.5, 15, 105), 3.0, 0, 125),
    "full height, plated": plated(cut(69.85, 146.05, 4.0005, 0, 146.05), 4.7625, 4.0, 142.05),
}


@pytest.mark.parametrize("name", CASES)
def test_against_sectionproperties(name: str) -> None:
    """sectionproperties (registry library), geometric analysis of the same polygons: five digits."""
    from sectionproperties.analysis import Section as Mesh
    from sectionproperties.pre import Geometry
    from shapely.geometry import box as rect
    from shapely.ops import unary_union

    solid = unary_union([rect(r.y0, r.z0, r.y1, r.z1) for r in CASES[name] if r.sign > 0])
    for r in CASES[name]:
        if r.sign < 0:
            solid = solid.difference(rect(r.y0, r.z0, r.y1, r.z1))
    mesh = Mesh(Geometry(solid).create_mesh(mesh_sizes=[0]))
    mesh.calculate_geometric_properties()
    iy, iz, iyz = mesh.get_ic()
    mine = section(CASES[name])
    assert mine.area == pytest.approx(mesh.get_area(), rel=1e-6)
    assert (mine.iy, mine.iz) == pytest.approx((iy, iz), rel=1e-5)
    assert mine.iyz == pytest.approx(iyz, rel=1e-5, abs=1e-3 * iy * 1e-3)


def test_rectangle_by_the_handbook() -> None:
    """b h^2 / 6 (any strength-of-materials handbook)."""
    s = section((Rect(0, 0, 20, 60),))
    assert s.vertical == pytest.approx(20 * 60**2 / 6)
    assert s.lateral == pytest.approx(60 * 20**2 / 6)


def test_a_cut_weakens_and_enough_plate_restores() -> None:
    open_rail = restored(69.85, 146.05, 4.0005, (0, 146.05), 1e-6, (4.0, 142.05))
    assert open_rail["vertical"] < 1 and open_rail["lateral"] < 1
    mended = restored(69.85, 146.05, 4.0005, (0, 146.05), 6.35, (4.0, 142.05))
    assert mended["vertical"] > 1 and mended["lateral"] > 1
