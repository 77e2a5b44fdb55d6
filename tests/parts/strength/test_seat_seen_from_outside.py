"""The coil-seat plate and its mount seen from outside, x rearward and y up: of either hand, turned
over or not, the same numbers, and those of the plates as they are drawn.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.layout.arrays import Array
from soapstone.parts.geometry.contours import circle, flipped, mirrored, rectangle, shifted
from soapstone.parts.model.assembly import Member, Weld
from soapstone.parts.model.body import Edge, Loop, Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.strength.elements import coil_seat_plate as seats

OUTER = rectangle(-80.0, -10.0, 90.0, 70.0, 6.0)
HOLE, SLOT = circle((20.0, 40.0), 16.0), rectangle(-5.0, 5.0, 5.0, 25.0)
BACK = rectangle(-30.0, -20.0, 40.0, 30.0)
FOOT = {"foot": ((-70.0, -8.0), (80.0, -8.0)), "side": ((-70.0, 60.0), (-70.0, -8.0))}
JOIN = {"low": ((-25.0, 2.0), (30.0, 2.0)), "bead": ((30.0, 40.0), (-25.0, 40.0))}
GUSSET = {"rib": ((0.0, 35.0), (0.0, 20.0), (0.0, 4.0))}


def named(loop: Loop, name: str) -> Loop:
    return tuple(Edge(name, edge.start, edge.bulge) for edge in loop)


def joint(hand: int, over: int) -> Any:
    """Left (1) or right (-1), the right way up (1) or turned over (-1): a plate 400 beside the
    center line, its back plate 10 rearward and 12 up of it.
    """
    x, z = (-hand * 1.0, 0.0, 0.0), (0.0, hand * 1.0, 0.0)
    place = Frame((100.0, hand * 400.0, 500.0), x if over > 0 else (-x[0], 0.0, 0.0), z)

    def drawn(loop: Loop) -> Loop:
        """In the plate's own axes: x rearward for the left one the right way up."""
        seen = loop if hand > 0 else mirrored(loop)
        return seen if over > 0 else flipped(mirrored(seen))

    def put(points: Any) -> Array:
        """Places seen from outside, in truck axes."""
        p = np.array(points, dtype=float)
        return np.column_stack((100.0 - p[:, 0], np.full(len(p), hand * 400.0), 500.0 + p[:, 1]))

    holes = (drawn(HOLE), drawn(SLOT))
    plate = Member("CS", "plate", "ZZ", Plate("x", drawn(OUTER), holes), place)
    # a slot of the back plate that is welded is open, another is filled by its tab
    slots = (
        named(rectangle(0.0, 0.0, 6.0, 9.0), "rim"),
        named(rectangle(9.0, 0.0, 12.0, 9.0), "t"),
    )
    origin = tuple(put(((10.0, 12.0),))[0])
    body = Plate("x", drawn(BACK), tuple(map(drawn, slots)))
    back = Member("CM", "back", "ZZ", body, place._replace(origin=origin))
    edges = {**FOOT, **JOIN, **GUSSET, "rim": JOIN["low"], "t": JOIN["low"]}
    welds = (
        Weld("a", "CS", ("foot", "side"), "rail", "fillet", 5.0),
        Weld("b", "CM", ("low", "bead"), "CS", "fillet", 5.0),
        Weld("c", "GS", ("rib",), "CM", "fillet", 5.0),
        Weld("d", "CM", ("rim",), "other", "fillet", 5.0),
    )
    return seats._joint(
        plate=plate,
        back=back,
        thick=(5.0, 6.0),
        welds=welds,
        line=lambda weld, edge: put(edges[edge]),
        at=np.array((100.0 - 15.0, hand * (400.0 + 30.0), 500.0 + 33.0)),
        cut=(25.0, -40.0),
    )


@pytest.mark.parametrize(("hand", "over"), [(1, 1), (-1, 1), (1, -1), (-1, -1)])
def test_either_hand_and_either_way_up_is_the_same_joint(hand: int, over: int) -> None:
    own, signs = joint(hand, over)
    assert signs.tolist() == [over, over, 1.0] if hand > 0 else [-over, over, 1.0]
    assert own.outlines[0] == seats._loop(OUTER)
    assert own.outlines[1] == seats._loop(shifted(BACK, 10.0, 12.0))
    assert sorted(own.openings[0]) == sorted((seats._loop(HOLE), seats._loop(SLOT)))
    rim = seats._loop(rectangle(10.0, 12.0, 16.0, 21.0))
    assert own.openings[1] == (rim,), "a slot that a tab fills counts as plate"

    def points(lines: list[Array]) -> list[set[tuple[float, ...]]]:
        return [set(map(tuple, line.round(6))) for line in lines]

    def want(lines: dict[str, Any]) -> list[set[tuple[float, ...]]]:
        return [set(line) for line in lines.values()]

    assert sorted(map(sorted, points(own.held))) == sorted(map(sorted, want(FOOT)))
    assert sorted(map(sorted, points(own.joined))) == sorted(map(sorted, want(JOIN)))
    assert points(own.kept) == [{(0.0, 4.0), (0.0, 35.0)}], "its ends alone"
    assert own.at == pytest.approx((15.0, 33.0, 30.0)) and own.push == pytest.approx((0, 1, 0))
    assert own.cut == (-40.0, 25.0) and own.thick == (5.0, 6.0)
    assert own.content == joint(1, 1)[0].content, "to the last digit"
    lows = [tuple(line.min(axis=0)) for line in own.held]
    assert lows == sorted(lows)


def test_a_seat_is_solved_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same joint again, of either hand, is what was found; another thickness is another."""
    asked: list[Any] = []

    def settled(own: Any) -> Any:
        asked.append(own)
        return SimpleNamespace(number=len(asked))

    monkeypatch.setattr(seats, "_settled", settled)
    monkeypatch.setattr(seats, "_turned", lambda found, signs: (found.number, tuple(signs)))
    monkeypatch.setattr(seats, "_DONE", {})
    monkeypatch.setattr(seats, "KEPT", 2)
    given: dict[str, Any] = {}
    monkeypatch.setattr(seats, "_joint", lambda **more: (given["joint"], np.ones(3)))

    def seat(thick: tuple[float, float], hand: int = 1) -> Any:
        given["joint"] = joint_of(hand)._replace(thick=thick)
        row = dict.fromkeys(("plate", "back", "welds", "line", "at", "cut"))
        return seats.seat(**row, thick=thick)  # type: ignore[arg-type]  # not looked at

    kept = {hand: joint_before[hand][0] for hand in (1, -1)}

    def joint_of(hand: int) -> Any:
        return kept[hand]

    assert seat((5.0, 6.0))[0] == seat((5.0, 6.0), -1)[0] == 1
    assert seat((6.0, 6.0))[0] == 2 and seat((7.0, 6.0))[0] == 3 and len(seats._DONE) == 2
    assert seat((7.0, 6.0))[0] == 3 and seat((5.0, 6.0))[0] == 4, "the oldest is let go"


joint_before = {hand: joint(hand, 1) for hand in (1, -1)}
"""Made before anything is put in the place of what makes them."""
