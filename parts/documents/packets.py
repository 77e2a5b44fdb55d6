"""Packets: what the person of a stage takes to the truck. A cover with the stage's parts, tools,
readings and hold point, then what is done there; the drawings are bound in behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest

from ..drawing.assembled import Placed
from ..words import names
from . import finish, welding
from .engine import Doc, DocBlock, Drawn, Fill, Table, Words
from .facts import Facts, tol
from .steps import HOW_READ, WELDED_OUT, PacketStep, members_of, new_in
from .survey import STAGES

LED: tuple[tuple[str, ...], ...] = (
    ("traveler", "owed"),
    ("cut-sheet", "tubes"),
    ("axle", "steps-axle"),
    ("vehicle", "steps-frame"),
    ("crossmember", "steps-crossmember"),
    ("arms", "set-down", "steps-arms-and-set-down"),
    ("steps-weld", "distortion"),
    (),
)
"""Sheets that run on below the cover of each stage; rows nobody acts on stay in the workbook and on
sheets of their own.
"""
BEHIND: tuple[tuple[str, ...], ...] = (
    *((), ("templates",), (), (), (), (), ()),
    ("inspection", "clearance", "alignment", "hand-over"),
)
"""Sheets behind it that are handed to somebody else, or come at full size."""
TOOLS = (
    (
        "steel tape, plumb bob and chalk line, angle gage read to 0.1 deg, straightedge, four"
        " stands, level floor, scale for the weights"
    ),
    (
        "cutting table, saw, drill press with the drills and reamers of the drawings, brake,"
        " caliper, steel rule, punch, paint marker, this packet's templates at full size"
    ),
    (
        "stands, grinder, dye for cracks, angle gage, bar through both brackets, welder, clamps,"
        " gage pins for every pivot hole"
    ),
    (
        "spreader for the rails, stands, grinder, dye, tape and trammel for the diagonals, clamps,"
        " welder, cavity wax"
    ),
    "drill templates, pilot drill and reamer, clamps, torque wrench, jack for the transmission",
    (
        "stands and jacks at both ends, coil capture, two-pin jig, dummy sleeves, angle gage,"
        " tape and trammel, four scales, grease pencil"
    ),
    "welder of the process below, weld gage, dummy sleeves, dye, infrared thermometer, clamps",
    "torque wrench in its calibration, paint pen, feeler and tape, angle gage, alignment rack",
)
"""Common practice, no source; a row a stage."""
HOLDS = (
    "",
    "The check square measured both ways before the first part leaves the table.",
    "",
    (
        "HOLD: width and diagonals of the frame measured again, and in the job, before anything"
        " else is welded."
    ),
    "The center section comes out downward with everything else in place before it is signed.",
    "HOLD: corrections of the set-down signed before anything is welded out.",
    "HOLD: every weld inspected and signed before paint.",
    "Handed over only with the road test done and every bolt of this packet looked at after it.",
)
"""Where the work of each stage waits."""


def packets(
    facts: Facts, placed: Placed, docs: Sequence[Doc], steps: Mapping[str, Sequence[PacketStep]]
) -> list[list[Doc]]:
    """The sheets of each stage in order, its cover first; ``docs``: every sheet there is;
    ``steps``: of each stage.
    """
    by = {doc.name: doc for doc in docs}
    found = []
    for at, (stage, _) in enumerate(STAGES):
        led = [*_led(facts, stage), *(by[name] for name in LED[at] if name in by)]
        cautions = dict.fromkeys(said for doc in led for said in doc.cautions)
        cover = Doc(
            f"packet-{at + 1}",
            f"Packet {at + 1}, {stage.partition(', ')[2]}",
            stage,
            led[0].reader,
            [*cautions],
            [
                *_taken(facts, placed, at, steps.get(stage, ())),
                *(block for doc in led for block in _run_on(doc, doc is led[0])),
            ],
        )
        found.append([cover, *(by[name] for name in BEHIND[at] if name in by)])
    return found


def _run_on(doc: Doc, first: bool) -> Iterable[DocBlock]:
    """A sheet's blocks below those of another, under its own title where they have none."""
    top = doc.blocks[0]
    headed = not isinstance(top, Drawn) and top.title in (doc.title, HOW_READ)
    return doc.blocks if first or headed else (Words(doc.title, []), *doc.blocks)


def _led(facts: Facts, stage: str) -> list[Doc]:
    """What comes first where no sheet of its own does: how it is welded; the bolts that wait for
    the weight.
    """
    if stage == WELDED_OUT:
        return [welding.how(facts)]
    return [finish.at_ride_height(facts)] if stage == STAGES[-1][0] else []


def _taken(
    facts: Facts, placed: Placed, at: int, steps: Sequence[PacketStep]
) -> Iterable[DocBlock]:
    """What the stage takes: its parts, tools, readings, hold point, and who had it."""
    yield Words("", [f"Tools: {TOOLS[at]}.", *filter(None, [HOLDS[at]])])
    rows = _parts(facts, placed, steps)
    if rows:
        half = (len(rows) + 1) // 2
        pairs = zip_longest(rows[:half], rows[half:], fillvalue=("", "", "", ""))
        columns = (("part", 0.11), ("name", 0.26), ("count", 0.06), ("here", 0.05))
        yield Table("Parts of this packet", columns * 2, [(*one, *two) for one, two in pairs])
    readings = _readings(facts, at)
    if readings:
        yield Fill("Readings", readings)
    yield Words(
        "",
        [
            "Taken by ______________ date ________   done ______________ date ________"
            "   looked at by ______________ date ________"
        ],
    )


def _parts(facts: Facts, placed: Placed, steps: Sequence[PacketStep]) -> list[tuple[str, ...]]:
    """Every part that the steps put in, those cut alike once with their count."""
    count: dict[tuple[str, str], int] = {}
    for each in steps:
        new = set(new_in(placed, each.step))
        for member in members_of(placed, each.step) if not each.laid else ():
            if member.code in new:
                part = facts.parts.get(member.code)
                called = names.made(part) if part else names.part(member.code)
                key = (called, member.title)
                count[key] = count.get(key, 0) + member.per_truck
    return [(called, title, str(number), "") for (called, title), number in count.items()]


def _readings(facts: Facts, at: int) -> list[tuple[str, str, str]]:
    """Readings of the stages whose sheets ask for none of their own."""
    if at == 2:  # noqa: PLR2004  # the axle's
        return [
            ("axle tube, angle at its left end, before and after", "the same", "0.2 deg"),
            ("axle tube, angle at its right end, before and after", "the same", "0.2 deg"),
            ("pinion, nose above level", facts.shown("pinion.up", "C", "angle"), "0.5 deg"),
        ]
    if at == 4:  # noqa: PLR2004  # the crossmember's
        return [("rails outside to outside at the crossmember", "as before", tol(1 / 16))]
    return []
