"""Tabs of the shock absorber: a pair on the axle tube, a pair on the coil-seat plate."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ...layout import reader
from ..design.site import Refused
from ..geometry.hull import ear
from ..model.assembly import Bolt, Member, Port, Weld
from ..model.body import Bought, Existing, Loop, Plate, Rod
from ..model.family import Site
from ..model.vectors import Frame, Vec3, add, scale
from ..rules.welds import leg_for
from ..stock.classes import class_for
from ._from_stock import bolt_size
from ._lengths import IN
from ._outlines import ear_radius
from ._rail_places import from_datum
from ._refusals import off_casting
from ._saddles import ear_to_tube

Y: Vec3 = (0.0, 1.0, 0.0)


CARE = frozenset({"shock out", "opposite sides in turn"})


def end_radius(bolt: str) -> float:
    """1.5 bolt diameters (practice), to the next 1/16 in."""
    return float(ear_radius(bolt_size(bolt).d))


def axle_ear(site: Site, at: Vec3, end: float, side: float, t: float) -> Loop:
    """Ear ``t`` thick about a pin square to the truck, its foot saddled on the axle tube; local x
    rearward for ``side`` +1, forward for -1, y up.
    """
    to = ((site.q("axle.x_ride") - at[0]) * -side, site.q("axle.z_ride") - at[2])
    return ear_to_tube(to, site.q("axle.tube_diameter"), end, t)


def gap(site: Site) -> float:
    """Between a pair of shock ears: the eye and 1/32 in for weld shrink (practice)."""
    return site.q("travel.shock_eye") + IN / 32


def eye(site: Site, bolt: str) -> Rod:
    """The shock's eye as a simple body: its width, twice the bolt's diameter (practice), the bolt's
    hole.
    """
    d = bolt_size(bolt).d
    return Rod(site.q("travel.shock_eye"), 2 * d, d)


def tab_weld(name: str, tab: str, foot: str, onto: str, leg: float, *, order: int) -> Weld:
    """A tab's foot to what it stands on, both faces, stopped 1/4 in short."""
    return Weld(
        name,
        tab,
        (foot,),
        onto,
        "fillet",
        leg,
        care=CARE,
        face="both",
        stop=IN / 4,
        order=order,
    )


def lower_shock(sizes: Mapping[str, Any], site: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST1 outboard, ST2 inboard; pin level with the axle at ride, bolt square to the truck."""
    t, bolt = sizes["plate.t"], site.need("travel.shock_bolt")
    at: Vec3 = (site.q("travel.shock_x"), site.q("travel.shock_y"), site.q("axle.z_ride"))
    off_casting(site, at[1], gap(site) / 2 + t, "the lower shock tabs", "travel.shock_y")
    made, welds = [], []
    for code, side, name in (("ST1", 1.0, "out"), ("ST2", -1.0, "in")):
        place = Frame(add(at, scale(Y, side * gap(site) / 2)), (-side, 0.0, 0.0), scale(Y, side))
        made.append(
            Member(
                code,
                f"lower shock tab, {name}board",
                "ST",
                Plate(sizes["plate"], axle_ear(site, at, end_radius(bolt), side, t)),
                place,
                ("saddle", "end"),
                fixed_after="axle prepared",
                ref=f"on the axle tube; pin {from_datum(site, at)}",
            )
        )
        leg = leg_for(site.shop.legs, t, site.q("axle.tube_wall"))
        onto = site.port("axle.tube").member
        welds.append(tab_weld(f"shock.lower.{name}", code, "saddle", onto, leg, order=2))
    made.append(
        Member(
            "ST7",
            "shock absorber",
            "ST",
            Bought("shock absorber, eye both ends", eye(site, bolt)),
            Frame(add(at, scale(Y, -site.q("travel.shock_eye") / 2)), Y, (0.0, 0.0, 1.0)),
            fixed_after="set-down",
            ref="only its eyes are drawn",
        )
    )
    pin = Bolt(
        "shock.lower#1",
        add(at, scale(Y, -gap(site) / 2 - t)),
        Y,
        bolt,
        class_for(site, "shock", bolt),
        ("ST2", "ST7", "ST1"),
        "mount",
        "close",
    )
    return made, pin, welds


def top_point(site: Site, face: Port) -> tuple[Vec3, Vec3]:
    """Upper shock pin on the truck, and in the axes of the coil-seat plate's face.

    Refused where it does not stand over the plate.
    """
    at: Vec3 = (site.q("travel.shock_top_x"), site.q("travel.shock_y"), site.q("travel.shock_z"))
    p = face.frame.into(at)
    reach = 2 * site.q("rail.coil.height") - (face.size["high"] - face.size["low"]) / 2
    low, high = face.size["front"] - reach, face.size["rear"] + reach
    if not low < p[0] < high:
        raise Refused(
            f"the upper shock pin at {reader.length(at[0])} from the plumb line stands off the"
            " coil-seat plate's full height: choose travel.shock_top_x within"
            f" {reader.length(site.q('seat.upper.x') - high)} to"
            f" {reader.length(site.q('seat.upper.x') - low)}"
        )
    return at, p


def upper_shock(sizes: Mapping[str, Any], site: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST3 front, ST4 rear, square on the coil-seat plate; bolt along the rail."""
    face, t, bolt = site.port("coil.plate"), sizes["plate.t"], site.need("travel.shock_bolt")
    f = face.frame
    at, p = top_point(site, face)
    low, high = face.size["low"] + 3 * IN / 8, face.size["high"] - 3 * IN / 8
    made, welds = [], []
    for code, side, name in (("ST3", -1.0, "front"), ("ST4", 1.0, "rear")):
        foot = ((0.0, high), (0.0, low)) if side < 0 else ((0.0, low), (0.0, high))
        loop = ear(
            *foot, (-side * p[2], p[1]), end_radius(bolt), ("foot", "side_a", "end", "side_b")
        )
        place = Frame(
            f.out((p[0] + side * gap(site) / 2, 0.0, 0.0)), scale(f.z, -side), scale(f.x, side)
        )
        made.append(
            Member(
                code,
                f"upper shock tab, {name}",
                "ST",
                Plate(sizes["plate"], loop),
                place,
                ("foot", "end"),
                fixed_after="set-down",
                ref=f"square on the coil-seat plate; pin {from_datum(site, at)}",
            )
        )
        leg = leg_for(site.shop.legs, t, face.size["t"])
        welds.append(tab_weld(f"shock.upper.{name}", code, "foot", face.member, leg, order=8))
    made.append(
        Member(
            "ST8",
            "shock absorber, upper eye",
            "ST",
            Existing("shock", eye(site, bolt)),
            Frame(add(at, scale(f.x, -site.q("travel.shock_eye") / 2)), f.x, f.z),
            fixed_after="existing",
        )
    )
    pin = Bolt(
        "shock.upper#1",
        add(at, scale(f.x, -gap(site) / 2 - t)),
        f.x,
        bolt,
        class_for(site, "shock", bolt),
        ("ST3", "ST8", "ST4"),
        "mount",
        "close",
        length=site.q("travel.shock_eye"),
    )
    return made, pin, welds
