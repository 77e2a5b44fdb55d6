"""What moves with what, and where it is at a position of the axle: the placed parts, links as round
bars, tires, obstacles.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ...layout.job.load import Job
from ...layout.job.solid_file import SolidFile, turn_of, ways_of
from ...layout.quantities import SIDE_WORD, SIDES, Key
from ...layout.travel import Travel, turning
from ...layout.travel.gear import Gear
from ...layout.travel.outputs import moved, steer
from ...layout.travel.pose import cut_pose
from ..geometry import contours
from ..geometry.closest import Edges, RoundBar, pieces
from ..geometry.faceted import Faceted
from ..geometry.pipe import Pipe
from ..geometry.prism import Points, Prism
from ..geometry.solid import Solid, solid
from ..model.assembly import Assembly
from ..model.body import Bought, Rod
from ..model.codes import side_of, stem_of
from ..model.terms import Role
from ..model.vectors import Frame
from ..stock import Shop
from ..truck.roles import codes, does, families_of, placed
from ..truck.truck import Truck

PITCH, ROUGH = 10.0, 0.03
"""Surfaces are looked at in points this far apart; arcs are this far from true, mm."""
UP = (0.0, 0.0, 1.0)
LINKS = {Role.ARM: "arm", Role.UPPER_ARM: "upper"}


class Rigid(NamedTuple):
    """A body that rides with a group ("frame", "axle", "arm.L", ...); ``cloud`` its surface,
    ``edges`` its edges, in truck coordinates at ride height; ``family``: of what a family makes.
    """

    name: str
    title: str
    group: str
    solid: Solid
    cloud: Points
    center: Points
    radius: float
    low: Points
    high: Points
    edges: Edges
    family: str = ""


def groups(assembly: Assembly) -> dict[str, str]:
    """Member -> what it rides with: links by their family, everything else by what it is welded or
    bolted to.
    """
    root: dict[str, str] = {}
    for member in assembly.members:
        family = member.family
        link = next((group for role, group in LINKS.items() if family in families_of(role)), "")
        if link:
            root[member.code] = f"{link}.{side_of(member.code)}"
        elif does(Role.BAR, member.code, family):
            root[member.code] = "bar"
        elif getattr(member.body, "surface", "") == "axle":
            root[member.code] = "axle"
        elif getattr(member.body, "surface", "") in ("rail", "shock"):
            root[member.code] = "frame"
    joins = [(weld.on, weld.to) for weld in assembly.welds] + [
        pair
        for bolt in assembly.bolts
        if bolt.duty not in ("pivot", "steering")
        for pair in zip(bolt.through, bolt.through[1:], strict=False)
    ]
    again = True
    while again:
        again = False
        for one, two in joins:
            for known, other in ((one, two), (two, one)):
                if (
                    known in root
                    and other not in root
                    and root[known] in ("frame", "axle", *(f"arm.{hand}" for hand in "LR"))
                ):
                    root[other], again = root[known], True
    return root


def joined(assembly: Assembly) -> frozenset[frozenset[str]]:
    """Pairs held by one bolt or weld: they are meant to touch."""
    found = {frozenset((weld.on, weld.to)) for weld in assembly.welds}
    for bolt in assembly.bolts:
        found |= {
            frozenset((one, two)) for one in bolt.through for two in bolt.through if one != two
        }
    return frozenset(found)


def in_joint(assembly: Assembly, rides: Mapping[str, str]) -> Callable[[str, str], bool]:
    """Whether a pair stands at one joint: a link and the bracket round its eye, their neighbours
    with them.
    """
    beside: dict[str, set[str]] = {}
    for pair in joined(assembly):
        for one in pair:
            beside.setdefault(one, set()).update(pair)
    link = {
        member.code: (rides[member.code], "" if rides[member.code] == "bar" else member.family)
        for member in assembly.members
        if rides.get(member.code, "frame") not in ("frame", "axle")
    }
    kin: dict[tuple[str, str], set[str]] = {}
    for code, own in link.items():
        kin.setdefault(own, set()).update(beside.get(code, ()))

    def near(code: str) -> set[str]:
        return kin.get(link.get(code, ("", "")), set()) | beside.get(code, set())

    return lambda one, two: (
        two in near(one)
        or one in near(two)
        or bool(near(one) & near(two) - {"axle.C", "rail1.L", "rail1.R"})
    )


def rigids(truck: Truck, job: Job, values: Mapping[Key, float], shop: Shop) -> tuple[Rigid, ...]:
    """Every placed part that is steel or rubber and rides with something, obstacles with them."""
    parts, rides = {part.id: part for part in truck.singles}, groups(truck.assembly)
    found = []
    for member in truck.assembly.members:
        body = (
            solid(member, parts.get(member.code), shop, ROUGH)
            if member.fixed_after != "tool" and member.code in rides
            else None
        )
        if body is not None and not _of_shock(member.code):
            one = _rigid(member.code, member.title, rides[member.code], body)
            found.append(one._replace(family=member.family))
    return (*found, *_obstacles(job, values))


def _of_shock(code: str) -> bool:
    """Whether it is a shock: it goes with neither, and is looked at as a round bar."""
    return stem_of(code) in (*codes(Role.SHOCK), *codes(Role.SHOCK_EYE))


def _rigid(name: str, title: str, group: str, body: Solid) -> Rigid:
    cloud = body.skin(PITCH)
    low, high = cloud.min(axis=0), cloud.max(axis=0)
    mid = (low + high) / 2
    return Rigid(
        name=name,
        title=title,
        group=group,
        solid=body,
        cloud=cloud,
        center=mid,
        radius=float(np.linalg.norm(cloud - mid, axis=1).max()),
        low=low,
        high=high,
        edges=pieces(*body.edges(), PITCH),
    )


def _obstacles(job: Job, values: Mapping[Key, float]) -> list[Rigid]:
    found = []
    for number in range(1, job.counts.get("travel.obstacle", 0) + 1):
        base = f"travel.obstacle.{number}"
        try:
            center, half = (
                np.array([values[Key(f"{base}.{which}.{axis}", "C")] for axis in "xyz"])
                for which in ("center", "half")
            )
        except KeyError:
            continue
        shape, name = (
            job.words.get(f"{base}.shape", "box"),
            job.words.get(f"{base}.name", f"obstacle {number}"),
        )
        if (read := job.solids.get(base)) is not None:
            body = _of_file(read, center, job.words, base)
        elif shape == "box":
            body = _box(center, half)
        else:
            body = _round(center, half, "xyz".index(shape[-1]))
        found.append(_rigid(name, name, job.words.get(f"{base}.rides", "frame"), body))
    return found


def _of_file(read: SolidFile, center: Array, words: Mapping[str, str], base: str) -> Solid:
    """A solid that came as a file, the middle of its box at ``center``, mm."""
    corners, faces = read.arrays()
    turn = turn_of(*ways_of(words, base))
    assert turn is not None, "such a job is not loaded"
    placed = corners @ turn.T
    low, high = placed.min(axis=0), placed.max(axis=0)
    return Faceted(placed - (low + high) / 2 + center, faces)


def _box(center: Array, half: Array) -> Solid:
    """A box about ``center``, half as wide as ``half`` each way, mm."""
    place = Frame((float(center[0]), float(center[1]), float(center[2])), (1.0, 0.0, 0.0), UP)
    return Prism(
        place, -half[2], half[2], contours.rectangle(-half[0], -half[1], half[0], half[1]), ()
    )


def _round(center: Array, half: Array, axis: int) -> Solid:
    """A round about ``center`` along an axis, as wide as the wider of the other two, mm."""
    along = np.eye(3)[axis]
    x, y, z = (float(part) for part in center - along * half[axis])
    way = (float(along[0]), float(along[1]), float(along[2]))
    over = UP if way != UP else (1.0, 0.0, 0.0)
    wide = 2 * max(float(half[other]) for other in range(3) if other != axis)
    return Pipe(Frame((x, y, z), way, over), 2 * float(half[axis]), wide, 0.0)


def transforms(travel: Travel) -> dict[str, tuple[Array, Array]]:
    """How each group of bodies moves over the N positions of a travel.

    Gives group -> (R (N, 3, 3), shift (N, 3), mm): a point at ride height x goes to R x + shift,
    truck axes. AssertionError for a travel whose linkage waits.
    """
    links, rest = travel.linkage, travel.pose
    assert links is not None and rest is not None
    many = len(rest.p)
    out = {
        "frame": (np.broadcast_to(np.eye(3), (many, 3, 3)), np.zeros((many, 3))),
        "axle": (rest.d, rest.p - turning.apply(rest.d, links.center)),
    }
    for number, side in enumerate("LR"):
        arm, upper = rest.m[:, number], rest.g[:, number]
        out[f"arm.{side}"] = (arm, links.joint[number] - turning.apply(arm, links.joint[number]))
        hang = links.joint[number] + turning.apply(arm, links.upper[number] - links.joint[number])
        out[f"upper.{side}"] = (upper, hang - turning.apply(upper, links.upper[number]))
    bar = turning.least(
        np.broadcast_to(links.bar_axle - links.bar_frame, (many, 3)),
        moved(links, rest, links.bar_axle) - links.bar_frame,
    )
    out["bar"] = (bar, links.bar_frame - turning.apply(bar, links.bar_frame))
    return out


def rounds(
    travel: Travel,
    truck: Truck,
    job: Job,
    values: Mapping[Key, float],
    number: int,
    lock: float = 0.0,
) -> tuple[RoundBar, ...]:
    """Coils, shocks, drag link, tie rod, shaft and tires at position ``number``; wheels turned by
    ``lock`` rad (left +).
    """
    links, rest, gears = travel.linkage, travel.pose, travel.gear
    assert links is not None and rest is not None

    def at(point: Array) -> Array:
        return np.asarray(rest.d[number] @ (point - links.center) + rest.p[number])

    found = _springs(gears, truck, at)
    found += _steering(travel, values, number, lock)
    if gears.shaft and Key("driveline.shaft_od", "C") in values:
        found.append(
            RoundBar(
                "shaft",
                "front shaft",
                at(gears.shaft.pinion),
                gears.shaft.output,
                values[Key("driveline.shaft_od", "C")] / 2,
            )
        )
    return tuple(found)


def _springs(gears: Gear, truck: Truck, at: Callable[[Array], Array]) -> list[RoundBar]:
    """Coil and shock of both sides; ``at``: where a point of the axle now is."""
    found = []
    members = {member.code: member for member in truck.assembly.members}
    bolts = {bolt.id: np.array(bolt.at) for bolt in truck.assembly.bolts}
    for number, side in enumerate(SIDES):
        word = SIDE_WORD[side]
        if gears.coils:
            low, high = at(gears.coils.lower[number]), gears.coils.upper[number]
            found.append(
                RoundBar(f"coil.{side}", f"coil, {word}", low, high, gears.coils.radius, True)
            )
        shock = placed(Role.SHOCK, side)[0]
        rod = members.get(shock)
        if (
            rod is not None
            and isinstance(rod.body, Bought)
            and isinstance(rod.body.solid, Rod)
            and f"shock.upper#1.{side}" in bolts
        ):
            found.append(
                RoundBar(
                    shock,
                    f"shock, {word}",
                    at(bolts[f"shock.lower#1.{side}"]),
                    bolts[f"shock.upper#1.{side}"],
                    rod.body.solid.diameter / 2,
                )
            )
    return found


def _steering(
    travel: Travel, values: Mapping[Key, float], number: int, lock: float
) -> list[RoundBar]:
    links, rest, gear = travel.linkage, travel.pose, travel.gear.steering
    if gear is None or links is None or rest is None:
        return []
    turned, center = rest.d[number], rest.p[number]

    def on_knuckle(side: int, angle: float, point: Array) -> Array:
        kingpin = gear.kingpin[side]
        return np.asarray(
            center
            + turned
            @ (
                gear.at[side]
                + turning.turn(kingpin * angle) @ (point - gear.at[side])
                - links.center
            )
        )

    now = steer(
        type(links)(*(rows[None] for rows in links)),
        cut_pose(rest, slice(number, number + 1)),
        gear,
    )
    bump = float(now[Key("drag.steer", "C")][0])
    turn = lock if lock else (bump if math.isfinite(bump) else 0.0)
    found = []
    if not lock and Key("steering.drag_link_od", "C") in values:
        found.append(
            RoundBar(
                "drag_link",
                "drag link",
                on_knuckle(gear.side, turn, gear.ball),
                gear.pitman,
                values[Key("steering.drag_link_od", "C")] / 2,
            )
        )
    if gear.tie is not None and Key("steering.tie_rod_od", "C") in values:
        found.append(
            RoundBar(
                "tie_rod",
                "tie rod",
                on_knuckle(0, turn, gear.tie[0]),
                on_knuckle(1, turn, gear.tie[1]),
                values[Key("steering.tie_rod_od", "C")] / 2,
            )
        )
    middle = links.center
    return found + _tires(values, lambda side, point: on_knuckle(side, turn, middle + point))


def _tires(
    values: Mapping[Key, float], on_knuckle: Callable[[int, Array], Array]
) -> list[RoundBar]:
    """Both tires; ``on_knuckle``: where a point of a side's knuckle, from the axle's center, now
    is.
    """
    keys = [
        Key(name, "C") for name in ("axle.tire_diameter", "axle.tire_width", "axle.wheel_track")
    ]
    if not all(key in values for key in keys):
        return []
    across, wide, track = (values[key] for key in keys)
    found = []
    for number, (side, way) in enumerate(zip(SIDES, (1, -1), strict=True)):
        inner, outer = (
            on_knuckle(number, np.array((0.0, way * (track / 2 + end * wide / 2), 0.0)))
            for end in (-1, 1)
        )
        title = f"tire, {SIDE_WORD[side]}"
        found.append(RoundBar(f"tire.{side}", title, inner, outer, across / 2, True))
    return found
