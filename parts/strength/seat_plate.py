"""A plate in finite elements under its mount, as a hold: bent in the limits, ranging every day."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ...layout.arrays import Array
from ..design.sizing import Check
from ..model.assembly import Weld
from ..model.hold import Hold
from ..model.vectors import Number
from ..placed.fit import weld_line
from ..rules import plates
from .elements.coil_seat_plate import seat
from .governing import Row, governing
from .recorded import Meshed
from .view import SideUnderLoad

PLACE = tuple(f"seat.upper.{axis}" for axis in "xyz")
CUT = ("frame.notch.x_first", "frame.notch.x_last")


def meshed(hold: Hold, seen: SideUnderLoad) -> Meshed | None:
    """The coil-seat plate solved for one newton on its mount; None where plate, mount, or the
    readings it needs are not there.

    Raises
    ------
    Refused
        It cannot be worked in elements.
    """
    work = seen.work
    plate, back = (work.members.get(code) for code in hold.members)
    ends = () if work.truck.words.get("frame.cut") == "no" else CUT
    if plate is None or back is None or not seen.has(*PLACE, *ends):
        return None
    at = seen.point(hold.at)
    x = float(at[0])

    def line(weld: Weld, edge: str) -> Array:
        member = work.members[weld.on]
        return weld_line(member, edge, work.plate(weld.on).thick, "bottom", weld.stop)

    found = seat(
        plate=plate,
        back=back,
        thick=(work.plate(plate.code).thick, work.plate(back.code).thick),
        welds=[weld for weld in work.welds_of(plate.code, back.code) if weld.on in work.parts],
        line=line,
        at=at,
        cut=(x - seen.q(ends[1]), x - seen.q(ends[0])) if ends else None,
    )
    most = float(np.max(seen.amount(hold.load)))
    return Meshed(found, most, plate.code, hold.load, seen.under)


def rows(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    """The plate bent under its mount, without the help of the rail's flanges and the mount's own
    stiffness: largest stress off its welds against its yield, in the governing case. Recorded for
    the everyday ranges.
    """
    got = meshed(hold, seen)
    if got is None:
        return
    seen.work.meshed[got.part] = got
    numbers: dict[str, Number] = {
        "stress_MPa": got.seat.per_newton * seen.amount(hold.load),
        "fy_MPa": seen.work.plate(got.part).fy,
    }
    yield from governing(Row(got.part, hold.says, plates.bent, numbers), seen)
