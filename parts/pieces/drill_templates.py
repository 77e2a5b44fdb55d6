"""Steel drill templates, each side: thin plates with pilot holes on the same axes as the side
plate's bolts.

DT1 lies on the rail's outer face, DT2 on its inner face, both with their lower edge flush with the
rail's bottom and a line at the cross tube's axis. They are tools: clamped on, drilled through,
taken off; the fit test passes over them (fixed_after "tool").
"""

from __future__ import annotations

from ..geometry.contours import Corner, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Scribe
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec2, scale
from ._from_stock import STEEL
from ._lengths import IN, round_up

PILOT = IN / 4
EDGE = IN


def hole_points(holes: Port) -> tuple[Vec2, ...]:
    """Side-wall bolt centers in the side plate's axes."""
    return tuple(
        (holes.size[f"x{i + 1}"], holes.size[f"y{i + 1}"]) for i in range(int(holes.size["n"]))
    )


def template_outline(points: tuple[Vec2, ...], base: float, height: float, flip: float) -> Loop:
    """Rectangle over the holes, its lower edge the rail's bottom; ``flip`` -1 turns the picture for
    the inner face.

    One upper corner is cut off at the front so that it cannot be laid on turned about.
    """
    low, high = min(x for x, _ in points) - EDGE, max(x for x, _ in points) + EDGE
    top = min(height - IN / 8, max(y for _, y in points) - base + round_up(EDGE))
    x0, x1 = (low, high) if flip > 0 else (-high, -low)
    cut = 0.75 * IN
    if flip > 0:  # local x runs rearward on the outer face, forward on the inner
        corners = [
            ("rail_bottom", x0, 0.0),
            ("rear_edge", x1, 0.0),
            ("top", x1, top),
            ("front_cut", x0 + cut, top),
            ("front_edge", x0, top - cut),
        ]
    else:
        corners = [
            ("rail_bottom", x0, 0.0),
            ("front_edge", x1, 0.0),
            ("front_cut", x1, top - cut),
            ("top", x1 - cut, top),
            ("rear_edge", x0, top),
        ]
    return rounded([Corner(n, x, y) for n, x, y in corners])


def template(sizes: Sizes, code: str, holes: Port, flip: float) -> Member:
    """One template; origin on the rail's bottom edge below the tube's axis."""
    f, size = holes.frame, holes.size
    origin = f.out((0.0, size["base"], 0.0 if flip > 0 else -size["width"]))
    frame = Frame(origin, scale(f.x, flip), scale(f.z, flip))
    body = Plate(
        sizes.stock("plate"),
        template_outline(hole_points(holes), size["base"], size["height"], flip),
    )
    where = "outer" if flip > 0 else "inner"
    return Member(
        code,
        f"drill template, rail {where} face",
        "DT",
        body,
        frame,
        ("rail_bottom", "rear_edge"),
        fixed_after="tool",
        ref=(
            f"tool: clamp on the rail's {where} face, lower edge flush with the rail's bottom, line"
            " at the tube's axis"
        ),
    )


def pilots(holes: Port) -> tuple[Bolt, ...]:
    """Pilot holes of both templates, one axis each."""
    f = holes.frame
    return tuple(
        Bolt(
            id=f"template.side#{i + 1}",
            at=f.out((x, y, 0.0)),
            along=scale(f.z, -1.0),
            size="3/8-16",
            grade="",
            through=("DT1", "DT2"),
            duty="witness",
            hole=f"{PILOT:.3f}",
        )
        for i, (x, y) in enumerate(hole_points(holes))
    )


def scribes(holes: Port) -> tuple[Scribe, ...]:
    """Tube axis line and words."""
    top = max(y for _, y in hole_points(holes)) - holes.size["base"]
    found = []
    for code in ("DT1", "DT2"):
        found.append(Scribe(code, "center", (((0.0, 0.0), (0.0, top)),), "TUBE"))
        found.append(Scribe(code, "text", (((IN / 4, IN / 4), (IN / 2, IN / 4)),), "THIS FACE OUT"))
    return tuple(found)


def build(sizes: Sizes, site: Site) -> Assembly:
    """Both templates."""
    holes = site.port("cross.holes")
    return Assembly(
        members=(template(sizes, "DT1", holes, 1.0), template(sizes, "DT2", holes, -1.0)),
        bolts=pilots(holes),
        scribes=scribes(holes),
    )


def mass(grid: Grid, site: Site) -> Number:
    """Two templates, kg."""
    size = site.port("cross.holes").size
    return 2 * size["height"] * 7 * IN * grid["plate.t"] * STEEL


FAMILY = Family(
    code="DT",
    title="drill templates",
    where="each side",
    needs=("cross.holes",),
    gives=(),
    variables=(
        Variable(
            "plate",
            "plate",
            lambda shop: tuple(p.key for p in shop.plates if p.thickness <= 0.1875 * IN + 1e-6),
        ),
    ),
    rules=(),
    mass=mass,
    build=build,
    roles={Role.BOTTOM_HOLES: ("DT",), Role.FIRST_CUT: ("DT",)},
)
