"""What each operation of the traveler works from and what it takes: drawings, their revision, how
many pieces, and hours as the cost sheet works them.
"""

from __future__ import annotations

from collections import defaultdict
from typing import NamedTuple

from ...layout.units import IN
from ..drawing.assembled import Placed
from ..drawing.assembled.groups import numbered
from ..model.numbering import bolt_stage, stage_of, weld_stage
from ..model.terms import Stage
from ..truck import fasteners
from .facts import Facts

SURVEY, CUT, WELD, FINISH = 1, 2, 7, 8
"""Numbers of the stages in which nothing new is fitted, as ``survey.STAGES`` has them."""
FITTED = {"axle": 3, "frame": 4, "crossmember": 5, "arms": 6, "set-down": 6}
"""Number of the stage a part is fitted in."""
HOURS_INCH, HOURS_PART, HOURS_BOLT = 0.05, 0.15, 0.1
"""Of bench time, an inch of weld, a part, a bolt (judgment, no source)."""


class Operation(NamedTuple):
    """Drawings by the end of their numbers, revision, pieces, hours as estimated; empty where there
    is none.
    """

    drawings: str = ""
    revision: str = ""
    pieces: str = ""
    hours: str = ""


def bench(facts: Facts) -> dict[int, float]:
    """Hours by number of the stage they are spent in, one truck's: what is tacked till the set-down
    is welded out after it, what is tightened at ride height comes last, parts are readied as they
    are cut.
    """
    found: dict[int, float] = defaultdict(float)
    assembly = facts.truck.assembly
    for weld in assembly.welds:
        laid = weld_stage(assembly, weld)
        at = WELD if laid is Stage.SET_DOWN else FITTED[laid]
        found[at] += facts.length(weld) / IN * HOURS_INCH
    for bolt in facts.bolts().values():
        hung = fasteners.tightened_at(bolt) == "ride height"
        found[FINISH if hung else FITTED[bolt_stage(assembly, bolt)]] += HOURS_BOLT
    found[CUT] += len(facts.truck.parts) * HOURS_PART
    return dict(found)


def operations(facts: Facts, placed: Placed, count: int) -> list[Operation]:
    """A row for each of ``count`` stages."""
    drawn = _drawn(facts, placed)
    pieces = _pieces(facts)
    hours = bench(facts)
    revision = facts.revision or "draft"
    found = []
    for number in range(1, count + 1):
        own = drawn.get(number, ())
        found.append(
            Operation(
                "one a part" if number == CUT else ", ".join(own),
                "its own" if number == CUT else revision if own else "",
                str(pieces[number]) if pieces.get(number) else "",
                f"{hours[number]:.1f}" if hours.get(number) else "",
            )
        )
    return found


def _drawn(facts: Facts, placed: Placed) -> dict[int, list[str]]:
    """Assembly drawings by the stage they are worked from; A1 is the general arrangement."""
    assembly = facts.truck.assembly
    found: dict[int, list[str]] = {}
    for group, name in numbered(placed, facts.chassis):
        own = name.rpartition("-")[2]
        found.setdefault(SURVEY, ["A1"])
        late = any(weld_stage(assembly, weld) is Stage.SET_DOWN for weld in group.welds.values())
        for number in {FITTED[stage_of(member)] for member in group.members} | (
            {WELD} if late else set()
        ):
            found.setdefault(number, []).append(own)
    return found


def _pieces(facts: Facts) -> dict[int, int]:
    """Pieces made here by the stage they are fitted in, and all of them where they are cut."""
    found: dict[int, int] = defaultdict(int)
    for part in facts.truck.singles:
        if part.member.fixed_after != "tool":
            found[FITTED[stage_of(part.member)]] += part.member.per_truck
        found[CUT] += part.member.per_truck
    return found
