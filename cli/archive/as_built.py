"""The state of a tacked truck as ``correct`` records it: every set-down, what was moved, the
verdict on every reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NotRequired, TypedDict

from ...layout import units

if TYPE_CHECKING:
    from ...layout.setdown import Round, SetdownAdvice

FORMAT = 2
"""Of the file; one without it was written before every reading had a verdict."""


class SetDownRow(TypedDict):
    """One set-down: readings by name, and what was moved before it, by the word it is typed by."""

    readings: dict[str, float]
    moved: dict[str, float]


class ReadingRow(TypedDict):
    """A reading of the last set-down against its limits; ``read`` is None where it was not read."""

    name: str
    wanted: float
    low: float
    high: float
    read: float | None
    verdict: str
    why: str


class MoveRow(TypedDict):
    """A move that is advised: what, by how much in inches, and what it does to each reading."""

    what: str
    name: str
    by: float
    effect: dict[str, float]


class AsBuilt(TypedDict):
    """The file's keys, in inches and degrees.

    Attributes
    ----------
    errors: read less wanted, by reading.
    not_right: why it does not stand right; empty if it does.
    out, not_read, take_again: readings, by their verdict.
    after: errors left once every move is made.
    squeeze: share of its radial limit the hardest squeezed bushing is at, now and after.
    seems: by how much the truck seems to differ from its readings, by unknown.
    typed_sha256: of the set-down file it was read from, where that lies beside the job.
    """

    format: int
    chassis: str
    units: str
    set_downs: list[SetDownRow]
    readings: list[ReadingRow]
    errors: dict[str, float]
    done: bool
    not_right: str
    out: list[str]
    not_read: list[str]
    take_again: list[str]
    moves: list[MoveRow]
    after: dict[str, float]
    squeeze: list[float]
    seems: dict[str, float]
    typed_sha256: NotRequired[str]


def in_shop(name: str, value: float) -> float:
    """A reading in inches or degrees, whatever the shop reads: so it is stored."""
    from ...layout.setdown import BY

    kind = BY[name].kind if name in BY else "length"
    return round(units.to(value, kind, {"length": "in", "angle": "deg"}[kind]), 4)


def _all_in_shop(values: Mapping[str, float]) -> dict[str, float]:
    return {name: in_shop(name, value) for name, value in values.items()}


def as_built(chassis: str, rounds: Sequence[Round], advice: SetdownAdvice) -> AsBuilt:
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


def _set_downs(rounds: Sequence[Round]) -> list[SetDownRow]:
    from ...layout.setdown.file import typed_name

    return [
        {
            "readings": _all_in_shop(one.readings),
            "moved": {typed_name(name): round(by / units.IN, 4) for name, by in one.moved.items()},
        }
        for one in rounds
    ]


def _moves(advice: SetdownAdvice) -> list[MoveRow]:
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
