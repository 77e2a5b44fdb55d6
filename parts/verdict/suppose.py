"""What one changed reading changes: layout, travel, limits, gaps, strength and parts, two designed
trucks against each other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Generic, NamedTuple, TypeVar

from ...layout import units
from ...layout.explain import LayoutChange, differences, with_travel
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.travel import study
from ...layout.travel.limits import Limit, limits
from ...layout.travel.sure import Sure
from ..design.sizing import Check
from ..model.verdict import Verdict
from ..placed.clearance import Gap, hits, touching
from ..stock import Shop
from ..strength.result import Strength
from ..truck.likeness import Changed, changes
from ..truck.truck import Truck

LEAST_TRAVEL = {"length": units.IN / 32, "angle": 0.1 * units.DEG}
LEAST_GAP, LEAST_USE = 0.01 * units.IN, 0.01


class Whole(NamedTuple):
    """A designed truck with its travel, to be held against another.

    ``graph``: the solved layout with the results of travel; ``lost``: results of travel that have
    no value, with the reason.
    """

    job: Job
    solved: Graph
    truck: Truck
    strength: Strength
    graph: Graph
    limits: tuple[Limit, ...]
    gaps: tuple[Gap, ...]
    lost: Mapping[str, str]


T = TypeVar("T")


class Pairwise(NamedTuple, Generic[T]):
    """One thing as it was and as it is; None where there is none."""

    was: T | None
    now: T | None


class Differs(NamedTuple):
    """Everything that is not as it was.

    ``why``: part -> the changed readings it rests on, or what its loads made larger.
    """

    values: list[LayoutChange]
    travel: list[LayoutChange]
    limits: list[Pairwise[Limit]]
    gaps: list[Pairwise[Gap]]
    margins: list[Pairwise[Check]]
    parts: tuple[Changed, ...]
    go: list[str]
    come: list[str]
    lost: list[str]
    why: Mapping[str, str]

    @property
    def nothing(self) -> bool:
        """Whether everything is as it was, whatever the reasons in ``why``."""
        return not any(self[: self._fields.index("why")])


def whole(job: Job, solved: Graph, truck: Truck, strength: Strength, shop: Shop) -> Whole:
    """A designed truck with its travel, limits and gaps; no limits and gaps while the linkage
    waits for a reading.
    """
    travel = study(job, solved)
    graph = with_travel(solved, travel, Sure({}, {}))
    gaps = hits(truck, job, solved, shop) if travel.pose is not None else ()
    ends = (
        limits(job, solved, touching(truck, job, solved.values, shop, gaps))
        if travel.pose is not None
        else ()
    )
    return Whole(
        job=job,
        solved=solved,
        truck=truck,
        strength=strength,
        graph=graph,
        limits=ends,
        gaps=gaps,
        lost=travel.lost,
    )


def differs(before: Whole, after: Whole, changed: Mapping[Key, float]) -> Differs:
    """Two trucks of one job against each other; ``changed``: the readings that are supposed to be
    another.
    """
    values = differences(before.solved, after.solved)
    mine = {value.key for value in values}
    travel = [
        difference
        for difference in differences(before.graph, after.graph)
        if difference.key not in mine and _seen(difference)
    ]
    was, now = ({part.id for part in whole.truck.singles} for whole in (before, after))
    parts = changes(before.truck.singles, after.truck.singles)
    return Differs(
        values=values,
        travel=travel,
        limits=_limits(before.limits, after.limits),
        gaps=_gaps(before.gaps, after.gaps),
        margins=_margins(before.strength, after.strength),
        parts=parts,
        go=sorted(was - now),
        come=sorted(now - was),
        lost=sorted(
            f"{family}: {reason}"
            for family, reason in after.lost.items()
            if family not in before.lost
        ),
        why={
            code: _why(code, after, changed)
            for code in (*(part.part for part in parts), *sorted(now - was))
        },
    )


def _seen(change: LayoutChange) -> bool:
    """Whether a travel output moved by what a shop would see: 1/32 in, 0.1 deg, a hundredth of
    itself.
    """
    if math.isnan(change.was) or math.isnan(change.now):
        return True
    least = LEAST_TRAVEL.get(change.unit, 0.01 * max(abs(change.was), abs(change.now)))
    return abs(change.now - change.was) >= least


def _limits(before: tuple[Limit, ...], after: tuple[Limit, ...]) -> list[Pairwise[Limit]]:
    """Criteria that end their path elsewhere, govern now or no more, or came or went where they
    govern.
    """
    old, new = ({(x.path, x.name): x for x in rows} for rows in (before, after))
    found = []
    for key in dict.fromkeys((*old, *new)):
        x, y = old.get(key), new.get(key)
        if x is None or y is None:
            if any(one.governs or one.short for one in (x, y) if one):
                found.append(Pairwise(x, y))
            continue
        apart = abs(x.at - y.at) if math.isfinite(x.at) and math.isfinite(y.at) else math.inf
        least = LEAST_TRAVEL["length" if x.path in ("bump", "droop") else "angle"]
        same = not (math.isfinite(x.at) or math.isfinite(y.at)) or apart < least
        if not same or x.governs != y.governs or x.short != y.short:
            found.append(Pairwise(x, y))
    return found


def _gaps(before: tuple[Gap, ...], after: tuple[Gap, ...]) -> list[Pairwise[Gap]]:
    """Pairs under the gap wanted, before or after, whose gap or verdict is another; worst now
    first.
    """
    old, new = ({(gap.one, gap.two): gap for gap in rows} for rows in (before, after))
    found = []
    for key in dict.fromkeys((*new, *old)):
        x, y = old.get(key), new.get(key)
        words = {gap.verdict if gap else Verdict.OK for gap in (x, y)}
        apart = abs(x.gap - y.gap) if x and y else math.inf
        if words != {Verdict.OK} and (len(words) > 1 or apart >= LEAST_GAP):
            found.append(Pairwise(x, y))
    return found


def _margins(before: Strength, after: Strength) -> list[Pairwise[Check]]:
    """Rows under load whose use or verdict is another by a hundredth; the worst case of each part
    and rule.
    """
    old, new = (_worst(strength) for strength in (before, after))
    found = []
    for key in dict.fromkeys((*new, *old)):
        x, y = old.get(key), new.get(key)
        if (
            x is None
            or y is None
            or x.verdict != y.verdict
            or abs(x.utilisation - y.utilisation) >= LEAST_USE
        ):
            found.append(Pairwise(x, y))
    return sorted(found, key=_use, reverse=True)


def _use(pair: Pairwise[Check]) -> float:
    """What is used of a row now, or was where it is gone."""
    row = pair.now or pair.was
    return row.utilisation if row else 0.0


def _worst(strength: Strength) -> dict[tuple[str, str, str], Check]:
    rows: dict[tuple[str, str, str], Check] = {}
    for check in strength.checks:
        key = (check.part, check.what, check.clause)
        if key not in rows or check.utilisation > rows[key].utilisation:
            rows[key] = check
    return rows


def _why(part: str, after: Whole, changed: Mapping[Key, float]) -> str:
    """The readings supposed that a part rests on; if none, what its loads made of it, or the parts
    it stands on.
    """
    read = after.truck.reads.get(part, frozenset())
    leaves = set(read).union(*(after.solved.rests_on(key) for key in read))
    mine = sorted(str(key) for key in leaves & set(changed))
    if mine:
        return ", ".join(mine)
    family = after.truck.made_by.get(part, "")
    grown = [
        one
        for one in after.strength.grown
        if any(change.family == family for change in one.changes)
    ]
    return f"its loads ({grown[0]})" if grown else "the loads, or the parts it stands on"
