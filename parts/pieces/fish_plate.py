"""Fish plate behind the crossmember's side bolts: a spear-ended plate on the rail's inner side that
spreads them over the thin wall.

On a boxed rail it lies on the inner wall, on a channel against the inside of the web. Its long
edges are stitched, the points stay free: no weld runs across the rail and no end stands square to
the load. On a rail that may be heat-treated it is clamped by the bolts alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..geometry.outline import Corner, rounded
from ..model.assembly import Assembly, Bolt, Member, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Variable
from ..model.vectors import Frame, Vec2, add, scale
from ..rules.frame import reinforcement, reinforcement_most
from ..rules.welds import leg_for
from ._from_stock import STEEL, bolt_size, frame_bolts, plate_keys
from ._holding import held
from ._holds_cross import FISH
from ._lengths import IN
from ._outlines import line
from ._rail_places import from_datum
from ._room_rules import edge_rule, room_rule

TIP = 0.75 * IN
"""Half width of the blunt point: no knife edge to burn away under the torch."""


def holes(s: Site) -> tuple[Vec2, ...]:
    """Side bolts in the side plate's own axes (x rearward, y up)."""
    size = s.port("cross.holes").size
    return tuple((size[f"x{i}"], size[f"y{i}"]) for i in range(1, int(size["n"]) + 1))


def edges(s: Site) -> tuple[float, float]:
    """Lower and upper edge above the rail's bottom: on the flat of the wall, a weld leg clear of
    the corners.
    """
    wall = s.q("rail.cross.wall")
    corner = max(s.q("frame.corner_radius") if s.has("frame.corner_radius") else 0.0, wall) + wall
    return corner, s.q("rail.cross.height") - corner


def outline_of(s: Site) -> Loop:
    """Spear at mid-depth: past the outermost bolts by one rail height, then in at 45 degrees to a
    blunt point.
    """
    base, height = s.port("cross.holes").size["base"], s.q("rail.cross.height")
    low, high = (base + e for e in edges(s))
    reach = max(abs(x) for x, _ in holes(s)) + height
    mid, half = (low + high) / 2, (high - low) / 2
    tip = reach + half - TIP
    return rounded(
        [
            Corner("lower", -reach, low),
            Corner("rear_low", reach, low),
            Corner("rear_tip", tip, mid - TIP, TIP / 2),
            Corner("rear_high", tip, mid + TIP, TIP / 2),
            Corner("upper", reach, high),
            Corner("front_high", -reach, high),
            Corner("front_tip", -tip, mid + TIP, TIP / 2),
            Corner("front_low", -tip, mid - TIP, TIP / 2),
        ]
    )


def face(s: Site) -> Frame:
    """The plate's own axes: those of the rail's inner face, x forward, y up, z inboard, origin at
    the side plate's origin.
    """
    port = s.port("cross.holes")
    deep = s.q("rail.cross.wall") if s.word("frame.section") == "channel" else port.size["width"]
    f = port.frame
    return Frame(add(f.origin, scale(f.z, -deep)), scale(f.x, -1.0), scale(f.z, -1.0))


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Plate FP1 and the holes the side bolts pass."""
    place, side = face(s), s.port("cross.holes").frame
    member = Member(
        "FP1",
        "fish plate, crossmember",
        "FP",
        Plate(d["plate"], outline_of(s)),
        place,
        ("front_low", "lower"),
        fixed_after="crossmember",
        ref=(
            "on the rail's inner side behind the crossmember's bolts; its middle"
            f" {from_datum(s, place.origin)}"
        ),
    )
    bolts = tuple(
        Bolt(
            f"cross.side#{i}.fish",
            side.out((x, y, 0.0)),
            scale(side.z, -1.0),
            bolt_of(s),
            "",
            ("FP1",),
            "frame",
            "close",
        )
        for i, (x, y) in enumerate(holes(s), 1)
    )
    rail = s.port("rail.cross.side").member
    leg = leg_for(s.shop.legs, s.q("rail.cross.wall"), d["plate.t"])
    care = frozenset({"crossmember bolted up while welding", "points free"})
    weld = Weld(
        "fish.long",
        "FP1",
        ("lower", "upper"),
        rail,
        "fillet",
        leg,
        run=2 * IN,
        pitch=6 * IN,
        care=care,
        stop=IN / 4,
        order=4,
    )
    marks = (
        Scribe(
            "FP1",
            "centre",
            line((0.0, -1.5 * IN + outline_mid(s)), (0.0, 1.5 * IN + outline_mid(s))),
        ),
    )
    return held(
        Assembly(
            (member,), bolts, (weld,) if s.word("frame.heat_treated") == "no" else (), scribes=marks
        ),
        (),
        FISH,
    )


def outline_mid(s: Site) -> float:
    """Height of the plate's middle in its own y."""
    return s.port("cross.holes").size["base"] + s.q("rail.cross.height") / 2


def bolt_of(s: Site) -> str:
    """Stock key of the side bolts."""
    through = s.port("cross.holes").size["d"]
    return min(frame_bolts(s.shop), key=lambda k: abs(float(bolt_size(k).d) - through))


def mass(v: Grid, s: Site) -> Any:
    """Plate by its box, kg."""
    low, high = edges(s)
    return (
        (2 * max(abs(x) for x, _ in holes(s)) + 3 * s.q("rail.cross.height"))
        * (high - low)
        * v["plate.t"]
        * STEEL
    )


def stiff(v: Grid, s: Site) -> tuple[Any, Any]:
    """Three quarters of the rail's wall (practice) against the plate."""
    return 0.75 * s.q("rail.cross.wall"), v["plate.t"]


def nearest_edge(v: Grid, s: Site) -> Any:
    """The way from a bolt to the nearest long edge, mm."""
    base, (low, high) = s.port("cross.holes").size["base"], edges(s)
    near = min(min(y - base - low, high - y + base) for _, y in holes(s))
    return near + 0 * v["plate.t"]


def from_wall(v: Grid, s: Site) -> Mapping[str, Any]:
    """Arguments of the thickness rules."""
    return {"t_mm": v["plate.t"], "wall_mm": s.q("rail.cross.wall")}


FAMILY = Family(
    code="FP",
    title="fish plate",
    where="each side",
    needs=("cross.holes", "rail.cross.side"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys),),
    rules=(
        room_rule("fish.stiff", stiff, "fish plate at least three quarters of the rail's wall"),
        room_rule(
            "fish.leg",
            lambda v, s: (min(s.shop.legs), v["plate.t"]),
            "fish plate takes the smallest fillet of the shop's list",
        ),
        edge_rule(
            "fish.edge", bolt_of, nearest_edge, "bolts keep their edge distance in the fish plate"
        ),
        Rule(
            "fish.thick",
            reinforcement_most,
            from_wall,
            "fish plate at most 1.5 times the rail's wall",
        ),
        Rule("fish.rail", reinforcement, from_wall, "fish plate no thicker than the rail's wall"),
    ),
    mass=mass,
    build=build,
    place="crossmember",
)
