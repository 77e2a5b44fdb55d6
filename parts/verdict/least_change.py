"""One change of a job with which something stands that does not: a choice or a wish that is moved,
a reading that is another, a piece of stock; said in a line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ...layout import units
from ...layout.job.fields import FIELDS, pattern
from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, Key
from ...layout.units import IN
from ..truck.needs import kept

STEPS: Mapping[str, tuple[float, ...]] = {
    "length": (IN / 4, IN / 2, IN, 2 * IN, 4 * IN),
    "angle": (math.radians(0.5), math.radians(1), math.radians(2), math.radians(4)),
}
"""How far a choice is moved at a turn, the least first."""


class PassingChange(NamedTuple):
    """One change with which a part can be made: a field with what it is and what it would be, or a
    piece of stock. ``how``: what the field is, "" where the words say it.
    """

    what: str
    brief: str
    how: str = ""

    @property
    def says(self) -> str:
        """All of it."""
        return f"{self.brief} ({self.how})" if self.how else self.brief


def moves(job: Job, code: str) -> Iterator[tuple[tuple[Key, ...], float]]:
    """Every choice and wish the parts of two letters rest on with a step, the least steps first,
    both sides of the truck alike.
    """
    rests = set().union(*(row.fields for row in kept() if row.code == code))
    free = [
        (FIELDS[pattern(name)].role != "wanted", name)
        for name in dict.fromkeys(key.name for key in job.readings)
        if (field := FIELDS[pattern(name)]).role != "measured"
        and field.kind in STEPS
        and field.name in rests
    ]
    names = [name for _, name in sorted(free, key=lambda pair: pair[0])]
    for turn in range(max(map(len, STEPS.values()))):
        for name in names:
            field = FIELDS[pattern(name)]
            keys = tuple(key for key in job.readings if key.name == name)
            for step in STEPS[field.kind][turn : turn + 1]:
                for move in (step, -step):
                    if all(field.low <= job.readings[k].value + move <= field.high for k in keys):
                        yield keys, move


def way(job: Job, keys: tuple[Key, ...], values: Mapping[Key, float]) -> PassingChange:
    """A field that is another, in words: of one side, of both alike, or of each its own; a choice
    is set, a reading is read.
    """
    field = FIELDS[pattern(keys[0].name)]
    pairs = [
        (units.show(job.readings[key].value, field.kind), units.show(values[key], field.kind))
        for key in keys
    ]
    read = "read as " if field.role == "measured" else ""
    name = keys[0].name if len(keys) > 1 else str(keys[0])
    if len(set(pairs)) == 1:
        was, now = pairs[0]
    else:
        was, now = (
            " and ".join(
                f"{SIDE_WORD[key.side]} {pair[at]}" for key, pair in zip(keys, pairs, strict=True)
            )
            for at in (0, 1)
        )
    return PassingChange(keys[0].name, f"{name} {read}{now} instead of {was}", field.how)
