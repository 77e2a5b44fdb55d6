"""Steel of the coil mount: back plate, gussets, seat and ring."""

from __future__ import annotations

from typing import Literal

from ..geometry.contours import circle
from ..model.assembly import Member, Port
from ..model.body import Loop, Plate
from ..model.family import Site, Sizes
from ..model.vectors import Frame, scale
from ..words import numbers as shown
from ._coil import coil_od, gusset_at, mount_half, ring_bore, ring_od
from ._coil_mount_shapes import (
    DOWN,
    GUSSET_UP,
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


def plates(sizes: Sizes, site: Site) -> tuple[Member, ...]:
    """CM1 back plate, CM2 front and CM3 rear gussets, CM4 seat, CM5 ring."""
    face = site.port("coil.plate")
    where = from_datum(
        site, (site.q("seat.upper.x"), site.q("seat.upper.y"), site.q("seat.upper.z"))
    )
    reach = (
        site.q("seat.upper.y")
        + coil_od(site) / 2
        + 3 * IN / 8
        - face.frame.origin[1]
        - sizes["back.t"]
    )
    return (
        back_plate(sizes, site, face, where),
        gusset(sizes, site, face, reach, "front"),
        gusset(sizes, site, face, reach, "rear"),
        *seat_and_ring(sizes, site, seat_loop(site, face, sizes["back.t"], reach), where),
    )


def back_plate(sizes: Sizes, site: Site, face: Port, where: str) -> Member:
    """CM1, flat on the coil-seat plate; ``where``: the seat's place in the fitter's words."""
    low, on, high = heights(site, face, sizes)
    return Member(
        "CM1",
        "coil mount back plate",
        "CM",
        Plate(
            sizes.stock("back"),
            back_loop(mount_half(site), low, on, high),
            back_slot(site, on, low),
        ),
        face.frame,
        ("front", "bottom"),
        fixed_after="set-down",
        ref=f"on the coil-seat plate, its line on the axle scribe; seat {where}",
    )


def gusset(
    sizes: Sizes, site: Site, face: Port, reach: float, end: Literal["front", "rear"]
) -> Member:
    """CM2 in front or CM3 behind the coil, square on the back plate; ``reach``: how far the seat
    stands out from it.
    """
    side, back, plate = 1.0 if end == "rear" else -1.0, sizes["back.t"], face.frame
    low, _, _ = heights(site, face, sizes)
    x = side * gusset_at(site)
    loop = gusset_loop(
        reach - NOSE, low + GUSSET_UP, level(site, face, x, back), sizes["seat.t"], -side
    )
    return Member(
        GUSSETS[end],
        f"coil mount gusset, {end}",
        "CM",
        Plate(sizes.stock("plate"), loop),
        Frame(plate.out((x, 0.0, back)), scale(plate.z, -side), scale(plate.x, side)),
        ("back", "top"),
        fixed_after="set-down",
        ref=(
            f"square on the back plate, {shown.tape(gusset_at(site))} from the coil's line"
            " to its inside face"
        ),
    )


def seat_and_ring(sizes: Sizes, site: Site, outline: Loop, where: str) -> tuple[Member, Member]:
    """CM4 and the ring CM5 under it: the two that move in height until the set-down is done."""
    may = {"z": (-MOVES, MOVES)}
    seat = Member(
        "CM4",
        "coil seat",
        "CM",
        Plate(sizes.stock("seat"), outline),
        seat_frame(site, UP),
        ("front", "inner"),
        moves=may,
        fixed_after="set-down",
        ref=f"between the gussets, level at ride height; underside {where}",
    )
    rim = circle((0.0, 0.0), ring_od(site), "rim")
    ring = Member(
        "CM5",
        "coil locating ring, upper",
        "CM",
        Plate(sizes.stock("ring"), rim, (circle((0.0, 0.0), ring_bore(site), "bore"),)),
        seat_frame(site, DOWN),
        ("rim", "rim"),
        moves=may,
        fixed_after="set-down",
        ref="in the middle of the seat's underside, inside the coil",
    )
    return seat, ring
