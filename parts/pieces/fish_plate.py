"""Fish plate behind the crossmember's side bolts: a spear-ended plate on the rail's inner side that
spreads them over the thin wall.

On a boxed rail it lies on the inner wall, on a channel against the inside of the web. Its long
edges are stitched, the points stay free: no weld runs across the rail and no end stands square to
the load. On a rail that may be heat-treated it is clamped by the bolts alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.weld_size import WELD
from ..geometry.contours import Corner, rounded
from ..model.assembly import Assembly, Bolt, Member, Scribe, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec2, add, scale
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


def holes(site: Site) -> tuple[Vec2, ...]:
    """Side bolts in the side plate's own axes (x rearward, y up)."""
    size = site.port("cross.holes").size
    return tuple((size[f"x{i}"], size[f"y{i}"]) for i in range(1, int(size["n"]) + 1))


def edges(site: Site) -> tuple[float, float]:
    """Lower and upper edge above the rail's bottom: on the flat of the wall, a weld leg clear of
    the corners.
    """
    wall = site.q("rail.cross.wall")
    corner = (
        max(site.q("frame.corner_radius") if site.has("frame.corner_radius") else 0.0, wall) + wall
    )
    return corner, site.q("rail.cross.height") - corner


def outline_of(site: Site) -> Loop:
    """Spear at mid-depth: past the outermost bolts by one rail height, then in at 45 degrees to a
    blunt point.
    """
    base, height = site.port("cross.holes").size["base"], site.q("rail.cross.height")
    low, high = (base + e for e in edges(site))
    reach = max(abs(x) for x, _ in holes(site)) + height
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


def face(site: Site) -> Frame:
    """The plate's own axes: those of the rail's inner face, x forward, y up, z inboard, origin at
    the side plate's origin.
    """
    port = site.port("cross.holes")
    deep = (
        site.q("rail.cross.wall") if site.word("frame.section") == "channel" else port.size["width"]
    )
    rail = port.frame
    return Frame(add(rail.origin, scale(rail.z, -deep)), scale(rail.x, -1.0), scale(rail.z, -1.0))


def plate(sizes: Sizes, site: Site) -> Member:
    """Plate FP1 on the rail's inner side."""
    place = face(site)
    return Member(
        "FP1",
        "fish plate, crossmember",
        "FP",
        Plate(sizes.stock("plate"), outline_of(site)),
        place,
        ("front_low", "lower"),
        fixed_after="crossmember",
        ref=(
            "on the rail's inner side behind the crossmember's bolts; its middle"
            f" {from_datum(site, place.out((0.0, outline_mid(site), 0.0)))}"
        ),
    )


def bare_holes(site: Site) -> tuple[Bolt, ...]:
    """What the side bolts pass; the bolts are the side plate's."""
    side = site.port("cross.holes").frame
    return tuple(
        Bolt(
            id=f"cross.side#{number}.fish",
            at=side.out((x, y, 0.0)),
            along=scale(side.z, -1.0),
            size=bolt_of(site),
            grade="",
            through=("FP1",),
            duty="frame",
            hole="close",
        )
        for number, (x, y) in enumerate(holes(site), 1)
    )


def long_weld(sizes: Sizes, site: Site) -> Weld:
    """Both long edges stitched to the rail's wall."""
    return Weld(
        "fish.long",
        "FP1",
        ("lower", "upper"),
        site.port("rail.cross.side").member,
        "fillet",
        leg_for(site.shop.legs, site.q("rail.cross.wall"), sizes["plate.t"]),
        run=2 * IN,
        pitch=6 * IN,
        care=frozenset({"crossmember bolted up while welding", "points free"}),
        stop=IN / 4,
        order=4,
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Plate FP1 and the holes the side bolts pass; welded only where the rail is known not to be
    heat-treated.
    """
    welded = site.word("frame.heat_treated") == "no"
    middle = outline_mid(site)
    upright = line((0.0, middle - 1.5 * IN), (0.0, middle + 1.5 * IN))
    return held(
        Assembly(
            members=(plate(sizes, site),),
            bolts=bare_holes(site),
            welds=(long_weld(sizes, site),) if welded else (),
            scribes=(Scribe("FP1", "center", upright),),
        ),
        (),
        FISH,
    )


def outline_mid(site: Site) -> float:
    """Height of the plate's middle in its own y."""
    return site.port("cross.holes").size["base"] + site.q("rail.cross.height") / 2


def bolt_of(site: Site) -> str:
    """Stock key of the side bolts."""
    through = site.port("cross.holes").size["d"]
    return min(frame_bolts(site.shop), key=lambda key: abs(float(bolt_size(key).d) - through))


def mass(grid: Grid, site: Site) -> Number:
    """Plate by its box, kg."""
    low, high = edges(site)
    return (
        (2 * max(abs(x) for x, _ in holes(site)) + 3 * site.q("rail.cross.height"))
        * (high - low)
        * grid["plate.t"]
        * STEEL
    )


def stiff(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Three quarters of the rail's wall (practice) against the plate."""
    return 0.75 * site.q("rail.cross.wall"), grid["plate.t"]


def nearest_edge(grid: Grid, site: Site) -> Number:
    """The way from a bolt to the nearest long edge, mm."""
    base, (low, high) = site.port("cross.holes").size["base"], edges(site)
    near = min(min(y - base - low, high - y + base) for _, y in holes(site))
    return near + 0 * grid["plate.t"]


def from_wall(grid: Grid, site: Site) -> Mapping[str, Number]:
    """Arguments of the thickness rules."""
    return {"t_mm": grid["plate.t"], "wall_mm": site.q("rail.cross.wall")}


FAMILY = Family(
    code="FP",
    title="fish plate",
    where="each side",
    needs=("cross.holes", "rail.cross.side"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys), WELD),
    rules=(
        room_rule("fish.stiff", stiff, "fish plate at least three quarters of the rail's wall"),
        room_rule(
            "fish.leg",
            lambda grid, site: (min(site.shop.legs), grid["plate.t"]),
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
    sheet="crossmember side",
    roles={Role.BOTTOM_HOLES: ("FP",), Role.FIRST_CUT: ("FP",)},
)
