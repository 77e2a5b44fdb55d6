"""Cross-tube stub, each side: XT1 tube from the side plate inboard, XT2 its flange, XT4 the center
section's flange.

Square flanges, four bolts at the corners and two dowels across the tube; parting planes square to
y, a shim between. The stub carries the arm bracket; bolts go in from the stub's side, heads
outboard.
"""

from __future__ import annotations

import math

from ..design.weld_size import WELD
from ..geometry.contours import circle, rectangle
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.family import Family, FloatOrArray, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec2, Vec3, add
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


def bolt_offset(bolt: FloatOrArray, od: float) -> FloatOrArray:
    """Bolt centers of a flange: this far fore, aft, up and down of the tube's axis (a socket clears
    the tube's weld).
    """
    return (od / 2 + BORE_GAP + 0.3 * IN + 0.5 * 1.5 * 1.1547 * bolt + 0.125 * IN) / math.sqrt(2.0)


def half_side(bolt: FloatOrArray, od: float) -> FloatOrArray:
    """Half the flange's side: edge distance 1.5 D past the bolts (practice; AISC 360-16 Table J3.4
    asks less).
    """
    return bolt_offset(bolt, od) + 1.5 * bolt


def flange(
    code: str,
    title: str,
    sizes: Sizes,
    site: Site,
    face: float,
    out: Vec3,
    ref: str,
) -> Member:
    """Square flange whose parting face is the plane y = ``face``; ``out`` points out of that face.

    Local y is up.
    """
    tube = site.port("cross.tube")
    od, axis = tube.size["od"], tube.frame.origin
    half = round_up(half_side(sizes["bolt.d"], od))
    loop = rectangle(-half, -half, half, half, IN / 2, ("bottom", "side_a", "top", "side_b"))
    back = face - out[1] * sizes["plate.t"]
    return Member(
        code,
        title,
        "XJ",
        Plate(sizes.stock("plate"), loop, (circle((0.0, 0.0), od + 2 * BORE_GAP, "bore"),)),
        Frame((axis[0], back, axis[2]), FORWARD if out[1] < 0 else (-1.0, 0.0, 0.0), out),
        ("bottom", "side_b"),
        ref=ref,
    )


def stub(site: Site) -> Member:
    """Stub tube, from just outside the side plate to short of the parting face; local x inboard.

    Rounded down it stays proud of the side plate by the leg at least.
    """
    tube, seat = site.port("cross.tube"), site.port("cross.seat")
    od, wall, axis = tube.size["od"], tube.size["wall"], tube.frame.origin
    proud = leg_for(site.shop.legs, wall, seat.size["t"]) + IN / 16
    inner = tube.size["parting"] + tube.size["shim"] / 2 + tube.size["recess"]
    length = round_down(seat.frame.origin[1] + proud - inner, tape_step(site.shop))
    return Member(
        "XT1",
        "cross tube, stub",
        "XJ",
        Tube(tube_key(site.shop, od, wall), length, (TubeEnd(), TubeEnd())),
        Frame((axis[0], inner + length, axis[2]), INBOARD, (0.0, 0.0, 1.0)),
        ref="through the side plate's seat, proud of it by the weld",
    )


def corners(sizes: Sizes, site: Site) -> tuple[Vec2, ...]:
    """x and z of the four bolts from the tube's axis."""
    tube = site.port("cross.tube")
    offset = round_up(bolt_offset(sizes["bolt.d"], tube.size["od"]))
    return ((offset, offset), (-offset, offset), (-offset, -offset), (offset, -offset))


def heads(sizes: Sizes, site: Site) -> Vec3:
    """The tube's axis at the stub flange's outboard face, where the heads lie."""
    tube = site.port("cross.tube")
    axis = tube.frame.origin
    return axis[0], tube.size["parting"] + tube.size["shim"] / 2 + sizes["plate.t"], axis[2]


def flange_bolts(sizes: Sizes, site: Site) -> tuple[Bolt, ...]:
    """Four flange bolts, heads outboard."""
    return tuple(
        Bolt(
            id=f"cross.flange#{number}",
            at=add(heads(sizes, site), (x, 0.0, z)),
            along=INBOARD,
            size=sizes.stock("bolt"),
            grade=class_for(site, "cross.flange", sizes.stock("bolt")),
            through=("XT2", "XT4"),
            duty="frame",
            hole="close",
        )
        for number, (x, z) in enumerate(corners(sizes, site), 1)
    )


def dowels(sizes: Sizes, site: Site) -> tuple[Bolt, ...]:
    """Two fitted dowels level with the axis, which take the shear, so that the bolts only clamp."""
    bar = small_bolt(site.shop)
    across = float(bolt_size(bar).d)
    radius = site.port("cross.tube").size["od"] / 2
    reach = round_up(radius + BORE_GAP + 0.3 * IN + across / 2)
    return tuple(
        Bolt(
            id=f"cross.dowel#{number}",
            at=add(heads(sizes, site), (x, 0.0, 0.0)),
            along=INBOARD,
            size=bar,
            grade="dowel",
            through=("XT2", "XT4"),
            duty="mount",
            hole=f"{across:.3f}",
        )
        for number, x in ((1, reach), (2, -reach))
    )


