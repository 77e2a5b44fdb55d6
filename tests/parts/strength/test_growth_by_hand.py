"""How sizes grow, decided by made-up rows and weights: what is taken, what is not and what is said
of it.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from soapstone.parts.design.sizing import Check
from soapstone.parts.rules import welds
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import growth
from soapstone.parts.strength.enlarged import SizeChange
from soapstone.parts.strength.result import Strength
from soapstone.parts.strength.search import CLEAR, PASSES, Growth, Sought
from soapstone.parts.truck.truck import families

FAMILY: Any = SimpleNamespace(title="link tabs", otherwise=lambda assembly: "move the bolt")
WAY = Growth((SizeChange("fam", "plate", "3/8 A36", "plate"),), 0.7)


def row(use: float, part: str = "A.L", **more: Any) -> Check:
    """A weld that uses so much of its clause."""
    given = {"force_N_mm": 0.0, "leg_mm": 4.7625, "fexx_MPa": 480.0}
    given["force_N_mm"] = use * float(welds.weld_line(**given)[1])
    made = Check("x", "weld", "c", use, 1.0, "N/mm", given=tuple(given.items()), rule="weld_line")
    return made._replace(part=part, **more)


class Search:
    """A search that finds what it is told."""

    def __init__(self, *ways: Growth | None, pinned: bool = False) -> None:
        self.ways, self.asked, self.taken = list(ways), [], []
        self.pins: Any = "before"
        self.shop, self.solved = default_shop(), SimpleNamespace(values={})
        self.nearest: dict[str, Growth] = {}
        self.barred: dict[str, Growth] = {}
        self.refused: dict[str, Growth] = {}
        self.rows = SimpleNamespace(every=lambda truck: truck.now)
        self.pinned = lambda way: pinned

    def way(self, truck: Any, asked: Any) -> Growth | None:
        self.asked.append(asked)
        return self.ways.pop(0) if self.ways else None

    def take(self, way: Growth) -> None:
        self.taken.append(way)
        self.pins = "after"

    def made(self, pins: Any) -> Any:
        return AFTER[0]


AFTER: list[Any] = []


def truck(fails: tuple[str, ...] = (), still: tuple[str, ...] = (), use: float = 0.95) -> Any:
    now = SimpleNamespace(
        fails={part: (row(1.5, part),) for part in fails},
        open={part: (row(use, part, tag="memory"),) for part in still},
    )
    return SimpleNamespace(now=now, assembly=None)


def begun(own: Any) -> growth.Grown:
    return growth.Grown(own, own.now, {})


@pytest.fixture(autouse=True)
def made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Families by what stands in the rows; weights as they are set."""
    monkeypatch.setattr(
        growth, "_families_of", lambda t, rows: [("fam", FAMILY, list(rows))] if rows else []
    )
    monkeypatch.setattr(growth, "_open", lambda now: now.open)
    AFTER.clear()


def test_what_fails_is_made_larger_until_nothing_does() -> None:
    AFTER.append(truck())
    search: Any = Search(WAY)
    done = growth._passing(search, begun(truck(("A.L", "A.R"))))
    assert search.taken == [WAY] and done.ways == {} and done.sizes == "after"
    (said,) = done.grown
    assert said.part == "A.L" and "1.50 of what is allowed" in said.why
    assert search.asked == [Sought("fam", FAMILY, PASSES)]


def test_what_nothing_in_stock_passes_is_said_with_another_way_out() -> None:
    search: Any = Search(None)
    done = growth._passing(search, begun(truck(("A.L",))))
    assert done.grown == () and "nothing else in stock for link tabs" in done.ways["A.L"]
    assert done.ways["A.L"].endswith("; move the bolt")


def test_a_pinned_size_is_said_and_so_is_what_never_settles() -> None:
    """Pinned by the job: its row says with what it would pass; so after 24 turns."""
    search: Any = Search(WAY, pinned=True)
    done = growth._passing(search, begun(truck(("A.L", "A.R"))))
    want = f"with {WAY.pin} it passes (0.70 used)"
    assert done.ways == {"A.L": want, "A.R": want} and search.taken == []
    AFTER.append(truck(("A.L",)))
    endless: Any = Search(*[WAY] * 99)
    done = growth._passing(endless, begun(truck(("A.L",))))
    assert len(done.grown) == len(endless.taken) == 24 and done.ways == {"A.L": want}


@pytest.mark.parametrize(
    ("steel", "use", "taken"),
    [(12.0, 0.95, True), (12.04, 0.95, True), (12.1, 0.95, False), (12.1, 1.05, True)],
)
def test_what_is_within_its_limit_grows_by_a_fifth_at_most(
    monkeypatch: pytest.MonkeyPatch, steel: float, use: float, taken: bool
) -> None:
    """Of 10 kg to 12; what is past its limit, though only a warning, grows all the same."""
    AFTER.append(truck())
    before = truck(still=("A.L",), use=use)
    monkeypatch.setattr(growth, "_steel", lambda way, t, shop: steel if t is AFTER[0] else 10.0)
    search: Any = Search(WAY)
    done = growth._clear(search, begun(before))
    assert bool(done.grown) is taken and (search.pins == "after") is taken
    if not taken:
        assert done.ways["A.L"].endswith("for 21 % more steel")
    assert search.asked[0].goal is CLEAR and search.asked[0].parts == ("A.L",)


