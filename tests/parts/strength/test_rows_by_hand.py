"""How rows are made from forces, with stand-ins for the truck: statics of a rigid group, the case
that uses most, arithmetic of loads, what a fillet is held to, what was asked of a truck.
"""

from __future__ import annotations

import itertools
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.layout.units import IN
from soapstone.parts.design.sizing import AS_DRAWN, NO_CAPACITY, Check
from soapstone.parts.geometry.contours import circle, rectangle
from soapstone.parts.model.assembly import Member, Weld
from soapstone.parts.model.body import Bend, Edge, Plate, Tube, TubeEnd
from soapstone.parts.model.hold import Step
from soapstone.parts.model.vectors import Frame
from soapstone.parts.rules import welds
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import (
    fillets,
    governing,
    named_loads,
    tacks,
    weld_groups,
    weld_pieces,
)
from soapstone.parts.strength.recorded import Pieces
from soapstone.parts.strength.work import Work
from weld_pieces import pieces_anywhere

RNG = np.random.default_rng(2)
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def case(name: str, level: str = "often", hand: str = "", bushings: str = "") -> Any:
    return SimpleNamespace(
        case=SimpleNamespace(name=name, level=level, hand=hand), bushings=bushings
    )


def test_a_rigid_group_gives_back_what_it_is_loaded_with() -> None:
    """Force a millimeter times length over all pieces: the force, and its moment about any point; a
    couple gives no force and its own moment. Twice the leg takes twice as much beside its like.
    """
    own, at = pieces_anywhere(RNG), np.array((70.0, -40.0, 25.0))
    for unit, force in ((own.unit, True), (own.unit_couple, False)):
        per = unit(at) * own.lengths[:, None, None]
        total = per.sum(axis=0)
        moment = np.stack([np.cross(own.middles - at, per[:, :, k]).sum(axis=0) for k in range(3)])
        assert total == pytest.approx(np.eye(3) if force else np.zeros((3, 3)), abs=1e-9)
        want = np.zeros((3, 3)) if force else np.eye(3)
        assert moment == pytest.approx(want, abs=1e-7)
    two = Pieces(
        np.array(((-10.0, 0.0, 0.0), (10.0, 0.0, 0.0))),
        np.array((20.0, 20.0)),
        np.array((4.0, 8.0)),
        np.ones((2, 2)),
        np.zeros((2, 2, 3)),
        np.arange(2),
    )
    middle = np.array((10.0 / 3, 0.0, 0.0))
    share = two.unit(middle)[:, 2, 2]
    assert share == pytest.approx([1 / 60, 2 / 60])
    assert own.corner_legs.tolist() == [leg for leg in own.legs for _ in range(2)]
    assert own.corners.tolist() == own.ends.reshape(-1, 3).tolist()
    ends = own.unit(at, own.corners)
    assert (ends[0::2] + ends[1::2]) / 2 == pytest.approx(own.unit(at))


def plate(code: str, stock: str = "1/4 A36", place: Frame = FLAT) -> Member:
    body = Plate(stock, rectangle(0.0, 0.0, 200.0, 80.0), (circle((100.0, 40.0), 30.0, "bore"),))
    return Member(code, "plate", "ZZ", body, place)


def truck(*members: Member, welds: tuple[Weld, ...] = ()) -> Any:
    """A work of these members alone."""
    by = {member.code: member for member in members}
    made = SimpleNamespace(
        members=by,
        parts=by,
        welds={weld.id: weld for weld in welds},
        shop=SHOP,
        values={},
        made_of=SimpleNamespace(rail=SimpleNamespace(fy=250.0, fu=400.0), filler=None),
        truck=SimpleNamespace(assembly=SimpleNamespace(welds=welds)),
    )
    for name in ("plate", "segments", "steel_of", "wall", "_ring"):
        setattr(made, name, getattr(Work, name).__get__(made))
    made.tube = lambda code: SHOP.tube(by[code].body.stock)
    return made


def fillet(on: str, to: str, *edges: str, **more: Any) -> Weld:
    return Weld(
        f"{on}-{to}", on, edges, to, more.pop("kind", "fillet"), more.pop("leg", 5.0), **more
    )


