"""Finite elements of one plate against plate theory and against scikit-fem on the same mesh.

Sources: Timoshenko and Woinowsky-Krieger, square plates under uniform load (0.00406 and 0.00126 q
a^4/D, from memory, as in any text); beam theory; scikit-fem (BSD).
"""

from __future__ import annotations

import numpy as np
import pytest
from soapstone.parts.geometry.contours import Corner, circle, rectangle, rounded
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import Mesh, mesh
from soapstone.parts.strength.elements.triangles import NU, E


def square(a: float, n: int) -> Mesh:
    return mesh(rectangle(0.0, 0.0, a, a), (), a / n)


def border(m: Mesh, a: float) -> np.ndarray:
    return (np.abs(m.nodes) < 1e-6).any(axis=1) | (np.abs(m.nodes - a) < 1e-6).any(axis=1)


def uniform(m: Mesh, q: float) -> np.ndarray:
    xy = m.nodes[m.tris]
    area = (
        (xy[:, 1, 0] - xy[:, 0, 0]) * (xy[:, 2, 1] - xy[:, 0, 1])
        - (xy[:, 2, 0] - xy[:, 0, 0]) * (xy[:, 1, 1] - xy[:, 0, 1])
    ) / 2
    load = np.zeros((len(m.nodes), 5))
    for i in range(3):
        np.add.at(load[:, 2], m.tris[:, i], q * area / 3)
    return load


@pytest.mark.parametrize(("clamped", "want"), [(False, 0.00406), (True, 0.00126)])
def test_square_plate_under_uniform_load(clamped: bool, want: float) -> None:
    a, t, q = 200.0, 5.0, 0.1
    m = square(a, 24)
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    held[border(m, a)] = (True, True, True, clamped, clamped)
    s = fem.solve(m, t, held, uniform(m, q))
    d = E * t**3 / 12 / (1 - NU**2)
    assert s.u[:, 2].max() == pytest.approx(want * q * a**4 / d, rel=0.02)


def test_cantilever_strip() -> None:
    """A 300 x 30 x 6 strip, 100 N at its end: w = F l^3 / 3EI, s = 6 F x / b t^2."""
    m = mesh(rectangle(0.0, 0.0, 300.0, 30.0), (), 6.0)
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    held[m.nodes[:, 0] < 1e-6] = True
    end = m.nodes[:, 0] > 300 - 1e-6
    load = np.zeros((len(m.nodes), 5))
    load[end, 2] = 100.0 / end.sum()
    s = fem.solve(m, 6.0, held, load)
    assert s.u[end, 2].mean() == pytest.approx(100 * 300**3 / (3 * E * 30 * 6**3 / 12), rel=0.04)
    at = (np.abs(m.nodes[:, 0] - 100) < 8) & (np.abs(m.nodes[:, 1] - 15) < 8)
    assert s.stress[at].mean() == pytest.approx(6 * 100 * 200 / (30 * 36), rel=0.05)
    assert s.reaction[:, 2].sum() == pytest.approx(-100.0, rel=1e-6)


def test_hole_in_a_pulled_plate() -> None:
    """Three times the pull at a small hole's edge (Kirsch); the mesh at d/10 comes within a tenth
    with triangles of constant strain.
    """
    m = mesh(rectangle(-150.0, -150.0, 150.0, 150.0), (circle((0.0, 0.0), 20.0),), 8.0)
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    held[:, 2:] = True
    left, right = (np.abs(m.nodes[:, 0] - x) < 1e-6 for x in (-150.0, 150.0))
    held[left, 0] = True
    held[left & (np.abs(m.nodes[:, 1] + 150) < 1e-6), 1] = True
    load = np.zeros((len(m.nodes), 5))
    ys = m.nodes[right, 1]
    order = np.argsort(ys)
    share = np.gradient(ys[order])
    load[np.flatnonzero(right)[order], 0] = 5.0 * share / share.sum() * 300
    s = fem.solve(m, 1.0, held, load)
    peak = s.stress.max()
    assert 2.3 * 5 < peak < 3.3 * 5


