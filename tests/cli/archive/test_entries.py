"""What is entered to a revision: taken whole or refused with the reason."""

from __future__ import annotations

from typing import Any

import pytest
from soapstone.cli.archive import entries

RECORD = {
    "parts": [
        {"part": "CS1.L", "stock": "3/16 A36"},
        {"part": "CS1.R", "stock": "3/16 A36"},
        {"part": "XT1.C", "stock": "tube"},
    ],
    "sheets": {"s1": ["CS1.L"], "s2": ["CS1.R"]},
    "welds": {"CS1.L": [f"W{n}" for n in range(1, 39)]},
    "bolts": ["B1", "B2", "B3"],
}


def test_runs_lists_and_repeats_are_taken_whole() -> None:
    asked = entries.EntryRequest(
        heat=["H1", "H2"],
        sheet=["s1", "s2"],
        part=["XT1.C"],
        weld=["W1-W36", "w38,W2"],
        bolt=["B1-3"],
        torque="120 lb-ft",
        concession=["CS1"],
        note="1/32 off",
    )
    rows, faults = entries.taken(asked, RECORD)
    assert not faults
    got = [(r["kind"], r["what"], r["value"]) for r in rows]
    assert {(w, v) for k, w, v in got if k == "heat"} == {
        (w, h) for w in ("s1", "s2", "XT1.C") for h in ("H1", "H2")
    }
    assert [w for k, w, _ in got if k == "weld"] == [*(f"W{n}" for n in range(1, 37)), "W38"]
    assert [(w, v) for k, w, v in got if k == "bolt"] == [(f"B{n}", "120 lb-ft") for n in (1, 2, 3)]
    assert [w for k, w, _ in got if k == "concession"] == ["CS1.L", "CS1.R"]


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        ({"weld": ["W38-W1"]}, "W1-W38"),
        ({"weld": ["W30-W40"]}, "W39, W40"),
        ({"weld": ["W1", "weld 7"]}, "W1 .. W38"),
        ({"weld": ["W1-W99999"]}, "W1 .. W38"),
        ({"weld": ["B1"]}, "W1 .. W38"),
        ({"bolt": ["B1"]}, "--torque"),
        ({"torque": "9"}, "--bolt"),
        ({"bolt": ["B4"], "torque": "9 lb-ft"}, "no B4"),
        *(
            ({"bolt": ["B1"], "torque": typed}, f"--torque; typed '{typed}'")
            for typed in (
                *("nan", "inf N m", "-5", "-5 lb ft", "0 N m", "tight", "120", "120 lb", "120 mm"),
                *("1e9 N m", "nan lb ft", "120/0 N m", "12 0 N m", "driven", "120 N m or so"),
            )
        ),
        ({"heat": ["H1"]}, "--sheet or --part"),
        ({"sheet": ["s1"]}, "--heat"),
        ({"heat": ["H1"], "sheet": ["s9"]}, "s1, s2, 3/16 A36"),
        ({"heat": [""], "sheet": ["s1"]}, "heat number"),
        ({"heat": ["H1"], "part": ["CS9"]}, "a part of this revision"),
        ({"concession": ["CS1.L"]}, "who decided"),
        (
            {"concession": ["CS1.L"], "note": "short", "conceded": ("", "", "keep")},
            "use | repair | scrap",
        ),
        ({"concession": ["CS1.L"], "note": "short", "conceded": ("", 121 * "x", "")}, "--rule"),
        ({"concession": ["CS1.L"], "note": "short", "conceded": ("a\nb", "", "")}, "on one line"),
        ({"weld": ["W1"], "conceded": ("", "", "use")}, "with --concession"),
        ({"note": "short", "conceded": ("", "J3.4", "")}, "with --concession"),
        ({}, "say what to enter"),
    ],
)
def test_what_cannot_be_entered_says_why(asked: dict[str, Any], word: str) -> None:
    _, faults = entries.taken(entries.EntryRequest(**asked), RECORD)
    assert faults and any(word in str(f) for f in faults), [str(f) for f in faults]


@pytest.mark.parametrize(
    "typed",
    [
        *("120 lb-ft", "120 ft lbs", "7 1/2 lbf ft", "90 in-lb"),
        *("162.7 N m", "160 Nm", "160 N·m", "driven in"),
    ],
)
def test_what_a_wrench_shows_is_taken_as_typed(typed: str) -> None:
    rows, faults = entries.taken(entries.EntryRequest(bolt=["B1"], torque=typed), RECORD)
    assert not faults and [row["value"] for row in rows] == [typed]
