"""Remarks that a customer or an engineer leaves in the page of a revision: they come back as one
file, which is taken whole into the record of that revision, or not at all.
"""

from __future__ import annotations

import html
import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from pathlib import Path

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.reading import day
from ...parts.page.policy import sha256_of
from ...parts.words.names import part
from .entries import rows as entered
from .log_form import signed
from .record import Record
from .signature import NAME_LEAST, NAME_MOST, Signer
from .store import Archive

MARK = "soapstone remarks"
NUMBER = 1
"""Number of the file, raised whenever what is in it changes."""
MOST = 500
"""Remarks in one file."""
MOST_BYTES = 1_000_000
LONGEST = 200
"""Characters of a remark."""
WHOLE = "the whole truck"
KIND = "note"
"""The kind of entry a remark is kept as, so that every version that reads the archive reads it."""


def subjects(record: Record) -> list[str]:
    """What can be remarked on: the whole truck, its parts, welds and bolts as the sheets number
    them.
    """
    parts = sorted({part(row["part"]) for row in record.data["parts"]})
    numbers = [*record.welds(), *record.data.get("bolts", ())]
    return [WHOLE, *parts, *sorted(numbers, key=lambda number: (number[0], int(number[1:])))]


def with_remarks(page: str, record: Record) -> str:
    """A page with remarks to fill in at its end; its content policy allows their script too."""
    script = files(__package__).joinpath("remarks.js").read_text(encoding="utf-8")
    own = json.dumps({MARK: NUMBER, "chassis": record.chassis, "letter": record.letter})
    options = "".join(f"<option>{html.escape(each)}</option>" for each in subjects(record))
    form = (
        '<h2 id="remarks">Remarks</h2><p>What you write here stays in this page until it is'
        " saved as a file; send that file to the shop, which takes it into its record.</p>"
        f'<div class="tools"><label>on <select id="remark-about">{options}</select></label>'
        f'<label>remark <input id="remark-text" maxlength="{LONGEST}" size="40"></label>'
        f'<label>by <input id="remark-by" maxlength="{NAME_MOST}" autocomplete="name"></label>'
        '<label>day <input id="remark-date" type="date"></label>'
        '<button id="remark-add">Put in the list</button>'
        '<button id="remark-save" disabled>Save the remarks</button></div>'
        '<p id="remark-told" role="status"></p><ul id="remark-list"></ul>'
        f'<script type="application/json" id="remarked">{own}</script><script>{script}</script>'
    )
    page = page.replace("script-src ", f"script-src '{sha256_of(script)}' ", 1)
    return page.replace("</main>", f"{form}</main>", 1)


def take_remarks(store: Archive, path: Path) -> tuple[Record, list[dict[str, str]]]:
    """A saved file's remarks into the record of its revision: the revision, and what was new.

    A remark that stands there already is not entered again. Raises (COMMAND_LINE) with every fault.
    """
    table, remarks = _said(path)
    record = store.record(str(table.get("chassis", "")), str(table.get("letter", "")))
    known = set(subjects(record))
    faults: list[Fault] = []
    found: list[dict[str, str]] = []
    for count, row in enumerate(remarks, 1):
        faults += _faults(f"remark {count}", row, known)
        if not faults and isinstance(row, Mapping):
            said = {word: str(row[word]).strip() for word in ("about", "remark", "by", "date")}
            found.append(
                {
                    "kind": KIND,
                    "what": f"remark on {said['about']}",
                    "value": said["remark"],
                    "by": said["by"],
                    "date": said["date"],
                }
            )
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults, f"{path}: nothing was taken in")
    events = [event.data for event in store.events(record.chassis, record.letter)]
    before = {(own.what, own.value, own.by, own.date) for own in entered(events)}
    new: list[dict[str, str]] = []
    for row in found:
        if (row["what"], row["value"], row["by"], row["date"]) not in before and row not in new:
            new.append(row)
    if new:
        who = signed(new, Signer("", "")).facts()
        store.happened(record.chassis, record.letter, {**who, "kind": "entered", "rows": new})
    return record, new


def _said(path: Path) -> tuple[dict[str, object], list[object]]:
    """The file as a table with its chassis and letter, and its list of remarks."""
    says = "a file of remarks that a page from export --read-only saved"
    remedy = "have the remarks saved again in the page, and take the file as it came"
    table: object = None
    try:
        if path.stat().st_size <= MOST_BYTES:
            table = json.loads(path.read_bytes().decode("utf-8"))
    except FileNotFoundError:
        remedy = "there is no such file; check the name"
    except (OSError, UnicodeDecodeError, ValueError, RecursionError):
        table = None
    if not isinstance(table, dict) or table.get(MARK) != NUMBER:
        raise _refused(path, Fault(str(path), "", says, remedy))
    rows = table.get("remarks")
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST:
        raise _refused(path, Fault("remarks", "", f"1 to {MOST} remarks", remedy))
    return table, rows


def _refused(path: Path, fault: Fault) -> SoapstoneError:
    return SoapstoneError(Exit.COMMAND_LINE, [fault], f"{path}: nothing was taken in")


def _faults(where: str, row: object, known: Sequence[str] | set[str]) -> list[Fault]:
    """What is wrong with one remark of the file."""
    if not isinstance(row, Mapping):
        return [Fault(where, "", "on what, the remark, by whom, which day", "save it again")]
    found = []
    about, remark, by, date = (
        str(row.get(word, "")).strip() for word in ("about", "remark", "by", "date")
    )
    if about not in known:
        allowed = f"{WHOLE}, or a part, weld or bolt of that revision"
        found.append(Fault(f"{where} on", about[:40], allowed, "it is of another revision"))
    for what, text, most in (("", remark, LONGEST), (" by", by, NAME_MOST)):
        if not NAME_LEAST <= len(text) <= most or not text.isprintable():
            allowed = f"{NAME_LEAST} to {most} characters on one line"
            found.append(Fault(f"{where}{what}", text[:40], allowed, "write it so"))
        elif "<" in text or ">" in text:
            found.append(Fault(f"{where}{what}", text[:40], "plain words", "leave out < and >"))
    if day(date) is None:
        found.append(Fault(f"{where} day", date[:20], "a day, as 2026-01-31", "say when"))
    return found
