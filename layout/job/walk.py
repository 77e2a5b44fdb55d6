"""The order of a walk round the truck: at which stop each reading is taken, wishes first since they
cost no tape.
"""

from __future__ import annotations

from .field import pattern
from .fields import FIELDS

STOPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "the job, and what is wished for",
        ("job.", "units.", "wanted.", "travel.bump", "travel.droop"),
    ),
    ("parts on hand, on the bench", ("arms.", "track_bar.", "steering.drag_link_od")),
    ("frame on stands, from the side and in plan", ("frame.",)),
    ("axle on the bench", ("axle.",)),
    ("springs, stops and shocks", ("spring.", "travel.")),
    ("driveline", ("driveline.",)),
    ("steering", ("steering.",)),
)
"""Title of each stop, and how the fields taken there begin; the longest beginning holds.

Common practice, no source.
"""


def stop_of(name: str) -> int:
    """At which stop a field is taken: its place in ``STOPS``, the last where none is named.

    Row numbers are allowed; of several beginnings the longest holds.

    >>> stop_of("travel.bump") < stop_of("travel.stop_free")
    True
    """
    found = [
        (len(start), number)
        for number, (_, starts) in enumerate(STOPS)
        for start in starts
        if name.startswith(start)
    ]
    return max(found)[1] if found else len(STOPS) - 1


def walked(name: str) -> tuple[int, int]:
    """Place of a field in the walk, to sort by: its stop, then the order of the job file.

    Row numbers are allowed. KeyError for a name that is no field.
    """
    order = {own: place for place, own in enumerate(FIELDS)}
    return stop_of(name), order[pattern(name)]
