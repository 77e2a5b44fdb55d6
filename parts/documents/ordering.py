"""What is bought, what it weighs and costs, and the label each part gets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from ...layout.reader import fine, measure, metric, number, unit
from ..geometry.kept import Keep, anew
from ..model.body import Bought, Plate, Tube
from ..model.terms import When
from ..stock import IN
from ..stock.materials import materials
from ..truck import fasteners, roles
from ..truck.truck import is_plate
from ..verdict.cut_today import sorted_parts
from ..words import names
from ..words import numbers as shown
from . import steel_schedules
from .cutting import cut_length
from .engine import Doc, Table, Words
from .facts import Facts
from .labels import labels
from .operations import bench
from .schedule import ScheduleRow, held
from .tube_list import tube_needed


def tube_steels(facts: Facts, stock: str) -> str:
    """Steel of a tube in stock as the strength is worked with: what the job says of the arms'
    tubes, else the stock's.
    """
    made_of, on_hand = (
        materials(facts.words, facts.shop, roles.steel_fields()),
        facts.shop.tube(stock),
    )
    codes = [
        member.code
        for member in facts.truck.assembly.members
        if isinstance(member.body, Tube) and member.body.stock == stock
    ]
    return " and ".join(sorted({made_of.tube(code, on_hand).name for code in codes}))


def money(amount: float) -> str:
    """An amount in the shop's own money to two places, "" where it is nought: nothing is known."""
    return f"{amount:.2f}" if amount else ""


def bill(facts: Facts) -> Doc:
    """Bill of material, made and bought, with what the shop's prices and rates make of it."""
    rows = steel_schedules.material(facts.truck, facts.shop).rows
    each = costs(facts)
    return Doc(
        "material",
        "Bill of material and cost",
        "Stage 2, cut",
        "the office",
        (),
        [
            _bill_table(facts, rows),
            Table(
                "What it comes to",
                (("what", 0.6), ("how much", 0.18), ("cost", 0.22)),
                [
                    *((cost.what, cost.much, money(cost.amount) or cost.unknown) for cost in each),
                    (f"margin, {facts.shop.rates.margin:g} percent", "", money(_margin(facts))),
                    ("everything made here", "", money(price(facts)) or "not every rate is given"),
                ],
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


def _bill_table(facts: Facts, rows: Sequence[ScheduleRow]) -> Table:
    """Every item of ``steel_schedules.material``, times the trucks to be made."""
    return Table(
        f"For {facts.trucks} truck{'s' if facts.trucks > 1 else ''}",
        (
            ("item", 0.1),
            ("what", 0.32),
            ("made", 0.06),
            ("stock", 0.17),
            ("size", 0.15),
            ("qty", 0.05),
            (f"{unit('mass')}, all", 0.07),
            ("cost", 0.08),
        ),
        [
            (
                *(str(row[column]) for column in ("called", "name", "make", "stock", "size")),
                str(int(held(row, "quantity")) * facts.trucks),
                number(held(row, "mass_kg") * facts.trucks, "mass", 2)
                if row["mass_kg"] != ""
                else "",
                money(held(row, "cost") * facts.trucks) if row["cost"] != "" else "",
            )
            for row in rows
        ],
    ).without("cost")


class Cost(NamedTuple):
    """What is paid for, how much of it, what it costs (0 where that is not known), and then why."""

    what: str
    much: str
    amount: float
    unknown: str


def costs(facts: Facts) -> list[Cost]:
    """Steel and work of everything made, for all the trucks."""
    rows = steel_schedules.material(facts.truck, facts.shop).rows
    return [_steel_cost(facts, rows), *_work_costs(facts)]


def _margin(facts: Facts) -> float:
    return sum(cost.amount for cost in costs(facts)) * facts.shop.rates.margin / 100


def price(facts: Facts) -> float:
    """What everything made here comes to with the shop's margin; 0 where a price or a rate is not
    given.
    """
    each = costs(facts)
    if not all(cost.amount for cost in each):
        return 0.0
    return sum(cost.amount for cost in each) + _margin(facts)


def _steel_cost(facts: Facts, rows: Sequence[ScheduleRow]) -> Cost:
    """Mass of everything made, and its cost where the shop's settings give prices."""
    mass = sum(held(row, "mass_kg") for row in rows)
    cost = sum(held(row, "cost") for row in rows)
    return Cost(
        "steel, at the shop's prices",
        measure(mass * facts.trucks, "mass", 0),
        cost * facts.trucks,
        "no price given",
    )


def _work_costs(facts: Facts) -> list[Cost]:
    """What the table cuts and pierces and how long the bench takes, at the shop's rates."""
    inches = pierces = 0.0
    for part in filter(is_plate, facts.truck.parts):
        run, struck = cut_length(part)
        inches, pierces = inches + run * part.quantity / IN, pierces + struck * part.quantity
    hours = sum(bench(facts).values())
    rates = facts.shop.rates
    return [
        Cost(
            "cutting",
            measure(inches * IN * facts.trucks, "length", 0),
            inches * rates.cut_inch * facts.trucks,
            "no rate given",
        ),
        Cost(
            "pierces",
            f"{pierces * facts.trucks:.0f}",
            pierces * rates.pierce * facts.trucks,
            "no rate given",
        ),
        Cost(
            (
                f"bench: 3 min each {shown.room(IN)} of weld, 9 min a part, 6 min a bolt (judgment,"
                " no source; put your own hours beside it)"
            ),
            f"{hours * facts.trucks:.0f} h",
            hours * rates.hour * facts.trucks,
            "no rate given",
        ),
    ]


def order(facts: Facts) -> Doc:
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
            _plate_order(facts),
            *_not_yet_ordered(facts),
            _tube_order(facts),
            _bolt_order(facts),
            _bought_order(facts),
            Words(
                "",
                [
                    "Needed by ____________   order no ____________   heat numbers to be sent with"
                    " the goods."
                ],
            ),
        ],
    )


def _plate_order(facts: Facts) -> Table:
    """Sheets of each plate, and how much of them the nests use."""
    used, sheets = dict[str, float](), dict[str, Counter[tuple[float, float]]]()
    width = "a meter" if metric() else "a yard"
    for nested in facts.nest.sheets:
        stock = nested.sheet.stock
        used[stock] = used.get(stock, 0.0) + nested.used
        sheets.setdefault(stock, Counter())
        if not nested.of_rest:
            sheets[stock][nested.sheet.width, nested.sheet.length] += 1
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
                f"{fine(facts.shop.plate(stock).thickness)}, {facts.shop.plate(stock).steel}",
                (
                    f"{_sheets(sizes)}; {measure(used[stock], 'length', 0)} of"
                    f" {'its' if sizes.total() == 1 else 'their'} length is used"
                ),
                f"hot rolled, flat to {shown.inches(1 / 8)} in {width}",
                "heat number and mill certificate",
            )
            for stock, sizes in sheets.items()
        ],
    )


