"""Pinion elevation by the kind of front shaft, kept where the joints run true and inside the caster
window if both can be had.

Double-Cardan at the transfer case: the pinion points at the output, at the signed side-view working
angle wanted, inside the working band; the 3-D working angle has a floor set by the sideways offset
of pinion and transfer case. Single joints at both ends: the pinion stands parallel to the output
shaft, so that both work at one angle and cancel. Where the shaft and the caster window leave
nothing, the wanted pinion stays and caster is cured at the knuckles.
"""

from __future__ import annotations

import math

from ..quantities import Relation
from .relation_rows import row, turned_x, turned_z

PLACE = (
    "axle.pinion_joint.x axle.pinion_joint.z driveline.output.x driveline.output.z axle.x_ride"
    " axle.z_ride"
)
SPACE = (
    "axle.pinion_joint.x axle.pinion_joint.y axle.pinion_joint.z driveline.output.x"
    " driveline.output.y driveline.output.z axle.x_ride axle.z_ride"
)


APART = math.radians(1.0)
"""How far the angles of two single joints on one shaft may differ: a joint maker's rule, read
second-hand.
"""


def elevation(
    aim: float, jx: float, jz: float, ox: float, oz: float, x0: float, z0: float
) -> float:
    """Pinion elevation, rad, at which its nose stands ``aim`` rad above the shaft line in side
    view.

    In the axle's own frame the shaft leaves the joint at elevation -aim; where it meets the circle
    of the output's distance gives the turn. Closed form of up = aim + atan2(s_z, -s_x)(up).
    """
    reach = math.hypot(ox - x0, oz - z0)
    ux, uz = -math.cos(aim), -math.sin(aim)
    along = jx * ux + jz * uz
    rest = along**2 - jx**2 - jz**2 + reach**2
    if rest < 0:
        return math.nan
    r = -along + math.sqrt(rest)
    return math.atan2(oz - z0, -(ox - x0)) - math.atan2(jz + r * uz, -(jx + r * ux))


def shaft(up: float, *place: float) -> tuple[float, float, float]:
    """Vector from the pinion joint to the transfer case's output joint, mm; ``place`` as ``SPACE``
    names it.
    """
    jx, jy, jz, ox, oy, oz, x0, z0 = place
    return ox - x0 - turned_x(jx, jz, up), oy - jy, oz - z0 - turned_z(jx, jz, up)


def working(up: float, *place: float) -> float:
    """3-D angle between the pinion's axis and the shaft, rad.

    ``up``: the pinion's rise, rad; ``place``: what places the shaft's two ends, as for ``floor``,
    mm.
    """
    sx, sy, sz = shaft(up, *place)
    c, s = math.cos(up), math.sin(up)
    return math.atan2(math.hypot(s * sy, c * sz + s * sx, c * sy), s * sz - c * sx)


def side_view(up: float, jx: float, jz: float, ox: float, oz: float, x0: float, z0: float) -> float:
    """Signed side-view working angle, rad: pinion elevation ``up`` less shaft elevation; + is nose
    above the shaft line. j the pinion joint, axle-local, o the transfer case's output, 0 the axle
    center at ride height: x and z of each, mm.
    """
    return up - math.atan2(oz - z0 - turned_z(jx, jz, up), -(ox - x0 - turned_x(jx, jz, up)))


def floor(
    jx: float, jy: float, jz: float, ox: float, oy: float, oz: float, x0: float, z0: float
) -> float:
    """Least 3-D working angle, rad: pinion in line with the shaft in side view.

    What the sideways offset alone leaves. ``jx`` .. ``jz``: pinion joint, axle-local; ``ox`` ..
    ``oz``: output of the transfer case; ``x0``, ``z0``: axle center at ride height; all mm.
    """
    sx, sy, sz = shaft(
        elevation(aim=0.0, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0), jx, jy, jz, ox, oy, oz, x0, z0
    )
    return math.atan2(abs(sy), math.hypot(sx, sz))


