"""Transmission pad on the cross tube's center section: XP1 pad, XP2 and XP3 arms standing on the
tube, XP4 tie between them.

The pad takes the measured mount face: its top stands the isolator's height below it, its slots lie
along the truck. Arm axes: x from the tube toward the mount, y up, origin on the tube's axis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..design.weld_size import WELD
from ..geometry.contours import Corner, fillet, rectangle, rounded
from ..geometry.hull import SLIVER
from ..geometry.outline import check
from ..geometry.shape import SMOOTH
from ..model.assembly import Assembly, Bolt, Member, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.vectors import Frame, Number, Vec2, Vec3
from ..rules.bolts import spacing
from ..rules.welds import Legs, leg_for, leg_within
from ..stock.classes import class_for
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_cross import PAD, PAD_REST
from ._lengths import IN, round_up
from ._outlines import line, socket_radius
from ._room_rules import NO_LIMIT, room_rule
from ._saddles import HORN, on_round, saddle, saddle_end

END_DEPTH = 1.25 * IN  # of an arm at its far end
SPAN = math.radians(130.0)  # of the tube under each arm
EDGE = 1.5  # pad edge past a slot's end, in bolt diameters; practice


class PadPlace(NamedTuple):
    """Where the pad stands, mm: mount center ``x``, ``y``, the tube's axis and ``radius``.

    ``way``: -1 if the mount is behind the tube, +1 ahead; ``near``, ``far``: the pad's ends from
    the axis; ``high``: underside of the pad above the tube's axis; ``inner``: an arm's inner face
    from the mount center in y; ``half``: half the pad's width.
    """

    way: float
    x: float
    y: float
    axis: Vec3
    radius: float
    high: float
    near: float
    far: float
    inner: float
    half: float
    thick: float
    leg: float


def stand_of(sizes: Sizes, site: Site) -> PadPlace:
    """Worked out once, from the readings of the mount and the tube's port."""
    tube, thick = site.port("cross.tube"), sizes["plate.t"]
    axis, x = tube.frame.origin, site.q("driveline.mount.x")
    along, across = site.q("driveline.mount.bolt_dx"), site.q("driveline.mount.bolt_dy")
    bolt, leg = bolt_size(site.need("driveline.mount.bolt")), leg_for(site.shop.legs, thick)
    long = round_up(along / 2 + site.q("driveline.mount.slot") / 2 + EDGE * bolt.d)
    inner = across / 2 + socket_radius(bolt.d) + leg + IN / 16
    away = abs(x - axis[0])
    return PadPlace(
        way=-1.0 if x < axis[0] else 1.0,
        x=x,
        y=site.q("driveline.mount.y"),
        axis=axis,
        radius=tube.size["od"] / 2,
        high=site.q("driveline.mount.z") - site.q("driveline.mount.isolator") - thick - axis[2],
        near=away - long,
        far=away + long,
        inner=inner,
        half=round_up(inner + thick + leg + IN / 8),
        thick=thick,
        leg=leg,
    )


def saddle_ends(stand: PadPlace, above: Vec2, below: Vec2) -> tuple[float, float]:
    """Where an arm's saddle begins and ends on the tube, rad; ``above``, ``below``: what its sides
    run to. Refused where no arm can stand on the tube.
    """
    towards = math.atan2(stand.high - END_DEPTH / 2, max(stand.near, stand.radius))
    flat = max(HORN, stand.thick)
    start = saddle_end(stand.radius, flat, towards, SPAN / 2, above)
    end = saddle_end(stand.radius, flat, towards, -SPAN / 2, below)
    if start is None or end is None:
        raise Refused(
            f"the transmission pad, {reader.length(abs(stand.high))}"
            f" {'above' if stand.high > 0 else 'below'} the cross tube's middle and"
            f" {reader.length(stand.near)} from it, has no arm that can stand on the tube: read"
            " driveline.mount again, or set arms.joint_height so that the tube comes nearer its"
            " height"
        )
    return start, end


def corner_before(stand: PadPlace, above: Vec2, horn: Vec2, inner: float) -> Loop:
    """The corner between the pad's edge and the arm's horn: rounded with radius ``inner`` where the
    pad lies lower than the horn, since it is an inner one there.
    """
    end = (stand.far, stand.high)
    if horn[1] > stand.high + 1e-9:
        turn = 4 * abs(math.atan(fillet(end, above, horn, inner)[3]))
        if turn > SMOOTH:
            radius = max(inner, SLIVER / max(turn, 1e-6))
            _, begins, ends, bulge = fillet(end, above, horn, radius)
            return (Edge("high~", begins, bulge), Edge("high", ends))
    return (Edge("high", above),)


