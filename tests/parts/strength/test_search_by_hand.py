"""The search for larger sizes with made-up trucks: fewest changes first, lightest first, nothing
tried twice; what is said of what stays. And the everyday ranges and a slot's washer by arithmetic.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.parts.design import weld_size
from soapstone.parts.design.sizing import UNSURE, Check
from soapstone.parts.geometry.contours import circle
from soapstone.parts.model.assembly import Bolt, Hole, Weld
from soapstone.parts.model.body import Plate
from soapstone.parts.model.hold import PlateSize
from soapstone.parts.model.terms import HowMade
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.rules import life
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import everyday, growth, search, slot_washer
from soapstone.parts.strength.enlarged import SizeChange
from soapstone.parts.strength.result import FamilyThings, Strength
from soapstone.parts.strength.search import Growth, GrowthSearch, Sought
from soapstone.parts.truck.truck import families

SHOP = default_shop()


def row(use: float, part: str = "P.L", **more: Any) -> Check:
    return Check(part, "weld", "c", use, 1.0, "N", **more)


def change(value: float, name: str = "leg") -> SizeChange:
    return SizeChange("fam", name, value, "mm")


class Tried(GrowthSearch):
    """A search whose trucks use what is written here of each change, all together the product."""

    def __init__(self, uses: dict[float, float], bars: dict[float, str] | None = None) -> None:
        self.lost, self.nearest, self.barred, self.refused = {}, {}, {}, {}
        self.uses, self.bars, self.asked = uses, bars or {}, []
        self.own = {"fam": {"plate": 1.0}}

    def _worst(self, truck: Any, asked: Any) -> tuple[float, Check | None]:
        return truck, row(truck)

    def _changes(self, truck: Any, asked: Any, taken: Any, worst: Any) -> Any:
        return [change(v) for v in self.uses if v not in {c.value for c in taken}]

    def _tried(self, changes: Any, before: Any, asked: Any) -> Growth:
        self.asked.append([c.value for c in changes])
        use = before * math.prod(self.uses[c.value] for c in changes)
        bar = next((self.bars[c.value] for c in changes if c.value in self.bars), "")
        return Growth(changes, use, None if math.isinf(use) else row(use), bar)


SOUGHT = Sought("fam", None, search.PASSES)  # type: ignore[arg-type]  # no family is made


def test_the_first_single_change_that_passes_is_taken() -> None:
    found = Tried({1.0: 0.9, 2.0: 0.6, 3.0: 0.5})
    way = found.way(1.5, SOUGHT)  # type: ignore[arg-type]  # a use stands for a truck
    assert way is not None and [c.value for c in way.changes] == [2.0]
    assert found.asked == [[1.0], [2.0]] and found.lost == {}
    assert way.pin == "[pin.fam] leg = " + way.changes[0].pin.partition(" = ")[2]


def test_where_no_change_passes_the_best_is_kept_with_a_next_one() -> None:
    """Of three together at most; one that gains less than a hundredth is not built on."""
    found = Tried({1.0: 0.9, 2.0: 0.8, 3.0: 0.95})
    way = found.way(1.35, SOUGHT)  # type: ignore[arg-type]
    assert way is not None and [c.value for c in way.changes] == [2.0, 1.0]
    assert found.asked == [[1.0], [2.0], [3.0], [2.0, 1.0]]
    assert found.nearest["fam"].use == pytest.approx(1.35 * 0.8)
    deep = Tried({1.0: 0.9, 2.0: 0.8, 3.0: 0.95, 4.0: 0.97})
    assert deep.way(9.0, SOUGHT) is None  # type: ignore[arg-type]
    assert max(map(len, deep.asked)) == 3 and deep.nearest["fam"].use == pytest.approx(
        9.0 * 0.8 * 0.9 * 0.95
    )
    assert deep.way(9.0, SOUGHT) is None and len(deep.asked) == 9  # type: ignore[arg-type]
    little = Tried({1.0: 0.995})
    assert little.way(1.5, SOUGHT) is None and little.asked == [[1.0]]  # type: ignore[arg-type]
    assert little.nearest["fam"].use < 1.5
    worse = Tried({1.0: 1.2})
    assert worse.way(1.5, SOUGHT) is None and worse.nearest == {}  # type: ignore[arg-type]


def test_a_change_that_spoils_another_part_is_no_way() -> None:
    """What would pass but for it is said; what cannot be made itself too."""
    found = Tried(
        {1.0: 0.5, 2.0: 0.9, 3.0: math.inf}, {1.0: "mount cannot be made", 3.0: "no room"}
    )
    assert found.way(1.5, SOUGHT) is None  # type: ignore[arg-type]
    assert found.barred["fam"].changes[0].value == 1.0
    assert found.refused["fam"].changes[0].value == 3.0
    assert found.nearest["fam"].changes[0].value == 2.0
    said = growth._barred(found, "fam")
    assert said.endswith("would do, but then mount cannot be made") and "leg" in said
    found.barred.clear()
    assert growth._barred(found, "fam").endswith("no room")
    assert growth._barred(found, "other") == ""
    assert found.pinned(Growth((change(1.0, "plate"),), 0.5))
    assert not found.pinned(Growth((change(1.0),), 0.5))


def test_what_is_asked_of_a_row() -> None:
    """A warning asks nothing where nothing may fail; from memory 0.8 is all of it."""
    assert search.limits(row(1.2)) == 1.2 and search.limits(row(1.2, must=False)) == 0.0
    assert search.unsure(row(0.8, tag="memory")) == 0.8 / UNSURE == 1.0
    assert search.unsure(row(0.8, tag="memory", must=False)) == search.unsure(row(0.8)) == 0.8
    assert search._over(row(1.2)) == 1.2 and search._over(row(0.9)) == 0.0
    assert search._over(row(1.2, must=False)) == search._over(row(1.0)) == 0.0
    assert search._first("cannot be met: an inch. Or so. Or") == "an inch"
    assert search._first("plain") == "plain"
    assert search._with({"a": {"x": 1.0}}, (change(2.0),)) == {"a": {"x": 1.0}, "fam": {"leg": 2.0}}
    assert (search.PASSES.daily, search.PASSES.deep) == (False, 3)
    assert (search.CLEAR.daily, search.CLEAR.deep) == (True, 2)


def test_the_worst_row_of_a_family() -> None:
    """Of the parts asked for by the goal, of the others only where they fail."""
    rows = [row(0.9, "A.L"), row(0.95, "B.L"), row(0.7, "A.R", tag="memory")]
    own: Any = SimpleNamespace(rows=SimpleNamespace(of=lambda *_, **__: rows))

    def worst(*parts: str, goal: Any = search.PASSES) -> tuple[float, Check | None]:
        asked: Any = Sought("f", None, goal, parts)  # type: ignore[arg-type]
        return GrowthSearch._worst(own, None, asked)  # type: ignore[arg-type]

    assert worst()[1] is rows[1] and worst("A.L")[1] is rows[0]
    assert worst("A.L", "A.R", goal=search.CLEAR) == (0.9, rows[0])
    rows[1] = row(1.1, "B.L")
    assert worst("A.L")[1] is rows[1]
    rows.clear()
    assert worst() == (0.0, None)


def variable(name: str, unit: str, values: list[Any]) -> Any:
    return SimpleNamespace(name=name, unit=unit, values=lambda _: list(values))


def test_sizes_are_tried_larger_than_what_was_chosen() -> None:
    """In the order plate, tube, bolt, number, length; tubes by weight; fillets first where a weld
    asks most; what is chosen is not tried, nor what is smaller.
    """
    tubes = [tube.key for tube in SHOP.tubes]
    by = {tube.key: (tube.od - tube.wall) * tube.wall for tube in SHOP.tubes}
    mm, tube = variable("gap", "mm", [1.0, 2.0, 3.0]), variable("tube", "tube", tubes)
    count, size = variable("n", "", [1, 2, 3]), variable("plate", "plate", ["a", "b", "c"])
    f: Any = SimpleNamespace(variables=(mm, tube, weld_size.WELD, count, size))
    assert [v.name for v in search._own(f, False)] == ["plate", "tube", "n", "gap"]
    assert search._own(f, True)[0] is weld_size.WELD and len(search._own(f, True)) == 5
    assert [v.name for v in search._stock(f)] == ["plate", "tube"]
    lightest = min(tubes, key=by.__getitem__)
    now = {"gap": 2.0, "tube": lightest, "n": 3, "plate": "a"}
    rows = search._other("fam", (size, tube, count, mm), now, SHOP)
    assert [r.value for r in rows if r.name == "plate"] == ["b", "c"]
    heavier = [by[str(r.value)] for r in rows if r.name == "tube"]
    assert len(heavier) == len(tubes) - 1 and heavier == sorted(heavier)
    assert [r.value for r in rows if r.name in ("n", "gap")] == [3.0]
    other = search._other("fam", (mm,), {"gap": 9.0}, SHOP)
    assert [r.value for r in other] == [1.0, 2.0, 3.0]
    known = dict(families())
    for each in known.values():
        under = search._under(each)
        asked = {*each.needs, *(port for name in under for port in known[name].needs)}
        assert all(asked & {*known[name].gives} for name in under) and len(set(under)) == len(under)
        assert {name for name, other in known.items() if {*other.gives} & {*each.needs}} <= {*under}


def test_a_size_that_was_taken_is_where_the_next_one_begins() -> None:
    """Of the family's own; what was taken of another says nothing of it. Fillets come first where
    the worst row is a weld's.
    """
    name, f = next((n, f) for n, f in families() if any(v.unit == "plate" for v in f.variables))
    var = next(v for v in f.variables if v.unit == "plate")
    values = list(var.values(SHOP))
    chosen = {v.name: next(iter(v.values(SHOP))) for v in f.variables}
    made: Any = SimpleNamespace(picks={f"{f.code}.L": SimpleNamespace(chosen=chosen)})
    own: Any = SimpleNamespace(shop=SHOP)

    def tried(*taken: SizeChange, worst: Check | None = None) -> list[Any]:
        asked = Sought(name, f, search.PASSES)
        found = list(GrowthSearch._changes(own, made, asked, taken, worst))
        assert {c.family for c in found} == {name}
        return found

    def plates(*taken: SizeChange) -> list[Any]:
        return [c.value for c in tried(*taken) if c.name == var.name]

    assert plates() == values[1:][: search.MOST]
    assert plates(SizeChange(name, var.name, values[1], "plate")) == values[2:][: search.MOST]
    assert plates(SizeChange("other", var.name, values[1], "plate")) == plates()
    assert len(tried()) <= search.MOST
    if weld_size.WELD in f.variables:
        first = tried(worst=row(1.2, rule="weld_line"))[0]
        assert first.name == weld_size.WELD.name
    assert all(c.name != weld_size.WELD.name for c in tried(worst=row(1.2, rule="bearing")))


def test_what_is_open_and_of_whom() -> None:
    """Rows to confirm, of parts that fail none; a bolt is its first plate's."""
    rows = (
        row(0.95, "A.L", tag="memory"),
        row(1.5, "B.L"),
        row(0.9, "B.L", tag="memory"),
        row(0.5),
    )
    made = Strength(rows, (), ())
    assert set(made.fails) == {"B.L"} and made.fails["B.L"] == (rows[1],)
    assert growth._open(made) == {"A.L": (rows[0],)} and rows[0].verdict is Verdict.CONFIRM
    heavy = growth._too_heavy(Growth((change(6.35),), 0.5), row(0.93), 1.25)
    assert heavy.startswith("0.93 used is within") and heavy.endswith("for 25 % more steel")
    spoils = growth._spoils(Growth((change(6.35),), 0.5), ["B.L"], made)
    assert "1.50 of what is allowed" in spoils and "fails" in spoils
    assert "elsewhere" in growth._spoils(Growth((), 0.5), [], made)
    own = FamilyThings(frozenset(("A.L",)), {"bolt": "A.L", "far": "B.L"}, frozenset(("A.L", "w")))
    assert own.holds(row(1.0, "bolt")) and own.holds(row(1.0, "A.L"))
    assert not own.holds(row(1.0, "far")) and not own.holds(row(1.0, "B.L"))
    hold: Any = SimpleNamespace(members=(), bolts=(), welds=("w",))
    assert own.touches(hold)
    other: Any = SimpleNamespace(members=("B.L",), bolts=("far",), welds=())
    assert not own.touches(other)


