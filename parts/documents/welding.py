"""The weld schedule, heat care beside the weld it belongs to, and what may warp."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from ...layout.quantities import SIDES
from ...layout.reader import metric, number, unit
from ..drawing.symbols import size_words
from ..model.assembly import Weld
from ..rules.welds import leg_text
from ..words import names
from ..words import numbers as shown
from ..words.cautions import cautions
from .engine import Doc, Table, Ticks, Words
from .facts import ASSUMED, Facts, fraction, tol
from .levels import LAID

CARE: dict[str, tuple[str, str]] = {
    "bushing out": ("A", "bushings and joints out"),
    "joint out": ("A", "bushings and joints out"),
    "bushings and joints out": ("A", "bushings and joints out"),
    "dummy sleeve in": ("B", "dummy sleeve in"),
    "bolt through": ("C", "pivot bolt through, snug"),
    "coil out": ("D", "coil out, captured before it is let go"),
    "seals out": ("E", "axle seals and breather out"),
    "opposite sides in turn": ("F", "opposite sides in turn, hand-warm between"),
    "opposite sides alternately": ("F", "opposite sides in turn, hand-warm between"),
    "after the set-down": ("G", "only after the truck has stood on its wheels and is corrected"),
    "closes the cell: no gap": ("H", "closes the rail's cell: no gap, no stop"),
    "bolted to the rail while welding": ("J", "bolted down while welded, left bolted until cold"),
    "flanges bolted together with the shim": ("K", "flanges bolted together with the shim between"),
    "shock out": ("L", "shock out"),
    "stop out": ("M", "bump stop out"),
    "ends free": ("N", "ends left free"),
    "points free": ("N", "ends left free"),
    "nut in first": ("P", "nut in before it is closed"),
    "rosettes first": ("R", "rosettes first, then the butt"),
    "on the bench, flanges bolted to a stiff bar": (
        "T",
        "on the bench, flanges bolted to a stiff bar",
    ),
    "crossmember bolted up while welding": (
        "J",
        "bolted down while welded, left bolted until cold",
    ),
}
"""What a weld needs: the letter printed beside it, and what the letter means.

A word that is not here is printed as it is.
"""
WELDED = ("[weld]", "frame.steel", "axle.tube_steel", "arms.", "[[plate]]")
"""What the strength of welds and of the steel beside them rests on."""
JOINT = {"fillet": "fillet", "groove": "bevel groove", "slot": "slot", "plug": "plug"}


def words_of(weld: Weld) -> str:
    """A weld as its row of the schedule says it: leg, kind, both sides, stitches, ends left out; of
    a groove its size, angle and throat.
    """
    stitch = f", {fraction(weld.run)} on {fraction(weld.pitch)}" if weld.run else ""
    short = f", ends {fraction(weld.stop)} short" if weld.stop else ""
    if weld.groove:
        return (
            f"{size_words(weld)} {JOINT[weld.kind]}, {math.degrees(weld.groove.angle):.0f} deg,"
            f" root closed, throat E {leg_text(weld.leg)}"
        )
    return (
        f"{leg_text(weld.leg)}"
        f" {JOINT[weld.kind]}{' both sides' if weld.face == 'both' else ''}{stitch}{short}"
    )


def schedule(facts: Facts) -> Doc:
    """Every weld in the order it is laid: what to what, size, length, tacks, care; room for who
    laid and who looked at it is on the sheet of its step.
    """
    return Doc(
        "welds",
        "Weld schedule",
        "Stage 7, weld",
        "the welder",
        cautions("weld"),
        [
            _process(facts),
            Words(ASSUMED, facts.assumed(*WELDED)),
            Words(
                "Letters beside a weld: what is done before the arc is struck",
                letters(facts.truck.assembly.welds),
            ),
            _every_weld(facts),
            _deviation(facts),
            _to_inspect(),
        ],
    )


def how(facts: Facts) -> Doc:
    """What a welder reads before the steps: process, what is assumed, what is inspected."""
    return schedule(facts)._replace(
        blocks=[
            _process(facts),
            Words(ASSUMED, facts.assumed(*WELDED)),
            _deviation(facts),
            _to_inspect(),
        ]
    )


def _process(facts: Facts) -> Words:
    """How the shop welds, and how to read the numbers and legs of the sheet."""
    return Words(
        "",
        [
            f"Process: {facts.shop.weld}. Numbers are the order of welding through the whole job:"
            " axle, frame, crossmember, arms, then what waits for the set-down. Legs in"
            f" {'millimeters' if metric() else 'inches unless a unit stands beside them'}; a"
            f" weld is never larger than its thinner wall. Runs of {shown.about(2)} to"
            f" {shown.about(3)}, opposite sides in turn, hand-warm between; fill craters,"
            f" start and stop away from corners. Vertical runs upward. {LAID}"
        ],
    )


def letters(welds: Iterable[Weld]) -> list[str]:
    """The letters of ``CARE`` that stand beside some welds, each with what it means."""
    used = {CARE[care] for weld in welds for care in weld.care if care in CARE}
    return [f"{letter}  {says}" for letter, says in sorted(used)]


def weld_table(facts: Facts, welds: Mapping[str, Weld]) -> Table:
    """Welds by number with their length, tacks and care, and room for who laid and who inspected
    them: those of one step, laid for good in its stage.
    """
    return Table(
        "",
        (
            ("weld", 0.05),
            ("what to what", 0.31),
            ("size", 0.252),
            (unit("length"), 0.047),
            ("tacks", 0.08),
            ("care", 0.073),
            ("laid by, date", 0.105),
            ("looked at", 0.083),
        ),
        [(*row[:4], *row[5:8], "") for row in _weld_rows(facts, welds)],
    )


def _every_weld(facts: Facts) -> Table:
    """The whole job's welds, with the stage each is laid in for good."""
    return Table(
        "Every weld",
        (
            ("no", 0.06),
            ("what to what", 0.35),
            ("weld", 0.22),
            (unit("length"), 0.06),
            ("laid for good", 0.13),
            ("tacks", 0.09),
            ("care", 0.09),
        ),
        [row[:7] for row in _weld_rows(facts, facts.welds())],
    )


