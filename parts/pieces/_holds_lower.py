"""What the lower coil seat and the bump stop are held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ..model.hold import NotHeld, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import plates, tubes
from ..rules.yield_lines import disk_past, disk_pushed, seat_on_lines, wall_pulled
from . import _steps_links as links
from . import _steps_plates as steps
from ._coil import LEG_HALF, LEGS_APART, SADDLES
from ._holding import SQUARE, Reasoned, at_origin, row, section, weld_group

FREE_END = 2.1
"""Effective length of a column free at one end (AISC 360-16 table C-A-7.1)."""
PAIR_HELD = 1.2
"""Effective length of legs held at both ends that may sway (AISC 360-16 table C-A-7.1)."""


def seat_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The seat on its two saddles under the coil's ring and, where it stands on it, the stop's
    pad.
    """
    plate, rim = seen.plate("LS1"), seen.box("LS1")[2]
    stop = seen.amount("coil.stop")
    off = seen.origin("BP3") - seen.origin("LS1") if seen.there("BP3") else np.full(3, np.inf)
    lands = bool(np.hypot(off[0], off[1]) < rim)
    return {
        "coil_N": seen.amount("coil") - stop,
        "stop_N": stop if lands else 0.0 * stop,
        "coil_radius_mm": seen.q("spring.mean_diameter") / 2,
        "rim_mm": rim,
        "line_mm": SADDLES,
        "fold_mm": LEGS_APART + seen.plate("BP4").thick / 2 if lands else 0.0,
        "past_mm": SADDLES + seen.plate("LS2").thick,
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


LOWER_SEAT = (
    row(
        "coil.lower.bent",
        "lower coil seat bent over its saddles under the coil's load",
        "coil",
        seat_on_lines,
        Reasoned(seat_bent, steps.coil_alone),
        members=("LS1",),
    ),
    weld_group(
        "coil.lower",
        "welds of the lower coil seat under the coil's load",
        "coil.down",
        ("seat.saddle.out", "seat.saddle.in"),
        members=("LS2", "LS3"),
        at="seat.lower",
    ),
    weld_group(
        "coil.lower.top",
        "welds of {LS1} to its saddles under the coil's load",
        "coil.down",
        ("seat.top.out", "seat.top.in"),
        at="seat.lower",
    ),
)

LOWER_SEAT_REST = (
    NotHeld(
        ("LS4", "seat.ring"),
        "ring that keeps the coil in its place: the coil stands on the seat beside it",
        Whose.NO_LOAD,
    ),
)


def spacer(seen: UnderLoad) -> Mapping[str, Number]:
    """Spacer tube as a column free at its lower end."""
    tube = seen.tube("BP1")
    area, radius = section(tube)
    return {
        "force_N": seen.amount("stop"),
        "area_mm2": area,
        "slender": FREE_END * seen.length("BP1") / radius,
        "fy_MPa": tube.fy,
    }


def leg(code: str) -> Callable[[UnderLoad], Mapping[str, Number]]:
    """One of the pad's two legs, pushed."""

    def numbers(seen: UnderLoad) -> Mapping[str, Number]:
        x0, y0, x1, y1 = seen.box(code)
        plate = seen.plate(code)
        return {
            "push_N": seen.amount("stop") / 2,
            "width_mm": x1 - x0,
            "t_mm": plate.thick,
            "tall_mm": y1 - y0,
            "k": PAIR_HELD,
            "fy_MPa": plate.fy,
        }

    return numbers


def cap_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The cap on the spacer's end: the stop's share inside the tube's wall, spread evenly."""
    plate, tube, rim = seen.plate("BP2"), seen.tube("BP1"), seen.box("BP2")[2]
    ring = (tube.od - tube.wall) / 2
    stop = min(rim, seen.q("travel.stop_diameter") / 2)
    return {
        "force_N": seen.amount("stop") * min(1.0, (ring / stop) ** 2),
        "ring_mm": ring,
        "hole_radius_mm": max(
            (hole.diameter / 2 for hole in seen.holes("BP2").values()), default=0.0
        ),
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


def pad_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The pad past its legs' outer faces, or past their ends."""
    plate = seen.plate("BP3")
    return {
        "force_N": seen.amount("stop"),
        "rim_mm": seen.box("BP3")[2],
        "chord_mm": min(LEGS_APART + seen.plate("BP4").thick, LEG_HALF),
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


def base_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The base plate between its welds on the rail's bottom, pushed by the spacer's end; the rail's
    wall behind it is not counted.
    """
    plate, side = seen.plate("BP6"), seen.tube("BP1").od / SQUARE
    _, inner, _, outer = seen.box("BP6")
    return {
        "force_N": seen.amount("stop"),
        "patch_along_mm": side,
        "patch_across_mm": side,
        "edges_mm": outer - inner,
        "edges_held": 1,
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


BUMP_STOP = (
    row(
        "stop.cap.bent",
        "bump stop's cap bent on the spacer's end",
        "stop",
        disk_pushed,
        cap_bent,
        members=("BP2",),
    ),
    row(
        "stop.pad.bent",
        "bump pad bent past its legs by the stop",
        "stop",
        disk_past,
        pad_bent,
        members=("BP3",),
    ),
    row(
        "stop.base.bent",
        "bump stop's base plate bent between its welds",
        "stop",
        wall_pulled,
        base_bent,
        members=("BP6",),
    ),
    row(
        "stop.spacer",
        "bump stop's spacer pushed",
        "stop",
        tubes.column,
        Reasoned(spacer, links.strut("BP1", "stop", links.own_length("BP1"), k=FREE_END)),
        members=("BP1",),
    ),
    *(
        row(
            f"stop.leg.{name}",
            "bump pad's leg pushed by its half of the stop",
            "stop",
            plates.plate_push,
            Reasoned(leg(code), steps.half("stop", "P")),
            members=(code,),
        )
        for name, code in (("out", "BP4"), ("in", "BP5"))
    ),
    *(
        weld_group(
            f"stop.spacer.{name}",
            f"weld of the bump stop's spacer to its {what}",
            "stop.up",
            (f"stop.spacer.{name}",),
            pulls=at_origin("BP1", "stop.up"),
        )
        for name, what in (("top", "seat"), ("cap", "cap"))
    ),
    *(
        weld_group(
            f"stop.legs.{end}",
            f"welds of the bump pad's legs at their {end} under the stop",
            "stop.down",
            (f"stop.leg.out.{end}", f"stop.leg.in.{end}"),
            members=("BP4", "BP5"),
            pulls=at_origin("BP3", "stop.down"),
        )
        for end in ("foot", "pad")
    ),
    weld_group(
        "stop.base",
        "welds of {BP6} to the rail under the stop",
        "stop.up",
        ("stop.base",),
        pulls=at_origin("BP1", "stop.up"),
    ),
)

BUMP_STOP_REST = (
    NotHeld(
        ("stop.stud",),
        "holds the stop up in its cap: it is pushed, never pulled",
        Whose.NO_LOAD,
    ),
)
