"""The weld washer on a slotted ear, which alone is credited with what the bolt pushes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from ...layout.arrays import Array
from .. import stock
from ..design.sizing import Check
from ..geometry import outline
from ..model.assembly import Bolt, Weld
from ..model.body import Plate
from ..model.terms import Role
from ..model.vectors import Number
from ..rules import bolts, welds
from ..truck import roles
from . import explained
from .governing import Row, governing
from .view import SideUnderLoad


def rows(bolt: Bolt, cheek: str, force: Array, says: str, seen: SideUnderLoad) -> Iterator[Check]:
    """A slot alone is never credited: the weld washer on it takes the ear's share in bearing and
    passes it on through its own fillet. Where the washers wait for readings, so does the ear.
    """
    work = seen.work
    weld = next(
        (
            weld
            for weld in work.welds_of(cheek)
            if weld.to == cheek and weld.edges == ("rim",) and weld.on in work.parts
        ),
        None,
    )
    if weld is None:
        owed = roles.owed_by(work.truck, Role.SLOT_WASHER, seen.side)
        if owed:
            work.waiting[cheek] = owed
            return
        rule = "shop rule: a slot alone is never credited"
        what = f"slotted hole at the {says} without a weld washer"
        yield Check(cheek, what, rule, 1.0, 0.0, "ratio")
        return
    yield from _carried(bolt, weld, force, says, seen)


def _carried(
    bolt: Bolt, weld: Weld, force: Array, says: str, seen: SideUnderLoad
) -> Iterator[Check]:
    """The washer in bearing and tear-out, and its ring of weld."""
    work = seen.work
    part = work.parts[weld.on]
    assert isinstance(part.member.body, Plate)
    x0, _, x1, _ = outline.bbox(part.member.body.outline)
    plate = work.plate(weld.on)
    own = explained.size(force, seen)
    force = np.linalg.norm(force, axis=1)
    numbers: dict[str, Number] = {
        "force_N": force,
        "d_mm": stock.bolt(bolt.size).d,
        "t_mm": plate.thick,
        "fu_MPa": plate.fu,
        "clear_mm": (x1 - x0 - part.holes[0].diameter) / 2,
    }
    share = f"half of the force at the {says}"
    yield from governing(
        Row(
            weld.on, f"{share}, bearing and tear-out of the washer", bolts.bearing, numbers, "", own
        ),
        seen,
    )
    ring: dict[str, Number] = {
        "force_N_mm": force / (math.pi * (x1 - x0)),
        "leg_mm": weld.leg,
        "fexx_MPa": seen.weld_metal,
    }
    says_ring = f"washer's ring of weld under {share}"
    work.welded.append((weld.on, says_ring, (weld.id,)))
    round_it = explained.ring(force, x1 - x0, seen)
    yield from governing(Row(weld.on, says_ring, welds.weld_line, ring, "", round_it), seen)
