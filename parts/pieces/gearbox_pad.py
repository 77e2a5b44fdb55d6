"""Transmission pad on the cross tube's center section: XP1 pad, XP2 and XP3 arms standing on the
tube, XP4 tie between them.

The pad takes the measured mount face: its top stands the isolator's height below it, its slots lie
along the truck. Arm axes: x from the tube toward the mount, y up, origin on the tube's axis.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.hull import SLIVER
from ..geometry.outline import Corner, check, fillet, rectangle, rounded
from ..geometry.shape import SMOOTH
from ..model.assembly import Assembly, Bolt, Member, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec3
from ..rules.bolts import spacing
from ..rules.welds import leg_for
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


class Spot(NamedTuple):
    """Mount center, tube axis, sizes.

    ``way``: -1 if the mount is behind the tube, +1 ahead; ``near``, ``far``: pad ends from the
    axis.
    """

    way: float
    x: float
    y: float
    axis: Vec3
    r: float
    high: float
    near: float
    far: float
    inner: float
    half: float
    t: float
    leg: float


def spot(sizes: Mapping[str, Any], site: Site) -> Spot:
    """Worked out once.

    ``high``: underside of the pad above the tube's axis; ``inner``: arm's inner face from the mount
    center in y; ``half``: half the pad's width.
    """
    tube = site.port("cross.tube")
    axis, t = tube.frame.origin, sizes["plate.t"]
    m = {
        k: site.q(f"driveline.mount.{k}")
        for k in ("x", "y", "z", "bolt_dx", "bolt_dy", "slot", "isolator")
    }
    bolt, leg = bolt_size(site.need("driveline.mount.bolt")), leg_for(site.shop.legs, t)
    long = round_up(m["bolt_dx"] / 2 + m["slot"] / 2 + EDGE * bolt.d)
    inner = m["bolt_dy"] / 2 + socket_radius(bolt.d) + leg + IN / 16
    way = -1.0 if m["x"] < axis[0] else 1.0
    away = abs(m["x"] - axis[0])
    return Spot(
        way,
        m["x"],
        m["y"],
        axis,
        tube.size["od"] / 2,
        m["z"] - m["isolator"] - t - axis[2],
        away - long,
        away + long,
        inner,
        round_up(inner + t + leg + IN / 8),
        t,
        leg,
    )


def arm_outline(g: Spot, inner: float) -> Loop:
    """Saddle on the tube, tapering to the pad's far end; edge "top" carries the pad.

    Where the pad lies lower than the arm's horn, the corner before it is rounded with radius
    ``inner``.
    """
    towards = math.atan2(g.high - END_DEPTH / 2, max(g.near, g.r))
    above, below = (g.near, g.high), (g.far, g.high - END_DEPTH)
    flat = max(HORN, g.t)
    start = saddle_end(g.r, flat, towards, SPAN / 2, above)
    end = saddle_end(g.r, flat, towards, -SPAN / 2, below)
    if start is None or end is None:
        raise Refused(
            f"the transmission pad, {reader.length(abs(g.high))}"
            f" {'above' if g.high > 0 else 'below'} the cross tube's middle and"
            f" {reader.length(g.near)} from it, has no arm that can stand on the tube: read"
            " driveline.mount again, or set arms.joint_height so that the tube comes nearer its"
            " height"
        )
    out = g.r + flat
    horn = on_round((0.0, 0.0), out, out, start)
    corner: Loop = (Edge("high", above),)
    if horn[1] > g.high + 1e-9:
        turn = 4 * abs(math.atan(fillet((g.far, g.high), above, horn, inner)[3]))
        round_it = max(inner, SLIVER / max(turn, 1e-6))
        if turn > SMOOTH:
            _, begins, ends, bulge = fillet((g.far, g.high), above, horn, round_it)
            corner = (Edge("high~", begins, bulge), Edge("high", ends))
    return check(
        (
            *saddle((0.0, 0.0), g.r, g.r, start, end - start),
            Edge("horn_low", on_round((0.0, 0.0), g.r, g.r, end)),
            Edge("low", on_round((0.0, 0.0), out, out, end)),
            Edge("far", below),
            Edge("top", (g.far, g.high)),
            *corner,
            Edge("horn_high", horn),
        )
    )


def members(sizes: Mapping[str, Any], g: Spot, inner: float) -> tuple[Member, ...]:
    """Pad (x forward, y left, z up), two arms alike, tie (x along the tube, y up)."""
    reach = (g.far - g.near) / 2
    pad = rectangle(-reach, -g.half, reach, g.half, IN / 2, ("right", "front", "left", "rear"))
    z = g.axis[2] + g.high
    arm = Plate(sizes["plate"], arm_outline(g, inner))
    x_dir, z_dir = (g.way, 0.0, 0.0), (0.0, -g.way, 0.0)
    inner_faces = (
        g.y + g.inner + (g.t if g.way > 0 else 0.0),
        g.y - g.inner - (0.0 if g.way > 0 else g.t),
    )
    arms = tuple(
        Member(
            code,
            "transmission pad arm",
            "XP",
            arm,
            Frame((g.axis[0], y, g.axis[2]), x_dir, z_dir),
            ("top", "far"),
            ref="standing on the cross tube, under the pad",
        )
        for code, y in zip(("XP2", "XP3"), inner_faces, strict=True)
    )
    tie = rounded(
        [
            Corner("low", -g.inner, -END_DEPTH),
            Corner("side_a", g.inner, -END_DEPTH),
            Corner("top", g.inner, 0.0),
            Corner("side_b", -g.inner, 0.0),
        ]
    )
    tie_frame = Frame((g.axis[0] + g.way * g.near, g.y, z), (0.0, g.way, 0.0), (g.way, 0.0, 0.0))
    return (
        Member(
            "XP1",
            "transmission pad",
            "XP",
            Plate(sizes["plate"], pad),
            Frame((g.x, g.y, z), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
            ("rear", "right"),
            ref="level, isolator height below the transmission's mount face",
        ),
        *arms,
        Member(
            "XP4",
            "transmission pad tie",
            "XP",
            Plate(sizes["plate"], tie),
            tie_frame,
            ("top", "side_b"),
            ref="between the arms, at the pad's edge toward the tube",
        ),
    )


def bolts(site: Site, g: Spot) -> tuple[Bolt, ...]:
    """Mount bolts down through the pad, slotted along the truck."""
    dx, dy, slot = (site.q(f"driveline.mount.{k}") for k in ("bolt_dx", "bolt_dy", "slot"))
    top = g.axis[2] + g.high + g.t
    at = [
        (x, y)
        for x in ((-dx / 2, dx / 2) if dx else (0.0,))
        for y in ((-dy / 2, dy / 2) if dy else (0.0,))
    ]
    slots = {"XP1": (slot, (1.0, 0.0, 0.0))} if slot else {}
    return tuple(
        Bolt(
            f"gearbox.mount#{i + 1}",
            (g.x + x, g.y + y, top),
            (0.0, 0.0, -1.0),
            site.need("driveline.mount.bolt"),
            class_for(site, "gearbox.mount", site.need("driveline.mount.bolt")),
            ("XP1",),
            "mount",
            "normal",
            slots,
            length=site.q("driveline.mount.foot") if site.has("driveline.mount.foot") else 0.0,
        )
        for i, (x, y) in enumerate(at)
    )


def welds(g: Spot, wall: float, legs: tuple[float, ...]) -> tuple[Weld, ...]:
    """Arms to tube and pad from both faces, tie to arms and pad."""
    care = frozenset({"on the bench, flanges bolted to a stiff bar"})
    found = []
    for code in ("XP2", "XP3"):
        found.append(
            Weld(
                f"pad.{code}.tube",
                code,
                ("saddle",),
                "XT3.C",
                "fillet",
                leg_for(legs, g.t, wall),
                care=care,
                face="both",
                order=2,
            )
        )
        found.append(
            Weld(
                f"pad.{code}.pad",
                code,
                ("top",),
                "XP1",
                "fillet",
                g.leg,
                care=care,
                face="both",
                stop=IN / 4,
                order=1,
            )
        )
    left, right = ("side_a", "side_b") if g.way > 0 else ("side_b", "side_a")
    found.append(
        Weld("pad.tie.left", "XP4", (left,), "XP2", "fillet", g.leg, face="bottom", order=1)
    )
    found.append(
        Weld("pad.tie.right", "XP4", (right,), "XP3", "fillet", g.leg, face="bottom", order=1)
    )
    found.append(
        Weld(
            "pad.tie.pad",
            "XP4",
            ("top",),
            "XP1",
            "fillet",
            g.leg,
            face="bottom",
            stop=IN / 4,
            order=1,
        )
    )
    return tuple(found)


def build(sizes: Mapping[str, Any], site: Site) -> Assembly:
    """Pad, arms, tie, mount bolts and welds."""
    g = spot(sizes, site)
    reach = (g.far - g.near) / 2
    marks = (
        Scribe("XP1", "centre", line((-reach + IN / 8, 0.0), (reach - IN / 8, 0.0)), "FRONT >"),
        Scribe(
            "XP1",
            "mate",
            (
                *line((-reach, g.inner), (reach, g.inner)),
                *line((-reach, -g.inner), (reach, -g.inner)),
            ),
        ),
    )
    return held(
        Assembly(
            members=members(sizes, g, site.shop.inner_radius),
            bolts=bolts(site, g),
            welds=welds(g, site.port("cross.tube").size["wall"], site.shop.legs),
            scribes=marks,
        ),
        PAD,
        PAD_REST,
    )


def away_room(grid: Grid, site: Site) -> tuple[Any, Any]:
    """Tube radius with half the pad's length, and from the mount to the tube's axis (mm)."""
    d = bolt_size(site.need("driveline.mount.bolt")).d
    half = (site.q("driveline.mount.bolt_dx") + site.q("driveline.mount.slot")) / 2 + EDGE * d
    tube = site.port("cross.tube")
    return tube.size["od"] / 2 + half + grid["plate.t"] + 0.5 * IN, abs(
        site.q("driveline.mount.x") - tube.frame.origin[0]
    )


def apart(grid: Grid, site: Site) -> Mapping[str, Any]:
    """Mount bolts against each other, the nearer way; a single bolt has no other."""
    ways = [x for x in (site.q("driveline.mount.bolt_dx"), site.q("driveline.mount.bolt_dy")) if x]
    d = bolt_size(site.need("driveline.mount.bolt")).d
    return {"d_mm": d + 0 * grid["plate.t"], "spacing_mm": min(ways, default=NO_LIMIT)}


def between_room(grid: Grid, site: Site) -> tuple[Any, Any]:
    """Half the pad's width beside the center line with its weld; the way to the flange (mm)."""
    d = bolt_size(site.need("driveline.mount.bolt")).d
    half = site.q("driveline.mount.bolt_dy") / 2 + socket_radius(d) + grid["plate.t"] + 0.75 * IN
    return abs(site.q("driveline.mount.y")) + half, site.port("cross.tube").size[
        "parting"
    ] - 0.5 * IN


def mass(grid: Grid, site: Site) -> Any:
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
    where="centre",
    needs=("cross.tube",),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.25 * IN)),),
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
    place="crossmember",
)
