"""Tightening torque of a bolt from its mark, its thread and the state the shop says its threads are
in: one function for every sheet and table.
"""

from __future__ import annotations

from ...layout.reader import metric
from ..model.assembly import Bolt
from ..rules.bolts import FRICTION, tightening
from .classes import class_of
from .on_hand import Shop
from .tables import bolt as bolt_size

LBF_FT = 1355.818
"""N mm in a foot-pound."""


def newton_mm(size: str, grade: str, friction: str) -> float:
    """Torque for three quarters of the mark's proof load at that size: T = K d F, N mm.

    Parameters
    ----------
    friction : str
        State of the threads, a key of the table of nut factors.

    Raises
    ------
    KeyError, ValueError
        A mark of unknown strength, or one of the other system.
    """
    s = bolt_size(size)
    return float(
        tightening(
            d_mm=s.d,
            area_mm2=s.area,
            proof_MPa=class_of(grade, size).proof,
            k=FRICTION[friction],
        )
    )


def torque(b: Bolt, shop: Shop) -> str:
    """Torque in the reader's units for the list of bolts; a dash where the state of the threads is
    not known, since a dry figure on an oiled thread breaks the bolt.
    """
    if b.grade == "dowel":
        return "pressed or driven in"
    if b.grade == STUD:
        return "as its maker says"
    if not shop.friction:
        return "-"
    t = newton_mm(b.size, b.grade, shop.friction)
    return f"{f'{t / 1000:.0f} N m' if metric() else f'{t / LBF_FT:.0f} lb ft'}, {shop.friction}"


STUD = "stud of the stop"
"""A stud that comes with what it holds: its strength is its maker's."""
