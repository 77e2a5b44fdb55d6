"""A bent plate folded, seen along its bend: its profile with the outside length of each leg."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ..geometry import bend, outline
from ..model.body import Loop, Plate
from ..model.vectors import Vec2, Vec3
from . import wording
from .side import Length, SideElevation, polyline

if TYPE_CHECKING:
    from shapely.geometry import Polygon

MOST = math.radians(150.0)
"""Bend angle from which on the corner of the outsides is too far away to measure to."""


NEAR = 0.1
"""mm a bend zone may end beside the panel it belongs to."""


class _BendAxes(NamedTuple):
    """What is seen along a bend: across it in the flat's plane, and off that plane."""

    across: Vec2

    def seen(self, point: Vec3) -> Vec2:
        """A point of the folded part."""
        return point[0] * self.across[0] + point[1] * self.across[1], point[2]


def folded_view(body: Plate, thickness: float) -> SideElevation | None:
    """The folded side view; None for a flat plate. Bends that are not parallel to the first are
    seen askew.
    """
    from shapely import unary_union
    from shapely.geometry import Polygon

    if not body.bends:
        return None
    first = body.bends[0]
    long = math.dist(first.start, first.end)
    ux, uy = (first.end[0] - first.start[0]) / long, (first.end[1] - first.start[1]) / long
    axes = _BendAxes((-uy, ux))
    panels, folds = bend.fold(body, thickness)
    pieces, lengths = [], []
    for panel in panels:
        low, high = _range(panel.outline, axes)

        def at(across: float, above: float, place: bend.Panel = panel) -> Vec2:
            x, y = across * axes.across[0], across * axes.across[1]
            return axes.seen(place.place.out((x, y, above)))

        pieces.append(Polygon([at(low, 0), at(high, 0), at(high, thickness), at(low, thickness)]))
        near = [fold for fold in folds if _touches(fold, axes, (low, high))]
        if not near:
            continue
        outer = 0.0 if near[0].bend.angle > 0 else thickness
        ends = [low, high]
        for fold in near:
            side = 0 if abs(_at(fold, axes) - low) < abs(_at(fold, axes) - high) else 1
            angle = min(abs(fold.bend.angle), MOST)
            back = (fold.bend.radius + thickness) * math.tan(angle / 2)
            ends[side] += -back if side == 0 else back
        one, two = at(ends[0], outer), at(ends[1], outer)
        inner = at(ends[0], thickness - outer)
        off = math.atan2(one[1] - inner[1], one[0] - inner[0])
        lengths.append(Length(one, two, off, wording.length(ends[1] - ends[0])))
    pieces += [_round(fold, body, thickness, axes) for fold in folds]
    whole = unary_union([piece.buffer(1e-4, join_style="mitre") for piece in pieces])
    rims = [whole] if whole.geom_type == "Polygon" else list(whole.geoms)
    lines = [
        polyline([(float(x), float(y)) for x, y in np.asarray(rim.exterior.coords)[:-1]])
        for rim in rims
    ]
    return SideElevation(tuple(lines), tuple(lengths), (), "folded, seen along the bend")


def _round(fold: bend.Fold, body: Plate, thickness: float, axes: _BendAxes) -> Polygon:
    """The steel of a bend zone, as seen."""
    from shapely.geometry import Polygon

    sector = bend.round_of(fold, body, thickness)
    corners = outline.flatten(sector.outline, 0.02)
    return Polygon([axes.seen(sector.place.out((x, y, 0.0))) for x, y in corners])


def _range(loop: Loop, axes: _BendAxes) -> tuple[float, float]:
    across = [x * axes.across[0] + y * axes.across[1] for x, y in outline.flatten(loop, 0.05)]
    return min(across), max(across)


def _at(fold: bend.Fold, axes: _BendAxes) -> float:
    """Where a bend's line is, across the bends."""
    x, y = fold.start
    return x * axes.across[0] + y * axes.across[1]


def _touches(fold: bend.Fold, axes: _BendAxes, panel: tuple[float, float]) -> bool:
    """Whether a bend zone ends where a panel does."""
    at, half = _at(fold, axes), fold.allowance / 2
    return min(abs(at + way * half - end) for way in (-1, 1) for end in panel) < NEAR
