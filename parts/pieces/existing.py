"""What is on the truck already, each side: rail segments between stations, the coil, and the ports
parts stand on.

Nothing here is made. Rails are straight from station to station: outer face and bottom edge run
exactly through the readings, width and height of a segment are those of its middle.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from ..geometry.contours import Corner, rectangle, rounded
from ..model.assembly import Assembly, Bolt, Member, Port
from ..model.body import Bar, Bought, Existing, Helix, Loop
from ..model.family import Family, Grid, Site, Sizes
from ..model.terms import Role, There
from ..model.vectors import Frame, Vec3, add, cross, scale, sub, unit

PLACES = ("coil", "cross", "bar", "stop")
UP: Vec3 = (0.0, 0.0, 1.0)


def stations(site: Site) -> list[int]:
    """Station numbers in order of x, rear first."""
    found: list[int] = []
    while site.has(f"frame.station.{len(found) + 1}.x"):
        found.append(len(found) + 1)
    return sorted(found, key=lambda number: site.q(f"frame.station.{number}.x"))


def corner_at(site: Site, number: int) -> Vec3:
    """Outer lower corner of the rail at station ``i``."""
    reading = f"frame.station.{number}."
    return (site.q(reading + "x"), site.q(reading + "outer"), site.q(reading + "bottom"))


def segment(site: Site, start: int, end: int, number: int) -> Member:
    """Rail from station i to station j as member ``rail<n>``; local x outward, y up, z along the
    rail.
    """
    low_start, low_end = corner_at(site, start), corner_at(site, end)
    mean = {
        name: (site.q(f"frame.station.{start}.{name}") + site.q(f"frame.station.{end}.{name}")) / 2
        for name in ("width", "height", "wall")
    }
    along = sub(low_end, low_start)
    outward = unit(cross(UP, along))
    place = Frame.of(low_start, outward, along)
    length = sum(part * part for part in along) ** 0.5
    return Member(
        f"rail{number}",
        "frame rail",
        "EX",
        Existing(There.RAIL, Bar(length, *_section(site, mean))),
        place,
        ref="on the truck",
        fixed_after="existing",
    )


def _section(site: Site, mean: Mapping[str, float]) -> tuple[Loop, tuple[Loop, ...]]:
    """Outer loop and openings of the rail section, outer lower corner at the origin, x outward."""
    radius = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    width, height, wall = mean["width"], mean["height"], mean["wall"]
    outer = rectangle(-width, 0.0, 0.0, height, radius)
    if site.word("frame.section") == "channel":
        return _channel(width, height, wall, site.word("frame.open_side")), ()
    return outer, (rectangle(-width + wall, wall, -wall, height - wall, max(0.0, radius - wall)),)


def _channel(width: float, height: float, wall: float, opens: str) -> Loop:
    """Channel: its web on the outer face, or on the inner one where it opens outboard."""
    pts = [
        (-width, 0.0),
        (0.0, 0.0),
        (0.0, height),
        (-width, height),
        (-width, height - wall),
        (-wall, height - wall),
        (-wall, wall),
        (-width, wall),
    ]
    names = ["bottom", "side", "top", "lip_top", "in_top", "in_side", "in_bottom", "lip_bottom"]
    if opens == "outboard":
        # turned about the upright middle line; the order of the corners turns with it
        pts = [(-width - y, z) for y, z in reversed(pts)]
        names = ["lip_bottom", "in_bottom", "in_side", "in_top", "lip_top", "top", "side", "bottom"]
    return rounded([Corner(name, x, y) for name, (x, y) in zip(names, pts, strict=True)])


def rail_at(site: Site, at: str) -> tuple[str, Vec3, Vec3]:
    """Member id of the rail segment at a place, its outer lower corner there, and the rail's
    direction (forward).
    """
    order = stations(site)
    x = place_x(site, at)
    number = 1
    for before in range(len(order) - 1):
        if x >= site.q(f"frame.station.{order[before]}.x"):
            number = before + 1
    slope_side, slope_bottom = site.q(f"rail.{at}.slope_side"), site.q(f"rail.{at}.slope_bottom")
    return (
        f"rail{number}",
        (x, site.q(f"rail.{at}.outer"), site.q(f"rail.{at}.bottom")),
        unit((1.0, slope_side, slope_bottom)),
    )


def place_x(site: Site, at: str) -> float:
    """x of the named place along the rail."""
    return site.q(f"rail.{at}.x")


def rail_ports(site: Site, at: str) -> dict[str, Port]:
    """Ports rail.<at>.side / .inner / .bottom / .top; origin on the edge of that face nearest
    outer-lower, x forward along the rail.
    """
    member, corner, along = rail_at(site, at)
    size = {name: site.q(f"rail.{at}.{name}") for name in ("width", "height", "wall")}
    size["corner"] = site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0
    outward = unit(cross(UP, along))
    up = cross(along, outward)
    inner = sub(corner, scale(outward, size["width"]))
    top = add(corner, scale(up, size["height"]))
    made = {
        f"rail.{at}.side": Port(Frame.of(corner, along, outward), size, member),
        f"rail.{at}.inner": Port(Frame.of(inner, along, scale(outward, -1.0)), size, member),
        f"rail.{at}.bottom": Port(Frame.of(corner, along, scale(up, -1.0)), size, member),
        f"rail.{at}.top": Port(Frame.of(top, along, up), size, member),
    }
    return {name: port for name, port in made.items() if name != f"rail.{at}.{site.open_face()}"}


COIL = ("spring.mean_diameter", "spring.wire", "spring.total_coils")


def coil(site: Site) -> Member:
    """The loaded coil at ride height, as a helix between its seats."""
    low = (site.q("seat.lower.x"), site.q("seat.lower.y"), site.q("seat.lower.z"))
    body = Helix(
        site.q("spring.loaded"),
        site.q("spring.mean_diameter"),
        site.q("spring.wire"),
        site.q("spring.total_coils"),
    )
    return Member(
        "coil",
        "coil spring",
        "EX",
        Bought("coil spring", body),
        Frame.of(low, UP, (1.0, 0.0, 0.0)),
        ref="between the seats",
        fixed_after="existing",
    )


def kept_holes(site: Site, order: list[int]) -> tuple[Bolt, ...]:
    """Holes that are in the rail's side or bottom and must stay free, the datum hole with them: an
    axis each, "keep" by its duty.
    """
    found, number = [], 1
    while site.has(f"frame.hole.{number}.x"):
        reading = f"frame.hole.{number}."
        if (
            site.word(reading + "side") == "left"
            and site.word(reading + "use") != "crossmember"
            and site.word(reading + "face") in ("side", "bottom")
        ):
            found.append(kept_hole(site, order, number, reading))
        number += 1
    return tuple(found)


def kept_hole(site: Site, order: list[int], number: int, reading: str) -> Bolt:
    """Axis of one hole, on the straight line between its stations."""
    x, up = site.q(reading + "x"), site.q(reading + "from_edge")
    before = next(
        (
            before
            for before, station in enumerate(order[1:])
            if x <= site.q(f"frame.station.{station}.x")
        ),
        len(order) - 2,
    )
    low_start, low_end = corner_at(site, order[before]), corner_at(site, order[before + 1])
    share = (x - low_start[0]) / (low_end[0] - low_start[0])
    side = site.word(reading + "face") == "side"
    at = (
        x,
        low_start[1] + share * (low_end[1] - low_start[1]) - (0.0 if side else up),
        low_start[2] + share * (low_end[2] - low_start[2]) + (up if side else 0.0),
    )
    width = site.q(f"frame.station.{order[before]}.width") if side else 0.0
    return Bolt(
        id=f"hole.{number}",
        at=at,
        along=(0.0, -1.0, 0.0) if side else UP,
        size="",
        grade="",
        through=(f"rail{before + 1}",),
        duty="keep",
        hole=f"{site.q(reading + 'diameter'):.3f}",
        length=width,
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Rail segments, ports at every place whose readings are there, holes to keep free, and the
    coil if it is solved.
    """
    order = stations(site)
    rails = tuple(
        segment(site, start, end, before + 1)
        for before, (start, end) in enumerate(itertools.pairwise(order))
    )
    ports: dict[str, Port] = {}
    for at in PLACES:
        if site.there(f"rail.{at}.outer"):
            ports |= rail_ports(site, at)
    seat = (f"seat.lower.{axis}" for axis in "xyz")
    wound = all(map(site.there, ("spring.loaded", *seat, *COIL)))
    members = (*rails, coil(site)) if wound else rails
    return Assembly(
        members=members, bolts=kept_holes(site, order) if len(order) > 1 else (), ports=ports
    )


def mass(grid: Grid, site: Site) -> float:
    """Existing things weigh nothing in the sizing."""
    return 0.0


FAMILY = Family(
    code="EX",
    title="rails and coils on the truck",
    where="each side",
    needs=(),
    gives=tuple(
        f"rail.{at}.{face}" for at in PLACES for face in ("side", "inner", "bottom", "top")
    ),
    variables=(),
    rules=(),
    mass=mass,
    build=build,
    roles={Role.TRUCK: ("EX",)},
)
