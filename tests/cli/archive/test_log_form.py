"""The log that is filled in at the truck: taken whole, or refused with every line that is wrong."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from archives import add
from soapstone.cli.archive import entries, log_form, log_sheets
from soapstone.cli.archive.record import Record
from soapstone.cli.archive.signature import Signer
from soapstone.cli.archive.store import Archive
from soapstone.parts.model.terms import Level

OWNER = Signer("the owner", "2026-02-01")
Lines = list[dict[str, str]]


@pytest.fixture
def released(tmp_path: Path) -> tuple[Archive, Record]:
    store = Archive(tmp_path / "archive")
    add(store, "T1", 0)
    record = store.record("T1")
    facts: dict[str, Any] = {
        "welds": {"CS1.L": ["W1", "W2"], "CM1.L": ["W2", "W3"]},
        "bolts": ["B1", "B2"],
        "values": {"caster.ride": "5.1 deg"},
    }
    return store, Record({**record.data, **facts}, record.sha256)


def filled(
    released: tuple[Archive, Record], path: Path, change: Callable[[Lines], object]
) -> tuple[list[dict[str, str]], list[str]]:
    """Rows and faults of the blank log once ``change`` has written in it."""
    store, record = released
    text = log_form.blank(store, record).decode("utf-8-sig")
    lines = list(csv.DictReader(io.StringIO(text)))
    change(lines)
    out = io.StringIO()
    writer = csv.DictWriter(out, log_form.COLUMNS)
    writer.writeheader()
    writer.writerows(lines)
    path.write_text(out.getvalue())
    rows, faults = log_form.taken(path, store, record, OWNER)
    return rows, list(map(str, faults))


def test_a_filled_log_is_taken_with_who_and_when_of_each_line(
    released: tuple[Archive, Record], tmp_path: Path
) -> None:
    def by_hand(lines: Lines) -> None:
        at = {line["number"] or line["what"]: line for line in lines}
        assert at["W2"]["what"] == "at CS1 left and CM1 left"
        assert at["caster, left"]["wanted"] == "5.1 deg"
        at["W1"] |= {"found": "OK", "by": "a welder", "date": "2026-01-30"}
        at["W3"] |= {"found": "ok"}
        at["B2"] |= {"found": "120 lb-ft"}
        at["toe in, at the tread"] |= {"found": "1/16"}
        lines.append(dict(at["W1"]))  # said twice alike is said once

    rows, faults = filled(released, tmp_path / "log.csv", by_hand)
    assert not faults
    event = {"kind": "entered", "rows": rows, **OWNER._asdict()}
    assert [entry[:5] for entry in entries.rows([event])] == [
        ("weld", "W1", entries.LAID, "a welder", "2026-01-30"),
        ("weld", "W3", entries.LAID, *OWNER[:2]),
        ("bolt", "B2", "120 lb-ft", *OWNER[:2]),
        ("alignment", "toe in, at the tread", "1/16", *OWNER[:2]),
    ]
    log = log_sheets.gathered(released[1].data, None, [(released[1].data, [event])], Level.WELD)
    assert log.open("welds") == ["W2"] and log.open("bolts") == ["B1"]
    assert [(one.what, one.value) for one in log.aligned] == [("toe in, at the tread", "1/16")]


def test_a_log_alone_is_entered_by_those_it_names() -> None:
    rows = [
        {"by": "a welder", "date": "2026-01-30"},
        {"by": "a fitter", "date": "2026-02-02"},
        {"by": "a welder", "date": "2026-01-31"},
    ]
    assert log_form.signed(rows, Signer("", "")) == ("a welder, a fitter", "2026-02-02", "")
    assert log_form.signed(rows, OWNER) == OWNER
    many = [{"by": f"welder number {count}", "date": ""} for count in range(9)]
    assert not [f for f in log_form.signed(many, Signer("", "2026-02-01")).faults()]


def _twice(lines: Lines) -> None:
    lines[0] |= {"found": "ok", "by": "a welder"}
    lines.append(lines[0] | {"by": "another"})


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_twice, ("line 2 says", "by differ", "another")),
        (lambda lines: lines[0].update(number="W9", found="ok"), ("no W9", "W1 .. W3")),
        (lambda lines: lines[0].update(number="W3-W1", found="ok"), ("W1-W3",)),
        (lambda lines: lines[0].update(number="W1-W3", found="ok"), ("one number",)),
        (lambda lines: lines[0].update(found="cracked"), ("not sound",)),
        (lambda lines: lines[0].update(revision="T2 A", found="ok"), ("another revision",)),
        (lambda lines: lines[0].update(sheet="welds", found="ok"), ("weld | bolt",)),
        (lambda lines: lines[0].update(found="ok", date="today"), ("2026-01-31",)),
        (lambda lines: lines[-1].update(what="horn", found="ok"), ("alignment sheet",)),
        (lambda lines: lines[-1].update(found="x" * 99), ("shorten",)),
        (lambda lines: lines[3].update(found="nan"), ("B1", "nan", "lb ft")),
        (lambda lines: lines[-10].update(found="good"), ("good", "5.1 deg")),
        (lambda lines: None, ("at least one line",)),
    ],
)
def test_a_log_that_is_wrong_says_where(
    change: Callable[[Lines], object],
    says: tuple[str, ...],
    released: tuple[Archive, Record],
    tmp_path: Path,
) -> None:
    _, faults = filled(released, tmp_path / "log.csv", change)
    assert faults and all(word in " ".join(faults) for word in says), faults


def test_a_file_that_is_no_log_says_how_to_get_one(
    released: tuple[Archive, Record], tmp_path: Path
) -> None:
    (tmp_path / "x.csv").write_text("a,b\n1,2\n")
    _, (fault,) = log_form.taken(tmp_path / "x.csv", *released, OWNER)
    assert "--blank" in str(fault)
