"""Sizing is exact: the winner is the one an independent brute force finds, minimal conflicts of
pins are minimal by definition, the way out is the shortest.

Source: definitions (minimal unsatisfiable subset; least hitting set). The brute force shares no
code with the sizing: one design at a time, scalars.
"""

from __future__ import annotations

import itertools
import math
import random
from typing import Any

import pytest
from soapstone.layout.setout import solve
from soapstone.parts.design import pin_conflicts, sizing
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.rules import bolts
from soapstone.parts.truck.truck import design
from soapstone.parts.words.numbers import plain
from trucks import job


@pytest.fixture(scope="module")
def sites() -> dict[str, tuple[Any, Any, str]]:
    """Family and site of every left or center part of the demo as sizing sees them."""
    seen: dict[str, tuple[Any, Any, str]] = {}
    real = sizing.size

    def spy(family: Any, site: Any, part: str, pins: Any = None) -> Any:
        if not part.endswith(".R") or family.where == "one side":
            seen.setdefault(family.code, (family, site, part))
        return real(family, site, part, pins)

    sizing.size = spy
    try:
        j = job()
        design(solve(j), j.words, j.pins, j.chassis)
    finally:
        sizing.size = real
    return seen


def numbers(family: Any, site: Any, combo: tuple[Any, ...]) -> dict[str, Any]:
    """Numbers behind one design, read from the stock by hand."""
    from soapstone.parts import stock

    d: dict[str, Any] = {}
    for var, v in zip(family.variables, combo, strict=True):
        d[var.name] = v
        if var.unit == "plate":
            p = site.shop.plate(v)
            s = stock.steel(p.steel)
            d |= {
                f"{var.name}.t": min(p.thickness, p.measured),
                f"{var.name}.fy": s.fy,
                f"{var.name}.fu": s.fu,
            }
        elif var.unit == "tube":
            t = site.shop.tube(v)
            d |= {
                f"{var.name}.od": t.od,
                f"{var.name}.wall": t.wall,
                f"{var.name}.fy": stock.steel(t.steel).fy,
            }
        elif var.unit == "bolt":
            b = stock.bolt(v)
            d |= {f"{var.name}.d": b.d, f"{var.name}.hole": b.hole_close, f"{var.name}.as": b.area}
    return d


def fits(family: Any, site: Any, d: dict[str, Any]) -> bool:
    for rule in family.rules:
        if getattr(rule.clause, "must", True):
            demand, capacity = rule.clause(**rule.args(d, site))
            if float(demand) > float(capacity) * (1 + 1e-9) + 1e-6:
                return False
    return True


CODES = [
    "AR",
    "UA",
    "AP",
    "CS",
    "XS",
    "XT",
    "XP",
    "LT",
    "LS",
    "TA",
    "TB",
    "AB",
    "CM",
    "XJ",
    "WW",
    "FP",
    "BP",
    "ST",
    "GU",
]


@pytest.mark.parametrize("code", CODES)
def test_the_winner_is_the_brute_forces(code: str, sites: dict[str, Any]) -> None:
    family, site, part = sites[code]
    best, where = float("inf"), None
    for combo in itertools.product(*(tuple(v.values(site.shop)) for v in family.variables)):
        d = numbers(family, site, combo)
        if fits(family, site, d):
            cost = float(family.mass(d, site)) + 1e3 * sum(
                v.preferred is not None and d[v.name] != v.preferred for v in family.variables
            )
            if cost < best - 1e-12:
                best, where = cost, d
    got = sizing.size(family, site, part)
    assert where is not None and not got.broken
    mine = float(
        family.mass(
            numbers(family, site, tuple(got.chosen[v.name] for v in family.variables)), site
        )
    )
    away = 1e3 * sum(
        v.preferred is not None and got.chosen[v.name] != v.preferred for v in family.variables
    )
    assert mine + away == pytest.approx(best, rel=1e-9)


def feasible(family: Any, site: Any, pins: dict[str, Any]) -> bool:
    values = [
        (pins[v.name],) if v.name in pins else tuple(v.values(site.shop)) for v in family.variables
    ]
    return any(fits(family, site, numbers(family, site, c)) for c in itertools.product(*values))


@pytest.mark.parametrize("code", ["XS", "CM", "CS"])
def test_conflicts_of_pins_by_definition(code: str, sites: dict[str, Any]) -> None:
    """Every set infeasible, every proper subset feasible; nothing smaller than the way out helps;
    none missed among the shortest.
    """
    family, site, _ = sites[code]
    rng = random.Random(4)
    fought = 0
    for _ in range(25):
        pins = {
            v.name: rng.choice(list(v.values(site.shop)))
            for v in family.variables
            if rng.random() < 0.8
        }
        found = pin_conflicts.fight(family, site, pins, 99)
        assert (found is None) == feasible(family, site, pins)
        if found is None:
            continue
        fought += 1
        for s, rule in found.sets:
            assert rule and not feasible(family, site, {n: pins[n] for n in s})
            assert all(feasible(family, site, {n: pins[n] for n in s if n != gone}) for gone in s)
        for size in range(1, len(found.release)):
            for fewer in itertools.combinations(pins, size):
                assert not feasible(family, site, {n: v for n, v in pins.items() if n not in fewer})
        if found.release:
            rest = {n: v for n, v in pins.items() if n not in found.release}
            assert feasible(family, site, rest) and all(found.then[n] == v for n, v in rest.items())
    assert fought or code == "CM"


