"""What is bought, what it weighs and costs, and the label each part gets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ...layout.reader import measure, metric, number, unit
from ..design.part_numbers import places_in_words
from ..model.body import Bought, Tube
from ..stock import IN
from ..stock.materials import materials
from ..truck import fasteners, roles
from ..truck.truck import is_plate
from ..words import names
from ..words import numbers as shown
from . import steel_schedules
from .cutting import cut_length, hand_of
from .engine import Doc, Table, Words
from .facts import Facts
from .tube_list import tube_needed


def tube_steels(f: Facts, stock: str) -> str:
    """Steel of a tube in stock as the strength is worked with: what the job says of the arms'
    tubes, else the stock's.
    """
    made_of, on_hand = materials(f.words, f.shop, roles.steel_fields()), f.shop.tube(stock)
    codes = [
        member.code
        for member in f.truck.assembly.members
        if isinstance(member.body, Tube) and member.body.stock == stock
    ]
    return " and ".join(sorted({made_of.tube(code, on_hand).name for code in codes}))


def money(amount: float) -> str:
    """An amount in the shop's own money to two places, "" where nothing is known."""
    return f"{amount:.2f}" if amount else ""


def bill(f: Facts) -> Doc:
    """Bill of material, made and bought, with what the shop's prices and rates make of it."""
    rows = steel_schedules.material(f.truck, f.shop).rows
    return Doc(
        "material",
        "Bill of material and cost",
        "Stage 2, cut",
        "the office",
        (),
        [
            _bill_table(f, rows),
            Table(
                "What it comes to",
                (("what", 0.6), ("how much", 0.18), ("cost", 0.22)),
                [_steel_cost(f, rows), *_work_costs(f)],
            ),
            Words(
                "",
                [
                    "Prices and rates stand in the shop's settings. Bought parts are not priced"
                    " here."
                ],
            ),
        ],
    )


def _bill_table(f: Facts, rows: Sequence[Mapping[str, Any]]) -> Table:
    """Every item of ``steel_schedules.material``, times the trucks to be made."""
    return Table(
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
        [
            (
                row["called"],
                row["name"],
                row["make"],
                row["stock"],
                row["size"],
                str(row["quantity"] * f.trucks),
                number(row["mass_kg"] * f.trucks, "mass", 2) if row["mass_kg"] != "" else "",
                money(row["cost"] * f.trucks) if row["cost"] != "" else "",
            )
            for row in rows
        ],
    )


Cost = tuple[str, str, str]
"""What is paid for, how much of it, and what it costs or why that is not known."""


def _steel_cost(f: Facts, rows: Sequence[Mapping[str, Any]]) -> Cost:
    """Mass of everything made, and its cost where the shop's settings give prices."""
    mass = sum(row["mass_kg"] for row in rows if row["mass_kg"] != "")
    cost = sum(row["cost"] for row in rows if row["cost"] != "")
    return (
        "steel, at the shop's prices",
        measure(mass * f.trucks, "mass", 0),
        money(cost * f.trucks) or "no price given",
    )


def _work_costs(f: Facts) -> list[Cost]:
    """What the table cuts and pierces and how long the bench takes, at the shop's rates."""
    inches = pierces = 0.0
    for part in filter(is_plate, f.truck.parts):
        run, struck = cut_length(part)
        inches, pierces = inches + run * part.quantity / IN, pierces + struck * part.quantity
    weld_inches = sum(f.length(weld) for weld in f.truck.assembly.welds) / IN
    hours = weld_inches * 0.05 + len(f.truck.parts) * 0.15 + len(f.bolts()) * 0.1
    rates = f.shop.rates
    return [
        (
            "cutting",
            measure(inches * IN * f.trucks, "length", 0),
            money(inches * rates.cut_inch * f.trucks) or "no rate given",
        ),
        (
            "pierces",
            f"{pierces * f.trucks:.0f}",
            money(pierces * rates.pierce * f.trucks) or "no rate given",
        ),
        (
            (
                f"bench: 3 min each {shown.room(IN)} of weld, 9 min a part, 6 min a bolt (judgment,"
                " no source; put your own hours beside it)"
            ),
            f"{hours * f.trucks:.0f} h",
            money(hours * rates.hour * f.trucks) or "no rate given",
        ),
    ]


