"""What the track bar's bracket at the frame and its brace are held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from ..model.hold import HoldKind, NotHeld, Numbers, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import tubes
from ..rules.yield_lines import blade_pulled, wall_pulled
from . import _steps_links as steps
from ._holding import SQUARE, Pulled, Reasoned, at_bolt, pivot, row, section, weld_group

PIVOT, WELDS, ROW = HoldKind.PIVOT, HoldKind.WELDS, HoldKind.ROW


def _in_brace(seen: UnderLoad) -> Pulled:
    """The bar's whole force along the brace, an upper bound."""
    force = seen.amount("bar")[:, None] * seen.axis("TB16")
    return ((seen.origin("TB16"), force, None),)


def _on_pad(seen: UnderLoad) -> Pulled:
    force = seen.amount("bar")[:, None] * np.array((0.0, 1.0, 0.0))
    return ((seen.origin("TB17"), force, None),)


def brace_pushed(seen: UnderLoad) -> Mapping[str, Number]:
    """The brace as a column with pinned ends, with all of the bar's force."""
    tube = seen.tube("TB16")
    area, radius = section(tube)
    return {
        "force_N": np.abs(seen.amount("bar")),
        "area_mm2": area,
        "slender": seen.length("TB16") / radius,
        "fy_MPa": tube.fy,
    }


def brace_pulled(seen: UnderLoad) -> Mapping[str, Number]:
    """The brace in tension, with all of the bar's force."""
    tube = seen.tube("TB16")
    return {
        "force_N": np.abs(seen.amount("bar")),
        "area_mm2": section(tube)[0],
        "fy_MPa": tube.fy,
    }


CHEEKS = (
    "bar.cheek.front.bottom",
    "bar.cheek.front.side",
    "bar.cheek.rear.bottom",
    "bar.cheek.rear.side",
)


def lifted(base: str, held: tuple[str, str], weld: str) -> Callable[[UnderLoad], Numbers]:
    """A base plate lifted off the rail by the end of the ear that stands on it; ``held``: its edges
    that are welded, ``weld``: the ear's.
    """

    def numbers(seen: UnderLoad) -> Numbers:
        pieces, force = seen.carried(CHEEKS, seen.bolt_at("bar.frame#1"), "bar")[CHEEKS.index(weld)]
        origin = seen.out(base, (0.0, 0.0))
        axes = [seen.out(base, way) - origin for way in ((1.0, 0.0), (0.0, 1.0))]
        across, along = ((pieces - origin) @ axis for axis in axes)
        blade, middle = float(np.ptp(along)), along.mean(axis=1)
        square = force @ np.cross(axes[0], axes[1])
        pull = np.abs(square.sum(axis=1)) / 2
        tilt = np.abs(square @ (middle - middle.mean())) / blade
        lines = [float(seen.ends(base, edge)[:, 1].mean()) for edge in held]
        ends = (along.min() - min(lines), max(lines) - along.max())
        plate = seen.plate(base)
        return {
            "force_N": pull + tilt,
            "held_mm": max(*ends, 1.0),
            "lifted_mm": blade,
            "beside_blade_mm": _beside(seen, base, held, float(across.mean())),
            "fy_MPa": plate.fy,
            "t_mm": plate.thick,
        }

    return numbers


def _beside(seen: UnderLoad, base: str, held: tuple[str, str], ear: float) -> float:
    """Plate each side of an ear that a base plate's welded edges hold: to the middle between both
    ears and to the edges' nearer ends, the mean of the two.
    """
    ends = [float(end) for edge in held for end in seen.ends(base, edge)[:, 0]]
    return (abs(ear) + min(abs(end - ear) for end in ends)) / 2


def pushed_in(code: str, edges: tuple[str, str]) -> Callable[[UnderLoad], Numbers]:
    """A plate between two welded edges, pushed or pulled by the brace's end with the bar's whole
    force, an upper bound.
    """

    def numbers(seen: UnderLoad) -> Numbers:
        plate, side = seen.plate(code), seen.tube("TB16").od / SQUARE
        one, other = (seen.ends(code, edge).mean(axis=0) for edge in edges)
        return {
            "force_N": seen.amount("bar"),
            "patch_along_mm": side,
            "patch_across_mm": side,
            "edges_mm": float(np.abs(other - one).max()),
            "edges_held": 1,
            "fy_MPa": plate.fy,
            "t_mm": plate.thick,
        }

    return numbers


FRAME = (
    *(
        row(
            f"bar.base.{name}.bent",
            "base plate lifted off the rail by its ear's end under the track-bar bolt at the frame",
            "bar",
            blade_pulled,
            lifted(code, edges, f"bar.cheek.front.{name}"),
            members=(code,),
        )
        for name, code, edges in (
            ("bottom", "TB14", ("outer", "inner")),
            ("side", "TB3", ("lower", "upper")),
        )
    ),
    *(
        row(
            f"bar.{name}.bent",
            f"{what} bent between its welds by the bar's whole force in the brace",
            "bar",
            wall_pulled,
            pushed_in(code, edges),
            members=(code,),
        )
        for name, what, code, edges in (
            ("closing", "closing plate", "TB15", ("front", "rear")),
            ("brace.pad", "brace's pad", "TB17", ("lower", "upper")),
        )
    ),
    pivot(
        "bar.frame",
        "track-bar bolt at the frame",
        "bar",
        ("TB1", "TB2"),
        (
            "bar.cheek.front.bottom",
            "bar.cheek.front.side",
            "bar.cheek.rear.bottom",
            "bar.cheek.rear.side",
        ),
    ),
    weld_group(
        "bar.frame.base",
        "welds that carry {TB14} and {TB3} under the track-bar bolt at the frame",
        "bar",
        ("bar.base.side", "bar.base.bottom"),
        pulls=at_bolt("bar.frame#1", "bar"),
    ),
    row(
        "bar.brace.push",
        "track-bar brace pushed with the bar's whole force",
        "bar",
        tubes.column,
        Reasoned(brace_pushed, steps.strut("TB16", "bar", steps.own_length("TB16"))),
        members=("TB16",),
    ),
    row(
        "bar.brace.pull",
        "track-bar brace pulled with the bar's whole force",
        "bar",
        tubes.tension,
        Reasoned(brace_pulled, steps.tie("TB16", "bar")),
        members=("TB16",),
    ),
    weld_group(
        "bar.brace.pad",
        "welds of the brace's pad to the far rail",
        "bar",
        ("bar.brace.pad",),
        members=("TB17",),
        pulls=_on_pad,
    ),
    weld_group(
        "bar.brace.near",
        "weld of the brace to its closing plate with the bar's whole force",
        "bar",
        ("bar.brace.near",),
        pulls=_in_brace,
    ),
    weld_group(
        "bar.brace.end",
        "weld of the brace to its pad with the bar's whole force",
        "bar",
        ("bar.brace.far",),
        pulls=_in_brace,
    ),
    weld_group(
        "bar.closing",
        "welds of {TB15} to the ears with the bar's whole force in the brace",
        "bar",
        ("bar.closing.front", "bar.closing.rear"),
        pulls=_in_brace,
    ),
)

GUSSETS = (
    NotHeld(
        (
            "GU1",
            "GU2",
            "brace.gusset.rear.pad",
            "brace.gusset.rear.tube",
            "brace.gusset.front.pad",
            "brace.gusset.front.tube",
        ),
        "gusset beside the brace's end: the brace's own weld is held for all of it without it",
        Whose.SPARE,
    ),
)
