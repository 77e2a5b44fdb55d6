"""What is bought, what it weighs and costs, and the label each part gets."""

from __future__ import annotations

from ...layout.reader import measure, metric, number, unit
from ..design.part_numbers import places_in_words
from ..model.body import Bought, Tube
from ..stock import IN
from ..stock.materials import materials
from ..truck import fasteners
from ..truck.truck import is_plate
from ..words import names
from ..words import numbers as shown
from . import schedules
from .cutting import cut_length, hand_of
from .engine import Doc, Table, Words
from .facts import Facts
from .tube_list import KERF


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
        if isinstance(m.body, Bought) and m.fixed_after != "existing"
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


def docs(f: Facts) -> list[Doc]:
    """Every sheet of this file."""
    return [bill(f), order(f), labels(f)]
