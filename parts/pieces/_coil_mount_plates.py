"""Steel of the coil mount: back plate, gussets, seat and ring."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from ..geometry.outline import circle
from ..model.assembly import Member, Port
from ..model.body import Loop, Plate
from ..model.family import Site
from ..model.vectors import Frame, scale
from ..words import numbers as shown
from ._coil import coil_od, gusset_at, mount_half, ring_bore, ring_od
from ._coil_mount_shapes import (
    DOWN,
    MOVES,
    NOSE,
    UP,
    back_loop,
    back_slot,
    gusset_loop,
    heights,
    level,
    seat_frame,
    seat_loop,
)
from ._lengths import IN
from ._rail_places import from_datum

GUSSETS: dict[Literal["front", "rear"], str] = {"front": "CM2", "rear": "CM3"}
"""Codes of the gussets by the end of the seat they stand at."""


def plates(d: Mapping[str, Any], s: Site) -> tuple[Member, ...]:
    """CM1 back plate, CM2 front and CM3 rear gussets, CM4 seat, CM5 ring."""
    face = s.port("coil.plate")
    where = from_datum(s, (s.q("seat.upper.x"), s.q("seat.upper.y"), s.q("seat.upper.z")))
    reach = s.q("seat.upper.y") + coil_od(s) / 2 + 3 * IN / 8 - face.frame.origin[1] - d["back.t"]
    return (
        back_plate(d, s, face, where),
        gusset(d, s, face, reach, "front"),
        gusset(d, s, face, reach, "rear"),
        *seat_and_ring(d, s, seat_loop(s, face, d["back.t"], reach), where),
    )


def back_plate(d: Mapping[str, Any], s: Site, face: Port, where: str) -> Member:
    """CM1, flat on the coil-seat plate; ``where``: the seat's place in the fitter's words."""
    low, on, high = heights(s, face, d)
    return Member(
        "CM1",
        "coil mount back plate",
        "CM",
        Plate(d["back"], back_loop(mount_half(s), low, on, high), back_slot(s, on, low)),
        face.frame,
        ("front", "bottom"),
        fixed_after="set-down",
        ref=f"on the coil-seat plate, its line on the axle scribe; seat {where}",
    )


def gusset(
    d: Mapping[str, Any], s: Site, face: Port, reach: float, end: Literal["front", "rear"]
) -> Member:
    """CM2 in front or CM3 behind the coil, square on the back plate; ``reach``: how far the seat
    stands out from it.
    """
    side, back, plate = 1.0 if end == "rear" else -1.0, d["back.t"], face.frame
    low, _, _ = heights(s, face, d)
    x = side * gusset_at(s)
    loop = gusset_loop(reach - NOSE, low + IN / 4, level(s, face, x, back), d["seat.t"], -side)
    return Member(
        GUSSETS[end],
        f"coil mount gusset, {end}",
        "CM",
        Plate(d["plate"], loop),
        Frame(plate.out((x, 0.0, back)), scale(plate.z, -side), scale(plate.x, side)),
        ("back", "top"),
        fixed_after="set-down",
        ref=(
            f"square on the back plate, {shown.finely(gusset_at(s))} from the coil's line"
            " to its inside face"
        ),
    )


def seat_and_ring(
    d: Mapping[str, Any], s: Site, outline: Loop, where: str
) -> tuple[Member, Member]:
    """CM4 and the ring CM5 under it: the two that move in height until the set-down is done."""
    may = {"z": (-MOVES, MOVES)}
    seat = Member(
        "CM4",
        "coil seat",
        "CM",
        Plate(d["seat"], outline),
        seat_frame(s, UP),
        ("front", "inner"),
        moves=may,
        fixed_after="set-down",
        ref=f"between the gussets, level at ride height; underside {where}",
    )
    rim = circle((0.0, 0.0), ring_od(s), "rim")
    ring = Member(
        "CM5",
        "coil locating ring, upper",
        "CM",
        Plate(d["ring"], rim, (circle((0.0, 0.0), ring_bore(s), "bore"),)),
        seat_frame(s, DOWN),
        ("rim", "rim"),
        moves=may,
        fixed_after="set-down",
        ref="in the middle of the seat's underside, inside the coil",
    )
    return seat, ring
