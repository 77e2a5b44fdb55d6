"""Lower coil seat: a round seat on two saddles over the axle tube, level under the coil at ride
height, with a locating ring.
"""

from __future__ import annotations

import math

from ...layout import reader
from ..design.interlock import SPARE, room
from ..design.site import Refused
from ..design.weld_size import WELD
from ..geometry.contours import circle
from ..geometry.outline import check
from ..model.assembly import Assembly, Interlock, Member, Port, Scribe, Weld
from ..model.body import Edge, Loop, Plate
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number
from ..rules.welds import full_leg, leg_for
from ._coil import SADDLES, coil_od, ring_bore, ring_od
from ._conflicts import AXLE_TURNED, COIL_ROOM, SEAT
from ._from_stock import STEEL, plate_keys_over
from ._holding import held
from ._holds_lower import LOWER_SEAT, LOWER_SEAT_REST
from ._lengths import IN
from ._rail_places import from_datum
from ._room_rules import room_rule
from ._saddles import HORN, on_round, saddle, saddle_end

HALF = math.radians(50.0)
"""Half of the saddle's reach round the tube."""


def saddle_loop(site: Site, thick: float, rearward: float) -> Loop:
    """Saddle with the tube's center at the origin; ``rearward`` +1 where local x runs rearward.

    Refused where the seat stands too far from over the tube.
    """
    radius, flat = site.q("axle.tube_diameter") / 2, max(HORN, thick)
    top = site.q("seat.lower.z") - site.q("axle.z_ride") - thick
    middle = -(site.q("seat.lower.x") - site.q("axle.x_ride")) * rearward
    half = coil_od(site) / 2 - IN

    def ends(middle: float) -> tuple[float | None, float | None]:
        over = math.pi / 2
        return saddle_end(radius, flat, over, -HALF, (middle + half, top)), saddle_end(
            radius, flat, over, HALF, (middle - half, top)
        )

    right, left = ends(middle)
    if right is None or left is None:
        most = next((k * IN / 16 for k in range(160, -1, -1) if None not in ends(k * IN / 16)), 0.0)
        off = site.q("seat.lower.x") - site.q("axle.x_ride")
        raise Refused(
            f"the lower coil seat stands {reader.length(abs(off))}"
            f" {'ahead of' if off > 0 else 'behind'} the axle tube's middle: its saddles have no"
            f" tube under them beyond {reader.length(most)}. Set axle.spring_seat.x"
            f" {reader.length(abs(off) - most)} nearer the tube, or raise axle.spring_seat.z"
        )
    outer = radius + flat
    return check(
        (
            Edge("horn_right", on_round((0.0, 0.0), radius, radius, right)),
            Edge("right", on_round((0.0, 0.0), outer, outer, right)),
            Edge("seat", (middle + half, top)),
            Edge("left", (middle - half, top)),
            Edge("horn_left", on_round((0.0, 0.0), outer, outer, left)),
            *saddle((0.0, 0.0), radius, radius, left, right - left),
        )
    )


def seat_od(site: Site) -> float:
    """Seat: the coil's outside and 1/8 in all round (practice); more stands in the way of the
    upper-arm bolt's nut.
    """
    return coil_od(site) + IN / 4


def _winds(site: Site) -> int:
    """Which way the wire leaves the pig-tail's stop seen from above on the side shown: 1
    counter-clockwise (right hand), -1, 0 without one.
    """
    return {"right hand": 1, "left hand": -1}.get(site.word("spring.pigtail"), 0)


def pigtail_stop(site: Site) -> tuple[Scribe, ...]:
    """Where the coil's lower end stands, at the rear of the seat, and a stroke along the wire the
    way it leaves (practice, no source).
    """
    turn = _winds(site)
    if not turn:
        return ()
    low, high = ring_od(site) / 2 + IN / 16, coil_od(site) / 2
    mid = (low + high) / 2
    along = tuple(
        (mid * math.cos(turn * math.radians(a)), mid * math.sin(turn * math.radians(a)))
        for a in (0, 5, 10, 15, 20)
    )
    return (Scribe("LS1", "pig-tail", (((low, 0.0), (high, 0.0)), along)),)


def pigtail_ref(site: Site) -> str:
    """The same in the fitter's words; empty for a coil without a pig-tail."""
    if not _winds(site):
        return ""
    # the drawing is of the part as it lies on the truck: words are not mirrored, so the hand is the
    # coil's own
    hand = site.words["spring.pigtail"]
    way = "counterclockwise" if hand == "right hand" else "clockwise"
    return (
        f"; {hand} pig-tail ends against the mark at the rear, wire {way} from it seen from above"
    )


