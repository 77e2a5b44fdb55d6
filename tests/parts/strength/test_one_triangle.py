"""One triangle against what it is by definition: plane stress of a straight field, and a discrete
Kirchhoff triangle built here from its sides (Batoz, Bathe and Ho 1980): along each side the
deflection is a cubic, across it the turn goes straight from end to end, inside it is a quadratic.
"""

from __future__ import annotations

import numpy as np
import pytest
from soapstone.layout.arrays import Array
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import Mesh
from soapstone.parts.strength.elements.triangles import bending_strain, elastic, membrane, plate

RNG = np.random.default_rng(4)


def triangles(many: int = 6) -> Array:
    """Counter-clockwise, of any shape but slivers."""
    found = []
    while len(found) < many:
        xy = RNG.uniform(-40.0, 60.0, (3, 2))
        (ax, ay), (bx, by) = xy[1] - xy[0], xy[2] - xy[0]
        if ax * by - ay * bx > 800.0:
            found.append(xy)
    return np.array(found)


def area(xy: Array) -> float:
    (ax, ay), (bx, by) = xy[1] - xy[0], xy[2] - xy[0]
    return float(ax * by - ay * bx) / 2


def test_steel_in_plane_stress() -> None:
    """200 GPa and 0.3: strain of a pull alone is s/E and -0.3 s/E, of shear 2 (1 + 0.3) s/E."""
    law = elastic()
    for stress, strain in (
        ((100.0, 0.0, 0.0), (100.0, -30.0, 0.0)),
        ((0.0, 100.0, 0.0), (-30.0, 100.0, 0.0)),
        ((0.0, 0.0, 100.0), (0.0, 0.0, 260.0)),
    ):
        assert law @ (np.array(strain) / 200_000.0) == pytest.approx(stress)


def test_a_straight_field_is_its_own_strain() -> None:
    """Any movement of three corners is a straight field: its strain by the field's slopes, its work
    by strain, stress and volume.
    """
    xy = triangles()
    thick = RNG.uniform(2.0, 9.0, len(xy))
    for t in (thick, 5.0):
        strains, stiff = membrane(xy, t)
        for n, corners in enumerate(xy):
            moves = RNG.normal(size=(3, 2))
            slopes = np.linalg.solve(np.column_stack((corners, np.ones(3))), moves)
            want = (slopes[0, 0], slopes[1, 1], slopes[1, 0] + slopes[0, 1])
            assert strains[n] @ moves.ravel() == pytest.approx(want)
            volume = area(corners) * np.broadcast_to(t, len(xy))[n]
            other = strains[n] @ (virtual := RNG.normal(size=6))
            work = virtual @ stiff[n] @ moves.ravel()
            assert work == pytest.approx(volume * float(other @ elastic() @ want))


def by_definition(xy: Array, moves: Array, at: Array) -> Array:
    """Curvatures (w,xx w,yy 2 w,xy, turned round) at a point from w, w,y and -w,x of each
    corner.
    """
    slopes = np.column_stack((-moves[:, 2], moves[:, 1]))  # w,x and w,y
    places, own = [*xy], [*slopes]
    for i, j in ((0, 1), (1, 2), (2, 0)):
        run = xy[j] - xy[i]
        long = float(np.hypot(*run))
        along = run / long
        across = np.array((-along[1], along[0]))
        # middle of a cubic through two ends with their slopes
        steep = 1.5 * (moves[j, 0] - moves[i, 0]) / long - (slopes[i] + slopes[j]) @ along / 4
        own.append(steep * along + (slopes[i] + slopes[j]) @ across / 2 * across)
        places.append((xy[i] + xy[j]) / 2)
    x, y = np.array(places).T
    six = np.column_stack((np.ones(6), x, y, x * x, x * y, y * y))
    terms = np.linalg.solve(six, np.array(own))
    d_x = np.array((0.0, 1.0, 0.0, 2 * at[0], at[1], 0.0)) @ terms
    d_y = np.array((0.0, 0.0, 1.0, 0.0, at[0], 2 * at[1])) @ terms
    return -np.array((d_x[0], d_y[1], d_x[1] + d_y[0]))


@pytest.mark.parametrize(
    ("xi", "eta"), [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (0.5, 0.5), (0.2, 0.3), (0.6, 0.1)]
)
def test_curvature_of_a_discrete_kirchhoff_triangle(xi: float, eta: float) -> None:
    for xy in triangles():
        moves = RNG.normal(size=(3, 3))
        at = xy[0] + xi * (xy[1] - xy[0]) + eta * (xy[2] - xy[0])
        got = bending_strain(xy[None], xi, eta)[0] @ moves.ravel()
        assert got == pytest.approx(by_definition(xy, moves, at), rel=1e-9, abs=1e-12)


