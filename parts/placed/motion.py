"""What moves with what, and where it is at a position of the axle: the placed parts, links as round
bars, tires, obstacles.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np

from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, SIDES, Key
from ...layout.travel import Travel, turning
from ...layout.travel.gear import Gear
from ...layout.travel.outputs import moved, steer
from ...layout.travel.pose import cut_pose
from ...layout.travel.turning import Array
from ..geometry import outline
from ..geometry.closest import Edges, Round, pieces
from ..geometry.solid import Pipe, Points, Prism, Solid, solid
from ..model.assembly import Assembly
from ..model.body import Bought, Rod
from ..model.vectors import Frame
from ..stock import Shop
from ..truck.truck import Truck

PITCH, ROUGH = 10.0, 0.03
"""Surfaces are looked at in points this far apart; arcs are this far from true, mm."""
UP = (0.0, 0.0, 1.0)
LINKS = {"AR": "arm", "UA": "upper"}


class Rigid(NamedTuple):
    """A body that rides with a group ("frame", "axle", "arm.L", ...); ``cloud`` its surface,
    ``edges`` its edges, in truck coordinates at ride height.
    """

    name: str
    title: str
    group: str
    solid: Solid
    cloud: Points
    centre: Points
    radius: float
    low: Points
    high: Points
    edges: Edges


def groups(a: Assembly) -> dict[str, str]:
    """Member -> what it rides with: links by their family, everything else by what it is welded or
    bolted to.
    """
    root: dict[str, str] = {}
    for m in a.members:
        family, _, side = m.code.partition(".")
        base = family.rstrip("0123456789")
        if base in LINKS:
            root[m.code] = f"{LINKS[base]}.{side}"
        elif isinstance(m.body, Bought) and base == "TB":
            root[m.code] = "bar"
        elif getattr(m.body, "surface", "") == "axle":
            root[m.code] = "axle"
        elif getattr(m.body, "surface", "") in ("rail", "shock"):
            root[m.code] = "frame"
    joins = [(w.on, w.to) for w in a.welds] + [
        p
        for b in a.bolts
        if b.duty not in ("pivot", "steering")
        for p in zip(b.through, b.through[1:], strict=False)
    ]
    again = True
    while again:
        again = False
        for one, two in joins:
            for x, y in ((one, two), (two, one)):
                if (
                    x in root
                    and y not in root
                    and root[x] in ("frame", "axle", *(f"arm.{s}" for s in "LR"))
                ):
                    root[y], again = root[x], True
    return root


def joined(a: Assembly) -> frozenset[frozenset[str]]:
    """Pairs held by one bolt or weld: they are meant to touch."""
    found = {frozenset((w.on, w.to)) for w in a.welds}
    for b in a.bolts:
        found |= {frozenset((x, y)) for x in b.through for y in b.through if x != y}
    return frozenset(found)


def in_joint(a: Assembly, rides: Mapping[str, str]) -> Callable[[str, str], bool]:
    """Whether a pair stands at one joint: a link and the bracket round its eye, their neighbours
    with them.
    """
    beside: dict[str, set[str]] = {}
    for pair in joined(a):
        for x in pair:
            beside.setdefault(x, set()).update(pair)
    kin: dict[tuple[str, str], set[str]] = {}
    for code, group in rides.items():
        if group not in ("frame", "axle"):
            kin.setdefault((group, code.partition(".")[0].rstrip("0123456789")), set()).update(
                beside.get(code, ())
            )

    def near(code: str) -> set[str]:
        own = kin.get((rides.get(code, ""), code.partition(".")[0].rstrip("0123456789")), set())
        return own | beside.get(code, set())

    return lambda x, y: (
        y in near(x) or x in near(y) or bool(near(x) & near(y) - {"axle.C", "rail1.L", "rail1.R"})
    )


def rigids(t: Truck, job: Job, values: Mapping[Key, float], shop: Shop) -> tuple[Rigid, ...]:
    """Every placed part that is steel or rubber and rides with something, obstacles with them."""
    parts, rides = {p.id: p for p in t.singles}, groups(t.assembly)
    found = []
    for m in t.assembly.members:
        s = (
            solid(m, parts.get(m.code), shop, ROUGH)
            if m.fixed_after != "tool" and m.code in rides
            else None
        )
        if s is not None and not m.title.startswith("shock"):
            found.append(_rigid(m.code, m.title, rides[m.code], s))
    return (*found, *_obstacles(job, values))


def _rigid(name: str, title: str, group: str, s: Solid) -> Rigid:
    cloud = s.skin(PITCH)
    low, high = cloud.min(axis=0), cloud.max(axis=0)
    mid = (low + high) / 2
    return Rigid(
        name,
        title,
        group,
        s,
        cloud,
        mid,
        float(np.linalg.norm(cloud - mid, axis=1).max()),
        low,
        high,
        pieces(*s.edges(), PITCH),
    )


def _obstacles(job: Job, v: Mapping[Key, float]) -> list[Rigid]:
    found = []
    for i in range(1, job.counts.get("travel.obstacle", 0) + 1):
        base = f"travel.obstacle.{i}"
        try:
            c, h = (
                np.array([v[Key(f"{base}.{n}.{a}", "C")] for a in "xyz"])
                for n in ("centre", "half")
            )
        except KeyError:
            continue
        shape, name = (
            job.words.get(f"{base}.shape", "box"),
            job.words.get(f"{base}.name", f"obstacle {i}"),
        )
        s = _box(c, h) if shape == "box" else _round(c, h, "xyz".index(shape[-1]))
        found.append(_rigid(name, name, job.words.get(f"{base}.rides", "frame"), s))
    return found


def _box(c: Array, h: Array) -> Solid:
    """A box about ``c``, half as wide as ``h`` each way, mm."""
    place = Frame((float(c[0]), float(c[1]), float(c[2])), (1.0, 0.0, 0.0), UP)
    return Prism(place, -h[2], h[2], outline.rectangle(-h[0], -h[1], h[0], h[1]), ())


def _round(c: Array, h: Array, axis: int) -> Solid:
    """A round about ``c`` along an axis, as wide as the wider of the other two, mm."""
    along = np.eye(3)[axis]
    x, y, z = (float(a) for a in c - along * h[axis])
    way = (float(along[0]), float(along[1]), float(along[2]))
    over = UP if way != UP else (1.0, 0.0, 0.0)
    wide = 2 * max(float(h[n]) for n in range(3) if n != axis)
    return Pipe(Frame((x, y, z), way, over), 2 * float(h[axis]), wide, 0.0)


def transforms(t: Travel) -> dict[str, tuple[Array, Array]]:
    """Group -> (R (N, 3, 3), shift (N, 3)): a point at ride height x goes to R x + shift."""
    lk, q = t.linkage, t.pose
    assert lk is not None and q is not None
    n = len(q.p)
    out = {
        "frame": (np.broadcast_to(np.eye(3), (n, 3, 3)), np.zeros((n, 3))),
        "axle": (q.d, q.p - turning.apply(q.d, lk.centre)),
    }
    for i, s in enumerate("LR"):
        m, g = q.m[:, i], q.g[:, i]
        out[f"arm.{s}"] = (m, lk.joint[i] - turning.apply(m, lk.joint[i]))
        hang = lk.joint[i] + turning.apply(m, lk.upper[i] - lk.joint[i])
        out[f"upper.{s}"] = (g, hang - turning.apply(g, lk.upper[i]))
    bar = turning.least(
        np.broadcast_to(lk.bar_axle - lk.bar_frame, (n, 3)),
        moved(lk, q, lk.bar_axle) - lk.bar_frame,
    )
    out["bar"] = (bar, lk.bar_frame - turning.apply(bar, lk.bar_frame))
    return out


def rounds(
    t: Travel, truck: Truck, job: Job, v: Mapping[Key, float], i: int, lock: float = 0.0
) -> tuple[Round, ...]:
    """Coils, shocks, drag link, tie rod, shaft and tires at position ``i``; wheels turned by
    ``lock`` rad (left +).
    """
    lk, q, g = t.linkage, t.pose, t.gear
    assert lk is not None and q is not None

    def at(p: Array) -> Array:
        return np.asarray(q.d[i] @ (p - lk.centre) + q.p[i])

    found = _springs(g, truck, at)
    found += _steering(t, v, i, lock)
    if g.shaft and Key("driveline.shaft_od", "C") in v:
        found.append(
            Round(
                "shaft",
                "front shaft",
                at(g.shaft.pinion),
                g.shaft.output,
                v[Key("driveline.shaft_od", "C")] / 2,
            )
        )
    return tuple(found)


def _springs(g: Gear, truck: Truck, at: Callable[[Array], Array]) -> list[Round]:
    """Coil and shock of both sides; ``at``: where a point of the axle now is."""
    found = []
    members = {member.code: member for member in truck.assembly.members}
    bolts = {bolt.id: np.array(bolt.at) for bolt in truck.assembly.bolts}
    for n, side in enumerate(SIDES):
        word = SIDE_WORD[side]
        if g.coils:
            low, high = at(g.coils.lower[n]), g.coils.upper[n]
            found.append(Round(f"coil.{side}", f"coil, {word}", low, high, g.coils.radius, True))
        rod = members.get(f"ST7.{side}")
        if (
            rod is not None
            and isinstance(rod.body, Bought)
            and isinstance(rod.body.solid, Rod)
            and f"shock.upper#1.{side}" in bolts
        ):
            found.append(
                Round(
                    f"ST7.{side}",
                    f"shock, {word}",
                    at(bolts[f"shock.lower#1.{side}"]),
                    bolts[f"shock.upper#1.{side}"],
                    rod.body.solid.diameter / 2,
                )
            )
    return found


def _steering(t: Travel, v: Mapping[Key, float], i: int, lock: float) -> list[Round]:
    lk, q, s = t.linkage, t.pose, t.gear.steering
    if s is None or lk is None or q is None:
        return []
    d, p = q.d[i], q.p[i]

    def on_knuckle(side: int, angle: float, point: Array) -> Array:
        k = s.kingpin[side]
        return np.asarray(
            p + d @ (s.at[side] + turning.turn(k * angle) @ (point - s.at[side]) - lk.centre)
        )

    now = steer(type(lk)(*(a[None] for a in lk)), cut_pose(q, slice(i, i + 1)), s)
    bump = float(now[Key("drag.steer", "C")][0])
    turn = lock if lock else (bump if math.isfinite(bump) else 0.0)
    found = []
    if not lock and Key("steering.drag_link_od", "C") in v:
        found.append(
            Round(
                "drag_link",
                "drag link",
                on_knuckle(s.side, turn, s.ball),
                s.pitman,
                v[Key("steering.drag_link_od", "C")] / 2,
            )
        )
    if s.tie is not None and Key("steering.tie_rod_od", "C") in v:
        found.append(
            Round(
                "tie_rod",
                "tie rod",
                on_knuckle(0, turn, s.tie[0]),
                on_knuckle(1, turn, s.tie[1]),
                v[Key("steering.tie_rod_od", "C")] / 2,
            )
        )
    keys = [Key(n, "C") for n in ("axle.tire_diameter", "axle.tire_width", "axle.wheel_track")]
    if all(k in v for k in keys):
        od, wide, track = (v[k] for k in keys)
        for n, side in enumerate(SIDES):
            way = (1, -1)[n]
            inner, outer = (
                on_knuckle(
                    n, turn, lk.centre + np.array((0.0, way * (track / 2 + e * wide / 2), 0.0))
                )
                for e in (-1, 1)
            )
            title = f"tire, {SIDE_WORD[side]}"
            found.append(Round(f"tyre.{side}", title, inner, outer, od / 2, True))
    return found
