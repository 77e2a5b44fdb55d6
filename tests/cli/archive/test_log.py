"""Log sheets: what was entered stands on them, what was not is named; a superseded page says so;
every page names its revision.
"""

from __future__ import annotations

from typing import Any

from pdf_text import pages
from soapstone.cli.archive import log_sheets
from soapstone.parts.documents import log, stamp
from soapstone.parts.documents.heads import PageHead
from soapstone.parts.documents.levels import void
from soapstone.parts.model.terms import Level

HEAD = PageHead("T1", "2026-01-15", Level.FINAL, "Revision B, for final", "letter", void("T1", "B"))
PART = {"part": "CS1.L", "stock": "3/16 A36", "revision": "A"}
FIRST: dict[str, Any] = {
    "letter": "A",
    "level": "tack",
    "by": "the owner",
    "date": "2026-01-01",
    "note": "first",
    "parts": [PART],
    "sheets": {"s1": ["CS1.L"]},
    "welds": {"CS1.L": ["W1", "W2", "W3"]},
    "bolts": ["B1", "B2"],
}
SECOND = {**FIRST, "letter": "B", "parts": [PART, {**PART, "part": "AB1.L", "revision": "B"}]}
WHO = {"by": "the welder", "date": "2026-02-01", "note": ""}
CONCEDED = {"measured": "9/16 to the edge", "rule": "AISC 360 J3.4", "decision": "repair"}
EVENTS_A = [{"kind": "heat", "what": "s1", "value": "H9", **WHO}]
EVENTS_B = [
    {
        "kind": "entered",
        **WHO,
        "note": "undercut, dressed",
        "rows": [
            {"kind": "weld", "what": "W2", "value": "laid and looked at"},
            {"kind": "bolt", "what": "B1", "value": "120 lb-ft"},
            {"kind": "concession", "what": "AB1.L", "value": "", **CONCEDED},
            {"kind": "concession", "what": "CS1.L", "value": ""},
        ],
    },
    {"kind": "signed", "value": "weld", **WHO},
]
BUILT = {
    "set_downs": [
        {"readings": {"height.left": 24.625, "pinion": 4.5}, "moved": {}},
        {"readings": {"height.left": 25.125}, "moved": {"seat.left": 0.5}},
    ],
    "errors": {"height.left": 0.02},
    "done": True,
    "format": 2,
    "not_right": "",
}


def words(data: bytes) -> str:
    return " ".join(" ".join(pages(data)).split())


def made() -> dict[str, str]:
    rows = [(FIRST, EVENTS_A), (SECOND, EVENTS_B)]
    found = log.files(log_sheets.gathered(SECOND, BUILT, rows, Level.FINAL), HEAD)
    assert found == log.files(log_sheets.gathered(SECOND, BUILT, rows, Level.FINAL), HEAD)
    return {p: words(x) for p, x in found.items()}


def test_what_was_entered_stands_on_its_sheet_and_what_was_not_is_named() -> None:
    sheets = made()
    want = {
        "as-built": ("Within its limits", "24 5/8", "25 1/8", "4.5 deg", "+0.50 in", "+0.02"),
        "heat-log": ("CS1 left s1 H9", "AB1 left 3/16 A36 not entered"),
        "weld-log": ("1 of 3 welds", "W1, W3", "undercut, dressed"),
        "bolt-log": ("1 of 2 bolts", "120 lb-ft", "B2"),
        "inspection-log": ("Nothing was entered",),
        "concessions": (
            "NC1 AB1 left 9/16 to the edge AISC 360 J3.4 repair B the welder",
            "undercut, dressed",
            "NC2 CS1 left not entered not entered not entered B",
        ),
        "hand-over-record": (
            "1 of 3",
            "W1, W3",
            "AB1 left (repair), CS1 left",
            "released",
            "signed",
            "first",
        ),
    }
    assert {f"log/{k}.pdf" for k in want} == set(sheets)
    for name, parts in want.items():
        for w in parts:
            assert w in sheets[f"log/{name}.pdf"], (name, w, sheets[f"log/{name}.pdf"])
    assert "height.left" not in sheets["log/as-built.pdf"], "no word of the program on paper"
    for text in sheets.values():
        assert "Void unless the revision on the page of chassis T1 is B" in text
        assert "not an approval" in text


def test_welds_of_which_the_same_was_entered_stand_together() -> None:
    """Every number once, under what was entered of it."""
    third = {**FIRST, "welds": {"CS1.L": [f"W{number}" for number in range(1, 10)]}}
    laid = [
        {"kind": "weld", "what": f"W{n}", "value": "undercut" if n == 5 else "sound"}
        for n in range(1, 9)
    ]
    events = [{"kind": "entered", **WHO, "rows": laid}]
    found = log.files(log_sheets.gathered(third, None, [(third, events)], Level.FINAL), HEAD)
    said = words(found["log/weld-log.pdf"])
    for row in ("W1-W4 sound", "W5 undercut", "W6-W8 sound", "revision: W9"):
        assert row in said, (row, said)


def test_nothing_entered_says_so() -> None:
    found = log.files(log_sheets.gathered(FIRST, None, [(FIRST, [])], Level.TACK), HEAD)
    sheets = {p: words(x) for p, x in found.items()}
    assert "No set-down was recorded" in sheets["log/as-built.pdf"]
    assert "Nothing was entered" in sheets["log/weld-log.pdf"]
    assert "W1-W3" in sheets["log/hand-over-record.pdf"]


def test_a_stamp_is_on_every_page_and_always_the_same() -> None:
    passes = [{**EVENTS_B[0], "note": f"dressed {count} times"} for count in range(60)]
    rows = [(SECOND, passes)]
    long = log.files(log_sheets.gathered(SECOND, BUILT, rows, Level.FINAL), HEAD)[
        "log/weld-log.pdf"
    ]
    once = stamp.stamped(long, "SUPERSEDED BY C")
    texts = pages(once)
    assert len(texts) > 1 and all("SUPERSEDED BY C" in p and "T1" in p for p in texts)
    assert once == stamp.stamped(long, "SUPERSEDED BY C")
