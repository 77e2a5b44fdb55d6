"""Short spelling of a relation, and the turning of axle-local points that several subjects
share.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from ..quantities import Relation

GEOMETRY = "plane and vector geometry"


def row(
    out: str,
    ins: str,
    f: Callable[..., float],
    formula: str,
    title: str,
    unit: str = "length",
    sided: bool = False,
    source: str = GEOMETRY,
) -> Relation:
    """``out = f(*ins)`` as a relation of the graph.

    ``ins``: names parted by spaces, ``name@L`` takes that side's value; ``unit``: kind of the
    result; ``formula``, ``title`` and ``source`` are printed where the number is explained.

    >>> row("a.sum", "a.x b.x@L", lambda a, b: a + b, "a + b", "both").ins
    ('a.x', 'b.x@L')
    """
    return Relation(
        out=out,
        ins=tuple(ins.split()),
        f=f,
        formula=formula,
        source=source,
        unit=unit,
        sided=sided,
        title=title,
    )


def each(
    out: str,
    ins: str,
    f: Callable[..., float],
    formula: str,
    title: str,
    unit: str = "length",
    source: str = GEOMETRY,
) -> Relation:
    """``out = f(*ins)`` for left and right, each from its own readings; else as ``row``.

    A name in ``ins`` is of the same side, unless it says its own after an @.

    >>> each("a.twice", "a.x", lambda a: 2 * a, "2 a", "twice").sided
    True
    """
    return row(
        out=out, ins=ins, f=f, formula=formula, title=title, unit=unit, sided=True, source=source
    )


def turned_x(x: float, z: float, up: float) -> float:
    """x of an axle-local point (x, z), mm, with the pinion turned ``up`` rad: x cos + z sin.

    Turned about the axle's center, y axis, nose up positive.

    >>> round(turned_x(0.0, 10.0, math.pi / 2), 6)
    10.0
    """
    return x * math.cos(up) + z * math.sin(up)


def turned_z(x: float, z: float, up: float) -> float:
    """z of an axle-local point (x, z), mm, with the pinion turned ``up`` rad: -x sin + z cos.

    Turned about the axle's center, y axis, nose up positive.

    >>> round(turned_z(10.0, 0.0, math.pi / 2), 6)
    -10.0
    """
    return -x * math.sin(up) + z * math.cos(up)


def on_axle(out: str, base: str, what: str, sided: bool = False) -> tuple[Relation, ...]:
    """Where an axle-local point stands in truck coordinates at ride height: out.x, .y, .z, mm.

    ``base``: the reading before its axis; x and z turn with the pinion about the axle's center, y
    is as read. ``what`` opens the titles; ``sided``: once for left and once for right.
    """
    ins = f"{base}.x {base}.z axle.x_ride axle.z_ride pinion.up"
    return (
        row(
            f"{out}.x",
            ins,
            lambda x, z, x0, z0, up: x0 + turned_x(x, z, up),
            "x0 + x cos(up) + z sin(up)",
            f"{what}, from the full-bump plumb line",
            sided=sided,
        ),
        row(
            f"{out}.y",
            f"{base}.y",
            lambda y: y,
            "y as read",
            f"{what}, from the center line",
            sided=sided,
        ),
        row(
            f"{out}.z",
            ins,
            lambda x, z, x0, z0, up: z0 + turned_z(x, z, up),
            "z0 - x sin(up) + z cos(up)",
            f"{what}, above the floor",
            sided=sided,
        ),
    )
