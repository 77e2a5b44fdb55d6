"""[arms]: radius arms and upper arms, their joints and tubes."""

from __future__ import annotations

from .field import Field, angle, count, length, rate, torsion, word
from .fields_axle import bolt, bolt_class, pivot, steel

_SLANT = ("arms.plan_slant",)
_OFFSETS = ("arms.offset_front", "arms.offset_rear", "arms.offset_run")

LINE: tuple[Field, ...] = (
    angle(
        "arms.plan_slant",
        "R-01",
        -15,
        20,
        "Plan angle of the arm, front end further out is +; two tape offsets are better (R-02 to"
        " R-04)",
        sided=True,
        role="choice",
        yields=2,
        half=0.25,
        tool="finder",
        instead=_OFFSETS,
    ),
    length(
        "arms.offset_front",
        "R-02",
        5,
        40,
        "Straight bar clamped in the axle mount: center line to the bar at the front mark",
        sided=True,
        instead=_SLANT,
    ),
    length(
        "arms.offset_rear",
        "R-03",
        5,
        40,
        "Straight bar clamped in the axle mount: center line to the bar at the rear mark",
        sided=True,
        instead=_SLANT,
    ),
    length(
        "arms.offset_run",
        "R-04",
        12,
        80,
        "Distance along the truck between those two marks",
        sided=True,
        instead=_SLANT,
    ),
    length(
        "arms.joint_behind",
        "R-05",
        15,
        80,
        "Line of the frame joints behind the full-bump plumb line",
        role="choice",
        yields=1,
    ),
    length(
        "arms.joint_height",
        "R-06",
        4,
        45,
        "Frame joint above the floor at ride height",
        sided=True,
        role="choice",
        yields=3,
    ),
    length(
        "arms.upper_back",
        "R-07",
        2,
        30,
        "Upper-arm joint on the radius arm: set back behind the lower bolt",
        role="choice",
        yields=4,
    ),
    length(
        "arms.upper_above",
        "R-08",
        0,
        8,
        "Upper-arm joint: height above the arm's center line",
        role="choice",
        yields=5,
    ),
    length(
        "arms.upper_inboard",
        "R-09",
        -4,
        4,
        "Upper-arm joint: inboard of the arm's center line",
        role="choice",
        yields=6,
    ),
)

JOINT: tuple[Field, ...] = (
    length(
        "arms.eye_to_tube",
        "R-20",
        0,
        6,
        "Axle end of the arm: bolt center to tube end",
        half=1 / 32,
    ),
    length(
        "arms.joint_shank_min",
        "R-21",
        0.3,
        8,
        "Frame joint: ball center to tube insert, screwed all the way in",
        half=1 / 32,
    ),
    length("arms.joint_thread", "R-22", 0.3, 8, "Frame joint: length of its thread", half=1 / 32),
    length(
        "arms.joint_engagement",
        "R-23",
        0.3,
        6,
        "Frame joint: least thread that must stay engaged, by its maker or one diameter",
        role="choice",
        safety=True,
    ),
    count("arms.joint_tpi", "R-24", 4, 32, "Frame joint: threads per inch"),
    bolt("arms.joint_bolt", "R-25", "Frame joint: bolt through the ball"),
    bolt_class("arms.joint_bolt", "R-31", "Frame joint: bolt through the ball"),
    pivot("arms.joint_width", "R-26", "Frame joint: width over the spacers, what the bolt clamps"),
    pivot("arms.joint_housing", "R-27", "Frame joint: outside diameter of the housing"),
    length(
        "arms.joint_housing_width",
        "R-28",
        0.2,
        5,
        "Frame joint: width of the housing along the bolt",
        half=1 / 64,
        needed=False,
    ),
    angle(
        "arms.max_joint_angle",
        "R-30",
        3,
        45,
        "Frame joint: largest swing each way by its maker, spacers in",
        role="choice",
        safety=True,
    ),
)

