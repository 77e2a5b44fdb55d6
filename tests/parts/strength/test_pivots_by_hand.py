"""Pivot bolts and what a side sees of its plates and welds, of made-up plates: distances, shares,
sums of forces.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.parts.design.site import Refused
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Bolt, Hole, Member, Weld
from soapstone.parts.model.body import Bend, Plate
from soapstone.parts.model.terms import HowMade
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import ear as one_ear
from soapstone.parts.strength import pivots, tacks
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import Mesh
from soapstone.parts.strength.view import SideUnderLoad, own_rows
from soapstone.parts.strength.work import Work

SHOP = default_shop()
THICK = SHOP.plate("1/4 A36").thickness
HOLE = Hole((60.0, 50.0), 20.0, 0.0, 0.0, HowMade.DRILL, 0.0, "b.L")


def ear(code: str, y: float, bends: tuple[Bend, ...] = ()) -> Member:
    """A plate of 120 x 80 in the plane of x and z, its lower face at y."""
    place = Frame((0.0, y, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    return Member(code, "ear", "ZZ", Plate("1/4 A36", rectangle(0, 0, 120, 80), bends=bends), place)


def case(name: str, force: tuple[float, float, float]) -> Any:
    own = SimpleNamespace(name=name, level="often", hand="")
    return SimpleNamespace(case=own, bushings="", joint=(force, force))


CASES = (case("static", (300.0, 0.0, -400.0)), case("bump", (3000.0, 0.0, -4000.0)))
EDGE = rectangle(0, 0, 120, 80)[0].name


def side(*members: Member, welds: tuple[Weld, ...] = ()) -> SideUnderLoad:
    """The left of a truck of these alone, under two cases."""
    by = {member.code: member for member in members}
    parts = {code: SimpleNamespace(id=code, member=m, holes=(HOLE,)) for code, m in by.items()}
    mark = SimpleNamespace(fy=900.0, fu=1000.0)
    work: Any = SimpleNamespace(
        members=by,
        parts=parts,
        welds={weld.id: weld for weld in welds},
        shop=SHOP,
        rows=CASES,
        explains=False,
        made_of=SimpleNamespace(bolt=lambda _: mark, filler=SimpleNamespace(fexx=480.0)),
        welds_of=lambda *codes: [w for w in welds if {w.on, w.to} & {*codes}],
        at_hole={},
        bolts={},
    )
    for name in ("plate", "segments", "steel_of"):
        setattr(work, name, getattr(Work, name).__get__(work))
    return SideUnderLoad(work, "L", CASES)  # type: ignore[arg-type]  # a stand-in


def bolt(*through: str) -> Bolt:
    at = (60.0, 0.0, 50.0)
    return Bolt("b.L", at, (0.0, 1.0, 0.0), "3/4-10", "grade 8", through, "pivot", "close")


def test_a_pivot_bolt_in_double_shear() -> None:
    """5000 N in the worse case: over two planes, half in each ear's bearing with what is left
    beside its hole, bent between the ears; one ear alone has one plane and no bending.
    """
    seen = side(ear("A.L", 0.0), ear("B.L", -60.0))
    force = seen.force("arm.joint")
    rows = list(pivots._bolt(bolt("A.L", "B.L"), ["A.L", "B.L"], force, "pivot", seen))
    shear, one, two, bent = (dict(row.given) for row in rows)
    assert [row.part for row in rows] == ["b.L", "A.L", "B.L", "b.L"]
    assert all("bump" in row.case for row in rows)
    assert (shear["force_N"], shear["planes"]) == (5000.0, 2.0)
    assert shear["fnv_MPa"] == pytest.approx(563.0) and shear["d_mm"] == pytest.approx(19.05)
    for given in (one, two):
        assert given["force_N"] == 2500.0 and given["clear_mm"] == pytest.approx(30.0 - 10.0)
    assert bent["inner_mm"] == pytest.approx(60.0 - THICK) and bent["gap_mm"] == 0.8
    assert bent["outer_mm"] == pytest.approx(THICK) and bent["fy_MPa"] == 900.0
    assert "half of the force" in rows[1].what
    alone = list(pivots._bolt(bolt("A.L"), ["A.L"], force, "pivot", seen))
    assert len(alone) == 2 and dict(alone[0].given)["planes"] == 1.0
    assert dict(alone[1].given)["force_N"] == 5000.0 and "all of the force" in alone[1].what
    none = list(pivots._bolt(bolt(), [], force, "pivot", seen))
    assert len(none) == 1 and dict(none[0].given)["planes"] == 1.0
    other = bolt("A.L")._replace(id="other")
    assert len(list(pivots._bolt(other, ["A.L"], force, "pivot", seen))) == 1, "no hole for it"


def weld(on: str, to: str, *edges: str, **more: Any) -> Weld:
    return Weld(f"{on}-{to}", on, edges, to, "fillet", more.pop("leg", 5.0), **more)


@pytest.mark.parametrize(("through", "k"), [(("A.L", "B.L"), 1.2), (("A.L",), 2.1)])
def test_an_ear_at_its_weld(through: tuple[str, ...], k: float) -> None:
    """A foot of 120 along x, the bolt 50 over its middle: shear 3000 and push 4000 over the ears;
    bent by lever times shear; a pair is held by its sleeve.
    """
    share = len(through)
    foot = weld("A.L", "rail", EDGE)
    seen = side(ear("A.L", 0.0), welds=(foot,))
    own = pivots.Ear("A.L", np.array((60.0, THICK / 2, 50.0)), "pivot", share, "arm.joint")
    seen.work.roots = []  # type: ignore[misc]
    rows = list(pivots.ear_rows(own, seen))
    root, push = dict(rows[0].given), dict(rows[-1].given)
    assert root["moment_Nmm"] == pytest.approx(3000.0 / share * 50.0)
    assert (root["pull_N"], root["shear_N"]) == pytest.approx((4000.0 / share, 3000.0 / share))
    assert root["width_mm"] == pytest.approx(120.0) and root["t_mm"] == pytest.approx(THICK)
    assert root["sideways_Nmm"] == pytest.approx(0.0, abs=1e-6)
    assert (push["push_N"], push["tall_mm"]) == pytest.approx((4000.0 / share, 50.0))
    assert push["k"] == k
    (kept,) = seen.work.roots
    assert kept.share == share and kept.weld.shape[1] == 3
    aside = own._replace(at=np.array((80.0, 0.0, 50.0)))
    moment = dict(next(pivots.ear_rows(aside, seen)).given)["moment_Nmm"]
    assert moment == pytest.approx((3000.0 * 50.0 + 4000.0 * 20.0) / share)
    seen.work.rows = ()  # type: ignore[misc]
    list(pivots.ear_rows(own, seen))
    assert len(seen.work.roots) == 2, "other cases are not recorded"
    assert not list(pivots.ear_rows(own._replace(edges=("other",)), seen))
    assert not list(pivots.ear_rows(own, side(ear("A.L", 0.0))))
    bend = Bend("up", (60.0, 0.0), (60.0, 80.0), 1.0, 10.0)
    assert not list(pivots.ear_rows(own, side(ear("A.L", 0.0, (bend,)), welds=(foot,))))


@pytest.mark.parametrize("share", [1, 2])
def test_a_saddle_slips_about_the_middle_of_its_arc(
    monkeypatch: pytest.MonkeyPatch, share: int
) -> None:
    """Along its foot by the way down to the arc's middle, along the plate by what the bolt stands
    beside it; a section above the weld has a row where it asks more than the foot.
    """
    foot = weld("A.L", "rail", EDGE)
    seen = side(ear("A.L", 0.0), welds=(foot,))
    own = pivots.Ear("A.L", np.array((75.0, 0.0, -50.0)), "pivot", share, "arm.joint")
    root = pivots._root(own, seen)
    assert root is not None
    cut = pivots.neck.EarSection(30.0, 4.0, 50.0)
    given: dict[str, Any] = {
        "moment_Nmm": np.array((0.0, 9e5)),
        "sideways_Nmm": 0.0,
        "pull_N": 0.0,
        "shear_N": 0.0,
    }
    given |= {"width_mm": 50.0, "t_mm": THICK, "fy_MPa": 250.0}
    monkeypatch.setattr(pivots.neck, "shape", lambda *_: None)
    monkeypatch.setattr(pivots.neck, "worst", lambda *_: (cut, given))
    monkeypatch.setattr(pivots.neck, "arc", lambda _: (41.0, 1.7, 65.0))
    asks = float(np.max(pivots.plates.plate_root(**given)[0]))
    above, slip = pivots.above_the_weld(own, root, asks / 1.02, seen)
    assert dict(above.given)["width_mm"] == 50.0 and "above its weld" in above.what
    got = dict(slip.given)
    assert got["moment_Nmm"] == pytest.approx((3000.0 * 65.0 + 4000.0 * 15.0) / share)
    assert (got["radius_mm"], got["arc_rad"]) == (41.0, 1.7)
    assert got["t_mm"] == pytest.approx(THICK) and "slips" in slip.what
    (alone,) = pivots.above_the_weld(own, root, asks, seen)
    assert "slips" in alone.what, "no row for a section that asks no more"
    monkeypatch.setattr(pivots.neck, "arc", lambda _: None)
    assert not list(pivots.above_the_weld(own, root, asks, seen))


def test_what_a_side_sees_of_its_welds() -> None:
    """Middles of the pieces on a plate or against it; a group's pieces carry the load together, in
    proportion to their length where all is alike.
    """
    rows = (weld("A.L", "rail", EDGE), weld("B.L", "A.L", EDGE), weld("B.L", "rail", EDGE))
    rows = (rows[0]._replace(id="own.L"), rows[1], rows[2]._replace(id="far.L"))
    seen = side(ear("A.L", 0.0), ear("B.L", -60.0), welds=rows)
    middles = seen.seams("A.L")
    ends = [end for row in rows[:2] for end in seen.work.segments(row)]
    assert middles == pytest.approx(np.array([(a + b) / 2 for a, b in ends]))
    assert middles[:, 0].min() > 0.0 and middles[:, 0].max() < 120.0
    assert seen.seams("B.L").shape == (2 * len(ends) // 2, 3)
    assert side(ear("A.L", 0.0)).seams("A.L").shape == (0, 3)
    at = np.array((60.0, -30.0, 40.0))
    names = ("own", "far")
    carried = [force for _, force in seen_carried(seen, names, at)]
    total = sum(force.sum(axis=1) for force in carried)
    assert total == pytest.approx(np.array([case.joint[0] for case in CASES]))
    moment = sum(
        np.cross(np.array([(a + b) / 2 for a, b in ends]) - at, force[1]).sum(axis=0)
        for ends, force in seen_carried(seen, names, at)
    )
    assert moment == pytest.approx(np.zeros(3), abs=1e-6)
    assert seen.leg("far") == 5.0 and seen.edge("A.L", HOLE) == pytest.approx(30.0)
    assert seen.box("A.L") == (0.0, 0.0, 120.0, 80.0)
    assert sorted(map(tuple, seen.ends("A.L", EDGE))) == [(0.0, 0.0), (120.0, 0.0)]
    assert seen.holes("A.L") == {"b.L": HOLE}
    assert seen.origin("B.L").tolist() == [0.0, -60.0, 0.0]
    assert seen.axis("B.L").tolist() == [1.0, 0.0, 0.0]
    assert seen.out("A.L", (3.0, 4.0)) == pytest.approx(ear("A.L", 0.0).place.out((3.0, 4.0, 0.0)))


def seen_carried(seen: SideUnderLoad, names: tuple[str, ...], at: Any) -> Any:
    """The group's share of each piece, its walls left out."""
    seen.work.wall = lambda _: (6.0, 400.0)  # type: ignore[method-assign]
    return seen.carried(names, at, "arm.joint")


