"""Plates in elements held to what any text on statics says: equivalent stress from principal
stresses, forces and moments of two plates in balance, what a weld carries a millimeter, and where a
mesh is asked to be fine.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.arrays import Array
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.strength.ear import _force_along
from soapstone.parts.strength.elements import joined
from soapstone.parts.strength.elements import mesh as meshing
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import Mesh


def test_equivalent_stress_from_principal_stresses() -> None:
    """Von Mises in plane stress: the root of p1^2 - p1 p2 + p2^2, on the worse of both faces."""
    rng = np.random.default_rng(2)
    for xx, yy, xy in rng.normal(size=(20, 3)) * 100:
        one, two = np.linalg.eigvalsh(((xx, xy), (xy, yy)))
        want = math.sqrt(one**2 - one * two + two**2)
        assert fem.von_mises(np.array((xx, yy, xy))) == pytest.approx(want)
    flat, skin = rng.normal(size=(2, 9, 3))
    sides = [fem.von_mises(flat + sign * skin) for sign in (1, -1)]
    assert fem.faces(flat, skin) == pytest.approx(np.maximum(*sides))


def test_a_line_keeps_the_points_where_it_turns() -> None:
    line = np.array(((0, 0), (5, 0), (9, 0), (9, 4), (9, 8), (5, 12), (1, 16), (1, 9)), dtype=float)
    kept = [[0, 0], [9, 0], [9, 8], [1, 16], [1, 9]]
    assert meshing.straightened(line).tolist() == kept
    assert meshing.straightened(line[::-1]).tolist() == kept[::-1]


@pytest.mark.parametrize("grows", [0.3, 0.98])
@pytest.mark.parametrize("spot", [(0.0, 0.0), (61.0, 43.0), (30.0, 20.0)])
def test_grids_have_every_point_where_their_size_is_asked(
    spot: tuple[float, float], grows: float
) -> None:
    """All points of each triangular grid (rows sqrt(3)/2 of a side apart, every second one half a
    side aside), of which those are kept whose asked size is from this grid's to the next's.
    """
    outer = rectangle(0.0, 0.0, 61.0, 43.0)

    def field(points: Array) -> Array:
        return np.asarray(2.0 + grows * np.hypot(*(points - spot).T))

    finest, found = 2.0, meshing._grids(outer, field, 2.0)
    assert len(found) > 5
    for step, (points, asked) in enumerate(found):
        side = finest * 2 ** (step / 2)
        want = {
            (round(x, 6), round(row * side * math.sqrt(3) / 2, 6))
            for row in range(200)
            for column in range(200)
            for x in [(column + row % 2 / 2) * side]
            if x < 61.0 - 1e-9 and row * side * math.sqrt(3) / 2 < 43.0 - 1e-9
            for size in [2.0 + grows * math.dist((x, row * side * math.sqrt(3) / 2), spot)]
            if (side / 2**0.25 if step else 0.0) <= size < side * 2**0.25
        }
        assert {(round(float(x), 6), round(float(y), 6)) for x, y in points} == want
        assert asked == pytest.approx(field(points))


HELD = [np.array(((0.0, 0.0), (0.0, 150.0))), np.array(((200.0, 0.0), (200.0, 150.0)))]
JOINED = [np.array(((60.0, 40.0), (60.0, 110.0))), np.array(((140.0, 40.0), (140.0, 110.0)))]
KEPT = [np.array(((80.0, 60.0), (120.0, 60.0))), np.array(((80.0, 90.0), (120.0, 90.0)))]


def two_plates(at: tuple[float, float, float], push: Array) -> joined.PlateOnPlate:
    return joined.PlateOnPlate(
        outlines=(rectangle(0.0, 0.0, 200.0, 150.0), rectangle(50.0, 30.0, 150.0, 120.0)),
        openings=((), ()),
        thick=(5.0, 7.0),
        held=HELD,
        joined=JOINED,
        kept=KEPT,
        at=np.array(at),
        push=push,
        cut=(-1e9, 1e9),
    )


@pytest.mark.parametrize("push", [(0.0, -1.0, 0.0), (0.6, 0.0, 0.8), (-0.48, 0.6, 0.64)])
def test_two_plates_hold_what_pushes_them_in_balance(push: tuple[float, float, float]) -> None:
    """Statics: what the welds of the lower plate give back, in the middle of its thickness, is the
    push, and has its moment about any point; the push stands off the back of the lower plate.
    """
    at = (108.0, 66.0, 47.0)
    lower = joined.pair(two_plates(at, np.array(push)), 6.0).lower
    force = lower.reaction[:, :3]
    assert force.sum(axis=0) == pytest.approx([-x for x in push], abs=1e-6)
    where = np.column_stack((lower.mesh.nodes, np.zeros(len(lower.mesh.nodes))))
    arm = np.array(at) - (0.0, 0.0, 5.0 / 2)
    moment = np.cross(where, force).sum(axis=0)
    assert moment == pytest.approx(-np.cross(arm, push), abs=1e-4)


def test_where_the_mesh_of_two_plates_is_fine() -> None:
    """11 mm about the joint, 0.3 mm a millimeter more from 10 mm on; between two welds that stand
    close two elements across; at the ends of welds as asked; about a place as asked for 10 mm.
    """
    joint = two_plates((100.0, 75.0, 40.0), np.array((0.0, -1.0, 0.0)))
    spot = np.array((100.0, 140.0))
    field = joined._field(joint, 4.0, [spot])

    def at(x: float, y: float) -> float:
        return float(field(np.array(((x, y),)))[0])

    ends = min(math.dist((60.0, 75.0), (60.0, y)) for y in (40.0, 110.0))
    assert at(60.0, 75.0) == pytest.approx(min(11.0, 4.0 + 0.3 * (ends - 4.0)))
    assert at(60.0, 42.0) == 4.0 and at(60.0, 50.0) == pytest.approx(4.0 + 0.3 * 6.0)
    assert at(100.0, 131.0) == 4.0 and at(100.0, 120.0) == pytest.approx(7.0)
    far = joined._field(joint, 30.0, [])
    for x, y in ((5.0, 75.0), (195.0, 20.0), (100.0, 148.0)):
        away = min(
            abs(x - 60.0) if 40 <= y <= 110 else 1e9,
            *(math.dist((x, y), (a, b)) for a in (60.0, 140.0) for b in (40.0, 110.0)),
            abs(x - 140.0) if 40 <= y <= 110 else 1e9,
            *(math.dist((x, y), (min(max(x, 80.0), 120.0), b)) for b in (60.0, 90.0)),
        )
        got = float(far(np.array(((x, y),)))[0])
        assert got == pytest.approx(11.0 + 0.3 * (away - 10.0), abs=0.3 * 1.0)
    close = joint._replace(held=[*HELD, JOINED[0] - (6.0, 0.0)])
    between = joined._field(close, 4.0, [])(np.array(((57.0, 75.0), (60.0, 75.0))))
    assert between == pytest.approx([3.0, 3.0], abs=0.1)


def test_force_a_millimeter_along_a_weld() -> None:
    """Fifty nodes 2 mm apart with 6 N each are 3 N/mm wherever one looks; in other ways than one
    they add as vectors; nodes off the line or not held do not count, nor do lines without any.
    """
    on = np.column_stack((np.arange(1.0, 100.0, 2.0), np.zeros(50)))
    off = on + np.array((0.0, 30.0))
    near = on + np.array((0.0, 4.5))  # held too, but by another weld: 4 mm is as near as counts
    nodes = np.vstack((on, off, near))
    reaction = np.zeros((150, 5))
    reaction[100:, 2] = 55.0
    reaction[:50, 0], reaction[:50, 1], reaction[:50, 2] = 4.0, -4.0, 2.0
    reaction[:50, 3:] = 99.0
    reaction[50:, 0] = 77.0
    held = np.zeros((150, 5), dtype=bool)
    held[:50] = held[100:] = True
    empty = np.zeros((150, 3))
    s = fem.Solved(Mesh(nodes, np.zeros((0, 3), dtype=np.int64)), reaction, empty, empty, reaction)
    line = np.array(((0.0, 0.0), (0.0, 0.0), (40.0, 0.0), (100.0, 0.0)))
    nowhere = np.array(((0.0, 30.0), (100.0, 30.0)))
    found = _force_along(s, [line, nowhere, line[:2]], held)
    assert [x for (x, _), _ in found] == pytest.approx([10.0, 30.0, 50.0, 70.0, 90.0])
    assert all(y == 0.0 for (_, y), _ in found)
    assert [force for _, force in found] == pytest.approx([3.0] * 5)
    reaction[:10, 0] *= -1.0  # the first bin's forces pull the other way: as large
    assert _force_along(s, [line], held)[0][1] == pytest.approx(3.0)
    reaction[:5, :3] *= -1.0  # half of a bin's against the other half: nothing goes over there
    assert _force_along(s, [line], held)[0][1] == pytest.approx(0.0)


def test_a_line_is_cut_off_at_the_rim_and_at_openings() -> None:
    """To half a millimeter, within the steel: a line across a plate with a hole is two pieces, one
    beside it none; corners in it stay.
    """
    outer, inner = rectangle(0.0, 0.0, 100.0, 60.0), (rectangle(40.0, 20.0, 60.0, 40.0),)
    across = np.array(((-20.0, 30.0), (130.0, 30.0)))
    found = meshing.clipped(across, outer, inner)
    ends = [(piece[0, 0], piece[-1, 0]) for piece in found]
    for got, want in zip(ends, ((0.0, 40.0), (60.0, 100.0)), strict=True):
        assert want[0] <= got[0] <= want[0] + 0.5 and want[1] - 0.5 <= got[1] <= want[1]
    assert all(len(piece) == 2 and (piece[:, 1] == 30.0).all() for piece in found)
    assert meshing.clipped(across + np.array((0.0, 40.0)), outer, inner) == []
    (bent,) = meshing.clipped(np.array(((10.0, 10.0), (20.0, 10.0), (20.0, 90.0))), outer, inner)
    assert bent[:2].tolist() == [[10.0, 10.0], [20.0, 10.0]] and len(bent) == 3
    assert 59.5 <= bent[2, 1] <= 60.0


def test_the_wall_stands_behind_the_plate_but_where_it_is_cut_away() -> None:
    """Places of contact with the wall are nodes of the lower plate beside the cut that no weld
    holds; those with the upper plate lie under it off the welds between both.
    """
    joint = two_plates((100.0, 75.0, 40.0), np.array((0.0, -1.0, 0.0)))._replace(cut=(70.0, 120.0))
    lower, upper = joined.meshes(joint, 8.0, ())
    contact, spots = joined._contact(joint, lower, upper)
    wall, over = spots[spots[:, 2] == 0.0], spots[spots[:, 2] == 1.0]
    x = lower.nodes[:, 0]
    beside = ((x < 70.0) | (x > 120.0)) & (x > 0.01) & (x < 199.99)
    assert len(wall) == beside.sum() > 20
    assert ((wall[:, 0] < 70.0) | (wall[:, 0] > 120.0)).all()
    assert len(over) > 20 and (np.abs(over[:, :2] - (100.0, 75.0)) <= (50.01, 45.01)).all()
    assert len(contact.stiff) == len(spots) and (contact.stiff > 0).all()


def test_a_plate_that_sticks_out_over_another_gives_it_no_nodes_out_there() -> None:
    """The lower plate's nodes lie in its own outline; where both are joined they are in one
    place.
    """
    joint = two_plates((100.0, 75.0, 40.0), np.array((0.0, -1.0, 0.0)))
    wide = rectangle(50.0, 30.0, 150.0, 190.0)
    lower, upper = joined.meshes(joint._replace(outlines=(joint.outlines[0], wide)), 8.0, ())
    assert upper.nodes[:, 1].max() == pytest.approx(190.0)
    assert lower.nodes.min() >= -1e-6
    assert (lower.nodes <= np.array((200.0, 150.0)) + 1e-6).all()
    assert lower.areas.sum() == pytest.approx(200.0 * 150.0, rel=1e-3)
    for line in joint.joined:
        on = [m.nodes[meshing.near(m.nodes, line, 0.01)] for m in (lower, upper)]
        assert {(round(x, 6), round(y, 6)) for x, y in on[1]} <= {
            (round(x, 6), round(y, 6)) for x, y in on[0]
        }
