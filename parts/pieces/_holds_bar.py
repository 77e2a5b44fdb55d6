"""What the track bar's brackets and its brace are held against."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..model.hold import HoldKind, NotHeld, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import tubes
from ._holding import Pulled, at_bolt, pivot, row, section, weld_group

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


AXLE = (
    pivot(
        "bar.axle",
        "track-bar bolt at the axle",
        "bar",
        ("TB5", "TB6"),
        ("bar.axle.front", "bar.axle.rear"),
    ),
    weld_group(
        "bar.axle.ribs",
        "welds that carry {TB4} under the track-bar bolt at the axle",
        "bar",
        ("bar.rib.out.tube", "bar.rib.in.tube"),
        members=("TB9", "TB10"),
        pulls=at_bolt("bar.axle#1", "bar"),
    ),
    weld_group(
        "bar.axle.shelf",
        "welds of {TB4} to its ribs under the track-bar bolt at the axle",
        "bar",
        ("bar.rib.out.shelf", "bar.rib.in.shelf"),
        members=("TB9", "TB10"),
        pulls=at_bolt("bar.axle#1", "bar"),
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
        brace_pushed,
        members=("TB16",),
    ),
    row(
        "bar.brace.pull",
        "track-bar brace pulled with the bar's whole force",
        "bar",
        tubes.tension,
        brace_pulled,
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
