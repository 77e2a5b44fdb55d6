"""Every row with its formula and the numbers put in: by clause, most used first; left and right on
one line where they are equal, those less than half used in one line each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple, Protocol

from ..design.sizing import Check
from ..model.clause import Clause
from ..rules import all_clauses
from ..rules.symbols import Put, constants, put_into, unit_inside
from ..words.numbers import worded
from . import figures
from .paper import Paper

Wording = Callable[[str], str]
SEEN = {
    "read": "source read",
    "read*": "source seen second-hand",
    "memory": "unverified source",
    "fitted": "worked out for this tool, not published",
    "practice": "common practice",
}
"""How the source of a clause was seen."""
HALF = 0.5
EQUAL = 1e-3
"""Share by which a left row may differ from the right one and stand on its line."""
_HAND = re.compile(r"\b(left|right)\b|\.([LR])\b|\b([LR])$")
_OTHER = {"left": "right", "right": "left", "L": "R", "R": "L"}


class NumberedRow(NamedTuple):
    """A row as it is printed: ``alike``: the other side's is the same within ``EQUAL``."""

    number: int
    check: Check
    alike: bool


def mirrored(text: str) -> str:
    """Words of one side as those of the other: left for right, the model's hands too.

    >>> mirrored("ears of AB1.L, deep pothole, right wheel")
    'ears of AB1.R, deep pothole, left wheel'
    """
    return _HAND.sub(
        lambda found: found[0].replace(word := found[1] or found[2] or found[3], _OTHER[word]),
        text,
    )


def merged(checks: Iterable[Check]) -> list[tuple[Check, bool]]:
    """Rows, most used first; of a left and a right one that are equal the more used, marked."""
    waiting: dict[tuple[str, ...], Check] = {}
    found: dict[int, tuple[Check, bool]] = {}
    places: dict[int, int] = {}
    for place, check in enumerate(sorted(checks, key=lambda check: -check.utilisation)):
        own = (check.rule, check.part, check.what, _states(check.case))
        case = _states(mirrored(check.case))
        twin = waiting.get((check.rule, mirrored(check.part), mirrored(check.what), case))
        if twin is not None and twin is not check and _equal(twin, check):
            first = places.pop(id(twin))
            found[first] = (found[first][0], True)
            del waiting[twin.rule, twin.part, twin.what, _states(twin.case)]
            continue
        waiting[own] = check
        places[id(check)] = place
        found[place] = (check, False)
    return [found[place] for place in sorted(found)]


def _states(case: str) -> str:
    """A case; of two everyday states the pair, whichever stands first."""
    first, _, second = case.removeprefix("everyday, ").partition(" to ")
    return " to ".join(sorted((first, second))) if second else case


def _equal(one: Check, other: Check) -> bool:
    """Whether two rows agree: every number within ``EQUAL`` of the largest of its unit."""
    ours, theirs = (
        [*((unit_inside(name), value) for name, value in each.given),
         (each.unit, each.demand), (each.unit, each.capacity)]
        for each in (one, other)
    )  # fmt: skip
    largest: dict[str, float] = {}
    for unit, value in (*ours, *theirs):
        largest[unit] = max(largest.get(unit, 0.0), abs(value))
    return (
        len(ours) == len(theirs)
        and all(
            abs(a - b) <= EQUAL * largest[unit]
            for (unit, a), (_, b) in zip(ours, theirs, strict=True)
        )
        and abs(one.utilisation - other.utilisation) <= EQUAL
    )


def clauses(checks: Iterable[Check], own: Mapping[str, Clause]) -> dict[str, Clause]:
    """The clause of every row by its name; ``own``: those of families, outside the register."""
    known = {**all_clauses(), **own}
    return {check.rule: known[check.rule] for check in checks if check.rule}


class CardNumbers(Protocol):
    """Numbers of the weld groups' cards."""

    def get(self, part: str, what: str) -> int | None:
        """The card of a row's part and words, None where it is no group's."""


