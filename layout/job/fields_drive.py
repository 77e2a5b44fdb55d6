"""[driveline], [steering], [track_bar]."""

from __future__ import annotations

from .field import Field, angle, force, length, point, word
from .fields_axle import bolt, bolt_class, pivot

_FLOOR = "above the floor, frame at ride height"
_PLUMB = "the full-bump plumb line"

DRIVELINE: tuple[Field, ...] = (
    word(
        "driveline.type",
        "D-01",
        ("double_cardan", "single"),
        "Front shaft: double-Cardan at the transfer case, or single joints at both ends",
        needed=True,
    ),
    *point(
        "driveline.output",
        ("D-02", "D-03", "D-04"),
        ((-110, -10), (-25, 25), (5, 50)),
        "Center of the transfer case's front output joint",
        origin=_PLUMB,
        z_says=_FLOOR,
        state="ride",
    ),
    angle(
        "driveline.output_axis_down",
        "D-05",
        -10,
        15,
        "Output shaft angle, finder on the flange face: front down is +",
        state="ride",
    ),
    angle(
        "driveline.max_transfer_joint",
        "D-06",
        3,
        45,
        "Largest running angle of the transfer-case joint by the shaft's maker",
        role="choice",
        safety=True,
    ),
    angle(
        "driveline.max_pinion_joint",
        "D-07",
        3,
        45,
        "Largest running angle of the pinion joint by the shaft's maker",
        role="choice",
        safety=True,
    ),
    length(
        "driveline.slip_compress",
        "D-08",
        0,
        12,
        "Slip left from ride height until the spline bottoms",
        role="choice",
    ),
    length(
        "driveline.slip_extend",
        "D-09",
        0,
        12,
        "Slip left from ride height until the least engagement",
        role="choice",
    ),
    length("driveline.shaft_od", "D-10", 1, 6, "Shaft tube outside diameter", half=1 / 64),
)

MOUNT: tuple[Field, ...] = (
    length(
        "driveline.mount.x",
        "D-20",
        -120,
        0,
        "Transmission mount face, center: behind (-) the full-bump plumb line, weight on",
        state="ride",
    ),
    length(
        "driveline.mount.y",
        "D-21",
        -20,
        20,
        "Transmission mount face, center: from the center line, left is +",
        state="ride",
    ),
    length(
        "driveline.mount.z",
        "D-22",
        5,
        50,
        "Transmission mount face above the floor, weight on, frame at ride height",
        state="ride",
    ),
    length(
        "driveline.mount.bolt_dx",
        "D-23",
        0,
        12,
        "Bolt pattern: spacing along the truck, 0 = one row",
        half=1 / 32,
    ),
    length(
        "driveline.mount.bolt_dy",
        "D-24",
        0,
        14,
        "Bolt pattern: spacing across the truck",
        half=1 / 32,
    ),
    bolt("driveline.mount.bolt", "D-25", "Bolts of the transmission mount"),
    bolt_class("driveline.mount.bolt", "D-29", "Bolts of the transmission mount"),
    length(
        "driveline.mount.slot",
        "D-26",
        0,
        4,
        "How much longer than round the mount's slots are to be",
        role="choice",
        default=0.0,
    ),
    length(
        "driveline.mount.isolator",
        "D-27",
        0,
        6,
        "Isolator height under load: mount face to the pad",
        half=1 / 16,
    ),
    length(
        "driveline.mount.foot",
        "D-30",
        0.05,
        3,
        "Transmission mount: thickness of its foot where a bolt passes, by caliper",
        half=1 / 64,
        needed=False,
    ),
    force(
        "driveline.mount.weight",
        "D-28",
        20,
        2000,
        "Weight the mount carries, jack and scale",
        share=0.05,
        safety=True,
    ),
)

STEERING: tuple[Field, ...] = (
    *point(
        "steering.pitman_ball",
        ("S-01", "S-02", "S-03"),
        ((-30, 50), (-35, 35), (5, 50)),
        "Center of the pitman-arm ball, box centered",
        origin=_PLUMB,
        z_says=_FLOOR,
        state="ride",
    ),
    length("steering.drag_link_od", "S-04", 0.5, 4, "Drag link outside diameter", half=1 / 64),
    length("steering.tie_rod_od", "S-05", 0.5, 4, "Tie rod outside diameter", half=1 / 64),
    angle(
        "steering.lock",
        "S-07",
        5,
        50,
        "Wheel turned to its stop: angle from straight ahead, the larger of both wheels",
        needed=False,
    ),
)

TRACK_BAR: tuple[Field, ...] = (
    word(
        "track_bar.mode",
        "T-01",
        ("parallel", "level"),
        "Bar set parallel to the drag link, or level",
        needed=True,
    ),
    length(
        "track_bar.frame_mount_y",
        "T-02",
        -40,
        40,
        "Frame mount: bolt center from the center line, left is +",
        role="choice",
        yields=7,
    ),
    length(
        "track_bar.frame_y_low",
        "T-03",
        -40,
        40,
        "Frame mount: least y the bracket can stand at",
        role="choice",
    ),
    length(
        "track_bar.frame_y_high",
        "T-04",
        -40,
        40,
        "Frame mount: greatest y the bracket can stand at",
        role="choice",
    ),
    length(
        "track_bar.length",
        "T-05",
        10,
        60,
        "Bar on hand: bolt center to bolt center, if it is to be used",
        needed=False,
    ),
    length("track_bar.od", "T-06", 0.75, 3, "Track bar outside diameter", half=1 / 64),
    pivot("track_bar.sleeve", "T-07", "Track-bar bushing: sleeve length, new bushing"),
    pivot("track_bar.sleeve_od", "T-08", "Track-bar bushing: sleeve outside diameter"),
    pivot("track_bar.bushing_od", "T-09", "Track-bar bushing: eye outside diameter"),
    length(
        "track_bar.wall",
        "T-12",
        0.06,
        1.5,
        "Track bar tube: wall; a solid bar is half its diameter",
        half=1 / 64,
        needed=False,
    ),
    bolt("track_bar.bolt", "T-10", "Track-bar bolts, both ends"),
    bolt_class("track_bar.bolt", "T-13", "Track-bar bolts, both ends"),
    angle(
        "track_bar.max_error",
        "T-11",
        0.1,
        8,
        "Largest angle between bar and drag link that the shop accepts",
        role="wanted",
        default=1.5,
    ),
)

DRIVE: tuple[Field, ...] = (*DRIVELINE, *MOUNT, *STEERING, *TRACK_BAR)