def test_bolts_of_a_side_by_how_their_ids_begin() -> None:
    """Of this side, and no bare hole of another plate, whose id is one name longer."""
    seen = side(ear("A.L", 0.0))
    names = ("arm.pivot#1.L", "arm.pivot#1.R", "arm.pivot.hole#1.L", "arm#1.L", "arm.pivot#2.L")
    asked: list[tuple[str, ...]] = []

    def bolts_of(*starts: str) -> list[Any]:
        asked.append(starts)
        return [SimpleNamespace(id=name) for name in names]

    seen.work.bolts_of = bolts_of  # type: ignore[method-assign, assignment]
    assert [own.id for own in seen.bolts("arm.pivot")] == ["arm.pivot#1.L", "arm.pivot#2.L"]
    assert [own.id for own in seen.bolts("arm", "x.y")] == ["arm#1.L"]
    assert asked == [("arm.pivot",), ("arm", "x.y")]


def test_a_load_with_a_case_of_its_own_is_worked_standing() -> None:
    work: Any = SimpleNamespace(rows=CASES)
    assert own_rows(work, "arm.joint") is CASES
    standing: Any = SimpleNamespace(case=CASES[0].case)
    standing._replace = lambda case: ("standing", case.name)
    work.rows = (CASES[1], standing)
    assert own_rows(work, "shock") == (("standing", "shock at one wheel's load"),)


