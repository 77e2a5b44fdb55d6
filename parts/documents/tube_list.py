"""The tube cut list, and how much of each tube it takes."""

from __future__ import annotations

from ...layout.reader import metric, number, unit
from ..model.body import Tube
from ..stock import IN
from ..words import names
from ..words import numbers as shown
from . import steel_schedules
from .engine import Doc, Table
from .facts import Facts
from .schedule import held

KERF = IN / 8
"""Steel a saw cut takes: judgment, no source."""


def tube_needed(facts: Facts) -> dict[str, float]:
    """Length of each tube in stock that all trucks take, saw cuts included, mm."""
    needed = dict[str, float]()
    for part in facts.truck.parts:
        if isinstance(body := part.member.body, Tube):
            run = (body.length + KERF) * part.quantity * facts.trucks
            needed[body.stock] = needed.get(body.stock, 0.0) + run
    return dict(sorted(needed.items()))


def tube_sheet(facts: Facts) -> Doc:
    """Tube cut list: each blank with its two ends, then the stock they come out of."""
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
            *_grid(facts),
        ),
        [_blanks(facts), _stock_table(facts)],
    )


def _grid(facts: Facts) -> tuple[str, ...]:
    """What the lengths are rounded to, where it is another step than the reader's."""
    if not metric() or facts.shop.unit == "mm":
        return ()
    says = (
        "Lengths are whole sixteenths of an inch, said in mm, since this shop's files are cut in"
        " inches; with files cut in mm they are whole millimeters."
    )
    return (says,)


def _blanks(facts: Facts) -> Table:
    """Every blank with its length and how each end is prepared."""
    named = {part.id: names.made(part) for part in facts.truck.parts}
    return Table(
        "",
        (
            ("part", 0.08),
            ("name", 0.15),
            ("stock", 0.19),
            (f"length, {unit('length')}", 0.1),
            ("between", 0.14),
            ("end A", 0.11),
            ("end B", 0.1),
            ("qty", 0.05),
            (f"{unit('mass')} each", 0.07),
            ("cut by", 0.07),
        ),
        [
            (
                named[str(row["part"])],
                *(
                    str(row[column])
                    for column in ("name", "stock", "length", "between", "end_a", "end_b")
                ),
                str(int(held(row, "quantity")) * facts.trucks),
                number(held(row, "mass_kg"), "mass", 1),
                "",
            )
            for row in steel_schedules.tubes(facts.truck, facts.shop).rows
        ],
    )


def _stock_table(facts: Facts) -> Table:
    """What the blanks are sawn from, in the long unit of the yard and in the saw's."""
    return Table(
        f"Stock needed, {shown.room(KERF)} a cut",
        (
            ("tube", 0.5),
            ("meters" if metric() else "feet", 0.25),
            ("millimeters" if metric() else "inches", 0.25),
        ),
        [
            (
                stock,
                f"{length / 1000:.2f}" if metric() else f"{length / IN / 12:.1f}",
                number(length, "length", 0 if metric() else 1),
            )
            for stock, length in tube_needed(facts).items()
        ],
    )
