"""Plates bent by what stands on them: plastic collapse along straight yield lines, by virtual work
(Johansen's method, in any text on plastic plates). Lengths mm, forces N, moments N mm.

Each gives the thickness wanted against the one there: m = Fy t^2 / 4 a millimeter of line, over
1.67 (AISC 360 F). A held edge turns freely unless the clause says otherwise.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ...layout.arrays import Array
from ..model.vectors import Number
from .clause import clause

OMEGA = 1.67
TAPERS = np.linspace(0.05, 4.0, 80)
"""Feet of a bent triangle on the held edge, over blade and distance: the worst of these."""
AROUND = (np.arange(36) + 0.5) * np.pi / 72
"""Places on a quarter of a ring, rad."""
CLOSEST = 0.01
"""Where two lines of a pattern meet they are held this far apart, mm: nothing bends between."""
SHARE = 0.9
"""Most of the way to what holds it that a load or a hole may reach."""


def thickness(moment: Number, fy_MPa: Number) -> Number:
    """Thickness whose plastic moment a millimeter, over 1.67, is this one, N; elementwise, mm.

    ``moment``: on a millimeter of line, N mm/mm; below 0 it counts as none; ``fy_MPa``: yield
    strength, MPa. Floats or arrays that broadcast.

    >>> round(float(thickness(2500.0, 250.0)), 2)
    8.17
    """
    found: Number = np.sqrt(4 * OMEGA * np.maximum(moment, 0.0) / fy_MPa)
    return found


@clause(
    "yield lines, plate lifted by two ribs off what it lies on",
    formula="t >= sqrt(4 1.67 m / Fy); m = |M| / (h (B (1/h + 1/c) + h/s))",
    tag="memory",
)
def plate_lifted(
    *,
    moment_Nmm: Number,
    ribs_mm: Number,
    lifted_mm: Number,
    held_mm: Number,
    beside_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a plate welded round its edges on a wall it lies on, tilted about its far edge
    by two stiff ribs on it.

    ``ribs_mm`` B: from rib to rib; ``lifted_mm`` h: far edge to the ribs' near ends; ``held_mm`` c:
    on from there to the near edge's weld; ``beside_mm`` s: rib to the weld beside it. The plate
    between the ribs turns with them by 1/h and bends by 1/h + 1/c on a line from end to end; beside
    each rib it bends by what the rib has lifted over s, h/2s in all. What twisting the strips takes
    is left out, on the safe side.
    """
    turned = ribs_mm * (1 / lifted_mm + 1 / held_mm) + lifted_mm / beside_mm
    return thickness(np.abs(moment_Nmm) / lifted_mm / turned, fy_MPa), t_mm


