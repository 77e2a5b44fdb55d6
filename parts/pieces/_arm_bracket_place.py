"""The arm frame bracket's axes, and what follows from them: where the tube is, how ears meet it."""

from __future__ import annotations

import math
from typing import Literal, NamedTuple, cast

from ..model.family import Site, Sizes
from ..model.vectors import Number, Vec3
from ..rules.welds import leg_for
from ._from_stock import bolt_size
from ._lengths import IN
from ._outlines import ear_radius

INSIDE_EXTRA = IN / 32
"""Ears to spacers, after weld shrink, mm (practice)."""


ROOT_GAP = 0.5
"""Most a fillet's line may stand off the tube, mm."""


SPAN = math.radians(120.0)
"""Of the tube under each foot."""


MARGIN = IN / 8
"""Joint's housing to bridge and ears at full swing, mm (practice)."""


FOOT_OVER = 0.2
"""By which the tighter face of an ear may bite into the tube's line, mm; dressed when fitted."""


class ArmBracketPlace(NamedTuple):
    """The joint and its bracket axes, tube center in them, sizes."""

    at: Vec3
    u: Vec3
    v: Vec3
    slant: float
    inside: float
    t: float
    end: float
    bolt_d: float
    od: float
    back: float
    drop: float
    legs: tuple[float, ...]


def spot(sizes: Sizes, site: Site) -> ArmBracketPlace:
    """Bracket axes and sizes.

    ``back``: the tube's axis behind the joint along x; ``drop``: below it (+).
    """
    at = (site.q("arm.joint.x"), site.q("arm.joint.y"), site.q("arm.joint.z"))
    slant = site.q("arm.slant")
    tube = site.port("cross.stub")
    size = bolt_size(site.need("arms.joint_bolt")).d
    end = float(ear_radius(size, sizes["slot"]))
    tube_center = tube.frame.origin
    return ArmBracketPlace(
        at=at,
        u=(math.cos(slant), math.sin(slant), 0.0),
        v=(-math.sin(slant), math.cos(slant), 0.0),
        slant=slant,
        inside=site.q("arms.joint_width") + INSIDE_EXTRA,
        t=sizes["plate.t"],
        end=end,
        bolt_d=size,
        od=tube.size["od"],
        back=at[0] - tube_center[0],
        drop=at[2] - tube_center[2],
        legs=site.shop.legs,
    )


def tube_behind(axes: ArmBracketPlace, outboard: float) -> float:
    """Distance of the tube's axis behind the joint along u, mm, in the upright plane that stands
    ``outboard`` of the joint (mm along v, inboard negative).
    """
    return (axes.back - outboard * math.sin(axes.slant)) / math.cos(axes.slant)


def foot_gap(t: float, slant: float) -> tuple[float, float]:
    """How far apart the tube's lines on an ear's two faces are, and what of it is left as root gap
    on the open face, both mm.

    ``t``: the ear, mm; ``slant``: of the joint's axes against the tube, rad. The tighter face may
    bite ``FOOT_OVER`` into the tube's line.

    >>> [round(each, 2) for each in foot_gap(10.0, 0.1)]
    [1.0, 0.8]
    """
    shift = t * abs(math.tan(slant))
    return shift, shift / 2 + (shift / 2 - FOOT_OVER + abs(shift / 2 - FOOT_OVER)) / 2


def bridge_back(axes: ArmBracketPlace) -> float:
    """Rear face of the bridge behind the joint along u: 1/32 in clear of the tube at its nearest
    corner.
    """
    return (
        min(tube_behind(axes, outboard) for outboard in (-axes.inside / 2, axes.inside / 2))
        - axes.od / 2 / math.cos(axes.slant)
        - IN / 32
    )


def swing_radius(site: Site, inside: Number) -> Number:
    """Reach of the joint's housing about the ball when it swings: its corner, mm.

    ``inside``: between the cheeks, mm, a float or an array; the reach likewise. A housing of unread
    width is the widest that can swing so far between the cheeks.
    """
    radius, most = site.q("arms.joint_housing") / 2, site.q("arms.max_joint_angle")
    if site.has("arms.joint_housing_width"):
        corner: float = (radius**2 + (site.q("arms.joint_housing_width") / 2) ** 2) ** 0.5
        return corner
    half = (inside / 2 - radius * math.sin(most)) / math.cos(most)
    return cast(Number, (radius**2 + half**2) ** 0.5)


def bridge_half(axes: ArmBracketPlace) -> float:
    """Half height of the bridge: inside the ears by a weld leg."""
    return float(axes.end - leg_for(axes.legs, axes.t) - IN / 16)


def foot_face(axes: ArmBracketPlace, side: float) -> Literal["bottom", "top"]:
    """Face of an ear its foot is welded on: outside, unless the slant opens a root gap there that a
    fillet should not have.
    """
    loose = side * axes.slant < 0 and foot_gap(axes.t, axes.slant)[1] > ROOT_GAP
    return "bottom" if loose else "top"