def seat_frame(site: Site, up: float) -> Frame:
    """Level under the coil, ``up`` mm above the seat's top face: x rearward, z up."""
    seat = (site.q("seat.lower.x"), site.q("seat.lower.y"), site.q("seat.lower.z") + up)
    return Frame(seat, (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def seat(sizes: Sizes, site: Site) -> Member:
    """Seat LS1: a disk with its top face at the coil's end."""
    top = seat_frame(site, 0.0)
    return Member(
        "LS1",
        "lower coil seat",
        "LS",
        Plate(sizes.stock("plate"), circle((0.0, 0.0), seat_od(site), "rim")),
        seat_frame(site, -sizes["plate.t"]),
        ("rim", "rim"),
        fixed_after="axle prepared",
        ref=f"level at ride height; top face {from_datum(site, top.origin)}{pigtail_ref(site)}",
    )


def seat_saddle(sizes: Sizes, site: Site, code: str, name: str, outboard: float) -> Member:
    """One saddle on the axle tube: ``outboard`` +1 for the outer one, -1 for the inner."""
    across = site.q("seat.lower.y") + outboard * SADDLES
    return Member(
        code,
        f"lower seat saddle, {name}board",
        "LS",
        Plate(sizes.stock("plate"), saddle_loop(site, sizes["plate.t"], outboard)),
        Frame(
            (site.q("axle.x_ride"), across, site.q("axle.z_ride")),
            (-outboard, 0.0, 0.0),
            (0.0, outboard, 0.0),
        ),
        ("saddle", "seat"),
        fixed_after="axle prepared",
        ref="on the axle tube, under the seat",
    )


def ring(sizes: Sizes, site: Site) -> Member:
    """Ring LS4, which keeps the coil in its place on the seat."""
    bore = circle((0.0, 0.0), ring_bore(site), "bore")
    return Member(
        "LS4",
        "coil locating ring, lower",
        "LS",
        Plate(sizes.stock("ring"), circle((0.0, 0.0), ring_od(site), "rim"), (bore,)),
        seat_frame(site, 0.0),
        ("rim", "rim"),
        fixed_after="axle prepared",
        ref="in the middle of the lower seat, inside the coil",
    )


def saddle_welds(site: Site, thick: float, code: str, name: str) -> tuple[Weld, Weld]:
    """One saddle to the axle tube and to the seat; ``thick``: its plate, mm."""
    care = frozenset({"seals out", "opposite sides in turn", "coil out"})
    on_tube = Weld(
        f"seat.saddle.{name}",
        code,
        ("saddle",),
        site.port("axle.tube").member,
        "fillet",
        leg_for(site.shop.legs, thick, site.q("axle.tube_wall")),
        care=care,
        face="both",
        stop=IN / 4,
        order=2,
    )
    under_seat = Weld(
        f"seat.top.{name}",
        code,
        ("seat",),
        "LS1",
        "fillet",
        full_leg(site.shop.legs, thick),
        care=care,
        face="both",
        stop=IN / 4,
        order=1,
    )
    return on_tube, under_seat


def ring_weld(site: Site, thick: float) -> Weld:
    """The ring's rim to the seat, stitched; ``thick``: the seat's plate, mm."""
    return Weld(
        "seat.ring",
        "LS4",
        ("rim",),
        "LS1",
        "fillet",
        leg_for(site.shop.legs, thick),
        run=1.5 * IN,
        pitch=3 * IN,
        order=1,
    )


def center_lines(site: Site) -> Scribe:
    """A cross on the seat, nearly to its rim."""
    reach = seat_od(site) / 2.2
    return Scribe("LS1", "center", (((-reach, 0.0), (reach, 0.0)), ((0.0, -reach), (0.0, reach))))


def tabs(site: Site, thick: float) -> tuple[Interlock, ...]:
    """Tabs of the saddles, ``thick`` mm, in the seat; none under a small coil, nor where the rim of
    the ring would be welded over their slots: such a seat goes on by its scribe lines.
    """
    foot, aside = coil_od(site) / 2 - IN, 3 * IN / 8
    if foot - aside < room(IN, site.shop.inner_radius) / 2:
        return ()
    near, far = SADDLES, math.hypot(SADDLES + thick, aside + IN / 2)
    if near - SPARE < ring_od(site) / 2 < far:
        return ()
    return tuple(
        Interlock(code, "seat", "LS1", (foot + off,), IN)
        for code, off in (("LS2", aside), ("LS3", -aside))
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Seat LS1, saddles LS2 outboard and LS3 inboard, ring LS4, and their welds."""
    thick = sizes["plate.t"]
    saddles = (("LS2", "out", 1.0), ("LS3", "in", -1.0))
    on_top = Port(seat_frame(site, 0.0), {"bore": ring_bore(site)}, "LS1")
    return held(
        Assembly(
            members=(
                seat(sizes, site),
                *(seat_saddle(sizes, site, *which) for which in saddles),
                ring(sizes, site),
            ),
            welds=(
                *(
                    weld
                    for code, name, _ in saddles
                    for weld in saddle_welds(site, thick, code, name)
                ),
                ring_weld(site, thick),
            ),
            interlocks=tabs(site, thick),
            scribes=(center_lines(site), *pigtail_stop(site)),
            ports={"seat.lower": on_top},
        ),
        LOWER_SEAT,
        LOWER_SEAT_REST,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Seat, saddles, ring, kg."""
    disk = math.pi * seat_od(site) ** 2 / 4
    return (
        1.6 * disk * grid["plate.t"] + math.pi * ring_od(site) * 0.6 * IN * grid["ring.t"]
    ) * STEEL


def tall(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Seat's thickness and a gap for the torch against the height from tube to seat."""
    return (
        grid["plate.t"] + IN / 4 + 0 * grid["ring.t"],
        site.q("seat.lower.z") - site.q("axle.z_ride") - site.q("axle.tube_diameter") / 2,
    )


FAMILY = Family(
    code="LS",
    title="lower coil seat",
    where="each side",
    needs=("axle.tube",),
    gives=("seat.lower",),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("ring", "plate", plate_keys_over(0.375 * IN)),
        WELD,
    ),
    rules=(room_rule("seat.tall", tall, "seat stands clear of the axle tube"),),
    mass=mass,
    build=build,
    sheet="lower seat and stop",
    about=AXLE_TURNED + COIL_ROOM + SEAT,
    roles={Role.IN_COIL: ("LS",)},
)
