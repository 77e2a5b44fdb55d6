"""What the crossmember, its joints, the transmission's pad and the fish plates are held against."""

from __future__ import annotations

from ..model.hold import Hold, HoldKind, LoadSet, NotHeld, UnderLoad, Whose
from ..model.vectors import Array
from ..rules import bolts, plates, tubes, welds
from . import _holds_bolted as bolted
from . import _holds_flange as flange

WELDS, ROW, EAR = HoldKind.WELDS, HoldKind.ROW, HoldKind.EAR
FOOT_WELDS = ("cross.foot", "cross.XS3.foot", "cross.XS4.foot")
SIDE_WELDS = ("cross.foot", "cross.XS3.plate", "cross.XS4.plate")
LIMITS = frozenset({LoadSet.LIMITS})


def foot_bolts(seen: UnderLoad) -> tuple[tuple[Array, Array, Array | None], ...]:
    """Every rail bolt of the foot with its share of the frame joint's force."""
    got = bolted.side_bolts(seen)
    if got is None:
        return ()
    own = got.of(f"XS2.{seen.side}")
    return tuple((seen.bolt_at(bolt.id), own.force[:, n], None) for n, bolt in enumerate(own.bolts))


SIDES = (
    Hold(
        "cross.bolts.shear",
        ROW,
        "rail bolts of the crossmember, shear of the most loaded",
        "arm.joint",
        members=("XS1",),
        bolts=("cross.side", "cross.bottom"),
        clause=bolts.bolt_shear,
        numbers=bolted.sheared,
    ),
    Hold(
        "cross.bolts.pull",
        ROW,
        "rail bolts of the crossmember, pull with shear",
        "arm.joint",
        members=("XS1",),
        bolts=("cross.side", "cross.bottom"),
        clause=bolts.bolt_combined,
        numbers=bolted.pulled,
    ),
    Hold(
        "cross.side.pried",
        ROW,
        "plate bent at its bolts, with prying",
        "arm.joint",
        members=("XS1",),
        bolts=("cross.side",),
        clause=bolts.prying,
        numbers=bolted.pried_side,
    ),
    Hold(
        "cross.foot.pried",
        ROW,
        "plate bent at its bolts, with prying",
        "arm.joint",
        members=("XS2",),
        bolts=("cross.bottom",),
        clause=bolts.prying,
        numbers=bolted.pried_foot,
    ),
    Hold(
        "cross.side.torn",
        ROW,
        "side plate torn out along its row of rail bolts",
        "arm.joint",
        members=("XS1",),
        bolts=("cross.side",),
        clause=plates.block_shear,
        numbers=bolted.torn_out,
    ),
    Hold(
        "cross.bearing",
        ROW,
        "rail wall or plate at the crossmember's bolts, bearing",
        "arm.joint",
        members=("XS1",),
        bolts=("cross.side",),
        clause=bolts.bearing,
        numbers=bolted.rail_wall,
    ),
    Hold(
        "cross.foot.welds",
        WELDS,
        "welds of {XS2} to side plate and gussets under its rail bolts",
        "arm.joint",
        members=("XS2", "XS3", "XS4"),
        bolts=("cross.bottom",),
        welds=FOOT_WELDS,
        pulls=foot_bolts,
    ),
    Hold(
        "cross.side.welds",
        WELDS,
        "welds of {XS2} and its gussets to the side plate under the foot's rail bolts",
        "arm.joint",
        members=("XS2", "XS3", "XS4"),
        bolts=("cross.bottom",),
        welds=SIDE_WELDS,
        pulls=foot_bolts,
    ),
)

SIDES_REST = (
    NotHeld(
        ("XS5", "XS6", "XS7", "XS8", "cross.sleeve"),
        "crush sleeve and its hole: clamped by its bolt, nothing else goes through it",
        Whose.NO_LOAD,
    ),
    NotHeld(
        ("cross.foot.rail",),
        "the foot's weld to the rail, where no bottom hole takes a bolt",
        Whose.NOT_WORKED,
    ),
)

