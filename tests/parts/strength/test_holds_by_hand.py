"""What comes of a hold as a family declares it: whose row, its words, what is recorded, what a slip
in its numbers says; with stand-ins for the truck.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.parts.design.site import SlipError
from soapstone.parts.model.hold import Hold, HoldKind, Step
from soapstone.parts.rules import life, welds
from soapstone.parts.strength import evaluate

CASE = SimpleNamespace(case=SimpleNamespace(name="a", level="often", hand=""), bushings="")
WELDS = {name: SimpleNamespace(id=name, on=on) for name, on in (("w1", "P.L"), ("w2", "Q.L"))}


def seen(*has: str, explains: bool = True) -> Any:
    work = SimpleNamespace(welds=WELDS, welded=[], explains=explains, ranged=[], rows=(CASE,))
    return SimpleNamespace(
        work=work,
        rows=(CASE,),
        has=lambda *names: set(names) <= set(has),
        point=lambda name: np.zeros(3),
        named=lambda code: f"{code}.L",
        under=lambda rows: None,
    )


def numbers(view: Any) -> dict[str, Any]:
    return {"force_N_mm": np.array((300.0,)), "leg_mm": 5.0, "fexx_MPa": 480.0}


def hold(**more: Any) -> Hold:
    row: dict[str, Any] = {"id": "h.L", "kind": HoldKind.ROW, "says": "weld of {TB4}", "load": "x"}
    return Hold(**{**row, "clause": welds.weld_line, "numbers": numbers, **more})


def test_a_row_is_of_the_first_it_names() -> None:
    """A member, else a bolt, else the plate the first weld is on; its welds are recorded."""
    for more, part in (
        ({"members": ("A", "B"), "bolts": ("b",), "welds": ("w1",)}, "A"),
        ({"bolts": ("b", "c")}, "b"),
        ({"welds": ("w1", "w2")}, "P.L"),
        ({"welds": ("w2", "w1")}, "Q.L"),
        ({}, ""),
    ):
        view = seen()
        (row,) = evaluate._row(hold(**more), view)
        assert (row.part, row.what, row.case) == (part, "weld of TB4.L", "a (often)")
        own = more.get("welds", ())
        assert view.work.welded == ([(part, "weld of TB4.L", own)] if own else [])


def test_a_row_without_a_load_is_of_any_case() -> None:
    """Of no load at all; none where its numbers wait; steps only where somebody reads them."""
    plain = {**numbers(None), "force_N_mm": 300.0}
    still = hold(load="", members=("A",), numbers=lambda _: plain)
    (row,) = evaluate._row(still, seen())
    assert row.case == "any" and row.demand == 300.0
    assert not list(evaluate._row(hold(numbers=lambda _: None), seen()))
    step = Step("f", "F", {"F": (np.array((1.0,)), "N")}, "x")
    told = hold(steps=lambda _: (step,), tag="memory")
    (row,) = evaluate._row(told, seen())
    assert len(row.steps) == 1 and row.tag == "memory"
    (row,) = evaluate._row(told, seen(explains=False))
    assert row.steps == ()


@pytest.mark.parametrize("fault", [ZeroDivisionError, KeyError, TypeError, ValueError, IndexError])
def test_a_slip_in_a_hold_names_it(monkeypatch: pytest.MonkeyPatch, fault: type[Exception]) -> None:
    def numbers_fail(_: Any) -> Any:
        raise fault("here")

    monkeypatch.setattr(evaluate, "seen_by", lambda work, own: seen())
    with pytest.raises(SlipError, match="weld of TB4"):
        evaluate.worked(hold(numbers=numbers_fail), None)  # type: ignore[arg-type]


def test_an_ear_waits_for_the_place_of_its_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """One a member, at all three of its coordinates."""
    asked: list[Any] = []
    monkeypatch.setattr(evaluate.pivots, "ear_rows", lambda ear, view: iter([asked.append(ear)]))
    own = hold(kind=HoldKind.EAR, members=("A", "B"), at="p", share=2, edges=("e",))
    for has in (("p.x", "p.y"), ("p.y", "p.z"), ()):
        assert not list(evaluate._ear(own, seen(*has))) and not asked
    list(evaluate._ear(own, seen("p.x", "p.y", "p.z")))
    assert [ear.code for ear in asked] == ["A", "B"]
    assert {(ear.share, ear.load, ear.edges) for ear in asked} == {(2, "x", ("e",))}


def test_a_range_is_left_for_every_day() -> None:
    """Its stress in each state, nothing where its numbers wait; its own clause or that of tubes."""
    view = seen()
    stress = np.array(((1.0, 2.0), (3.0, 4.0)))
    made = hold(kind=HoldKind.RANGE, members=("T",), numbers=lambda _: {"stress_MPa": stress})
    assert not list(evaluate._range(made._replace(clause=None), view))
    assert not list(evaluate._range(made._replace(numbers=lambda _: None), view))
    first, second = view.work.ranged
    cases: Any = SimpleNamespace(cases=2)
    assert first.stress(cases) is not None and (first.stress(cases) == stress).all()
    assert second.stress(cases).tolist() == [[0.0], [0.0]]
    assert first.clause is life.life_tube and second.clause is welds.weld_line
    assert first.part == "T" and first.says == "weld of TB4.L"


def test_holds_that_gave_a_row_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Those asked for; then fillets past their limits."""
    holds = [hold(id=f"{name}.L") for name in "abc"]
    given = {"a.L": ("row a",), "b.L": (), "c.L": ("row c", "row d")}
    monkeypatch.setattr(evaluate, "worked", lambda own, work: given[own.id])
    monkeypatch.setattr(evaluate, "past_limits", lambda work, own: iter((f"fillets of {own}",)))
    truck = SimpleNamespace(assembly=SimpleNamespace(holds=holds))
    work: Any = SimpleNamespace(truck=truck, worked=set())
    assert list(evaluate.rows(work)) == ["row a", "row c", "row d", "fillets of None"]
    assert work.worked == {"a.L", "c.L"}
    work.worked.clear()
    only = evaluate.rows(work, lambda own: own.id != "c.L", ("P",))
    assert list(only) == ["row a", "fillets of ('P',)"] and work.worked == {"a.L"}
