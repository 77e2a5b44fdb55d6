"""The set-out's equations. Axes and signs as in ``soapstone.layout``; sided y's are distances outward from the centre line.

Source of every relation unless it says otherwise: plane and vector geometry.
"""

from __future__ import annotations

import math

from ..quantities import Relation

GEOMETRY = "geometry"


def _r(out, ins, f, formula, title, unit="length", sided=False, source=GEOMETRY):  # type: ignore[no-untyped-def]
    return Relation(out, tuple(ins.split()), f, formula, source, unit, sided, title)


def turned(x: float, z: float, up: float) -> tuple[float, float]:
    """Axle-local (x, z) with the pinion turned ``up`` (rad)."""
    return x * math.cos(up) + z * math.sin(up), -x * math.sin(up) + z * math.cos(up)


def pinion_up(target: float, c_low: float, c_high: float, level: float, jx: float, jy: float, jz: float,
              ox: float, oy: float, oz: float, x0: float, z0: float) -> float:
    """Pinion elevation: side-view working angle at its target, kept inside the caster window. Fixed point, rad."""
    up = 0.0
    for _ in range(60):
        px, pz = turned(jx, jz, up)
        up = target + math.atan2(oz - z0 - pz, -(ox - x0 - px))
    return min(max(up, level - c_high), level - c_low)


def working(up: float, jx: float, jy: float, jz: float, ox: float, oy: float, oz: float, x0: float, z0: float) -> float:
    """3-D angle between the pinion axis and the shaft, rad."""
    px, pz = turned(jx, jz, up)
    s = (ox - x0 - px, oy - jy, oz - z0 - pz)
    axis = (-math.cos(up), 0.0, math.sin(up))
    return math.atan2(math.hypot(axis[1] * s[2] - axis[2] * s[1], axis[2] * s[0] - axis[0] * s[2], axis[0] * s[1] - axis[1] * s[0]),
                      sum(a * b for a, b in zip(axis, s, strict=True)))


_JOINT = "axle.pinion_joint.x axle.pinion_joint.y axle.pinion_joint.z driveline.output.x driveline.output.y driveline.output.z axle.x_ride axle.z_ride"

AXLE = (
    _r("axle.z_ride", "axle.tire_loaded_radius", lambda r: r, "z0 = loaded tyre radius", "axle centre above the floor at ride height"),
    _r("axle.z_bump", "axle.z_ride travel.bump", lambda z, b: z + b, "z_b = z0 + bump", "axle centre at full bump"),
    _r("axle.x_ride", "arms.joint_behind arms.joint_height@L arms.joint_height@R axle.z_ride axle.z_bump",
       lambda xc, fl, fr, z0, zb: -xc + math.sqrt(xc**2 + (zb - (fl + fr) / 2) ** 2 - (z0 - (fl + fr) / 2) ** 2),
       "x0 = -X + sqrt(X^2 + (z_b - z_F)^2 - (z0 - z_F)^2)", "axle centre ahead of the full-bump plumb line at ride height"),
    _r("pinion.up", "wanted.pinion_working wanted.caster_low wanted.caster_high axle.caster_at_level_pinion " + _JOINT,
       pinion_up, "up = target + atan2(s_z, -s_x), kept in the caster window", "pinion, nose up", "angle"),
    _r("pinion.working", "pinion.up " + _JOINT, working, "angle(pinion axis, shaft)", "working angle at the pinion joint", "angle"),
    _r("caster.ride", "axle.caster_at_level_pinion pinion.up", lambda c, u: c - u, "caster = C0 - pinion up", "caster at ride height", "angle"),
    _r("shaft.length", "pinion.up " + _JOINT, lambda up, jx, jy, jz, ox, oy, oz, x0, z0: math.dist(
        (x0 + turned(jx, jz, up)[0], jy, z0 + turned(jx, jz, up)[1]), (ox, oy, oz)), "|output - pinion joint|", "shaft length at ride height"),
)