def arm_outline(stand: PadPlace, inner: float) -> Loop:
    """Saddle on the tube, tapering to the pad's far end; edge "top" carries the pad."""
    above, below = (stand.near, stand.high), (stand.far, stand.high - END_DEPTH)
    start, end = saddle_ends(stand, above, below)
    radius, outer = stand.radius, stand.radius + max(HORN, stand.thick)
    horn = on_round((0.0, 0.0), outer, outer, start)
    return check(
        (
            *saddle((0.0, 0.0), radius, radius, start, end - start),
            Edge("horn_low", on_round((0.0, 0.0), radius, radius, end)),
            Edge("low", on_round((0.0, 0.0), outer, outer, end)),
            Edge("far", below),
            Edge("top", (stand.far, stand.high)),
            *corner_before(stand, above, horn, inner),
            Edge("horn_high", horn),
        )
    )


def pad(sizes: Sizes, stand: PadPlace) -> Member:
    """Pad XP1: x forward, y left, z up."""
    reach = (stand.far - stand.near) / 2
    loop = rectangle(
        -reach, -stand.half, reach, stand.half, IN / 2, ("right", "front", "left", "rear")
    )
    origin = (stand.x, stand.y, stand.axis[2] + stand.high)
    return Member(
        "XP1",
        "transmission pad",
        "XP",
        Plate(sizes.stock("plate"), loop),
        Frame(origin, (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        ("rear", "right"),
        ref="level, isolator height below the transmission's mount face",
    )


def arms(sizes: Sizes, stand: PadPlace, inner: float) -> tuple[Member, ...]:
    """Two arms alike, XP2 left and XP3 right; ``inner``: the shop's radius of an inner corner."""
    body = Plate(sizes.stock("plate"), arm_outline(stand, inner))
    ahead, behind = (stand.thick, 0.0) if stand.way > 0 else (0.0, stand.thick)
    faces = (
        ("XP2", stand.y + stand.inner + ahead),
        ("XP3", stand.y - stand.inner - behind),
    )
    return tuple(
        Member(
            code,
            "transmission pad arm",
            "XP",
            body,
            Frame(
                (stand.axis[0], face, stand.axis[2]),
                (stand.way, 0.0, 0.0),
                (0.0, -stand.way, 0.0),
            ),
            ("top", "far"),
            ref="standing on the cross tube, under the pad",
        )
        for code, face in faces
    )


def tie(sizes: Sizes, stand: PadPlace) -> Member:
    """Tie XP4 between the arms: x along the tube, y up."""
    loop = rounded(
        [
            Corner("low", -stand.inner, -END_DEPTH),
            Corner("side_a", stand.inner, -END_DEPTH),
            Corner("top", stand.inner, 0.0),
            Corner("side_b", -stand.inner, 0.0),
        ]
    )
    edge = stand.axis[0] + stand.way * stand.near
    return Member(
        "XP4",
        "transmission pad tie",
        "XP",
        Plate(sizes.stock("plate"), loop),
        Frame(
            (edge, stand.y, stand.axis[2] + stand.high),
            (0.0, stand.way, 0.0),
            (stand.way, 0.0, 0.0),
        ),
        ("top", "side_b"),
        ref="between the arms, at the pad's edge toward the tube",
    )


def bolts(site: Site, stand: PadPlace) -> tuple[Bolt, ...]:
    """Mount bolts down through the pad, slotted along the truck."""
    along, across = site.q("driveline.mount.bolt_dx"), site.q("driveline.mount.bolt_dy")
    slot, top = site.q("driveline.mount.slot"), stand.axis[2] + stand.high + stand.thick
    places = [
        (x, y)
        for x in ((-along / 2, along / 2) if along else (0.0,))
        for y in ((-across / 2, across / 2) if across else (0.0,))
    ]
    return tuple(
        Bolt(
            id=f"transmission.mount#{number}",
            at=(stand.x + x, stand.y + y, top),
            along=(0.0, 0.0, -1.0),
            size=site.need("driveline.mount.bolt"),
            grade=class_for(site, "transmission.mount", site.need("driveline.mount.bolt")),
            through=("XP1",),
            duty="mount",
            hole="normal",
            slots={"XP1": (slot, (1.0, 0.0, 0.0))} if slot else {},
            length=site.q("driveline.mount.foot") if site.has("driveline.mount.foot") else 0.0,
        )
        for number, (x, y) in enumerate(places, 1)
    )


def arm_welds(stand: PadPlace, code: str, on_tube: float) -> tuple[Weld, Weld]:
    """One arm to the tube, leg ``on_tube`` mm, and to the pad: both faces."""
    care = frozenset({"on the bench, flanges bolted to a stiff bar"})
    return (
        Weld(
            f"pad.{code}.tube",
            code,
            ("saddle",),
            "XT3.C",
            "fillet",
            on_tube,
            care=care,
            face="both",
            order=2,
        ),
        Weld(
            f"pad.{code}.pad",
            code,
            ("top",),
            "XP1",
            "fillet",
            stand.leg,
            care=care,
            face="both",
            stop=IN / 4,
            order=1,
        ),
    )


def tie_welds(stand: PadPlace, legs: Legs) -> tuple[Weld, ...]:
    """The tie to both arms and to the pad, one face; no leg over a quarter of its run (J2.2b)."""
    short = leg_within(legs, min(stand.leg, END_DEPTH / 4))
    left, right = ("side_a", "side_b") if stand.way > 0 else ("side_b", "side_a")
    feet = (
        ("left", left, "XP2", short, 0.0),
        ("right", right, "XP3", short, 0.0),
        ("pad", "top", "XP1", stand.leg, IN / 4),
    )
    return tuple(
        Weld(
            f"pad.tie.{name}",
            "XP4",
            (edge,),
            onto,
            "fillet",
            leg,
            face="bottom",
            stop=stop,
            order=1,
        )
        for name, edge, onto, leg, stop in feet
    )


def welds(site: Site, stand: PadPlace) -> tuple[Weld, ...]:
    """Arms to tube and pad, tie to arms and pad."""
    on_tube = leg_for(site.shop.legs, stand.thick, site.port("cross.tube").size["wall"])
    return (
        *(weld for code in ("XP2", "XP3") for weld in arm_welds(stand, code, on_tube)),
        *tie_welds(stand, site.shop.legs),
    )


def marks(stand: PadPlace) -> tuple[Scribe, Scribe]:
    """The pad's middle line along the truck, and where the arms' inner faces come."""
    reach, arm = (stand.far - stand.near) / 2, stand.inner
    middle = line((-reach + IN / 8, 0.0), (reach - IN / 8, 0.0))
    faces = (*line((-reach, arm), (reach, arm)), *line((-reach, -arm), (reach, -arm)))
    return Scribe("XP1", "center", middle, "FRONT >"), Scribe("XP1", "mate", faces)


def build(sizes: Sizes, site: Site) -> Assembly:
    """Pad XP1, arms XP2 and XP3, tie XP4, mount bolts and welds.

    Waits for the weight on the mount, which no outline uses: what is not held is not cut.
    """
    site.q("driveline.mount.weight")
    stand = stand_of(sizes, site)
    return held(
        Assembly(
            members=(
                pad(sizes, stand),
                *arms(sizes, stand, site.shop.inner_radius),
                tie(sizes, stand),
            ),
            bolts=bolts(site, stand),
            welds=welds(site, stand),
            scribes=marks(stand),
        ),
        PAD,
        PAD_REST,
    )


def away_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Tube radius with half the pad's length, and from the mount to the tube's axis (mm)."""
    across = bolt_size(site.need("driveline.mount.bolt")).d
    along = site.q("driveline.mount.bolt_dx") + site.q("driveline.mount.slot")
    half = along / 2 + EDGE * across
    tube = site.port("cross.tube")
    return tube.size["od"] / 2 + half + grid["plate.t"] + 0.5 * IN, abs(
        site.q("driveline.mount.x") - tube.frame.origin[0]
    )


def apart(grid: Grid, site: Site) -> Mapping[str, Number]:
    """Mount bolts against each other, the nearer way; a single bolt has no other."""
    pair = (site.q("driveline.mount.bolt_dx"), site.q("driveline.mount.bolt_dy"))
    ways = [apart_by for apart_by in pair if apart_by]
    across = bolt_size(site.need("driveline.mount.bolt")).d
    return {"d_mm": across + 0 * grid["plate.t"], "spacing_mm": min(ways, default=NO_LIMIT)}


def between_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Half the pad's width beside the center line with its weld; the way to the flange (mm)."""
    across = bolt_size(site.need("driveline.mount.bolt")).d
    half = (
        site.q("driveline.mount.bolt_dy") / 2 + socket_radius(across) + grid["plate.t"] + 0.75 * IN
    )
    return abs(site.q("driveline.mount.y")) + half, site.port("cross.tube").size[
        "parting"
    ] - 0.5 * IN


def mass(grid: Grid, site: Site) -> Number:
    """Pad, arms and tie, kg."""
    away = abs(site.q("driveline.mount.x") - site.port("cross.tube").frame.origin[0])
    wide = site.q("driveline.mount.bolt_dy") + 4 * IN
    area = (
        wide * (site.q("driveline.mount.bolt_dx") + site.q("driveline.mount.slot") + 2 * IN)
        + 2 * away * 2 * IN
        + wide * END_DEPTH
    )
    return area * grid["plate.t"] * STEEL


FAMILY = Family(
    code="XP",
    title="transmission pad",
    where="center",
    needs=("cross.tube",),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)), WELD),
    rules=(
        room_rule("pad.away", away_room, "mount far enough from the tube for arms and pad"),
        Rule(
            "pad.spacing",
            spacing,
            apart,
            "mount bolts stand apart (0 for a single bolt)",
        ),
        room_rule("pad.between", between_room, "pad between the flanges of the center section"),
    ),
    mass=mass,
    build=build,
    sheet="crossmember center",
)
