"""Gaps between solids against plane and solid geometry, and against a CAD kernel's own distance
(Open CASCADE): never more than 0.005 in too great.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from soapstone.layout import units
from soapstone.layout.travel.turning import turn
from soapstone.parts.geometry import contours
from soapstone.parts.geometry.closest import RoundBar, drum, from_axis, nearest, pieces
from soapstone.parts.geometry.pipe import Pipe
from soapstone.parts.geometry.prism import Prism
from soapstone.parts.geometry.solid import Solid, _bent
from soapstone.parts.model.body import Bend, Edge, Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.placed.clearance import Posed, between
from soapstone.parts.placed.motion import _rigid

OPTIMISTIC = 0.005 * units.IN
HOME = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
EYE, NONE = np.eye(3), np.zeros(3)


def posed(s: Solid, r: Any = EYE, at: Any = NONE) -> Posed:
    return Posed(_rigid("a", "a", "frame", s), np.asarray(r), np.asarray(at, dtype=float))


def box(x: float, y: float, z: float) -> Prism:
    return Prism(HOME, 0.0, z, contours.rectangle(0.0, 0.0, x, y), (), 0.03)


def gap(one: Posed, two: Posed) -> float:
    return between(one, two, 60.0)[0]


@pytest.mark.parametrize("shift", [0.0, 1.7, 3.1, 4.9])
def test_crossing_edges(shift: float) -> None:
    """Two bars on edge, one along x, one along y, their ridges ``h`` apart: half a square's
    diagonal each; wherever the crossing lies between samples.
    """
    side, h = 20.0, 3.0
    one = posed(box(200, side, side), turn(np.array((math.pi / 4, 0, 0))))
    top = one.turn @ np.array((0.0, side, side))
    two_turn = turn(np.array((0, 0, math.pi / 2))) @ turn(np.array((math.pi / 4, 0, 0)))
    at = np.array((90.0 + shift, -101.3 + shift, top[2] + h))
    assert gap(one, posed(box(200, side, side), two_turn, at)) == pytest.approx(h, abs=OPTIMISTIC)


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1, math.pi / 2])
def test_rounds_side_by_side(angle: float) -> None:
    """Axes a known distance apart, crossing at any angle."""
    one, two = (posed(Pipe(HOME, 300.0, od, 0.0)) for od in (50.0, 30.0))
    across = turn(np.array((0.0, 0.0, angle)))
    at = np.array((150.0, 0.0, 47.0)) - across @ np.array((140.0, 0.0, 0.0))
    assert gap(one, posed(two.body.solid, across, at)) == pytest.approx(7.0, abs=OPTIMISTIC)


def test_a_corner_over_a_round_and_a_round_over_a_face() -> None:
    pipe = posed(Pipe(HOME, 300.0, 50.0, 0.0))
    lean = turn(np.array((0.3, 0.5, 0.2)))
    corner = posed(box(40, 50, 60), lean, np.array((143.3, 0.0, 0.0)))
    low = np.array([[x, y, z] for x in (0, 40) for y in (0, 50) for z in (0, 60)]) @ lean.T
    lift = 30.0 - low[:, 2].min()
    k = int(np.argmin(low[:, 2]))
    at = np.array((143.3, -low[k, 1], lift))
    got = gap(pipe, posed(corner.body.solid, lean, at))
    assert got == pytest.approx(5.0, abs=0.3) and got <= 5.0 + OPTIMISTIC
    # a long round over the middle of a wide face, its nearest line between the face's samples
    face = posed(box(400, 400, 8))
    for tilt in (0.0, 0.01):
        over = RoundBar(
            "", "", np.array((60.0, 203.0, 30.0)), np.array((340.0, 207.0, 30.0 + 280 * tilt)), 10.0
        )
        assert from_axis(over, face.signed)[0] == pytest.approx(12.0, abs=OPTIMISTIC)


def test_a_wheel_beside_a_wide_face() -> None:
    """The rim of a disc against a face many samples wide: closed form of a tilted circle's lowest
    point.
    """
    face = posed(box(2000, 2000, 8))
    tilt, radius, wide = 0.2, 380.0, 250.0
    axis = np.array((0.0, math.cos(tilt), math.sin(tilt)))
    a = np.array((1003.3, 900.0, 500.0))
    wheel = drum(RoundBar("", "", a, a + wide * axis, radius, True))
    want = 500.0 - radius * math.cos(tilt) - 8.0
    got = nearest(face.near(pieces(*wheel.edges(), 10.0), 200.0), face.signed)[0]
    assert got == pytest.approx(want, abs=OPTIMISTIC)


def test_the_outside_of_a_bend_is_steel() -> None:
    """A right-angle bend of inside radius 10 in 8 mm: the outer arc reaches its radius of 18 in
    every direction between the flats.
    """
    t, radius = 8.0, 10.0
    plate = Plate(
        "",
        contours.rectangle(0.0, 0.0, 100.0, 60.0),
        (),
        (Bend("b", (50.0, 60.0), (50.0, 0.0), math.pi / 2, radius),),
    )
    bent = _bent(HOME, plate, t, (), 0.03)
    ba = math.pi / 2 * (radius + 0.44 * t)
    center = np.array((50.0 - ba / 2, 30.0, t + radius))
    way = np.array((1.0, 0.0, -1.0)) / math.sqrt(2)
    assert bent.signed((center + 28.0 * way)[None])[0] == pytest.approx(10.0, abs=0.05)


@pytest.mark.slow
def test_against_the_kernel() -> None:
    """Random pairs of a holed plate, a box, a round and a bent plate, turned anyhow."""
    cq = pytest.importorskip("cadquery")
    from soapstone.parts.export.step import _bent as kernel_bent
    from soapstone.parts.export.step import _pipe, _prism

    ring = contours.circle((60.0, 40.0), 30.0)
    l_shape = tuple(
        Edge("e", p) for p in ((0, 0), (120, 0), (120, 25), (30, 25), (30, 90), (0, 90))
    )
    round_ = contours.rectangle(0.0, 0.0, 120.0, 80.0, 20.0)
    folded = Plate(
        "",
        contours.rectangle(0.0, 0.0, 100.0, 60.0),
        (),
        (Bend("b", (50.0, 60.0), (50.0, 0.0), math.pi / 3, 10.0),),
    )
    pairs = [
        (Prism(HOME, 0.0, 10.0, round_, (ring,), 0.03), _prism(round_, (ring,), 10.0)),
        (Prism(HOME, 0.0, 8.0, l_shape, (), 0.03), _prism(l_shape, (), 8.0)),
        (Pipe(HOME, 150.0, 45.0, 0.0), _pipe(150.0, 45.0, 0.0)),
        (_bent(HOME, folded, 8.0, (), 0.03), kernel_bent(folded, 8.0)),
    ]
    rng = np.random.default_rng(2)
    worst, seen = 0.0, 0
    while seen < 60:
        (a, ka), (b, kb) = (pairs[i] for i in rng.integers(0, 4, 2))
        w, at = rng.normal(0, 1, 3), rng.uniform(-130, 130, 3)
        angle = float(np.linalg.norm(w))
        moved = kb.rotate(cq.Vector(0, 0, 0), cq.Vector(*map(float, w)), math.degrees(angle)).moved(
            cq.Location(cq.Vector(*map(float, at)))
        )
        true = ka.distance(moved)
        if not 0.5 < true < 40:
            continue
        seen += 1
        got = gap(posed(a), posed(b, turn(w), at))
        worst = max(worst, abs(got - true))
        assert got <= true + OPTIMISTIC and got >= true - 2 * OPTIMISTIC, (
            type(a),
            type(b),
            true,
            got,
        )
    assert worst > 0.0


def test_the_differential_reaches_its_radius_ahead_of_its_front_point() -> None:
    """A ball about the front reading: the casting stands ahead of the axle tube, in the solid that
    is held against the others and in the picture.
    """
    from soapstone.layout.quantities import Key
    from soapstone.parts.drawing.picture import faces
    from soapstone.parts.geometry.pipe import Capsule
    from soapstone.parts.geometry.solid import solid
    from soapstone.parts.stock import default_shop
    from trucks import truck

    t, g = truck()
    m = next(m for m in t.assembly.members if m.code == "diff.C")
    s = solid(m, None, default_shop())
    assert isinstance(s, Capsule)
    radius = g.values[Key("axle.diff.radius", "C")]
    front = s.ends()[1]
    drawn = np.vstack([f.points for f in faces(m, None, default_shop())])
    for way in np.random.default_rng(1).normal(size=(20, 3)):
        n = way / np.linalg.norm(way) * (1 if way @ (front - s.ends()[0]) > 0 else -1)
        assert s.signed((front + (radius + 5) * n)[None])[0] == pytest.approx(5.0, abs=1e-9)
        assert s.deep((front + (radius - 1) * n)[None], 0.5)[0]
        assert (drawn @ n).max() == pytest.approx(float(front @ n) + radius, abs=0.04 * radius)
    tube = next(m for m in t.assembly.members if m.code == "axle.C")
    ahead = tube.place.origin[0] + g.values[Key("axle.tube_diameter", "C")] / 2
    assert drawn[:, 0].max() > ahead + units.IN


def test_a_ball_over_a_face() -> None:
    from soapstone.parts.geometry.pipe import Capsule

    face = posed(box(400, 400, 8))
    ball = posed(
        Capsule(HOME, 200.0, 100.0),
        turn(np.array((0.0, 0.4, 0.0))),
        np.array((113.3, 207.7, 200.0)),
    )
    low = 200.0 - 200.0 * math.sin(0.4) - 50.0
    assert gap(ball, face) == pytest.approx(low - 8.0, abs=OPTIMISTIC)