def state(name: str) -> Any:
    return SimpleNamespace(case=SimpleNamespace(name=name, hand=""), bushings="")


STATES = [state("a"), state("b"), state("c")]


def test_a_throat_ranges_between_the_two_states_farthest_apart() -> None:
    """Lines as vectors over a throat of 0.70711 of the leg, at the end where it is most."""
    lines = np.zeros((3, 4, 3))
    lines[0, 1], lines[2, 1], lines[1, 3] = (30.0, 0.0, 0.0), (0.0, 40.0, 0.0), (0.0, 0.0, 45.0)
    pieces: Any = SimpleNamespace(
        corner_legs=np.array((5.0, 5.0, 8.0, 8.0)), corners=np.arange(12.0).reshape(4, 3)
    )
    made: Any = SimpleNamespace(
        part="P", says="weld", pieces=pieces, lines=lambda _: lines, again=lambda rows: rows
    )
    (got,) = everyday._group(made, STATES)
    assert got.demand == pytest.approx(50.0 / (0.70711 * 5.0)) and got.rule == "life_throat"
    assert got.case == "everyday, a to c" and got.what == "throat of the weld, every day"
    put = {k: v for k, (v, _) in got.steps[0].put.items()}
    assert (put["Ax"], put["By"], put["w"], put["x"]) == (30.0, 40.0, 5.0, 3.0)
    lines[:] = 0.0
    assert not list(everyday._group(made, STATES))


