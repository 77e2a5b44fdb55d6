"""What is read off at every position.

One name a quantity, the same in travel.json, on sheets and in the limits.

``outputs`` gives arrays (N,) by key in internal units; ``KINDS`` says unit and what the name means.
"""

from __future__ import annotations

import numpy as np

from ..quantities import Key, Side
from . import turning
from .bushing import strain
from .gear import Coils, Gear, Shaft, Steering, Weights
from .linkage import Linkage, spread
from .pose import Pose, frames
from .turning import Array, apply, between, cross, dot

KINDS: dict[str, tuple[str, str]] = {
    "axle.x": ("length", "axle center from the full-bump plumb line"),
    "axle.y": ("length", "axle center from the center line, left +"),
    "axle.z": ("length", "axle center above the floor"),
    "fore_aft": ("length", "axle forward (+) or back from ride height"),
    "lateral": ("length", "axle to the left (+) or right from ride height"),
    "axle.steer": ("angle", "plan heading of the axle, left +"),
    "pitch_change": ("angle", "axle turned nose up (+) from ride height"),
    "pinion.up": ("angle", "pinion, nose up +"),
    "caster": ("angle", "caster"),
    "slip": ("length", "shaft longer (+) or shorter than at ride height"),
    "pinion.joint": ("angle", "working angle of the pinion joint"),
    "transfer.joint": ("angle", "working angle of the transfer-case joint"),
    "arm.elev": ("angle", "radius arm, rising forward +"),
    "arm.plan": ("angle", "radius arm in plan, front end further out +"),
    "frame_joint": ("angle", "swing of the frame joint"),
    "upper_joint": ("angle", "swing of the upper joint"),
    "bar_end": ("angle", "twist of the track-bar ends off their ride-height line"),
    "lower.wind": ("angle", "wind-up of the lower bushing"),
    "lower.cone": ("angle", "cone angle of the lower bushing"),
    "lower.radial": ("length", "lower bushing squeezed sideways"),
    "lower.axial": ("length", "lower bushing pushed along its bolt"),
    "upper.wind": ("angle", "wind-up of the upper bushing"),
    "upper.cone": ("angle", "cone angle of the upper bushing"),
    "upper.radial": ("length", "upper bushing squeezed sideways"),
    "upper.axial": ("length", "upper bushing pushed along its bolt"),
    "lower.force": ("force", "radial force in the lower bushing"),
    "upper.force": ("force", "radial force in the upper bushing"),
    "coil.length": ("length", "coil, seat to seat"),
    "coil.force": ("force", "force of the coil"),
    "coil.seat": ("angle", "angle between the coil's seats"),
    "coil.offset": ("length", "coil's seats off one line: what makes it bow"),
    "bar.angle": ("angle", "track bar, rising to the frame +"),
    "drag.angle": ("angle", "drag link, rising to the pitman arm +"),
    "drag.steer": ("angle", "turn of the drag-link knuckle about its kingpin, left +"),
    "wheel.heading": ("angle", "heading of the wheel, left +"),
    "toe_in": ("angle", "change of toe-in"),
    "ic.x": ("length", "instant center from the full-bump plumb line"),
    "ic.z": ("length", "instant center above the floor"),
    "anti_dive": ("count", "anti-dive, per cent"),
    "anti_dive.low": ("count", "anti-dive, per cent, low end of what is not read"),
    "anti_dive.high": ("count", "anti-dive, per cent, high end of what is not read"),
    "roll_centre": ("length", "roll center above the ground under the tires"),
    "roll_steer": ("count", "axle steer per roll"),
    "bar.force": ("force", "track bar, pulled +, from bushings alone"),
    "jack": ("force", "vertical force the bushings ask for"),
    "roll.moment": ("moment", "moment the bushings set against roll"),
}
SIDES: tuple[Side, ...] = ("L", "R")
Found = dict[Key, Array]


def moved(lk: Linkage, q: Pose, at: Array) -> Array:
    """Points of the axle ((..., 3) truck coordinates at ride height, single linkage) at every
    position: (N, ..., 3).
    """
    rel = at - lk.centre
    extra = (None,) * (at.ndim - 1)
    return np.asarray(apply(q.d[(slice(None), *extra)], rel) + q.p[(slice(None), *extra)])


def outputs(lk: Linkage, g: Gear, q: Pose) -> Found:
    """Everything at every position of ``q``; quantities whose readings wait are left out.

    ``lk`` single, or stacked as in ``q``.
    """
    many = lk if lk.variants else spread(Linkage(*(a[None] for a in lk)), len(q.p))
    found = _axle(many, q) | _arms(many, q) | _tangents(many, q)
    if g.steering:
        found |= steer(many, q, g.steering)
    if g.coils:
        found |= _coil(many, q, g.coils)
    if g.shaft:
        found |= _drive(many, q, g.shaft)
    if g.weights:
        found |= _dive(found, q, g.weights)
    return found


