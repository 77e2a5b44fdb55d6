"""Sheets of the survey: the traveler that goes with the truck, what was decided and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...layout import units
from ..words.cautions import cautions
from .engine import Doc, Table, Words
from .facts import ASSUMED, Facts
from .levels import LAID
from .operations import operations

if TYPE_CHECKING:
    from ...layout.setout import LayoutRow
    from ..drawing.assembled import Placed

STAGES = (
    ("Stage 1, survey", "readings complete, closed, second person repeats a tenth of them"),
    ("Stage 2, cut", "parts, tubes, holes"),
    ("Stage 3, axle", "brackets on the axle, straightness before and after"),
    ("Stage 4, frame", "old suspension off, rails cut, plates and strips in"),
    ("Stage 5, crossmember", "bolted, transmission on its pad, comes out downward"),
    (
        "Stage 6, arms and set-down",
        "arms hung at full bump, mounts tacked, truck on its wheels, corrected",
    ),
    ("Stage 7, weld", "everything that was tacked"),
    ("Stage 8, finish", "torque, travel, alignment, hand-over"),
)

HELD = (4, 6, 7)
"""Stages, counted from 1, after which the work waits until somebody has looked."""
NOT_AS_DRAWN = "Not as drawn: stop, number it, and enter it as a concession"
NC_COLUMNS = (
    ("no.", 0.07),
    ("what, where, what was measured", 0.5),
    ("use, repair or scrap", 0.17),
    ("by", 0.13),
    ("date", 0.13),
)
TOLD = (
    ("caster.ride", "caster at ride height"),
    ("pinion.up", "pinion, nose above level"),
    ("pinion.working", "pinion joint, working angle"),
    ("arm.cc", "radius arm, pin to pin"),
    ("arm.elevation", "radius arm, slope"),
    ("upper.cc", "upper arm, pin to pin"),
    ("upper.twist", "upper joint, twist to its tabs"),
    ("spring.load", "load on the coil"),
    ("spring.loaded", "coil, seat to seat"),
    ("seat.above_rail", "seat above the rail"),
    ("spring.at_bump", "coil at full bump"),
    ("bar.length", "track bar, bolt to bolt"),
    ("bar.slope", "track bar, slope"),
    ("drag.slope", "drag link, slope"),
    ("bar.error", "bar to drag link"),
    ("shaft.length", "shaft, joint to joint"),
    ("shaft.transfer", "joint at the transfer case"),
)
"""Results the decisions sheet tells, by their names, with what the customer calls them."""


def traveler(facts: Facts, placed: Placed) -> Doc:
    """The page that goes with the truck: who it belongs to, its stages to sign off, hold points,
    and lines for what is not as drawn.
    """
    return Doc(
        "traveler",
        "Traveler",
        "Stage 1, survey",
        "everybody",
        cautions("survey"),
        [
            _whose(facts),
            _stages(facts, placed),
            Words(
                "Drawings and hours",
                [
                    f"Drawing A2 is {facts.chassis}-A2, and so on. Hours of stages 2 to 8 are those"
                    " of the cost sheet, a judgment; fit-up and waiting come on top."
                ],
            ),
            Table(NOT_AS_DRAWN, NC_COLUMNS, [(f"NC{at}", *[""] * 4) for at in (1, 2, 3)]),
            Words(
                "Hold points",
                [
                    LAID,
                    (
                        "After frame plates: width and diagonals measured again before anything"
                        " else is welded. After set-down: corrections signed before full weld."
                        " After weld: every weld inspected before paint."
                    ),
                ],
            ),
        ],
    )


def _whose(facts: Facts) -> Words:
    """The chassis, who measured it, and room for the customer and whoever signs."""
    note = facts.words.get("job.note")
    return Words(
        "",
        [
            (
                f"Chassis {facts.chassis}: {facts.words.get('job.title', '')}. Measured by"
                f" {facts.words.get('job.by', '') or '____________'}."
            ),
            "Customer ____________________  vehicle number ____________________  odometer ________",
            *([f"Note: {note}"] if note else []),
            (
                "Who may sign for this work where the truck is registered"
                " ______________________________"
            ),
            f"What they want to see before paint {'_' * 60}",
            (
                "Scope agreed ______________________________________________   signed"
                " ______________   date __________"
            ),
        ],
    )


def _stages(facts: Facts, placed: Placed) -> Table:
    """A row a stage: what it works from, how many pieces, how long, and room for how long it took,
    who and when; where the work waits.
    """
    rows = zip(STAGES, operations(facts, placed, len(STAGES)), strict=True)
    return Table(
        "",
        (
            ("op", 0.04),
            ("stage", 0.16),
            ("done when", 0.2),
            ("drawing", 0.12),
            ("rev", 0.07),
            ("qty", 0.05),
            ("hours, about", 0.07),
            ("hours taken", 0.07),
            ("by", 0.07),
            ("date", 0.07),
            ("hold", 0.08),
        ),
        [
            (str(step), stage, done_when, *one, "", "", "", "HOLD" if step in HELD else "")
            for step, ((stage, done_when), one) in enumerate(rows, 1)
        ],
    )


def accepted(facts: Facts) -> list[Table]:
    """What was signed for by name though it is not ok, as the record keeps it: a table for each
    signature with its day and reason.
    """
    return [
        Table(
            f"Signed for by {by} on {date}: {why}",
            (("verdict", 0.15), ("what", 0.45), ("why it is not ok", 0.4)),
            [
                (row["verdict"], facts.said(row["title"]), facts.said(row["reason"]))
                for row in facts.accepted
                if (row["by"], row["date"], row["why"]) == (by, date, why)
            ],
        )
        for by, date, why in dict.fromkeys(
            (row["by"], row["date"], row["why"]) for row in facts.accepted
        )
    ]


def decisions(facts: Facts) -> Doc:
    """What was asked, what comes out, how sure, and what it hangs on."""
    return Doc(
        "decisions",
        "What was decided, and why",
        "Stage 1, survey",
        "fabricator and customer",
        (),
        [
            Words("", [facts.said(facts.judged.headline)]),
            *accepted(facts),
            _results(facts),
            _gave_way(facts),
            Words("RULES SET ASIDE", facts.aside() or ["none"]),
            Words(ASSUMED, facts.assumed()),
            Words(
                "What limits strength most",
                [
                    f"{facts.said(check.part)}: {facts.said(check.what)},"
                    f" {check.utilisation:.2f} used, {check.case}"
                    for check in facts.strength.checks[:6]
                ],
            ),
            Words(
                "Made larger for its loads", [facts.said(str(one)) for one in facts.strength.grown]
            ),
        ],
    )


def _results(facts: Facts) -> Table:
    """The results of ``TOLD`` that this truck has, each side where it has sides."""
    from ...layout.setout import given_and_solved

    solved = {str(result.key): result for result in given_and_solved(facts.solved)}
    return Table(
        "",
        (
            ("what", 0.27),
            ("value", 0.17),
            ("±", 0.12),
            ("how", 0.09),
            ("most of its ± comes from", 0.35),
        ),
        [
            _result_row(facts, says + side.replace(".", ", "), solved[name + side])
            for name, says in TOLD
            for side in ("", ".left", ".right")
            if name + side in solved
        ],
    )


def _result_row(facts: Facts, says: str, result: LayoutRow) -> tuple[str, str, str, str, str]:
    """A result as people read it: value or what it waits for, plus-minus, whether it was given or
    solved, and the readings most of its plus-minus comes from.
    """
    from ...layout.setout import surety

    sure = "" if result.plus_minus is None else f"±{surety.doubt(result.plus_minus, result.unit)}"
    if result.value is None:
        waits = "waits for " + facts.readings_words(result.rests_on[:4])
        return says, waits, sure, result.role, ""
    behind: dict[str, float] = {}  # along, across and up of one point are one reading to a fitter
    for key, share in surety.behind(facts.solved, surety.cause(result.key)):
        behind[facts.reading(key)] = behind.get(facts.reading(key), 0.0) + share
    return (
        says,
        surety.rounded(result.value, result.unit),
        sure,
        result.role,
        ", ".join(f"{what} {100 * share:.0f} %" for what, share in behind.items()),
    )


def _gave_way(facts: Facts) -> Table | Words:
    """Choices that were moved so that what was asked could be met, from and to."""
    rows = [
        (
            facts.reading(key),
            units.show(asked, facts.solved.unit(key)),
            units.show(taken, facts.solved.unit(key)),
        )
        for key, (asked, taken) in facts.solved.gave_way().items()
    ]
    if not rows:
        return Words("", ["Nothing had to give way."])
    return Table(
        "What gave way so that the rest could be met",
        (("choice", 0.4), ("from", 0.3), ("to", 0.3)),
        rows,
    )


def docs(facts: Facts, placed: Placed) -> list[Doc]:
    """The traveler, and what was decided."""
    return [traveler(facts, placed), decisions(facts)]
