"""[spring], [travel]: coils, weights, bump stop, shocks, straps, what may be hit."""

from __future__ import annotations

from .field import Field, angle, count, force, length, rate, text, word
from .fields_axle import bolt, bolt_class
from .solid_file import WAYS

_BESIDE = "travel.stop_place=beside"

SPRING: tuple[Field, ...] = (
    length("spring.free_length", "C-01", 4, 40, "Coil standing free on a bench", state="any"),
    rate(
        "spring.rate",
        "C-02",
        20,
        2000,
        "Spring rate: pressed on a scale over the working travel, or the maker's for this end type",
        share=0.03,
        safety=True,
    ),
    length("spring.wire", "C-03", 0.2, 1.5, "Wire diameter, caliper", half=0.005),
    count(
        "spring.total_coils",
        "C-04",
        2,
        25,
        "All coils counted, ends included, to a quarter",
        half=0.125,
    ),
    length(
        "spring.mean_diameter",
        "C-05",
        2,
        10,
        "Mean coil diameter: outside diameter less one wire",
        half=1 / 32,
    ),
    word(
        "spring.ends",
        "C-06",
        ("ground", "not ground"),
        "End type; it sets the solid length",
        needed=True,
    ),
    word(
        "spring.pigtail",
        "C-07",
        ("left hand", "right hand", "none"),
        "Hand of the pig-tail end that stops on the seat",
        needed=True,
    ),
    length(
        "spring.bind_margin",
        "C-08",
        0,
        4,
        "Length to keep in hand above solid at full bump",
        role="wanted",
        default=0.75,
    ),
    angle(
        "spring.max_seat_angle",
        "C-09",
        0,
        30,
        "Largest angle between the seats that the coil may see",
        role="wanted",
        default=10.0,
    ),
    angle(
        "spring.pad_wedge",
        "C-10",
        -20,
        20,
        "Wedge of the lower pad on hand, thick end to the rear is +; 0 = none",
        role="choice",
        needed=False,
    ),
    force(
        "spring.axle_load",
        "C-11",
        200,
        12000,
        "Both front wheels on scales, truck as it will be driven",
        share=0.01,
        state="ride",
        safety=True,
    ),
    force(
        "spring.truck_weight",
        "C-14",
        1000,
        26000,
        "All four wheels on scales, truck as it will be driven",
        share=0.01,
        state="ride",
        needed=False,
    ),
    force(
        "spring.unsprung",
        "C-12",
        50,
        5000,
        "Axle, wheels, brakes and half the arms, weighed",
        share=0.03,
        safety=True,
    ),
    length(
        "spring.loaded_length",
        "C-13",
        3,
        40,
        "Coil length seat to seat as loaded; overrides the rate; say the state it was read in",
        sided=True,
        needed=False,
        state="said",
    ),
)

STOP: tuple[Field, ...] = (
    length(
        "travel.bump",
        "B-01",
        0.5,
        16,
        "Up-travel from ride height to the stop compressed",
        role="wanted",
    ),
    length("travel.droop", "B-02", 0.5, 20, "Down-travel from ride height", role="wanted"),
    angle(
        "travel.roll",
        "B-03",
        0,
        20,
        "Axle roll to check at ride height",
        role="wanted",
        default=5.0,
    ),
    length("travel.stop_free", "B-04", 0.5, 10, "Bump stop free height", half=1 / 32),
    length(
        "travel.stop_compressed",
        "B-05",
        0.2,
        8,
        "Bump stop height at full compression",
        half=1 / 16,
    ),
    word(
        "travel.stop_place",
        "B-06",
        ("inside coil", "beside"),
        "Bump stop inside the coil, or at its own place beside it",
        needed=True,
        safety=True,
    ),
    length(
        "travel.stop_x",
        "B-07",
        -30,
        30,
        "Bump stop beside the coil: its center from the full-bump plumb line",
        role="choice",
        when=_BESIDE,
    ),
    length(
        "travel.stop_y",
        "B-08",
        5,
        40,
        "Bump stop beside the coil: its center out from the center line",
        sided=True,
        role="choice",
        when=_BESIDE,
    ),
    length(
        "travel.stop_diameter", "B-09", 0.5, 6, "Bump stop diameter where it lands", half=1 / 16
    ),
    bolt("travel.stop_bolt", "B-10", "Bump stop: its stud"),
)