def test_welds_as_pieces() -> None:
    """Along a plate's edge as long as it is; round a tube's end its circle, square across it; a
    groove's leg is that of the fillet with its throat, a stitch's its share; weaker walls.
    """
    round_ = Tube(SHOP.tubes[0].key, 300.0, (TubeEnd(), TubeEnd()))
    place = Frame((10.0, 20.0, 30.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    tube = Member("T.L", "tube", "ZZ", round_, place)
    own = plate("P.L")
    lower = own.body.outline[0].name
    rows = [
        fillet("P.L", "T.L", lower, leg=6.0),
        fillet("T.L", "P.L", "end1", kind="groove"),
        fillet("P.L", "gone.L", lower, run=38.0, pitch=95.0, leg=10.0, face="both"),
        fillet("gone.L", "P.L", lower),
    ]
    work = truck(own, tube, welds=tuple(rows))
    made = weld_pieces.pieces_of(work, rows)
    assert made is not None
    long = [made.lengths[made.owners == n].sum() for n in range(4)]
    ring = 16 * 2 * math.sin(math.pi / 16) * SHOP.tubes[0].od / 2
    assert long == pytest.approx([200.0, ring, 400.0, 0.0])
    legs = [set(made.legs[made.owners == n]) for n in range(3)]
    assert [len(own) for own in legs] == [1, 1, 1]
    assert [min(own) for own in legs] == pytest.approx([6.0, 5.0 * math.sqrt(2), 4.0])
    circle_ = made.ends[made.owners == 1].reshape(-1, 3)
    assert circle_[:, 1] == pytest.approx(np.full(len(circle_), 320.0))
    assert np.hypot(*(circle_[:, [0, 2]] - (10.0, 30.0)).T) == pytest.approx(SHOP.tubes[0].od / 2)
    start = work.segments(rows[1]._replace(edges=("end0",)))
    assert {round(float(p[1]), 6) for ends in start for p in ends} == {20.0}
    both = made.ends[made.owners == 2][:, :, 2]
    assert set(both.ravel().round(6)) == {0.0, round(SHOP.plate("1/4 A36").thickness, 6)}
    walls = made.walls[made.owners == 0][0]
    thin = min(work.steel_of(code) for code in ("P.L", "T.L"))
    assert walls[0] * walls[1] == pytest.approx(
        min(t * fu for t, fu in map(work.steel_of, ("P.L", "T.L")))
    )
    assert thin[0] > 0 and work.wall(fillet("a", "b")) == (math.inf, 400.0)
    assert weld_pieces.pieces_of(work, [rows[3]]) is None
    short = Plate("1/4 A36", rectangle(0.0, 0.0, 20.0, 80.0))
    two = weld_pieces.pieces_of(
        truck(Member("S.L", "x", "ZZ", short, FLAT)), [fillet("S.L", "x", lower)]
    )
    assert two is not None and two.lengths == pytest.approx([10.0, 10.0])


def test_the_step_from_one_edge_to_another_is_no_weld() -> None:
    """Two edges of one name 45 apart are as much weld as they are long."""
    corners = (("a", (0.0, 0.0)), ("b", (100.0, 0.0)), ("a", (100.0, 45.0)), ("c", (0.0, 45.0)))
    body = Plate("1/4 A36", tuple(Edge(name, at) for name, at in corners))
    work = truck(Member("P.L", "plate", "ZZ", body, FLAT))
    ends = work.segments(fillet("P.L", "B.L", "a"))
    assert sum(math.dist(*each) for each in ends) == pytest.approx(200.0)


def seen_in(*cases: Any, **more: Any) -> Any:
    return SimpleNamespace(rows=cases, cases=len(cases), **more)


def test_the_weaker_wall_beside_a_weld() -> None:
    """By thickness times strength: 3 mm of 500 MPa is stronger than 4 mm of 300; what is not known
    has no say, and where nothing is the weld itself governs.
    """
    steel = {"a": (3.0, 500.0), "b": (4.0, 300.0), "none": (0.0, 0.0)}
    own: Any = SimpleNamespace(
        steel_of=steel.__getitem__, made_of=SimpleNamespace(rail=SimpleNamespace(fu=450.0))
    )
    for on, to, wall in (
        ("a", "b", (4.0, 300.0)),
        ("b", "a", (4.0, 300.0)),
        ("none", "a", (3.0, 500.0)),
        ("none", "none", (math.inf, 450.0)),
    ):
        assert Work.wall(own, fillet(on, to)) == wall


def test_the_case_that_uses_most_has_the_row() -> None:
    """A longer weld carries more: the case with the larger force need not be the worse one; no
    load, no row; nothing that carries is used 99 times; the numbers of that case alone.
    """
    cases = seen_in(case("a"), case("b", "rarely", "R", "hard bushings"), case("c"))
    numbers = {
        "force_N_mm": np.array((900.0, 800.0, 10.0)),
        "leg_mm": np.array((12.0, 5.0, 5.0)),
        "fexx_MPa": 480.0,
    }
    step = Step("f", "F / L", {"F": (np.array((1.0, 2.0, 3.0)), "N"), "L": (7.0, "mm")}, "x")
    row = governing.Row("P", "weld", welds.weld_line, numbers, "", (step,))
    (got,) = governing.governing(row, cases)
    assert got.demand == 800.0 and dict(got.given)["leg_mm"] == 5.0
    assert got.case == "b, right wheel, hard bushings (rarely)"
    assert got.tag == welds.weld_line.tag and got.steps[0].put == {
        "F": (2.0, "N"),
        "L": (7.0, "mm"),
    }
    (tagged,) = governing.governing(row._replace(tag="memory"), cases)
    assert tagged.tag == "memory"
    still = {**numbers, "force_N_mm": np.array((1e-7, 0.0, 1e-6))}
    assert not list(governing.governing(row._replace(numbers=still), cases))
    none = {**numbers, "leg_mm": np.array((12.0, 0.0, 5.0))}
    (bare,) = governing.governing(row._replace(numbers=none), cases)
    assert bare.capacity == 0.0 and bare.utilisation == NO_CAPACITY
    assert named_loads.case_of(case("d", hand="L")) == "d, left wheel (often)"


def test_what_a_fillet_is_held_to() -> None:
    """Its least leg and its largest by the thinner of what it joins, its length by its shortest
    edge, or a stitch's; a groove to nothing of it; of each part and clause the one nearest its
    limit.
    """
    thin, thick = plate("A.L", "3/16 A36"), plate("B.L", "3/8 A36")
    own = truck(thin, thick)
    names = [edge.name for edge in thin.body.outline]
    assert fillets.thinner(own, fillet("A.L", "B.L")) == SHOP.plate("3/16 A36").thickness
    assert fillets.thinner(own, fillet("B.L", "B.L")) == SHOP.plate("3/8 A36").thickness
    assert fillets.thinner(own, fillet("gone", "gone")) == fillets.ANY_WALL >= 1000.0
    rows = dict(fillets.of_weld(own, fillet("A.L", "B.L", *names[:2], leg=3 / 16 * IN)))
    length = rows["fillet_length"]
    sides = [math.dist(a.start, b.start) for a, b in itertools.pairwise(thin.body.outline)]
    assert dict(length.given)["length_mm"] == pytest.approx(min(sides[:2]))
    assert dict(length.given)["stitched"] == 0.0 and length.case == AS_DRAWN
    stitch = dict(fillets.of_weld(own, fillet("A.L", "B.L", names[0], run=38.1, pitch=100.0)))
    assert dict(stitch["fillet_length"].given) == {
        "leg_mm": 5.0,
        "length_mm": 38.1,
        "stitched": 1.0,
    }
    least = dict(rows["fillet_least"].given)
    assert least["t_mm"] == SHOP.plate("3/16 A36").thickness and least["cyclic"] == 1.0
    assert not any(map(fillets.past, rows.values()))
    small = fillets.of_weld(own, fillet("A.L", "B.L", names[0], leg=2.0))
    assert {name for name, row in small if fillets.past(row)} == {"fillet_least"}
    large = fillets.of_weld(own, fillet("A.L", "B.L", names[0], leg=9.0))
    assert any(fillets.past(row) for name, row in large if name != "fillet_least")
    assert fillets.of_weld(own, fillet("A.L", "B.L", names[0], kind="groove")) == ()
    assert fillets.of_weld(own, fillet("gone", "B.L", names[0])) == ()
    asks = [Check("P", "w", "c", x, 1.0, "mm") for x in (0.5, 0.9, 0.7)]
    nearest = fillets.nearest([("one", asks[0]), ("one", asks[1]), ("two", asks[2])])
    assert [row.demand for row in nearest] == [0.9, 0.7]
    assert not fillets.past(Check("P", "w", "c", 1.0 + 1e-10, 1.0, "mm"))


def test_a_leg_is_held_to_its_wall_or_to_its_edge(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the wall carries a leg of the list, past the wall alone; a sheet that carries none of
    it fails by name (AISC 360-16 J2.2b, as in the clauses).
    """
    own = truck(plate("A.L"), plate("B.L"))
    name = own.members["A.L"].body.outline[0].name
    for thin, clause in ((6.35, "fillet_wall"), (25.4, "fillet_wall"), (1.0, "fillet_most")):
        monkeypatch.setattr(fillets, "thinner", lambda work, weld, thin=thin: thin)
        rows = dict(fillets.of_weld(own, fillet("A.L", "B.L", name)))
        assert set(rows) == {"fillet_least", clause, "fillet_length"}, thin
        assert dict(rows[clause].given)["t_mm"] == thin


def test_an_edge_over_a_bend_is_shorter_inside() -> None:
    """By the thickness times the angle, less what chords lose."""
    bend = Bend("up", (100.0, 0.0), (100.0, 80.0), 1.0, 10.0)
    body = Plate("1/4 A36", rectangle(0.0, 0.0, 200.0, 80.0), (), (bend,))
    own = truck(Member("P.L", "plate", "ZZ", body, FLAT), plate("B.L"))
    rows = [
        dict(fillets.of_weld(own, fillet("P.L", "B.L", body.outline[0].name, face=face)))
        for face in ("bottom", "top", "both")
    ]
    outside, inside, both = (dict(row["fillet_length"].given)["length_mm"] for row in rows)
    assert outside - inside == pytest.approx(SHOP.plate("1/4 A36").thickness, rel=0.2)
    assert both == outside, "of both faces the lower one"


def test_tacks_lie_at_both_ends_of_a_line() -> None:
    """Half an inch in from either end; one in the middle under 3 in; a ring has two, opposite."""
    for long, want in ((100.0, (12.7, 87.3)), (77.0, (12.7, 64.3)), (76.0, (38.0,))):
        line = np.array(((0.0, 5.0, 0.0), (long / 3, 5.0, 0.0), (long, 5.0, 0.0)))
        got = tacks._places(line)
        assert [p[0] for p in got] == pytest.approx(want) and all(p[1] == 5.0 for p in got)
    turn = np.linspace(0.0, math.tau, 73)
    ring = np.column_stack((40 * np.cos(turn), 40 * np.sin(turn), 0 * turn))
    one, two = tacks._places(ring)
    assert one == pytest.approx(-two, abs=0.1) and np.linalg.norm(one) == pytest.approx(
        40.0, rel=0.01
    )
    assert tacks._places(ring[:1]) == []
    own = truck(plate("P.L"), welds=())
    names = [edge.name for edge in own.members["P.L"].body.outline]
    rows = [
        fillet("P.L", "B.L", *names[:2], leg=6.0),
        fillet("P.L", "B.L", "bore", leg=4.0),
        fillet("gone", "P.L", names[0]),
        fillet("P.L", "B.L", "nothing"),
    ]
    found = tacks.tacks_of(own, rows)
    assert [(t.pieces, t.length, t.leg) for t in found.tacks] == [(4, IN, 6.0), (2, IN, 4.0)]
    assert found.legs.tolist() == [6.0] * 4 + [4.0] * 2 and found.middles.shape == (6, 3)


def test_tacks_carry_twice_the_standing_load() -> None:
    """Two tacks beside each other, the load in their middle: each takes half of twice 3000 N on an
    inch. None with too few tacks, or with a weld that has none.
    """
    own = truck(plate("P.L"))
    own.rows = (case("bump"), case("static"))
    own.made_of = SimpleNamespace(filler=SimpleNamespace(fexx=480.0))
    edges = [edge.name for edge in own.members["P.L"].body.outline]
    weld = fillet("P.L", "B.L", edges[0], leg=6.0)
    (line,) = [tacks.weld_line(own.members["P.L"], edges[0], 6.0, "bottom")]
    asked: list[Any] = []

    def pulls(view: Any) -> Any:
        asked.append(view)
        return [(line.mean(axis=0), np.array(((0.0, 0.0, 3000.0),)), None)]

    made: Any = SimpleNamespace(
        part="P.L", says="weld", welds=(weld,), pulls=pulls, again=lambda rows: rows
    )
    (row,) = tacks._held(own, made)
    assert asked == [(own.rows[1],)] and not row.must and row.part == "P.L"
    assert row.demand == pytest.approx(3000.0 / IN) and dict(row.given)["leg_mm"] == 6.0
    assert "2 of 1 in" in row.what
    two = SimpleNamespace(**{**vars(made), "welds": (weld, fillet("T.L", "P.L", "end0"))})
    assert not list(tacks._held(own, two)), "a tube's end among them"


def test_a_weld_group_in_the_case_that_governs() -> None:
    """A fillet 200 long pulled 9000 N square to it in its middle: 45 N/mm all along; of the walls
    the weaker; recorded with its pulls; a groove or a filler from memory is no pass alone.
    """
    own = truck(plate("P.L"), plate("B.L", "3/16 A36"))
    edge = own.members["P.L"].body.outline[0].name
    weld = fillet("P.L", "B.L", edge, leg=6.0)
    own.groups, own.grouped, own.welded, own.rows = [], [], [], ()
    own.made_of.filler = SimpleNamespace(fexx=480.0, tag="read")
    cases = (case("a"), case("b"))
    view = seen_in(*cases, work=own, under=lambda rows: rows)
    at = np.array((100.0, 0.0, 0.0))
    pull = np.array(((0.0, 0.0, 100.0), (0.0, 0.0, 9000.0)))

    def pulls(_: Any) -> Any:
        return [(at, pull, None)]

    line, wall = weld_groups.group([weld], view, pulls, "weld of P")
    assert line.demand == pytest.approx(45.0) and dict(line.given)["leg_mm"] == 6.0
    assert line.case == wall.case == "b (often)" and wall.demand == pytest.approx(45.0)
    assert dict(wall.given)["t_mm"] == own.steel_of("B.L")[0]
    assert own.welded == [("P.L", "weld of P", (weld.id,))] and own.groups == []
    (kept,) = own.grouped
    assert kept.weld.case == "b (often)" and kept.wall is not None
    (place, force, couple), *_ = kept.weld.pulls
    assert force.tolist() == [0.0, 0.0, 9000.0] and not couple.any() and place is at
    assert kept.weld.line == pytest.approx((0.0, 0.0, 45.0))
    groove = [weld._replace(kind="groove")]
    assert next(weld_groups.group(groove, view, pulls, "x")).tag == "memory"
    assert line.tag == welds.weld_line.tag
    turned = weld_groups.group(
        [weld], view, lambda _: [(at, 0 * pull, pull * 100.0)], "turned about z by a couple"
    )
    most = next(turned)
    want = 900_000.0 / (200.0**3 / 12 * 6.0) * 6.0 * 100.0
    assert most.demand == pytest.approx(want, rel=0.02)
    second = fillet("B.L", "P.L", edge)
    rows = list(weld_groups.group([weld, second], view, pulls, "both"))
    assert {row.part for row in rows} == {"P.L"}, "of the part its first weld is on"
    view.rows = own.rows = cases
    list(weld_groups.group([weld], view, pulls, "weld of P"))
    assert len(own.groups) == 1, "the truck's own cases are kept for every day"