def _put(name: str, both: Array) -> Found:
    return {Key(name, s): both[:, i] for i, s in enumerate(SIDES)}


def _axle(lk: Linkage, q: Pose) -> Found:
    d = q.d
    pitch = np.arctan2(-d[:, 2, 0], d[:, 2, 2])
    nose = -np.stack((np.cos(lk.up), np.zeros_like(lk.up), -np.sin(lk.up)), axis=-1)
    span = lk.bar_frame - (q.p + apply(d, lk.bar_axle - lk.centre))
    was = lk.bar_frame - lk.bar_axle
    one = {
        "axle.x": q.p[:, 0],
        "axle.y": q.p[:, 1],
        "axle.z": q.p[:, 2],
        "fore_aft": q.p[:, 0] - lk.centre[:, 0],
        "lateral": q.p[:, 1] - lk.centre[:, 1],
        "axle.steer": np.arctan2(-d[:, 0, 1], d[:, 1, 1]),
        "pitch_change": pitch,
        "pinion.up": np.arcsin(apply(d, nose)[:, 2]),
        "bar.angle": np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1])),
        "bar_end": between(span, was),
        "bar.force": q.force[:, 0],
        "jack": q.force[:, 1],
        "roll.moment": q.force[:, 2] * np.cos(q.roll),
    }
    return {Key(n, "C"): a for n, a in one.items()}


def square(u: Array) -> Array:
    """Bolt direction square to a link ``u`` and as level across as can be: unit(y - (y.u) u)."""
    w = u / np.linalg.norm(u, axis=-1, keepdims=True)
    n = np.array((0.0, 1.0, 0.0)) - w[..., 1:2] * w
    return np.asarray(n / np.linalg.norm(n, axis=-1, keepdims=True))


def across(u: Array) -> Array:
    """Level bolt direction square to a link ``u`` in plan."""
    n = np.stack((-u[..., 1], u[..., 0], np.zeros_like(u[..., 0])), axis=-1)
    return np.asarray(n / np.linalg.norm(n, axis=-1, keepdims=True))


def _arms(lk: Linkage, q: Pose) -> Found:
    arm, link = lk.bolt - lk.joint, lk.mount - lk.upper
    now = apply(q.m, arm)
    out = np.array((1.0, -1.0))
    n_frame, n_upper = across(arm), square(link)
    s = strain(frames(lk), q.p, q.d, q.m, q.g)
    cone, kr = np.hypot(s.b, s.c), lk.rates[..., 0]
    found = _put("arm.elev", np.arctan2(now[..., 2], np.hypot(now[..., 0], now[..., 1]))) | _put(
        "arm.plan", np.arctan2(now[..., 1] * out, now[..., 0])
    )
    found |= _put(
        "frame_joint", between(apply(q.m, n_frame), apply(turning.turn(lk.turn_joint), n_frame))
    ) | _put(
        "upper_joint",
        between(apply(q.m, apply(turning.turn(lk.turn_upper), n_upper)), apply(q.g, n_upper)),
    )
    for name, rows in (("lower", slice(0, 2)), ("upper", slice(2, 4))):
        found |= (
            _put(f"{name}.wind", s.wind[:, rows])
            | _put(f"{name}.cone", cone[:, rows])
            | _put(f"{name}.radial", s.radial[:, rows])
        )
        found |= _put(f"{name}.axial", s.axial[:, rows]) | _put(
            f"{name}.force", (kr * s.radial)[:, rows]
        )
    return found


def _tangents(lk: Linkage, q: Pose) -> Found:
    h, r = q.v_heave, q.v_roll
    with np.errstate(all="ignore"):
        return {
            Key("ic.x", "C"): q.p[:, 0] + h[:, 2] / h[:, 4],
            Key("ic.z", "C"): q.p[:, 2] - h[:, 0] / h[:, 4],
            Key("roll_centre", "C"): q.p[:, 2] - q.heave + r[:, 1] / r[:, 3],
            Key("roll_steer", "C"): r[:, 5] / r[:, 3],
        }


def _dive(found: Found, q: Pose, w: Weights) -> Found:
    with np.errstate(all="ignore"):
        arm = (found[Key("ic.z", "C")] - q.heave) / (
            found[Key("axle.x", "C")] - found[Key("ic.x", "C")]
        )
    low, high = (
        100 * b * arm * w.wheelbase / c for b, c in ((w.brake[0], w.cg[1]), (w.brake[1], w.cg[0]))
    )
    if w.cg[0] == w.cg[1] and w.brake[0] == w.brake[1]:
        return {Key("anti_dive", "C"): low}
    return {Key("anti_dive.low", "C"): low, Key("anti_dive.high", "C"): high}


