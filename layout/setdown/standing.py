"""The tacked truck on its wheels as a model: what may differ on the real one, where it then stands,
what tape and finder would read.

The truck is the travel model with springs, weight and the rear's roll rate: it stands where their
energy is least, the coils' push on their lower seats (its moment about the axle with it) included.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from .. import units
from ..graph import Graph
from ..quantities import SIDE_WORD, SIDES, Key, Side
from ..travel import rates_of
from ..travel.bushing import strain
from ..travel.gear import Gear, Seen, gear
from ..travel.linkage import Linkage, linkage, stack
from ..travel.outputs import Found, outputs
from ..travel.pose import Pose, Start, frames, pose
from ..travel.turning import Array, apply, cross, dot
from .readings import ASKED, BY, COIL_SHARE, Targets, Window

IN, DEG = units.IN, math.radians(1.0)


class Unknown(NamedTuple):
    """What may differ on the real truck: how much, before anything is read (one standard
    deviation).
    """

    name: str
    doubt: float
    says: str


UNKNOWNS: tuple[Unknown, ...] = (
    Unknown("rate", 0.06, "spring rate, share"),
    Unknown("load", 0.04, "weight on the front springs, share"),
    Unknown("rear", 1.0, "rear roll rate, log"),
    Unknown("lean", 0.4 * DEG, "lean the rear makes"),
    Unknown("seat.L", 0.3 * IN, "left seat high"),
    Unknown("seat.R", 0.3 * IN, "right seat high"),
    *(
        Unknown(f"joint.{a}.{s}", d * IN, f"{w} frame joint off in {a}")
        for s, w in (("L", "left"), ("R", "right"))
        for a, d in (("x", 0.15), ("z", 0.2))
    ),
    *(Unknown(f"arm.{s}", 0.06 * IN, f"{w} arm long") for s, w in (("L", "left"), ("R", "right"))),
    *(
        Unknown(f"upper.{s}", 0.12 * IN, f"{w} upper arm long")
        for s, w in (("L", "left"), ("R", "right"))
    ),
    Unknown("bar.z", 0.2 * IN, "track bar's frame mount high"),
    Unknown("bar.long", 0.1 * IN, "track bar long"),
    Unknown("tail", 0.5 * IN, "rear of the frame high"),
    Unknown("caster", 0.3 * DEG, "caster of the axle read wrong"),
    Unknown("drag", 0.5 * DEG, "a drag-link ball read wrong, slope"),
    Unknown("output", 0.15 * IN, "transfer case's output behind"),
)
REAR = 8.0e6
"""N mm per rad (about 100 lbf ft per deg): a rear roll rate to start from; its doubt is a factor of
e either way (judgment, no source).
"""

HEAVE_DONE, ROLL_DONE = 1e-6, 1e-9
"""Steps of Newton that no longer matter, mm and rad."""
HEAVE_STEP, ROLL_STEP = 0.05, 1e-4
"""Differences the slopes of the balance are taken over, mm and rad."""
STEPS = 8
"""Most steps of Newton taken."""


class CannotStandError(Exception):
    """The moves as typed leave a truck that stands nowhere: an arm or bar that cannot reach."""


class Truck(NamedTuple):
    """The job as the set-down sees it. ``squeeze``: radial limit of the bushings, mm."""

    lk: Linkage
    g: Gear
    load: float
    width: float
    track: float
    wheelbase: float
    asked: Targets
    rake: float
    threads: tuple[float, float]
    squeeze: float

    @property
    def targets(self) -> Mapping[str, float]:
        """What each reading should be, internal units."""
        return self.asked.wanted


class OwedError(Exception):
    """The set-down needs readings that are not there: ``keys``."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        self.keys = keys
        super().__init__(", ".join(map(str, keys)))


def truck_of(solved: Graph) -> Truck:
    """The truck as the set-down sees it. OwedError names the readings that are owed."""
    v = Seen(solved.values)
    try:
        return _truck(v)
    except KeyError:
        if not v.missing:
            raise
        owed = {leaf for k in v.missing for leaf in solved.rests_on(k) or {k}}
        raise OwedError(tuple(sorted(owed))) from None


