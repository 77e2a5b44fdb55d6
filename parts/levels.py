"""Release levels: what a sheet may be used for. A sheet of a stage that needs more than was signed carries a watermark saying so."""

from __future__ import annotations

from collections.abc import Iterable

LEVELS = ("draft", "mock-up", "tack", "weld", "final")
NEEDS = {
    "Stage 1, survey": "mock-up",
    "Stage 2, cut": "mock-up",
    "Stage 3, axle": "tack",
    "Stage 4, frame": "tack",
    "Stage 5, crossmember": "tack",
    "Stage 6, arms and set-down": "tack",
    "Stage 7, weld": "weld",
    "Stage 8, finish": "final",
}


LAID = (
    "What set-down may still move is tacked until the truck has stood right on its wheels; every weld that nothing at set-down moves (axle, frame, "
    "crossmember, arms) is laid for good in its own stage. A release for tack allows just that."
)
"""When a weld is laid for good: the one statement of it. The weld schedule says it weld by weld (``laid``)."""
MOVED = "set-down"
"""What ``fixed_after`` of a part says whose place is only known once the truck has stood on its wheels."""


def laid(fixed_after: Iterable[str], stage: str) -> str:
    """When a weld between parts so fixed is laid for good: "after set-down" where any of them may still move, else its stage."""
    return "after set-down" if MOVED in fixed_after else stage


def mark(stage: str, level: str) -> str:
    """Watermark of a stage's sheets at a level; empty where it is high enough. ValueError for a level nobody knows."""
    if level == "draft":
        return "DRAFT"
    need = NEEDS.get(stage, "mock-up")
    return "" if LEVELS.index(level) >= LEVELS.index(need) else f"NOT FOR {need.upper()} YET"


def part_level(fixed_after: str, level: str, set_down: bool) -> str:
    """How far one part may go: what may still move at set-down stays at tack until the truck stands right."""
    held = fixed_after == MOVED and not set_down
    return LEVELS[min(LEVELS.index(level), LEVELS.index("tack"))] if held else level
