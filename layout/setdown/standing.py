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
from ..arrays import Array
from ..quantities import SIDE_WORD, SIDES, Key
from ..travel.bushing import strain
from ..travel.linkage import Linkage, stack
from ..travel.outputs import TravelOutputs, outputs
from ..travel.pose import Pose, Start, frames, pose
from ..travel.turning import apply, cross, dot
from .truck import SetdownTruck

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


def of_both(moved: Mapping[str, float], name: str) -> float:
    """What was moved at one side: its own, and what was done to both, mm.

    >>> of_both({"seat.L": 3.0, "seat.both": 1.0}, "seat.L")
    4.0
    """
    return moved.get(name, 0.0) + moved.get(f"{name.partition('.')[0]}.both", 0.0)


class _State(NamedTuple):
    lk: Linkage
    seat: Array
    rate: Array
    load: Array
    rear: Array
    lean: Array


def _built(
    truck: SetdownTruck, unknowns: Mapping[str, float], moved: Mapping[str, float]
) -> tuple[Linkage, tuple[float, ...]]:
    """One variant: the linkage as built and moved; seat heights, rate, load, rear roll rate and
    lean.
    """

    def both(name: str) -> float:
        return unknowns.get(name, 0.0) + of_both(moved, name)

    off = np.array(
        [
            [unknowns.get(f"joint.x.{side}", 0.0), 0.0, unknowns.get(f"joint.z.{side}", 0.0)]
            for side in "LR"
        ]
    )
    links = truck.lk._replace(
        joint_off=off,
        arm_more=np.array([both(f"arm.{side}") for side in "LR"]),
        upper_more=np.array([both(f"upper.{side}") for side in "LR"]),
        bar_off=np.array((0.0, 0.0, both("bar.z"))),
        bar_more=np.array(unknowns.get("bar.long", 0.0)),
    )
    assert truck.g.coils is not None
    return links, (
        both("seat.L"),
        both("seat.R"),
        truck.g.coils.rate * (1 + unknowns.get("rate", 0.0)),
        truck.load * (1 + unknowns.get("load", 0.0)),
        REAR * math.exp(unknowns.get("rear", 0.0)),
        unknowns.get("lean", 0.0),
    )


def _stand(
    truck: SetdownTruck,
    variants: Sequence[tuple[Linkage, tuple[float, ...]]],
    start: tuple[Array, Array] | None = None,
) -> tuple[Pose, TravelOutputs, Linkage]:
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
        push = _push(truck, triple, last)
        rest = pose(triple.lk, *at, last, push)
        last = _start_of(rest)
        step = _step(_balance(triple, rest, _push(truck, triple, last) - push), many)
        heave, roll = heave + step[:, 0], roll + step[:, 1]
        if np.abs(step[:, 0]).max() < HEAVE_DONE and np.abs(step[:, 1]).max() < ROLL_DONE:
            break
    assert last is not None
    last = Start(*(rows[:many] for rows in last))
    rest = pose(state.lk, heave, roll, last, _push(truck, state, last))
    if not np.isfinite(rest.p).all():
        raise CannotStandError
    return rest, outputs(state.lk, truck.g, rest), state.lk


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


def _push(truck: SetdownTruck, state: _State, at: Start) -> Array:
    """What the coils do to the axle: force N and moment N mm about its center, truck axes.

    (N, 6).
    """
    coils = truck.g.coils
    assert coils is not None
    arm = apply(at.d[:, None], coils.lower - state.lk.center[:, None])
    upper = coils.upper + state.seat[..., None] * np.array((0.0, 0.0, 1.0))
    span = upper - at.p[:, None] - arm
    long = np.linalg.norm(span, axis=-1, keepdims=True)
    force = -state.rate[:, None, None] * np.maximum(coils.free[:, None] - long, 0.0) * span / long
    return np.concatenate((force.sum(1), cross(arm, force).sum(1)), axis=-1)


def _balance(state: _State, rest: Pose, more: Array) -> Array:
    """What is left of the balance in heave (N) and roll (N mm): bushings and coils, weight, rear.

    ``more``: the coils' push at this pose less the one the pose was found with.
    """
    heave, roll = (dot(more, way) for way in (rest.v_heave, rest.v_roll))
    return np.stack(
        (
            -rest.force[:, 1] - heave - state.load,
            -rest.force[:, 2] * np.cos(rest.roll) - roll + state.rear * (rest.roll - state.lean),
        ),
        axis=-1,
    )


def _read(
    truck: SetdownTruck,
    rest: Pose,
    found: TravelOutputs,
    links: Linkage,
    seat: Array,
    unknowns: Mapping[str, Array],
) -> dict[str, Array]:
    """What tape and finder would read of each variant: heights of the rail above the floor, angles
    against the floor; and how far each bushing is squeezed, ``squeeze.N`` across its bolt in the
    axle's x and z, mm.
    """
    sink = rest.heave
    nose = (sink + unknowns["tail"]) / truck.wheelbase
    half = apply(rest.d, np.array((0.0, truck.track / 2, 0.0)))
    rows = {"sideways": rest.p[:, 1] - links.center[:, 1]}
    for number, (key, way) in enumerate(zip(SIDES, (1, -1), strict=True)):
        side = SIDE_WORD[key]
        rows[f"height.{side}"] = (
            truck.targets[f"height.{side}"] - sink - way * truck.width / 2 * np.tan(rest.roll)
        )
        rows[f"wheelbase.{side}"] = (
            truck.wheelbase + (rest.p[:, 0] - links.center[:, 0]) + way * half[:, 0]
        )
        rows[f"caster.{side}"] = found[Key("caster", key)] - nose + unknowns["caster"]
        rows[f"coil.{side}"] = found[Key("coil.length", key)] + seat[:, number]
    rows["rake"] = truck.rake + nose
    rows["pinion"] = found[Key("pinion.up", "C")] + nose
    span = links.bar_frame + links.bar_off - (rest.p + apply(rest.d, links.bar_axle - links.center))
    bar = np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1]))
    rows["bar"], rows["drag"] = (
        bar - rest.roll * np.sign(span[:, 1]),
        found[Key("drag.angle", "C")] - rest.roll * np.sign(span[:, 1]) + unknowns["drag"],
    )
    if truck.g.shaft:
        rows["shaft"] = truck.targets["shaft"] + found[Key("slip", "C")] + unknowns["output"]
    squeezed = apply(
        np.swapaxes(rest.d, -1, -2)[:, None],
        strain(frames(links), rest.p, rest.d, rest.m, rest.g).e,
    )
    return rows | {
        f"squeeze.{2 * number + axis}": squeezed[:, number, 2 * axis]
        for number in range(4)
        for axis in range(2)
    }


def read(
    truck: SetdownTruck, many: Sequence[tuple[Mapping[str, float], Mapping[str, float]]]
) -> dict[str, Array]:
    """Readings of N standing trucks by name, arrays (N,), mm and rad.

    ``many``: for each its unknowns (what differs from the design) and its moves (mm), by name.
    "squeeze.0" to "squeeze.7": radial squeeze of the four bushings, two directions each, mm.
    CannotStandError where the links cannot reach.
    """
    built = [_built(truck, unknowns, moved) for unknowns, moved in many]
    rest, found, links = _stand(truck, built)
    own = {
        name: np.array([unknowns.get(name, 0.0) for unknowns, _ in many])
        for name in ("tail", "caster", "drag", "output")
    }
    return _read(truck, rest, found, links, np.array([own[:2] for _, own in built]), own)