def test_against_scikit_fem_on_the_same_mesh() -> None:
    """Membrane: linear triangles, the same numbers.

    Bending: Morley's plate, within 3 per cent, an outline with a round end and a slot.
    """
    from skfem import (
        Basis,
        BilinearForm,
        ElementTriMorley,
        ElementTriP1,
        ElementVector,
        LinearForm,
        MeshTri,
        asm,
        condense,
        solve,
    )
    from skfem.helpers import dd, ddot, eye, trace
    from skfem.models.elasticity import linear_elasticity
    from soapstone.parts.geometry.contours import slot

    outer, inner = rectangle(0.0, 0.0, 160.0, 100.0, 30.0), (slot((80.0, 50.0), 40.0, 16.0, 0.4),)
    m = mesh(outer, inner, 6.0)
    t = 4.0
    left, right = m.nodes[:, 0] < 8.0, m.nodes[:, 0] > 152.0
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    held[left] = True
    load = np.zeros((len(m.nodes), 5))
    load[right, 1] = 10.0
    own = fem.solve(m, t, held, load)

    tri = MeshTri(m.nodes.T.copy(), m.tris.T.astype(np.int64).copy())
    basis = Basis(tri, ElementVector(ElementTriP1()))
    lam, mu = E * NU / (1 - NU**2), E / 2 / (1 + NU)
    k = asm(linear_elasticity(lam, mu), basis) * t
    f = np.zeros(basis.N)
    f[basis.nodal_dofs[1, np.flatnonzero(right)]] = 10.0
    fixed = basis.nodal_dofs[:, np.flatnonzero(left)].ravel()
    u = solve(*condense(k, f, D=fixed))
    assert (
        np.abs(u[basis.nodal_dofs[1]] - own.u[:, 1]).max()
        < 1e-8 * np.abs(own.u[:, 1]).max() + 1e-12
    )

    load = uniform(m, 0.05)
    held[:] = False
    edge = np.unique(tri.facets[:, tri.boundary_facets()])
    outer_nodes = edge[(np.abs(m.nodes[edge] - (80, 50)) > (30, 20)).any(axis=1)]
    held[outer_nodes, :3] = True
    held[:, :2] = True
    own = fem.solve(m, t, held, load)
    plates = Basis(tri, ElementTriMorley())
    stiff = E * t**3 / 12 / (1 - NU**2)

    @BilinearForm
    def bend(u, v, _):
        kappa = dd(u)
        return ddot(stiff * ((1 - NU) * kappa + NU * eye(trace(kappa), 2)), dd(v))

    @LinearForm
    def push(v, _):
        return 0.05 * v

    w = solve(*condense(asm(bend, plates), asm(push, plates), D=plates.nodal_dofs[0, outer_nodes]))
    assert own.u[:, 2].max() == pytest.approx(w[plates.nodal_dofs[0]].max(), rel=0.03)


def test_thicker_is_never_worse_and_peaks_beside_welds_are_left_out() -> None:
    m = square(100.0, 20)
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    held[border(m, 100.0), :3] = True
    load = np.zeros((len(m.nodes), 5))
    load[np.argmin(np.hypot(*(m.nodes - 50).T)), 2] = 500.0
    thin, thick = fem.solve(m, 4.0, held, load), fem.solve(m, 6.0, held, load)
    assert (
        thick.stress.max() < thin.stress.max()
        and np.abs(thick.u[:, 2]).max() < np.abs(thin.u[:, 2]).max()
    )
    spot = np.array(((49.0, 50.0), (51.0, 50.0)))
    assert fem.fair(thin, [spot], 12.0) < 0.7 * thin.stress.max()


