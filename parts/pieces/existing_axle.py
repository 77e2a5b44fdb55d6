"""The axle on the truck, at ride height: tube and differential as simple bodies, and the port
brackets stand on.
"""

from __future__ import annotations

import math

from ..model.assembly import Assembly, Member, Port
from ..model.body import Existing, Rod
from ..model.family import Family, Grid, Site, Sizes
from ..model.terms import There
from ..model.vectors import Frame, Vec3, sub


def axle_frame(site: Site) -> Frame:
    """Origin at the axle center, x outboard to the left, z up turned with the pinion (nose up leans
    z forward).
    """
    up = site.q("pinion.up")
    return Frame.of(
        (site.q("axle.x_ride"), 0.0, site.q("axle.z_ride")),
        (0.0, 1.0, 0.0),
        (math.sin(up), 0.0, math.cos(up)),
    )


def on_axle(site: Site, x: float, y: float, z: float) -> Vec3:
    """Truck point of an axle-local point (pinion-level axes)."""
    up = site.q("pinion.up")
    cosine, sine = math.cos(up), math.sin(up)
    return (
        site.q("axle.x_ride") + x * cosine + z * sine,
        y,
        site.q("axle.z_ride") - x * sine + z * cosine,
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Axle tube and differential; port "axle.tube"."""
    frame = axle_frame(site)
    half, od = site.q("axle.tube_half_length"), site.q("axle.tube_diameter")
    wall = site.q("axle.tube_wall")
    tube = Rod(2 * half, od, max(0.0, od - 2 * wall))
    members = [
        Member(
            "axle",
            "axle tube",
            "EX",
            Existing(There.AXLE, tube),
            frame._replace(origin=(frame.origin[0], -half, frame.origin[2])),
            fixed_after="existing",
        )
    ]
    if all(site.there(f"axle.diff.{name}") for name in ("x1", "z1", "x2", "z2", "y", "radius")):
        members.append(_differential(site))
    return Assembly(
        members=tuple(members),
        ports={"axle.tube": Port(frame, {"od": od, "wall": wall, "half_length": half}, "axle")},
    )


def _differential(site: Site) -> Member:
    """The cast center: round about the axis from its rear to its front point, half a ball beyond
    each.
    """
    start = on_axle(site, site.q("axle.diff.x1"), site.q("axle.diff.y"), site.q("axle.diff.z1"))
    end = on_axle(site, site.q("axle.diff.x2"), site.q("axle.diff.y"), site.q("axle.diff.z2"))
    along = sub(end, start)
    body = Rod(
        math.sqrt(sum(middle * middle for middle in along)),
        2 * site.q("axle.diff.radius"),
        domed=True,
    )
    return Member(
        "diff",
        "differential",
        "EX",
        Existing(There.AXLE, body),
        Frame.of(start, along, (0.0, 1.0, 0.0)),
        fixed_after="existing",
    )


def mass(grid: Grid, site: Site) -> float:
    """Existing things weigh nothing in the sizing."""
    return 0.0


FAMILY = Family(
    code="EX",
    title="axle on the truck",
    where="center",
    needs=(),
    gives=("axle.tube",),
    variables=(),
    rules=(),
    mass=mass,
    build=build,
)
