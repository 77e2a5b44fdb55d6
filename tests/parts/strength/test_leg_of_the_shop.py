"""A weld that would pass with a longer leg is told the next leg of the shop's own list."""

from __future__ import annotations

import pytest
from papers import made
from soapstone.parts.rules.welds import INCH_LEGS
from soapstone.parts.strength.would_pass import passing


def test_the_next_leg_of_the_list_is_said_and_not_what_the_clause_gives() -> None:
    rows = [row for row in made().strength.checks if dict(row.given).get("leg_mm", 0.0) > 0]
    told = 0
    for row in rows:
        less = 0.9 * row.utilisation
        free, said = (passing(row, less, (), legs) for legs in ((), INCH_LEGS))
        if "a weld leg of" not in free:
            continue
        asked = float(free.partition("a weld leg of ")[2].partition(" in,")[0])
        if asked > max(INCH_LEGS) / 25.4 + 1e-3:
            assert "a weld leg of" not in said, "the shop welds none so long"
            continue
        told += 1
        leg = said.partition("a weld leg of ")[2].partition(" in,")[0]
        assert leg in {"1/8", "3/16", "1/4", "5/16", "3/8", "1/2"}, said
        over, _, under = leg.partition("/")
        assert int(over) / int(under) >= asked - 1e-3
        assert int(over) / int(under) == pytest.approx(
            min(each / 25.4 for each in INCH_LEGS if each / 25.4 >= asked - 1e-3)
        )
    assert told