def test_stress_at_a_stated_distance_stands_against_scikit_fem() -> None:
    """A plate held on its rim and pulled out along a line in it: the stress 5 mm off the line moves
    less than three per cent between meshes, and stands within five of Morley's plate (scikit-fem,
    BSD) on a finer mesh.
    """
    from skfem import Basis, BilinearForm, ElementTriMorley, MeshTri, asm, condense, solve
    from skfem.helpers import dd, ddot, eye, trace

    outer, t = rectangle(0.0, 0.0, 160.0, 100.0), 5.0
    line = np.array(((50.0, 50.0), (110.0, 50.0)))

    def rim(m: Mesh) -> np.ndarray:
        return ((np.abs(m.nodes) < 1e-6) | (np.abs(m.nodes - (160.0, 100.0)) < 1e-6)).any(axis=1)

    def pull(m: Mesh) -> np.ndarray:
        on = np.flatnonzero(
            (np.abs(m.nodes[:, 1] - 50) < 1e-6) & (np.abs(m.nodes[:, 0] - 80) < 30.001)
        )
        on = on[np.argsort(m.nodes[on, 0])]
        load = np.zeros((len(m.nodes), 5))
        steps = np.diff(m.nodes[on, 0])
        load[on, 2] = 100 * (np.append(steps, 0.0) + np.append(0.0, steps)) / 2
        return load

    def own(size: float) -> float:
        m = mesh(outer, (), size, (line,))
        held = np.zeros((len(m.nodes), 5), dtype=bool)
        held[rim(m), :3] = True
        return fem.fair(fem.solve(m, t, held, pull(m)), (line,), 5.0)

    assert own(2.5) == pytest.approx(own(5.0), rel=0.03)

    m = mesh(outer, (), 2.0, (line,))
    basis = Basis(MeshTri(m.nodes.T.copy(), m.tris.T.copy()), ElementTriMorley())
    stiff = E * t**3 / 12 / (1 - NU**2)

    @BilinearForm
    def bend(u, v, _):
        kappa = dd(u)
        return ddot(stiff * ((1 - NU) * kappa + NU * eye(trace(kappa), 2)), dd(v))

    force = np.zeros(basis.N)
    force[basis.nodal_dofs[0]] = pull(m)[:, 2]
    w = solve(*condense(asm(bend, basis), force, D=basis.nodal_dofs[0, rim(m)]))
    kappa = basis.interpolate(w).hess.mean(axis=-1)
    face = E / (1 - NU**2) * t / 2
    xx, yy = face * (kappa[0, 0] + NU * kappa[1, 1]), face * (kappa[1, 1] + NU * kappa[0, 0])
    xy = face * (1 - NU) * kappa[0, 1]
    von = np.sqrt(xx**2 - xx * yy + yy**2 + 3 * xy**2)
    mid = m.nodes[m.tris].mean(axis=1)
    off = np.hypot(np.maximum(np.abs(mid[:, 0] - 80) - 30, 0.0), mid[:, 1] - 50)
    beside = (off > 4.0) & (off < 6.0)
    assert own(2.5) == pytest.approx(von[beside].max(), rel=0.05)


@pytest.mark.parametrize("high", range(100, 900, 100))
def test_a_tall_plate_keeps_its_corners_where_elements_may_be_large(high: float) -> None:
    """Rounded corners far from everything that asks for small elements; area by hand."""
    wide, radius = 300.0, 19.0
    places = ((0.0, 0.0, 0.0), (wide, 0.0, 0.0), (wide, high, radius), (0.0, high, radius))
    outer = rounded([Corner(f"edge {n}", *place) for n, place in enumerate(places)])
    made = mesh(outer, (), lambda points: 11.0 + 0.3 * np.maximum(points[:, 1] - 20.0, 0.0))
    area = wide * high - 2 * (1 - np.pi / 4) * radius**2
    assert made.areas.sum() == pytest.approx(area, rel=0.02)


def test_what_presses_is_found_as_by_bounded_least_squares() -> None:
    """Forty springs and twelve places that press or lift, forty times: the same openings as SciPy's
    bounded least squares, from any guess of what presses.
    """
    from scipy.optimize import lsq_linear
    from scipy.sparse import csc_array
    from soapstone.parts.strength.elements.contact import Contact, settled

    rng = np.random.default_rng(7)
    for _ in range(40):
        root = rng.normal(size=(40, 40)) + 4 * np.eye(40)
        gap, load = rng.normal(size=(12, 40)), rng.normal(size=40)
        stiff = 10 ** rng.uniform(0, 4, 12)
        contact = Contact(csc_array(gap), stiff, rng.random(12) < 0.5)
        free, pressed = settled(csc_array(root.T @ root), load, contact)
        rows = np.block([[root, np.zeros((40, 12))], [np.sqrt(stiff)[:, None] * gap, -np.eye(12)]])
        right = np.concatenate((np.linalg.solve(root.T, load), np.zeros(12)))
        low = np.concatenate((np.full(40, -np.inf), np.zeros(12)))
        want = lsq_linear(rows, right, (low, np.inf), method="bvls", tol=1e-14).x[:40]
        assert gap @ free == pytest.approx(gap @ want, abs=1e-6)
        assert ((gap @ free < 0) == pressed).all()