def test_the_words_of_a_fight_name_pins_rule_and_way_out() -> None:
    j = job()
    t = design(solve(j), j.words, {**j.pins, "coil_seat": {"plate": "11 ga A36"}}, j.chassis)
    said = t.failed["coil-seat plate CS.L"]
    assert (
        "plate = 11 ga A36 cannot be: the cell closed again" in said
        and "Shortest way out: let go of plate; plate becomes 3/16 A36" in said
    )


def test_numbers_put_into_a_clause_as_a_person_reads_them() -> None:
    said = [plain(x) for x in (12.3456, 6.35, 5.0, -0.0001, 999.6, 1000.4, 1100.4, -12345.6)]
    assert said == ["12.346", "6.35", "5", "0", "999.6", "1000", "1100", "-12346"]
    given = {"force_N": 5000.0, "t_mm": 6.35, "moment_Nmm": 2.5, "turn_rad": 0.5, "area_mm2": 7.0}
    assert sizing.put_in({**given, "line_N_mm": 3.0, "fy_MPa": 250.0, "planes": 2}) == (
        "force 5000 N, t 6.35 mm, moment 2.5 N mm, turn 0.5 rad, area 7 mm2, line 3 N/mm,"
        " fy 250 MPa, planes 2"
    )


def test_a_check_is_as_sure_as_its_clause_unless_said() -> None:
    """2 2/3 d of a 16 mm bolt (AISC 360 J3.3): 42.7 mm."""
    given = {"d_mm": 16.0, "spacing_mm": 50.0}
    own = sizing.Check.of(bolts.spacing, given, part="p", what="w", case="c")
    assert (own.demand, own.capacity, own.unit) == (pytest.approx(42.667, abs=1e-3), 50.0, "mm")
    assert own.must and own.tag == bolts.spacing.tag == "read" and own.case == "c"
    said = sizing.Check.of(bolts.spacing, given, part="p", what="w", must=False, tag="memory")
    assert not said.must and said.tag == "memory"


def test_a_verdict_by_what_is_used() -> None:
    """Over what there is fails, or is to be confirmed where it is only advised; more than 0.8 used
    on a value from memory too.
    """
    row = sizing.Check("p", "what", "clause", 80.0, 100.0, "N")
    for demand, must, tag, want in (
        (100.0, True, "", Verdict.OK),
        (100.01, True, "", Verdict.FAILS),
        (100.01, False, "", Verdict.CONFIRM),
        (79.0, True, "memory", Verdict.OK),
        (81.0, True, "memory", Verdict.CONFIRM),
        (81.0, False, "memory", Verdict.OK),
        (81.0, True, "read", Verdict.OK),
        (math.nan, True, "read", Verdict.FAILS),
        (math.nan, False, "read", Verdict.CONFIRM),
    ):
        assert row._replace(demand=demand, must=must, tag=tag).verdict is want
    assert row.utilisation == 0.8
    assert row._replace(demand=0.3, capacity=0.5).utilisation == pytest.approx(0.6)
    assert row._replace(capacity=0.0).utilisation == sizing.NO_CAPACITY
    assert row._replace(capacity=0.0, demand=0.0).utilisation == 0.0


def test_sizing_a_part_takes_no_time(sites: dict[str, Any]) -> None:
    import time

    for family, site, part in sites.values():
        start = time.perf_counter()
        sizing.size(family, site, part)
        assert time.perf_counter() - start < 2.0, family.code


@pytest.mark.parametrize("code", ["CS", "LS", "BP", "LT", "AP"])
def test_no_thickness_between_the_stocked_ones_is_lighter_by_more_than_a_step(
    code: str, sites: dict[str, Any]
) -> None:
    """A continuous solver (scipy's SLSQP) on the plate's thickness: its least mass is at most the
    winner's, and the next thinner stock lies below its thickness or breaks a rule.
    """
    from scipy.optimize import minimize

    family, site, part = sites[code]
    got = sizing.size(family, site, part)
    base = numbers(family, site, tuple(got.chosen[v.name] for v in family.variables))
    rules = [r for r in family.rules if getattr(r.clause, "must", True)]

    def spare(x: Any) -> Any:
        d = {**base, "plate.t": float(x[0])}
        rows = [r.clause(**r.args(d, site)) for r in rules]
        return [
            (float(c) - float(q)) / max(abs(float(c)), abs(float(q)), 1.0) + 1e-9 for q, c in rows
        ]

    least, most = 1.0, 30.0
    start = base["plate.t"]
    best = minimize(
        lambda x: float(family.mass({**base, "plate.t": float(x[0])}, site)),
        [start],
        bounds=[(least, most)],
        constraints=[{"type": "ineq", "fun": spare}],
        method="SLSQP",
    )
    assert best.fun <= float(family.mass(base, site)) * (1 + 1e-9)
    plates = [
        (min(p.thickness, p.measured), p.key)
        for p in site.shop.plates
        if p.key in tuple(next(v for v in family.variables if v.name == "plate").values(site.shop))
    ]
    thinner = [k for t, k in plates if t < start - 1e-6]
    for k in thinner:
        d = numbers(
            family,
            site,
            tuple(k if v.name == "plate" else got.chosen[v.name] for v in family.variables),
        )
        away = sum(
            v.preferred is not None and got.chosen[v.name] != v.preferred for v in family.variables
        )
        assert not fits(family, site, d) or away, k
