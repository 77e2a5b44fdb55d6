"""[axle]: the axle on stands with the pinion level; points are read from the axle center."""

from __future__ import annotations

from ..units import IN
from .field import CALLIPER, Field, angle, length, point, word

_HALF = CALLIPER / IN
_OUT = "out from the center line"
BOLTS = (
    "3/8-16",
    "3/8-24",
    "7/16-14",
    "7/16-20",
    "1/2-13",
    "1/2-20",
    "9/16-12",
    "9/16-18",
    "5/8-11",
    "5/8-18",
    "3/4-10",
    "3/4-16",
    "7/8-9",
    "7/8-14",
    "1-8",
    "1-12",
    "M10x1.5",
    "M12x1.75",
    "M14x2",
    "M16x2",
    "M18x2.5",
    "M20x2.5",
    "M22x2.5",
    "M24x3",
)
BOLT_REMEDY = "write diameter and threads per inch, 3/4-10, or M20x2.5"


def bolt(name: str, code: str, how: str) -> Field:
    """A bolt size; safety, so never defaulted."""
    return word(name, code, BOLTS, how, needed=True, safety=True, remedy=BOLT_REMEDY)


CLASSES = ("grade 5", "grade 8", "class 8.8", "class 10.9", "class 12.9")
"""Marks on bolt heads: SAE J429 grades for inch sizes, ISO 898-1 classes for metric ones."""
STEELS = (
    "A36",
    "A572-50",
    "A1011 HSLAS 50",
    "A500-B",
    "A513 1020 ERW",
    "A513 1020 DOM",
    "A513 4130 N",
    "E355",
)
"""Steels whose strength is known; the table with its sources is ``parts/stock/steels.csv``."""


def bolt_class(name: str, code: str, what: str) -> Field:
    """The mark of a bolt; what nobody says is taken as the least in common use, and ASSUMED."""
    return word(
        f"{name}_class",
        code,
        CLASSES,
        f"{what}: grade or class as marked on its head",
        role="choice",
        remedy="inch bolts carry grade 5 or grade 8, metric ones class 8.8, 10.9 or 12.9",
    )


def steel(name: str, code: str, how: str, unknown: bool = False) -> Field:
    """A steel whose strength is known, or "unknown": then the least of what the trade uses is
    ASSUMED.
    """
    return word(
        name,
        code,
        (("unknown",) if unknown else ()) + STEELS,
        how,
        remedy="use one of these; for another steel the weakest of them that its certificate meets",
    )


def pivot(name: str, code: str, how: str, high: float = 5) -> Field:
    """A caliper size of sleeves, bushings, joints, up to ``high`` inches."""
    return length(name, code, 0.2, high, how, half=_HALF)


BODY: tuple[Field, ...] = (
    length(
        "axle.tire_loaded_radius",
        "A-01",
        8,
        30,
        "Floor to hub center with full weight on, tire at road pressure",
        state="ride",
    ),
    length(
        "axle.tire_diameter",
        "A-02",
        16,
        60,
        "Tire diameter unloaded, tape round the tread divided by 3.1416, or across it",
    ),
    length("axle.tire_width", "A-12", 4, 25, "Tire width at its widest, loaded", needed=False),
    length("axle.wheel_track", "A-03", 40, 100, "Tire center to tire center at hub height"),
    length(
        "axle.tube_diameter",
        "A-04",
        1.5,
        6,
        "Axle tube outside diameter where the brackets go, caliper",
        half=_HALF,
    ),
    length(
        "axle.tube_wall",
        "A-05",
        0.1,
        1.2,
        "Axle tube wall: drilled hole, tube end or maker's data",
        half=_HALF,
        safety=True,
    ),
    steel(
        "axle.tube_steel",
        "A-13",
        "Axle tube: steel, if its maker names it, else unknown",
        unknown=True,
    ),
    length(
        "axle.tube_half_length", "A-06", 10, 45, "Center line to the end of the tube at the knuckle"
    ),
    angle(
        "axle.caster_at_level_pinion",
        "A-07",
        -20,
        25,
        "Caster read at the knuckle with the pinion level; top leaning back is +",
        safety=True,
        remedy="level the pinion flange, then read the knuckle flat with the finder",
    ),
    angle(
        "axle.kpi",
        "A-08",
        0,
        20,
        "Kingpin inclination: top leaning in, from the ball joints or the maker's data",
    ),
    length("axle.kingpin_y", "A-09", 15, 45, "Center line to the kingpin axis at axle height"),
    length(
        "axle.casting_from",
        "A-10",
        -45,
        45,
        "Right-hand end of the cast center along the axle, left of the center line is +",
    ),
    length(
        "axle.casting_to",
        "A-11",
        -45,
        45,
        "Left-hand end of the cast center along the axle, left of the center line is +",
    ),
)