def _truck(v: Seen) -> Truck:
    (lower, upper), _ = rates_of(v)
    lk, g = linkage(v, lower, upper), gear(v)
    if g.coils is None or g.steering is None:
        v.missing += [k for n in ("coils", "steering") for k in g.waits.get(n, ())]
        raise KeyError(v.missing[0])
    tpi = [
        IN / v.get(Key(f"arms.{n}_tpi", "C"), d)
        for n, d in (("joint", 12.0), ("upper_joint", 16.0))
    ]
    wanted = _wanted(v, lk, g)
    apart = wanted["drag"] - wanted["bar"]
    parallel = max(v.get(Key("track_bar.max_error", "C"), BY["drag"].limit), abs(apart))
    return Truck(
        lk,
        g,
        v[Key("spring.axle_load", "C")] - v[Key("spring.unsprung", "C")],
        v[Key("frame.measuring_width", "C")],
        v[Key("axle.wheel_track", "C")],
        v[Key("frame.wheelbase", "C")],
        Targets(wanted, _windows(v, wanted), parallel),
        wanted["rake"],
        (tpi[0], tpi[1]),
        v.get(Key("arms.bush_max_radial", "C"), 0.12 * IN),
    )


def _wanted(v: Mapping[Key, float], lk: Linkage, g: Gear) -> dict[str, float]:
    """What each reading is on the truck as designed."""
    flat = outputs(lk, g, pose(lk, np.zeros(1), np.zeros(1)))

    def one(name: str, side: Side = "C") -> float:
        return float(flat[Key(name, side)][0])

    base = v[Key("frame.wheelbase", "C")]
    found = {
        "sideways": 0.0,
        "pinion": one("pinion.up"),
        "bar": one("bar.angle"),
        "drag": one("drag.angle"),
        "rake": sum(v.get(Key("frame.rake", s), 0.0) for s in SIDES) / 2,
    }
    for s in SIDES:
        side = SIDE_WORD[s]
        found |= {
            f"height.{side}": v[Key("rail.coil.bottom", s)],
            f"wheelbase.{side}": base,
            f"caster.{side}": one("caster", s),
            f"coil.{side}": one("coil.length", s),
        }
    if g.shaft:
        found["shaft"] = float(np.linalg.norm(g.shaft.output - g.shaft.pinion))
    return {a.name: found[a.name] for a in ASKED if a.name in found}


def _windows(v: Mapping[Key, float], wanted: Mapping[str, float]) -> dict[str, Window]:
    """Each reading's own limit; caster inside the window wanted besides; a coil as its load and its
    room at bump allow; the shaft in its slip.
    """
    rows = {n: Window(x - BY[n].limit, x + BY[n].limit) for n, x in wanted.items()}
    low, high = (
        v.get(Key(f"wanted.caster_{e}", "C"), math.copysign(math.inf, w))
        for e, w in (("low", -1), ("high", 1))
    )
    for s in SIDES:
        side = SIDE_WORD[s]
        n = f"caster.{side}"
        near = rows[n]
        says = "" if low <= near.low and near.high <= high else "the caster asked for ends there"
        rows[n] = Window(max(near.low, low), min(near.high, high), says)
        n = f"coil.{side}"
        share = COIL_SHARE * (v[Key("spring.free_length", "C")] - wanted[n])
        room = [Key("spring.at_bump", s), Key("spring.solid", s), Key("spring.bind_margin", "C")]
        bind = v[room[0]] - v[room[1]] - v[room[2]] if all(k in v for k in room) else share
        short = max(min(share, bind), BY[n].limit)
        says = "shorter it binds before full bump" if short < share else ""
        rows[n] = Window(wanted[n] - short, wanted[n] + max(share, BY[n].limit), says)
    if "shaft" in rows:
        x = wanted["shaft"]
        inward, out = (
            min(BY["shaft"].limit, v.get(Key(f"driveline.slip_{n}", "C"), math.inf))
            for n in ("compress", "extend")
        )
        rows["shaft"] = Window(x - inward, x + out)
    return rows


def of_both(moved: Mapping[str, float], name: str) -> float:
    """What was moved at one side: its own, and what was done to both."""
    return moved.get(name, 0.0) + moved.get(f"{name.partition('.')[0]}.both", 0.0)


