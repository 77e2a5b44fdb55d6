"""What the crossmember, its joints, the transmission's pad and the fish plates are held against."""

from __future__ import annotations

from collections.abc import Mapping

from ..model.hold import Hold, HoldKind, NotHeld, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import bolts, plates, tubes, welds
from ..rules.yield_lines import strip_bent
from . import _holds_bolted as bolted
from . import _holds_flange as flange
from . import _steps_links as links
from . import _steps_plates as steps
from ._holding import Pulled, Reasoned, row, weld_group

WELDS, ROW, EAR = HoldKind.WELDS, HoldKind.ROW, HoldKind.EAR
FOOT_WELDS = ("cross.foot", "cross.XS3.foot", "cross.XS4.foot")
SIDE_WELDS = ("cross.foot", "cross.XS3.plate", "cross.XS4.plate")


def foot_bolts(seen: UnderLoad) -> Pulled:
    """Every rail bolt of the foot with its share of the frame joint's force."""
    got = bolted.side_bolts(seen)
    if got is None:
        return ()
    own = got.of(f"XS2.{seen.side}")
    return tuple((seen.bolt_at(bolt.id), own.force[:, n], None) for n, bolt in enumerate(own.bolts))


SIDES = (
    row(
        "cross.bolts.shear",
        "rail bolts of the crossmember, shear of the most loaded",
        "bracket",
        bolts.bolt_shear,
        Reasoned(bolted.sheared, steps.sheared),
        members=("XS1",),
        bolts=("cross.side", "cross.bottom"),
    ),
    row(
        "cross.bolts.pull",
        "rail bolts of the crossmember, pull with shear",
        "bracket",
        bolts.bolt_combined,
        Reasoned(bolted.pulled, steps.pulled),
        members=("XS1",),
        bolts=("cross.side", "cross.bottom"),
    ),
    row(
        "cross.side.pried",
        "plate bent at its bolts, with prying",
        "bracket",
        bolts.prying,
        Reasoned(bolted.pried_side, steps.pried("XS1")),
        members=("XS1",),
        bolts=("cross.side",),
    ),
    row(
        "cross.foot.pried",
        "plate bent at its bolts, with prying",
        "bracket",
        bolts.prying,
        Reasoned(bolted.pried_foot, steps.pried("XS2")),
        members=("XS2",),
        bolts=("cross.bottom",),
    ),
    row(
        "cross.side.torn",
        "side plate torn out along its row of rail bolts",
        "bracket",
        plates.block_shear_uneven,
        Reasoned(bolted.torn_out, steps.torn_out),
        members=("XS1",),
        bolts=("cross.side",),
    ),
    row(
        "cross.bearing",
        "rail wall or plate at the crossmember's bolts, bearing",
        "bracket",
        bolts.bearing,
        Reasoned(bolted.rail_wall, steps.sheared),
        members=("XS1",),
        bolts=("cross.side",),
    ),
    weld_group(
        "cross.foot.welds",
        "welds of {XS2} to side plate and gussets under its rail bolts",
        "bracket",
        FOOT_WELDS,
        members=("XS2", "XS3", "XS4"),
        bolts=("cross.bottom",),
        pulls=foot_bolts,
    ),
    weld_group(
        "cross.side.welds",
        "welds of {XS2} and its gussets to the side plate under the foot's rail bolts",
        "bracket",
        SIDE_WELDS,
        members=("XS2", "XS3", "XS4"),
        bolts=("cross.bottom",),
        pulls=foot_bolts,
    ),
)

SIDES_REST = (
    NotHeld(
        ("XS5", "XS6", "XS7", "XS8", "cross.sleeve"),
        "crush sleeve and its hole: clamped by its bolt, nothing else goes through it",
        Whose.NO_LOAD,
    ),
)

