"""Loads by the names holds have for them: whose, which way, how much, by arithmetic."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.layout.quantities import Key
from soapstone.layout.units import IN
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import (
    named_loads,
)
from soapstone.parts.strength.view import SideUnderLoad
from soapstone.parts.strength.work import Work

RNG = np.random.default_rng(2)
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def test_loads_by_their_names() -> None:
    """Each of its own side; what the bracket takes is the jack less the arm; upright loads stand
    up or down; those without a case are three times the weight, or once a wheel's load.
    """
    names = ("joint", "lower", "couple", "upper_vec", "jack")
    vectors = {name: RNG.normal(size=(2, 3)) for name in names}
    amounts = ("axial", "bend", "upper", "seat", "seat_stop", "stop", "strap")
    single = {name: RNG.normal(size=2) for name in amounts}
    row: Any = SimpleNamespace(**vectors, **single, bar=7.0)
    for side in (0, 1):
        own = {name: load(row, side) for name, load in named_loads.VECTORS.items()}
        jack, joint = vectors["jack"], vectors["joint"]
        assert own["arm.joint"].tolist() == joint[side].tolist()
        assert own["bracket"] == pytest.approx(jack[side] - joint[side])
        assert own["far.bracket"] == pytest.approx(jack[1 - side] - joint[1 - side])
        assert own["tab"] == pytest.approx(-vectors["upper_vec"][side])
        assert own["upper"].tolist() == vectors["upper_vec"][side].tolist()
        assert own["arm.lower"].tolist() == vectors["lower"][side].tolist()
        assert own["arm.lower.couple"].tolist() == vectors["couple"][side].tolist()
        by = {"coil": "seat", "coil.stop": "seat_stop", "stop": "stop", "strap": "strap"}
        by |= {"arm.axial": "axial", "arm.bend": "bend", "upper.push": "upper"}
        for name, field in by.items():
            assert named_loads.AMOUNTS[name](row, side) == single[field][side]
        assert named_loads.AMOUNTS["bar"](row, side) == 7.0
    assert {name: way for name, (_, way) in named_loads.UPRIGHT.items()} == {
        "coil.up": 1.0,
        "coil.down": -1.0,
        "stop.up": 1.0,
        "stop.down": -1.0,
        "transmission": -1.0,
    }
    assert {name: own.factor for name, own in named_loads.OWN.items()} == {
        "shock": 1.0,
        "transmission": 3.0,
    }


def side(letter: str = "L") -> SideUnderLoad:
    """A side of a truck of 20 kN on tires of 400 mm, 500 N on its transmission's mount."""
    values = {
        Key("driveline.mount.bolt_dy", "C"): 100.0,
        Key("driveline.mount.weight", "C"): 500.0,
        Key("bar.frame.x", "C"): 1.0,
        Key("seat.x", "L"): 3.0,
        Key("seat.y", "L"): 400.0,
        Key("seat.z", "L"): 600.0,
        Key("seat.x", "R"): 5.0,
        Key("seat.y", "R"): 410.0,
        Key("seat.z", "R"): 610.0,
        Key("hub.x", "C"): 1.0,
        Key("hub.y", "C"): 2.0,
        Key("hub.z", "C"): 3.0,
    }
    bolt = {"a": (0.0, 0.0, 0.0), "b": (30.0, 0.0, 40.0)}
    work: Any = SimpleNamespace(
        values=values,
        wheel=4000.0,
        basis=SimpleNamespace(weight=20_000.0, tire_radius=400.0),
        bolts={name: SimpleNamespace(at=at) for name, at in bolt.items()},
        bar_way=lambda: np.array((0.0, 1.0, 0.0)),
    )
    row: Any = SimpleNamespace(bar=70.0, strap=(5.0, 6.0), seat=(10.0, 20.0), flips=(8.0, 9.0))
    return SideUnderLoad(work, letter, (row, row), bolt_id="a", away="b")  # type: ignore[arg-type]


@pytest.mark.parametrize("letter", ["L", "R"])
def test_a_load_has_its_way(letter: str) -> None:
    """Along the bar, along the line of its two bolts, up or down; a point of the right has its y
    to the right; the transmission's torque is grip times radius over the axle's ratio of three,
    shared by the square of the bolts' distance against mounts 24 in apart, on one bolt a pair.
    """
    own = side(letter)
    n = "LR".index(letter)
    assert own.index == n and own.cases == 2
    assert own.force("bar").tolist() == [[0.0, 70.0, 0.0]] * 2
    assert own.force("strap") == pytest.approx(np.array([[0.6, 0.0, 0.8]] * 2) * (5.0, 6.0)[n])
    assert own.force("shock") == pytest.approx(np.array([[0.6, 0.0, 0.8]] * 2) * 4000.0)
    assert own.force("coil.down").tolist() == [[0.0, 0.0, -(10.0, 20.0)[n]]] * 2
    assert own.flips_at().tolist() == [(8.0, 9.0)[n]] * 2
    torque = 20_000.0 * 400.0 / 3.0
    share = 100.0**2 / (100.0**2 + (24 * IN) ** 2)
    want = 3 * 500.0 + 2 * share * torque / 100.0
    assert own.amount("transmission") == pytest.approx([want, want])
    assert own.force("transmission")[0] == pytest.approx((0.0, 0.0, -want))
    points = {"L": (3.0, 400.0, 600.0), "R": (5.0, -410.0, 610.0)}
    assert tuple(own.point("seat")) == points[letter]
    assert tuple(own.point("seat.far")) == points["RL"[n]]
    assert tuple(own.point("hub")) == (1.0, 2.0, 3.0)
    assert own.has("seat.x", "hub.x") and not own.has("seat.x", "nothing")


def test_the_track_bar_points_from_the_axle_to_the_frame() -> None:
    """One long, whatever the place of both ends."""
    axle, frame = np.array((10.0, -500.0, 300.0)), np.array((40.0, 450.0, 380.0))
    values = {Key(f"bar.axle.{a}", "C"): v for a, v in zip("xyz", axle, strict=True)}
    values |= {Key(f"bar.frame.{a}", "C"): v for a, v in zip("xyz", frame, strict=True)}
    own: Any = SimpleNamespace(values=values)
    assert Work.bar_way(own) == pytest.approx((frame - axle) / np.linalg.norm(frame - axle))
