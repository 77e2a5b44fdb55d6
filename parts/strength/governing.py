"""One clause in every case at once, and the case whose demand is most of its capacity."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..design.sizing import NO_CAPACITY, Check
from ..model.clause import Clause
from ..model.hold import Step
from ..model.vectors import Number
from .named_loads import case_of
from .view import SideUnderLoad

NOTHING = 1e-6
"""Demand below which there is no load: no row."""


class Row(NamedTuple):
    """A clause for a part with its numbers, each a number or one a case.

    ``tag``: where what is put in is known less well than the clause; ``steps``: where the numbers
    come from, in every case.
    """

    part: str
    says: str
    clause: Clause
    numbers: Mapping[str, Number]
    tag: str = ""
    steps: Sequence[Step] = ()


def governing(row: Row, seen: SideUnderLoad) -> Iterator[Check]:
    """The row of the case that uses most of what is allowed, with the numbers and steps of that
    case.

    Yields nothing where no case loads it by more than ``NOTHING``. A capacity of none uses
    ``NO_CAPACITY`` of what is allowed under any load.
    """
    cases = len(seen.rows)
    demand, capacity = (
        np.broadcast_to(np.asarray(each, dtype=float), (cases,))
        for each in row.clause(**row.numbers)
    )
    none = np.where(demand <= capacity, 0.0, NO_CAPACITY)
    used = np.where(capacity > 0, demand / np.where(capacity > 0, capacity, 1.0), none)
    worst = int(np.argmax(used))
    if demand[worst] <= NOTHING:
        return
    given = {
        name: float(np.broadcast_to(np.asarray(value, dtype=float), (cases,))[worst])
        for name, value in row.numbers.items()
    }
    yield Check.of(
        row.clause,
        given,
        part=row.part,
        what=row.says,
        case=case_of(seen.rows[worst]),
        tag=row.tag or row.clause.tag,
        steps=tuple(_in_case(step, cases, worst) for step in row.steps),
    )


def _in_case(step: Step, cases: int, case: int) -> Step:
    put = {
        letter: (float(np.broadcast_to(np.asarray(value, dtype=float), (cases,))[case]), unit)
        for letter, (value, unit) in step.put.items()
    }
    return step._replace(put=put)
