"""Tabs of the shock absorber: a pair on the axle tube, a pair on the coil-seat plate."""

from __future__ import annotations

from typing import NamedTuple

from ...layout import reader
from ..design.site import Refused
from ..geometry.hull import ear
from ..model.assembly import Bolt, Member, Port, Weld
from ..model.body import Bought, Existing, Loop, Plate, Rod
from ..model.family import Site, Sizes
from ..model.terms import There
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


def axle_ear(site: Site, at: Vec3, end: float, side: float, thick: float) -> Loop:
    """Ear ``thick`` mm about a pin square to the truck, its foot saddled on the axle tube; local x
    rearward for ``side`` +1, forward for -1, y up.
    """
    to = ((site.q("axle.x_ride") - at[0]) * -side, site.q("axle.z_ride") - at[2])
    return ear_to_tube(to, site.q("axle.tube_diameter"), end, thick)


def gap(site: Site) -> float:
    """Between a pair of shock ears: the eye and 1/32 in for weld shrink (practice)."""
    return site.q("travel.shock_eye") + IN / 32


def eye(site: Site, bolt: str) -> Rod:
    """The shock's eye as a simple body: its width, twice the bolt's diameter (practice), the bolt's
    hole.
    """
    through = bolt_size(bolt).d
    return Rod(site.q("travel.shock_eye"), 2 * through, through)


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


def lower_tab(sizes: Sizes, site: Site, at: Vec3, code: str, name: str) -> Member:
    """One ear on the axle tube, ST1 outboard or ST2 inboard of the pin at ``at``."""
    side = 1.0 if name == "out" else -1.0
    end = end_radius(site.need("travel.shock_bolt"))
    return Member(
        code,
        f"lower shock tab, {name}board",
        "ST",
        Plate(sizes.stock("plate"), axle_ear(site, at, end, side, sizes["plate.t"])),
        Frame(add(at, scale(Y, side * gap(site) / 2)), (-side, 0.0, 0.0), scale(Y, side)),
        ("saddle", "end"),
        fixed_after="axle prepared",
        ref=f"on the axle tube; pin {from_datum(site, at)}",
    )


def lower_shock(sizes: Sizes, site: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST1 outboard, ST2 inboard, the shock ST7; pin level with the axle at ride, bolt square to the
    truck.
    """
    thick, bolt = sizes["plate.t"], site.need("travel.shock_bolt")
    at = (site.q("travel.shock_x"), site.q("travel.shock_y"), site.q("axle.z_ride"))
    off_casting(site, at[1], gap(site) / 2 + thick, "the lower shock tabs", "travel.shock_y")
    leg, tube = leg_for(site.shop.legs, thick, site.q("axle.tube_wall")), site.port("axle.tube")
    both = (("ST1", "out"), ("ST2", "in"))
    shock = Member(
        "ST7",
        "shock absorber",
        "ST",
        Bought("shock absorber, eye both ends", eye(site, bolt)),
        Frame(add(at, scale(Y, -site.q("travel.shock_eye") / 2)), Y, (0.0, 0.0, 1.0)),
        fixed_after="set-down",
        ref="only its eyes are drawn",
    )
    pin = Bolt(
        id="shock.lower#1",
        at=add(at, scale(Y, -gap(site) / 2 - thick)),
        along=Y,
        size=bolt,
        grade=class_for(site, "shock", bolt),
        through=("ST2", "ST7", "ST1"),
        duty="mount",
        hole="close",
    )
    welds = [
        tab_weld(f"shock.lower.{name}", code, "saddle", tube.member, leg, order=2)
        for code, name in both
    ]
    return [*(lower_tab(sizes, site, at, *which) for which in both), shock], pin, welds


class Top(NamedTuple):
    """The upper shock pin: on the truck, and in the axes of the coil-seat plate's ``face``."""

    at: Vec3
    on_face: Vec3
    face: Port


def top_of(site: Site) -> Top:
    """Refused where the pin does not stand over the plate."""
    face = site.port("coil.plate")
    at = (site.q("travel.shock_top_x"), site.q("travel.shock_y"), site.q("travel.shock_z"))
    on_face = face.frame.into(at)
    reach = 2 * site.q("rail.coil.height") - (face.size["high"] - face.size["low"]) / 2
    low, high = face.size["front"] - reach, face.size["rear"] + reach
    if not low < on_face[0] < high:
        raise Refused(
            f"the upper shock pin at {reader.length(at[0])} from the plumb line stands off the"
            " coil-seat plate's full height, which reaches from"
            f" {reader.length(site.q('seat.upper.x') - high)} to"
            f" {reader.length(site.q('seat.upper.x') - low)}: move travel.shock_top_x, the tabs"
            " clear of coil mount and slot too"
        )
    return Top(at, on_face, face)


def upper_tab(sizes: Sizes, site: Site, top: Top, code: str, name: str) -> Member:
    """One ear square on the coil-seat plate, ST3 ahead of the pin or ST4 behind it."""
    rearward, plate = -1.0 if name == "front" else 1.0, top.face.frame
    low = (0.0, top.face.size["low"] + 3 * IN / 8)
    high = (0.0, top.face.size["high"] - 3 * IN / 8)
    along, up, out = top.on_face
    loop = ear(
        *((high, low) if rearward < 0 else (low, high)),
        (-rearward * out, up),
        end_radius(site.need("travel.shock_bolt")),
        ("foot", "side_a", "end", "side_b"),
    )
    return Member(
        code,
        f"upper shock tab, {name}",
        "ST",
        Plate(sizes.stock("plate"), loop),
        Frame(
            plate.out((along + rearward * gap(site) / 2, 0.0, 0.0)),
            scale(plate.z, -rearward),
            scale(plate.x, rearward),
        ),
        ("foot", "end"),
        fixed_after="set-down",
        ref=f"square on the coil-seat plate; pin {from_datum(site, top.at)}",
    )


def upper_shock(sizes: Sizes, site: Site) -> tuple[list[Member], Bolt, list[Weld]]:
    """ST3 front, ST4 rear, the shock's eye ST8; bolt along the rail."""
    top, bolt = top_of(site), site.need("travel.shock_bolt")
    along = top.face.frame.x
    leg = leg_for(site.shop.legs, sizes["plate.t"], top.face.size["t"])
    both = (("ST3", "front"), ("ST4", "rear"))
    upper_eye = Member(
        "ST8",
        "shock absorber, upper eye",
        "ST",
        Existing(There.SHOCK, eye(site, bolt)),
        Frame(add(top.at, scale(along, -site.q("travel.shock_eye") / 2)), along, top.face.frame.z),
        fixed_after="existing",
    )
    pin = Bolt(
        id="shock.upper#1",
        at=add(top.at, scale(along, -gap(site) / 2 - sizes["plate.t"])),
        along=along,
        size=bolt,
        grade=class_for(site, "shock", bolt),
        through=("ST3", "ST8", "ST4"),
        duty="mount",
        hole="close",
        length=site.q("travel.shock_eye"),
    )
    welds = [
        tab_weld(f"shock.upper.{name}", code, "foot", top.face.member, leg, order=8)
        for code, name in both
    ]
    return [*(upper_tab(sizes, site, top, *which) for which in both), upper_eye], pin, welds
