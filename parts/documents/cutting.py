"""What is cut and bought: a cut sheet for each thickness, tubes, bill of material with its cost, supplier order, labels."""

from __future__ import annotations

from typing import Any

from ...layout.assumed import about
from .. import fasteners, outline, schedules
from ..drawing.symbols import bevel_words
from ..export.cut import strokes
from ..materials import materials
from ..model import Part, Tube
from ..part_numbers import places_in_words
from ..stock import IN
from ..truck import is_plate
from .engine import Doc, Table, Ticks, Words
from .facts import ASSUMED, LB, SIDE, Facts, size_of

PLASMA = (
    "Fume, glare, noise and hot steel: extraction on, eyes and ears covered, nothing that burns within 35 ft, fire watch 30 min after (29 CFR 1910.252(a)(2)).",
    "Zinc gives fume fever: cut no galvanised plate without extraction (limits: 29 CFR 1910.1000).",
)


def hand_of(p: Part) -> str:
    """Hand in words."""
    return {"L": "left", "R": "right", "E": "centre" if p.centered else "both"}[p.hand]


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
    """Steel of a tube in stock as the strength is worked with: what the job says of the arms' tubes, else the stock's."""
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
                "Nominal size: kerf and lead-ins belong to the table. Good side up as the file is drawn; left and right are separate files. Cut the check square first and measure it."
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
                    f"{run / IN:.1f}",
                    str(pierces),
                    str(drilled) if drilled else "",
                    "yes" if p.member.body.bends else "",
                    f"{p.mass * LB:.2f}",
                    "" if f.judged.cut(p.id)[0] else "NOT FOR CUTTING",
                )
            )  # type: ignore[union-attr]
        total = sum(float(r[10]) * int(r[4]) for r in rows)
        blocks.append(
            Table(
                f"{stock}: {plate.called()}, {plate.steel}; {total:.1f} lb in all. Heat no ______________",
                (
                    ("part", 0.06),
                    ("name", 0.24),
                    ("rev", 0.09),
                    ("hand", 0.06),
                    ("qty", 0.05),
                    ("box, in", 0.13),
                    ("cut, in", 0.07),
                    ("pierce", 0.07),
                    ("drill", 0.06),
                    ("bend", 0.06),
                    ("lb each", 0.08),
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
            f"{s.used / IN:.1f}",
            f"{s.remnant[0] / IN:.1f} x {s.remnant[1] / IN:.1f}",
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
                ("length, in", 0.09),
                ("remnant, in", 0.12),
                ("call it", 0.16),
                ("heat", 0.12),
                ("check square", 0.11),
            ),
            rows,
        )
    )
    bevels = [
        f"{w.on.partition('.')[0]}{', ' + SIDE[w.on[-1]] if w.on[-1] in SIDE else ''}: {bevel_words(w)} (weld {n})"
        for n, w in f.welds().items()
        if w.groove and w.groove.bevel
    ]
    if bevels:
        blocks.append(Words("Bevels, ground after cutting", bevels))
    if f.nest.left:
        blocks.append(Words("On no sheet", [f"{k}: {v}" for k, v in f.nest.left.items()]))
    blocks.append(
        Ticks(
            "Before the parts leave the table",
            [
                "check square measured both ways and written above",
                "every part marked: number, revision, hand, top face",
                "dross off, edges ground where they will be welded or bent",
                "remnants painted with the name above and the heat number; one without is quarantined",
            ],
        )
    )
    return Doc("cut-sheet", "Cut sheet", "Stage 2, cut", "the table operator", PLASMA, blocks)


def tube_sheet(f: Facts) -> Doc:
    """Tube cut list with the ends of each."""
    rows = [
        (
            r["number"],
            r["name"],
            r["stock"],
            r["length"],
            r["between"],
            r["end_a"],
            r["end_b"],
            str(r["quantity"] * f.trucks),
            f"{r['mass_lb']:.1f}",
            "",
        )
        for r in schedules.tubes(f.truck, f.shop).rows
    ]
    total: dict[str, float] = {}
    for r in schedules.tubes(f.truck, f.shop).rows:
        total[r["stock"]] = (
            total.get(r["stock"], 0.0) + (r["length_in"] + 1 / 8) * r["quantity"] * f.trucks
        )
    bars = [(k, f"{v / 12:.1f}", f"{v:.1f}") for k, v in sorted(total.items())]
    return Doc(
        "tubes",
        "Tube cut list",
        "Stage 2, cut",
        "whoever cuts tube",
        (
            "Saw every blank square to its length: a coped end is then cut back from its wrap's zero line, so the length stays, long point to long point. Pin to pin is another length. Arm tubes are cut last, when both arms hang at full bump: check the length on the truck first.",
        ),
        [
            Table(
                "",
                (
                    ("part", 0.08),
                    ("name", 0.15),
                    ("stock", 0.19),
                    ("length, in", 0.1),
                    ("between", 0.14),
                    ("end a", 0.11),
                    ("end b", 0.1),
                    ("qty", 0.05),
                    ("lb", 0.06),
                    ("cut by", 0.08),
                ),
                rows,
            ),
            Table(
                "Stock wanted, 1/8 in a cut",
                (("tube", 0.5), ("feet", 0.25), ("inches", 0.25)),
                bars,
            ),
        ],
    )


