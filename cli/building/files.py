"""Files of one kind each, in memory: travel, nests, shop documents, the page."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from ...layout import reader, units
from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...parts.model.assembly import Part
from ...parts.model.verdict import Verdict
from ...parts.stock import Shop
from ...parts.strength.rows import Strength
from ...parts.truck.truck import Truck
from ...parts.verdict.findings import Judged
from .text import csv_bytes, json_bytes


def document_files(
    job: Job,
    solved: Graph,
    truck: Truck,
    shop: Shop,
    held: Strength,
    judged: Judged,
    revisions: Mapping[str, str],
    level: str,
    says: str,
    nested: Any,
    gaps: list[tuple[str, str, str, str]],
    say: Callable[[str], None],
    void: str = "",
    accepted: Sequence[Mapping[str, str]] = (),
) -> tuple[dict[str, bytes], dict[int, list[str]]]:
    """Shop documents and the workbook, and which of them each stage has.

    ``level``: see ``parts.levels``; ``says``: in words; ``accepted``: what was signed for.
    """
    from ...parts import documents
    from ...parts.documents.engine import Head
    from ...parts.documents.facts import Facts

    f = Facts(
        job.chassis,
        job.words.get("job.date", ""),
        job.words,
        job.readings,
        solved,
        truck,
        shop,
        held,
        nested,
        revisions,
        judged,
        accepted,
    )
    return documents.files(
        f,
        Head(job.chassis, job.words.get("job.date", ""), level, says, shop.paper, void, shop.name),
        gaps,
        say,
    )


def travel_files(
    job: Job, solved: Graph, c: Any, judged: Judged, paper: str, foot: str = ""
) -> tuple[dict[str, bytes], list[tuple[str, str, str, str]]]:
    """travel.json, its tables and the travel sheets; and the close pairs for the sheet that is
    filled in.
    """
    from ...parts.drawing.travel import travel_pdf
    from . import travel_report as cycling

    data = cycling.as_json(c, solved, judged)
    gaps = [
        (
            f"{g['says']} ({g['one']}, {g['two']})",
            str(g["place"]),
            f"{g['gap']:.2f}",
            f"{g['wanted']:.2f}",
        )
        for g in data["gaps"]
        if g["verdict"] != Verdict.OK or g["gap"] < reader.valued(units.IN, "length")
    ]
    return {
        "travel.json": json_bytes(data),
        "schedule/positions.csv": csv_bytes(
            data["positions"], ("place", "key", "value", "unit", "plus_minus")
        ),
        "schedule/limits.csv": csv_bytes(
            data["limits"],
            ("path", "what", "at", "along", "asked", "there", "bound", "limit", "unit", "governs"),
        ),
        "schedule/gaps.csv": csv_bytes(
            data["gaps"],
            (
                "verdict",
                "gap",
                "plus_minus",
                "wanted",
                "unit",
                "one",
                "two",
                "says",
                "place",
                "x",
                "y",
                "z",
            ),
        ),
        "sheet/travel.pdf": travel_pdf(
            job.chassis,
            job.words.get("job.date", ""),
            c.travel,
            solved.values,
            cycling.sheet_words(c, solved),
            paper,
            foot,
        ),
    }, gaps


def nest_kept(job: Path) -> dict[str, Any]:
    """Places stored by ``nest`` beside the job file; none if there are none.

    Raises for a file that cannot be read.
    """
    path = job.with_name(f"{job.stem}.nest.json")
    if not path.is_file():
        return {}
    try:
        found = json.loads(path.read_bytes())
        assert isinstance(found, dict) and all(
            isinstance(v["sheets"], list) for v in found.values()
        )
    except (ValueError, KeyError, TypeError, AssertionError):
        raise SoapstoneError(
            Exit.JOB_FILE,
            [Fault(str(path), "", "places as nest wrote them", "delete it and run nest again")],
        ) from None
    return found


def nest_files(
    job: Job,
    made_of: Sequence[Part],
    shop: Shop,
    kept: Mapping[str, Any],
    foot: str = "",
    trucks: int = 1,
) -> tuple[dict[str, bytes], Any]:
    """Nested sheets as DXF and as one PDF, and the remnant report; and the nest.

    ``trucks``: parts for so many. Raises if parts of a sheet come too near each other.
    """
    from ...parts import drawing
    from ...parts.drawing.nest import nest_sheets
    from ...parts.export import nest as n

    parts = {p.called: p for p in made_of}
    got = n.nest(made_of, shop, kept, trucks)
    by = {p.name: p for p in n.pieces(made_of, trucks)}
    made: dict[str, bytes] = {}
    rows: list[dict[str, Any]] = []
    many = [f"x{trucks}"] if trucks > 1 else []
    for s in got.sheets:
        square = n.check_square(shop, s.sheet.stock)
        wrong = n.clashes(s, {**by, n.SQUARE: square}, shop)
        if wrong:
            raise SoapstoneError(
                Exit.JOB_FILE,
                [
                    Fault(
                        f"{s.sheet.stock} sheet {s.number}",
                        w,
                        "parts apart and off the edge",
                        "delete the job's .nest.json and run nest again",
                    )
                    for w in wrong
                ],
            )
        stem = "-".join(
            re.sub(r"[^A-Za-z0-9_]", "_", f)
            for f in (
                job.chassis,
                *many,
                s.sheet.stock.replace("/", "_"),
                s.sheet.name,
                f"s{s.number}",
                shop.unit,
            )
        )
        made[f"nest/{stem}.dxf"] = n.sheet_dxf(s, parts, shop).encode()
        counts: dict[str, int] = {}
        for p in s.placed:
            counts[p.name] = counts.get(p.name, 0) + 1
        rows.append(
            {
                "sheet": stem,
                "plate": s.sheet.stock,
                "name": s.sheet.name,
                "number": s.number,
                "utilisation": round(s.utilisation, 3),
                "used": round(reader.valued(s.used, "length"), 2),
                "unit": reader.unit("length"),
                "remnant": f"{job.chassis} {s.remnant_name}",
                "remnant_width": round(reader.valued(s.remnant[0], "length"), 2),
                "remnant_length": round(reader.valued(s.remnant[1], "length"), 2),
                "rule": s.rule,
                "parts": " ".join(f"{k} x{v}" for k, v in sorted(counts.items()) if k != n.SQUARE),
            }
        )
    if rows or got.left:
        made[f"nest/{'-'.join((job.chassis, *many))}-nest.pdf"] = drawing.pdf(
            nest_sheets(
                job.chassis,
                job.words.get("job.date", ""),
                got.sheets,
                {**by, n.SQUARE: n.check_square(shop, "")},
                got.left,
                shop.unit,
            ),
            shop.paper,
            foot,
            shop.name,
        )
    made["schedule/nest.csv"] = csv_bytes(
        rows,
        (
            "sheet",
            "plate",
            "name",
            "number",
            "utilisation",
            "used",
            "unit",
            "remnant",
            "remnant_width",
            "remnant_length",
            "rule",
            "parts",
        ),
    )
    made["schedule/nest.json"] = json_bytes({"sheets": rows, "left": dict(got.left)})
    return made, got


WITH_STAGE = {
    1: ("sheet/setout.pdf",),
    2: ("nest/{chassis}-nest.pdf",),
    8: ("sheet/travel.pdf", "sheet/strength.pdf"),
}
"""Sheets drawn elsewhere that a stage's packet holds too, after its own."""
STAGE_OF = {"axle": 3, "frame": 4, "crossmember": 5, "arms": 6, "set-down": 6}


