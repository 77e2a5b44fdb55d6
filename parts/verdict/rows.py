"""What a row of sizes or loads says of its part, and how it passes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..design.sizing import AS_DRAWN
from ..model.verdict import Verdict
from ..strength.would_pass import passing
from ..words.numbers import worded

if TYPE_CHECKING:
    from ..design.sizing import Check
    from ..strength.result import Strength


def row_words(check: Check) -> str:
    """What a row of sizes or loads says of its part: what was looked at, the share used, the case
    that governs, and why a row within its limit still wants a look.
    """
    used = (
        "nothing is allowed"
        if check.capacity <= 0
        else f"{check.utilisation:.2f} of what is allowed"
    )
    loaded = check.case not in ("", AS_DRAWN) and check.capacity > 0
    case = f" in {check.case}" if loaded else ""
    if check.verdict is Verdict.CONFIRM:
        why = "on a value whose source is unverified" if check.must else "which is advice only"
        return f"{worded(check.what)}: {used}{case}, {why}"
    return f"{worded(check.what)}: {used}{case}"


def way_words(check: Check, strength: Strength, last: bool) -> str:
    """How a failing row passes; what was looked for in stock for all of its part, behind the last
    of its rows.
    """
    way = strength.ways.get(check.part)
    if way is None:
        return f". {_way_out(check, strength)}"
    return f". {way}" if last else ""


def _way_out(check: Check, strength: Strength) -> str:
    """With what a failing row passes, where no size was looked for."""
    found = passing(check, walls=strength.walls, legs=strength.legs)
    return f"It passes {found}" if found else "A larger size or another place is needed"
