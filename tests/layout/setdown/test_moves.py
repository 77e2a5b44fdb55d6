"""Which moves are advised, and which readings are asked for again where nobody knows which is
wrong.
"""

from __future__ import annotations

import pytest
from soapstone.layout.setdown import BY, Round, SetdownAdvice, SetdownTruck, advise, read, truck_of
from soapstone.layout.setdown.advice import AIMS, LEFT
from soapstone.layout.setdown.moves import Move, Moved, MoveEffects
from soapstone.layout.setout import solve
from soapstone.layout.units import DEG, IN
from trucks import job


@pytest.fixture(scope="module")
def t() -> SetdownTruck:
    return truck_of(solve(job()))


def off(t: SetdownTruck, **by: float) -> Round:
    """Everything as it should be but some readings, a name's dot written as two underscores."""
    wrong = {name.replace("__", "."): x for name, x in by.items()}
    return Round({n: x + wrong.get(n, 0.0) for n, x in t.targets.items()}, {})


def word(a: SetdownAdvice, name: str) -> str:
    return next(r.word for r in a.judged if r.name == name)


def test_the_fewest_moves_win_then_the_smallest() -> None:
    """Two readings 8 off, limit 1: two moves cure one each exactly, a third cures both at once and
    leaves 1/2 each; a fourth does the same with twice the effort. By hand.
    """
    steps = {"left": 1.0, "right": 1.0, "both": 1.0, "far": 2.0}
    can = [Move(n, step, n, "in", 100.0, 20.0) for n, step in steps.items()]
    effect = {
        "left": {"a": 1.0, "b": 0.0},
        "right": {"a": 0.0, "b": 1.0},
        "both": {"a": 1.0, "b": 0.9},
        "far": {"a": 0.5, "b": 0.45},
    }
    errors = {"a": 8.0, "b": 8.0}
    one = dict.fromkeys(errors, 1.0)
    cure = MoveEffects(can, effect, errors, dict.fromkeys(errors, 0.1), one)

    def within(moved: Moved) -> bool:
        left = {n: e + sum(effect[m.name][n] * x for m, x in moved) for n, e in errors.items()}
        return all(abs(x) <= 1.0 for x in left.values())

    said = cure.fewest(within, 3)
    assert said is not None
    assert [(m.name, x) for m, x in said] == [("both", -8.0)]
    assert cure.fewest(lambda moved: False, 3) is None


def test_one_height_out_alone_is_cured_by_few_moves_within_limits(t: SetdownTruck) -> None:
    """Half an inch at the left, nothing else read: at most two moves, and what was read is left
    within its limit.
    """
    for by in (-IN / 2, IN / 2):
        a = advise(t, [Round({"height.left": t.targets["height.left"] + by}, {})])
        assert 1 <= len(a.steps) <= 2
        assert all(abs(a.after[n]) <= BY[n].limit for n in AIMS)


def test_no_fewer_moves_would_do(t: SetdownTruck) -> None:
    """With everything else read as it should be, no single move in any of its steps brings all
    within the limit moves are made to, by the model itself and not by its slopes.
    """
    first = off(t, height__left=IN / 2)
    a = advise(t, [first])
    assert len(a.steps) == 3
    now = read(t, [(a.found, {})])
    for move in {s.move for s in a.steps}:
        steps = [k * move.step for k in range(-16, 17)]
        got = read(t, [(a.found, {move.name: x}) for x in steps])
        for i in range(len(steps)):
            left = {n: first.readings[n] + got[n][i] - now[n][0] - t.targets[n] for n in AIMS}
            assert any(abs(x) > LEFT * BY[n].limit for n, x in left.items())


def test_casters_that_explain_a_wild_pinion_are_read_again_with_it(t: SetdownTruck) -> None:
    """Caster 3 degrees low on both sides beside a pinion that is right: either the finder was wrong
    at both casters or at the pinion. All three are asked for, nothing is moved.
    """
    a = advise(t, [off(t, caster__left=-3 * DEG, caster__right=-3 * DEG)])
    assert set(a.unexplained) == {"pinion", "caster.left", "caster.right"}
    assert a.steps == () and not a.done
    for r in a.judged:
        if r.name.startswith("caster"):
            assert BY["pinion"].title in r.why


def test_read_again_the_suspects_settle_it(t: SetdownTruck) -> None:
    bad = off(t, caster__left=-3 * DEG, caster__right=-3 * DEG)
    good = {n: x for n, x in t.targets.items() if n.startswith("caster")}
    right = advise(t, [bad, Round({**good, "pinion": t.targets["pinion"]}, {})])
    assert right.unexplained == () and right.done
    only = advise(t, [bad, Round({"pinion": t.targets["pinion"]}, {})])
    assert word(only, "pinion") == "ok" and set(only.unexplained) == {"caster.left", "caster.right"}


def test_one_wild_reading_that_nothing_else_explains_stands_alone(t: SetdownTruck) -> None:
    for name, by in (("pinion", 2 * DEG), ("caster.left", -3 * DEG), ("height.left", 3 * IN)):
        a = advise(t, [off(t, **{name.replace(".", "__"): by})])
        assert a.unexplained == (name,)
