"""Plots of the travel sheets: outputs over heave with the limits they may not pass."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ...layout.quantities import Key, Side
from ...layout.reader import unit, valued
from ...layout.travel import Travel
from ..model.vectors import Vec2
from .display import PAGE, Sheet
from .entities import LineKind
from .pages import INNER
from .sheet import MARGIN


class Curve(NamedTuple):
    """One line of a plot; ``kind`` tells left from right in black and white, ``label`` stands in
    the key. ``values``: one a heave, in the unit the plot's title names.
    """

    values: Array
    kind: LineKind
    label: str


class Plot(NamedTuple):
    """Curves over heave with the limits they may not pass, in the unit the title names."""

    title: str
    curves: list[Curve]
    limits: list[float]


class _Curves(NamedTuple):
    """Curves and limits of a study in the reader's units, at positions ``at`` of its travel."""

    travel: Travel
    values: Mapping[Key, float]
    at: list[int]

    def of(self, name: str, side: Side, kind: LineKind, one: float, label: str = "") -> list[Curve]:
        """One output over heave; none where it waits. ``one``: internal units in one printed."""
        found = self.travel.found.get(Key(name, side))
        return [] if found is None else [Curve(found[self.at] / one, kind, label)]

    def both(self, name: str, one: float) -> list[Curve]:
        """Left solid, right dashed."""
        return [
            *self.of(name, "L", "wide", one, "left"),
            *self.of(name, "R", "dashed", one, "right"),
        ]

    def limit(self, name: str, one: float, way: float = 1.0) -> list[float]:
        """A value of the center as a limit, none where it is not read."""
        key = Key(name, "C")
        return [way * self.values[key] / one] if key in self.values else []


DEG = math.pi / 180


