"""What is cut: a cut sheet for each thickness, the holes that are drilled."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.reader import measure, metric, number, unit
from ..design.part_numbers import in_order, ranges
from ..drawing.symbols import bevel_words
from ..export.cut import strokes
from ..export.nest import SQUARE
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Edge, Plate
from ..model.terms import When
from ..verdict.cut_today import sorted_parts, when
from ..words import names
from ..words.cautions import cautions
from . import schedules, steel_schedules
from .engine import Doc, DocBlock, Table, Ticks, Words
from .facts import ASSUMED, Facts
from .stations import stations
from .tube_list import tube_sheet

HALF_UP = 1e-6
"""mm: a size that lies between two tenths is printed as the larger."""
SAID = {When.NOW: "now", When.AFTER: "after set-down", When.WAITS: "NOT FOR CUTTING"}
"""When a part is cut, as its row says it, in the order of the rows."""
TODAY = {
    When.NOW: "Now, from the folder cut/now with a folder for each thickness:",
    When.AFTER: (
        "Once the truck has stood right on its wheels, from cut/after-set-down, since what is moved"
        " then may change them:"
    ),
}


def hand_of(part: Part) -> str:
    """Which side of the truck a part is cut for, in words: left, right, center or both."""
    return {"L": "left", "R": "right", "E": "center" if part.centered else "both"}[part.hand]


def cut_length(part: Part) -> tuple[float, int]:
    """Length that is cut, mm, and how many times the arc is struck."""
    total, pierces = 0.0, 0
    for stroke in strokes(part):
        if stroke.layer in ("OUTLINE", "OPENING"):
            pierces += 1
            if stroke.diameter:
                total += math.pi * stroke.diameter
            else:
                loop = tuple(Edge("", (x, y), bulge) for x, y, bulge in stroke.points)
                total += sum(outline.edge_length(edge, turn) for edge, turn in outline.spans(loop))
    return total, pierces


def by_plate(facts: Facts) -> dict[str, list[tuple[Part, Plate]]]:
    """Plate parts with their plates by stock, thinnest first."""
    plates = [
        (made, made.member.body)
        for made in facts.truck.parts
        if isinstance(made.member.body, Plate)
    ]
    found: dict[str, list[tuple[Part, Plate]]] = {}
    for part, body in sorted(
        plates, key=lambda pair: (facts.shop.plate(pair[1].stock).thickness, pair[0].id)
    ):
        found.setdefault(body.stock, []).append((part, body))
    return found


def _bevels(facts: Facts) -> list[str]:
    """What is ground of each part after cutting, with the welds it is for at all its places."""
    for_welds: dict[tuple[str, str], list[str]] = {}
    for called, weld in facts.welds().items():
        if weld.groove and weld.groove.bevel:
            part = names.made(facts.parts[weld.on])
            for_welds.setdefault((part, bevel_words(weld)), []).append(called)
    return [f"{part}: {said} (weld {ranges(on)})" for (part, said), on in for_welds.items()]


def _cut_table(facts: Facts, stock: str, parts: Sequence[tuple[Part, Plate]]) -> Table:
    """What is cut of one plate."""
    plate = facts.shop.plate(stock)
    rows = []
    order = list(SAID)
    for part, body in sorted(parts, key=lambda pair: order.index(when(pair[0], facts.judged))):
        run, pierces = cut_length(part)
        drilled = sum(hole.how != "cut" for hole in part.holes)
        rows.append(
            (
                part.number,
                part.member.title,
                facts.revisions[part.id],
                hand_of(part),
                str(part.quantity * facts.trucks),
                steel_schedules.overall(part),
                number(run, "length", 0 if metric() else 1),
                str(pierces),
                str(drilled) if drilled else "",
                "yes" if body.bends else "",
                number(part.mass, "mass", 2),
                SAID[when(part, facts.judged)],
                "",
            )
        )
    total = sum(part.mass * part.quantity * facts.trucks for part, _ in parts)
    return Table(
        f"{stock}: {plate.called()}, {plate.steel}; {measure(total, 'mass', 1)} in all."
        " Heat no ______________",
        (
            ("part", 0.06),
            ("name", 0.19),
            ("rev", 0.08),
            ("hand", 0.06),
            ("qty", 0.05),
            (f"box, {unit('length')}", 0.12),
            (f"cut, {unit('length')}", 0.06),
            ("pierce", 0.06),
            ("drill", 0.05),
            ("bend", 0.05),
            (f"{unit('mass')} each", 0.07),
            ("when", 0.16),
            ("cut by", 0.06),
        ),
        rows,
    ).without("drill", "bend")


def _nest_table(facts: Facts) -> Table:
    """The nested sheets and what is left of each."""
    rows = [
        (
            sheet.sheet.stock,
            sheet.sheet.name,
            str(sheet.number),
            SAID[When.AFTER if sheet.after else When.NOW],
            str(sum(placed.name != SQUARE for placed in sheet.placed)),
            f"{100 * sheet.utilisation:.0f} %",
            number(sheet.used, "length", 1),
            f"{number(sheet.remnant[0], 'length', 1)} x {number(sheet.remnant[1], 'length', 1)}",
            f"{facts.chassis} {sheet.remnant_name}",
            "",
            "" if sheet.has_square else "no room",
        )
        for sheet in facts.nest.sheets
    ]
    return Table(
        "Nested sheets and what is left of them",
        (
            ("plate", 0.1),
            ("sheet", 0.09),
            ("no", 0.05),
            ("cut", 0.11),
            ("parts", 0.07),
            ("used", 0.07),
            (f"length, {unit('length')}", 0.09),
            (f"remnant, {unit('length')}", 0.12),
            ("call it", 0.14),
            ("heat", 0.08),
            ("check square", 0.09),
        ),
        rows,
    )


def _today(facts: Facts) -> list[DocBlock]:
    """What is cut now, what once the truck has stood on its wheels, and what waits for what."""
    parts = sorted_parts(facts.truck, facts.judged)
    told = []
    for each, says in TODAY.items():
        own = [part.number for part in parts[each] if isinstance(part.member.body, Plate)]
        if own:
            told.append(f"{says} {', '.join(dict.fromkeys(sorted(own, key=in_order)))}.")
    blocks: list[DocBlock] = [Words("Cut today", told or ["Nothing yet."])]
    if waits := facts.barred_words():
        blocks.append(Words("Not to be cut yet: which part, and what it waits for", waits))
    return blocks


def cut_sheet(facts: Facts) -> Doc:
    """A table a thickness: what, which hand, how many, how much cutting; and the nested sheets."""
    blocks: list[DocBlock] = [
        Words(
            "",
            [
                "Nominal size: kerf and lead-ins belong to the table. Good side up as the file is"
                " drawn; left and right are separate files. Cut the check square first and"
                " measure it; where a sheet has no room for one, the first part."
            ],
        )
    ]
    blocks.append(Words(ASSUMED, facts.assumed("[[plate]]")))
    blocks += _today(facts)
    blocks += [_cut_table(facts, stock, parts) for stock, parts in by_plate(facts).items()]
    blocks.append(_nest_table(facts))
    bevels = _bevels(facts)
    if bevels:
        blocks.append(Words("Bevels, ground after cutting", bevels))
    if facts.nest.left:
        blocks.append(
            Words(
                "On no sheet",
                [f"{names.part(key)}: {value}" for key, value in facts.nest.left.items()],
            )
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


OR_MM = "or mm"


def holes(facts: Facts) -> Doc:
    """Bolt-hole schedule: every hole from its part's lower-left corner, how it is made."""
    return Doc(
        "holes",
        "Bolt-hole schedule",
        "Stage 2, cut",
        "whoever drills",
        (
            (
                "Pivot, frame and steering holes are drilled or reamed, never flame-cut to size; of"
                " a pivot that may be moved the slot is cut, and the weld washer over it is"
                " drilled. Drill aligned pairs clamped together, before they are welded."
            ),
            *(f"RULE SET ASIDE: {rule}" for rule in facts.aside()),
        ),
        [
            _hole_table(facts),
            Words(
                "",
                [
                    "A part that fits both sides, or every place it goes to, stands once, without a"
                    " side. Station: along the rail from the datum hole, ahead +, behind -, of the"
                    " holes that stand on a rail; L and R apart where they differ."
                ],
            ),
        ],
    )


