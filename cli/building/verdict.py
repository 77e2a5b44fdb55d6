"""Everything that is looked at before a truck is judged: its travel, what hits what, whether the
placed parts go together. The verdict every command shows.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from ...layout.graph import Graph
from ...layout.job.load import Job
from ...parts.verdict.findings import Judged

if TYPE_CHECKING:
    from ...parts.placed.cycle import Cycle
    from ...parts.stock import Shop
    from ...parts.strength.result import Strength
    from ...parts.truck.truck import Truck


class Looked(NamedTuple):
    """The travel of a truck and its verdict."""

    cycle: Cycle
    judged: Judged


def look(
    job: Job,
    solved: Graph,
    truck: Truck,
    shop: Shop,
    strength: Strength,
    say: Callable[[str], None] = lambda _: None,
) -> Looked:
    """Travel, gaps and fit of a designed truck, and what follows from all of it."""
    from ...parts.placed import fit
    from ...parts.placed.travel_ends import limit_words
    from ...parts.placed.travel_rows import unlooked
    from ...parts.verdict.judging import LookedAt, judge
    from ...parts.verdict.nearest_size import told
    from . import travel_report

    cycle = travel_report.cycle_of(job, solved, truck, shop, say, strength.assumed)
    say("do the parts go together")
    if truck.failed:
        say("what can be made instead")
    instead = told(job, shop, truck) if truck.failed else {}
    seen = LookedAt(
        gaps=cycle.gaps,
        misfits=fit.fit(truck, shop, solved.values),
        ends={
            f"{limit.path}, {limit.name}": limit_words(limit).removeprefix(f"{limit.name} ")
            for limit in cycle.limits
            if limit.short
        },
        travel=cycle.travel,
        assumed=tuple(strength.assumed),
        unlooked=unlooked(cycle, solved),
        instead=instead,
    )
    return Looked(cycle, judge(job, solved, truck, strength, seen))


def tell(judged: Judged, more: str = "soapstone check JOB --all", most: int = 24) -> None:
    """The headline and what is not ok, to the error stream; ``more``: the command that prints all
    of it.
    """
    print(judged.headline, file=sys.stderr)
    rows = judged.lines(most)
    for line in rows:
        print(f"  {line}", file=sys.stderr)
    if len(rows) == most and len(judged.lines(10**6)) > most:
        print(f"  all of it: {more}", file=sys.stderr)
