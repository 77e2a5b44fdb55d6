"""What is cut and bought: a cut sheet for each thickness, tubes, bill of material with its cost,
supplier order, labels.
"""

from __future__ import annotations

from typing import Any

from ...layout.assumed import about
from ...layout.reader import measure, metric, number, unit
from ..design.part_numbers import places_in_words
from ..drawing.symbols import bevel_words
from ..export.cut import strokes
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Tube
from ..stock import IN
from ..stock.materials import materials
from ..truck import fasteners
from ..truck.truck import is_plate
from ..words import names
from ..words import numbers as shown
from ..words.cautions import cautions
from . import schedules
from .engine import Doc, Table, Ticks, Words
from .facts import ASSUMED, Facts, size_of


def hand_of(p: Part) -> str:
    """Hand in words."""
    return {"L": "left", "R": "right", "E": "center" if p.centered else "both"}[p.hand]


def cut_length(p: Part) -> tuple[float, int]:
    """Length that is cut, mm, and how many times the arc is struck."""
    total, pierces = 0.0, 0
    for s in strokes(p):
        if s.layer in ("OUTLINE", "OPENING"):
            pierces += 1
            if s.diameter:
                total += 3.14159265 * s.diameter
            else:
                loop = tuple(outline.Edge("", (x, y), b) for x, y, b in s.points)
                total += sum(outline.edge_length(e, q) for e, q in outline.spans(loop))
    return total, pierces


def by_plate(f: Facts) -> dict[str, list[Part]]:
    """Plate parts by stock, thinnest first."""
    found: dict[str, list[Part]] = {}
    for p in sorted(
        filter(is_plate, f.truck.parts),
        key=lambda p: (f.shop.plate(p.member.body.stock).thickness, p.id),
    ):  # type: ignore[union-attr]
        found.setdefault(p.member.body.stock, []).append(p)  # type: ignore[union-attr]
    return found


def tube_steels(f: Facts, stock: str) -> str:
    """Steel of a tube in stock as the strength is worked with: what the job says of the arms'
    tubes, else the stock's.
    """
    made_of, on_hand = materials(f.words, f.shop), f.shop.tube(stock)
    codes = [
        m.code
        for m in f.truck.assembly.members
        if isinstance(m.body, Tube) and m.body.stock == stock
    ]
    return " and ".join(sorted({made_of.tube(c, on_hand).name for c in codes}))