POINTS: tuple[Field, ...] = (
    *point(
        "axle.lower_mount",
        ("A-20", "A-21", "A-22"),
        ((-12, 12), (6, 40), (-12, 12)),
        "Lower bolt of the radius arm",
        sided=True,
        y_says=_OUT,
    ),
    *point(
        "axle.upper_mount",
        ("A-23", "A-24", "A-25"),
        ((-12, 12), (6, 40), (-12, 14)),
        "Upper-arm bolt at the axle",
        sided=True,
        y_says=_OUT,
        role="choice",
    ),
    *point(
        "axle.spring_seat",
        ("A-26", "A-27", "A-28"),
        ((-12, 12), (6, 40), (-8, 12)),
        "Center of the lower coil seat, top face",
        sided=True,
        y_says=_OUT,
        role="choice",
    ),
    *point(
        "axle.pinion_joint",
        ("A-29", "A-30", "A-31"),
        ((-30, 0), (-25, 25), (-8, 10)),
        "Center of the pinion's universal joint",
    ),
    *point(
        "axle.track_bar_mount",
        ("A-32", "A-33", "A-34"),
        ((-14, 14), (-40, 40), (-8, 14)),
        "Center of the track-bar bolt at the axle",
        role="choice",
    ),
    *point(
        "axle.drag_link_ball",
        ("A-35", "A-36", "A-37"),
        ((-14, 14), (-45, 45), (-10, 14)),
        "Center of the drag-link ball at the knuckle, straight ahead",
    ),
    *point(
        "axle.tie_rod_end",
        ("A-38", "A-39", "A-40"),
        ((-14, 14), (10, 45), (-12, 12)),
        "Center of the left tie-rod ball, straight ahead",
    ),
)

DIFF: tuple[Field, ...] = (
    length(
        "axle.diff.x1",
        "A-50",
        -20,
        20,
        "Cast center as a round bar on edge: rear end of its axis from the axle center, pinion"
        " level",
    ),
    length(
        "axle.diff.z1",
        "A-51",
        -10,
        10,
        "Cast center: height of the rear end of its axis above the axle center",
    ),
    length(
        "axle.diff.x2", "A-52", -20, 20, "Cast center: front end of its axis from the axle center"
    ),
    length(
        "axle.diff.z2",
        "A-53",
        -10,
        10,
        "Cast center: height of the front end of its axis above the axle center",
    ),
    length(
        "axle.diff.y", "A-54", -30, 30, "Cast center: middle of it from the center line, left is +"
    ),
    length("axle.diff.radius", "A-55", 2, 10, "Cast center: largest radius about that axis"),
)

PIVOTS: tuple[Field, ...] = (
    bolt("axle.bolt", "A-60", "Bolt through the lower radius-arm bushing"),
    bolt_class("axle.bolt", "A-68", "Bolt through the lower radius-arm bushing"),
    pivot("axle.lower_sleeve", "A-61", "Lower arm bushing: sleeve length, new bushing"),
    pivot("axle.lower_sleeve_od", "A-62", "Lower arm bushing: sleeve outside diameter"),
    pivot("axle.lower_bushing_od", "A-63", "Lower arm bushing: eye or shell outside diameter"),
    length(
        "axle.lower_ear",
        "A-70",
        0.05,
        1.5,
        "Lower arm mount of the axle: thickness of one ear, by caliper",
        half=_HALF,
        needed=False,
    ),
    bolt("axle.upper_bolt", "A-64", "Bolt through the upper-arm bushing at the axle"),
    bolt_class("axle.upper_bolt", "A-69", "Bolt through the upper-arm bushing at the axle"),
    pivot("axle.upper_sleeve", "A-65", "Upper-arm bushing: sleeve length, new bushing"),
    pivot("axle.upper_sleeve_od", "A-66", "Upper-arm bushing: sleeve outside diameter"),
    pivot("axle.upper_bushing_od", "A-67", "Upper-arm bushing: eye or shell outside diameter"),
)

AXLE: tuple[Field, ...] = (*BODY, *POINTS, *DIFF, *PIVOTS)
