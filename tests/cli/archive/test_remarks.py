"""Remarks left in the page of a revision come back whole into its record, or not at all."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from archives import add
from browser import CHROMIUM, browser
from browser import saved as saved_by
from soapstone.cli.archive import entries, log_sheets, remarks
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import SoapstoneError
from soapstone.parts.model.terms import Level
from soapstone.parts.page.policy import sha256_of

ROW = {"about": "CS1 left", "remark": "wider foot?", "by": "the engineer", "date": "2026-03-01"}


def saved(path: Path, *rows: object, **facts: object) -> Path:
    table: dict[str, Any] = {remarks.MARK: 1, "chassis": "T1", "letter": "A"}
    path.write_text(json.dumps(table | {"remarks": list(rows)} | facts))
    return path


@pytest.fixture
def store(tmp_path: Path) -> Archive:
    held = Archive(tmp_path / "archive")
    add(held, "T1", 0)
    return held


def events(store: Archive) -> list[Any]:
    return [event.data for event in store.events("T1", "A")]


def test_remarks_stand_in_the_record_once_and_survive_the_next_revision(
    store: Archive, tmp_path: Path
) -> None:
    file = saved(tmp_path / "r.json", ROW, ROW | {"about": "W2"}, ROW)
    _, new = remarks.take_remarks(store, file)
    assert [row["what"] for row in new] == ["remark on CS1 left", "remark on W2"]
    assert remarks.take_remarks(store, file)[1] == [] and len(events(store)) == 1
    kept = next(iter(entries.rows(events(store))))
    assert kept[:5] == ("note", "remark on CS1 left", "wider foot?", "the engineer", "2026-03-01")
    later = add(store, "T1", 1)
    history = [(store.record("T1", "A").data, events(store)), (later.data, [])]
    log = log_sheets.gathered(later.data, None, history, Level.TACK)
    assert next((one.what, one.value, one.revision) for one in log.notes) == (
        "remark on CS1 left",
        "wider foot?",
        "A",
    )


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (ROW | {"about": "ZZ9 left"}, "another revision"),
        (ROW | {"remark": "<img src=x>"}, "leave out < and >"),
        (ROW | {"remark": "x" * 201}, "2 to 200 characters"),
        (ROW | {"remark": "one\ntwo"}, "on one line"),
        (ROW | {"by": ""}, "remark 2 by"),
        (ROW | {"date": "May"}, "a day, as"),
        ("words", "on what"),
    ],
)
def test_one_bad_remark_and_nothing_is_taken(
    row: object, says: str, store: Archive, tmp_path: Path
) -> None:
    with pytest.raises(SoapstoneError) as caught:
        remarks.take_remarks(store, saved(tmp_path / "r.json", ROW, row))
    assert says in str(caught.value.faults[0]) and not events(store)


@pytest.mark.parametrize(
    "facts", [{"remarks": []}, {remarks.MARK: 9}, {"chassis": "T9"}, {"letter": "Q"}]
)
def test_a_file_of_something_else_is_refused(
    facts: dict[str, object], store: Archive, tmp_path: Path
) -> None:
    with pytest.raises(SoapstoneError):
        remarks.take_remarks(store, saved(tmp_path / "r.json", ROW, **facts))
    for other in ("[" * 100_000, json.dumps({remarks.MARK: 1, "remarks": [ROW]})):
        (tmp_path / "none.json").write_text(other)
        with pytest.raises(SoapstoneError):
            remarks.take_remarks(store, tmp_path / "none.json")
    assert not events(store)


def test_the_page_asks_for_remarks_and_allows_that_script_alone(store: Archive) -> None:
    policy = "default-src 'none'; script-src 'sha256-A'; base-uri 'none'"
    frame = f'<meta content="{policy}"><main></main>'
    page = remarks.with_remarks(frame, store.record("T1"))
    script = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    assert len(script) == 1 and f"script-src '{sha256_of(script[0])}' 'sha256-A';" in page
    assert re.findall(r"<option>(.*?)</option>", page) == [
        "the whole truck",
        "AB1 left",
        "CS1 left",
        "W1",
        "W2",
    ]


@pytest.mark.skipif(not CHROMIUM, reason="needs Chromium")
def test_remarks_left_on_a_phone_without_a_network_come_back(
    store: Archive, tmp_path: Path
) -> None:
    """In headless Chromium under the page's own policy, by touch."""
    own = sha256_of("")
    policy = f"default-src 'none'; script-src '{own}'; base-uri 'none'; form-action 'none'"
    frame = (
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}"><main></main></html>'
    )
    page = tmp_path / "T1.html"
    page.write_text(remarks.with_remarks(frame, store.record("T1")))
    with browser(tmp_path) as opened:
        tab = opened.tab(page.as_uri())
        tab.offline()
        tab.touch("#remark-add")
        missing = "what you remark, your name, the day"
        tab.until(f"document.getElementById('remark-told').textContent.includes('{missing}')")
        tab.run("document.getElementById('remark-about').value = 'W2'")
        tab.run("document.getElementById('remark-date').value = '2026-03-01'")
        for box, words in (("#remark-text", "run it round the corner"), ("#remark-by", "Pat")):
            tab.touch(box)
            tab.types(words)
        tab.touch("#remark-add")
        tab.until("document.querySelectorAll('#remark-list li').length === 1")
        tab.touch("#remark-save")
        file = saved_by(tmp_path)
        assert not tab.complaints()
    _, new = remarks.take_remarks(store, file)
    assert [(row["what"], row["value"], row["by"], row["date"]) for row in new] == [
        ("remark on W2", "run it round the corner", "Pat", "2026-03-01")
    ]