def band(high: float, *place: float) -> tuple[float, float]:
    """Side-view aims whose 3-D working angle is at most ``high``, rad; (0, 0) where the floor is
    above it.
    """
    jx, _, jz, ox, _, oz, x0, z0 = place
    ends = []
    for sign in (-1.0, 1.0):
        aim = 0.0
        for _ in range(12):
            sx, sy, sz = shaft(elevation(aim=aim, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0), *place)
            part = math.cos(high) / math.cos(math.atan2(abs(sy), math.hypot(sx, sz)))
            aim = sign * math.acos(part) if part < 1 else 0.0
        ends.append(aim)
    return ends[0], ends[1]


def window(low: float, high: float, level: float, *place: float) -> tuple[float, float]:
    """Side-view aims whose caster lies within low..high, rad; ``level`` is the caster read with the
    pinion level.
    """
    jx, _, jz, ox, _, oz, x0, z0 = place
    return side_view(up=level - high, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0), side_view(
        up=level - low, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0
    )


def held(target: float, shaft: tuple[float, float], caster: tuple[float, float]) -> float:
    """``target`` inside the shaft's own limits, and inside the caster's too where they overlap;
    where they do not, the shaft's decide and caster is cured at the knuckles. All in rad.

    >>> held(0.0, (0.1, 0.3), (0.2, 0.5)), held(0.0, (0.1, 0.3), (0.4, 0.5))
    (0.2, 0.1)
    """
    low, high = max(shaft[0], caster[0]), min(shaft[1], caster[1])
    if low > high:
        low, high = shaft
    return min(max(target, low), high)


def aim(
    target: float, high: float, low_caster: float, high_caster: float, level: float, *place: float
) -> float:
    """Side-view working angle used with a double-Cardan, rad: the target held in the band and in
    the caster window.
    """
    return held(target, band(high, *place), window(low_caster, high_caster, level, *place))


def parallel(
    down: float, low_caster: float, high_caster: float, level: float, *place: float
) -> float:
    """Side-view working angle used with single joints at both ends, rad: pinion and output shaft
    parallel in side view (pinion nose up = output front down), moved into the caster window where
    that keeps them within ``APART`` of each other.
    """
    jx, _, jz, ox, _, oz, x0, z0 = place
    up = held(down, (down - APART, down + APART), (level - high_caster, level - low_caster))
    return side_view(up=up, jx=jx, jz=jz, ox=ox, oz=oz, x0=x0, z0=z0)


def transfer(down: float, up: float, *place: float) -> float:
    """3-D angle between the transfer case's output axis and the shaft, rad. ``down``: of that axis,
    front down +, rad; ``place``: as ``SPACE`` names it, mm.
    """
    sx, sy, sz = shaft(up, *place)
    c, s = math.cos(down), math.sin(down)
    return math.atan2(math.hypot(s * sy, c * sz + s * sx, c * sy), -c * sx + s * sz)


def swung(
    x0: float, z0: float, x1: float, z1: float, up: float, behind: float, left: float, right: float
) -> float:
    """Pinion elevation, rad, after the axle swung about the frame-joint line; track bar not
    counted.

    Parameters
    ----------
    x0, z0, x1, z1 : float
        Axle center before and after, mm.
    up : float
        Pinion elevation before, rad.
    behind, left, right : float
        Frame joints: how far behind the plumb line, and their heights, mm.
    """
    zf = (left + right) / 2
    return up + math.atan2(z0 - zf, x0 + behind) - math.atan2(z1 - zf, x1 + behind)


