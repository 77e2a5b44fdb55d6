"""Cross-tube stub, each side: XT1 tube from the side plate inboard, XT2 its flange, XT4 the center
section's flange.

Square flanges, four bolts at the corners and two dowels across the tube; parting planes square to
y, a shim between. The stub carries the arm bracket; bolts go in from the stub's side, heads
outboard.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from ..geometry.outline import circle, rectangle
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec2, Vec3
from ..rules.welds import full_leg, leg_for, leg_within
from ..stock.classes import class_for
from ..words import numbers as shown
from ._from_stock import STEEL, bolt_size, frame_bolts, plate_keys_over, small_bolt, tube_key
from ._holding import held
from ._holds_cross import STUB, STUB_REST
from ._lengths import IN, round_down, round_up, tape_step
from ._outlines import line, socket_radius
from ._room_rules import room_rule

BORE_GAP = IN / 64  # radial, tube in its flange
INBOARD: Vec3 = (0.0, -1.0, 0.0)
OUTBOARD: Vec3 = (0.0, 1.0, 0.0)
FORWARD: Vec3 = (1.0, 0.0, 0.0)


def bolt_offset(sizes: Mapping[str, Any], od: Any, wall: Any) -> Any:
    """Bolt centers of a flange: this far fore, aft, up and down of the tube's axis (a socket clears
    the tube's weld).
    """
    return (
        od / 2 + BORE_GAP + 0.3 * IN + 0.5 * 1.5 * 1.1547 * sizes["bolt.d"] + 0.125 * IN
    ) / math.sqrt(2.0)


def half_side(sizes: Mapping[str, Any], od: Any, wall: Any) -> Any:
    """Half the flange's side: edge distance 1.5 D past the bolts (practice; AISC 360-16 Table J3.4
    asks less).
    """
    return bolt_offset(sizes, od, wall) + 1.5 * sizes["bolt.d"]


def flange(
    code: str, title: str, sizes: Mapping[str, Any], site: Site, face: float, out: Vec3, ref: str
) -> Member:
    """Square flange whose parting face is the plane y = ``face``; ``out`` points out of that face.

    Local y is up.
    """
    tube = site.port("cross.tube")
    od, wall = tube.size["od"], tube.size["wall"]
    h = round_up(half_side(sizes, od, wall))
    loop = rectangle(-h, -h, h, h, IN / 2, ("bottom", "side_a", "top", "side_b"))
    body = Plate(sizes["plate"], loop, (circle((0.0, 0.0), od + 2 * BORE_GAP, "bore"),))
    t, o = sizes["plate.t"], tube.frame.origin
    x = FORWARD if out[1] < 0 else (-1.0, 0.0, 0.0)
    return Member(
        code,
        title,
        "XJ",
        body,
        Frame((o[0], face - out[1] * t, o[2]), x, out),
        ("bottom", "side_b"),
        ref=ref,
    )


def stub(sizes: Mapping[str, Any], site: Site) -> Member:
    """Stub tube, from just outside the side plate to short of the parting face; local x inboard."""
    tube, seat = site.port("cross.tube"), site.port("cross.seat")
    od, wall = tube.size["od"], tube.size["wall"]
    proud = leg_for(site.shop.legs, wall, seat.size["t"]) + IN / 16
    # rounded down it stays proud by the leg at least
    y1 = tube.size["parting"] + tube.size["shim"] / 2 + tube.size["recess"]
    length = round_down(seat.frame.origin[1] + proud - y1, tape_step(site.shop))
    o = tube.frame.origin
    return Member(
        "XT1",
        "cross tube, stub",
        "XJ",
        Tube(tube_key(site.shop, od, wall), length, (TubeEnd(), TubeEnd())),
        Frame((o[0], y1 + length, o[2]), INBOARD, (0.0, 0.0, 1.0)),
        ref="through the side plate's seat, proud of it by the weld",
    )


def corners(sizes: Mapping[str, Any], site: Site) -> tuple[Vec2, ...]:
    """x and z of the four bolts from the tube's axis."""
    tube = site.port("cross.tube")
    c = round_up(bolt_offset(sizes, tube.size["od"], tube.size["wall"]))
    return ((c, c), (-c, c), (-c, -c), (c, -c))


def bolts(sizes: Mapping[str, Any], site: Site) -> tuple[Bolt, ...]:
    """Four flange bolts, heads outboard, and two fitted dowels level with the axis, which take the
    shear, so that the bolts only clamp."""
    tube = site.port("cross.tube")
    o = tube.frame.origin
    y = tube.size["parting"] + tube.size["shim"] / 2 + sizes["plate.t"]
    made = [
        Bolt(
            f"cross.flange#{i + 1}",
            (o[0] + x, y, o[2] + z),
            INBOARD,
            sizes["bolt"],
            class_for(site, "cross.flange", sizes["bolt"]),
            ("XT2", "XT4"),
            "frame",
            "close",
        )
        for i, (x, z) in enumerate(corners(sizes, site))
    ]
    dowel = small_bolt(site.shop)
    across = float(bolt_size(dowel).d)
    reach = round_up(tube.size["od"] / 2 + BORE_GAP + 0.3 * IN + across / 2)
    for i, x in enumerate((reach, -reach)):
        made.append(
            Bolt(
                f"cross.dowel#{i + 1}",
                (o[0] + x, y, o[2]),
                INBOARD,
                dowel,
                "dowel",
                ("XT2", "XT4"),
                "mount",
                f"{across:.3f}",
            )
        )
    return tuple(made)


