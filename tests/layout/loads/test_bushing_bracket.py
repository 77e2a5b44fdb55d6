"""Bushing rates nobody read: the loads over a third to three times of the usual ones, as travel has
them; those that were read stay as they were read.

Source of the bracket: judgment, no source (``layout.travel.TYPICAL``); held here against the same
rates typed in.
"""

from __future__ import annotations

import numpy as np
import pytest
from soapstone.layout.loads.bushings import CORNERS, rate_sets
from soapstone.layout.loads.cases import CASES, both_hands
from soapstone.layout.loads.forces import forces
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import BRACKET, TYPICAL
from soapstone.layout.travel.linkage import Bush
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from trucks import job, truck, without

RATES = tuple(f"arms.{base}_bush_{name}" for base in ("lower", "upper") for name in Bush._fields)
TWIST = both_hands(tuple(case for case in CASES if case.name in ("static", "twist")))


def test_read_rates_make_one_set() -> None:
    values = solve(job()).values
    assert [found.says for found in rate_sets(values)] == [""]
    assert {f.bushings for f in forces(values, TWIST)} == {""}


def test_unread_rates_are_those_typed_in_a_third_to_three_times() -> None:
    values = solve(without(job(), *RATES)).values
    rows = forces(values, TWIST)
    assert [f.bushings for f in rows[:: len(TWIST)]] == ["", *CORNERS]
    for says, (low, up, turn) in zip(CORNERS, BRACKET, strict=True):
        typed = {
            Key(f"arms.{base}_bush_{name}", "C"): rate
            * times
            * (turn if name in ("torsion", "cone") else 1.0)
            for base, usual, times in zip(("lower", "upper"), TYPICAL, (low, up), strict=True)
            for name, rate in usual._asdict().items()
        }
        mine = [f for f in rows if f.bushings == says]
        for one, other in zip(mine, forces({**values, **typed}, TWIST), strict=True):
            assert one.upper == pytest.approx(other.upper)
            assert one.flips == pytest.approx(other.flips)


def test_a_rate_that_was_read_stays() -> None:
    values = solve(without(job(), *RATES[:3], *RATES[4:])).values
    cone = values[Key(RATES[3], "C")]
    sets = rate_sets(values)
    assert len(sets) == 1 + len(CORNERS)
    assert all(found.rates[:2, 3] == pytest.approx(cone) for found in sets)
    assert len({round(float(found.rates[0, 0])) for found in sets}) == 3


def test_the_worst_over_the_bracket_is_kept_and_named() -> None:
    made, _ = truck()
    solved = solve(without(job(), *RATES))
    shop = default_shop()
    wide = {(c.part, c.what): c for c in strength(made, solved, shop).checks}
    usual = {
        Key(f"arms.{base}_bush_{name}", "C"): rate
        for base, bush in zip(("lower", "upper"), TYPICAL, strict=True)
        for name, rate in bush._asdict().items()
    }
    read = job()
    known = {k: r._replace(value=usual.get(k, r.value)) for k, r in read.readings.items()}
    one = {
        (c.part, c.what): c
        for c in strength(made, solve(read._replace(readings=known)), shop).checks
    }
    assert set(one) <= set(wide)
    assert all(wide[k].utilisation >= one[k].utilisation - 1e-9 for k in one)
    arm = next(c for (part, _), c in wide.items() if part == "AR1.L" and "bent at" in c.what)
    assert "hard bushings" in arm.case
    assert not any("bushings" in c.case for c in one.values())


def test_everyday_ranges_are_of_one_truck() -> None:
    """Static load does not hang on the rates; a range from one set to another would be no range."""
    made, _ = truck()
    rows = strength(made, solve(without(job(), *RATES)), default_shop()).checks
    everyday = [c for c in rows if c.case.startswith("everyday")]
    assert everyday
    assert all(c.case.count("bushings") <= 1 for c in everyday)
    assert np.isfinite([c.demand for c in everyday]).all()