def seat_weld(site: Site) -> Weld:
    """Stub to side plate, both faces, opposite sides alternately."""
    wall, seat = site.port("cross.tube").size["wall"], site.port("cross.seat")
    return Weld(
        "cross.seat",
        "XS1",
        ("seat",),
        "XT1",
        "fillet",
        leg_for(site.shop.legs, wall, seat.size["t"]),
        care=frozenset({"bolted to the rail while welding", "opposite sides alternately"}),
        face="both",
        order=3,
    )


def flange_welds(sizes: Sizes, site: Site) -> tuple[Weld, ...]:
    """Tube to flanges from behind, and inside the stub's recess."""
    tube = site.port("cross.tube").size
    leg = full_leg(site.shop.legs, tube["wall"], sizes["plate.t"])
    in_recess = leg_within(site.shop.legs, min(leg, tube["recess"] - IN / 16))
    feet = (
        ("cross.stub.flange", "XT2", "bore", "XT1", leg, 4),
        ("cross.stub.inside", "XT1", "end1", "XT2", in_recess, 4),
        ("cross.center.flange", "XT4", "bore", "XT3.C", leg, 5),
    )
    return tuple(
        Weld(
            name,
            code,
            (edge,),
            onto,
            "fillet",
            size,
            care=frozenset({"flanges bolted together with the shim", "opposite sides alternately"}),
            face="bottom",
            order=order,
        )
        for name, code, edge, onto, size, order in feet
    )


def flanges(sizes: Sizes, site: Site) -> tuple[Member, Member]:
    """XT2 on the stub, XT4 on the center section, the shim between them."""
    tube = site.port("cross.tube").size
    plane, gap = tube["parting"], tube["shim"] / 2
    onto_stub = "on the stub, parting face inboard"
    onto_center = (
        f"on the center section, parting face outboard, {shown.inches(1 / 32)} shim between"
    )
    return (
        flange(
            code="XT2",
            title="stub flange",
            sizes=sizes,
            site=site,
            face=plane + gap,
            out=INBOARD,
            ref=onto_stub,
        ),
        flange(
            code="XT4",
            title="center flange",
            sizes=sizes,
            site=site,
            face=plane - gap,
            out=OUTBOARD,
            ref=onto_center,
        ),
    )


def up_marks(sizes: Sizes, site: Site) -> tuple[Scribe, ...]:
    """A stroke above the bore of each flange."""
    od = site.port("cross.tube").size["od"]
    low, high = od / 2 + BORE_GAP + IN / 8, round_up(half_side(sizes["bolt.d"], od)) - IN / 8
    stroke = line((0.0, low), (0.0, high))
    return tuple(Scribe(code, "center", stroke, "UP") for code in ("XT2", "XT4"))


def stub_port(sizes: Sizes, site: Site) -> Port:
    """Port ``cross.stub``: origin on the axis at the side plate's inner face, x inboard."""
    tube, inner = site.port("cross.tube"), site.port("cross.seat").size["inner"]
    axis = tube.frame.origin
    size = {
        "od": tube.size["od"],
        "wall": tube.size["wall"],
        "low": heads(sizes, site)[1],
        "high": inner,
        "slide": tube.size["slide"],
    }
    return Port(Frame((axis[0], inner, axis[2]), INBOARD, (0.0, 0.0, 1.0)), size, "XT1")


def build(sizes: Sizes, site: Site) -> Assembly:
    """Stub, both flanges, their bolts and welds, and port ``cross.stub``."""
    return held(
        Assembly(
            members=(stub(site), *flanges(sizes, site)),
            bolts=(*flange_bolts(sizes, site), *dowels(sizes, site)),
            welds=(seat_weld(site), *flange_welds(sizes, site)),
            scribes=up_marks(sizes, site),
            ports={"cross.stub": stub_port(sizes, site)},
        ),
        STUB,
        STUB_REST,
    )


def socket_fits(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Radius a socket needs at a flange bolt, and what the tube and its weld leave (mm)."""
    tube = site.port("cross.tube")
    return (
        socket_radius(grid["bolt.d"]),
        bolt_offset(grid["bolt.d"], tube.size["od"]) * math.sqrt(2.0)
        - tube.size["od"] / 2
        - 0.25 * IN,
    )


def recess_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Recess of the tube's end with bearing for it, and the flange's thickness (mm)."""
    return site.port("cross.tube").size["recess"] + 0.125 * IN, grid["plate.t"]


def mass(grid: Grid, site: Site) -> Number:
    """Both flanges, kg (the tube is counted by its own family)."""
    tube = site.port("cross.tube")
    od = tube.size["od"]
    return (
        2
        * ((2 * half_side(grid["bolt.d"], od)) ** 2 - math.pi * od**2 / 4)
        * grid["plate.t"]
        * STEEL
    )


FAMILY = Family(
    code="XJ",
    shares="XT",
    title="cross-tube stub and flanges",
    where="each side",
    needs=("cross.tube", "cross.seat"),
    gives=("cross.stub",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.375 * IN)),
        Variable("bolt", "bolt", frame_bolts),
        WELD,
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
    sheet="crossmember side",
    roles={Role.DOWELED: ("XT2", "XT4")},
)
