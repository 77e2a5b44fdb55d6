"""Sheets of the fitter: traveler, decisions, axle and vehicle preparation, frame plates,
crossmember, arms.
"""

from __future__ import annotations

from typing import Any

from ...layout import units
from ...layout.reader import number, unit
from ..model.numbering import stage_of
from ..words import names
from ..words import numbers as shown
from ..words.cautions import cautions
from .engine import Doc, Fill, Table, Ticks, Words
from .facts import ASSUMED, SIDE, Facts, fraction, tol
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


MOVES = {"x": "along", "y": "across", "z": "up", "slot": "in its slot"}
"""Which way a part may still move."""


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
                sure = "" if r.plus_minus is None else surety.doubt(r.plus_minus, r.unit)
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


def sits(f: Facts, stage: str) -> Table:
    """Where the parts of a stage go, from something that can be touched."""
    rows = [
        (
            names.part(m.code),
            m.title + f.marked(m.code),
            f.said(m.ref) or "see the welds",
            "; ".join(
                f"{MOVES.get(k, k)} {fraction(lo)} to {fraction(hi)}"
                for k, (lo, hi) in m.moves.items()
            ),
            "",
        )
        for m in f.truck.assembly.members
        if stage_of(m) == stage and m.fixed_after not in ("existing", "tool")
    ]
    return Table(
        "Where each part goes",
        (("part", 0.08), ("name", 0.2), ("where", 0.5), ("may still move", 0.14), ("done", 0.08)),
        rows,
    )


def axle(f: Facts) -> Doc:
    """Axle preparation."""
    up = f.shown("pinion.up", "C", "angle")
    return Doc(
        "axle",
        "Axle preparation",
        "Stage 3, axle",
        "the fitter",
        cautions("axle"),
        [
            Ticks(
                "In this order",
                [
                    (
                        "axle straight: angle at both tube ends within 0.2 deg, written on the"
                        " sheet of what welding may have moved"
                    ),
                    (
                        f"on stands, pinion {up} (nose above level is +); both ends level; zero"
                        " punched where the grinder does not reach"
                    ),
                    (
                        f"old brackets cut {shown.inches(1 / 8)} proud and ground flush, old weld"
                        " toes inspected with dye"
                    ),
                    (
                        "brackets tacked where the table below puts them, left and right checked"
                        " with one bar through both"
                    ),
                    (
                        f"welded {shown.inches(1)} to {shown.inches(2)} at a time, opposite sides"
                        " in turn, turned over between, hand-warm"
                    ),
                    "straightness again, written down; pivot bolts slide",
                ],
            ),
            sits(f, "axle"),
            Words(
                "Kept",
                ["Ball joints, knuckles and steering arms are not welded or heated, by anybody."],
            ),
        ],
    )


def vehicle(f: Facts) -> Doc:
    """What comes off the truck and how the rails are cut and plated."""
    rows = []
    for s in "LR":
        rows.append(
            (
                f"cut in the rail, {SIDE[s]}: first edge ahead of the datum hole",
                _from_datum(f, "frame.notch.x_first", s),
                tol(1 / 16),
            )
        )
        rows.append(
            (
                f"cut in the rail, {SIDE[s]}: last edge",
                _from_datum(f, "frame.notch.x_last", s),
                tol(1 / 16),
            )
        )
        rows.append(
            (
                f"rail outer face from the center line at the coil, {SIDE[s]}",
                f.shown("rail.coil.outer", s),
                tol(1 / 16),
            )
        )
    return Doc(
        "vehicle",
        "Vehicle preparation and frame plates",
        "Stage 4, frame",
        "the fitter",
        (
            *cautions("frame"),
            *(f"RULE SET ASIDE: {x}" for x in f.aside()),
        ),
        [
            Ticks(
                "In this order",
                [
                    "spreader bolted or tacked between the rails BEFORE a crossmember is cut out",
                    "lines, harness and tank moved or shielded; brake hoses hung",
                    (
                        f"old brackets cut {shown.inches(1 / 8)} proud, ground flush, the rail not"
                        f" gouged; dye, crack ends drilled {shown.inches(1 / 4)}"
                    ),
                    (
                        "width and diagonals measured again and put into the job: the second survey"
                        " is not optional"
                    ),
                    "rail cut to the lines, corners round, edges dressed",
                    f"inside waxed rails cleaned {shown.inches(2)} beside every weld",
                    "plates clamped without a gap, tacked, checked, welded in the schedule's order",
                    "width and diagonals again",
                ],
            ),
            Fill("Cut lines", rows),
            sits(f, "frame"),
            Table(
                "What the rail carries along the plate, of the rail as measured",
                (
                    ("rail", 0.12),
                    (f"ahead of the coil, {unit('length')}", 0.2),
                    ("where", 0.38),
                    ("vertical", 0.1),
                    ("sideways", 0.1),
                    ("torsion", 0.1),
                ),
                [
                    (
                        SIDE[s],
                        number(q.ahead, "length"),
                        q.what,
                        *(
                            f"{100 * q.ratio[k]:.0f} %" if k in q.ratio else ""
                            for k in ("vertical", "lateral", "torsion")
                        ),
                    )
                    for s, rows_ in f.strength.stations.items()
                    for q in rows_
                ],
            ),
        ],
    )