def _point(out: str, base: str) -> tuple[Relation, ...]:
    ins = f"axle.x_ride axle.z_ride pinion.up {base}.x {base}.z"
    return (
        _r(f"{out}.x", ins, lambda x0, z0, up, x, z: x0 + turned(x, z, up)[0], "x0 + x cos up + z sin up", f"{base} at ride height, x", sided=True),
        _r(f"{out}.y", f"{base}.y", lambda y: y, "y as read", f"{base}, from the centre line", sided=True),
        _r(f"{out}.z", ins, lambda x0, z0, up, x, z: z0 + turned(x, z, up)[1], "z0 - x sin up + z cos up", f"{base} at ride height, z", sided=True),
    )


ARMS = (
    *_point("arm.bolt", "axle.lower_mount"),
    _r("arm.joint.x", "arms.joint_behind", lambda x: -x, "-X", "frame joint, x", sided=True),
    _r("arm.joint.z", "arms.joint_height", lambda z: z, "z as chosen", "frame joint above the floor", sided=True),
    _r("arm.run", "arm.bolt.x arm.bolt.z arm.joint.x arm.joint.z", lambda ax, az, fx, fz: math.hypot(ax - fx, az - fz),
       "D = |bolt - joint| in side view", "arm, bolt to joint in side view", sided=True),
    _r("arm.cc", "arm.run arms.plan_slant", lambda d, s: d / math.cos(s), "L = D / cos slant", "radius arm, centre to centre", sided=True),
    _r("arm.joint.y", "axle.lower_mount.y arm.run arms.plan_slant", lambda y, d, s: y - d * math.tan(s), "y_A - D tan slant",
       "frame joint from the centre line", sided=True),
    _r("joint.spacing", "arm.joint.y@L arm.joint.y@R", lambda a, b: a + b, "y_L + y_R", "spacing of the frame joints"),
    _r("arm.tube", "arm.cc arms.eye_to_tube arms.joint_shank_min arms.joint_thread arms.joint_engagement",
       lambda cc, eye, shank, thread, held: cc - eye - shank - (thread - held) / 2, "L - eye - shank - (thread - engagement)/2",
       "radius-arm tube, cut length, joint at mid-thread", sided=True),
)


def upper_cc(ax: float, ay: float, az: float, fx: float, fy: float, fz: float, back: float, above: float, inboard: float,
             vx: float, vy: float, vz: float) -> float:
    """Upper arm centre to centre: joint set on the arm's own triad, mount on the axle."""
    n = math.dist((ax, ay, az), (fx, fy, fz))
    e1 = ((fx - ax) / n, (fy - ay) / n, (fz - az) / n)
    m = math.hypot(e1[2], e1[0])
    e3 = (e1[2] / m, 0.0, -e1[0] / m)
    e2 = (e3[1] * e1[2] - e3[2] * e1[1], e3[2] * e1[0] - e3[0] * e1[2], e3[0] * e1[1] - e3[1] * e1[0])
    u = tuple(a + back * p + above * q + inboard * r for a, p, q, r in zip((ax, ay, az), e1, e3, e2, strict=True))
    return math.dist(u, (vx, vy, vz))


UPPER = (
    *_point("upper.mount", "axle.upper_mount"),
    _r("upper.cc", "arm.bolt.x arm.bolt.y arm.bolt.z arm.joint.x arm.joint.y arm.joint.z arms.upper_back arms.upper_above arms.upper_inboard "
       "upper.mount.x upper.mount.y upper.mount.z", upper_cc, "|A + b e1 + c e3 + i e2 - V|", "upper arm, centre to centre", sided=True),
    _r("upper.tube", "upper.cc arms.upper_eye_to_tube arms.upper_joint_shank_min arms.upper_joint_thread arms.upper_joint_engagement",
       lambda cc, eye, shank, thread, held: cc - eye - shank - (thread - held) / 2, "L - eye - shank - (thread - engagement)/2",
       "upper-arm tube, cut length, joint at mid-thread", sided=True),
)

