"""What is cut: a cut sheet for each thickness, the holes that are drilled."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.assumed import about
from ...layout.reader import measure, metric, number, unit
from ..drawing.symbols import bevel_words
from ..export.cut import strokes
from ..export.nest import SQUARE
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Edge, Plate
from ..words import names
from ..words.cautions import cautions
from . import schedules, steel_schedules
from .engine import Block, Doc, Table, Ticks, Words
from .facts import ASSUMED, Facts
from .tube_list import tube_sheet


def hand_of(p: Part) -> str:
    """Which side of the truck a part is cut for, in words: left, right, center or both."""
    return {"L": "left", "R": "right", "E": "center" if p.centered else "both"}[p.hand]


def cut_length(p: Part) -> tuple[float, int]:
    """Length that is cut, mm, and how many times the arc is struck."""
    total, pierces = 0.0, 0
    for s in strokes(p):
        if s.layer in ("OUTLINE", "OPENING"):
            pierces += 1
            if s.diameter:
                total += math.pi * s.diameter
            else:
                loop = tuple(Edge("", (x, y), b) for x, y, b in s.points)
                total += sum(outline.edge_length(e, q) for e, q in outline.spans(loop))
    return total, pierces


def by_plate(f: Facts) -> dict[str, list[tuple[Part, Plate]]]:
    """Plate parts with their plates by stock, thinnest first."""
    plates = [(p, p.member.body) for p in f.truck.parts if isinstance(p.member.body, Plate)]
    found: dict[str, list[tuple[Part, Plate]]] = {}
    for part, body in sorted(
        plates, key=lambda pair: (f.shop.plate(pair[1].stock).thickness, pair[0].id)
    ):
        found.setdefault(body.stock, []).append((part, body))
    return found


def _cut_table(f: Facts, stock: str, parts: Sequence[tuple[Part, Plate]]) -> Table:
    """What is cut of one plate."""
    plate = f.shop.plate(stock)
    rows = []
    for part, body in parts:
        run, pierces = cut_length(part)
        drilled = sum(h.how != "cut" for h in part.holes)
        rows.append(
            (
                part.number,
                part.member.title,
                f.revisions[part.id],
                hand_of(part),
                str(part.quantity * f.trucks),
                steel_schedules.overall(part),
                number(run, "length", 0 if metric() else 1),
                str(pierces),
                str(drilled) if drilled else "",
                "yes" if body.bends else "",
                number(part.mass, "mass", 2),
                "" if f.judged.cut(part.id)[0] else "NOT FOR CUTTING",
            )
        )
    total = sum(part.mass * part.quantity * f.trucks for part, _ in parts)
    return Table(
        f"{stock}: {plate.called()}, {plate.steel}; {measure(total, 'mass', 1)} in all."
        " Heat no ______________",
        (
            ("part", 0.06),
            ("name", 0.24),
            ("rev", 0.09),
            ("hand", 0.06),
            ("qty", 0.05),
            (f"box, {unit('length')}", 0.13),
            (f"cut, {unit('length')}", 0.07),
            ("pierce", 0.07),
            ("drill", 0.06),
            ("bend", 0.06),
            (f"{unit('mass')} each", 0.08),
            ("cut by", 0.1),
        ),
        rows,
    )


def _nest_table(f: Facts) -> Table:
    """The nested sheets and what is left of each."""
    rows = [
        (
            s.sheet.stock,
            s.sheet.name,
            str(s.number),
            str(sum(q.name != SQUARE for q in s.placed)),
            f"{100 * s.utilisation:.0f} %",
            number(s.used, "length", 1),
            f"{number(s.remnant[0], 'length', 1)} x {number(s.remnant[1], 'length', 1)}",
            f"{f.chassis} {s.remnant_name}",
            "",
            "",
        )
        for s in f.nest.sheets
    ]
    return Table(
        "Nested sheets and what is left of them",
        (
            ("plate", 0.11),
            ("sheet", 0.1),
            ("no", 0.05),
            ("parts", 0.07),
            ("used", 0.07),
            (f"length, {unit('length')}", 0.09),
            (f"remnant, {unit('length')}", 0.12),
            ("call it", 0.16),
            ("heat", 0.12),
            ("check square", 0.11),
        ),
        rows,
    )


def cut_sheet(f: Facts) -> Doc:
    """A table a thickness: what, which hand, how many, how much cutting; and the nested sheets."""
    blocks: list[Block] = [
        Words(
            "",
            [
                "Nominal size: kerf and lead-ins belong to the table. Good side up as the file is"
                " drawn; left and right are separate files. Cut the check square first and"
                " measure it."
            ],
        )
    ]
    blocks.append(Words(ASSUMED, about(f.strength.assumed, "[[plate]]") or ["nothing"]))
    blocks += [_cut_table(f, stock, parts) for stock, parts in by_plate(f).items()]
    blocks.append(_nest_table(f))
    bevels = [
        f"{names.part(w.on)}: {bevel_words(w)} (weld {n})"
        for n, w in f.welds().items()
        if w.groove and w.groove.bevel
    ]
    if bevels:
        blocks.append(Words("Bevels, ground after cutting", bevels))
    if f.nest.left:
        blocks.append(
            Words("On no sheet", [f"{names.part(k)}: {v}" for k, v in f.nest.left.items()])
        )
    blocks.append(
        Ticks(
            "Before the parts leave the table",
            [
                "check square measured both ways and written above",
                "every part marked: number, revision, hand, top face",
                "dross off, edges ground where they will be welded or bent",
                (
                    "remnants painted with the name above and the heat number; one without is"
                    " quarantined"
                ),
            ],
        )
    )
    return Doc(
        "cut-sheet", "Cut sheet", "Stage 2, cut", "the table operator", cautions("cut"), blocks
    )


def holes(f: Facts) -> Doc:
    """Bolt-hole schedule: every hole from its part's lower-left corner, how it is made."""
    return Doc(
        "holes",
        "Bolt-hole schedule",
        "Stage 2, cut",
        "whoever drills",
        (
            (
                "Pivot, frame and steering holes are drilled or reamed, never flame-cut to size."
                " Drill aligned pairs clamped together, before they are welded."
            ),
            *(f"RULE SET ASIDE: {rule}" for rule in f.aside()),
        ),
        [
            _hole_table(f),
            Words(
                "",
                [
                    "A part that fits both sides, or every place it goes to, stands once, without a"
                    " side."
                ],
            ),
        ],
    )


def _hole_table(f: Facts) -> Table:
    """Every hole of every plate, as ``schedules.holes`` gives them."""
    named, places = {part.id: names.made(part) for part in f.truck.parts}, 1 if metric() else 3
    return Table(
        f"{'Millimeters' if metric() else 'Inches'} from the part's lower-left corner as"
        " its drawing shows it",
        (
            ("part", 0.09),
            ("hole", 0.07),
            ("x", 0.09),
            ("y", 0.09),
            ("finished", 0.14),
            ("how", 0.08),
            ("pilot", 0.08),
            ("edge", 0.08),
            ("bolt", 0.15),
            ("qty", 0.05),
            ("done", 0.08),
        ),
        [
            (
                named[row["part"]],
                row["hole"],
                f"{row['x']:.{places}f}",
                f"{row['y']:.{places}f}",
                row["finished"] + (f" x {row['slot_length']} slot" if row["slot_length"] else ""),
                row["how"],
                row["pilot"],
                f"{row['edge']:.{places}f}",
                row["bolt"],
                str(row["quantity"]),
                "",
            )
            for row in schedules.holes(f.truck).rows
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Cut sheet, bolt-hole schedule and the tube cut list."""
    return [cut_sheet(f), holes(f), tube_sheet(f)]
