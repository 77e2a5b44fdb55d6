"""Strips on the rail's flanges along the cut: they close the cell where the cut took the corner and
the plate alone does not reach or carry.

Each lies flat on its flange, outer edge flush with the coil-seat plate's face; the plate's edge
stands on it. Long edges are welded, ends stay free: nothing is welded across a flange. A drain hole
lets the closed rail breathe and drain.
"""

from __future__ import annotations

from ..design.weld_size import WELD
from ..geometry.contours import Corner, rounded
from ..model.assembly import Assembly, Bolt, Member, Port, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Number
from ..rules.welds import leg_for
from ._from_stock import plate_keys
from ._holding import held
from ._holds_coil import STRIPS_REST, strips
from ._lengths import IN
from ._room_rules import room_rule

DRAIN = 5 * IN / 16
"""Diameter of the drain hole, mm (practice)."""


def outline(ends: tuple[float, float], out: float, wide: float) -> Loop:
    """Strip along x between its ``ends``: outer edge at y = ``out``, inner one at y = ``wide``.

    Both change sign with the flange's frame; the ends are cut back at 45 degrees.
    """
    (x0, x1), taper = ends, abs(wide)
    pts = [
        ("outer", x0, out),
        ("front", x1, out),
        ("front_slope", x1, 0.0),
        ("inner", x1 - taper, wide),
        ("rear_slope", x0 + taper, wide),
        ("rear", x0, 0.0),
    ]
    if wide < 0:
        pts = [
            ("inner", x0 + taper, wide),
            ("front_slope", x1 - taper, wide),
            ("front", x1, 0.0),
            ("outer", x1, out),
            ("rear", x0, out),
            ("rear_slope", x0, 0.0),
        ]
    return rounded([Corner(name, x, y) for name, x, y in pts])


def strip(
    sizes: Sizes, site: Site, face: Port, name: str, code: str
) -> tuple[Member, list[Weld], Bolt]:
    """One strip on the ``name`` flange ("bottom" or "top"): its local x along the rail, y inboard
    or outboard as the flange's frame has it.
    """
    port = site.port(f"rail.coil.{name}")
    inward = -1.0 if port.frame.y[1] > 0 else 1.0
    ahead = -(face.frame.origin[0] - port.frame.origin[0])
    x0, x1 = sorted(
        (
            -(face.size["front"] - face.size["reach"] + face.size["half"]) - ahead,
            -(face.size["rear"] + face.size["reach"] - face.size["half"]) - ahead,
        )
    )
    out, wide = -face.size["t"] * inward, face.size["width"] * inward
    member = Member(
        code,
        f"rail strip, {name}",
        "RS",
        Plate(sizes.stock("plate"), outline((x0, x1), out, wide)),
        port.frame,
        ("outer", "rear"),
        fixed_after="plates in",
        ref=f"on the rail's {name}, outer edge flush with the coil-seat plate",
    )
    joined = welds(site, face, port, name, code)
    at = port.frame.out(((x0 + x1) / 2, wide / 2, 0.0))
    drain = Bolt(
        id=f"strip.{name}.drain",
        at=at,
        along=port.frame.z,
        size="",
        grade="",
        through=(code,),
        duty="drain",
        hole=f"{DRAIN:.3f}",
    )
    return member, joined, drain


def welds(site: Site, face: Port, port: Port, name: str, code: str) -> list[Weld]:
    """Inner edge of the strip to its flange, and the coil-seat plate's edge to the strip."""
    care = frozenset({"closes the cell: no gap", "ends free"})
    return [
        Weld(
            f"strip.{name}.rail",
            code,
            ("inner",),
            port.member,
            "fillet",
            leg_for(site.shop.legs, face.size["t"], port.size["wall"]),
            care=care,
            stop=IN / 4,
            order=2,
        ),
        Weld(
            f"strip.{name}.plate",
            face.member,
            (name,),
            code,
            "fillet",
            leg_for(site.shop.legs, face.size["t"]),
            care=care,
            order=2,
        ),
    ]


def build(sizes: Sizes, site: Site) -> Assembly:
    """RS1 under the rail and RS2 on it, where the cut reaches that flange; nothing if the plate
    needs no strip.
    """
    face = site.port("coil.plate")
    members, joined, bolts = [], [], []
    for name, code in (("bottom", "RS1"), ("top", "RS2")):
        if face.size["strip"] and face.size[name]:
            member, lines, drain = strip(sizes, site, face, name, code)
            members.append(member)
            joined += lines
            bolts.append(drain)
    return held(
        Assembly(tuple(members), tuple(bolts[:1]), tuple(joined)),
        strips(not site.open_face()),
        STRIPS_REST,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Chosen with the coil-seat plate: only its thickness decides here."""
    return grid["plate.t"]


def same(grid: Grid, site: Site) -> tuple[Number, Number]:
    """The strip is of the coil-seat plate's own thickness: its section was checked so."""
    return abs(grid["plate.t"] - site.port("coil.plate").size["t"]), 0.05


FAMILY = Family(
    code="RS",
    title="rail strips",
    where="each side",
    needs=("coil.plate", "rail.coil.bottom", "rail.coil.top"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys), WELD),
    rules=(room_rule("strip.same", same, "strip as thick as the coil-seat plate"),),
    mass=mass,
    build=build,
    sheet="coil tower",
    roles={Role.LOW_STRIP: ("RS1",), Role.HIGH_STRIP: ("RS2",)},
)