def _about(k: Array, at: Array, angle: Array, p: Array) -> Array:
    return np.asarray(at + apply(turning.turn(k * angle[..., None]), p - at))


def _angle_for(k: Array, at: Array, ball: Array, far: Array, long: Array) -> Array:
    """Turn about the kingpin (least root) that puts ``ball`` at distance ``long`` from ``far``; NaN
    if none. All (N, 3) or (3,).
    """
    rel, off = ball - at, far - at
    along = dot(rel, k)
    flat = rel - along[..., None] * k
    side = cross(k, flat)
    # |rel|^2 + |off|^2 - 2 off.(along k + flat cos + side sin) = long^2
    a, b = dot(off, flat), dot(off, side)
    c = (dot(rel, rel) + dot(off, off) - long**2) / 2 - along * dot(off, k)
    reach = np.hypot(a, b)
    with np.errstate(invalid="ignore"):
        open_ = np.arccos(c / reach)
    mid = np.arctan2(b, a)
    one, two = (np.arctan2(np.sin(v), np.cos(v)) for v in (mid + open_, mid - open_))
    return np.asarray(np.where(np.abs(one) < np.abs(two), one, two))


def steer(lk: Linkage, q: Pose, s: Steering, lock: Array | float = 0.0) -> Found:
    """Drag-link angle, bump steer about the kingpin, headings of both wheels, toe.

    ``lock``: pitman ball moved along the truck, mm.
    """
    turn = q.d
    far = s.pitman + np.multiply.outer(np.asarray(lock, dtype=float), np.array((1.0, 0.0, 0.0)))
    k, at = (
        apply(turn[:, None], v)
        for v in (np.broadcast_to(s.kingpin, (len(q.p), 2, 3)), s.at - lk.centre[:, None])
    )
    at = at + q.p[:, None]
    ball = q.p + apply(turn, s.ball - lk.centre)
    long = np.linalg.norm(s.pitman - s.ball, axis=-1)
    own = _angle_for(k[:, s.side], at[:, s.side], ball, far, long)
    span = far - _about(k[:, s.side], at[:, s.side], own, ball)
    found = {
        Key("drag.steer", "C"): own,
        Key("drag.angle", "C"): np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1])),
    }
    delta = np.stack((own, own), axis=1)
    if s.tie is not None:
        tie = q.p[:, None] + apply(turn[:, None], s.tie - lk.centre[:, None])
        mine, other = s.side, 1 - s.side
        end = _about(k[:, mine], at[:, mine], own, tie[:, mine])
        rod = np.linalg.norm(s.tie[0] - s.tie[1], axis=-1)
        delta[:, other] = _angle_for(k[:, other], at[:, other], tie[:, other], end, rod)
    spindle = apply(turning.turn(k * delta[..., None]), turn[:, None, :, 1])
    heading = np.arctan2(-spindle[..., 0], spindle[..., 1])
    found |= _put("wheel.heading", heading) | _put("caster", np.arctan2(-k[..., 0], k[..., 2]))
    if s.tie is not None:
        found[Key("toe_in", "C")] = heading[:, 1] - heading[:, 0]
    return found


def _coil(lk: Linkage, q: Pose, c: Coils) -> Found:
    low = q.p[:, None] + apply(q.d[:, None], c.lower - lk.centre[:, None])
    span = c.upper - low
    long = np.linalg.norm(span, axis=-1)
    normal = apply(q.d, np.broadcast_to(c.normal, q.p.shape))
    tilt = between(normal, np.broadcast_to((0.0, 0.0, 1.0), normal.shape))
    was = c.upper - c.lower
    off = np.linalg.norm((span - was)[..., :2], axis=-1)
    return (
        _put("coil.length", long)
        | _put("coil.force", np.maximum(c.free - long, 0.0) * c.rate)
        | _put("coil.seat", np.stack((tilt, tilt), axis=1))
        | _put("coil.offset", off)
    )


def _drive(lk: Linkage, q: Pose, s: Shaft) -> Found:
    pinion = q.p + apply(q.d, s.pinion - lk.centre)
    run = s.output - pinion
    long = np.linalg.norm(run, axis=-1)
    axis = apply(q.d, np.broadcast_to(s.pinion_axis, pinion.shape))
    return {
        Key("slip", "C"): long - np.linalg.norm(s.output - s.pinion, axis=-1),
        Key("pinion.joint", "C"): between(axis, run),
        Key("transfer.joint", "C"): between(np.broadcast_to(s.output_axis, run.shape), -run),
    }