SPRING = (
    *_point("seat.lower", "axle.spring_seat"),
    _r("spring.ratio", "seat.lower.x arm.joint.x axle.x_ride", lambda s, f, c: (s - f) / (c - f), "(S_x - F_x)/(C_x - F_x)",
       "spring travel per axle travel", "count", True),
    _r("spring.load", "spring.axle_load spring.unsprung spring.ratio", lambda w, u, r: (w - u) / 2 / r, "(axle load - unsprung)/2/ratio",
       "load on the coil", "force", True),
    _r("spring.loaded", "spring.free_length spring.load spring.rate", lambda f, p, k: f - p / k, "free - load/rate", "coil length at ride height", sided=True),
    _r("seat.upper.x", "seat.lower.x", lambda x: x, "x of the lower seat", "upper coil seat, x", sided=True),
    _r("seat.upper.y", "seat.lower.y", lambda y: y, "y of the lower seat", "upper coil seat from the centre line", sided=True),
    _r("seat.upper.z", "seat.lower.z spring.loaded", lambda z, length: z + length, "S_z + loaded length", "upper coil seat above the floor", sided=True),
    _r("seat.above_rail", "seat.upper.z rail.coil.bottom rail.coil.height", lambda z, b, h: z - b - h, "seat - rail top",
       "upper coil seat above the rail top", sided=True),
    _r("stop.spacer", "rail.coil.bottom axle.z_bump axle.tube_diameter travel.stop_compressed", lambda r, zb, d, c: r - zb - d / 2 - c,
       "rail - (z_b + tube radius) - compressed stop", "bump-stop spacer", sided=True),
)

STEERING = (
    *(_r(f"bar.axle.{a}", f"axle.x_ride axle.z_ride pinion.up axle.track_bar_mount.{'y' if a == 'y' else 'x'} axle.track_bar_mount.z", f, g,
         f"track bar at the axle, {a}") for a, f, g in (
        ("x", lambda x0, z0, up, x, z: x0 + turned(x, z, up)[0], "x0 + x cos up + z sin up"),
        ("y", lambda x0, z0, up, y, z: y, "y as read"))),
    _r("bar.axle.z", "axle.z_ride pinion.up axle.track_bar_mount.x axle.track_bar_mount.z", lambda z0, up, x, z: z0 + turned(x, z, up)[1],
       "z0 - x sin up + z cos up", "track bar at the axle, z"),
    _r("drag.slope", "axle.z_ride pinion.up axle.drag_link_ball.x axle.drag_link_ball.z axle.drag_link_ball.y steering.pitman_ball.y steering.pitman_ball.z "
       "axle.x_ride steering.pitman_ball.x", lambda z0, up, x, z, y, py, pz, x0, px: math.atan2(pz - z0 - turned(x, z, up)[1], math.hypot(
           py - y, px - x0 - turned(x, z, up)[0])), "elevation of pitman ball from knuckle ball", "drag link slope", "angle"),
    _r("bar.frame.y", "track_bar.frame_mount_y", lambda y: y, "y as chosen", "track bar at the frame, y"),
    _r("bar.frame.x", "bar.axle.x bar.axle.y bar.frame.y axle.x_ride pinion.up axle.drag_link_ball.x axle.drag_link_ball.z axle.drag_link_ball.y "
       "steering.pitman_ball.x steering.pitman_ball.y", lambda tx, ty, fy, x0, up, x, z, y, px, py: tx + (fy - ty) * (px - x0 - turned(x, z, up)[0]) / (py - y),
       "along the drag link's direction", "track bar at the frame, x"),
    _r("bar.frame.z", "bar.axle.z bar.axle.y bar.frame.y axle.z_ride pinion.up axle.drag_link_ball.x axle.drag_link_ball.z axle.drag_link_ball.y "
       "steering.pitman_ball.z steering.pitman_ball.y", lambda tz, ty, fy, z0, up, x, z, y, pz, py: tz + (fy - ty) * (pz - z0 - turned(x, z, up)[1]) / (py - y),
       "along the drag link's direction", "track bar at the frame, z"),
    _r("bar.length", "bar.axle.x bar.axle.y bar.axle.z bar.frame.x bar.frame.y bar.frame.z",
       lambda ax, ay, az, fx, fy, fz: math.dist((ax, ay, az), (fx, fy, fz)), "|frame - axle|", "track bar length"),
)