def welds(sizes: Mapping[str, Any], site: Site) -> tuple[Weld, ...]:
    """Tube to side plate both faces, tube to flanges from behind and inside the recess, opposite
    sides alternately.
    """
    tube, seat = site.port("cross.tube"), site.port("cross.seat")
    wall = tube.size["wall"]
    leg, side_leg = (
        full_leg(site.shop.legs, wall, sizes["plate.t"]),
        leg_for(site.shop.legs, wall, seat.size["t"]),
    )
    care = frozenset({"flanges bolted together with the shim", "opposite sides alternately"})
    return (
        Weld(
            "cross.seat",
            "XS1",
            ("seat",),
            "XT1",
            "fillet",
            side_leg,
            care=frozenset({"bolted to the rail while welding", "opposite sides alternately"}),
            face="both",
            order=3,
        ),
        Weld(
            "cross.stub.flange",
            "XT2",
            ("bore",),
            "XT1",
            "fillet",
            leg,
            care=care,
            face="bottom",
            order=4,
        ),
        Weld(
            "cross.stub.inside",
            "XT1",
            ("end1",),
            "XT2",
            "fillet",
            leg_within(site.shop.legs, min(leg, tube.size["recess"] - IN / 16)),
            care=care,
            order=4,
        ),
        Weld(
            "cross.centre.flange",
            "XT4",
            ("bore",),
            "XT3.C",
            "fillet",
            leg,
            care=care,
            face="bottom",
            order=5,
        ),
    )


def build(sizes: Mapping[str, Any], site: Site) -> Assembly:
    """Stub, both flanges, their bolts and welds; port ``cross.stub``: origin on the axis at the
    side plate's inner face, x inboard.
    """
    tube, seat = site.port("cross.tube"), site.port("cross.seat")
    p, gap = tube.size["parting"], tube.size["shim"] / 2
    members = (
        stub(sizes, site),
        flange(
            "XT2", "stub flange", sizes, site, p + gap, INBOARD, "on the stub, parting face inboard"
        ),
        flange(
            "XT4",
            "center flange",
            sizes,
            site,
            p - gap,
            OUTBOARD,
            f"on the center section, parting face outboard, {shown.inches(1 / 32)} shim between",
        ),
    )
    h = round_up(half_side(sizes, tube.size["od"], tube.size["wall"]))
    tube_r = tube.size["od"] / 2 + BORE_GAP
    centre = ((0.0, tube_r + IN / 8), (0.0, h - IN / 8))
    marks = tuple(Scribe(code, "centre", line(*centre), "UP") for code in ("XT2", "XT4"))
    o = tube.frame.origin
    size = {
        "od": tube.size["od"],
        "wall": tube.size["wall"],
        "low": p + gap + sizes["plate.t"],
        "high": seat.size["inner"],
        "slide": tube.size["slide"],
    }
    port = Port(Frame((o[0], seat.size["inner"], o[2]), INBOARD, (0.0, 0.0, 1.0)), size, "XT1")
    return held(
        Assembly(
            members=members,
            bolts=bolts(sizes, site),
            welds=welds(sizes, site),
            scribes=marks,
            ports={"cross.stub": port},
        ),
        STUB,
        STUB_REST,
    )


def socket_fits(grid: Grid, site: Site) -> tuple[Any, Any]:
    """Radius a socket needs at a flange bolt, and what the tube and its weld leave (mm)."""
    tube = site.port("cross.tube")
    return (
        socket_radius(grid["bolt.d"]),
        bolt_offset(grid, tube.size["od"], tube.size["wall"]) * math.sqrt(2.0)
        - tube.size["od"] / 2
        - 0.25 * IN,
    )


def recess_room(grid: Grid, site: Site) -> tuple[Any, Any]:
    """Recess of the tube's end with bearing for it, and the flange's thickness (mm)."""
    return site.port("cross.tube").size["recess"] + 0.125 * IN, grid["plate.t"]


def mass(grid: Grid, site: Site) -> Any:
    """Both flanges, kg (the tube is counted by its own family)."""
    tube = site.port("cross.tube")
    od = tube.size["od"]
    return (
        2
        * ((2 * half_side(grid, od, tube.size["wall"])) ** 2 - math.pi * od**2 / 4)
        * grid["plate.t"]
        * STEEL
    )


FAMILY = Family(
    code="XJ",
    title="cross-tube stub and flanges",
    where="each side",
    needs=("cross.tube", "cross.seat"),
    gives=("cross.stub",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.375 * IN)),
        Variable("bolt", "bolt", frame_bolts),
    ),
    rules=(
        room_rule(
            "cross.flange.socket",
            socket_fits,
            "a socket turns on the flange bolts beside the tube's weld",
        ),
        room_rule(
            "cross.flange.recess",
            recess_room,
            "inside weld stays behind the parting face and on the flange",
        ),
    ),
    mass=mass,
    build=build,
    place="crossmember",
)
