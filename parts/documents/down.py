"""The set-down sheet: what is read on the tacked truck, the same as the set-down file asks."""

from __future__ import annotations

from ..words import names
from ..words import numbers as shown
from ..words.cautions import cautions
from .engine import Doc, Fill, Table, Ticks
from .facts import Facts
from .fitting import sits


def setdown_rows(f: Facts) -> list[tuple[str, str, str]]:
    """Everything the set-down file asks, in its order and words: what, should be, allowed."""
    from ...layout.setdown import ASKED, OwedError, limit_words, truck_of
    from ...layout.setdown import shown as should_be

    try:
        asked = truck_of(f.solved).asked
    except OwedError as e:
        waits = f"waits for {f.readings_words(e.keys)}"
        return [(a.title, waits, limit_words(a, None)) for a in ASKED]
    return [
        (
            a.title + (f" ({a.how})" if a.how else ""),
            should_be(asked.wanted[a.name], a.kind),
            limit_words(a, asked),
        )
        for a in ASKED
        if a.name in asked.wanted
    ]


def setdown(f: Facts) -> Doc:
    """What is done and read when the tacked truck first stands on its wheels, and what is only
    tacked until then.
    """
    tacked = {t.weld.id: t for t in f.strength.tacks}
    tacks = [
        (
            n,
            f.title(w.on),
            names.part(w.to),
            f"{tacked[w.id].pieces} of {shown.room(tacked[w.id].length)}",
            "",
        )
        for n, w in f.welds().items()
        if w.id in tacked and f.stage(w) == "set-down"
    ]
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
                    f"truck down, rolled {shown.feet(10)} back and forth, bounced at each corner",
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
            Fill("Readings, in the order of the set-down file", setdown_rows(f)),
            Table(
                "Tacked until then",
                (("weld", 0.12), ("on", 0.44), ("to", 0.16), ("tacks", 0.16), ("done", 0.12)),
                tacks,
            ),
            sits(f, "set-down"),
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """The set-down sheet alone."""
    return [setdown(f)]