def money(x: float) -> str:
    """An amount, "" where nothing is known."""
    return f"{x:.2f}" if x else ""


def bill(f: Facts) -> Doc:
    """Bill of material, made and bought, with what the shop's prices and rates make of it."""
    rows = schedules.material(f.truck, f.shop).rows
    table = [
        (
            r["number"],
            r["name"],
            r["make"],
            r["stock"],
            r["size"],
            str(r["quantity"] * f.trucks),
            f"{r['mass_lb'] * f.trucks:.2f}" if r["mass_lb"] != "" else "",
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
            "steel, at the shop's prices a pound",
            f"{sum(r['mass_lb'] for r in rows if r['mass_lb'] != '') * f.trucks:.0f} lb",
            money(steel * f.trucks) or "no price given",
        ),
        (
            "cutting",
            f"{run * f.trucks:.0f} in",
            money(run * known.cut_inch * f.trucks) or "no rate given",
        ),
        (
            "pierces",
            f"{pierces * f.trucks:.0f}",
            money(pierces * known.pierce * f.trucks) or "no rate given",
        ),
        (
            "bench: 3 min an inch of weld, 9 min a part, 6 min a bolt (judgement; put your own hours beside it)",
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
                    ("lb", 0.07),
                    ("cost", 0.08),
                ),
                table,
            ),
            Table("What it comes to", (("what", 0.6), ("how much", 0.18), ("cost", 0.22)), cost),
            Words(
                "",
                [
                    "Prices and rates stand in the shop's settings. Bought parts are not priced here."
                ],
            ),
        ],
    )


def order(f: Facts) -> Doc:
    """What to ask of the steel yard and of the bolt and joint supplier, each with what they would ask back."""
    plates: dict[str, tuple[float, int]] = {}
    for s in f.nest.sheets:
        n, count = plates.get(s.sheet.stock, (0.0, 0))
        plates[s.sheet.stock] = (n + s.used, count + 1)
    steel = [
        (
            k,
            f"{f.shop.plate(k).thickness / IN:.4f} in, {f.shop.plate(k).steel}",
            f"{n} sheet{'s' if n > 1 else ''}; {used / IN:.0f} in of their length is used",
            "hot rolled, flat to 1/8 in a yard",
            "heat number and mill certificate",
        )
        for k, (used, n) in plates.items()
    ]
    tube: dict[str, float] = {}
    for p in f.truck.parts:
        if isinstance(p.member.body, Tube):
            tube[p.member.body.stock] = (
                tube.get(p.member.body.stock, 0.0)
                + (p.member.body.length / IN + 0.125) * p.quantity * f.trucks
            )
    tubes = [
        (
            k,
            f"{f.shop.tube(k).od / IN:.3f} OD x {f.shop.tube(k).wall / IN:.3f} wall, {tube_steels(f, k)}",
            f"{v / 12:.1f} ft",
            "outside diameter and wall, not pipe size",
            "mill certificate",
        )
        for k, v in sorted(tube.items())
    ]
    bolts = [
        (
            x.name,
            f"hex, plain or zinc, at least {x.shank / IN:.2f} in plain shank"
            if x.shank
            else "hex, plain or zinc"
            if x.made == "bolt"
            else "hardened and ground",
            x.owed or f"{x.grip / IN:.3f} in",
            fasteners.with_it(x),
            str(n * f.trucks),
        )
        for x, n in fasteners.ordered(f.truck, f.shop)
    ]
    bought = [
        (m.code, m.title, m.body.item, str(m.per_truck * f.trucks))
        for m in f.truck.assembly.members
        if hasattr(m.body, "item") and m.fixed_after != "existing"
    ]
    return Doc(
        "order",
        "Supplier order",
        "Stage 2, cut",
        "the supplier",
        (
            "No zinc-plated bolts of class 12.9 or harder: they can crack after tightening. No cast brackets.",
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
                "Bolts: length = grip + two washers + locknut + 2 threads, to the next one made that keeps the thread out of the shear planes; the bump stops bring their own studs",
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
                    "Wanted by ____________   order no ____________   heat numbers to be sent with the goods."
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
    rows = [
        (
            r["number"],
            r["hole"],
            f"{r['x']:.3f}",
            f"{r['y']:.3f}",
            r["finished"] + (f" x {r['slot_length']} slot" if r["slot_length"] else ""),
            r["how"],
            r["pilot"],
            f"{r['edge']:.3f}",
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
            "Pivot, frame and steering holes are drilled or reamed, never flame-cut to size. Drill aligned pairs clamped together, before they are welded.",
            *(f"RULE SET ASIDE: {x}" for x in f.aside()),
        ),
        [
            Table(
                "Inches from the part's lower-left corner as its drawing shows it",
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
                    f"Sides: {', '.join(f'{k} {v}' for k, v in SIDE.items())}. A part without one fits both sides, or every place it goes to, and stands once."
                ],
            ),
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Every sheet of this file."""
    return [cut_sheet(f), holes(f), tube_sheet(f), bill(f), order(f), labels(f)]