def _hole_table(facts: Facts) -> Table:
    """Every hole of every plate, as ``schedules.holes`` gives them."""
    places = 1 if metric() else 3
    drilled = [
        (part, number, hole)
        for part in facts.truck.parts
        if isinstance(part.member.body, Plate)
        for number, hole in enumerate(part.holes, 1)
    ]
    return Table(
        f"{'Millimeters' if metric() else 'Inches'} from the part's lower-left corner as"
        " its drawing shows it",
        _hole_columns(),
        [
            (
                names.made(part),
                str(row["hole"]),
                f"{row['x']:.{places}f}",
                f"{row['y']:.{places}f}",
                stations(facts, part, number),
                f"{row['finished']}"
                + (f" x {row['slot_length']} slot" if row["slot_length"] else ""),
                _other(hole.diameter),
                str(row["how"]),
                str(row["pilot"]),
                _other(hole.pilot),
                f"{row['edge']:.{places}f}",
                str(row["bolt"]),
                str(row["fit"]),
                str(row["quantity"]),
                "",
            )
            for row, (part, number, hole) in zip(
                schedules.holes(facts.truck).rows, drilled, strict=True
            )
        ],
    ).without(OR_MM)


def _hole_columns() -> tuple[tuple[str, float], ...]:
    """Columns of the hole table; to a shop in inches a drill's size in millimeters stands beside
    it, since it may have a drill of either set.
    """
    return (
        ("part", 0.085),
        ("hole", 0.045),
        ("x", 0.06),
        ("y", 0.06),
        ("station", 0.075),
        ("finished", 0.145),
        (OR_MM, 0.05),
        ("how", 0.05),
        ("pilot", 0.055),
        (OR_MM, 0.05),
        ("edge", 0.06),
        ("bolt", 0.11),
        ("fit", 0.06),
        ("qty", 0.04),
        ("done", 0.055),
    )


def _other(diameter: float) -> str:
    """A drill's size in millimeters, for a shop in inches with a drill of the other set."""
    return "" if metric() or not diameter else f"{diameter + HALF_UP:.1f}"


def docs(facts: Facts) -> list[Doc]:
    """Cut sheet, bolt-hole schedule and the tube cut list."""
    return [cut_sheet(facts), holes(facts), tube_sheet(facts)]
