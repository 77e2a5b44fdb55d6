"""The customer's page: what is made and bought for the truck and what it comes to, without the
shop's prices.
"""

from __future__ import annotations

from collections import Counter

from ..model.body import Bought
from ..truck import fasteners
from ..truck.truck import families
from .engine import Doc, Table, Words
from .facts import Facts
from .ordering import money, price


def _made(facts: Facts) -> Table:
    """Pieces by what they are part of."""
    titles = {name: family.title for name, family in families()}
    counts: Counter[str] = Counter()
    for part in facts.truck.parts:
        if part.member.fixed_after == "tool":
            continue
        counts[titles[facts.truck.made_by[part.id]]] += part.quantity * facts.trucks
    rows = [(title, str(count)) for title, count in counts.items()]
    return Table("Made here", (("what", 0.8), ("pieces", 0.2)), rows)


def _bought(facts: Facts) -> Table:
    """Bolts and bought parts, with how many; what nut a bolt takes is no matter here."""
    found: Counter[str] = Counter()
    for bolt, count in fasteners.ordered(facts.truck, facts.shop):
        found[bolt.name] += count * facts.trucks
    for member in facts.truck.assembly.members:
        if isinstance(member.body, Bought) and member.fixed_after != "existing":
            found[f"{member.title}: {member.body.item}"] += member.per_truck * facts.trucks
    rows = [(what, str(count)) for what, count in found.items()]
    return Table("Bought", (("what", 0.8), ("pieces", 0.2)), rows)


def quote(facts: Facts) -> Doc:
    """What the customer is asked to agree to: no rate and no price of the shop's stands on it."""
    total = money(price(facts))
    return Doc(
        "quote",
        "Quote for the customer",
        "Stage 2, cut",
        "the customer",
        (),
        [
            Words(
                "",
                [
                    f"Truck {facts.chassis}: a solid front axle on coil springs, radius arms and"
                    " track bar in place of the front suspension it has."
                ],
            ),
            _made(facts),
            _bought(facts),
            Table(
                "What it comes to",
                (("what", 0.7), ("price", 0.3)),
                [
                    ("everything made here, cut, drilled, welded and fitted", total or ""),
                    ("what is bought", ""),
                    ("together", ""),
                ],
            ),
            Words(
                "Not in it",
                [
                    "Shocks, limit straps, steering, brakes, driveshaft, wheels and tires;"
                    " alignment at the end; whatever an inspector or the registration office asks"
                    " for."
                ],
            ),
            Words(
                "",
                [
                    "The truck is to be inspected by whoever may sign for such work where it is"
                    " registered, before it is driven on the road.",
                    "Agreed by ______________________   date __________   good until __________",
                ],
            ),
        ],
    )


def docs(facts: Facts) -> list[Doc]:
    """The quote alone."""
    return [quote(facts)]
