"""Two released revisions side by side."""

from __future__ import annotations

import io
from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, NamedTuple

from ...parts.truck.likeness import Compared, Likeness, compare_rows
from ...parts.words.names import part as name_of
from .index import numbered
from .record import Record
from .store import Archive

if TYPE_CHECKING:
    from ...parts.drawing.display import Sheet

DrawnLoop = list[tuple[float, float]]
FLATTENED = 0.005
"""How far a drawn arc may stand off the cut one, in the unit of the cut file."""
FRAME = 40.0
"""Points left free beside a drawn outline."""
TALL = 430.0
"""Points an outline may be tall: what the title block leaves of a letter page."""


class Differences(NamedTuple):
    """Readings and values (key, then, now); what became of each part; files."""

    readings: list[tuple[str, str, str]]
    values: list[tuple[str, str, str]]
    parts: Compared
    files: list[str]


def differences(old: Record, new: Record) -> Differences:
    """What differs from ``old`` to ``new``; another chassis' name, letters and drafts' marks in
    file names do not count.
    """
    own = {"job.chassis", "job.date", "job.title"}

    def rows(was: Mapping[str, str], now: Mapping[str, str]) -> list[tuple[str, str, str]]:
        return [
            (key, str(was.get(key, "")), str(now.get(key, "")))
            for key in sorted(was.keys() | now.keys())
            if was.get(key) != now.get(key) and key not in own
        ]

    one, two = (
        {
            _plain(file["path"], record): file["sha256"]
            for file in record.data["files"]
            if not file["path"].startswith("input/")
        }
        for record in (old, new)
    )
    return Differences(
        rows(old.data.get("typed", {}), new.data.get("typed", {})),
        rows(old.data.get("values", {}), new.data.get("values", {})),
        compare_rows(old.data["parts"], new.data["parts"]),
        sorted(path for path in one.keys() | two.keys() if one.get(path) != two.get(path)),
    )


def called(old: Record, new: Record) -> dict[str, str]:
    """What each part of two revisions is called on paper: one that is cut alike for several places
    has no side; as the newer one has it.
    """
    rows = (row for record in (old, new) for row in record.data["parts"])
    return {row["part"]: name_of(numbered(row)) for row in rows}


NO_NAMES: Mapping[str, str] = {}


def part_lines(
    found: Compared, own: Collection[Likeness] = (), named: Mapping[str, str] = NO_NAMES
) -> list[str]:
    """What became of the parts, a line an answer; only the number of those that are the same.

    ``own``: answers that are told elsewhere; ``named``: what a part is called, where that is not
    its place.
    """

    def said(parts: Collection[str]) -> str:
        return ", ".join(dict.fromkeys(named.get(part) or name_of(part) for part in parts))

    return [
        f"{answer}: {len(parts)}"
        + ("" if answer is Likeness.SAME or not parts else f": {said(parts)}")
        for answer, parts in found.by_likeness().items()
        if answer not in own and (parts or answer not in (Likeness.GONE, Likeness.COME))
    ]


def _plain(path: str, record: Record) -> str:
    """A file's name without chassis and revision letter, so that the same part's files meet."""
    folder, _, name = path.rpartition("/")
    fields = [field for field in name.split("-") if field != record.chassis]
    letters = set(record.revisions().values())
    name = "-".join(
        field for at, field in enumerate(fields) if not (at in LETTER_FIELDS and field in letters)
    )
    return f"{folder}/{name}" if folder else name


LETTER_FIELDS = (1, 2)
"""Fields of a file's name, its chassis left out, in which the revision letter may stand."""


def overlays(store: Archive, old: Record, new: Record, found: Differences) -> bytes:
    """A page for every plate whose cut file changed: then dashed, now wide.

    Empty where no outline differs.
    """
    from ...parts.drawing.display import pdf

    pages = []
    for part in found.parts.shape:
        was, now = (_loops(store, record, part) for record in (old, new))
        if was and now and was != now:
            pages.append(_page(part, (old, was), (new, now)))
    return pdf(pages) if pages else b""


def _loops(store: Archive, record: Record, part: str) -> list[DrawnLoop]:
    """Outline and openings of a part's stored cut file, in its unit."""
    from ezdxf import path as paths
    from ezdxf.filemanagement import read

    row = next(row for row in record.data["parts"] if row["part"] == part)
    code = part.partition(".")[0]
    hand = "C" if part.endswith(".C") else row["hand"]
    start = f"{record.chassis}-{code}-{row['revision']}-{hand}-"
    files = record.data["files"]
    found = next(
        (
            file
            for file in files
            if file["path"].startswith("cut/") and file["path"].rpartition("/")[2].startswith(start)
        ),
        None,
    )
    if found is None:
        return []
    drawn = ("LWPOLYLINE", "POLYLINE", "CIRCLE")
    return [
        [(round(float(v.x), 4), round(float(v.y), 4)) for v in path.flattening(FLATTENED)]
        for entity in read(io.StringIO(store.content(found["sha256"]).decode())).modelspace()
        if entity.dxftype() in drawn
        and not entity.dxf.layer.upper().startswith(("SCRIBE", "DRILL", "FOLD"))
        for path in (paths.make_path(entity),)
    ]


def _page(
    part: str, old: tuple[Record, list[DrawnLoop]], new: tuple[Record, list[DrawnLoop]]
) -> Sheet:
    from ...parts.drawing.pages import INNER, page
    from ...parts.drawing.sheet import MARGIN

    (was, dashed), (now, wide) = old, new
    sheet = page(
        f"{was.chassis}:{was.letter}",
        now.data.get("date", ""),
        "Which parts differ",
        f"{name_of(part)} to {now.chassis}:{now.letter}",
        "Dashed: as it was. Wide: as it is. Both from the lower-left corner of their own cut file.",
    )
    corners = [corner for loop in (*dashed, *wide) for corner in loop]
    across, up = max(x for x, _ in corners), max(y for _, y in corners)
    scale = min((INNER - FRAME) / max(across, 1e-6), TALL / max(up, 1e-6))
    left, low = MARGIN + FRAME / 2, 90
    for loop in dashed:
        sheet.poly([(left + scale * x, low + scale * y) for x, y in loop], "dashed")
    for loop in wide:
        sheet.poly([(left + scale * x, low + scale * y) for x, y in loop], "wide")
    return sheet
