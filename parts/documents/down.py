"""The set-down sheet: what is read on the tacked truck, the same as the set-down file asks."""

from __future__ import annotations

from ..words import numbers as shown
from ..words.cautions import cautions
from .engine import Doc, Fill, Ticks
from .facts import Facts


def setdown_rows(facts: Facts) -> list[tuple[str, str, str]]:
    """Everything the set-down file asks, in its order and words: what, should be, allowed."""
    from ...layout.setdown import ASKED, OwedError, limit_words, truck_of
    from ...layout.setdown import shown as should_be

    try:
        asked = truck_of(facts.solved).asked
    except OwedError as e:
        waits = f"waits for {facts.readings_words(e.keys)}"
        return [(limit.title, waits, limit_words(limit, None)) for limit in ASKED]
    return [
        (
            limit.title + (f" ({limit.how})" if limit.how else ""),
            should_be(asked.wanted[limit.name], limit.kind),
            limit_words(limit, asked),
        )
        for limit in ASKED
        if limit.name in asked.wanted
    ]


def setdown(facts: Facts) -> Doc:
    """What is done and read when the tacked truck first stands on its wheels."""
    return Doc(
        "set-down",
        "Tack and set-down",
        "Stage 6, arms and set-down",
        "the fitter",
        cautions("set-down"),
        [
            Ticks(
                "In this order",
                [
                    "pivot bolts loose, wheels straight, steering centered by counting turns",
                    f"truck down, rolled {shown.feet(10, least=False)} back and forth, bounced at"
                    " each corner",
                    (
                        "every reading below taken twice and written down; what was not read keeps"
                        " the truck from being welded"
                    ),
                    (
                        "readings typed into the set-down file; moves come back by tape and in"
                        " quarter turns"
                    ),
                    "moved, set down again, read again, until within what is allowed",
                    "signed before full weld: ______________________ date __________",
                ],
            ),
            Fill("Readings, in the order of the set-down file", setdown_rows(facts)),
        ],
    )


def docs(facts: Facts) -> list[Doc]:
    """The set-down sheet alone."""
    return [setdown(facts)]
