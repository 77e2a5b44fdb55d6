"""The page that says which revision of a chassis is good: every print names it, so it is written
again whenever a revision is released, signed or given again.
"""

from __future__ import annotations

import html
from pathlib import Path

from .. import disk
from .store import Archive

NAME = "current.html"
STYLE = (
    "body{font:16px"
    " sans-serif;margin:2em;max-width:60em}h1{font-size:1.6em}td,th{text-align:left;padding:.3em"
    " .8em;border-bottom:1px solid #999}.good{font-weight:bold}"
)


def page(store: Archive, chassis: str, out: Path) -> str:
    """HTML of every revision, the good one first; links to those whose folder is under ``out``."""
    records, listing = store.records(chassis), store.listing(chassis)
    good = records[-1]
    rows = []
    for record in reversed(records):
        words = (
            "good" if record is good else f"superseded by {good.letter}: prints of it are void",
            store.level(record, listing),
            *(str(record.data.get(key, "")) for key in ("date", "by", "note")),
        )
        link = html.escape(record.letter)
        if (out / chassis / record.letter / "index.html").is_file():
            link = f'<a href="{link}/index.html">{link}</a>'
        cells = "".join(f"<td>{html.escape(word)}</td>" for word in words)
        mark = " class=good" if record is good else ""
        rows.append(f"<tr{mark}><td>{link}</td>{cells}</tr>")
    parts = ", ".join(
        f"{html.escape(part)} {html.escape(letter)}" for part, letter in good.revisions().items()
    )
    title = f"Chassis {html.escape(chassis)}: revision {good.letter} is good"
    return (
        '<!doctype html><html lang="en"><meta'
        f' charset="utf-8"><title>{title}</title><style>{STYLE}</style><h1>{title}</h1>'
        "<table><tr><th>revision</th><th></th><th>signed"
        f" for</th><th>day</th><th>by</th><th>why</th></tr>{''.join(rows)}</table>"
        f"<h2>Parts of revision {good.letter}, each with the revision its drawing"
        f" carries</h2><p>{parts}</p>"
        "<p>A release is a record, not an approval; local law decides, and whoever may sign must"
        " sign.</p></html>\n"
    )


def write(store: Archive, chassis: str, out: Path) -> Path:
    """Write the page into the chassis' folder; its path.

    The page before is replaced in one go. Raises (ARCHIVE_DAMAGED) where a revision cannot be read,
    OSError where the folder cannot be written.
    """
    path = out / chassis / NAME
    disk.put_file(path, page(store, chassis, out).encode())
    return path