class _State(NamedTuple):
    lk: Linkage
    seat: Array
    rate: Array
    load: Array
    rear: Array
    lean: Array


def _built(
    t: Truck, x: Mapping[str, float], moved: Mapping[str, float]
) -> tuple[Linkage, tuple[float, ...]]:
    """One variant: the linkage as built and moved; seat heights, rate, load, rear roll rate and
    lean.
    """

    def both(name: str) -> float:
        return x.get(name, 0.0) + of_both(moved, name)

    off = np.array([[x.get(f"joint.x.{s}", 0.0), 0.0, x.get(f"joint.z.{s}", 0.0)] for s in "LR"])
    lk = t.lk._replace(
        joint_off=off,
        arm_more=np.array([both(f"arm.{s}") for s in "LR"]),
        upper_more=np.array([both(f"upper.{s}") for s in "LR"]),
        bar_off=np.array((0.0, 0.0, both("bar.z"))),
        bar_more=np.array(x.get("bar.long", 0.0)),
    )
    assert t.g.coils is not None
    return lk, (
        both("seat.L"),
        both("seat.R"),
        t.g.coils.rate * (1 + x.get("rate", 0.0)),
        t.load * (1 + x.get("load", 0.0)),
        REAR * math.exp(x.get("rear", 0.0)),
        x.get("lean", 0.0),
    )


def _stand(
    t: Truck,
    variants: Sequence[tuple[Linkage, tuple[float, ...]]],
    start: tuple[Array, Array] | None = None,
) -> tuple[Pose, Found, Linkage]:
    """Where each variant stands: heave and roll of least energy, by Newton with differences of the
    exact forces.
    """
    state = _stacked(variants)
    triple = _State(
        Linkage(*(np.concatenate([rows] * 3) for rows in state.lk)),
        *(np.concatenate([rows] * 3) for rows in state[1:]),
    )
    many = len(variants)
    heave, roll = start or (np.zeros(many), np.zeros(many))
    last: Start | None = None
    for _ in range(STEPS):
        at = (
            np.concatenate((heave, heave + HEAVE_STEP, heave)),
            np.concatenate((roll, roll, roll + ROLL_STEP)),
        )
        if last is None:
            last = _start_of(pose(triple.lk, *at))
        push = _push(t, triple, last)
        rest = pose(triple.lk, *at, last, push)
        last = _start_of(rest)
        step = _step(_balance(triple, rest, _push(t, triple, last) - push), many)
        heave, roll = heave + step[:, 0], roll + step[:, 1]
        if np.abs(step[:, 0]).max() < HEAVE_DONE and np.abs(step[:, 1]).max() < ROLL_DONE:
            break
    assert last is not None
    last = Start(*(rows[:many] for rows in last))
    rest = pose(state.lk, heave, roll, last, _push(t, state, last))
    if not np.isfinite(rest.p).all():
        raise CannotStandError
    return rest, outputs(state.lk, t.g, rest), state.lk


def _stacked(variants: Sequence[tuple[Linkage, tuple[float, ...]]]) -> _State:
    """Variants of ``_built`` on a leading axis."""
    links = stack([built for built, _ in variants])
    whole = Linkage(*(np.broadcast_to(rows, (len(variants), *rows.shape[1:])) for rows in links))
    seats = np.array([own[:2] for _, own in variants])
    rate, load, rear, lean = (np.array([own[n] for _, own in variants]) for n in (2, 3, 4, 5))
    return _State(whole, seats, rate, load, rear, lean)


def _start_of(rest: Pose) -> Start:
    return Start(rest.p, rest.d, rest.m, rest.g, rest.force)


def _step(left: Array, many: int) -> Array:
    """Newton's step in heave and roll, (``many``, 2), from what is left of the balance (3 ``many``,
    2): as it is, ``HEAVE_STEP`` higher, ``ROLL_STEP`` further rolled.
    """
    here = left[:many]
    jac = np.stack(
        (
            (left[many : 2 * many] - here) / HEAVE_STEP,
            (left[2 * many :] - here) / ROLL_STEP,
        ),
        axis=-1,
    )
    if not np.isfinite(jac).all() or not np.abs(np.linalg.det(jac)).all():
        raise CannotStandError
    return np.asarray(np.linalg.solve(jac, -here[..., None])[..., 0])


