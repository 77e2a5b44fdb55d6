"""Last sheets: bolts and torque, inspection, alignment and road test, hand-over, and what is still
owed.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from ...layout.quantities import SIDES
from ...layout.reader import unit
from ..stock.torque import torque
from ..truck import fasteners
from ..truck.fasteners import Fastener
from ..words import names
from ..words import numbers as shown
from ..words.cautions import cautions
from .down import setdown_rows
from .engine import Doc, Fill, Table, Ticks, Words
from .facts import ASSUMED, SIDE, Facts, tol

INSPECTED = (
    "every weld of the weld map",
    "every bolt of the bolt map: size, grade mark, two washers, thread past the nut, stripe",
    ("bump, droop, roll each way, lock each way in each: everything on the travel sheet has room"),
    "hoses and leads slack at full droop with lock and the other wheel up",
    "coil stays in its seats at full droop; strap tight before the shock is",
    "steering free lock to lock, stops hold before anything touches",
    "rails waxed inside, drains open, ground points bright",
    "brakes bled; every joint inspected for leaks with the pedal held hard",
    "paint on, cavities waxed: see the cautions of paint below",
)
"""What is looked at or tried before the truck leaves the stands."""
PAPERS = (
    "bolt and torque sheet, tightened at ride height",
    "weld schedule with names and dates",
    "alignment print",
    "travel and clearance sheet as measured",
    "strength pack for whoever signs",
    "photographs of welds that can no longer be seen",
)
"""What the customer takes home."""


def bolts(facts: Facts) -> Doc:
    """Every bolt by number, with stack, nut and torque in the order it is tightened,
    those at ride height last.
    """
    return Doc(
        "bolts",
        "Bolts and torque",
        "Stage 8, finish",
        "the fitter",
        cautions("bolts"),
        [
            _torque_words(facts),
            Words(ASSUMED, facts.assumed("bolt", "dowel")),
            *_bolt_tables(facts),
        ],
    )


def at_ride_height(facts: Facts) -> Doc:
    """The bolts that are tightened last, with the weight on."""
    return bolts(facts)._replace(blocks=[_torque_words(facts), *_bolt_tables(facts)[-1:]])


def _torque_words(facts: Facts) -> Words:
    """What the torques hold for, why none is given if none is, and what nut S is."""
    no_torque = (
        "No torque is given: the shop's settings do not say whether threads are dry, oiled or"
        " anti-seized, and the same wrench on another state breaks or leaves"
        " loose."
    )
    return Words(
        "",
        [
            (
                "Torques are for 75 % of proof load and hold only for the friction state named;"
                " turning the head instead of the nut takes about 15 % more; torque scatters by"
                " a quarter whatever the wrench. Joint and steering makers' own figures come"
                " first. Pivot bolts are tightened at ride height with the weight on, never"
                " hanging."
            ),
            *([] if facts.shop.friction else [no_torque]),
            (
                f"Nut S: inside the closed rail. Weld it to a {tol(1 / 4)} x {shown.inches(1)}"
                " strap that spans both holes and fish it in through the rail's end or an open"
                " hole, or use a welded nut that is there."
            ),
        ],
    )


def _bolt_tables(facts: Facts) -> list[Table]:
    """Bolts that are tightened as they go in, then those that wait for the weight."""
    columns = _columns()
    at_once, at_ride_height = list[tuple[str, ...]](), list[tuple[str, ...]]()
    for bolt in fasteners.every(facts.truck, facts.shop):
        hung = fasteners.tightened_at(bolt.bolt) == "ride height"
        (at_ride_height if hung else at_once).append(_bolt_row(bolt, facts))
    tables = (
        Table("Tightened as they go in, in this order", columns, at_once),
        Table(
            "Tightened last, at ride height with the weight on, in this order",
            columns,
            at_ride_height,
        ),
    )
    return [table for table in tables if table.rows]


def _columns() -> tuple[tuple[str, float], ...]:
    """Columns of a table of bolts."""
    return (
        ("no", 0.048),
        ("bolt", 0.185),
        ("through, head to nut", 0.243),
        (f"grip, {unit('length')}", 0.077),
        ("nut", 0.075),
        ("torque", 0.149),
        ("tightened at", 0.104),
        ("stripe", 0.053),
        (shown.miles(100), 0.066),
    )


def bolt_table(facts: Facts, numbers: Collection[str]) -> Table:
    """Bolts of these numbers, in their order."""
    rows = [
        _bolt_row(bolt, facts)
        for bolt in fasteners.every(facts.truck, facts.shop)
        if bolt.number in numbers
    ]
    return Table("", _columns(), rows)


def _bolt_row(bolt: Fastener, facts: Facts) -> tuple[str, ...]:
    """A bolt with its stack, nut and torque, and room for the stripe and the second look."""
    return (
        bolt.number,
        bolt.name,
        bolt.clamps,
        shown.fine(bolt.grip),
        "S" if bolt.nut == fasteners.STRAP else bolt.nut or "none",
        torque(bolt.bolt, facts.shop),
        fasteners.tightened_at(bolt.bolt),
        "",
        "",
    )


def inspection(facts: Facts) -> Doc:
    """What is measured on its wheels at the end: what the set-down asked, with its limits, and what
    only the end shows.
    """
    rows: list[tuple[str, str, str]] = [
        *setdown_rows(facts),
        *(
            (f"arm, pin to pin, {SIDE[side]}", facts.shown("arm.cc", side), f"± {tol(1 / 32)}")
            for side in SIDES
        ),
        ("pinion joint, working angle", facts.shown("pinion.working", "C", "angle"), "± 1 deg"),
    ]
    compare = (
        "Every pair of the sheet of travel and clearance, closest first: a feeler or tape between"
        " them, and what is there written on that sheet."
    )
    return Doc(
        "inspection",
        "Final inspection",
        "Stage 8, finish",
        "the inspector",
        cautions("inspection"),
        [
            Fill("Measured on its wheels", rows),
            Ticks("Inspected", INSPECTED),
            Words("Before paint", list(cautions("paint"))),
            Words("Links and coils that may touch", [compare]),
        ],
    )


def alignment(facts: Facts) -> Doc:
    """Alignment targets with room for before and after, and the road test in stages, each a little
    faster than the last.
    """
    rows = [
        ("caster left", facts.shown("caster.ride", "C", "angle"), ""),
        ("caster right", facts.shown("caster.ride", "C", "angle"), ""),
        ("camber left, right", "the axle's own: read only", ""),
        (
            "steering axis inclination left, right",
            f"{facts.shown('axle.kpi', 'C', 'angle')}, the axle's own: read only",
            "",
        ),
        ("thrust angle", "0: the wheelbase is the same left and right", ""),
        ("toe in, at the tread", f"{tol(1 / 16)} to {shown.inches(1 / 8)}", ""),
        ("steering wheel straight, box centered", "by turns counted", ""),
        ("lock stops, both sides", "nothing touches", ""),
    ]
    return Doc(
        "alignment",
        "Alignment and road test",
        "Stage 8, finish",
        "the alignment shop",
        cautions("drive"),
        [
            Table(
                "",
                (("what", 0.3), ("target", 0.26), ("before", 0.22), ("after", 0.22)),
                [(what, wanted, "", note) for what, wanted, note in rows],
            ),
            Ticks(
                "Road test, stop and look after each",
                [
                    "yard, brakes, lock to lock",
                    f"{shown.speed(25)}, straight, brake",
                    f"{shown.speed(45)}, a bump with one wheel, brake",
                    f"{shown.speed(60)}, lane change",
                    "all bolts of the bolt map inspected: no stripe has moved",
                ],
            ),
            Words(
                "",
                [
                    "Caster is set by shims, thread or weld washers, welded last. Shimmy that does"
                    " not stop: do not drive; look at the track bar first."
                ],
            ),
        ],
    )


def handover(facts: Facts) -> Doc:
    """What was done to the customer's truck, what it is set for, which papers go with it, when to
    come back; signed for on receipt.
    """
    return Doc(
        "hand-over",
        "Hand-over",
        "Stage 8, finish",
        "the customer",
        cautions("hand-over"),
        [
            Words(
                "What was done",
                [
                    f"Independent front suspension taken off chassis {facts.chassis}; solid front"
                    " axle on coil springs, radius arms with upper arms, and a track bar put in."
                    f" {len(facts.truck.parts)} parts by number and revision, listed in the bill of"
                    " material; every weld and bolt by number on its map."
                ],
            ),
            _set_for(facts),
            Ticks("Papers in this pack", PAPERS),
            _come_back(),
            Words(
                "",
                [
                    "Received ______________________________   date ____________        Handed over"
                    " by ______________________________"
                ],
            ),
        ],
    )


def _set_for(facts: Facts) -> Table:
    """The values the truck was laid out for, that a later owner must keep."""
    return Table(
        "What it is set for",
        (("what", 0.5), ("value", 0.5)),
        [
            ("front axle load", facts.shown("spring.axle_load", "C", "force")),
            (
                "tire, diameter and width, no larger",
                f"{facts.shown('axle.tire_diameter')}, {facts.shown('axle.tire_width')}",
            ),
            ("tire, loaded radius", facts.shown("axle.tire_loaded_radius")),
            ("full bump", facts.shown("travel.bump")),
            ("full droop", facts.shown("travel.droop")),
            ("caster", facts.shown("caster.ride", "C", "angle")),
            ("coil rate", facts.shown("spring.rate", "C", "rate")),
        ],
    )


def _come_back() -> Words:
    """When the customer comes back, and what ends the drive."""
    return Words(
        "Come back",
        [
            (
                f"After {shown.miles(50)} to {shown.miles(100)} and after"
                f" {shown.miles(500)}: every bolt again. Every oil change: bushings,"
                " joints, welds, coil seats, track bar."
            ),
            (
                "Stop driving: shimmy, a clunk, a wheel that moved in its arch, a steering"
                " wheel no longer straight, a crack, a leak."
            ),
        ],
    )


def owed(facts: Facts) -> Doc:
    """Readings that are missing, and what each holds up."""
    blocks: dict[str, list[str]] = {str(key): [] for key in facts.owed}
    for who, keys in facts.truck.waiting.items():
        for key in keys:
            blocks.setdefault(str(key), []).append(who if " " in who else names.part(who))
    for key in facts.strength.waits:
        blocks.setdefault(str(key), []).append("every part that carries load")
    rows = [
        (facts.said(reading), ", ".join(steps), "", "")
        for reading, steps in sorted(blocks.items(), key=lambda row: -len(row[1]))
    ]
    return Doc(
        "owed",
        "What is still owed",
        "Stage 1, survey",
        "whoever has the tape",
        (),
        [
            Words("", [facts.said(facts.judged.headline)]),
            (
                Table(
                    "Readings that hold something up, those that hold up most first",
                    (("reading", 0.3), ("holds up", 0.45), ("value", 0.13), ("by", 0.12)),
                    rows,
                )
                if rows
                else Words("", ["No reading is owed."])
            ),
            Words("ASSUMED until it is read", facts.assumed()),
            Words(
                "Not for cutting",
                facts.barred_words() or ["nothing: every part may be cut"],
            ),
            Words("", ["What is to be read again, best first, stands on the travel sheet."]),
        ],
    )


MEASURED = 32
"""Pairs that are measured at the end where no more are nearer than they should be: one page."""


def _to_measure(
    gaps: Sequence[tuple[str, str, str, str]],
) -> list[tuple[str, str, str, str]]:
    """The closest pairs: all that are nearer than is needed, or a page of them."""
    tight = sum(float(gap[2]) < float(gap[3]) for gap in gaps)
    return sorted(gaps, key=lambda gap: float(gap[2]) - float(gap[3]))[: max(MEASURED, tight)]


def clearance(facts: Facts, gaps: list[tuple[str, str, str, str]]) -> Doc:
    """Close pairs to check with a tape: pair, where, model's gap, needed."""
    return Doc(
        "clearance",
        "Travel and clearance, to fill in",
        "Stage 8, finish",
        "the fitter",
        cautions("inspection"),
        [
            Table(
                "",
                (
                    ("pair", 0.48),
                    ("at", 0.17),
                    (f"model, {unit('length')}", 0.085),
                    (f"needed, {unit('length')}", 0.095),
                    ("measured", 0.1),
                    ("photo", 0.07),
                ),
                [(facts.said(gap[0]), *gap[1:], "", "") for gap in _to_measure(gaps)],
            ),
            Words(
                "",
                [
                    f"Full bump {facts.shown('travel.bump')}, full droop"
                    f" {facts.shown('travel.droop')}. Both locks at each."
                ],
            ),
        ],
    )


def docs(facts: Facts, gaps: list[tuple[str, str, str, str]]) -> list[Doc]:
    """What is owed, then the last sheets in the order they are filled in; ``gaps`` as of
    ``clearance``.
    """
    return [
        owed(facts),
        bolts(facts),
        inspection(facts),
        clearance(facts, gaps),
        alignment(facts),
        handover(facts),
    ]