def test_one_row_past_its_limit_is_enough_to_grow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Though another of the part is within it."""
    AFTER.append(truck())
    before = truck(still=("A.L",))
    before.now.open["A.L"] += (row(1.05, must=False),)
    monkeypatch.setattr(growth, "_steel", lambda way, t, shop: 15.0 if t is AFTER[0] else 10.0)
    search: Any = Search(WAY)
    assert growth._clear(search, begun(before)).grown


@pytest.mark.parametrize(
    ("after", "said"),
    [
        (truck(("B.L",)), "but then B fails"),
        (truck(still=("C.L",)), "as much is left to confirm elsewhere"),
    ],
)
def test_what_spoils_another_or_clears_nothing_is_not_taken(
    monkeypatch: pytest.MonkeyPatch, after: Any, said: str
) -> None:
    AFTER.append(after)
    monkeypatch.setattr(growth, "_steel", lambda way, t, shop: 10.0)
    search: Any = Search(WAY, None, None)
    done = growth._clear(search, begun(truck(still=("A.L",))))
    assert done.grown == () and search.pins == "before"
    assert said.partition(" fails")[0] in done.ways["A.L"]


def test_what_stays_to_confirm_is_asked_once() -> None:
    """Two parts and their twins: each asked alone; what a pin holds is said with the pin."""
    search: Any = Search(None, None)
    done = growth._clear(search, begun(truck(still=("A.L", "A.R", "B.C"))))
    assert [asked.parts for asked in search.asked] == [("A.L", "A.R"), ("B.C",)]
    assert set(done.ways) == {"A.L", "A.R", "B.C"}
    assert all("no larger size in stock for link tabs" in way for way in done.ways.values())
    held: Any = Search(WAY, pinned=True)
    done = growth._clear(held, begun(truck(still=("A.L",))))
    assert done.ways["A.L"] == f"with {WAY.pin} nothing would be left to confirm of it"


def test_what_is_said_where_nothing_serves() -> None:
    """What comes nearest and with what it passes; the bushings' rates where they were assumed."""
    search: Any = Search()
    plain = growth._nothing(FAMILY, (row(1.2), row(1.5)), search, "fam")
    assert plain.startswith("nothing else in stock for link tabs passes; it passes with")
    assert "bushings" not in plain
    soft = growth._nothing(FAMILY, (row(1.2), row(1.5, case="a, soft bushings")), search, "fam")
    assert "read their rates off the maker's sheet" in soft
    bare = row(1.5)._replace(given=())
    assert growth._nothing(FAMILY, (bare,), search, "fam").endswith("no other size comes nearer")
    search.nearest["fam"] = WAY._replace(use=1.1, row=row(1.1))
    near = growth._nothing(FAMILY, (row(1.5),), search, "fam")
    assert f"nearest is {WAY.pin}, 1.10 of what is allowed for weld" in near
    asked = Sought("fam", FAMILY, CLEAR, ("A.L",))
    assert f"nearest is {WAY.pin}, 1.10" in growth._stays(asked, search, (row(0.9),))
    search.nearest.clear()
    stays = growth._stays(asked, search, (row(0.9, tag="memory"), row(0.95)))
    assert stays.startswith("no larger size in stock for link tabs")
    told = growth._stays(asked, search, (row(0.9, tag="memory", case="a"), row(0.95)))
    assert told.endswith("with 88 % of that load"), "0.8 of what is allowed over 0.9"


def test_forces_that_tell() -> None:
    """Of every case with rates as read, and of others where they govern a row."""

    def force(name: str, bushings: str = "") -> Any:
        case = SimpleNamespace(name=name, hand="", level="often")
        return SimpleNamespace(case=case, bushings=bushings)

    plain, soft, hard = force("a"), force("a", "soft bushings"), force("b", "hard bushings")
    rows = (row(0.5, case="b, hard bushings (often)"),)
    assert Strength(rows, (plain, soft, hard), ()).telling == (plain, hard)


def test_whose_family_a_row_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bolt's is its first plate's that was made; families without sizes or unmade are left
    out.
    """
    monkeypatch.undo()
    name, f = next((n, f) for n, f in families() if f.variables)
    bolts = (
        SimpleNamespace(id="b", through=("sleeve", "P.L", "Q.L")),
        SimpleNamespace(id="c", through=("sleeve",)),
    )
    made: Any = SimpleNamespace(
        assembly=SimpleNamespace(bolts=bolts),
        made_by={"P.L": name, "Q.L": "other"},
        picks={f"{f.code}.L": None},
    )
    found = growth._families_of(made, {"b": (), "c": (), "P.L": (), "Q.L": ()})
    assert found == [(name, f, ["b", "P.L"])]
    twins = growth._alike(made, {"P.L": (), "P.R": (), "b": ()})
    assert [own.parts for own in twins] == [("P.L",), ("b",)]
    made.picks = {}
    assert growth._families_of(made, {"P.L": ()}) == []