def test_work_of_bending() -> None:
    """Curvature, moment (t^3/12 of the law) and area; the curvature is straight in the triangle, so
    that three points inside it (1/6, 1/6, 2/3) take its square exactly.
    """
    xy = triangles()
    thick = RNG.uniform(2.0, 9.0, len(xy))
    for t in (thick, 5.0):
        stiff = plate(xy, t)
        for n, corners in enumerate(xy):
            one, two = RNG.normal(size=(2, 3, 3))
            deep = np.broadcast_to(t, len(xy))[n]
            want = 0.0
            for xi, eta in ((1 / 6, 1 / 6), (2 / 3, 1 / 6), (1 / 6, 2 / 3)):
                at = corners[0] + xi * (corners[1] - corners[0]) + eta * (corners[2] - corners[0])
                bend = [by_definition(corners, moves, at) for moves in (one, two)]
                want += float(bend[0] @ elastic() @ bend[1]) * deep**3 / 12 * area(corners) / 3
            assert one.ravel() @ stiff[n] @ two.ravel() == pytest.approx(want, rel=1e-9)


def test_stress_of_a_field_that_is_the_same_everywhere() -> None:
    """Four triangles pulled and bent alike: at every node the stress of the field, in the middle
    and on a face half the thickness off; thickness by triangle.
    """
    nodes = np.array(((0.0, 0.0), (30.0, 0.0), (34.0, 25.0), (-3.0, 20.0), (14.0, 11.0)))
    made = Mesh(nodes, np.array(((0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4))))
    assert made.areas.sum() == pytest.approx(sum(area(nodes[tri]) for tri in made.tris))
    pull, bend = np.array((2e-4, -1e-4, 3e-4)), np.array((1e-5, -2e-5, 0.5e-5))
    x, y = nodes.T
    kxx, kyy, kxy = bend
    u = np.column_stack(
        (
            pull[0] * x + pull[2] / 2 * y,
            pull[1] * y + pull[2] / 2 * x,
            -(kxx * x * x + kyy * y * y + kxy * x * y) / 2,
            -(kyy * y + kxy * x / 2),
            kxx * x + kxy * y / 2,
        )
    )
    flat, skin = fem._stress(made, 6.0, u.ravel())
    assert flat == pytest.approx(np.tile(elastic() @ pull, (5, 1)))
    assert skin == pytest.approx(np.tile(elastic() @ bend * 3.0, (5, 1)))
    forces = (fem.stiffness(made, 6.0) @ u.ravel()).reshape(-1, 5)
    assert forces[4] == pytest.approx(np.zeros(5), abs=1e-6), "nothing pulls at the inner node"
    work = float((forces * u).sum())
    want = 6.0 * pull @ elastic() @ pull + 18.0 * bend @ elastic() @ bend
    assert work == pytest.approx(float(want) * made.areas.sum())


def test_stress_at_a_node_is_that_of_its_triangles_there() -> None:
    """Each by its area, bent as it is at that corner; any movement, thickness by triangle."""
    nodes = np.array(((0.0, 0.0), (30.0, 0.0), (34.0, 25.0), (-3.0, 20.0), (14.0, 11.0)))
    made = Mesh(nodes, np.array(((0, 1, 4), (1, 2, 4), (2, 3, 4), (3, 0, 4))))
    thick, u = RNG.uniform(3.0, 8.0, 4), RNG.normal(size=(5, 5))
    flat, skin = fem._stress(made, thick, u.ravel())
    for node in range(5):
        total, share = np.zeros(6), 0.0
        for tri, t in zip(made.tris, thick, strict=True):
            if node in tri:
                xy, own = nodes[tri], area(nodes[tri])
                bent = by_definition(xy, u[tri, 2:], nodes[node]) * t / 2
                slopes = np.linalg.solve(np.column_stack((xy, np.ones(3))), u[tri, :2])
                pulled = (slopes[0, 0], slopes[1, 1], slopes[1, 0] + slopes[0, 1])
                total += own * np.concatenate((elastic() @ pulled, elastic() @ bent))
                share += own
        assert np.concatenate((flat[node], skin[node])) == pytest.approx(total / share)


def test_a_plate_that_lies_on_nothing_has_no_places_that_press() -> None:
    """One triangle held at two corners and pulled at the third: what holds gives it back."""
    made = Mesh(np.array(((0.0, 0.0), (30.0, 0.0), (10.0, 20.0))), np.array(((0, 1, 2),)))
    held = np.zeros((3, 5), dtype=bool)
    held[:2] = True
    load = np.zeros((3, 5))
    load[2] = (100.0, -50.0, 8.0, 3.0, -4.0)
    s = fem.solve(made, 5.0, held, load)
    assert s.pressed.shape == (0,) and not s.u[:2].any() and np.abs(s.u[2]).min() > 0.0
    assert s.reaction[2] == pytest.approx(np.zeros(5), abs=1e-9)
    assert s.reaction[:, :3].sum(axis=0) == pytest.approx(-load[2, :3])
