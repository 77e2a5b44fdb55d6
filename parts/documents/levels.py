"""Release levels: what a sheet may be used for.

A sheet of a stage that needs more than was signed carries a watermark saying so.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..model.terms import Level

NEEDS = {
    "Stage 1, survey": Level.MOCK_UP,
    "Stage 2, cut": Level.MOCK_UP,
    "Stage 3, axle": Level.TACK,
    "Stage 4, frame": Level.TACK,
    "Stage 5, crossmember": Level.TACK,
    "Stage 6, arms and set-down": Level.TACK,
    "Stage 7, weld": Level.WELD,
    "Stage 8, finish": Level.FINAL,
    "Log": Level.MOCK_UP,
}


LAID = (
    "What set-down may still move is tacked until the truck has stood right on its wheels; every"
    " weld that nothing at set-down moves (axle, frame, crossmember, arms) is laid for good in its"
    " own stage. A release for tack allows just that."
)
"""When a weld is laid for good: the one statement of it.

The weld schedule says it weld by weld (``laid``).
"""
MOVED = "set-down"
"""What ``fixed_after`` of a part says whose place is only known once the truck has stood on its
wheels.
"""


def laid(fixed_after: Iterable[str], stage: str) -> str:
    """When a weld between parts so fixed is laid for good: "after set-down" where any of them may
    still move, else its stage.
    """
    return "after set-down" if MOVED in fixed_after else stage


def mark(stage: str, level: Level) -> str:
    """Watermark of a stage's sheets at a level; empty where it is high enough.

    KeyError for a stage nobody knows.
    """
    if level is Level.DRAFT:
        return "DRAFT"
    need = NEEDS[stage]
    return "" if level.at_least(need) else f"NOT FOR {need.upper()} YET"


def void(chassis: str, revision: str) -> str:
    """What makes a print worthless, to stand on every page; ``revision``: empty for a draft."""
    if not revision:
        return (
            f"Draft of chassis {chassis}: void as soon as a reading changes or a revision is"
            " released."
        )
    return f"Void unless the revision on the page of chassis {chassis} is {revision}."


def foot(chassis: str, says: str, revision: str) -> str:
    """Foot of a page whose head does not say it: chassis, revision, level, what makes it void."""
    return f"Chassis {chassis}. {says}. {void(chassis, revision)}"


def part_void(chassis: str, part: str, revision: str, released: bool) -> str:
    """The same for the drawing of one part, which keeps its own letter while other parts change."""
    if not released:
        return f"{void(chassis, '')} Part {part}, draft {revision}."
    return f"Void unless the page of chassis {chassis} has part {part} at revision {revision}."


def part_level(fixed_after: str, level: Level, set_down: bool) -> Level:
    """How far one part may go: what may still move at set-down stays at tack until the truck stands
    right.
    """
    held = fixed_after == MOVED and not set_down
    return Level.TACK if held and level.at_least(Level.TACK) else level
