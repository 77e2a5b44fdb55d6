"""Meshes, and what is read from them, by what they promise: where nodes stand, how far apart, what
is near a line (GEOS, through shapely), a straight field read between nodes.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import shapely
from soapstone.layout.arrays import Array
from soapstone.parts.design.site import Refused
from soapstone.parts.geometry.contours import circle, rectangle
from soapstone.parts.strength.elements import mesh as meshing
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.coil_seat_plate import _contour
from soapstone.parts.strength.elements.mesh import Mesh, mesh

RNG = np.random.default_rng(6)
LINE = np.array(((20.0, 15.0), (70.0, 15.0), (70.0, 40.0)))


def made(size: float = 6.0) -> Mesh:
    """120 x 80 with a hole of 20 and a line round a corner."""
    return mesh(rectangle(0.0, 0.0, 120.0, 80.0), (circle((95.0, 55.0), 20.0),), size, (LINE,))


def sides(m: Mesh) -> Array:
    """Lengths of all sides of all triangles, (m, 3)."""
    corners = m.nodes[m.tris]
    return np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)


def test_a_plate_in_triangles() -> None:
    """Steel and nothing else, no triangle upside down, no node without one, no two in one place;
    sides about as long as was asked, none a sliver; the hole finer: a sixth of the root of its
    area, and no arc turns by more than 0.3 rad.
    """
    m = made()
    steel = 120.0 * 80.0 - math.pi * 100.0
    assert m.areas.min() > 0.0 and m.areas.sum() == pytest.approx(steel, rel=2e-3)
    assert set(np.unique(m.tris)) == set(range(len(m.nodes)))
    apart = np.linalg.norm(m.nodes[:, None] - m.nodes, axis=2) + 99.0 * np.eye(len(m.nodes))
    assert apart.min() > 0.45 * math.sqrt(math.pi * 100.0) / 6
    far = (np.hypot(*(m.nodes[m.tris].mean(axis=1) - (95.0, 55.0)).T)) > 25.0
    long = sides(m)
    assert np.median(long[far]) == pytest.approx(6.0, rel=0.15) and long.max() < 2.0 * 6.0
    short = 2 * m.areas / long.max(axis=1)
    assert (short / long.max(axis=1)).min() > 0.15
    rim = m.nodes[np.abs(np.hypot(*(m.nodes - (95.0, 55.0)).T) - 10.0) < 0.2]
    turns = np.sort(np.arctan2(*(rim - (95.0, 55.0)).T))
    steps = np.diff(np.append(turns, turns[0] + math.tau))
    assert steps.max() < 0.31 and steps.min() > 0.2
    inner = np.hypot(*(m.nodes - (95.0, 55.0)).T)
    assert inner.min() > 9.8
    for corner in ((0.0, 0.0), (120.0, 0.0), (120.0, 80.0), (0.0, 80.0)):
        assert np.linalg.norm(m.nodes - corner, axis=1).min() < 1e-6
    on = m.nodes[meshing.near(m.nodes, LINE, 0.01)]
    assert all(np.linalg.norm(on - p, axis=1).min() < 1e-9 for p in LINE), "its corner stays"
    assert len(on) == round(50 / 6) + round(25 / 6) + 1
    coarse = made(12.0)
    assert len(coarse.nodes) < len(m.nodes) / 2


def test_a_size_by_place() -> None:
    """3 at the left, 12 at the right: triangles there have about these sides."""
    m = mesh(rectangle(0.0, 0.0, 200.0, 60.0), (), lambda p: 3.0 + 9.0 * p[:, 0] / 200.0)
    middles, long = m.nodes[m.tris].mean(axis=1), sides(m).mean(axis=1)
    for x in (10.0, 60.0, 120.0, 185.0):
        here = np.abs(middles[:, 0] - x) < 10.0
        assert np.median(long[here]) == pytest.approx(3.0 + 9.0 * x / 200.0, rel=0.3)
    places = np.array(((41.0, 33.0), (42.5, 33.0), (150.0, 20.0)))
    own = mesh(rectangle(0.0, 0.0, 200.0, 60.0), (), 8.0, points=places)
    assert all(np.linalg.norm(own.nodes - p, axis=1).min() < 1e-9 for p in places)


def test_where_large_triangles_lose_corners_smaller_ones_are_made() -> None:
    """Asked for half of the plate at once, still no more than 2 % of it is lost; an
    outline no triangle fits is refused.
    """
    outer = rectangle(0.0, 0.0, 150.0, 130.0, 60.0)
    m = mesh(outer, (), lambda points: np.full(len(points), 70.0))
    area = 150.0 * 130.0 - (4 - math.pi) * 3600.0
    assert m.areas.sum() == pytest.approx(area, rel=0.02)
    hidden = rectangle(0.0, 0.0, 150.0, 130.0), (rectangle(0.0, 0.0, 150.0, 260.0),)
    with pytest.raises(Refused, match="does not mesh"):
        mesh(*hidden, 20.0)


def test_what_is_near_a_line() -> None:
    """By distance, ends rounded; a line of one place too."""
    points = RNG.uniform(-10.0, 110.0, (400, 2))
    for line in (LINE, np.array(((30.0, 30.0), (30.0, 30.0), (50.0, 80.0)))):
        away = shapely.distance(shapely.points(points), shapely.LineString(line))
        for within in (3.0, 12.0):
            got = meshing.near(points, line, within)
            assert got.tolist() == (away < within).tolist() and 5 < got.sum() < 300
    assert not meshing.near(points + 500.0, LINE, 5.0).any()


def test_points_along_a_line_by_their_size() -> None:
    """As many steps as the line is sizes long; each step one size where that changes along it;
    at least one, and none turns by more than 0.3 rad.
    """
    straight = np.array(((0.0, 0.0), (60.0, 0.0), (100.0, 0.0)))
    for size, many in ((7.0, 14), (30.0, 3), (500.0, 1)):
        got = meshing._walked(straight, lambda p, size=size: np.full(len(p), size))
        assert got[:, 0] == pytest.approx(np.linspace(0.0, 100.0, many + 1))
        assert not got[:, 1].any()
    got = meshing._walked(straight, lambda p: 2.0 + 0.1 * p[:, 0])[:, 0]
    steps = [10.0 * math.log((2.0 + 0.1 * b) / (2.0 + 0.1 * a)) for a, b in itertools.pairwise(got)]
    assert len(steps) == round(10.0 * math.log(6.0))
    assert steps == pytest.approx([steps[0]] * len(steps), rel=0.02)
    turn = np.linspace(0.0, math.pi, 200)
    arc = 50.0 * np.column_stack((np.cos(turn), np.sin(turn)))
    got = meshing._walked(arc, lambda p: np.full(len(p), 500.0))
    assert len(got) == math.ceil(math.pi / 0.3) + 1 and got[0] == pytest.approx(arc[0])
    double = np.vstack((LINE[:1], LINE[:1], LINE[1:]))
    kept = meshing._walked(double, lambda p: np.full(len(p), 12.0))
    assert len(kept) == 1 + round(50 / 12) + round(25 / 12) and [70.0, 15.0] in kept.tolist()


def test_turns_of_a_line() -> None:
    line = np.array(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (2.0, 2.0), (1.0, 2.0), (2.0, 2.0)))
    want = [math.pi / 2, math.pi / 4, 3 * math.pi / 4, math.pi]
    assert meshing._turns(line) == pytest.approx(want)
    left = np.array(((0.0, 0.0), (-1.0, 0.1), (-2.0, 0.0)))
    assert meshing._turns(left) == pytest.approx([2 * math.atan(0.1)])


def test_points_that_have_room() -> None:
    """Of more points those farther from what is placed than their room, and, where asked, from each
    other: every one left out stands too near one that is kept.
    """
    placed, more = RNG.uniform(0.0, 100.0, (30, 2)), RNG.uniform(0.0, 100.0, (300, 2))
    room = RNG.uniform(1.0, 9.0, 300)
    for itself in (True, False):
        got = meshing._with(placed, more, room, itself=itself)
        assert (got[:30] == placed).all()
        rows = {tuple(p): r for p, r in zip(more, room, strict=True)}
        kept = [(np.array(p), rows[p]) for p in map(tuple, got[30:])]
        assert all(np.linalg.norm(placed - p, axis=1).min() > r for p, r in kept)
        clear = [p for p, r in rows.items() if np.linalg.norm(placed - p, axis=1).min() > r]
        if not itself:
            assert sorted(tuple(p) for p, _ in kept) == sorted(clear)
            continue
        apart = [math.dist(a, b) for (a, _), (b, _) in itertools.combinations(kept, 2)]
        assert min(apart) > 1.0 and 20 < len(kept) < len(clear)
        for p in set(clear) - {tuple(q) for q, _ in kept}:
            assert min(math.dist(p, q) for q, _ in kept) <= rows[p]
    assert len(meshing._with(np.empty((0, 2)), more[:1], room[:1], itself=True)) == 1
    assert (meshing._with(placed, np.empty((0, 2)), room[:0], itself=True) == placed).all()


def test_what_lies_in_a_plate() -> None:
    points = RNG.uniform(-10.0, 130.0, (500, 2))
    outer, inner = rectangle(0.0, 0.0, 120.0, 80.0), (circle((95.0, 55.0), 40.0),)
    steel = shapely.box(0, 0, 120, 80) - shapely.Point(95, 55).buffer(20.0, quad_segs=90)
    want = shapely.contains(steel, shapely.points(points))
    assert meshing.inside(points, outer, inner).tolist() == want.tolist()


def solved(m: Mesh, xx: Array, skin: Array | None = None) -> fem.Solved:
    """A plate whose stress along x is given at its nodes."""
    flat = np.zeros((len(m.nodes), 3))
    flat[:, 0] = xx
    bent = np.zeros_like(flat) if skin is None else skin
    return fem.Solved(m, np.zeros((len(m.nodes), 5)), flat, bent, np.zeros((len(m.nodes), 5)))


def test_stress_between_nodes_of_a_straight_field() -> None:
    m = made(9.0)
    six = RNG.normal(size=(3, 6))
    at = np.column_stack((m.nodes, np.ones(len(m.nodes)))) @ six
    s = solved(m, at[:, 0])._replace(flat=at[:, :3], skin=at[:, 3:])
    points = RNG.uniform(-5.0, 125.0, (400, 2))
    got = fem._between(s, points)
    steel = shapely.unary_union([shapely.Polygon(m.nodes[tri]) for tri in m.tris])
    within = shapely.contains(steel, shapely.points(points))
    assert (~np.isnan(got[:, 0])).tolist() == within.tolist() and 150 < within.sum() < 350
    want = np.column_stack((points, np.ones(400))) @ six
    assert got[within] == pytest.approx(want[within])


@pytest.mark.parametrize("away", [4.0, 9.0])
def test_the_peak_at_a_distance_from_a_line(away: float) -> None:
    """Stress that falls by a MPa a millimeter from a line: at the distance asked for it is as much
    less, whatever the mesh; on the worse of both faces.
    """
    line = np.array(((20.0, 40.0), (100.0, 40.0)))
    m = mesh(rectangle(0.0, 0.0, 120.0, 80.0), (), 7.0, (line,))
    off = np.abs(m.nodes[:, 1] - 40.0)
    ends = np.maximum(np.abs(m.nodes[:, 0] - 60.0) - 40.0, 0.0)
    falling = 100.0 - off - 3.0 * ends
    found = fem.peak(solved(m, falling), (line,), away)
    assert found.stress == pytest.approx(100.0 - away, abs=0.02)
    assert abs(found.at[1] - 40.0) == pytest.approx(away, abs=0.01 * away)
    assert fem.fair(solved(m, falling), (line,), away) == found.stress
    skin = np.zeros((len(m.nodes), 3))
    skin[:, 0] = -50.0
    assert fem.peak(solved(m, falling, skin), (line,), away).stress == pytest.approx(
        150.0 - away, abs=0.02
    )
    everywhere = [np.array(((x, 0.0), (x, 80.0))) for x in range(0, 121, 5)]
    assert fem.peak(solved(m, falling), everywhere, 6.0).stress == 0.0


def test_lines_of_equal_stress_of_a_straight_field() -> None:
    """Stress 2 x: the line of 90 MPa is upright at 45, from foot to top of the plate."""
    m = made(9.0)
    pieces = _contour(m, 2.0 * m.nodes[:, 0], 90.0)
    assert all(x == pytest.approx(45.0) for piece in pieces for x, _ in piece)
    assert sum(math.dist(*piece) for piece in pieces) == pytest.approx(80.0)
    assert _contour(m, 2.0 * m.nodes[:, 0], 300.0) == []


def test_sides_of_a_small_opening_are_asked_for_finer() -> None:
    """A sixth of the root of its area at its rim, a millimeter at least, 0.3 more a millimeter
    beside it; a large one asks for nothing.
    """
    small, tiny = circle((50.0, 50.0), 20.0), circle((10.0, 10.0), 3.0)
    large = rectangle(80.0, 0.0, 180.0, 100.0)
    field = meshing._finer_at((small, tiny, large), 8.0)
    least = math.sqrt(math.pi * 100.0) / 6
    points = np.array(((60.0, 50.0), (65.0, 50.0), (11.5, 10.0), (80.0, 50.0), (110.0, 50.0)))
    want = [least, least + 1.5, 1.0, least + 6.0 if least + 6.0 < 8.0 else 8.0, 8.0]
    assert field(points) == pytest.approx(want, abs=0.05)