STUB = (
    Hold(
        "cross.stub",
        ROW,
        "stub of the crossmember bent and twisted",
        "arm.joint",
        members=("XT1",),
        clause=tubes.bent_and_twisted,
        numbers=flange.stub,
    ),
    Hold(
        "cross.seat",
        WELDS,
        "weld of the stub in the side plate under the frame joint's force",
        "arm.joint",
        welds=("cross.seat",),
        at="arm.joint",
    ),
    Hold(
        "cross.flange.pull",
        ROW,
        "flange bolts of the crossmember pulled",
        "arm.joint",
        members=("XT2",),
        bolts=("cross.flange",),
        clause=bolts.bolt_tension,
        numbers=flange.flange_pulled,
    ),
    Hold(
        "cross.flange.pried",
        ROW,
        "plate bent at its bolts, with prying",
        "arm.joint",
        members=("XT2", "XT4"),
        bolts=("cross.flange",),
        clause=bolts.prying,
        numbers=flange.flange_pried,
    ),
    Hold(
        "cross.dowels",
        ROW,
        "dowels of the crossmember's flanges sheared by twist and by half of the joints' force",
        "arm.joint",
        members=("XT2",),
        bolts=("cross.dowel",),
        clause=bolts.bolt_shear,
        numbers=flange.dowels_sheared,
    ),
    *(
        hold
        for weld, code, tube, what in (
            ("cross.stub.flange", "XT2", "XT1", "stub"),
            ("cross.centre.flange", "XT4", "XT3.C", "center tube"),
        )
        for hold in (
            Hold(
                weld,
                ROW,
                f"weld of the {what} to its flange under both frame joints",
                "arm.joint",
                members=(code,),
                welds=(weld,),
                clause=welds.weld_line,
                numbers=flange.ring_weld(weld),
            ),
            Hold(
                f"{weld}.wall",
                ROW,
                f"steel beside the weld of the {what} to its flange under both frame joints",
                "arm.joint",
                members=(code,),
                clause=welds.wall_beside,
                numbers=flange.ring_wall(tube),
            ),
        )
    ),
)

STUB_REST = (
    NotHeld(
        ("cross.stub.inside",),
        "weld inside the flange's bore: the one outside is held for all of it",
        Whose.SPARE,
    ),
)

TUBE = (
    Hold(
        "cross.centre",
        ROW,
        "cross tube bent by three times the transmission's weight",
        "gearbox",
        members=("XT3",),
        clause=tubes.bent_tube,
        numbers=flange.center,
        sets=LIMITS,
    ),
)

PAD = (
    Hold(
        "pad.arms",
        EAR,
        "transmission's weight",
        "gearbox",
        members=("XP2", "XP3"),
        at="driveline.mount",
        share=2,
        edges=("saddle",),
        sets=LIMITS,
    ),
    Hold(
        "pad.tube",
        WELDS,
        "welds of the transmission pad's arms to the cross tube",
        "gearbox",
        members=("XP2", "XP3"),
        welds=("pad.XP2.tube", "pad.XP3.tube"),
        at="driveline.mount",
        sets=LIMITS,
    ),
    Hold(
        "pad.top",
        WELDS,
        "welds of {XP1} to its arms and tie under the transmission's weight",
        "gearbox",
        members=("XP2", "XP3", "XP4"),
        welds=("pad.XP2.pad", "pad.XP3.pad", "pad.tie.pad"),
        at="driveline.mount",
        sets=LIMITS,
    ),
)

PAD_REST = (
    NotHeld(
        ("pad.tie.left", "pad.tie.right"),
        "tie between the pad's arms: the arms are held for all of the weight without it",
        Whose.SPARE,
    ),
    NotHeld(
        ("gearbox.mount",),
        "the transmission's weight stands on the pad; its torque at these bolts is not worked",
        Whose.NOT_WORKED,
    ),
    NotHeld(("XP1",), "pad bent between its arms", Whose.NOT_WORKED),
)

FISH = (
    NotHeld(
        ("FP1", "fish.long", "cross.side#1.fish", "cross.side#2.fish"),
        "gives back the section the rail loses at its holes, by the rail's own rule; the"
        " crossmember's bolts are held without it",
        Whose.SPARE,
    ),
)