def _from_datum(f: Facts, name: str, side: str) -> str:
    x, hole = f.v(name, side), f.v("frame.datum_hole", side)
    if x is None or hole is None:
        return f.shown(name, side)
    return f"{fraction(abs(x - hole))} {'ahead of' if x >= hole else 'behind'} the datum hole"


def crossmember(f: Facts) -> Doc:
    """Crossmember."""
    return Doc(
        "crossmember",
        "Crossmember",
        "Stage 5, crossmember",
        "the fitter",
        (
            *cautions("crossmember"),
            *(f"RULE SET ASIDE: {x}" for x in f.aside()),
        ),
        [
            Ticks(
                "In this order",
                [
                    (
                        "drill templates clamped on, lower edge flush with the rail's bottom, pilot"
                        " through both, then to size"
                    ),
                    "crush sleeves in, flush, no bolt tightened across an empty box",
                    (
                        "side plates and feet bolted to the rail, flanges bolted together with the"
                        " shim between"
                    ),
                    "welded bolted down, opposite sides in turn, left bolted until cold",
                    (
                        "center section comes out downward with arms, stubs, shaft and exhaust in"
                        " place: try it"
                    ),
                    (
                        f"{shown.inches(1 / 2)} of room round the case, {shown.inches(3 / 4)} where"
                        " the engine rocks"
                    ),
                ],
            ),
            sits(f, "crossmember"),
        ],
    )


def pigtail(f: Facts) -> list[str]:
    """How a coil with a pig-tail is turned in; nothing for one without."""
    hand = f.words.get("spring.pigtail", "none")
    if hand == "none":
        return []
    return [
        f"coils in, {hand} pig-tail down: each turned until its lower end stands against the mark"
        " at the rear of the lower seat, left and right alike; a coil that stands off it settles"
        " later and the ride height with it"
    ]


def arms(f: Facts) -> Doc:
    """Arms at full bump and the coil mounts."""
    rows: list[Any] = []
    for s in "LR":
        rows += [
            (f"radius arm, center to center, {SIDE[s]}", f.shown("arm.cc", s), tol(1 / 32)),
            (f"radius-arm tube, {SIDE[s]}", f.saw("AR1", s), tol(1 / 32)),
            (f"upper arm, center to center, {SIDE[s]}", f.shown("upper.cc", s), "thread"),
            (f"upper-arm tube, {SIDE[s]}", f.saw("UA1", s), tol(1 / 32)),
            (f"tab twist to the arm, {SIDE[s]}", f.shown("upper.twist", s, "angle"), "0.5 deg"),
        ]
    return Doc(
        "arms",
        "Arms at full bump",
        "Stage 6, arms and set-down",
        "the fitter",
        cautions("arms"),
        [
            Ticks(
                "In this order",
                [
                    (
                        "coils out, axle blocked at full bump on its stops, square to the frame:"
                        f" both diagonals within {shown.inches(1 / 8)}"
                    ),
                    "arm brackets tacked, arms hung, joints in the middle of their thread",
                    "length taken on the truck, compared with the table; arm tubes cut last",
                    "one arm welded on a two-pin jig and used as the master for the other",
                    (
                        "joints and bushings out, dummy sleeves in, bolts through while anything"
                        " near them is welded"
                    ),
                    (
                        "upper arms stay at tack until the pinion has been read with the shaft"
                        " fitted and the weight on"
                    ),
                    *pigtail(f),
                ],
            ),
            Fill("Lengths", rows),
            sits(f, "arms"),
        ],
    )


def docs(f: Facts) -> list[Doc]:
    """Every sheet of this file."""
    return [traveler(f), decisions(f), axle(f), vehicle(f), crossmember(f), arms(f)]
