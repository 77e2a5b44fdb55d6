"""The index: may be lost at any time; searches and traces go both ways."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from archives import EVENT, add
from soapstone.cli.archive import index
from soapstone.cli.archive.store import Archive


@pytest.mark.parametrize(
    "how",
    ["deleted", "cut short", "rubbish", "another version", "cannot be written", "clock set back"],
)
def test_the_index_may_be_lost_at_any_time(how: str, tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    want = index.listed(index.open_index(store))
    path = tmp_path / "index.sqlite"
    if how == "deleted":
        path.unlink()
    elif how == "cut short":
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    elif how == "rubbish":
        path.write_bytes(b"not a database at all" * 300)
    elif how == "another version":
        import sqlite3

        db = sqlite3.connect(path)
        db.execute("pragma user_version = 1")
        db.execute("drop table rev")
        db.commit()
        db.close()
    elif how == "cannot be written":
        path.unlink()
        path.mkdir()
    else:
        record = tmp_path / "T" / "B.json"
        os.utime(record, (1_000_000, 1_000_000))
    assert index.listed(index.open_index(store)) == want
    add(store, "U", 7)
    assert [r["chassis"] for r in index.listed(index.open_index(store))] == ["T", "T", "T", "U"]


def test_search_and_trace_go_both_ways(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for n in (225, 225, 300):
        add(store, "T", n)
    store.happened("T", "C", EVENT)
    store.happened(
        "T",
        "C",
        {
            "kind": "concession",
            "what": "AB1.L",
            "value": "",
            "by": "the owner",
            "date": "2026-02-01",
            "note": "hole 1/32 off, used",
        },
    )
    db = index.open_index(store)
    assert [(f.letter, f.value) for f in index.search(db, ["spring.rate"])] == [
        ("A", "225"),
        ("C", "300"),
    ], "each where it first came in"
    assert [f.letter for f in index.search(db, ["1/32 off"])] == ["C"] and index.search(
        db, ["100%_"]
    ) == []
    for word in ("H9", "s1", "W2"):
        assert {(r["revisions"].split()[-1], r["part"]) for r in index.trace(db, word)} >= {
            ("C", "CS1.L")
        }, word
    assert {r["welds"] for r in index.trace(db, "CS1")} == {"W1 W2"} and {
        r["heat"] for r in index.trace(db, "CS1") if r["revisions"] == "C"
    } == {"H9"}
    assert {r["revisions"] for r in index.trace(db, "CS1")} == {"A B", "C"}


def entered(*rows: tuple[str, str, str]) -> dict[str, Any]:
    named = [dict(zip(("kind", "what", "value"), r, strict=True)) for r in rows]
    return {**{k: EVENT[k] for k in ("by", "date", "note")}, "kind": "entered", "rows": named}


def test_a_second_heat_erases_none_and_a_part_has_its_own(tmp_path: Path) -> None:
    """Heats of a sheet, of a part and of a stock, in one entry or several, in this format and the
    one before: each is found from either end.
    """
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    store.happened("T", "A", EVENT)
    store.happened("T", "A", entered(("heat", "s1", "H10"), ("heat", "AB1.L", "H11")))
    store.happened("T", "A", entered(("heat", "1/4 A36", "H12"), ("weld", "W2", "laid")))
    db = index.open_index(store)

    def heats(word: str) -> set[tuple[str, str, str]]:
        return {(r["revisions"], r["part"], r["heat"]) for r in index.trace(db, word)}

    assert heats("CS1") >= {("A", "CS1.L", "H9"), ("A", "CS1.L", "H10"), ("B C", "CS1.L", "")}
    assert heats("AB1.L") == {
        ("A B C", "AB1.L", "H11"),
        ("A B C", "AB1.L", "H12"),
    }, "a part that keeps its letter keeps its steel"
    for heat, part in (("H9", "CS1.L"), ("h10", "CS1.L"), ("H11", "AB1.L"), ("H12", "AB1.L")):
        assert {r["part"] for r in index.trace(db, heat)} == {part}, heat
    assert [f.value for f in index.search(db, ["H10"])] == ["s1 H10 nobody 2026-01-02"]


def test_the_heats_of_steel_a_part_keeps_with_its_letter() -> None:
    """Of a sheet's heat and the stock's, of the revision a part's letter is from; none for a part
    that was cut anew.
    """

    def record(letter: str, front: str) -> dict[str, object]:
        parts = [
            {"part": "PL1.L", "revision": front, "stock": "1/4 A36"},
            {"part": "PL2.L", "revision": "A", "stock": "1/4 A36"},
        ]
        return {"letter": letter, "parts": parts, "sheets": {"sheet 1": ["PL1.L", "PL2.L"]}}

    entered = {"kind": "heat", "what": "sheet 1", "value": "H 4711"}
    event = {"kind": "entered", "by": "the owner", "rows": [entered]}
    history = [(record("A", "A"), [event]), (record("B", "B"), [])]
    assert index.heats_kept(history, {"PL1.L": "B", "PL2.L": "A"}) == {"PL2.L": ["H 4711"]}