@pytest.mark.parametrize(("face", "y"), [("bottom", 0.0), ("top", THICK), ("both", 0.0)])
def test_a_tack_lies_on_the_face_of_its_weld(face: str, y: float) -> None:
    seen = side(ear("A.L", 0.0))
    rows = [weld("A.L", "rail", EDGE, face=face)]
    got = tacks.tacks_of(seen.work, rows).middles
    assert len(got) == 2 and abs(got[:, 1]) == pytest.approx([y, y])


@pytest.mark.parametrize(
    ("code", "said"),
    [
        ("gone", "not a flat plate"),
        ("bent", "not a flat plate"),
        ("bare", "nothing is welded"),
        ("plain", "no pivot bolt passes"),
    ],
)
def test_a_plate_that_is_no_ear_is_refused(code: str, said: str) -> None:
    """What elements work for is said."""
    bend = Bend("up", (60.0, 0.0), (60.0, 80.0), 1.0, 10.0)
    members = (ear("bare", 0.0), ear("plain", 0.0), ear("bent", 0.0, (bend,)), ear("A.L", 0.0))
    welds = tuple(weld(on, "A.L", EDGE) for on in ("plain", "bent"))
    work = side(*members, welds=welds).work
    work.at_hole = {("bare", "b.L"): None, ("bent", "b.L"): None}  # type: ignore[dict-item]
    with pytest.raises(Refused, match=said):
        one_ear.under_load(work, code)


