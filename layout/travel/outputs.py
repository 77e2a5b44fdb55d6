"""What is read off at every position.

One name a quantity, the same in travel.json, on sheets and in the limits.

``outputs`` gives arrays (N,) by key in internal units; ``KINDS`` says unit and what the name means.
"""

from __future__ import annotations

import numpy as np

from ..arrays import Array
from ..quantities import Key, Side
from . import turning
from .bushing import strain
from .gear import Coils, Gear, Shaft, Steering, Weights
from .linkage import Linkage, spread
from .pose import Pose, frames
from .turning import apply, between, cross, dot

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
    "roll_center": ("length", "roll center above the ground under the tires"),
    "roll_steer": ("count", "axle steer per roll"),
    "bar.force": ("force", "track bar, pulled +, from bushings alone"),
    "jack": ("force", "vertical force the bushings ask for"),
    "roll.moment": ("moment", "moment the bushings set against roll"),
}
SIDES: tuple[Side, ...] = ("L", "R")
TravelOutputs = dict[Key, Array]


def moved(links: Linkage, rest: Pose, at: Array) -> Array:
    """Points of the axle ((..., 3) truck coordinates at ride height, single linkage) at every
    position: (N, ..., 3).
    """
    rel = at - links.center
    extra = (None,) * (at.ndim - 1)
    return np.asarray(apply(rest.d[(slice(None), *extra)], rel) + rest.p[(slice(None), *extra)])


def outputs(links: Linkage, gear: Gear, rest: Pose) -> TravelOutputs:
    """Everything at every position of ``rest``; quantities whose readings wait are left out.

    ``links`` single, or stacked as in ``rest``.
    """
    many = (
        links if links.variants else spread(Linkage(*(rows[None] for rows in links)), len(rest.p))
    )
    found = _axle(many, rest) | _arms(many, rest) | _tangents(rest)
    if gear.steering:
        found |= steer(many, rest, gear.steering)
    if gear.coils:
        found |= _coil(many, rest, gear.coils)
    if gear.shaft:
        found |= _drive(many, rest, gear.shaft)
    if gear.weights:
        found |= _dive(found, rest, gear.weights)
    return found


def _put(name: str, both: Array) -> TravelOutputs:
    return {Key(name, side): both[:, number] for number, side in enumerate(SIDES)}


def _axle(links: Linkage, rest: Pose) -> TravelOutputs:
    turned = rest.d
    pitch = np.arctan2(-turned[:, 2, 0], turned[:, 2, 2])
    nose = -np.stack((np.cos(links.up), np.zeros_like(links.up), -np.sin(links.up)), axis=-1)
    span = links.bar_frame - (rest.p + apply(turned, links.bar_axle - links.center))
    was = links.bar_frame - links.bar_axle
    one = {
        "axle.x": rest.p[:, 0],
        "axle.y": rest.p[:, 1],
        "axle.z": rest.p[:, 2],
        "fore_aft": rest.p[:, 0] - links.center[:, 0],
        "lateral": rest.p[:, 1] - links.center[:, 1],
        "axle.steer": np.arctan2(-turned[:, 0, 1], turned[:, 1, 1]),
        "pitch_change": pitch,
        "pinion.up": np.arcsin(apply(turned, nose)[:, 2]),
        "bar.angle": np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1])),
        "bar_end": between(span, was),
        "bar.force": rest.force[:, 0],
        "jack": rest.force[:, 1],
        "roll.moment": rest.force[:, 2] * np.cos(rest.roll),
    }
    return {Key(name, "C"): rows for name, rows in one.items()}


def square(link: Array) -> Array:
    """Bolt direction square to ``link`` and as level across as can be, unit vectors (..., 3):
    y less its part along the link, of length one.
    """
    unit = link / np.linalg.norm(link, axis=-1, keepdims=True)
    bolt = np.array((0.0, 1.0, 0.0)) - unit[..., 1:2] * unit
    return np.asarray(bolt / np.linalg.norm(bolt, axis=-1, keepdims=True))