SHOCK: tuple[Field, ...] = (
    length(
        "travel.shock_x",
        "B-20",
        -30,
        30,
        "Shock lower pin: from the full-bump plumb line, axle at ride height",
        role="choice",
    ),
    length(
        "travel.shock_y",
        "B-21",
        5,
        45,
        "Shock lower pin: out from the center line",
        sided=True,
        role="choice",
    ),
    length(
        "travel.shock_z",
        "B-22",
        4,
        70,
        "Shock upper pin above the floor, frame at ride height",
        role="choice",
        state="ride",
    ),
    length("travel.shock_extended", "B-23", 6, 50, "Shock pin to pin, pulled out", needed=False),
    length("travel.shock_collapsed", "B-24", 4, 40, "Shock pin to pin, pushed in", needed=False),
    length(
        "travel.shock_top_x",
        "B-27",
        -30,
        30,
        "Shock upper pin: from the full-bump plumb line",
        role="choice",
        state="ride",
    ),
    bolt("travel.shock_bolt", "B-28", "Shock bolts, both ends"),
    bolt_class("travel.shock_bolt", "B-33", "Shock bolts, both ends"),
    length(
        "travel.shock_eye",
        "B-29",
        0.4,
        4,
        "Shock eye: width over its sleeve, what the bolt clamps",
        half=1 / 64,
    ),
    length(
        "travel.strap_x",
        "B-25",
        -30,
        30,
        "Limit strap: from the full-bump plumb line",
        role="choice",
    ),
    length(
        "travel.strap_y",
        "B-26",
        2,
        45,
        "Limit strap, lower bolt: out from the center line",
        sided=True,
        role="choice",
    ),
    bolt("travel.strap_bolt", "B-35", "Limit strap bolts, both ends"),
    bolt_class("travel.strap_bolt", "B-36", "Limit strap bolts, both ends"),
)

CHECKS: tuple[Field, ...] = (
    length(
        "travel.clearance",
        "B-30",
        0,
        4,
        "Least gap needed between what moves and what it passes",
        role="wanted",
        default=0.5,
    ),
    length(
        "travel.cg_height",
        "B-31",
        10,
        70,
        "Center of gravity above the floor, if anyone weighed for it; bracketed if not",
        half=1.0,
        needed=False,
    ),
    count(
        "travel.brake_front",
        "B-32",
        0.2,
        0.95,
        "Share of braking at the front, if known; bracketed if not",
        half=0.03,
        needed=False,
    ),
    text(
        "travel.obstacle.*.name",
        "B-40",
        40,
        "What may be hit: oil pan, exhaust, starter",
        needed=True,
    ),
    word(
        "travel.obstacle.*.shape",
        "B-41",
        ("box", "round along x", "round along y", "round along z"),
        "Shape it is taken as",
        needed=True,
    ),
    word(
        "travel.obstacle.*.rides",
        "B-48",
        ("frame", "axle"),
        "What it moves with; frame if not said",
    ),
    text(
        "travel.obstacle.*.file",
        "B-49",
        80,
        "STEP file of it in the job file's folder, if there is one: gaps are worked from its solid",
        desk=True,
    ),
    *(
        word(
            f"travel.obstacle.*.{way}",
            code,
            WAYS,
            f"Axis of that file that points {to} if not said",
            desk=True,
        )
        for way, code, to in (("front", "B-50", "forward; x"), ("up", "B-51", "up; z"))
    ),
    *(
        length(
            f"travel.obstacle.*.center.{a}",
            f"B-4{i}",
            low,
            high,
            f"Middle of it, frame at ride height: {a} {where}",
            half=0.125,
            state="ride",
        )
        for a, i, low, high, where in (
            ("x", 2, -130, 60, "from the full-bump plumb line"),
            ("y", 3, -45, 45, "from the center line, left is +"),
            ("z", 4, 0, 80, "above the floor"),
        )
    ),
    *(
        length(
            f"travel.obstacle.*.half.{a}",
            f"B-4{i}",
            0.1,
            60,
            f"Half its size along {a}",
            half=0.125,
        )
        for a, i in (("x", 5), ("y", 6), ("z", 7))
    ),
)

SPRING_TRAVEL: tuple[Field, ...] = (*SPRING, *STOP, *SHOCK, *CHECKS)
