"""The sketch of the measuring sheet: a solid-axle front in side view and plan, not to scale, and at
which place of it each field is measured.
"""

from __future__ import annotations

import math
import re

from .display import Sheet
from .entities import LineKind

SIDE = {
    "datum hole": (190.0, 452.0),
    "rail": (300.0, 455.0),
    "rail bottom": (250.0, 438.0),
    "rake": (228.0, 438.0),
    "station": (360.0, 455.0),
    "wall": (372.0, 466.0),
    "notch": (566.0, 456.0),
    "hole": (214.0, 452.0),
    "lip": (600.0, 520.0),
    "hub": (590.0, 390.0),
    "tire": (640.0, 368.0),
    "floor": (590.0, 321.0),
    "coil": (566.0, 432.0),
    "seat low": (572.0, 408.0),
    "arm joint": (330.0, 392.0),
    "arm": (450.0, 386.0),
    "arm bolt": (566.0, 379.0),
    "upper joint": (520.0, 402.0),
    "upper mount": (570.0, 402.0),
    "pinion": (540.0, 398.0),
    "output": (376.0, 412.0),
    "shaft": (460.0, 406.0),
    "transmission mount": (320.0, 420.0),
    "pitman": (640.0, 440.0),
    "stop": (556.0, 438.0),
    "shock": (546.0, 440.0),
    "strap": (606.0, 424.0),
    "cg": (420.0, 500.0),
    "obstacle": (480.0, 440.0),
    "wheelbase": (400.0, 326.0),
}
PLAN = {
    "diagonal": (420.0, 190.0),
    "track": (606.0, 250.0),
    "tube": (590.0, 240.0),
    "casting": (590.0, 200.0),
    "diff": (586.0, 176.0),
    "kingpin": (592.0, 262.0),
    "bar axle": (612.0, 130.0),
    "bar frame": (612.0, 228.0),
    "bar": (612.0, 180.0),
    "drag ball": (636.0, 120.0),
    "drag": (636.0, 176.0),
    "tie rod": (652.0, 250.0),
    "tie": (652.0, 180.0),
    "lock": (600.0, 284.0),
    "across": (330.0, 180.0),
    "slant": (430.0, 234.0),
    "bushing": (590.0, 226.0),
    "sleeve": (340.0, 226.0),
}
POINTS: tuple[tuple[str, str], ...] = (
    (r"frame\.wheelbase", "wheelbase"),
    (r"frame\.rake", "rake"),
    (r"frame\.datum_hole", "datum hole"),
    (r"frame\.lip.*|wanted\.hub_to_lip", "lip"),
    (r"frame\.diagonal.*", "diagonal"),
    (r"frame\.station\..*\.(inside|outside|outer)", "across"),
    (r"frame\.station\..*\.(wall|width)", "wall"),
    (r"frame\.station\..*\.bottom", "rail bottom"),
    (r"frame\.station.*", "station"),
    (r"frame\.notch.*", "notch"),
    (r"frame\.hole.*", "hole"),
    (r"frame.*", "rail"),
    (r"axle\.tire_loaded.*", "floor"),
    (r"axle\.tire.*", "tire"),
    (r"axle\.wheel_track", "track"),
    (r"axle\.tube.*", "tube"),
    (r"axle\.(caster|kpi|kingpin).*", "kingpin"),
    (r"axle\.casting.*", "casting"),
    (r"axle\.lower_mount.*|axle\.bolt", "arm bolt"),
    (r"axle\.upper_(mount|bolt).*", "upper mount"),
    (r"axle\.(lower|upper)_.*", "bushing"),
    (r"axle\.spring_seat.*", "seat low"),
    (r"axle\.pinion.*", "pinion"),
    (r"axle\.track_bar.*", "bar axle"),
    (r"axle\.drag.*", "drag ball"),
    (r"axle\.tie.*", "tie rod"),
    (r"axle\.diff.*", "diff"),
    (r"driveline\.output.*", "output"),
    (r"driveline\.mount.*", "transmission mount"),
    (r"driveline\.max_pinion.*", "pinion"),
    (r"driveline.*", "shaft"),
    (r"steering\.pitman.*", "pitman"),
    (r"steering\.drag.*", "drag"),
    (r"steering\.tie.*", "tie"),
    (r"steering\.lock", "lock"),
    (r"track_bar\.(frame.*|mode)", "bar frame"),
    (r"track_bar.*", "bar"),
    (r"arms\.plan_slant|arms\.offset.*", "slant"),
    (r"arms\.(upper_(back|above|inboard|joint).*)", "upper joint"),
    (r"arms\.(joint_b.*|joint_height|max_joint.*)", "arm joint"),
    (r"arms\.joint.*", "sleeve"),
    (r"arms\.(lower|upper)_bush.*|arms\.bush.*", "bushing"),
    (r"arms.*", "arm"),
    (r"spring.*", "coil"),
    (r"travel\.stop.*", "stop"),
    (r"travel\.shock.*", "shock"),
    (r"travel\.strap.*", "strap"),
    (r"travel\.(bump|droop|roll)", "hub"),
    (r"travel\.(cg|brake).*", "cg"),
    (r"travel\.obstacle.*", "obstacle"),
    (r"wanted\.(pinion|band).*", "pinion"),
    (r"wanted\.caster.*", "kingpin"),
    (r"wanted\.belly.*", "transmission mount"),
    (r".*", "rail"),
)