class Rows:
    """Rows numbered through all the calculations.

    Attributes
    ----------
    told: those printed so far, in order.
    """

    def __init__(
        self, pages: Paper, say: Wording, own: Mapping[str, Clause], groups: CardNumbers
    ) -> None:
        self.pages, self.say, self.own, self.groups = pages, say, own, groups
        self.told: list[NumberedRow] = []
        self.clauses = 0

    def write(self, checks: Sequence[Check]) -> None:
        """All of them, a section a clause; the section with the most used row first."""
        by: dict[str, list[tuple[Check, bool]]] = {}
        for check, alike in merged(checks):
            by.setdefault(check.rule, []).append((check, alike))
        known = clauses(checks, self.own)
        for rule, rows in by.items():
            if rule:
                self._section(known[rule], rows)
            else:
                self._plain(rows)

    def _section(self, clause: Clause, rows: Sequence[tuple[Check, bool]]) -> None:
        self.clauses += 1
        title = f"{clause.ref} {clause.edition}".strip()
        seen = "" if "no source" in title else f" ({SEEN.get(clause.tag, clause.tag)})"
        self.pages.heading(f"Clause {self.clauses}: {worded(title)}{seen}", 60)
        self.pages.line(f"Formula {self.clauses}: {clause.formula}", bold=True)
        letters = {
            put.letter: f"{put.letter} {put.says}"
            for check, _ in rows
            for put in put_into(clause, dict(check.given))
        }
        self.pages.line(f"Letters: {', '.join(letters.values())}.")
        known = dict.fromkeys(
            f"{step.letter}: {step.says}" for check, _ in rows for step in check.steps if step.says
        )
        if known:
            self.pages.line(f"After From, {'; '.join(known)}.")
        constant = ", ".join(map(_put, constants(clause)))
        if constant:
            self.pages.line(f"In every row: {constant}.")
        for check, alike in rows:
            self._row(clause, check, alike=alike)
        self.pages.space()

    def _row(self, clause: Clause, check: Check, *, alike: bool) -> None:
        number = len(self.told) + 1
        self.told.append(NumberedRow(number, check, alike))
        what = self.say(check.what)
        both = " (other side equal)" if alike else ""
        verdict = f"used {check.utilisation:.2f} {check.verdict.value}"
        tag = f" ({SEEN[check.tag]})" if check.tag in SEEN and check.tag != clause.tag else ""
        head = f"Row {number}. {self.say(check.part)}{both}: {what}{tag}"
        case = f"{check.case}. " if check.case and check.case != "any" else ""
        fixed = constants(clause)
        numbers = ", ".join(
            _put(put) for put in put_into(clause, dict(check.given)) if put not in fixed
        )
        told = (
            f"{case}Put in: {numbers}. Demand {figures.result(check.demand, check.unit)},"
            f" capacity {figures.result(check.capacity, check.unit)}, {verdict}."
            f"{self._group(check)}{_from(check)}"
        )
        if check.utilisation < HALF:
            self.pages.line(f"{head}; {told}")
            return
        self.pages.room(26)
        self.pages.line(head, bold=True)
        self.pages.line(told, indent=12)

    def _group(self, check: Check) -> str:
        """Which weld group's card a force comes from, where it is one's."""
        number = self.groups.get(check.part, check.what)
        return f" See group {number}." if number else ""

    def _plain(self, rows: Sequence[tuple[Check, bool]]) -> None:
        """Rules of the shop without a formula."""
        self.pages.heading("Shop settings")
        for check, _ in rows:
            self.pages.line(
                f"{self.say(check.part)}: {self.say(check.what)}, {check.utilisation:.2f} of what"
                f" is allowed, {check.verdict.value}."
            )


def _put(put: Put) -> str:
    return f"{put.letter} = {figures.put(put.value, put.unit)}"


def _from(check: Check) -> str:
    """Where the numbers put in come from, each letter by its formula."""
    told = []
    for step in check.steps:
        put = ", ".join(
            f"{name} = {figures.put(float(value), unit)}"
            for name, (value, unit) in step.put.items()
        )
        told.append(f"{step.letter} = {step.formula} with {put}")
    return f" From: {'; '.join(told)}." if told else ""