_SWING = "pinion.up arms.joint_behind arms.joint_height@L arms.joint_height@R"
_CASTER = "wanted.caster_low wanted.caster_high axle.caster_at_level_pinion"
_TITLE = "side-view working angle at the pinion, nose above the shaft line +"
AIM = row(
    "pinion.aim",
    f"wanted.pinion_working wanted.band_high {_CASTER} {SPACE}",
    aim,
    "target, held in {3-D working angle <= band} and in the caster window where both can be had",
    _TITLE,
    "angle",
)
AIM_PARALLEL = row(
    "pinion.aim",
    f"driveline.output_axis_down {_CASTER} {SPACE}",
    parallel,
    "pinion nose up = output front down, within 1 deg, in the caster window where both can be had",
    _TITLE,
    "angle",
    source=(
        "two joints cancel at equal angles, end shafts parallel or meeting in one plane (Fischer"
        " and Paul, ASME); 1 deg: joint maker"
    ),
)
AIM_OWED = row(
    "pinion.aim",
    "wanted.pinion_working driveline.type",
    lambda target, _: target,
    "by the kind of shaft",
    _TITLE,
    "angle",
)


def aimed(kind: str) -> Relation:
    """What the pinion is aimed by with a front shaft of ``kind`` ("double_cardan" or "single");
    without it all waits for ``driveline.type``.
    """
    return {"double_cardan": AIM, "single": AIM_PARALLEL}.get(kind, AIM_OWED)


PLAIN_AIM = row(
    "pinion.aim", "wanted.pinion_working", lambda t: t, "aim = target", AIM.title, "angle"
)

RELATIONS: tuple[Relation, ...] = (
    row(
        "pinion.up",
        f"pinion.aim {PLACE}",
        elevation,
        "up = aim + atan2(s_z, -s_x)(up)",
        "pinion at ride height, nose up +",
        "angle",
    ),
    row(
        "caster.ride",
        "axle.caster_at_level_pinion pinion.up",
        lambda c, up: c - up,
        "caster = C0 - pinion up",
        "caster at ride height",
        "angle",
    ),
    row(
        "pinion_point.x",
        "axle.pinion_joint.x axle.pinion_joint.z axle.x_ride pinion.up",
        lambda x, z, x0, up: x0 + turned_x(x, z, up),
        "x0 + x cos(up) + z sin(up)",
        "pinion joint from the full-bump plumb line",
    ),
    row(
        "pinion_point.z",
        "axle.pinion_joint.x axle.pinion_joint.z axle.z_ride pinion.up",
        lambda x, z, z0, up: z0 + turned_z(x, z, up),
        "z0 - x sin(up) + z cos(up)",
        "pinion joint above the floor",
    ),
    row(
        "pinion.working",
        f"pinion.up {SPACE}",
        working,
        "angle between pinion axis and shaft in space",
        "working angle at the pinion joint",
        "angle",
    ),
    row(
        "pinion.floor",
        SPACE,
        floor,
        "atan(|s_y| / hypot(s_x, s_z)) with the pinion in line in side view",
        "least working angle the sideways offset allows",
        "angle",
    ),
    row(
        "shaft.slope",
        "pinion_point.x pinion_point.z driveline.output.x driveline.output.z",
        lambda px, pz, ox, oz: math.atan2(oz - pz, px - ox),
        "atan2(s_z, -s_x)",
        "shaft in side view, rising rearward +",
        "angle",
    ),
    row(
        "shaft.length",
        f"pinion.up {SPACE}",
        lambda up, *p: math.hypot(*shaft(up, *p)),
        "|output - pinion joint|",
        "shaft, joint to joint, at ride height",
    ),
    row(
        "shaft.transfer",
        f"driveline.output_axis_down pinion.up {SPACE}",
        transfer,
        "angle between output axis and shaft in space",
        "working angle at the transfer-case joint",
        "angle",
    ),
    row(
        "pinion.up_at_bump",
        f"axle.x_ride axle.z_ride axle.x_bump axle.z_bump {_SWING}",
        swung,
        "up - turn of the axle about the frame joints",
        "pinion at full bump, nose up +, track bar not counted",
        "angle",
    ),
    row(
        "pinion.up_at_droop",
        f"axle.x_ride axle.z_ride axle.x_droop axle.z_droop {_SWING}",
        swung,
        "up - turn of the axle about the frame joints",
        "pinion at full droop, nose up +, track bar not counted",
        "angle",
    ),
)