@clause(
    "AISC 360 (K1-12), wall between its corners by yield lines",
    edition="2010",
    formula=(
        "t >= sqrt(4 1.67 |F| / (k Fy)); k = 2 n (lp + 2 a) / e + 4 B / a; a = sqrt(B e / n);"
        " e = max((B - bp) / 2, 0.01)"
    ),
    tag="memory",
)
def wall_pulled(
    *,
    force_N: Number,
    patch_along_mm: Number,
    patch_across_mm: Number,
    edges_mm: Number,
    edges_held: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a wall pushed or pulled square by a stiff patch in the middle between two long
    edges.

    ``patch_along_mm`` lp, ``patch_across_mm`` bp: the patch; ``edges_mm`` B: from edge to edge;
    ``edges_held`` n: 1 for edges that turn freely, 2 for edges that bend with the wall: the
    standard's, where k is 8 (lp/B / (1 - bp/B) + 2 / sqrt(1 - bp/B)).
    """
    wide = np.asarray(edges_mm, dtype=float)
    room = np.maximum((wide - patch_across_mm) / 2, CLOSEST)
    long = np.sqrt(wide * room / edges_held)
    resists = 2 * edges_held * (patch_along_mm + 2 * long) / room + 4 * wide / long
    return thickness(np.abs(force_N) / resists, fy_MPa), t_mm


@clause(
    "yield lines, round plate on a ring, any text: 6 pi m without a hole",
    formula=(
        "t >= sqrt(4 1.67 m / Fy); m = F u R / (2 pi (R - a));"
        " u = 1 - 2 (R^3 - a^3) / (3 R (R^2 - a^2)); a = min(ah, 0.9 R)"
    ),
    tag="memory",
)
def disk_pushed(
    *, force_N: Number, ring_mm: Number, hole_radius_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a round plate that stands on a ring and is pushed evenly inside it.

    ``ring_mm`` R: the ring's radius; ``hole_radius_mm``: of a hole in its middle, past which
    nothing pushes. It sinks as a cone: u is the mean way from hole to ring, the tip's being 1.
    """
    ring = np.asarray(ring_mm, dtype=float)
    hole = np.minimum(hole_radius_mm, SHARE * ring)
    sunk = 1 - 2 * (ring**3 - hole**3) / (3 * ring * (ring**2 - hole**2))
    return thickness(force_N * sunk * ring / (2 * np.pi * (ring - hole)), fy_MPa), t_mm


def past(radius_mm: Number, chord_mm: Number) -> tuple[Array, Array, Array]:
    """Share of a disk past a chord, from the chord to that share's middle, and half of the chord,
    mm; elementwise.
    """
    ring = np.asarray(radius_mm, dtype=float)
    chord = np.minimum(chord_mm, SHARE * ring)
    half = np.sqrt(ring**2 - chord**2)
    area = ring**2 * np.arccos(chord / ring) - chord * half
    return area / (np.pi * ring**2), 2 * half**3 / (3 * area) - chord, half


@clause(
    "yield line along a chord (statics)",
    formula="t >= sqrt(4 1.67 F q u / (2 s Fy)); s = sqrt(R^2 - min(x, 0.9 R)^2)",
    tag="read",
    also={
        "past_share": lambda of: float(past(of["rim_mm"], of["chord_mm"])[0]),
        "past_lever_mm": lambda of: float(past(of["rim_mm"], of["chord_mm"])[1]),
    },
)
def disk_past(
    *, force_N: Number, rim_mm: Number, chord_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a round plate pushed evenly, where it stands out past what carries it.

    ``rim_mm`` R: its radius; ``chord_mm`` x: from its middle to the straight line it stands out
    from.
    """
    share, lever, half = past(rim_mm, chord_mm)
    return thickness(force_N * share * lever / (2 * half), fy_MPa), t_mm


def ring_on_lines(
    ring_mm: Number, line_mm: Number, fold_mm: Number, past_mm: Number
) -> tuple[Array, Array]:
    """Of a ring on a seat that folds between two lines: the mean way it sinks, the fold's being 1,
    and its mean lever past a line further out, one side's over the whole ring, mm; elementwise.
    """
    away = np.asarray(ring_mm, dtype=float)[..., None] * np.sin(AROUND)
    line, fold, out = (
        np.asarray(each, dtype=float)[..., None] for each in (line_mm, fold_mm, past_mm)
    )
    sunk = np.clip((line - away) / (line - np.minimum(fold, SHARE * line)), 0.0, 1.0)
    return sunk.mean(axis=-1), np.maximum(away - out, 0.0).mean(axis=-1) / 2


def _on_lines(of: Mapping[str, float]) -> tuple[Array, Array]:
    return ring_on_lines(of["coil_radius_mm"], of["line_mm"], of["fold_mm"], of["past_mm"])


@clause(
    "yield lines, round seat on two straight plates",
    formula=(
        "t >= sqrt(4 1.67 max(mi, mo) / Fy);"
        " mi = (Fc ul + Fs) (y - p) / (4 sqrt(max(R^2 - p^2, 0.0001)));"
        " mo = Fc v / (2 sqrt(max(R^2 - x^2, 0.0001))); p = min(yf, 0.9 y)"
    ),
    tag="memory",
    letters={"coil_N": "Fc"},
    also={
        "line_sinks": lambda of: float(_on_lines(of)[0]),
        "ring_lever_mm": lambda of: float(_on_lines(of)[1]),
    },
)
def seat_on_lines(  # noqa: PLR0913  # one number each that virtual work asks for
    *,
    coil_N: Number,
    stop_N: Number,
    coil_radius_mm: Number,
    rim_mm: Number,
    line_mm: Number,
    fold_mm: Number,
    past_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a round seat that stands on two straight plates under a coil on a ring and a
    stop on two lines between them.

    ``rim_mm`` R: its radius; ``line_mm`` y: middle to a plate's near side; ``fold_mm``: middle to a
    line of the stop; ``past_mm`` x: middle to a plate's far side. Between the plates it folds along
    the stop's lines, from rim to rim, and turns freely over the plates; past them it bends along a
    chord under what the ring brings there. The locating ring is not counted.
    """
    rim, line = np.asarray(rim_mm, dtype=float), np.asarray(line_mm, dtype=float)
    fold = np.minimum(fold_mm, SHARE * line)
    sunk, lever = ring_on_lines(coil_radius_mm, line, fold, past_mm)
    inner = 2 * np.sqrt(np.maximum(rim**2 - fold**2, CLOSEST**2))
    outer = 2 * np.sqrt(np.maximum(rim**2 - np.square(past_mm), CLOSEST**2))
    between = (coil_N * sunk + stop_N) * (line - fold) / (2 * inner)
    return thickness(np.maximum(between, coil_N * lever / outer), fy_MPa), t_mm


def _feet(held: Number, lifted: Number, wide: Number) -> tuple[Array, Array]:
    """What a triangle each side of a blade turns in all, and its foot, mm: of every one tried."""
    low, high, side = (np.asarray(each, dtype=float)[..., None] for each in (held, lifted, wide))
    whole = low + high
    foot = np.minimum(TAPERS * whole, side)
    fold = (foot**2 + whole**2) / foot + whole / foot * high
    return fold + np.hypot(whole / foot, 1 + high / low) * np.hypot(foot, low), foot


def _foot(of: Mapping[str, float]) -> float:
    turned, foot = _feet(of["held_mm"], of["lifted_mm"], of["beside_blade_mm"])
    return float(np.broadcast_to(foot, turned.shape)[np.argmin(turned)])


@clause(
    "yield lines, end of a stiff blade near a held edge",
    formula=(
        "t >= sqrt(4 1.67 |F| / (k Fy)); k = 2 min(kt, W (1 + h/c)) / h;"
        " kt = (d^2 + L^2) / d + L h/d + sqrt((L/d)^2 + (1 + h/c)^2) sqrt(d^2 + c^2); L = h + c"
    ),
    tag="memory",
    also={"foot_mm": _foot},
)
def blade_pulled(
    *,
    force_N: Number,
    held_mm: Number,
    lifted_mm: Number,
    beside_blade_mm: Number,
    fy_MPa: Number,
    t_mm: Number,
) -> tuple[Number, Number]:
    """Thickness of a plate lifted by the end of a stiff blade that stands on it, square to an edge
    that is welded down.

    ``held_mm`` c: from the blade's end to that edge; ``lifted_mm`` h: on from its end to where it
    tilts about; ``beside_blade_mm`` W: plate each side of the blade that the edge's weld holds.
    Each side a triangle with its foot d on the edge hinges about it and a second one about the
    blade, d the worst up to W; or the plate folds in its whole width.
    """
    turned, _ = _feet(held_mm, lifted_mm, beside_blade_mm)
    straight = beside_blade_mm * (1 + lifted_mm / held_mm)
    each = np.minimum(turned.min(axis=-1), straight) / lifted_mm
    return thickness(np.abs(force_N) / (2 * each), fy_MPa), t_mm


@clause(
    "AISC 360 F11.1 (F11-1), bar bent over its thickness",
    edition="2016",
    formula="t >= sqrt(4 1.67 |M| / (b Fy))",
    tag="memory",
)
def strip_bent(
    *, moment_Nmm: Number, strip_mm: Number, fy_MPa: Number, t_mm: Number
) -> tuple[Number, Number]:
    """Thickness of a strip of plate bent between what carries it, plastic, allowable.

    ``moment_Nmm``: over its thickness, of either sign, N mm; ``strip_mm``: width that takes part,
    mm; ``fy_MPa``: yield strength, MPa; ``t_mm``: plate, mm. Demand: the thickness wanted, mm;
    capacity: the one there. How wide a strip counts is the caller's; shear of it is not covered.
    """
    return thickness(np.abs(moment_Nmm) / strip_mm, fy_MPa), t_mm