def plots(sheet: Sheet, travel: Travel, values: Mapping[Key, float]) -> None:
    """Nine plots on a page; ``values``: solved, mm and radians, that limits come from."""
    rows = sorted(
        (place.heave, place_number)
        for place_number, place in enumerate(travel.places)
        if place.roll == 0.0 and travel.pose is not None and travel.pose.settled[place_number]
    )
    one = 1 / valued(1.0, "length")
    heave = np.array([height for height, _ in rows]) / one
    curves = _Curves(travel, values, [place_number for _, place_number in rows])
    every = [*_wheel_plots(curves, one), *_link_plots(curves, one, heave)]
    wide, high = (INNER - 30) / 3, (PAGE[1] - 2 * MARGIN - 70) / 3
    for index, plot in enumerate(every):
        if plot.curves:
            corner = (
                MARGIN + 10 + (index % 3) * (wide + 5),
                PAGE[1] - MARGIN - 44 - (index // 3 + 1) * high + 12,
            )
            _plot(sheet, corner, (wide, high - 16), heave, plot)


def _wheel_plots(curves: _Curves, one: float) -> list[Plot]:
    """Caster, pinion, axle sideways, heading, coils; ``one``: mm in the printed length."""
    short, found = unit("length"), curves.values
    caster = [*curves.limit("wanted.caster_low", DEG), *curves.limit("wanted.caster_high", DEG)]
    solid = Key("spring.solid", "L")
    bind = found.get(Key("spring.bind_margin", "C"), 0) / one
    least = [found[solid] / one + bind] if solid in found else []
    return [
        Plot("caster, deg", curves.both("caster", DEG), caster),
        Plot("pinion nose up, deg", curves.of("pinion.up", "C", "wide", DEG), []),
        Plot(f"axle sideways, {short}, left +", curves.of("lateral", "C", "wide", one), []),
        Plot("wheel heading, deg, left +", curves.both("wheel.heading", DEG), []),
        Plot(
            f"coil length, {short}",
            curves.both("coil.length", one),
            [*least, *curves.limit("spring.free_length", one)],
        ),
    ]


def _link_plots(curves: _Curves, one: float, heave: Array) -> list[Plot]:
    """Shaft, track bar, drag link, instant center; ``one``: mm in the printed length."""
    short = unit("length")
    center = curves.travel.found[Key("ic.z", "C")][curves.at]
    return [
        Plot(
            "shaft joints, deg",
            [
                *curves.of("pinion.joint", "C", "wide", DEG, "pinion"),
                *curves.of("transfer.joint", "C", "dashed", DEG, "transfer case"),
            ],
            [],
        ),
        Plot(
            f"shaft longer, {short}",
            curves.of("slip", "C", "wide", one),
            [
                *curves.limit("driveline.slip_compress", one, -1.0),
                *curves.limit("driveline.slip_extend", one),
            ],
        ),
        Plot(
            "track bar and drag link, deg",
            [
                *curves.of("bar.angle", "C", "wide", DEG, "track bar"),
                *curves.of("drag.angle", "C", "dashed", DEG, "drag link"),
            ],
            [],
        ),
        Plot(
            f"instant center above ground, {short}",
            [Curve((center - heave * one) / one, "wide", "")],
            [],
        ),
    ]


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers that span low..high.

    ``most``: about how many steps at most. Gives multiples of 1, 2, 5 or 10 times a power of ten,
    in the unit of ``low`` and ``high``, the first at or below the one, the last at or above the
    other.
    """
    raw = max(high - low, 1e-9) / most
    step = 10 ** math.floor(math.log10(raw))
    step *= next(factor for factor in (1, 2, 5, 10) if factor * step >= raw)
    return [
        round(factor * step, 9)
        for factor in range(math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9) + 1)
    ]


class _PlotAxes(NamedTuple):
    """Where a plot's numbers are on the paper."""

    left: float
    bottom: float
    wide: float
    high: float
    across: list[float]
    up: list[float]

    def x(self, value: float) -> float:
        """Of a heave."""
        first, last = self.across[0], self.across[-1]
        return self.left + self.wide * (value - first) / (last - first)

    def y(self, value: float) -> float:
        """Of an output."""
        first, last = self.up[0], self.up[-1]
        return self.bottom + self.high * (value - first) / (last - first)


def _plot(sheet: Sheet, corner: Vec2, size: Vec2, heave: Array, plot: Plot) -> None:
    every = np.concatenate([*(each.values for each in plot.curves), np.array(plot.limits)])
    up = ticks(float(every.min()), float(every.max()))
    axes = _PlotAxes(
        corner[0] + 30,
        corner[1] + 16,
        size[0] - 40,
        size[1] - 32,
        ticks(float(heave.min()), float(heave.max())),
        up if len(up) > 1 else [up[0] - 1, up[0], up[0] + 1],
    )
    _frame(sheet, axes, plot.title)
    right, top = axes.left + axes.wide, axes.bottom + axes.high
    for limit in plot.limits:
        sheet.line((axes.left, axes.y(limit)), (right, axes.y(limit)))
        sheet.text(right - 2, axes.y(limit) + 2, "limit", 6, anchor="end")
    for index, curve in enumerate(plot.curves):
        points = [
            (axes.x(at), axes.y(value)) for at, value in zip(heave, curve.values, strict=True)
        ]
        sheet.poly(points, curve.kind, False)
        if curve.label and len(plot.curves) > 1 and curve.label not in ("left", "right"):
            words = f"{'solid' if curve.kind == 'wide' else 'dashed'}: {curve.label}"
            sheet.text(right - 6, top - 9 - 8 * index, words, 6.5, anchor="end")


def _frame(sheet: Sheet, axes: _PlotAxes, title: str) -> None:
    """A plot's box with its title and ticks."""
    sheet.text(axes.left, axes.bottom + axes.high + 6, title, 8, True)
    sheet.box(axes.left, axes.bottom, axes.wide, axes.high, "narrow")
    for value in axes.across:
        sheet.line((axes.x(value), axes.bottom), (axes.x(value), axes.bottom + 3))
        sheet.text(axes.x(value), axes.bottom - 8, f"{value:g}", 6.5, anchor="middle")
    for value in axes.up:
        sheet.line((axes.left, axes.y(value)), (axes.left + 3, axes.y(value)))
        sheet.text(axes.left - 3, axes.y(value) - 2, f"{value:g}", 6.5, anchor="end")
    under = f"heave, {unit('length')}, bump +"
    sheet.text(axes.left + axes.wide, axes.bottom - 15, under, 6.5, anchor="end")