def across(link: Array) -> Array:
    """Level bolt direction square to ``link`` in plan, unit vectors (..., 3).

    The link's plan direction turned a quarter to the left, z = 0; NaN for a link that stands
    upright.

    >>> across(np.array((0.0, -2.0, 1.0))).tolist()
    [1.0, 0.0, 0.0]
    """
    bolt = np.stack((-link[..., 1], link[..., 0], np.zeros_like(link[..., 0])), axis=-1)
    return np.asarray(bolt / np.linalg.norm(bolt, axis=-1, keepdims=True))


def _arms(links: Linkage, rest: Pose) -> TravelOutputs:
    arm, link = links.bolt - links.joint, links.mount - links.upper
    now = apply(rest.m, arm)
    out = np.array((1.0, -1.0))
    n_frame, n_upper = across(arm), square(link)
    strained = strain(frames(links), rest.p, rest.d, rest.m, rest.g)
    cone, radial = np.hypot(strained.b, strained.c), links.rates[..., 0]
    found = _put("arm.elev", np.arctan2(now[..., 2], np.hypot(now[..., 0], now[..., 1]))) | _put(
        "arm.plan", np.arctan2(now[..., 1] * out, now[..., 0])
    )
    found |= _put(
        "frame_joint",
        between(apply(rest.m, n_frame), apply(turning.turn(links.turn_joint), n_frame)),
    ) | _put(
        "upper_joint",
        between(
            apply(rest.m, apply(turning.turn(links.turn_upper), n_upper)), apply(rest.g, n_upper)
        ),
    )
    for name, rows in (("lower", slice(0, 2)), ("upper", slice(2, 4))):
        found |= (
            _put(f"{name}.wind", strained.wind[:, rows])
            | _put(f"{name}.cone", cone[:, rows])
            | _put(f"{name}.radial", strained.radial[:, rows])
        )
        found |= _put(f"{name}.axial", strained.axial[:, rows]) | _put(
            f"{name}.force", (radial * strained.radial)[:, rows]
        )
    return found


def _tangents(rest: Pose) -> TravelOutputs:
    heaving, rolling = rest.v_heave, rest.v_roll
    with np.errstate(all="ignore"):
        return {
            Key("ic.x", "C"): rest.p[:, 0] + heaving[:, 2] / heaving[:, 4],
            Key("ic.z", "C"): rest.p[:, 2] - heaving[:, 0] / heaving[:, 4],
            Key("roll_center", "C"): rest.p[:, 2] - rest.heave + rolling[:, 1] / rolling[:, 3],
            Key("roll_steer", "C"): rolling[:, 5] / rolling[:, 3],
        }


def _dive(found: TravelOutputs, rest: Pose, weights: Weights) -> TravelOutputs:
    with np.errstate(all="ignore"):
        arm = (found[Key("ic.z", "C")] - rest.heave) / (
            found[Key("axle.x", "C")] - found[Key("ic.x", "C")]
        )
    low, high = (
        100 * share * arm * weights.wheelbase / height
        for share, height in ((weights.brake[0], weights.cg[1]), (weights.brake[1], weights.cg[0]))
    )
    if weights.cg[0] == weights.cg[1] and weights.brake[0] == weights.brake[1]:
        return {Key("anti_dive", "C"): low}
    return {Key("anti_dive.low", "C"): low, Key("anti_dive.high", "C"): high}


def _about(axis: Array, at: Array, angle: Array, points: Array) -> Array:
    return np.asarray(at + apply(turning.turn(axis * angle[..., None]), points - at))


def _angle_for(kingpin: Array, at: Array, ball: Array, far: Array, long: Array) -> Array:
    """Turn about the kingpin (least root) that puts ``ball`` at distance ``long`` from ``far``; NaN
    if none. All (N, 3) or (3,).
    """
    rel, off = ball - at, far - at
    along = dot(rel, kingpin)
    flat = rel - along[..., None] * kingpin
    side = cross(kingpin, flat)
    # |rel|^2 + |off|^2 - 2 off.(along k + flat cos + side sin) = long^2
    cosine, sine = dot(off, flat), dot(off, side)
    wanted = (dot(rel, rel) + dot(off, off) - long**2) / 2 - along * dot(off, kingpin)
    reach = np.hypot(cosine, sine)
    with np.errstate(invalid="ignore"):
        open_ = np.arccos(wanted / reach)
    mid = np.arctan2(sine, cosine)
    one, two = (np.arctan2(np.sin(angle), np.cos(angle)) for angle in (mid + open_, mid - open_))
    return np.asarray(np.where(np.abs(one) < np.abs(two), one, two))


