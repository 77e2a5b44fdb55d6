"""Welds as pieces of a rigid group."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..model.assembly import Weld
from .recorded import Pieces
from .work import Work

GROOVE = 2**0.5
"""A groove weld's ``leg`` is its effective throat as printed, a fillet's throat 0.707 of its leg
(AISC 360 table J2.1, groove of 60 deg: unverified).
"""


def pieces_of(work: Work, found: Sequence[Weld]) -> Pieces | None:
    """Welds as the pieces of a rigid group.

    Parameters
    ----------
    found : sequence of Weld
        Placed on the truck, with their sides.

    Returns
    -------
    Pieces or None
        Middles (n, 3), lengths, legs (n,), mm, and walls beside (n, 2): mm and MPa. A groove's leg
        is that of the fillet with its throat; of stitches, the leg times the share that is welded.
        None where there are fewer than two pieces.
    """
    lines = [(row, ends) for row, weld in enumerate(found) for ends in work.segments(weld)]
    if len(lines) < 2:  # noqa: PLR2004  # one piece has no middle to turn about
        return None
    legs = [
        weld.leg
        * (GROOVE if weld.kind == "groove" else 1.0)
        * (min(1.0, weld.run / weld.pitch) if weld.run and weld.pitch else 1.0)
        for weld in found
    ]
    walls = [work.wall(weld) for weld in found]
    of = [row for row, _ in lines]
    return Pieces(
        np.array([(start + end) / 2 for _, (start, end) in lines]),
        np.array([np.linalg.norm(end - start) for _, (start, end) in lines]),
        np.array(legs)[of],
        np.array(walls)[of],
        np.array([ends for _, ends in lines]),
        np.array(of),
    )
