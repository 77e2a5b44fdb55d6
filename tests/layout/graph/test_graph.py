"""The graph of quantities: forward, backward, waiting, giving way, conflicts, slopes,
plus-minus.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from soapstone.layout.graph import Graph, solve_graph
from soapstone.layout.graph.roots import scalar, several
from soapstone.layout.quantities import Derived, Key, QuantityRole, Reading, Relation


def k(name: str, side: str = "C") -> Key:
    return Key(name, side)


def rel(out: str, ins: str, f, sided: bool = False, unit: str = "length") -> Relation:
    return Relation(out, tuple(ins.split()), f, f"{out} of {ins}", "test", unit, sided, out)


def read(role: QuantityRole = "measured", half: float = 1.0, **values: float) -> dict[Key, Reading]:
    return {k(n): Reading(k(n), (str(v),), v, half, role=role) for n, v in values.items()}


SUM = rel("s", "a b", lambda a, b: a + b)
PRODUCT = rel("p", "s c", lambda s, c: s * c)


def test_forward_and_its_leaves() -> None:
    g = solve_graph([PRODUCT, SUM], read(a=1, b=2, c=4))
    assert (
        g.value(k("p")) == 12
        and g.role(k("p")) == "solved"
        and g.rests_on(k("p")) == {k("a"), k("b"), k("c")}
    )
    assert g.role(k("a")) == "measured" and g.rests_on(k("a")) == {k("a")}
    assert [s[0].out for s in g.steps(k("p"))] == ["s", "p"] and g.steps(k("p"))[1][1] == {
        k("s"): 3.0,
        k("c"): 4.0,
    }


def test_any_name_may_be_the_unknown() -> None:
    g = solve_graph([SUM, PRODUCT], read(a=1, c=4), read(p=12))
    assert (
        g.value(k("b")) == pytest.approx(2, abs=1e-12)
        and g.role(k("b")) == "solved"
        and g.role(k("p")) == "measured"
    )
    assert g.rests_on(k("b")) == {k("a"), k("c"), k("p")}
    assert k("b") in g.every_key()


def test_waiting_says_for_what() -> None:
    g = solve_graph([SUM, PRODUCT, rel("q", "c", lambda c: 2 * c)], read(c=4))
    assert g.role(k("p")) == g.role(k("a")) == "waiting" and g.rests_on(k("p")) == {k("a"), k("b")}
    assert g.value(k("q")) == 8
    with pytest.raises(KeyError):
        g.value(k("p"))
    both = solve_graph([SUM, PRODUCT], read(c=4), read(p=12))
    assert (
        both.value(k("s")) == pytest.approx(3)
        and both.role(k("a")) == "waiting"
        and len(both.rests_on(k("a"))) == 1
    )


def test_sides() -> None:
    relations = [
        rel("o", "i m", lambda i, m: i + m, sided=True),
        rel("w", "o@L o@R", lambda a, b: a + b),
        rel("x@L", "o@L", lambda o: -o),
    ]
    readings = {**read(m=10), k("i", "L"): Reading(k("i", "L"), (), 1.0, 0.1)}
    g = solve_graph(relations, readings)
    assert (
        g.value(k("o", "L")) == 11
        and g.role(k("o", "R")) == "waiting"
        and g.rests_on(k("w")) == {k("i", "R")}
    )
    assert g.value(k("x", "L")) == -11 and str(k("x", "L")) == "x.left"
    back = solve_graph(relations, readings, read(w=30))
    assert back.value(k("i", "R")) == pytest.approx(9)


def test_choices_give_way_in_their_order() -> None:
    readings = {**read("choice", 0.0, a=1, b=2), **read(c=4)}
    first = solve_graph([SUM, PRODUCT], readings, read(p=16), yields={"a": 2, "b": 1})
    assert (
        first.gave_way() == {k("b"): (2, pytest.approx(3))}
        and first.role(k("b")) == "solved"
        and first.value(k("a")) == 1
    )
    other = solve_graph([SUM, PRODUCT], readings, read(p=16), yields={"a": 1, "b": 2})
    assert set(other.gave_way()) == {k("a")}
    limited = solve_graph(
        [SUM, PRODUCT], readings, read(p=16), yields={"a": 2, "b": 1}, limits={"b": (0, 2.5)}
    )
    assert set(limited.gave_way()) == {k("a")}, "a choice stays within its field's limits"
    assert (
        solve_graph([SUM, PRODUCT], readings, read(p=12), yields={"a": 2, "b": 1}).gave_way() == {}
    )
    two = solve_graph(
        [SUM, PRODUCT, rel("d", "a b", lambda a, b: a - b)],
        readings,
        read(p=16, d=2),
        yields={"a": 2, "b": 1},
    )
    assert (two.value(k("a")), two.value(k("b"))) == pytest.approx((3, 1)) and set(
        two.gave_way()
    ) == {k("a"), k("b")}


def test_a_choice_that_hardly_acts_does_not_give_way() -> None:
    weak = rel("s", "a b", lambda a, b: 0.01 * a + b)
    g = solve_graph([weak], read("choice", 0.0, a=1, b=2), read(s=3), yields={"a": 1, "b": 2})
    assert set(g.gave_way()) == {k("b")}


def test_measured_against_measured() -> None:
    readings = {**read(half=0.5, a=1), **read(half=0.1, b=2), **read(half=0.0, c=4)}
    g = solve_graph([SUM, PRODUCT], readings, read(half=1.0, p=20))
    (c,) = g.conflicts()
    assert c.miss == pytest.approx(-8) and g.role(k("p")) == "conflict" and g.value(k("p")) == 20
    assert [x for x, _ in c.cures] == [
        k("a"),
        k("p"),
        k("b"),
    ], "least change first, in units of each u: 2/0.5, 8/1, 2/0.1"
    assert dict(c.cures)[k("a")] == pytest.approx(2) and dict(c.cures)[k("p")] == pytest.approx(-8)
    assert g.gave_way() == {}


def test_a_closure_within_its_plus_minus_is_no_conflict() -> None:
    g = solve_graph([SUM, rel("s", "t", lambda t: t)], read(half=0.1, a=1, b=2, t=3.1))
    assert g.conflicts() == () and g.value(k("s")) == 3
    g = solve_graph([SUM, rel("s", "t", lambda t: t)], read(half=0.1, a=1, b=2, t=3.5))
    assert {x for c in g.conflicts() for x in c.keys} == {k("a"), k("b"), k("t")}


def test_rank_of_a_block() -> None:
    """Two equations that say the same: structure alone would solve them.

    Nothing is made up: both unknowns wait.
    """
    twice = [rel("u", "x y", lambda x, y: x + y), rel("v", "x y", lambda x, y: 2 * (x + y))]
    g = solve_graph(twice, {}, read(half=0.01, u=3, v=7))
    assert g.role(k("x")) == g.role(k("y")) == "waiting"
    full = [twice[0], rel("v", "x y", lambda x, y: x - y)]
    got = solve_graph(full, {}, read(u=3, v=1))
    assert (got.value(k("x")), got.value(k("y"))) == pytest.approx((2, 1))
    flat = solve_graph([rel("u", "x", lambda x: 0 * x + 3)], {}, read(u=3))
    assert flat.role(k("x")) == "waiting" and flat.role(k("u")) == "measured"


def test_loops_of_relations_are_solved_together() -> None:
    g = solve_graph([rel("x", "y", math.cos), rel("y", "x", lambda x: x)], {})
    assert g.value(k("x")) == pytest.approx(0.7390851332151607, abs=1e-10), "the root of x = cos x"


def test_blocks_of_two_by_newton() -> None:
    circle = [
        rel("r", "x y", math.hypot),
        rel("q", "x y", lambda x, y: math.atan2(y, x), unit="angle"),
    ]
    g = solve_graph(
        circle, {}, {**read(r=100), **read(q=0.5)}, limits={"x": (1, 500), "y": (1, 500)}
    )
    assert (g.value(k("x")), g.value(k("y"))) == pytest.approx(
        (100 * math.cos(0.5), 100 * math.sin(0.5)), abs=1e-9
    )
    s = g.gradient(k("x"))
    assert s[k("r")] == pytest.approx(math.cos(0.5), rel=1e-6) and s[k("q")] == pytest.approx(
        -100 * math.sin(0.5), rel=1e-6
    )


def test_geometry_without_a_solution_raises_nothing() -> None:
    relations = [
        rel("x", "a", math.sqrt),
        rel("y", "x", lambda x: 1 / x),
        rel("z", "b", lambda b: 1 / b),
    ]
    g = solve_graph(relations, read(a=-1, b=2))
    assert (
        g.role(k("x")) == g.role(k("y")) == "conflict"
        and k("y") not in g.values
        and g.value(k("z")) == 0.5
    )
    (c,) = g.conflicts()
    assert c.keys == {k("a")} and math.isnan(c.miss)
    assert g.half_width(k("y")) == 0.0 and g.gradient(k("y")) == {}
    none = solve_graph([rel("x", "a", lambda a: a * a + 1)], {}, read(x=0.5))
    assert none.role(k("a")) == "waiting" and none.role(k("x")) == "conflict"


def test_plus_minus() -> None:
    """u of a product of independent rectangular readings [NIST/SEMATECH e-Handbook 2.5.4, 2.5.5];
    one reading for two sides errs once.
    """
    g = solve_graph(
        [rel("p", "a b", lambda a, b: a * b)], {**read(half=0.3, a=2), **read(half=0.1, b=5)}
    )
    assert g.half_width(k("p")) == pytest.approx(
        math.sqrt((5 * 0.3) ** 2 + (2 * 0.1) ** 2) / math.sqrt(3)
    )
    assert g.half_width(k("a")) == pytest.approx(0.3 / math.sqrt(3))
    both = {k("y", s): Reading(k("y", s), (), 1.0, 0.3) for s in "LR"}
    wide = rel("w", "y@L y@R", lambda a, b: a + b)
    assert solve_graph([wide], both).half_width(k("w")) == pytest.approx(0.3 * math.sqrt(2 / 3))
    assert solve_graph([wide], both, tied=frozenset({"y"})).half_width(k("w")) == pytest.approx(
        0.6 / math.sqrt(3)
    )


def test_derived_values() -> None:
    g = solve_graph([SUM], read(a=1, b=2))
    more: Graph = g.extend([Derived(k("size"), 5.0, frozenset({k("s")}), "next size up", "test")])
    assert (
        more.value(k("size")) == 5
        and more.rests_on(k("size")) == {k("a"), k("b")}
        and more.role(k("size")) == "solved"
    )
    assert (
        more.gradient(k("size")) == {}
        and more.steps(k("size"))[-1][1] == {k("s"): 3.0}
        and k("size") not in g.values
    )


def test_roots() -> None:
    assert scalar(lambda x: x**3 - 8, 1.0, 1.0, 1.0, -10, 10).values[0] == pytest.approx(
        2, abs=1e-12
    )
    assert scalar(lambda x: x * x - 4, -1.0, 1.0, 1.0, -10, 10).values[0] == pytest.approx(
        -2, abs=1e-9
    ), "the root nearest the start"
    assert scalar(lambda x: x * x + 1, 0.5, 1.0, 1.0, -10, 10).fault == "no root"
    assert scalar(lambda x: math.nan, 0.5, 1.0, 1.0, -10, 10).fault
    assert (
        several(
            lambda x: [x[0] + x[1] - 3, 2 * x[0] + 2 * x[1] - 6],
            (0, 0),
            (1, 1),
            (1, 1),
            ((-9, 9), (-9, 9)),
        ).fault
        == "rank"
    )


@given(st.floats(-50, 50), st.floats(0.2, 20), st.floats(-3, 3))
def test_forward_of_inverse(a: float, b: float, c: float) -> None:
    """A chain with a nonlinear middle: what forward gives, given back, gives the start."""
    chain = [
        rel("x", "a b", lambda a, b: a * b),
        rel("y", "x c", lambda x, c: x + math.sin(c)),
        rel("z", "y b", lambda y, b: y / b + b),
    ]
    there = solve_graph(chain, read(a=a, b=b, c=c))
    back = solve_graph(chain, read(b=b, c=c), read(z=there.value(k("z"))))
    assert back.value(k("a")) == pytest.approx(a, abs=1e-6)