def cut_sheet(f: Facts) -> Doc:
    """A table a thickness: what, which hand, how many, how much cutting; and the nested sheets."""
    blocks: list[Any] = [
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
    for stock, parts in by_plate(f).items():
        plate = f.shop.plate(stock)
        rows = []
        for p in parts:
            run, pierces = cut_length(p)
            drilled = sum(h.how != "cut" for h in p.holes)
            rows.append(
                (
                    p.number,
                    p.member.title,
                    f.revisions[p.id],
                    hand_of(p),
                    str(p.quantity * f.trucks),
                    size_of(f, p),
                    number(run, "length", 0 if metric() else 1),
                    str(pierces),
                    str(drilled) if drilled else "",
                    "yes" if p.member.body.bends else "",
                    number(p.mass, "mass", 2),
                    "" if f.judged.cut(p.id)[0] else "NOT FOR CUTTING",
                )
            )  # type: ignore[union-attr]
        total = sum(p.mass * p.quantity * f.trucks for p in parts)
        blocks.append(
            Table(
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
        )
    rows = [
        (
            s.sheet.stock,
            s.sheet.name,
            str(s.number),
            str(sum(q.name != "CHECK" for q in s.placed)),
            f"{100 * s.utilisation:.0f} %",
            number(s.used, "length", 1),
            f"{number(s.remnant[0], 'length', 1)} x {number(s.remnant[1], 'length', 1)}",
            f"{f.chassis} {s.remnant_name}",
            "",
            "",
        )
        for s in f.nest.sheets
    ]
    blocks.append(
        Table(
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
    )
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


def tube_sheet(f: Facts) -> Doc:
    """Tube cut list with the ends of each."""
    named = {p.id: names.made(p) for p in f.truck.parts}
    rows = [
        (
            named[r["part"]],
            r["name"],
            r["stock"],
            r["length"],
            r["between"],
            r["end_a"],
            r["end_b"],
            str(r["quantity"] * f.trucks),
            number(r["mass_kg"], "mass", 1),
            "",
        )
        for r in schedules.tubes(f.truck, f.shop).rows
    ]
    total: dict[str, float] = {}
    for r in schedules.tubes(f.truck, f.shop).rows:
        total[r["stock"]] = (
            total.get(r["stock"], 0.0) + (r["length_mm"] + KERF) * r["quantity"] * f.trucks
        )
    bars = [
        (
            k,
            f"{v / 1000:.2f}" if metric() else f"{v / IN / 12:.1f}",
            number(v, "length", 0 if metric() else 1),
        )
        for k, v in sorted(total.items())
    ]
    return Doc(
        "tubes",
        "Tube cut list",
        "Stage 2, cut",
        "whoever cuts tube",
        (
            (
                "Saw every blank square to its length: a coped end is then cut back from its wrap's"
                " zero line, so the length stays, long point to long point. Pin to pin is another"
                " length. Arm tubes are cut last, when both arms hang at full bump: check the"
                " length on the truck first."
            ),
        ),
        [
            Table(
                "",
                (
                    ("part", 0.08),
                    ("name", 0.15),
                    ("stock", 0.19),
                    (f"length, {unit('length')}", 0.1),
                    ("between", 0.14),
                    ("end a", 0.11),
                    ("end b", 0.1),
                    ("qty", 0.05),
                    (unit("mass"), 0.06),
                    ("cut by", 0.08),
                ),
                rows,
            ),
            Table(
                f"Stock needed, {shown.room(KERF)} a cut",
                (
                    ("tube", 0.5),
                    ("meters" if metric() else "feet", 0.25),
                    ("millimeters" if metric() else "inches", 0.25),
                ),
                bars,
            ),
        ],
    )


KERF = IN / 8
"""Steel a saw cut takes: judgment, no source."""


def money(x: float) -> str:
    """An amount, "" where nothing is known."""
    return f"{x:.2f}" if x else ""


def bill(f: Facts) -> Doc:
    """Bill of material, made and bought, with what the shop's prices and rates make of it."""
    rows = schedules.material(f.truck, f.shop).rows
    table = [
        (
            r["called"],
            r["name"],
            r["make"],
            r["stock"],
            r["size"],
            str(r["quantity"] * f.trucks),
            number(r["mass_kg"] * f.trucks, "mass", 2) if r["mass_kg"] != "" else "",
            money(r["cost"] * f.trucks) if r["cost"] != "" else "",
        )
        for r in rows
    ]
    run = pierces = 0.0
    for p in filter(is_plate, f.truck.parts):
        a, b = cut_length(p)
        run, pierces = run + a * p.quantity / IN, pierces + b * p.quantity
    weld = sum(f.length(w) for w in f.truck.assembly.welds) / IN
    steel = sum(r["cost"] for r in rows if r["cost"] != "")
    known = f.shop.rates
    hours = weld * 0.05 + len(f.truck.parts) * 0.15 + len(f.bolts()) * 0.1
    cost = [
        (
            "steel, at the shop's prices",
            measure(sum(r["mass_kg"] for r in rows if r["mass_kg"] != "") * f.trucks, "mass", 0),
            money(steel * f.trucks) or "no price given",
        ),
        (
            "cutting",
            measure(run * IN * f.trucks, "length", 0),
            money(run * known.cut_inch * f.trucks) or "no rate given",
        ),
        (
            "pierces",
            f"{pierces * f.trucks:.0f}",
            money(pierces * known.pierce * f.trucks) or "no rate given",
        ),
        (
            (
                f"bench: 3 min each {shown.room(IN)} of weld, 9 min a part, 6 min a bolt (judgment,"
                " no source; put your own hours beside it)"
            ),
            f"{hours * f.trucks:.0f} h",
            money(hours * known.hour * f.trucks) or "no rate given",
        ),
    ]
    return Doc(
        "material",
        "Bill of material and cost",
        "Stage 2, cut",
        "the office",
        (),
        [
            Table(
                f"For {f.trucks} truck{'s' if f.trucks > 1 else ''}",
                (
                    ("item", 0.1),
                    ("what", 0.32),
                    ("", 0.06),
                    ("stock", 0.17),
                    ("size", 0.15),
                    ("qty", 0.05),
                    (unit("mass"), 0.07),
                    ("cost", 0.08),
                ),
                table,
            ),
            Table("What it comes to", (("what", 0.6), ("how much", 0.18), ("cost", 0.22)), cost),
            Words(
                "",
                [
                    "Prices and rates stand in the shop's settings. Bought parts are not priced"
                    " here."
                ],
            ),
        ],
    )


def order(f: Facts) -> Doc:
    """What to ask of the steel yard and of the bolt and joint supplier, each with what they would
    ask back.
    """
    plates: dict[str, tuple[float, int]] = {}
    for s in f.nest.sheets:
        n, count = plates.get(s.sheet.stock, (0.0, 0))
        plates[s.sheet.stock] = (n + s.used, count + 1)
    steel = [
        (
            k,
            f"{shown.finest(f.shop.plate(k).thickness)}, {f.shop.plate(k).steel}",
            (
                f"{n} sheet{'s' if n > 1 else ''}; {measure(used, 'length', 0)} of their length is"
                " used"
            ),
            f"hot rolled, flat to {shown.inches(1 / 8)} in {'a meter' if metric() else 'a yard'}",
            "heat number and mill certificate",
        )
        for k, (used, n) in plates.items()
    ]
    tube: dict[str, float] = {}
    for p in f.truck.parts:
        if isinstance(p.member.body, Tube):
            tube[p.member.body.stock] = (
                tube.get(p.member.body.stock, 0.0)
                + (p.member.body.length + KERF) * p.quantity * f.trucks
            )
    tubes = [
        (
            k,
            (
                f"{shown.fine(f.shop.tube(k).od)} OD x {shown.fine(f.shop.tube(k).wall)} wall,"
                f" {tube_steels(f, k)}"
            ),
            f"{v / 1000:.2f} m" if metric() else f"{v / IN / 12:.1f} ft",
            "outside diameter and wall, not pipe size",
            "mill certificate",
        )
        for k, v in sorted(tube.items())
    ]
    bolts = [
        (
            x.name,
            (
                f"hex, plain or zinc, at least {measure(x.shank, 'length')} plain shank"
                if x.shank
                else "hex, plain or zinc"
                if x.made == "bolt"
                else "hardened and ground"
            ),
            x.owed or f"{shown.fine(x.grip)} {unit('length')}",
            fasteners.with_it(x),
            str(n * f.trucks),
        )
        for x, n in fasteners.ordered(f.truck, f.shop)
    ]
    bought = [
        (names.part(m.code), m.title, m.body.item, str(m.per_truck * f.trucks))
        for m in f.truck.assembly.members
        if hasattr(m.body, "item") and m.fixed_after != "existing"
    ]
    return Doc(
        "order",
        "Supplier order",
        "Stage 2, cut",
        "the supplier",
        (
            (
                "No zinc-plated bolts of class 12.9 or harder: they can crack after tightening. No"
                " cast brackets."
            ),
        ),
        [
            Table(
                "Plate",
                (
                    ("stock", 0.14),
                    ("what", 0.22),
                    ("how much", 0.27),
                    ("condition", 0.2),
                    ("with it", 0.17),
                ),
                steel,
            ),
            Table(
                "Tube",
                (
                    ("stock", 0.22),
                    ("what", 0.28),
                    ("how much", 0.1),
                    ("mind", 0.22),
                    ("with it", 0.18),
                ),
                tubes,
            ),
            Table(
                "Bolts: length = grip + two washers + locknut + 2 threads, to the next one made"
                " that keeps the thread out of the shear planes; the bump stops bring their own"
                " studs",
                (
                    ("what", 0.22),
                    ("how made", 0.3),
                    ("grip", 0.18),
                    ("with", 0.22),
                    ("count", 0.08),
                ),
                bolts,
            ),
            Table(
                "Joints, bushings and the rest, as the job file has them",
                (("code", 0.1), ("what", 0.3), ("item", 0.48), ("count", 0.12)),
                bought,
            ),
            Words(
                "",
                [
                    "Needed by ____________   order no ____________   heat numbers to be sent with"
                    " the goods."
                ],
            ),
        ],
    )


def labels(f: Facts) -> Doc:
    """A label a part to cut out and tie on."""
    return Doc(
        "labels",
        "Part labels",
        "Stage 2, cut",
        "the table operator",
        (),
        [
            Table(
                "Cut apart and tie on",
                (
                    ("part", 0.12),
                    ("name", 0.26),
                    ("goes to", 0.18),
                    ("revision", 0.1),
                    ("hand", 0.07),
                    ("stock", 0.15),
                    ("qty", 0.05),
                    ("heat", 0.07),
                ),
                [
                    (
                        f"{f.chassis} {p.number}",
                        p.member.title,
                        ", ".join(places_in_words(p.places)),
                        f.revisions[p.id],
                        hand_of(p),
                        getattr(p.member.body, "stock", ""),
                        str(p.quantity * f.trucks),
                        "",
                    )
                    for p in f.truck.parts
                ],
            )
        ],
    )


def holes(f: Facts) -> Doc:
    """Bolt-hole schedule."""
    named, places = {p.id: names.made(p) for p in f.truck.parts}, 1 if metric() else 3
    rows = [
        (
            named[r["part"]],
            r["hole"],
            f"{r['x']:.{places}f}",
            f"{r['y']:.{places}f}",
            r["finished"] + (f" x {r['slot_length']} slot" if r["slot_length"] else ""),
            r["how"],
            r["pilot"],
            f"{r['edge']:.{places}f}",
            r["bolt"],
            str(r["quantity"]),
            "",
        )
        for r in schedules.holes(f.truck).rows
    ]
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
            *(f"RULE SET ASIDE: {x}" for x in f.aside()),
        ),
        [
            Table(
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
                rows,
            ),
            Words(
                "",
                [
                    "A part that fits both sides, or every place it goes to, stands once, without a"
                    " side."
                ],
            ),
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Every sheet of this file."""
    return [cut_sheet(f), holes(f), tube_sheet(f), bill(f), order(f), labels(f)]
