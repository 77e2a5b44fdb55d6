"""Sheets of the fitter: axle and vehicle preparation, frame plates,
crossmember, arms.
"""

from __future__ import annotations

from ...layout.quantities import SIDES, Side
from ..model.body import Tube
from ..model.numbering import bolt_stage
from ..model.terms import Role, Stage
from ..truck.roles import codes
from ..words import numbers as shown
from ..words.cautions import cautions
from .engine import Doc, Fill, Ticks, Words
from .facts import SIDE, Facts, fraction, tol


def axle(facts: Facts) -> Doc:
    """Axle preparation: old brackets off, new ones on, the tube as straight as before."""
    up = facts.shown("pinion.up", "C", "angle")
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
                        "brackets tacked where the steps put them, left and right checked"
                        " with one bar through both"
                    ),
                    (
                        f"welded {shown.about(1)} to {shown.about(2)} at a time, opposite sides"
                        " in turn, turned over between, hand-warm"
                    ),
                    "straightness again, written down; pivot bolts slide",
                ],
            ),
            Words(
                "Kept",
                ["Ball joints, knuckles and steering arms are not welded or heated, by anybody."],
            ),
        ],
    )


def vehicle(facts: Facts) -> Doc:
    """What comes off the truck and how the rails are cut and plated."""
    return Doc(
        "vehicle",
        "Vehicle preparation and frame plates",
        "Stage 4, frame",
        "the fitter",
        (
            *cautions("frame"),
            *(f"RULE SET ASIDE: {rule}" for rule in facts.aside()),
        ),
        [
            _frame_steps(),
            _cut_lines(facts),
        ],
    )


def _frame_steps() -> Ticks:
    """From the spreader between the rails to the second look at their width."""
    return Ticks(
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
            f"inside waxed rails cleaned {shown.about(2)} beside every weld",
            "plates clamped without a gap, tacked, checked, welded in the schedule's order",
            "width and diagonals again",
        ],
    )


def _cut_lines(facts: Facts) -> Fill:
    """Where each rail is cut, from its datum hole, and where its outer face stands at the coil."""
    rows: list[tuple[str, str, str]] = []
    near = f"± {tol(1 / 16)}"
    for side in SIDES:
        hand = SIDE[side]
        first = _from_datum(facts, "frame.notch.x_first", side)
        last = _from_datum(facts, "frame.notch.x_last", side)
        outer = facts.shown("rail.coil.outer", side)
        rows += [
            (
                f"cut in the rail, {hand}: first edge ahead of the datum hole",
                first,
                near,
            ),
            (f"cut in the rail, {hand}: last edge", last, near),
            (
                f"rail outer face from the center line at the coil, {hand}",
                outer,
                near,
            ),
        ]
    return Fill("Cut lines", rows)


def _from_datum(facts: Facts, name: str, side: Side) -> str:
    """A place along the rail by its name, from the datum hole; what it waits for if it waits."""
    along, hole = facts.v(name, side), facts.v("frame.datum_hole", side)
    if along is None or hole is None:
        return facts.shown(name, side)
    return (
        f"{fraction(abs(along - hole))} {'ahead of' if along >= hole else 'behind'} the datum hole"
    )


SLEEVES = "crush sleeves in, flush, no bolt tightened across an empty box"


def _sleeved(facts: Facts) -> bool:
    """Whether a bolt that clamps the crossmember stands in a sleeve: an open rail has none."""
    whole = facts.truck.assembly
    clamped = {
        code
        for bolt in whole.bolts
        if bolt_stage(whole, bolt) is Stage.CROSSMEMBER and len(bolt.through) > 1
        for code in bolt.through
    }
    return any(isinstance(facts.members[code].body, Tube) for code in clamped & {*facts.members})


def crossmember(facts: Facts) -> Doc:
    """The crossmember drilled through templates, bolted up, its center tried out downward."""
    return Doc(
        "crossmember",
        "Crossmember",
        "Stage 5, crossmember",
        "the fitter",
        (
            *cautions("crossmember"),
            *(f"RULE SET ASIDE: {rule}" for rule in facts.aside()),
        ),
        [
            Ticks(
                "In this order",
                [
                    (
                        "drill templates clamped on, lower edge flush with the rail's bottom, pilot"
                        " through both, then to size"
                    ),
                    *([SLEEVES] if _sleeved(facts) else []),
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
        ],
    )


def pigtail(facts: Facts) -> list[str]:
    """How a coil with a pig-tail is turned in; nothing for one without."""
    hand = facts.words.get("spring.pigtail", "none")
    if hand == "none":
        return []
    return [
        f"coils in, {hand} pig-tail down: each turned until its lower end stands against the mark"
        " at the rear of the lower seat, left and right alike; a coil that stands off it settles"
        " later and the ride height with it"
    ]


def arms(facts: Facts) -> Doc:
    """Arms cut to length and hung with the axle blocked at full bump, coils in."""
    rows: list[tuple[str, str, str]] = []
    within = f"± {tol(1 / 32)}"
    for side in SIDES:
        hand, arm, upper = SIDE[side], codes(Role.ARM)[0], codes(Role.UPPER_ARM)[0]
        twist = facts.shown("upper.twist", side, "angle")
        rows += [
            (f"radius arm, center to center, {hand}", facts.shown("arm.cc", side), within),
            (f"radius-arm tube, {hand}", facts.saw(arm, side), within),
            (
                f"upper arm, center to center, {hand}",
                facts.shown("upper.cc", side),
                "by its thread",
            ),
            (f"upper-arm tube, {hand}", facts.saw(upper, side), within),
            (f"tab twist to the arm, {hand}", twist, "± 0.5 deg"),
        ]
    return Doc(
        "arms",
        "Arms at full bump",
        "Stage 6, arms and set-down",
        "the fitter",
        cautions("arms"),
        [
            Ticks(
                "Fitted in this order; the steps are numbered in the order of their welds",
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
                    *pigtail(facts),
                ],
            ),
            Fill("Lengths", rows),
        ],
    )


def docs(facts: Facts) -> list[Doc]:
    """The fitter's sheets, in the order of the work."""
    return [axle(facts), vehicle(facts), crossmember(facts), arms(facts)]
