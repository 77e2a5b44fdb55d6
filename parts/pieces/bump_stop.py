"""Bump stop: spacer tube and cap that carry it, and the pad it lands on, square to the stop at
contact and under it there.

Inside the coil the spacer hangs from the coil seat and the pad stands on the lower seat; beside it
the spacer hangs from a base plate under the rail and the pad is saddled on the axle tube. The pad
is set forward or back by what the axle moves between ride and bump.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ...layout import reader
from ..design.site import Refused
from ..design.weld_size import WELD
from ..geometry.contours import circle, rectangle
from ..model.assembly import Assembly, Bolt, Member, Weld
from ..model.body import Plate, Tube, TubeEnd
from ..model.family import Family, FloatOrArray, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec3, add
from ..rules.welds import leg_for
from ._bump_pad import INSIDE, Landing, landing, leg, leg_welds, pad, pad_height, pad_od, turn
from ._coil import LEG_HALF, LEGS_APART, ring_od
from ._conflicts import COIL_ROOM
from ._from_stock import STEEL, plate_keys_over, tube_keys_between
from ._holding import held
from ._holds_lower import BUMP_STOP, BUMP_STOP_REST
from ._lengths import IN, round_down, tape_step
from ._refusals import weldable
from ._room_rules import NO_LIMIT, room_rule

DOWN: Vec3 = (0.0, 0.0, -1.0)


def spacer(site: Site, thick: FloatOrArray) -> FloatOrArray:
    """Length of the spacer tube: what is left over cap and pad, and over the base plate under a
    rail.
    """
    place = landing(site)
    return place.room - pad_height(site, thick) - thick - (0.0 if place.inside else thick)


class Hung(NamedTuple):
    """What the spacer hangs from: the middle of its end ``at``, the member, where in the fitter's
    words, and the base plate under the rail with its weld, where one is made.
    """

    at: Vec3
    onto: str
    ref: str
    made: tuple[Member, ...] = ()
    welds: tuple[Weld, ...] = ()


def hung_from(sizes: Sizes, site: Site, under: Landing) -> Hung:
    """The coil seat inside the coil, a base plate under the rail beside it."""
    if under.inside:
        at = (site.q("seat.upper.x"), site.q("seat.upper.y"), site.q("seat.upper.z"))
        seat = site.port("coil.mount").member
        return Hung(at, seat, "under the coil seat's middle, inside the ring")
    weldable(site)
    at, base, weld = base_plate(sizes, site)
    return Hung(at, "BP6", "under the base plate", (base,), (weld,))


def spacer_tube(sizes: Sizes, site: Site, above: Hung) -> Member:
    """Spacer BP1, straight down."""
    length = round_down(float(spacer(site, sizes["plate.t"])), tape_step(site.shop))
    return Member(
        "BP1",
        "bump-stop spacer",
        "BP",
        Tube(sizes.stock("tube"), length, (TubeEnd(), TubeEnd())),
        Frame(above.at, DOWN, (1.0, 0.0, 0.0)),
        fixed_after="set-down",
        ref=above.ref,
    )


def cap(sizes: Sizes, site: Site, above: Hung) -> Member:
    """Cap BP2, which closes the spacer and takes the stop's stud."""
    length = round_down(float(spacer(site, sizes["plate.t"])), tape_step(site.shop))
    rim = circle((0.0, 0.0), round_down(sizes["tube.od"] + IN / 4), "rim")
    return Member(
        "BP2",
        "bump-stop cap",
        "BP",
        Plate(sizes.stock("plate"), rim),
        Frame(add(above.at, (0.0, 0.0, -length)), (-1.0, 0.0, 0.0), DOWN),
        ("rim", "rim"),
        fixed_after="set-down",
        ref=(
            "on the spacer's lower end; the stop's nut is welded inside before the spacer is closed"
        ),
    )


def spacer_welds(sizes: Sizes, site: Site, above: Hung) -> tuple[Weld, Weld]:
    """Both ends of the spacer, all round."""
    leg_of = leg_for(site.shop.legs, sizes["tube.wall"], sizes["plate.t"])
    return (
        Weld(
            "stop.spacer.top",
            "BP1",
            ("end0",),
            above.onto,
            "fillet",
            leg_of,
            care=frozenset({"stop out"}),
            order=14,
        ),
        Weld(
            "stop.spacer.cap",
            "BP1",
            ("end1",),
            "BP2",
            "fillet",
            leg_of,
            care=frozenset({"stop out", "nut in first"}),
            order=13,
        ),
    )


def under_rail(sizes: Sizes, site: Site) -> tuple[float, float]:
    """Middle of the stop on the rail's bottom, in that face's own axes.

    Refused where the stop is not under the flat of the rail.
    """
    port = site.port("rail.stop.bottom")
    face, wide, corner = port.frame, port.size["width"], port.size["corner"]
    x = (site.q("travel.stop_x") - face.origin[0]) / face.x[0]
    y = (site.q("travel.stop_y") - face.out((x, 0.0, 0.0))[1]) / face.y[1]
    half = sizes["tube.od"] / 2 + IN / 4
    if y - half < corner or y + half > wide - corner:
        raise Refused(
            f"the bump stop at {reader.length(site.q('travel.stop_y'))} from the center line does"
            f" not stand under the flat of the rail ({reader.length(wide)} wide): move"
            " travel.stop_y under the rail, or put the stop inside the coil"
        )
    return x, y


