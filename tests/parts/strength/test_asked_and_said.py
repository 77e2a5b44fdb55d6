"""What rows were asked for, held and made larger by, said again with stand-ins for the truck."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.layout.units import IN
from soapstone.parts.design.sizing import AS_DRAWN, Check
from soapstone.parts.model.hold import Hold, HoldKind, NotHeld, Whose
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop
from soapstone.parts.strength import (
    enlarged,
)
from soapstone.parts.strength.asked import Asked, KeptRows
from soapstone.parts.strength.coverage import coverage

RNG = np.random.default_rng(2)
SHOP = default_shop()
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def test_sizes_that_were_made_larger() -> None:
    """As typed in the job; each size once, by what it came to."""
    tube = enlarged.SizeChange("arms", "tube", "2 x 0.25", "stock")
    leg = enlarged.SizeChange("arms", "leg", 0.3125 * IN, "mm")
    count = enlarged.SizeChange("arms", "bolts", 4.0, "count")
    assert [own.pin for own in (tube, leg, count)] == [
        '[pin.arms] tube = "2 x 0.25"',
        '[pin.arms] leg = "5/16 in"',
        "[pin.arms] bolts = 4",
    ]
    worst = Check("AR1.L", "tube bent", "c", 1.5, 1.0, "N", case="bump (often)")
    first = enlarged.enlarged((tube, leg), "AR1.L", worst)
    assert first.why == "tube bent, 1.50 of what is allowed in bump (often) before"
    assert enlarged.enlarged((leg,), "x", worst._replace(case=AS_DRAWN)).why.endswith(
        "allowed before"
    )
    assert first.sets("arms", "leg") and not first.sets("arms", "bolts")
    assert not first.sets("other", "leg")
    later = enlarged.Enlarged((leg._replace(value=9.525),), "AR2.L", "z")
    assert enlarged.in_the_end((first, later)) == (first._replace(changes=(tube,)), later)
    assert enlarged.in_the_end((later, later._replace(part="AR3.L")))[0].part == "AR3.L"
    assert len(enlarged.in_the_end((later, later))) == 1


def test_what_is_held_and_what_is_not() -> None:
    """By a row under load, a weld of one, or a hold that gave one; a row as drawn holds nothing."""
    rows = [Check(p, "w", "c", 1.0, 2.0, "N", case=c) for p, c in (("A", "bump"), ("B", AS_DRAWN))]
    rows.append(Check("C", "w", "c", 1.0, 2.0, "N"))
    hold = Hold("h", HoldKind.ROW, "x", "coil", members=("D",), bolts=("E",), welds=("F",))
    idle = Hold("i", HoldKind.ROW, "x", "coil", members=("G",))
    aside = NotHeld(("H",), "nobody looks", Whose.NOT_WORKED)
    made = SimpleNamespace(holds=(hold, idle), not_held=(aside,))
    strength: Any = SimpleNamespace(checks=rows, welded=[("A", "weld", ("W1", "W2"))], worked={"h"})
    own = coverage(SimpleNamespace(assembly=made), strength)  # type: ignore[arg-type]
    assert own.held == {"A", "W1", "W2", "D", "E", "F"} and set(own.aside) == {"H"}
    assert own.unlooked("A", "why") == "" and own.unlooked("G", "why") == "why"
    assert own.unlooked("H", "why") == "no load case is worked for it: nobody looks"


def test_rows_are_kept_while_all_they_asked_for_is_the_same() -> None:
    """Another object of that name, or one more in a list, is worked again; what was not asked for
    may change; what is raised is not kept.
    """
    asked, kept, worked = Asked(), KeptRows(), []
    first, second, lists = object(), object(), (object(), object())
    table = {"a": first, "b": second, "list": lists}

    def make() -> int:
        seen = asked.table("things", table)
        _ = seen["a"], seen["list"], seen.get("nothing")
        worked.append(len(worked))
        return worked[-1]

    of = (first,)
    asked.table("things", table)
    assert not kept.has(of, asked)
    assert kept.get(of, asked, make) == kept.get(of, asked, make) == 0
    table["b"] = object()
    table["list"] = tuple(list(lists))
    assert kept.has(of, asked) and kept.get(of, asked, make) == 0
    table["list"] = (*lists, object())
    assert not kept.has(of, asked) and kept.get(of, asked, make) == 1
    table["list"] = (lists[0], object())
    assert kept.get(of, asked, make) == 2
    table["nothing"] = object()
    assert kept.get(of, asked, make) == 3
    assert kept.get((second,), asked, make) == 4 and asked.found == {}
    seen = asked.table("things", table)
    assert set(seen) == set(table) and len(seen) == len(table)
    with pytest.raises(KeyError):
        _ = seen["not there"]
    assert asked.found == {("things", "not there"): None}