def _not_yet_ordered(facts: Facts) -> list[Words]:
    """Plate of which something waits, since no sheet above counts what is not for cutting."""
    waits = Counter[str]()
    for part in sorted_parts(facts.truck, facts.judged)[When.WAITS]:
        if isinstance(part.member.body, Plate):
            waits[part.member.body.stock] += part.quantity * facts.trucks
    if not waits:
        return []
    listed = ", ".join(f"{stock} for {count} more" for stock, count in sorted(waits.items()))
    return [Words("", [f"Not in these sheets, since it is not for cutting yet: {listed}."])]


def _sheets(sizes: Counter[tuple[float, float]]) -> str:
    """How many sheets of what width and length."""
    return " and ".join(
        f"{count} sheet{'s' if count > 1 else ''} {number(width, 'length', 0)} x"
        f" {measure(length, 'length', 0)}"
        for (width, length), count in sizes.items()
    )


def _tube_order(facts: Facts) -> Table:
    """Length of each tube, saw cuts included."""
    return Table(
        "Tube",
        (("stock", 0.22), ("what", 0.28), ("how much", 0.1), ("mind", 0.22), ("with it", 0.18)),
        [
            (
                stock,
                (
                    f"{shown.fine(facts.shop.tube(stock).od)} OD x"
                    f" {shown.fine(facts.shop.tube(stock).wall)} wall, {tube_steels(facts, stock)}"
                ),
                f"{length / 1000:.2f} m" if metric() else f"{length / IN / 12:.1f} ft",
                "outside diameter and wall, not pipe size",
                "mill certificate",
            )
            for stock, length in tube_needed(facts).items()
        ],
    )


def _bolt_order(facts: Facts) -> Table:
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
                str(count * facts.trucks),
            )
            for bolt, count in fasteners.ordered(facts.truck, facts.shop)
        ],
    )


def _bought_order(facts: Facts) -> Table:
    """Bought members that are not on the truck already."""
    return Table(
        "Joints, bushings and the rest, as the job file has them",
        (("part", 0.1), ("what", 0.3), ("item", 0.48), ("count", 0.12)),
        [
            (
                names.part(member.code),
                member.title,
                member.body.item,
                str(member.per_truck * facts.trucks),
            )
            for member in facts.truck.assembly.members
            if isinstance(member.body, Bought) and member.fixed_after != "existing"
        ],
    )


def docs(facts: Facts, keep: Keep = anew) -> list[Doc]:
    """Bill of material, supplier order and labels; ``keep``: gives again the labels' codes."""
    return [bill(facts), order(facts), labels(facts, keep)]