def _weld_rows(facts: Facts, welds: Mapping[str, Weld]) -> list[tuple[str, ...]]:
    """A row a weld, in their order."""
    tacks = {tack.weld.id: tack for tack in facts.strength.tacks}
    rows: list[tuple[str, ...]] = []
    for called, weld in welds.items():
        tack = tacks.get(weld.id)
        rows.append(
            (
                called,
                f"{facts.title(weld.on)} {names.onto(weld)}",
                words_of(weld),
                number(facts.length(weld), "length", 0 if metric() else 1),
                facts.stage(weld),
                f"{tack.pieces} x {shown.room(tack.length)}" if tack else "",
                " ".join(sorted({CARE[care][0] if care in CARE else care for care in weld.care})),
                "",
            )
        )
    return rows


def _deviation(facts: Facts) -> Words:
    """Welds that lie nearer a flange's corner than trade practice has them, and why they do."""
    along = [
        called
        for called, weld in facts.welds().items()
        if weld.id.startswith(("coil.plate.bottom", "coil.plate.top", "strip."))
    ]
    said = (
        f"Welds {', '.join(along)} run lengthwise along a flange's corner: nearer than"
        f" the {shown.inches(3 / 4)} of heavy-truck practice, because there the cut"
        " cell is closed again. Nothing runs across a flange."
    )
    return Words("Stated deviation", [said] if along else [])


def _to_inspect() -> Ticks:
    """What is looked at on every weld."""
    return Ticks(
        "Every weld inspected (visual limits for cyclic loads: AWS D1.1 table 8.1)",
        [
            "no crack, full fusion, craters filled",
            (
                f"undercut at most {'0.25 mm' if metric() else '0.01 in'} across the pull,"
                f" {shown.inches(1 / 32)} elsewhere"
            ),
            "leg by gage, not under size over more than a tenth of its length",
            "bolts and dummy sleeves still slide out by hand",
        ],
    )


MOVED = "More than allowed: stop, tell whoever drew it, correct before the next stage."


def _may_have_moved(facts: Facts) -> list[tuple[str, str, str]]:
    """What is measured, what it should be, and how far it may move."""
    rows = []
    for key in sorted(facts.solved.values):
        name, side = key
        if name.startswith("frame.station.") and name.endswith(".outer") and side == "L":
            station = name.split(".")[2]
            right = facts.v(f"frame.station.{station}.outer", "R")
            if right is not None:
                rows.append(
                    (
                        f"rails outside to outside, station {station}",
                        fraction(facts.solved.values[key] + right),
                        f"{tol(1 / 16)} before to after",
                    )
                )
    rows += [
        (
            "diagonal left front to right rear, lower bolt to frame joint",
            "as the layout sheet",
            f"{tol(1 / 8)} between the two",
        ),
        ("axle tube, angle at each end", "level in its own zero", "0.2 deg before to after"),
        ("rail height above the floor, left and right", "as the layout sheet", f"± {tol(1 / 8)}"),
        ("gage pin in every pivot hole", "goes by hand", "goes"),
    ]
    rows += [
        (
            f"radius arm, pin to pin, {'left' if each == 'L' else 'right'}",
            facts.shown("arm.cc", each),
            f"{tol(1 / 32)} between the two",
        )
        for each in SIDES
    ]
    return rows


def distortion(facts: Facts) -> Doc:
    """Widths, diagonals, arm lengths and tube straightness, to be taken before and after welding,
    with how far each may have moved.
    """
    return Doc(
        "distortion",
        "What welding may have moved",
        "Stage 7, weld",
        "the welder",
        cautions("cold"),
        [
            Table(
                "What welding may have moved",
                (
                    ("what", 0.36),
                    ("should be", 0.14),
                    ("allowed", 0.2),
                    ("before", 0.1),
                    ("after, cold", 0.1),
                    ("by", 0.1),
                ),
                [(*row, "", "", "") for row in _may_have_moved(facts)],
            ),
            Words("", [MOVED]),
        ],
    )


def docs(facts: Facts) -> list[Doc]:
    """The weld schedule, and what welding may have moved."""
    return [schedule(facts), distortion(facts)]
