"""The state of a tacked truck as ``correct`` records it: every set-down, what was moved, the
verdict on every reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ...layout import units

if TYPE_CHECKING:
    from ...layout.setdown import Advice, Round

FORMAT = 2
"""Of the file; one without it was written before every reading had a verdict."""


def in_shop(name: str, value: float) -> float:
    """A reading in inches or degrees, whatever the shop reads: so it is stored."""
    from ...layout.setdown import BY

    kind = BY[name].kind if name in BY else "length"
    return round(units.to(value, kind, {"length": "in", "angle": "deg"}[kind]), 4)


def _all_in_shop(values: Mapping[str, float]) -> dict[str, float]:
    return {name: in_shop(name, value) for name, value in values.items()}


def as_built(chassis: str, rounds: Sequence[Round], advice: Advice) -> dict[str, Any]:
    """The state of the truck as stored: every set-down, what was moved, the verdict on every
    reading, what is advised, what seems to differ.
    """

    def named(word: str) -> list[str]:
        return [row.name for row in advice.judged if row.word == word]

    return {
        "format": FORMAT,
        "chassis": chassis,
        "units": "in, deg; moves in in, up and longer +",
        "set_downs": _set_downs(rounds),
        "readings": [
            {
                "name": row.name,
                "wanted": in_shop(row.name, row.wanted),
                "low": in_shop(row.name, row.window.low),
                "high": in_shop(row.name, row.window.high),
                "read": None if row.read is None else in_shop(row.name, row.read),
                "verdict": row.word,
                "why": row.why,
            }
            for row in advice.judged
        ],
        "errors": _all_in_shop(advice.errors),
        "done": advice.done,
        "not_right": advice.not_right,
        "out": named("out"),
        "not_read": named("not read"),
        "take_again": named("wild"),
        "moves": _moves(advice),
        "after": _all_in_shop(advice.after),
        "squeeze": [round(float(share), 3) for share in advice.squeeze],
        "seems": {name: round(float(by), 5) for name, by in advice.found.items()},
    }


def _set_downs(rounds: Sequence[Round]) -> list[dict[str, Any]]:
    from ...layout.setdown.file import typed_name

    return [
        {
            "readings": _all_in_shop(one.readings),
            "moved": {typed_name(name): round(by / units.IN, 4) for name, by in one.moved.items()},
        }
        for one in rounds
    ]


def _moves(advice: Advice) -> list[dict[str, Any]]:
    from ...layout.setdown.file import typed_name

    return [
        {
            "what": step.words,
            "name": typed_name(step.move.name),
            "by": round(step.amount / units.IN, 4),
            "effect": {
                name: in_shop(name, by) for name, by in step.effect.items() if name in advice.after
            },
        }
        for step in advice.steps
    ]