def base_plate(sizes: Sizes, site: Site) -> tuple[Vec3, Member, Weld]:
    """BP6 on the rail's bottom, long edges along the rail; the middle of its under side."""
    port, thick = site.port("rail.stop.bottom"), sizes["plate.t"]
    x, y = under_rail(sizes, site)
    half = sizes["tube.od"] / 2 + 0.75 * IN
    loop = rectangle(
        x - half,
        port.size["corner"],
        x + half,
        port.size["width"] - port.size["corner"],
        IN / 4,
        ("outer", "front", "inner", "rear"),
    )
    member = Member(
        "BP6",
        "bump-stop base plate",
        "BP",
        Plate(sizes.stock("plate"), loop),
        port.frame,
        ("rear", "outer"),
        fixed_after="set-down",
        ref="under the rail, long edges along it",
    )
    weld = Weld(
        "stop.base",
        "BP6",
        ("outer", "inner"),
        port.member,
        "fillet",
        leg_for(site.shop.legs, thick, port.size["wall"]),
        stop=IN / 4,
        order=12,
    )
    return port.frame.out((x, y, thick)), member, weld


def build(sizes: Sizes, site: Site) -> Assembly:
    """Spacer, cap, pad and legs, and the hole for the stop's stud."""
    under = landing(site)
    above = hung_from(sizes, site, under)
    lid, legs = cap(sizes, site, above), (("BP4", "out"), ("BP5", "in"))
    stud = Bolt(
        id="stop.stud#1",
        at=lid.place.origin,
        along=DOWN,
        size=site.need("travel.stop_bolt"),
        grade="stud of the stop",
        through=("BP2",),
        duty="mount",
        hole="normal",
    )
    return held(
        Assembly(
            members=(
                *above.made,
                spacer_tube(sizes, site, above),
                lid,
                pad(sizes, site, under),
                *(leg(sizes, site, under, *which) for which in legs),
            ),
            bolts=(stud,),
            welds=(
                *above.welds,
                *spacer_welds(sizes, site, above),
                *(weld for which in legs for weld in leg_welds(sizes, site, under, *which)),
            ),
        ),
        BUMP_STOP,
        BUMP_STOP_REST,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Tube, cap, pad and legs, kg."""
    tube = (
        math.pi
        * (grid["tube.od"] - grid["tube.wall"])
        * grid["tube.wall"]
        * site.q("spring.at_bump")
    )
    return (tube + 2 * pad_od(site) ** 2 * grid["plate.t"]) * STEEL


def long_enough(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Half an inch of spacer against what the travel leaves over cap, stop and pad."""
    return IN / 2 + 0 * grid["plate.t"] + 0 * grid["tube.od"], spacer(
        site, grid["plate.t"]
    ) + 0 * grid["tube.od"]


def carries(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Three quarters of the stop's diameter against the spacer (practice)."""
    return 0.75 * site.q("travel.stop_diameter"), grid["tube.od"] + 0 * grid["plate.t"]


def in_ring(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Cap within the coil: its radius, the bow and 1/4 in against the coil's inside radius; no
    limit beside the coil.
    """
    inside = site.word("travel.stop_place") == INSIDE
    return grid["tube.od"] / 2 + IN / 8 + site.q("spring.bow") + IN / 4, (
        (site.q("spring.mean_diameter") - site.q("spring.wire")) / 2
        if inside
        else NO_LIMIT + 0 * grid["tube.od"]
    )


def pad_in_coil(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Pad where it stands, set off by the axle's walk, against the coil's inside radius less 1/8
    in; no limit beside the coil.
    """
    if site.word("travel.stop_place") != INSIDE:
        return 0.0 * grid["plate.t"], NO_LIMIT
    off = abs(landing(site).place.origin[0] - site.q("seat.lower.x"))
    return off + pad_od(site) / 2 + IN / 8 + 0 * grid["plate.t"], ring_od(site) / 2


def legs_in_ring(grid: Grid, site: Site) -> tuple[Number, Number]:
    """The farthest corner of the pad's legs and 1/32 in to set it by against the ring's bore; no
    limit beside the coil.
    """
    if site.word("travel.stop_place") != INSIDE:
        return 0.0 * grid["plate.t"], NO_LIMIT
    off = abs(landing(site).place.origin[0] - site.q("seat.lower.x"))
    lean = 3 * IN / 8 * math.tan(abs(turn(site)))
    reach = np.hypot(off + LEG_HALF + lean, LEGS_APART + grid["plate.t"])
    return np.asarray(reach + IN / 32), site.port("seat.lower").size["bore"] / 2


FAMILY = Family(
    code="BP",
    title="bump stop",
    where="each side",
    needs=("coil.mount", "seat.lower", "axle.tube", "rail.stop.bottom"),
    gives=(),
    variables=(
        Variable("plate", "plate", plate_keys_over(0.25 * IN)),
        Variable("tube", "tube", tube_keys_between(1.25 * IN, 3.0 * IN)),
        WELD,
    ),
    rules=(
        room_rule("stop.spacer.long", long_enough, "room for a spacer over stop and pad"),
        room_rule("stop.spacer.od", carries, "spacer carries the stop"),
        room_rule("stop.cap", in_ring, "cap clear of the coil when it bows"),
        room_rule(
            "stop.pad", pad_in_coil, "pad covers where the stop lands and stays inside the coil"
        ),
        room_rule("stop.legs", legs_in_ring, "pad's legs stand on the lower seat inside its ring"),
    ),
    mass=mass,
    build=build,
    sheet="lower seat and stop",
    about=COIL_ROOM,
    roles={Role.IN_COIL: ("BP",), Role.AFTER_SET_DOWN: ("BP",)},
)