def _push(t: Truck, s: _State, q: Start) -> Array:
    """What the coils do to the axle: force N and moment N mm about its center, truck axes.

    (N, 6).
    """
    c = t.g.coils
    assert c is not None
    arm = apply(q.d[:, None], c.lower - s.lk.centre[:, None])
    upper = c.upper + s.seat[..., None] * np.array((0.0, 0.0, 1.0))
    span = upper - q.p[:, None] - arm
    long = np.linalg.norm(span, axis=-1, keepdims=True)
    force = -s.rate[:, None, None] * np.maximum(c.free[:, None] - long, 0.0) * span / long
    return np.concatenate((force.sum(1), cross(arm, force).sum(1)), axis=-1)


def _balance(s: _State, q: Pose, more: Array) -> Array:
    """What is left of the balance in heave (N) and roll (N mm): bushings and coils, weight, rear.

    ``more``: the coils' push at this pose less the one the pose was found with.
    """
    heave, roll = (dot(more, v) for v in (q.v_heave, q.v_roll))
    return np.stack(
        (
            -q.force[:, 1] - heave - s.load,
            -q.force[:, 2] * np.cos(q.roll) - roll + s.rear * (q.roll - s.lean),
        ),
        axis=-1,
    )


def _read(
    t: Truck, q: Pose, found: Found, lk: Linkage, seat: Array, x: Mapping[str, Array]
) -> dict[str, Array]:
    """What tape and finder would read of each variant: heights of the rail above the floor, angles
    against the floor; and how far each bushing is squeezed, ``squeeze.N`` across its bolt in the
    axle's x and z, mm.
    """
    sink = q.heave
    nose = (sink + x["tail"]) / t.wheelbase
    half = apply(q.d, np.array((0.0, t.track / 2, 0.0)))
    rows = {"sideways": q.p[:, 1] - lk.centre[:, 1]}
    for n, (key, way) in enumerate(zip(SIDES, (1, -1), strict=True)):
        side = SIDE_WORD[key]
        rows[f"height.{side}"] = (
            t.targets[f"height.{side}"] - sink - way * t.width / 2 * np.tan(q.roll)
        )
        rows[f"wheelbase.{side}"] = t.wheelbase + (q.p[:, 0] - lk.centre[:, 0]) + way * half[:, 0]
        rows[f"caster.{side}"] = found[Key("caster", key)] - nose + x["caster"]
        rows[f"coil.{side}"] = found[Key("coil.length", key)] + seat[:, n]
    rows["rake"] = t.rake + nose
    rows["pinion"] = found[Key("pinion.up", "C")] + nose
    span = lk.bar_frame + lk.bar_off - (q.p + apply(q.d, lk.bar_axle - lk.centre))
    bar = np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1]))
    rows["bar"], rows["drag"] = (
        bar - q.roll * np.sign(span[:, 1]),
        found[Key("drag.angle", "C")] - q.roll * np.sign(span[:, 1]) + x["drag"],
    )
    if t.g.shaft:
        rows["shaft"] = t.targets["shaft"] + found[Key("slip", "C")] + x["output"]
    e = apply(np.swapaxes(q.d, -1, -2)[:, None], strain(frames(lk), q.p, q.d, q.m, q.g).e)
    return rows | {f"squeeze.{2 * n + i}": e[:, n, 2 * i] for n in range(4) for i in range(2)}


def read(
    t: Truck, many: Sequence[tuple[Mapping[str, float], Mapping[str, float]]]
) -> dict[str, Array]:
    """Readings of each (unknowns, moves), and the bushings' squeeze."""
    built = [_built(t, x, m) for x, m in many]
    q, found, lk = _stand(t, built)
    own = {
        n: np.array([x.get(n, 0.0) for x, _ in many]) for n in ("tail", "caster", "drag", "output")
    }
    return _read(t, q, found, lk, np.array([b[:2] for _, b in built]), own)
