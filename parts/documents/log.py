"""What became of a truck: as-built, heats, welds, bolts, inspection, concessions and the hand-over
record, filled from what was entered. Plain rows come in; where nothing was entered the sheet says
so.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

from ..model.terms import Level
from ..words.names import ranges
from .engine import Doc, DocBlock, Table, Words, render
from .heads import PageHead

STAGE = "Log"
WHO = (("by", 0.14), ("date", 0.1), ("note", 0.24))
CONCEDED = (
    ("no.", 0.06),
    ("part", 0.1),
    ("measured", 0.15),
    ("rule broken", 0.19),
    ("decision", 0.1),
    ("rev", 0.05),
    ("by", 0.1),
    ("date", 0.09),
    ("why", 0.16),
)
NOT_YET = "nothing was entered"
SAY = (
    "This is a record of what was entered, not an approval: local law decides, and whoever may sign"
    " must sign. Nobody looked at the truck for this sheet."
)


class Entered(NamedTuple):
    """A fact as entered: sheet, part, weld or bolt; its heat, torque or finding; the revision it
    was entered to; by whom, when, why.
    """

    what: str
    value: str
    revision: str
    by: str
    date: str
    note: str


class Concession(NamedTuple):
    """A part that is not as drawn: what was measured, the rule it is against, whether it is used,
    repaired or scrapped; the revision, by whom, when, why. What was not said is empty.
    """

    what: str
    measured: str
    rule: str
    decision: str
    revision: str
    by: str
    date: str
    note: str


class SetDown(NamedTuple):
    """One set-down: readings (what, read, off by), and what was moved after it (what, how far)."""

    readings: Sequence[tuple[str, str, str]]
    moved: Sequence[tuple[str, str]]


class Log(NamedTuple):
    """Rows of a chassis up to a revision.

    ``steel``: part, its sheet or stock, heats; ``welds_of``, ``bolts_of``: every number the
    revision has; ``stands``: why the set-down is not within its limits, empty if it is;
    ``set_downs`` None where none was recorded.
    """

    revision: str
    level: Level
    set_downs: Sequence[SetDown] | None
    stands: str
    steel: Sequence[tuple[str, str, str]]
    heats: Sequence[Entered]
    welds: Sequence[Entered]
    bolts: Sequence[Entered]
    inspected: Sequence[Entered]
    aligned: Sequence[Entered]
    concessions: Sequence[Concession]
    notes: Sequence[Entered]
    signed: Sequence[Entered]
    welds_of: Sequence[str]
    bolts_of: Sequence[str]

    def open(self, kind: str) -> list[str]:
        """Numbers of this revision that nobody entered under it; ``kind``: "welds" or "bolts"."""
        every, rows = (
            (self.welds_of, self.welds) if kind == "welds" else (self.bolts_of, self.bolts)
        )
        done = {row.what for row in rows if row.revision == self.revision}
        return [name for name in every if name not in done]

    def no_heat(self) -> list[str]:
        """Parts by number for whose steel no heat was entered."""
        return [part for part, _, heats in self.steel if not heats]


def docs(log: Log) -> list[Doc]:
    """What was entered: as built, heats, welds, bolts, inspection, concessions, hand-over."""
    return [
        Doc("as-built", "As-built", STAGE, "whoever works on it next", (SAY,), _as_built(log)),
        Doc("heat-log", "Heat numbers", STAGE, "whoever must trace steel", (SAY,), _heats(log)),
        Doc("weld-log", "Welds as laid", STAGE, "the inspector", (SAY,), _numbered(log, "welds")),
        Doc(
            "bolt-log",
            "Bolts as tightened",
            STAGE,
            "the inspector",
            (SAY,),
            _numbered(log, "bolts"),
        ),
        Doc(
            "inspection-log",
            "Inspection and alignment as found",
            STAGE,
            "the inspector",
            (SAY,),
            [
                _table("Inspection", "what", "found", log.inspected),
                _table("Alignment", "what", "found", log.aligned),
            ],
        ),
        Doc(
            "concessions",
            "Parts not as drawn, and what was decided",
            STAGE,
            "whoever signs",
            (SAY,),
            _concessions(log),
        ),
        Doc("hand-over-record", "Hand-over record", STAGE, "the customer", (SAY,), _handed(log)),
    ]


def files(log: Log, head: PageHead) -> dict[str, bytes]:
    """The sheets of the log as PDF: path -> bytes, ``log/<name>.pdf``."""
    return {f"log/{doc.name}.pdf": render([doc], head) for doc in docs(log)}


def _table(title: str, what: str, value: str, rows: Sequence[Entered]) -> DocBlock:
    if not rows:
        return Words(title, ["Nothing was entered."])
    columns = ((what, 0.2), (value, 0.22), ("revision", 0.1), *WHO)
    return Table(title, columns, [tuple(row) for row in rows])


def _as_built(log: Log) -> list[DocBlock]:
    if not log.set_downs:
        return [Words("Set-down", ["No set-down was recorded for this revision."])]
    blocks: list[DocBlock] = [
        Words(
            "Where it stands",
            [
                (
                    f"Not within its limits: {log.stands}"
                    if log.stands
                    else "Within its limits as read."
                )
            ],
        )
    ]
    for number, set_down in enumerate(log.set_downs, 1):
        last = number == len(log.set_downs)
        columns = (("what", 0.5), ("read", 0.25), ("off by" if last else "", 0.25))
        blocks.append(Table(f"Set-down {number}", columns, list(set_down.readings)))
        if set_down.moved:
            blocks.append(
                Table(
                    f"Moved before set-down {number}",
                    (("what", 0.6), ("by", 0.4)),
                    list(set_down.moved),
                )
            )
    return blocks


def _heats(log: Log) -> list[DocBlock]:
    return [
        Table(
            "Steel of every part",
            (("part", 0.2), ("sheet or stock", 0.45), ("heat numbers", 0.35)),
            [(piece, stock, heat or "not entered") for piece, stock, heat in log.steel],
        ),
        _table("As entered", "sheet, stock or part", "heat number", log.heats),
    ]


def _numbered(log: Log, kind: str) -> list[DocBlock]:
    every, rows, value = (
        (log.welds_of, log.welds, "found")
        if kind == "welds"
        else (log.bolts_of, log.bolts, "wrench set to")
    )
    owed = log.open(kind)
    count = (
        f"{len(every) - len(owed)} of {len(every)} {kind} of revision {log.revision} are entered."
    )
    return [
        Words("How many", [count, f"Not entered under this revision: {_listed(owed)}."]),
        _table("As entered", kind.removesuffix("s"), value, _together(rows)),
    ]


def _together(rows: Sequence[Entered]) -> list[Entered]:
    """Neighbors of which the same was entered, as one row under their numbers."""
    alike = itertools.groupby(rows, key=lambda row: row[1:])
    return [Entered(", ".join(ranges([row.what for row in own])), *said) for said, own in alike]


def _listed(numbers: Sequence[str]) -> str:
    return ", ".join(ranges(numbers)) or "none"


def _concessions(log: Log) -> list[DocBlock]:
    title = "Non-conformances and concessions"
    if not log.concessions:
        return [
            Words(title, ["Nothing was entered."]),
            _table("Notes and remarks", "on", "said", log.notes),
        ]
    rows = [
        (f"NC{number}", *(text or "not entered" for text in row[:4]), *row[4:])
        for number, row in enumerate(log.concessions, 1)
    ]
    return [
        Table(title, CONCEDED, rows),
        _table("Notes and remarks", "on", "said", log.notes),
    ]


def _decided(concession: Concession) -> str:
    """A part with what was decided of it, where that was entered."""
    said = f" ({concession.decision})" if concession.decision else ""
    return f"{concession.what}{said}"


def _handed(log: Log) -> list[DocBlock]:
    rows = [
        (
            "set-down",
            "not recorded" if log.set_downs is None else log.stands or "within its limits",
        ),
        *(
            (f"{kind} entered", f"{len(every) - len(log.open(kind))} of {len(every)}")
            for kind, every in (("welds", log.welds_of), ("bolts", log.bolts_of))
        ),
        ("welds not entered", _listed(log.open("welds"))),
        ("bolts not entered", _listed(log.open("bolts"))),
        ("inspection", f"{len(log.inspected)} lines entered" if log.inspected else NOT_YET),
        ("alignment", f"{len(log.aligned)} lines entered" if log.aligned else NOT_YET),
        ("parts without a heat number", ", ".join(log.no_heat()) or "none"),
        (
            "parts not as drawn",
            ", ".join(_decided(concession) for concession in log.concessions) or "none",
        ),
    ]
    return [
        Table("What is on record", (("what", 0.35), ("", 0.65)), rows),
        _table("Signed", "level", "", log.signed),
        Words(
            "",
            [
                "Received ______________________________   date ____________        Handed over by"
                " ______________________________"
            ],
        ),
    ]