def order(f: Facts) -> Doc:
    """What to ask of the steel yard and of the bolt and joint supplier, each with what they would
    ask back.
    """
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
            _plate_order(f),
            _tube_order(f),
            _bolt_order(f),
            _bought_order(f),
            Words(
                "",
                [
                    "Needed by ____________   order no ____________   heat numbers to be sent with"
                    " the goods."
                ],
            ),
        ],
    )


def _plate_order(f: Facts) -> Table:
    """Sheets of each plate, and how much of them the nests use."""
    used, sheets = dict[str, float](), dict[str, int]()
    width = "a meter" if metric() else "a yard"
    for nested in f.nest.sheets:
        stock = nested.sheet.stock
        used[stock] = used.get(stock, 0.0) + nested.used
        sheets[stock] = sheets.get(stock, 0) + 1
    return Table(
        "Plate",
        (
            ("stock", 0.14),
            ("what", 0.22),
            ("how much", 0.27),
            ("condition", 0.2),
            ("with it", 0.17),
        ),
        [
            (
                stock,
                f"{shown.finest(f.shop.plate(stock).thickness)}, {f.shop.plate(stock).steel}",
                (
                    f"{count} sheet{'s' if count > 1 else ''};"
                    f" {measure(used[stock], 'length', 0)} of their length is used"
                ),
                f"hot rolled, flat to {shown.inches(1 / 8)} in {width}",
                "heat number and mill certificate",
            )
            for stock, count in sheets.items()
        ],
    )


def _tube_order(f: Facts) -> Table:
    """Length of each tube, saw cuts included."""
    return Table(
        "Tube",
        (("stock", 0.22), ("what", 0.28), ("how much", 0.1), ("mind", 0.22), ("with it", 0.18)),
        [
            (
                stock,
                (
                    f"{shown.fine(f.shop.tube(stock).od)} OD x"
                    f" {shown.fine(f.shop.tube(stock).wall)} wall, {tube_steels(f, stock)}"
                ),
                f"{length / 1000:.2f} m" if metric() else f"{length / IN / 12:.1f} ft",
                "outside diameter and wall, not pipe size",
                "mill certificate",
            )
            for stock, length in tube_needed(f).items()
        ],
    )


def _bolt_order(f: Facts) -> Table:
    """Bolts, dowels and what goes with them, those alike in one row."""
    return Table(
        "Bolts: length = grip + two washers + locknut + 2 threads, to the next one made"
        " that keeps the thread out of the shear planes; the bump stops bring their own"
        " studs",
        (("what", 0.22), ("how made", 0.3), ("grip", 0.18), ("with", 0.22), ("count", 0.08)),
        [
            (
                bolt.name,
                (
                    f"hex, plain or zinc, at least {measure(bolt.shank, 'length')} plain shank"
                    if bolt.shank
                    else "hex, plain or zinc"
                    if bolt.made == "bolt"
                    else "hardened and ground"
                ),
                bolt.owed or f"{shown.fine(bolt.grip)} {unit('length')}",
                fasteners.with_it(bolt),
                str(count * f.trucks),
            )
            for bolt, count in fasteners.ordered(f.truck, f.shop)
        ],
    )


def _bought_order(f: Facts) -> Table:
    """Bought members that are not on the truck already."""
    return Table(
        "Joints, bushings and the rest, as the job file has them",
        (("code", 0.1), ("what", 0.3), ("item", 0.48), ("count", 0.12)),
        [
            (
                names.part(member.code),
                member.title,
                member.body.item,
                str(member.per_truck * f.trucks),
            )
            for member in f.truck.assembly.members
            if isinstance(member.body, Bought) and member.fixed_after != "existing"
        ],
    )


def labels(f: Facts) -> Doc:
    """A label for every part, to cut out and tie on: number, places, revision, hand, stock."""
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
                        f"{f.chassis} {part.number}",
                        part.member.title,
                        ", ".join(places_in_words(part.places)),
                        f.revisions[part.id],
                        hand_of(part),
                        getattr(part.member.body, "stock", ""),
                        str(part.quantity * f.trucks),
                        "",
                    )
                    for part in f.truck.parts
                ],
            )
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Bill of material, supplier order and labels."""
    return [bill(f), order(f), labels(f)]
