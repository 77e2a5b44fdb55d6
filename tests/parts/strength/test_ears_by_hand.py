"""An ear's sections and the numbers of its rows, by statics, with stand-ins for the truck."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.parts.geometry.contours import circle, rectangle
from soapstone.parts.model.assembly import Hole, Member
from soapstone.parts.model.body import Plate
from soapstone.parts.model.terms import HowMade
from soapstone.parts.model.vectors import Frame
from soapstone.parts.rules import plates
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import (
    explained,
    neck,
)
from soapstone.parts.strength.recorded import Root
from weld_pieces import pieces_anywhere

RNG = np.random.default_rng(2)
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def plate(code: str, stock: str = "1/4 A36", place: Frame = FLAT) -> Member:
    body = Plate(stock, rectangle(0.0, 0.0, 200.0, 80.0), (circle((100.0, 40.0), 30.0, "bore"),))
    return Member(code, "plate", "ZZ", body, place)


def seen_in(*cases: Any, **more: Any) -> Any:
    return SimpleNamespace(rows=cases, cases=len(cases), **more)


def root(share: int) -> Root:
    """An ear 80 wide, 6 thick, along x, its bolt 50 over and 12 beside the middle of its foot."""
    run, out, up = np.eye(3)[[0, 1, 2]]
    lever = 12.0 * run + 50.0 * up
    again: Any = None
    return Root("P", "load", run, out, up, lever, 80.0, 6.0, share, "x", again)


@pytest.mark.parametrize(("share", "portal"), [(1, 1.0), (2, 2.0)])
def test_where_the_numbers_of_an_ear_come_from(share: int, portal: float) -> None:
    """Put into the formulas that are printed, they are the moments by statics."""
    force, seen = (
        np.array(((30.0, -40.0, 70.0), (1.0, 2.0, 3.0))),
        seen_in(work=SimpleNamespace(explains=True)),
    )
    own = root(share)
    m, mw, p, v = explained.root(own, force, 2.0, seen)
    put = {letter: np.asarray(value) for letter, (value, _) in m.put.items()}
    assert put["Fr"] * put["h"] + put["Fu"] * put["o"] == pytest.approx(
        [30 * 50 + 70 * 12, 50 + 36]
    )
    assert mw.formula == f"Fo h / {portal:g}" and mw.put["Fo"][0] == pytest.approx([40.0, 2.0])
    assert p.put["Fu"][0] == pytest.approx([70.0, 3.0])
    assert v.put["Fr"][0] == pytest.approx([30.0, 1.0])
    (push,) = explained.pushed(own, force, seen)
    ways = [push.put[f"d{axis}"][0] for axis in "xyz"]
    assert ways == [0.0, 0.0, -1.0], "from the bolt down to the weld"
    (below,) = explained.pushed(own._replace(lever=-own.lever), force, seen)
    assert [below.put[f"d{axis}"][0] for axis in "xyz"] == [0.0, 0.0, 1.0]
    (size,) = explained.size(force, seen)
    assert [size.put[f"F{axis}"][0].tolist() for axis in "xyz"] == force.T.tolist()
    (skin,) = explained.skin(own, force[0], 2.0)
    turn = np.cross(own.lever, force[0])
    got = {letter: value for letter, (value, _) in skin.put.items()}
    assert got == {
        "P": 70.0,
        "M": pytest.approx(abs(turn[1])),
        "Mw": pytest.approx(abs(turn[0]) / portal),
        "b": 80.0,
        "t": 6.0,
    }
    mute = seen_in(work=SimpleNamespace(explains=False))
    assert explained.root(own, force, 2.0, mute) == explained.size(force, mute) == ()
    assert explained.pushed(own, force, mute) == explained.ring(force, 9.0, mute) == ()
    lines = np.array(((1.0, 2.0, 3.0), (4.0, 6.0, 8.0)))
    pieces = pieces_anywhere(RNG)
    (throat,) = explained.throat(lines, pieces, 3)
    at = {letter: value for letter, (value, _) in throat.put.items()}
    assert [at[f"{s}{axis}"] for s in "AB" for axis in "xyz"] == [1, 2, 3, 4, 6, 8]
    assert at["w"] == pieces.legs[1] and [at[a] for a in "xyz"] == pieces.corners[3].tolist()
    plate_: Any = SimpleNamespace(seat=SimpleNamespace(per_newton=0.02), most=4000.0)
    (picture,) = explained.pushed_plate(plate_, [10.0, 30.0])
    assert {k: v for k, (v, _) in picture.put.items()} == {
        "Sp": 80.0,
        "Fp": 4000.0,
        "A": 10.0,
        "B": 30.0,
    }


def test_an_ear_seen_from_its_bolt() -> None:
    """Its own hole, not one beside it; up is from the weld to the bolt whichever way the root was
    laid; sections between the weld and the hole; none where the bolt is beside the foot.
    """
    member = plate("P.L", place=Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)))
    holes = (
        Hole((100.0, 60.0), 20.0, 0.0, 0.0, HowMade.CUT, 0.0, "a"),
        Hole((160.0, 60.0), 50.0, 0.0, 0.0, HowMade.CUT, 0.0, "b"),
    )
    seen: Any = SimpleNamespace(
        work=SimpleNamespace(members={"P.L": member}, parts={"P.L": SimpleNamespace(holes=holes)})
    )
    bolt = np.array(member.place.out((100.0, 60.0, 0.0)))
    foot = np.array([member.place.out((x, 0.0, 0.0)) for x in (0.0, 200.0)])
    for up in (1.0, -1.0):
        own = root(2)._replace(
            part="P.L", up=np.array(member.place.y) * up, lever=bolt - foot.mean(axis=0), weld=foot
        )
        got = neck.shape(own, bolt, seen)
        assert got.hole == 10.0
        assert sorted(map(tuple, got.weld.round(6))) == [(-100.0, -60.0), (100.0, -60.0)]
        assert got.loop[:, 1].min() == pytest.approx(-60.0)
        assert got.loop[:, 1].max() == pytest.approx(20.0)
    cuts = neck.sections(got)
    assert len(cuts) == 8 and {round(cut.width, 6) for cut in cuts} == {200.0}
    assert [cut.down for cut in cuts] == pytest.approx(np.linspace(60.0, 15.0, 9)[1:])
    wide = neck.sections(got._replace(hole=40.0))
    assert [cut.down for cut in wide] == pytest.approx(np.linspace(60.0, 40.0, 9)[1:])
    assert neck.sections(got._replace(hole=61.0)) == ()
    slope = got._replace(weld=got.weld + np.array(((0.0, 0.0), (0.0, 5.0))))
    assert [cut.down for cut in neck.sections(slope)] == pytest.approx(np.linspace(55.0, 13.75, 9))


def test_the_numbers_of_a_section() -> None:
    """Lever times force in the plane and over it, as a portal where a pair shares it."""
    cut, force = neck.EarSection(40.0, -7.0, 90.0), np.array(((30.0, -40.0, 70.0),))
    got = neck.numbers(root(2), cut, force, 2.0, 250.0)
    assert got == {
        "moment_Nmm": pytest.approx([30 * 40 + 70 * 7]),
        "sideways_Nmm": pytest.approx([40 * 40 / 2]),
        "pull_N": pytest.approx([70.0]),
        "shear_N": pytest.approx([30.0]),
        "width_mm": 90.0,
        "t_mm": 6.0,
        "fy_MPa": 250.0,
    }
    assert float(np.max(plates.plate_root(**got)[0])) > 0.0
    two = np.array(
        ((0, 0), (40, 0), (40, 10), (70, 10), (70, 0), (90, 0), (90, 30), (0, 30)), float
    )
    (split,) = [neck._cut(two - (0.0, 100.0), 95.0)]
    assert split is not None and split.width == pytest.approx(60.0)
    assert split.beside == pytest.approx((40 * 20 + 20 * 80) / 60)
    assert neck._cut(two, 5.0) is None, "past the foot"