def test_a_tube_and_a_plate_range_between_two_states() -> None:
    stress = np.array(((10.0, -5.0), (20.0, 30.0), (15.0, -20.0)))
    tube: Any = SimpleNamespace(
        part="T", says="tube", clause=life.life_tube, again=lambda _: None, stress=lambda _: stress
    )
    (got,) = everyday._tube(tube, STATES)
    assert got.demand == 50.0 and got.case == "everyday, b to c" and got.part == "T"
    seat = SimpleNamespace(per_newton=0.01)
    view = SimpleNamespace(amount=lambda load: np.array((1000.0, 4000.0, 2500.0)))
    made: Any = SimpleNamespace(part="P", load="coil", seat=seat, most=5000.0, again=lambda _: view)
    (plate,) = everyday._plate(made, STATES)
    assert plate.demand == pytest.approx(30.0) and plate.case == "everyday, a to b"
    steps = {k: v for k, (v, _) in plate.steps[0].put.items()}
    assert (steps["A"], steps["B"], steps["Sp"]) == (1000.0, 4000.0, 50.0)


def test_a_slots_washer_takes_the_share_of_its_ear() -> None:
    """Bearing on what is left beside its hole, a ring of weld round it: force over the ring's
    length; without a washer a slot is never credited; where readings wait nothing is said.
    """
    outline = circle((0.0, 0.0), 60.0)
    hole = Hole((0.0, 0.0), 20.0, 0.0, 0.0, HowMade.CUT, 0.0, "b")
    part = SimpleNamespace(member=SimpleNamespace(body=Plate("1/4 A36", outline)), holes=(hole,))
    weld = Weld("w", "W.L", ("rim",), "E.L", "fillet", 5.0)
    others = [weld._replace(edges=("x",)), weld._replace(to="F.L"), weld._replace(on="gone")]
    work: Any = SimpleNamespace(
        welds_of=lambda _: [*others, weld],
        parts={"W.L": part},
        plate=lambda _: PlateSize(6.0, 250.0, 400.0),
        explains=False,
        welded=[],
        waiting={},
        truck=SimpleNamespace(waiting={}),
    )
    case = SimpleNamespace(case=SimpleNamespace(name="a", level="often", hand=""), bushings="")
    seen: Any = SimpleNamespace(work=work, rows=(case, case), weld_metal=480.0, side="L")
    bolt = Bolt(
        "b", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), "3/4-10", "grade 8", ("E.L",), "pivot", "close"
    )
    force = np.array(((3000.0, 4000.0, 0.0), (0.0, 0.0, 100.0)))
    bears, ring = slot_washer.rows(bolt, "E.L", force, "pivot", seen)
    given = dict(bears.given)
    assert bears.demand == 5000.0 and given["clear_mm"] == pytest.approx(20.0)
    assert given["d_mm"] == pytest.approx(19.05) and bears.part == ring.part == "W.L"
    assert ring.demand == pytest.approx(5000.0 / (math.pi * 60.0))
    assert dict(ring.given)["leg_mm"] == 5.0 and work.welded[0][2] == ("w",)
    work.welds_of = lambda _: others
    (none,) = slot_washer.rows(bolt, "E.L", force, "pivot", seen)
    assert none.verdict is Verdict.FAILS and none.part == "E.L" and "washer" in none.what
    assert not work.waiting
