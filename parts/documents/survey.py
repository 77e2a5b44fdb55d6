"""Sheets of the survey: the traveler that goes with the truck, what was decided and why."""

from __future__ import annotations

from typing import Any

from ...layout import units
from ..words.cautions import cautions
from .engine import Doc, Table, Words
from .facts import ASSUMED, Facts
from .levels import LAID

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


def traveler(f: Facts) -> Doc:
    """One page that goes with the truck."""
    rows = [
        (str(i), a, b, "", "", "HOLD" if i in (4, 6, 7) else "", "")
        for i, (a, b) in enumerate(STAGES, 1)
    ]
    return Doc(
        "traveler",
        "Traveler",
        "Stage 1, survey",
        "everybody",
        cautions("survey"),
        [
            Words(
                "",
                [
                    (
                        f"Chassis {f.chassis}: {f.words.get('job.title', '')}. Measured by"
                        f" {f.words.get('job.by', '') or '____________'}. Customer"
                        " ____________________  vehicle number ____________________  odometer"
                        " __________"
                    ),
                    *([f"Note: {f.words['job.note']}"] if f.words.get("job.note") else []),
                    (
                        "Who may sign for this work where the truck is registered"
                        " ______________________________   what they want to see before paint"
                        " ______________________________"
                    ),
                    (
                        "Scope agreed ______________________________________________   signed"
                        " ______________   date __________"
                    ),
                ],
            ),
            Table(
                "",
                (
                    ("op", 0.05),
                    ("stage", 0.24),
                    ("done when", 0.33),
                    ("by", 0.1),
                    ("date", 0.1),
                    ("hold", 0.08),
                    ("hours", 0.1),
                ),
                rows,
            ),
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


def accepted(f: Facts) -> list[Any]:
    """What was signed for by name though it is not ok, as the record keeps it."""
    return [
        Table(
            f"Signed for by {by} on {date}: {why}",
            (("verdict", 0.15), ("what", 0.45), ("why it is not ok", 0.4)),
            [
                (r["verdict"], f.said(r["title"]), f.said(r["reason"]))
                for r in f.accepted
                if (r["by"], r["date"], r["why"]) == (by, date, why)
            ],
        )
        for by, date, why in dict.fromkeys((r["by"], r["date"], r["why"]) for r in f.accepted)
    ]


def decisions(f: Facts) -> Doc:
    """What was asked, what comes out, how sure, and what it hangs on."""
    from ...layout.setout import given_and_solved, surety

    picked = (
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
    by = {str(r.key): r for r in given_and_solved(f.solved)}
    rows = []
    for name, says in picked:
        for side in ("", ".left", ".right"):
            r = by.get(name + side)
            if r is not None:
                value = (
                    "waits for " + f.readings_words(r.rests_on[:4])
                    if r.value is None
                    else surety.rounded(r.value, r.unit)
                )
                sure = "" if r.plus_minus is None else f"±{surety.doubt(r.plus_minus, r.unit)}"
                why = (
                    ", ".join(
                        f"{f.reading(k)} {100 * share:.0f} %"
                        for k, share in surety.behind(f.solved, surety.cause(r.key))
                    )
                    if r.value is not None
                    else ""
                )
                rows.append((says + side.replace(".", ", "), value, sure, r.role, why))
    gave = [
        (f.reading(k), units.show(a, f.solved.unit(k)), units.show(b, f.solved.unit(k)))
        for k, (a, b) in f.solved.gave_way().items()
    ]
    assumed = [*map(str, f.strength.assumed)]
    return Doc(
        "decisions",
        "What was decided, and why",
        "Stage 1, survey",
        "fabricator and customer",
        (),
        [
            Words("", [f.said(f.judged.headline)]),
            *accepted(f),
            Table(
                "",
                (
                    ("what", 0.27),
                    ("value", 0.17),
                    ("±", 0.12),
                    ("", 0.09),
                    ("most of its ± comes from", 0.35),
                ),
                rows,
            ),
            (
                Table(
                    "What gave way so that the rest could be met",
                    (("choice", 0.4), ("from", 0.3), ("to", 0.3)),
                    gave,
                )
                if gave
                else Words("", ["Nothing had to give way."])
            ),
            Words("RULES SET ASIDE", f.aside() or ["none"]),
            Words(ASSUMED, assumed or ["nothing"]),
            Words(
                "What limits strength most",
                [
                    f"{f.said(c.part)}: {f.said(c.what)}, {c.utilisation:.2f} used, {c.case}"
                    for c in f.strength.checks[:6]
                ],
            ),
            Words("Made larger for its loads", [f.said(g) for g in f.strength.grown]),
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Every sheet of this file."""
    return [traveler(f), decisions(f)]