def test_force_at_the_end_of_a_weld_counts() -> None:
    """Nodes at both ends of a line and between: all of their force is somewhere along it."""
    nodes = np.column_stack((np.linspace(0.0, 60.0, 13), np.full(13, 47.0)))
    reaction = np.zeros((13, 5))
    reaction[:, 1] = 4.0
    held = np.ones((13, 5), dtype=bool)
    empty = np.zeros((13, 3))
    s = fem.Solved(Mesh(nodes, np.zeros((0, 3), dtype=np.int64)), reaction, empty, empty, reaction)
    found = one_ear._force_along(s, [nodes[[0, -1]]], held)
    assert [x for (x, _), _ in found] == pytest.approx([10.0, 30.0, 50.0])
    assert sum(force * 20.0 for _, force in found) == pytest.approx(52.0)
    assert max(force for _, force in found) == pytest.approx(20.0 / 20.0)
    short = one_ear._force_along(s, [np.array(((0.0, 47.0), (5.0, 47.0)))], held)
    assert len(short) == 1 and math.isclose(short[0][0][0], 2.5)


@pytest.mark.parametrize(("off", "there"), [(0.0, True), (1.0, True), (-0.4, True), (2.5, False)])
def test_what_stands_on_an_ear_is_held_by_it_too(off: float, there: bool) -> None:
    """A plate square to the ear, its edge as many thicknesses off the ear's lower face."""
    foot = Frame((20.0, off * THICK, -30.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    other = ear("B.L", 0.0)._replace(place=foot)
    seen = side(ear("A.L", 0.0), other, welds=(weld("B.L", "A.L", EDGE),))
    lines = one_ear._seams(seen.work, "A.L", THICK)
    assert len(lines) == int(there)
    if there:
        assert lines[0][:, 0].min() == pytest.approx(20.0)
        assert lines[0][:, 0].max() == pytest.approx(140.0)
        assert lines[0][:, 1] == pytest.approx(np.full(len(lines[0]), 30.0))


def test_the_case_that_stresses_an_ear_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of six cases the four with most force on its holes are solved; the largest stress governs,
    which need not be of the largest force.
    """
    forces = {"a": 5.0, "b": 9.0, "c": 1.0, "d": 7.0, "e": 6.0, "f": 0.5}
    stress = {"a": 80.0, "b": 40.0, "c": 999.0, "d": 60.0, "e": 70.0, "f": 999.0}
    asked: list[str] = []

    def solve(name: str) -> str:
        asked.append(name)
        return name

    monkeypatch.setattr(one_ear.fem, "fair", lambda solved, lines, away: stress[solved])
    at_hole = {("P", "b"): lambda name: np.array((forces[name], 0.0, 0.0))}
    work: Any = SimpleNamespace(rows=tuple(forces), at_hole=at_hole)
    setup: Any = SimpleNamespace(solve=solve, t=6.0)
    got = one_ear._governing(work, setup, [("P", "b")], [])
    assert got == (80.0, "a", "a") and asked == ["b", "d", "e", "a"]


def test_an_ear_in_elements() -> None:
    """Pushed along its foot and off it: along the weld more than the mean of the force, all of it
    held. Pulled out of its plane it bends as a strip of its foot's width (6 F h / b t^2, one
    thickness off the weld a little less), with a sleeve between two ears as a portal, by half.
    """
    members = (ear("A.L", 0.0), ear("rail", 0.0))
    work = side(*members, welds=(weld("A.L", "rail", EDGE, face="both", leg=4.0),)).work
    found = {}
    for pull in ((3000.0, 0.0, -4000.0), (0.0, 1000.0, 0.0)):

        def share(one: Any, pull: tuple[float, ...] = pull) -> Any:
            return np.array(pull) * (2.0 if one is CASES[1] else 1.0)

        for pair in (False, True):
            work.at_hole = {("A.L", "b.L"): share, **({("B.L", "b.L"): share} if pair else {})}
            got = one_ear.under_load(work, "A.L")
            assert got.case is CASES[1] and len(got.lines) == 2
            stress, seam = got.checks
            assert stress.part == seam.part == "A.L" and not stress.must and "bump" in stress.case
            found[pull[1], pair] = stress.demand, dict(seam.given), got.solved.reaction
    _, seam, reaction = found[0.0, False]
    assert seam["force_N_mm"] > 2 * 5000.0 / 120.0 and seam["leg_mm"] == 8.0
    assert reaction[:, :3].sum(axis=0) == pytest.approx((-6000.0, -8000.0, 0.0), abs=1e-3)
    beam = 6 * 2000.0 * 50.0 / (120.0 * THICK**2)
    assert 0.85 * beam < found[1000.0, False][0] < 1.1 * beam
    assert 0.45 * beam < found[1000.0, True][0] < 0.65 * beam
    assert found[0.0, True][0] == pytest.approx(found[0.0, False][0]), "in its plane all the same"