def steer(
    links: Linkage, rest: Pose, steering: Steering, lock: Array | float = 0.0
) -> TravelOutputs:
    """Drag-link angle, bump steer about the kingpin, headings of both wheels, toe.

    ``lock``: pitman ball moved along the truck, mm.
    """
    turn = rest.d
    far = steering.pitman + np.multiply.outer(
        np.asarray(lock, dtype=float), np.array((1.0, 0.0, 0.0))
    )
    kingpin, at = (
        apply(turn[:, None], vectors)
        for vectors in (
            np.broadcast_to(steering.kingpin, (len(rest.p), 2, 3)),
            steering.at - links.center[:, None],
        )
    )
    at = at + rest.p[:, None]
    ball = rest.p + apply(turn, steering.ball - links.center)
    long = np.linalg.norm(steering.pitman - steering.ball, axis=-1)
    own = _angle_for(kingpin[:, steering.side], at[:, steering.side], ball, far, long)
    span = far - _about(kingpin[:, steering.side], at[:, steering.side], own, ball)
    found = {
        Key("drag.steer", "C"): own,
        Key("drag.angle", "C"): np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1])),
    }
    delta = np.stack((own, own), axis=1)
    if steering.tie is not None:
        tie = rest.p[:, None] + apply(turn[:, None], steering.tie - links.center[:, None])
        mine, other = steering.side, 1 - steering.side
        end = _about(kingpin[:, mine], at[:, mine], own, tie[:, mine])
        rod = np.linalg.norm(steering.tie[0] - steering.tie[1], axis=-1)
        delta[:, other] = _angle_for(kingpin[:, other], at[:, other], tie[:, other], end, rod)
    spindle = apply(turning.turn(kingpin * delta[..., None]), turn[:, None, :, 1])
    heading = np.arctan2(-spindle[..., 0], spindle[..., 1])
    found |= _put("wheel.heading", heading) | _put(
        "caster", np.arctan2(-kingpin[..., 0], kingpin[..., 2])
    )
    if steering.tie is not None:
        found[Key("toe_in", "C")] = heading[:, 1] - heading[:, 0]
    return found


def _coil(links: Linkage, rest: Pose, coils: Coils) -> TravelOutputs:
    low = rest.p[:, None] + apply(rest.d[:, None], coils.lower - links.center[:, None])
    span = coils.upper - low
    long = np.linalg.norm(span, axis=-1)
    normal = apply(rest.d, np.broadcast_to(coils.normal, rest.p.shape))
    tilt = between(normal, np.broadcast_to((0.0, 0.0, 1.0), normal.shape))
    was = coils.upper - coils.lower
    off = np.linalg.norm((span - was)[..., :2], axis=-1)
    return (
        _put("coil.length", long)
        | _put("coil.force", np.maximum(coils.free - long, 0.0) * coils.rate)
        | _put("coil.seat", np.stack((tilt, tilt), axis=1))
        | _put("coil.offset", off)
    )


def _drive(links: Linkage, rest: Pose, shaft: Shaft) -> TravelOutputs:
    pinion = rest.p + apply(rest.d, shaft.pinion - links.center)
    run = shaft.output - pinion
    long = np.linalg.norm(run, axis=-1)
    axis = apply(rest.d, np.broadcast_to(shaft.pinion_axis, pinion.shape))
    return {
        Key("slip", "C"): long - np.linalg.norm(shaft.output - shaft.pinion, axis=-1),
        Key("pinion.joint", "C"): between(axis, run),
        Key("transfer.joint", "C"): between(np.broadcast_to(shaft.output_axis, run.shape), -run),
    }
