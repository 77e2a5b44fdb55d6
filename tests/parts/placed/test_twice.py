"""Two ways to one angle: that they are two, that they agree, and what is said where they do not."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from designs import designed_of, looked_at
from soapstone.layout.quantities import Key
from soapstone.parts.placed.twice import AGREE, PAIRS, twice
from trucks import NAMES, job


@pytest.mark.parametrize("name", NAMES)
def test_layout_and_travel_agree_and_a_slip_in_either_is_told(name: str) -> None:
    found = designed_of(job(name))
    cycle = looked_at(found).cycle
    pairs = twice(cycle, found.solved)
    assert [(pair.what, pair.place) for pair in pairs] == [(row[0], row[3]) for row in PAIRS]
    assert all(pair.agrees and "NOT AGREE" not in str(pair) for pair in pairs)
    for number, (_, result, _, _) in enumerate(PAIRS):
        key = Key(result, "C")
        off = {**found.solved.values, key: found.solved.values[key] + 2 * AGREE}
        told = twice(cycle, SimpleNamespace(values=off))
        assert [pair.agrees for pair in told] == [at != number for at in range(len(PAIRS))]
        assert "THEY DO NOT AGREE" in str(told[number])