STUB = (
    row(
        "cross.stub",
        "stub of the crossmember bent, sheared and twisted",
        "bracket",
        tubes.bent_and_twisted,
        Reasoned(flange.stub, links.stub),
        members=("XT1",),
    ),
    row(
        "cross.center.joints",
        "center tube at its flange, bent, sheared and twisted by both frame joints",
        "bracket",
        tubes.bent_and_twisted,
        Reasoned(flange.center_joints, steps.center_joints),
        members=("XT4",),
    ),
    weld_group(
        "cross.seat",
        "weld of the stub in the side plate under the frame joint's force",
        "bracket",
        ("cross.seat",),
        at="arm.joint",
    ),
    row(
        "cross.flange.pull",
        "flange bolts of the crossmember pulled",
        "bracket",
        bolts.bolt_tension,
        Reasoned(flange.flange_pulled, steps.flange_pulled),
        members=("XT2",),
        bolts=("cross.flange",),
    ),
    row(
        "cross.flange.pried",
        "plate bent at its bolts, with prying",
        "bracket",
        bolts.prying,
        Reasoned(flange.flange_pried, steps.flange_pulled),
        members=("XT2", "XT4"),
        bolts=("cross.flange",),
    ),
    row(
        "cross.dowels",
        "dowels of the crossmember's flanges sheared by twist and by half of the joints' force",
        "bracket",
        bolts.bolt_shear,
        Reasoned(flange.dowels_sheared, steps.dowels),
        members=("XT2",),
        bolts=("cross.dowel",),
    ),
    *(
        hold
        for weld, code, tube, what in (
            ("cross.stub.flange", "XT2", "XT1", "stub"),
            ("cross.center.flange", "XT4", "XT3.C", "center tube"),
        )
        for hold in (
            row(
                weld,
                f"weld of the {what} to its flange under both frame joints",
                "bracket",
                welds.weld_line,
                Reasoned(flange.ring_weld(weld), steps.ring),
                members=(code,),
                welds=(weld,),
            ),
            row(
                f"{weld}.wall",
                f"steel beside the weld of the {what} to its flange under both frame joints",
                "bracket",
                welds.wall_beside,
                Reasoned(flange.ring_wall(tube), steps.ring),
                members=(code,),
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
    row(
        "cross.center",
        "cross tube bent by three times the transmission's weight, and its torque",
        "transmission",
        tubes.bent_tube,
        Reasoned(flange.center, links.center),
        members=("XT3",),
    ),
)


def pad_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The pad between its arms: half of the load at each row of bolts, or all of it in the middle;
    a strip as long as the pad without its slots.
    """
    plate, holes = seen.plate("XP1"), list(seen.holes("XP1").values())
    middle = seen.origin("XP1")[1]
    arm = min(abs(float(seen.origin(code)[1] - middle)) for code in ("XP2", "XP3"))
    x0, _, x1, _ = seen.box("XP1")
    row = [hole for hole in holes if hole.at[1] >= max(each.at[1] for each in holes) - 1]
    out = max((abs(hole.at[1]) for hole in holes), default=0.0)
    return {
        "moment_Nmm": seen.amount("transmission") / 2 * max(arm - out, 0.0),
        "strip_mm": x1 - x0 - sum(max(hole.diameter, hole.length) for hole in row),
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


def mount_pulled(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The mount's bolts on one side, when the frame drops away from the transmission as hard."""
    row = seen.bolts("transmission.mount")
    if not row:
        return None
    size = seen.bolt(row[0].id)
    return {
        "force_N": seen.amount("transmission") / min(len(row), 2),
        "fnt_MPa": bolted.TENSION * size.fu,
        "d_mm": size.diameter,
    }


PAD = (
    row(
        "pad.bent",
        "transmission pad bent between its arms",
        "transmission",
        strip_bent,
        pad_bent,
        members=("XP1",),
    ),
    row(
        "pad.bolts",
        "transmission's bolts pulled by its weight and torque",
        "transmission",
        bolts.bolt_tension,
        mount_pulled,
        bolts=("transmission.mount",),
    ),
    Hold(
        "pad.arms",
        EAR,
        "transmission's weight",
        "transmission",
        members=("XP2", "XP3"),
        at="driveline.mount",
        share=2,
        edges=("saddle",),
    ),
    weld_group(
        "pad.tube",
        "welds of the transmission pad's arms to the cross tube",
        "transmission",
        ("pad.XP2.tube", "pad.XP3.tube"),
        members=("XP2", "XP3"),
        at="driveline.mount",
    ),
    weld_group(
        "pad.top",
        "welds of {XP1} to its arms and tie under the transmission's weight",
        "transmission",
        ("pad.XP2.pad", "pad.XP3.pad", "pad.tie.pad"),
        members=("XP2", "XP3", "XP4"),
        at="driveline.mount",
    ),
)

PAD_REST = (
    NotHeld(
        ("pad.tie.left", "pad.tie.right"),
        "tie between the pad's arms: the arms are held for all of the weight without it",
        Whose.SPARE,
    ),
)

FISH = (
    NotHeld(
        ("FP1", "fish.long", "cross.side#1.fish", "cross.side#2.fish"),
        "gives back the section the rail loses at its holes, by the rail's own rule; the"
        " crossmember's bolts are held without it",
        Whose.SPARE,
    ),
)
