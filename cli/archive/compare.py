"""Two released revisions side by side."""

from __future__ import annotations

import io
from typing import Any, NamedTuple

from ...parts.truck.likeness import Compared, compare_rows
from ...parts.words.names import part as name_of
from .store import Archive, Record


class Differences(NamedTuple):
    """Readings and values (key, then, now); what became of each part; files."""

    readings: list[tuple[str, str, str]]
    values: list[tuple[str, str, str]]
    parts: Compared
    files: list[str]


def differences(store: Archive, a: Record, b: Record) -> Differences:
    """What differs from ``a`` to ``b``; another chassis' name, letters and drafts' marks in file
    names do not count.
    """

    def rows(word: str) -> list[tuple[str, str, str]]:
        x, y = a.data.get(word, {}), b.data.get(word, {})
        return [
            (k, str(x.get(k, "")), str(y.get(k, "")))
            for k in sorted(x.keys() | y.keys())
            if x.get(k) != y.get(k) and k not in ("job.chassis", "job.date", "job.title")
        ]

    one, two = (
        {
            _plain(f["path"], r): f["sha256"]
            for f in r.data["files"]
            if not f["path"].startswith("input/")
        }
        for r in (a, b)
    )
    return Differences(
        rows("typed"),
        rows("values"),
        compare_rows(a.data["parts"], b.data["parts"]),
        sorted(k for k in one.keys() | two.keys() if one.get(k) != two.get(k)),
    )


def _plain(path: str, r: Record) -> str:
    """A file's name without chassis and revision letter, so that the same part's files meet."""
    folder, _, name = path.rpartition("/")
    fields = [f for f in name.split("-") if f != r.data["chassis"]]
    letters = set(r.revisions().values())
    name = "-".join(f for i, f in enumerate(fields) if not (i in (1, 2) and f in letters))
    return f"{folder}/{name}" if folder else name


def overlays(store: Archive, a: Record, b: Record, d: Differences) -> bytes:
    """A page for every plate whose cut file changed: then dashed, now wide.

    Empty where no outline differs.
    """
    from ...parts.drawing.display import pdf

    pages = []
    for part in d.parts.shape:
        old, new = (_loops(store, r, part) for r in (a, b))
        if old and new and old != new:
            pages.append(_page(part, a, b, old, new))
    return pdf(pages) if pages else b""


def _loops(store: Archive, r: Record, part: str) -> list[list[tuple[float, float]]]:
    """Outline and openings of a part's stored cut file, in its unit."""
    import ezdxf
    from ezdxf import path as paths

    row = next(p for p in r.data["parts"] if p["part"] == part)
    code = part.partition(".")[0]
    hand = "C" if part.endswith(".C") else row["hand"]
    start = f"cut/{r.data['chassis']}-{code}-{row['revision']}-{hand}-"
    found = next((f for f in r.data["files"] if f["path"].startswith(start)), None)
    if found is None:
        return []
    doc = ezdxf.read(io.StringIO(store.content(found["sha256"]).decode()))
    loops = []
    for e in doc.modelspace():
        if e.dxftype() in (
            "LWPOLYLINE",
            "POLYLINE",
            "CIRCLE",
        ) and not e.dxf.layer.upper().startswith(("SCRIBE", "DRILL", "FOLD")):
            loops.append(
                [
                    (round(float(v.x), 4), round(float(v.y), 4))
                    for v in paths.make_path(e).flattening(0.005)
                ]
            )
    return loops


def _page(part: str, a: Record, b: Record, old: Any, new: Any) -> Any:
    from ...parts.drawing.pages import INNER, page
    from ...parts.drawing.sheet import MARGIN

    s = page(
        f"{a.data['chassis']}:{a.letter}",
        b.data.get("date", ""),
        "Which parts differ",
        f"{name_of(part)} to {b.data['chassis']}:{b.letter}",
        "Dashed: as it was. Wide: as it is. Both from the lower-left corner of their own cut file.",
    )
    every = [q for loop in (*old, *new) for q in loop]
    wide, tall = max(x for x, _ in every), max(y for _, y in every)
    k = min((INNER - 40) / max(wide, 1e-6), 430 / max(tall, 1e-6))
    for loops, kind in ((old, "dashed"), (new, "wide")):
        for loop in loops:
            s.poly([(MARGIN + 20 + k * x, 90 + k * y) for x, y in loop], kind)
    return s
