"""What is asked of the coil-seat plate in elements, and what comes of it, with a stand-in for the
elements: subtraction and multiplication. Where the wall stands behind it, by its nodes.
"""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from soapstone.layout.loads.cases import Case
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Weld
from soapstone.parts.model.hold import Hold, HoldKind
from soapstone.parts.strength import seat_plate
from soapstone.parts.strength.elements import joined

HOLD = Hold("x", HoldKind.ELEMENTS, "plate bent", "coil", ("P.L", "B.L"), at="seat.upper")
VALUES = {"frame.notch.x_first": 30.0, "frame.notch.x_last": -50.0}
CASE = Case("bump", "often", 1.0, "", "")


def seen(gone: tuple[str, ...] = (), words: dict[str, str] | None = None) -> SimpleNamespace:
    """A side with a plate and a mount, its coil 12 mm ahead of the line, two cases of its load."""
    welds = [
        Weld("a", "P.L", ("rim",), "rail1.L", "fillet", 5.0),
        Weld("b", "gone.L", ("rim",), "P.L", "fillet", 5.0),
    ]
    work = SimpleNamespace(
        members={c: SimpleNamespace(code=c) for c in ("P.L", "B.L") if c not in gone},
        parts={"P.L": 1, "B.L": 1},
        truck=SimpleNamespace(words=words or {}),
        plate=lambda code: SimpleNamespace(thick={"P.L": 5.0, "B.L": 6.0}[code], fy=250.0),
        welds_of=lambda *codes: welds,
        meshed={},
    )
    case = SimpleNamespace(case=CASE, bushings="")
    return SimpleNamespace(
        work=work,
        rows=(case, case),
        has=lambda *names: not set(names) & set(gone),
        point=lambda name: np.array((12.0, 400.0, 600.0)),
        q=VALUES.__getitem__,
        amount=lambda load: np.array((1000.0, 4000.0)),
        under=lambda rows: None,
    )


def asked(monkeypatch: pytest.MonkeyPatch, side: SimpleNamespace) -> dict[str, object] | None:
    """What the elements are asked for; None where they are not."""
    found: list[dict[str, object]] = []

    def seat(**given: object) -> SimpleNamespace:
        found.append(given)
        return SimpleNamespace(per_newton=0.02)

    monkeypatch.setattr(seat_plate, "seat", seat)
    made = seat_plate.meshed(HOLD, side)  # type: ignore[arg-type]  # a stand-in
    assert (made is None) == (not found)
    assert made is None or (made.most, made.part) == (4000.0, "P.L")
    return found[0] if found else None


def test_a_cut_lies_as_far_rearward_of_the_coil_as_the_tape_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Coil at 12, cut from 30 to -50: from 18 ahead to 62 behind."""
    given = asked(monkeypatch, seen())
    assert given is not None and given["cut"] == (62.0, -18.0) and given["thick"] == (5.0, 6.0)
    assert [weld.id for weld in given["welds"]] == ["a"], "what is made of the welds"
    assert given["at"].tolist() == [12.0, 400.0, 600.0]


def test_a_rail_that_is_not_cut_has_no_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever its readings; where it is cut, they are waited for, as the coil's place is."""
    whole = seen(("frame.notch.x_first",), {"frame.cut": "no"})
    given = asked(monkeypatch, whole)
    assert given is not None and given["cut"] is None
    for gone in ("frame.notch.x_first", "frame.notch.x_last", "seat.upper.y", "P.L", "B.L"):
        assert asked(monkeypatch, seen((gone,))) is None, gone
    assert asked(monkeypatch, seen(("seat.upper.z",), {"frame.cut": "no"})) is None


def test_the_plate_is_held_in_the_case_that_pushes_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """0.02 MPa a newton at 4000 N: 80 MPa; recorded for every day."""
    monkeypatch.setattr(seat_plate, "seat", lambda **_: SimpleNamespace(per_newton=0.02))
    side = seen()
    (row,) = seat_plate.rows(HOLD, side)  # type: ignore[arg-type]  # a stand-in
    assert row.part == "P.L" and row.demand == pytest.approx(80.0) and "bump" in row.case
    assert side.work.meshed["P.L"].seat.per_newton == 0.02
    assert not list(seat_plate.rows(HOLD, seen(("B.L",))))  # type: ignore[arg-type]


@pytest.mark.parametrize("cut", [None, (70.0, 120.0), (199.0, 400.0)])
def test_the_whole_wall_stands_behind_a_plate_on_a_rail_that_is_not_cut(
    cut: tuple[float, float] | None,
) -> None:
    """Every node but those on welds and, where there is a cut, over it."""
    sides = [np.array(((x, 0.0), (x, 150.0))) for x in (0.0, 200.0)]
    joint = joined.PlateOnPlate(
        outlines=(rectangle(0.0, 0.0, 200.0, 150.0), rectangle(50.0, 30.0, 150.0, 120.0)),
        openings=((), ()),
        thick=(5.0, 7.0),
        held=sides,
        joined=[np.array(((x, 40.0), (x, 110.0))) for x in (60.0, 140.0)],
        kept=[np.array(((80.0, y), (120.0, y))) for y in (60.0, 90.0)],
        at=np.array((100.0, 75.0, 40.0)),
        push=np.array((0.0, -1.0, 0.0)),
        cut=cut,
    )
    lower, upper = joined.meshes(joint, 8.0, ())
    _, spots = joined._contact(joint, lower, upper)
    x = lower.nodes[:, 0]
    off = (x > 0.01) & (x < 199.99)
    over = np.zeros(len(x), dtype=bool) if cut is None else (x >= cut[0]) & (x <= cut[1])
    wall = spots[spots[:, 2] == 0.0]
    assert {tuple(p) for p in wall[:, :2]} == {tuple(p) for p in lower.nodes[off & ~over]}