UPPER: tuple[Field, ...] = (
    length(
        "arms.upper_eye_to_tube",
        "R-40",
        0,
        5,
        "Upper arm, axle end: bolt center to tube end",
        half=1 / 32,
    ),
    length(
        "arms.upper_joint_shank_min",
        "R-41",
        0.3,
        6,
        "Upper joint: ball center to tube insert, screwed all the way in",
        half=1 / 32,
    ),
    length(
        "arms.upper_joint_thread", "R-42", 0.3, 6, "Upper joint: length of its thread", half=1 / 32
    ),
    length(
        "arms.upper_joint_engagement",
        "R-43",
        0.2,
        5,
        "Upper joint: least thread that must stay engaged",
        role="choice",
        safety=True,
    ),
    count("arms.upper_joint_tpi", "R-44", 4, 32, "Upper joint: threads per inch"),
    bolt("arms.upper_joint_bolt", "R-45", "Upper joint: bolt through the ball"),
    bolt_class("arms.upper_joint_bolt", "R-49", "Upper joint: bolt through the ball"),
    pivot(
        "arms.upper_joint_width",
        "R-46",
        "Upper joint: width over the spacers, what the bolt clamps",
    ),
    pivot("arms.upper_joint_housing", "R-47", "Upper joint: outside diameter of the housing"),
    angle(
        "arms.max_upper_joint_angle",
        "R-49",
        3,
        45,
        "Upper joint: largest swing each way by its maker, spacers in",
        role="choice",
        safety=True,
    ),
)


def _rates(base: str, code: int, what: str) -> tuple[Field, ...]:
    """Rates of a bushing by its maker or a press; without them what depends on them is bracketed
    between soft and hard.
    """
    return (
        rate(
            f"arms.{base}_radial",
            f"R-{code}",
            500,
            400000,
            f"{what}: rate square to the bolt, by its maker",
            share=0.3,
            needed=False,
        ),
        rate(
            f"arms.{base}_axial",
            f"R-{code + 1}",
            50,
            100000,
            f"{what}: rate along the bolt, by its maker",
            share=0.3,
            needed=False,
        ),
        torsion(
            f"arms.{base}_torsion",
            f"R-{code + 2}",
            0.5,
            2000,
            f"{what}: torsion rate about the bolt, by its maker",
            share=0.3,
            needed=False,
        ),
        torsion(
            f"arms.{base}_cone",
            f"R-{code + 3}",
            0.5,
            20000,
            f"{what}: rate against coning, by its maker",
            share=0.3,
            needed=False,
        ),
    )


BUSHINGS: tuple[Field, ...] = (
    *_rates("lower_bush", 70, "Lower arm bushing"),
    *_rates("upper_bush", 74, "Upper-arm bushing"),
    length(
        "arms.bush_max_radial",
        "R-78",
        0.005,
        0.5,
        "Arm bushings: largest squeeze square to the bolt, by their maker",
        role="choice",
        needed=False,
    ),
    angle(
        "arms.bush_max_cone",
        "R-79",
        0.5,
        30,
        "Arm bushings: largest cone angle, by their maker",
        role="choice",
        needed=False,
    ),
)


def _axis(base: str, code: int, what: str, square: str) -> tuple[Field, ...]:
    """Two small angles of a bolt's own axis; not read, it is taken as square and said so."""
    return tuple(
        angle(
            f"arms.{base}_{n}",
            f"R-{code + i}",
            -15,
            15,
            f"{what}: its outboard end {way} of square {square} is +",
            sided=True,
            needed=False,
        )
        for i, (n, way) in enumerate((("plan", "ahead"), ("tilt", "above")))
    )


BOLT_AXES: tuple[Field, ...] = (
    *_axis("lower_bolt", 80, "Lower arm bolt at the axle", "across the truck"),
    *_axis("upper_bolt", 82, "Upper-arm bolt at the axle", "across the truck"),
    *_axis("upper_joint_bolt", 84, "Upper joint's bolt", "to the upper arm"),
    *_axis("frame_joint_bolt", 86, "Frame joint's bolt", "to the radius arm"),
)

TUBES: tuple[Field, ...] = (
    length("arms.tube_od", "R-60", 0.75, 5, "Radius-arm tube: outside diameter", role="choice"),
    length(
        "arms.tube_wall", "R-61", 0.06, 1.5, "Radius-arm tube: wall", role="choice", safety=True
    ),
    steel("arms.tube_steel", "R-62", "Radius-arm tube: steel as on its certificate"),
    word(
        "arms.tube_stock",
        "R-63",
        (),
        "Radius-arm tube: stock key of the shop file, if fixed",
        remedy="a tube key of the shop file",
    ),
    length("arms.upper_tube_od", "R-64", 0.5, 4, "Upper-arm tube: outside diameter", role="choice"),
    length(
        "arms.upper_tube_wall", "R-65", 0.06, 1, "Upper-arm tube: wall", role="choice", safety=True
    ),
    steel("arms.upper_tube_steel", "R-67", "Upper-arm tube: steel as on its certificate"),
    word(
        "arms.upper_tube_stock",
        "R-66",
        (),
        "Upper-arm tube: stock key of the shop file, if fixed",
        remedy="a tube key of the shop file",
    ),
)

ARMS: tuple[Field, ...] = (*LINE, *JOINT, *UPPER, *BUSHINGS, *BOLT_AXES, *TUBES)
