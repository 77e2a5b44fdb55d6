"""Plates bent by what stands on them: plastic collapse along straight yield lines, by virtual work
(Johansen's method, in any text on plastic plates). Lengths mm, forces N, moments N mm.

Each gives the thickness wanted against the one there: m = Fy t^2 / 4 a millimeter of line, over
1.67 (AISC 360 F). A held edge turns freely unless the clause says otherwise.
"""

from __future__ import annotations

import numpy as np

from ..model.vectors import Number
from .clause import clause

OMEGA = 1.67
TAPERS = np.linspace(0.05, 4.0, 80)
"""Half of a bent triangle's foot on the held edge, over blade and distance: the worst of these."""


def thickness(moment: Number, fy_MPa: Number) -> Number:
    """Thickness whose plastic moment a millimeter, over 1.67, is this one, N; elementwise, mm."""
    found: Number = np.sqrt(4 * OMEGA * np.maximum(moment, 0.0) / fy_MPa)
    return found


@clause(
    "yield lines, plate lifted by two ribs off what it lies on",
    formula="t >= sqrt(4 x 1.67 m / Fy), m (B (1/h + 1/c) + h/s) = M/h",
    tag="memory",
)
def plate_lifted(
    *,
    moment_Nmm: Number,
    between_mm: Number,
    tall_mm: Number,
    below_mm: Number,
    aside_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a plate welded round its edges on a wall it lies on, tilted about its far edge
    by two stiff ribs on it.

    ``between_mm`` B: from rib to rib; ``tall_mm`` h: far edge to the ribs' near ends; ``below_mm``
    c: on from there to the near edge's weld; ``aside_mm`` s: rib to the weld beside it. The plate
    between the ribs turns with them by 1/h and bends by 1/h + 1/c on a line from end to end; beside
    each rib it bends by what the rib has lifted over s, h/2s in all. What twisting the strips
    takes is left out, on the safe side.
    """
    turned = between_mm * (1 / tall_mm + 1 / below_mm) + tall_mm / aside_mm
    return thickness(np.abs(moment_Nmm) / tall_mm / turned, fy_MPa), t_mm


@clause(
    "AISC 360 Table K2.1 (2010 K1-12), wall between its corners by yield lines",
    edition="2016",
    formula="t >= sqrt(4 x 1.67 F / (k Fy)), k = 2 n (l + 2a)/e + 4 B/a, worst a; e = (B - b)/2",
    tag="memory",
)
def wall_pulled(  # one number each that virtual work asks for
    *,
    force_N: Number,
    along_mm: Number,
    across_mm: Number,
    wide_mm: Number,
    held: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a wall pushed or pulled square by a stiff patch in the middle between two long
    edges.

    ``along_mm`` l and ``across_mm`` b: the patch; ``wide_mm`` B: from edge to edge; ``held`` n: 1
    for edges that turn freely, 2 for edges that bend with the wall (the standard's, where k is
    8 (l/B/(1 - b/B) + 2/sqrt(1 - b/B))).
    """
    wide, across = np.asarray(wide_mm, dtype=float), np.asarray(across_mm, dtype=float)
    room = np.maximum((wide - across) / 2, 1e-6)
    long = np.sqrt(wide * room / held)
    resists = 2 * held * (along_mm + 2 * long) / room + 4 * wide / long
    return thickness(np.abs(force_N) / resists, fy_MPa), t_mm


@clause(
    "yield lines, round plate on a ring, any text: 6 pi m without a hole",
    formula="t >= sqrt(4 x 1.67 m / Fy), m 2 pi (R - a) / R = F w",
    tag="memory",
)
def disk_pushed(
    *, force_N: Number, radius_mm: Number, hole_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a round plate that stands on a ring and is pushed evenly inside it.

    ``radius_mm`` R: the ring's; ``hole_mm`` a: radius of a hole in its middle, past which nothing
    pushes. It sinks as a cone: w is the mean way from hole to ring, the middle's being 1.
    """
    ring, hole = np.asarray(radius_mm, dtype=float), np.asarray(hole_mm, dtype=float)
    inside = ring * (ring**2 - hole**2) / 2 - (ring**3 - hole**3) / 3
    sunk = inside / (ring * (ring**2 - hole**2) / 2)
    return thickness(force_N * sunk * ring / (2 * np.pi * (ring - hole)), fy_MPa), t_mm


@clause(
    "yield line along a chord (statics)",
    formula="t >= sqrt(4 x 1.67 M / (c Fy)), M of the even push past the chord c",
    tag="read",
)
def disk_past(
    *, force_N: Number, radius_mm: Number, chord_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a round plate pushed evenly, where it stands out past what carries it.

    ``chord_mm``: from its middle to the straight line it stands out from.
    """
    ring = np.asarray(radius_mm, dtype=float)
    chord = np.minimum(np.asarray(chord_mm, dtype=float), 0.999 * ring)
    half = np.sqrt(ring**2 - chord**2)
    area = ring**2 * np.arccos(chord / ring) - chord * half
    lever = 2 * half**3 / (3 * area) - chord
    moment = force_N * area / (np.pi * ring**2) * lever
    return thickness(moment / (2 * half), fy_MPa), t_mm


AROUND = (np.arange(36) + 0.5) * np.pi / 72
"""Places on a quarter of a ring, rad."""


@clause(
    "yield lines, round seat on two straight lines",
    formula="t >= sqrt(4 x 1.67 m / Fy), m the larger of 2 W / (y - p) and the chord past y",
    tag="memory",
)
def seat_on_lines(  # noqa: PLR0913  # one number each that virtual work asks for
    *,
    coil_N: Number,
    stop_N: Number,
    coil_radius_mm: Number,
    seat_radius_mm: Number,
    line_mm: Number,
    stop_mm: Number,
    past_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a round seat that stands on two straight plates, each ``line_mm`` y off its
    middle, under a coil on a ring and a stop on two lines ``stop_mm`` p off the middle.

    Between the plates it folds along the stop's lines, from rim to rim, and turns freely over the
    plates; past their far sides, ``past_mm`` off the middle, it bends along a chord under what the
    ring brings there. The locating ring is not counted.
    """
    ring, seat = np.asarray(coil_radius_mm, dtype=float), np.asarray(seat_radius_mm, dtype=float)
    line, fold = np.asarray(line_mm, dtype=float), np.asarray(stop_mm, dtype=float)
    away = np.asarray(ring)[..., None] * np.sin(AROUND)
    room = (line - fold)[..., None]
    sunk = np.clip((line[..., None] - away) / room, 0.0, 1.0).mean(axis=-1)
    wide = 2 * np.sqrt(np.maximum(seat**2 - fold**2, 1e-6))
    between = (coil_N * sunk + stop_N) * (line - fold) / (2 * wide)
    lever = np.maximum(away - np.asarray(past_mm, dtype=float)[..., None], 0.0).mean(axis=-1) / 2
    past = coil_N * lever / (2 * np.sqrt(np.maximum(seat**2 - np.square(past_mm), 1e-6)))
    return thickness(np.maximum(between, past), fy_MPa), t_mm


@clause(
    "yield lines, end of a stiff blade near a held edge",
    formula="t >= sqrt(4 x 1.67 F / (k Fy)), k of the weaker triangle or of the whole width",
    tag="memory",
)
def blade_pulled(
    *,
    force_N: Number,
    below_mm: Number,
    tall_mm: Number,
    wide_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a plate lifted by the end of a stiff blade that stands on it, square to an edge
    that is welded down.

    ``below_mm`` c: from the blade's end to that edge; ``tall_mm`` h: on from its end to where it
    tilts about; ``wide_mm`` W: plate each side of the blade that the edge's weld holds. Each side a
    triangle with its foot d on the edge hinges about it and a second one about the blade, d the
    worst up to W; or the plate folds in its whole width.
    """
    low, high, wide = (
        np.asarray(each, dtype=float)[..., None] for each in (below_mm, tall_mm, wide_mm)
    )
    whole = low + high
    foot = np.minimum(TAPERS * whole, wide)
    fold = (foot**2 + whole**2) / foot + whole / foot * high
    tip = np.hypot(whole / foot, 1 + high / low) * np.hypot(foot, low)
    straight = wide[..., 0] * (1 + (high / low)[..., 0])
    each = np.minimum((fold + tip).min(axis=-1), straight) / high[..., 0]
    return thickness(np.abs(force_N) / (2 * each), fy_MPa), t_mm


@clause(
    "AISC 360 F11.1 (F11-1), bar bent over its thickness",
    edition="2016",
    formula="t >= sqrt(4 x 1.67 M / (w Fy))",
    tag="memory",
)
def strip_bent(
    *, moment_Nmm: Number, width_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a strip of plate bent between what carries it, plastic, allowable."""
    return thickness(np.abs(moment_Nmm) / width_mm, fy_MPa), t_mm