def place_of(field: str) -> str:
    """Name of the place of the sketch a field is measured at, one of ``SIDE`` or ``PLAN``."""
    return next(place for pattern, place in POINTS if re.fullmatch(pattern, field))


def _ring(sheet: Sheet, x: float, y: float, radius: float, kind: LineKind = "narrow") -> None:
    sheet.poly(
        [
            (
                x + radius * math.cos(index * math.tau / 40),
                y + radius * math.sin(index * math.tau / 40),
            )
            for index in range(40)
        ],
        kind,
    )


def draw_truck(sheet: Sheet) -> None:
    """The truck of the sketch: side view with floor and plumb line, and plan with center line."""
    _draw_side(sheet)
    _draw_plan(sheet)


def _draw_side(sheet: Sheet) -> None:
    """Side view from the left, with floor and plumb line."""
    for low, high in ((312.0, 520.0), (92.0, 280.0)):
        sheet.line((590.0, low), (590.0, high), kind="dashed")
    sheet.text(586.0, 512.0, "plumb line at full bump", 7, anchor="end")
    sheet.text(180.0, 324.0, "floor", 7)
    sheet.text(180.0, 187.0, "center line", 7)
    sheet.text(150.0, 545.0, "side view, from the left", 8, True)
    sheet.line((150.0, 320.0), (680.0, 320.0), kind="dashed")
    sheet.line(
        (170.0, 438.0), (660.0, 438.0), (660.0, 472.0), (170.0, 472.0), kind="wide", closed=True
    )
    _ring(sheet, 190.0, 452.0, 3.0)
    _ring(sheet, 214.0, 452.0, 3.0)
    _ring(sheet, 590.0, 390.0, 70.0)
    _ring(sheet, 590.0, 390.0, 8.0, "wide")
    sheet.line((548.0, 438.0), (548.0, 472.0), kind="dashed")
    sheet.line((584.0, 438.0), (584.0, 472.0), kind="dashed")
    for index in range(6):
        sheet.line((560.0, 409.0 + 4.6 * index), (578.0, 411.3 + 4.6 * index))
    sheet.line((330.0, 392.0), (566.0, 379.0), kind="wide")
    sheet.line((520.0, 402.0), (570.0, 402.0), kind="wide")
    sheet.line((520.0, 402.0), (518.0, 382.0))
    sheet.line((376.0, 412.0), (540.0, 398.0))
    sheet.line((306.0, 420.0), (376.0, 412.0), kind="wide")
    for x, y in (
        (330.0, 392.0),
        (566.0, 379.0),
        (520.0, 402.0),
        (570.0, 402.0),
        (376.0, 412.0),
        (540.0, 398.0),
        (640.0, 440.0),
    ):
        _ring(sheet, x, y, 3.5, "wide")
    sheet.line((546.0, 440.0), (552.0, 396.0), kind="dashed")
    sheet.line((606.0, 424.0), (600.0, 396.0), kind="dashed")


def _draw_plan(sheet: Sheet) -> None:
    """Plan with center line."""
    sheet.text(150.0, 297.0, "plan, the truck's left up", 8, True)
    for y in (130.0, 226.0):
        sheet.line((170.0, y), (660.0, y), (660.0, y + 14.0), (170.0, y + 14.0), closed=True)
    sheet.line((150.0, 184.0), (690.0, 184.0), kind="dashed")
    sheet.line((590.0, 84.0), (590.0, 286.0), kind="wide")
    sheet.line((340.0, 226.0), (590.0, 232.0), kind="wide")
    sheet.line((340.0, 140.0), (590.0, 134.0), kind="wide")
    sheet.line((340.0, 130.0), (340.0, 240.0), kind="wide")
    sheet.line((612.0, 130.0), (612.0, 228.0), kind="wide")
    sheet.line((636.0, 120.0), (636.0, 228.0))
    sheet.line((652.0, 106.0), (652.0, 262.0))
    sheet.line((580.0, 166.0), (600.0, 166.0), (600.0, 188.0), (580.0, 188.0), closed=True)
    sheet.line((350.0, 236.0), (580.0, 136.0), kind="dashed")
    sheet.line((350.0, 136.0), (580.0, 236.0), kind="dashed")
    for y in (84.0, 286.0):
        sheet.line((560.0, y - 8), (620.0, y - 8), (620.0, y + 8), (560.0, y + 8), closed=True)