def stage_files(
    made: Mapping[str, bytes],
    stages: Mapping[int, list[str]],
    stems: Mapping[str, str],
    truck: Truck,
    chassis: str,
    shop_name: str = "",
) -> dict[str, bytes]:
    """Each stage's packet: its sheets, what else belongs to it, and the drawings of the parts that
    are fitted in it.
    """
    import io

    from pypdf import PdfWriter

    from ...parts.drawing.display import TOOL
    from ...parts.model.numbering import stage_of

    found = {}
    members = {m.code: m for m in truck.assembly.members}
    for n, own in stages.items():
        drawings = [
            f"drawing/{stems[p.id]}.pdf"
            for p in truck.parts
            if any(
                STAGE_OF[stage_of(m)] == n and m.fixed_after != "tool"
                for m in map(members.__getitem__, p.places)
            )
        ]
        book = PdfWriter()
        for piece in (*own, *(e.format(chassis=chassis) for e in WITH_STAGE.get(n, ())), *drawings):
            if piece in made:
                book.append(io.BytesIO(made[piece]))
        book.add_metadata(
            {
                "/Title": f"{chassis} stage {n}",
                "/Author": shop_name,
                "/Creator": TOOL,
                "/Producer": TOOL,
            }
        )
        out = io.BytesIO()
        book.write(out)
        found[f"sheet/stage-{n}.pdf"] = out.getvalue()
    return found


def page_file(
    job: Job,
    solved: Graph,
    truck: Truck,
    shop: Shop,
    held: Strength,
    c: Any,
    judged: Judged,
    level: str,
    stems: Mapping[str, str],
    made: Mapping[str, bytes],
    rows: Sequence[Mapping[str, Any]],
) -> bytes:
    """The page of the chassis; it links what else is made."""
    import numpy as np

    from ...parts import page
    from ...parts.drawing.travel import views
    from ...parts.placed import motion as riding
    from . import travel_report as cycling
    from .build import solid_name

    t = c.travel
    date = job.words.get("job.date", "")
    moves: dict[str, list[list[float]]] = {}
    if t.pose is not None:
        kept = [i for i in range(len(t.places)) if t.pose.settled[i]]
        kept.sort(key=lambda i: t.places[i].name != "ride height")
        moves = {
            g: [[*np.asarray(r[i]).ravel(), *x[i]] for i in kept]
            for g, (r, x) in riding.transforms(t).items()
        }
    names = [t.places[i].name for i in kept] if t.pose is not None else ["ride height"]
    links = {
        p: [
            (kind, path)
            for kind, path in (
                ("cut file", f"cut/{s}.dxf"),
                ("drawing", f"drawing/{s}.pdf"),
                ("solid", f"solid/{solid_name(s, shop)}"),
            )
            if kind == "solid" or path in made
        ]
        for p, s in stems.items()
    }
    documents = [
        (path.partition("/")[2].removesuffix(".pdf").replace("-", " "), path)
        for path in sorted(made)
        if path.startswith(("sheet/", "nest/")) and path.endswith((".pdf", ".xlsx"))
    ]
    shown = page.Shown(
        job.chassis,
        date,
        level,
        riding.groups(truck.assembly),
        names,
        moves,
        views(job.chassis, date, t, solved.values)[::-1],
        links,
        documents,
        [
            (
                str(r["title"])
                + {".left": ", left", ".right": ", right"}.get(
                    r["key"][-5:] if r["key"].endswith(".left") else r["key"][-6:], ""
                ),
                r["shown"] or "waits",
                "" if r["plus_minus"] is None else f"{r['plus_minus']:.2f} {r['unit']}",
            )
            for r in rows
        ],
        [cycling.gap_words(g) for g in c.gaps[:20]],
        [*map(str, held.assumed), *held.notes],
    )
    return page.page(truck, shop, held, judged, shown)
