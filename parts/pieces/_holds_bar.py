"""What the track bar's brackets and its brace are held against."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from ..model.hold import Hold, HoldKind, NotHeld, UnderLoad, Whose
from ..model.vectors import Array
from ..rules import tubes

PIVOT, WELDS, ROW = HoldKind.PIVOT, HoldKind.WELDS, HoldKind.ROW
Pulled = tuple[tuple[Array, Array, Array | None], ...]


def _at_axle(seen: UnderLoad) -> Pulled:
    return ((seen.bolt_at("bar.axle#1"), seen.force("bar"), None),)


def _at_frame(seen: UnderLoad) -> Pulled:
    return ((seen.bolt_at("bar.frame#1"), seen.force("bar"), None),)


def _in_brace(seen: UnderLoad) -> Pulled:
    """The bar's whole force along the brace, an upper bound."""
    force = seen.amount("bar")[:, None] * seen.axis("TB16")
    return ((seen.origin("TB16"), force, None),)


def _on_pad(seen: UnderLoad) -> Pulled:
    force = seen.amount("bar")[:, None] * np.array((0.0, 1.0, 0.0))
    return ((seen.origin("TB17"), force, None),)


def brace_pushed(seen: UnderLoad) -> Mapping[str, Any]:
    """The brace as a column with pinned ends, with all of the bar's force."""
    tube = seen.tube("TB16")
    section = float(tubes.area(tube.od, tube.wall))
    radius = math.sqrt(float(tubes.inertia(tube.od, tube.wall)) / section)
    return {
        "force_N": np.abs(seen.amount("bar")),
        "area_mm2": section,
        "slender": seen.length("TB16") / radius,
        "fy_MPa": tube.fy,
    }


def brace_pulled(seen: UnderLoad) -> Mapping[str, Any]:
    """The brace in tension, with all of the bar's force."""
    tube = seen.tube("TB16")
    return {
        "force_N": np.abs(seen.amount("bar")),
        "area_mm2": float(tubes.area(tube.od, tube.wall)),
        "fy_MPa": tube.fy,
    }


AXLE = (
    Hold(
        "bar.axle",
        PIVOT,
        "track-bar bolt at the axle",
        "bar",
        members=("TB5", "TB6"),
        bolts=("bar.axle#1",),
        welds=("bar.axle.front", "bar.axle.rear"),
    ),
    Hold(
        "bar.axle.ribs",
        WELDS,
        "welds that carry {TB4} under the track-bar bolt at the axle",
        "bar",
        members=("TB9", "TB10"),
        welds=("bar.rib.out.tube", "bar.rib.in.tube"),
        pulls=_at_axle,
    ),
    Hold(
        "bar.axle.shelf",
        WELDS,
        "welds of {TB4} to its ribs under the track-bar bolt at the axle",
        "bar",
        members=("TB9", "TB10"),
        welds=("bar.rib.out.shelf", "bar.rib.in.shelf"),
        pulls=_at_axle,
    ),
)

AXLE_REST = (
    NotHeld(
        ("TB4",),
        "shelf between ears and ribs: bent over its ribs, only its welds are worked",
        Whose.NOT_WORKED,
    ),
)

FRAME = (
    Hold(
        "bar.frame",
        PIVOT,
        "track-bar bolt at the frame",
        "bar",
        members=("TB1", "TB2"),
        bolts=("bar.frame#1",),
        welds=(
            "bar.cheek.front.bottom",
            "bar.cheek.front.side",
            "bar.cheek.rear.bottom",
            "bar.cheek.rear.side",
        ),
    ),
    Hold(
        "bar.frame.base",
        WELDS,
        "welds that carry {TB14} and {TB3} under the track-bar bolt at the frame",
        "bar",
        welds=("bar.base.side", "bar.base.bottom"),
        pulls=_at_frame,
    ),
    Hold(
        "bar.brace.push",
        ROW,
        "track-bar brace pushed with the bar's whole force",
        "bar",
        members=("TB16",),
        clause=tubes.column,
        numbers=brace_pushed,
    ),
    Hold(
        "bar.brace.pull",
        ROW,
        "track-bar brace pulled with the bar's whole force",
        "bar",
        members=("TB16",),
        clause=tubes.tension,
        numbers=brace_pulled,
    ),
    Hold(
        "bar.brace.pad",
        WELDS,
        "welds of the brace's pad to the far rail",
        "bar",
        members=("TB17",),
        welds=("bar.brace.pad",),
        pulls=_on_pad,
    ),
    Hold(
        "bar.brace.near",
        WELDS,
        "weld of the brace to its closing plate with the bar's whole force",
        "bar",
        welds=("bar.brace.near",),
        pulls=_in_brace,
    ),
    Hold(
        "bar.brace.end",
        WELDS,
        "weld of the brace to its pad with the bar's whole force",
        "bar",
        welds=("bar.brace.far",),
        pulls=_in_brace,
    ),
    Hold(
        "bar.closing",
        WELDS,
        "welds of {TB15} to the ears with the bar's whole force in the brace",
        "bar",
        welds=("bar.closing.front", "bar.closing.rear"),
        pulls=_in_brace,
    ),
)

FRAME_REST = (
    NotHeld(
        ("TB3", "TB14", "TB15"),
        "plate between the ears' welds and its own: only the welds at both are worked",
        Whose.NOT_WORKED,
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
