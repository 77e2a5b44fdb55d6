"""Weld washers: round plates that turn a slotted hole into a round one, on the outer faces of both
ears, bolted through while welded.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..design.weld_size import WELD
from ..geometry.contours import circle
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Number
from ..rules.bolts import bearing
from ..rules.welds import leg_for
from ._conflicts import ARM_REACH, FRAME_JOINTS
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_links import WASHERS_REST
from ._lengths import IN
from ._room_rules import room_rule

PAIRS = (
    ("arm.joint", "bracket.cheek", "arms.joint_bolt", ("WW1", "WW2"), 6),
    ("upper.mount", "ap.cheek", "axle.upper_bolt", ("WW3", "WW4"), 9),
)
"""Pivot, ports, bolt, codes, order of welding."""
PIVOT = {"arm.joint": "frame joint", "upper.mount": "upper arm at the axle"}


def outside(across: float, slot: float) -> float:
    """Diameter of a washer, mm: 2.5 bolt diameters, or the slot with a leg and 1/16 in each side
    (practice), to the next 1/16 in.

    ``across``: the bolt, mm; ``slot``: how far it may move from end to end, mm.
    """
    size = max(2.5 * across, across + slot + IN / 32 + 2 * (3 * IN / 16 + IN / 16))
    return -(-size // (IN / 16)) * (IN / 16)


def washer(code: str, sizes: Sizes, port: Port, name: str, at: str) -> Member:
    """One washer on the outer face of an ear, in the middle of its slot."""
    body = Plate(
        sizes.stock("plate"), circle((0.0, 0.0), outside(port.size["d"], port.size["slot"]), "rim")
    )
    return Member(
        code,
        f"weld washer, {PIVOT[at]}, {name}board",
        "WW",
        body,
        port.frame,
        ("rim", "rim"),
        moves={"slot": (-port.size["slot"] / 2, port.size["slot"] / 2)},
        fixed_after="set-down",
        ref=(
            "on the outer face of the ear; where in the slot it is welded is a reading after"
            " set-down"
        ),
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Two washers for each slotted pivot; none where the hole is round."""
    members, bolts, welds = [], [], []
    for pivot, base, word, codes, order in PAIRS:
        for code, name in zip(codes, ("out", "in"), strict=True):
            port = site.port(f"{base}.{name}")
            if not port.size["slot"]:
                continue
            members.append(washer(code, sizes, port, name, pivot))
            bolts.append(
                Bolt(
                    id=f"{pivot}#washer.{name}",
                    at=port.frame.origin,
                    along=port.frame.z,
                    size=site.need(word),
                    grade="",
                    through=(code,),
                    duty="pivot",
                    hole="close",
                )
            )
            welds.append(
                Weld(
                    f"washer.{pivot}.{name}",
                    code,
                    ("rim",),
                    port.member,
                    "fillet",
                    leg_for(site.shop.legs, sizes["plate.t"], port.size["t"]),
                    care=frozenset({"bushing out", "dummy sleeve in", "bolt through"}),
                    order=order,
                )
            )
    return held(Assembly(tuple(members), tuple(bolts), tuple(welds)), (), WASHERS_REST)


def mass(grid: Grid, site: Site) -> Number:
    """Four washers, kg."""
    return (
        4 * 0.785 * (2.5 * bolt_size(site.need("arms.joint_bolt")).d) ** 2 * grid["plate.t"] * STEEL
    )


def land(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Washer's radius and a leg against the ear's end radius, at the tighter of the two pivots."""
    worst = max(
        outside(port.size["d"], port.size["slot"]) / 2 - port.size["radius"]
        for port in (site.port("bracket.cheek.out"), site.port("ap.cheek.out"))
    )
    return 3 * IN / 16 + worst + 0 * grid["plate.t"], IN / 4 + 0 * grid["plate.t"]


def carried(grid: Grid, site: Site) -> Mapping[str, Number]:
    """Half of the largest force at the tighter slotted pivot on one washer, in bearing and
    tear-out; nothing where both holes are round.
    """
    worst = {"force_N": 0.0, "d_mm": 1.0, "clear_mm": 1.0}
    for _, base, word, _, _ in PAIRS:
        port = site.port(f"{base}.out")
        if port.size["slot"]:
            size = bolt_size(site.need(word))
            half = (
                float(
                    np.linalg.norm(
                        site.force("joint" if base == "bracket.cheek" else "upper_vec"), axis=1
                    ).max()
                )
                / 2
            )
            clear = (outside(size.d, port.size["slot"]) - size.hole_close) / 2
            if half / min(2.4 * size.d, 1.2 * clear) > worst["force_N"] / min(
                2.4 * worst["d_mm"], 1.2 * worst["clear_mm"]
            ):
                worst |= {"force_N": half, "d_mm": size.d, "clear_mm": clear}
    return {
        "force_N": worst["force_N"],
        "d_mm": worst["d_mm"],
        "t_mm": grid["plate.t"],
        "fu_MPa": grid["plate.fu"],
        "clear_mm": worst["clear_mm"],
    }


FAMILY = Family(
    code="WW",
    title="weld washers",
    where="each side",
    needs=("bracket.cheek.out", "bracket.cheek.in", "ap.cheek.out", "ap.cheek.in"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.1875 * IN)), WELD),
    rules=(
        room_rule("washer.land", land, "washer and its weld lie on the ear"),
        Rule(
            "washer.bearing",
            bearing,
            carried,
            "washer carries half of the largest force at its pivot, in bearing and tear-out",
        ),
    ),
    mass=mass,
    build=build,
    sheet="arm bracket",
    about=ARM_REACH + FRAME_JOINTS,
    roles={Role.AFTER_SET_DOWN: ("WW",), Role.SLOT_WASHER: ("WW",)},
)
