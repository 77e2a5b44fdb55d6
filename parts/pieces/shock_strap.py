"""Shock tabs and limit-strap tabs: pairs of ears for the shock on the axle tube and on the
coil-seat plate; for the strap a bent tab on the rail's inner side and an ear on the axle tube.
"""

from __future__ import annotations

from ..design.weld_size import WELD
from ..model.assembly import Assembly
from ..model.family import Family, Grid, Rule, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Number
from ..rules.plates import bend_radius
from ._coil import mount_half
from ._coil_seat_shape import set_in, slot_width
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_tabs import TABS
from ._lengths import IN
from ._refusals import inner_wall, weldable
from ._room_rules import edge_rule, room_rule
from ._shock_tabs import end_radius, gap, lower_shock, upper_shock
from ._strap_tabs import strap_ear, strap_tab


def build(sizes: Sizes, site: Site) -> Assembly:
    """All six tabs and the four bolts."""
    weldable(site)
    inner_wall(site, "the limit-strap tab")
    low, low_pin, low_welds = lower_shock(sizes, site)
    top, top_pin, top_welds = upper_shock(sizes, site)
    tab, tab_pin, tab_weld = strap_tab(sizes, site)
    lug, lug_pin, lug_weld = strap_ear(sizes, site)
    return held(
        Assembly(
            (*low, *top, tab, lug),
            (low_pin, top_pin, tab_pin, lug_pin),
            (*low_welds, *top_welds, tab_weld, lug_weld),
        ),
        TABS,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Six tabs, about, kg."""
    tall = site.q("travel.shock_z") - site.q("rail.coil.bottom")
    return (
        (
            2 * 4 * IN * abs(site.q("travel.shock_x") - site.q("axle.x_ride"))
            + 2 * 3 * IN * tall
            + 6 * IN * 4 * IN
        )
        * grid["plate.t"]
        * STEEL
    )


def past_slot(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Coil mount, slot of the coil-seat plate and 1/8 in against how far the nearer shock ear
    stands from the coil's line.
    """
    w = set_in(site)
    at = site.port("coil.plate").frame.into(
        (site.q("travel.shock_top_x"), site.q("travel.shock_y"), site.q("travel.shock_z"))
    )
    return (
        mount_half(site) + w + slot_width(site) + IN / 4 + 0 * grid["plate.t"],
        abs(at[0]) - gap(site) / 2 - grid["plate.t"],
    )


def eye_room(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Two bolt diameters for the shock's eye and 1/8 in against the way from pin to axle tube."""
    ahead = abs(site.q("travel.shock_x") - site.q("axle.x_ride")) - site.q("axle.tube_diameter") / 2
    return 2 * bolt_size(site.need("travel.shock_bolt")).d + IN / 8 + 0 * grid["plate.t"], ahead


FAMILY = Family(
    code="ST",
    title="shock and strap tabs",
    where="each side",
    needs=("axle.tube", "coil.plate", "rail.coil.inner"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.1875 * IN)), WELD),
    rules=(
        edge_rule(
            "shock.edge",
            lambda site: site.need("travel.shock_bolt"),
            lambda grid, site: end_radius(site.need("travel.shock_bolt")) + 0 * grid["plate.t"],
            "shock bolt keeps its edge distance",
        ),
        edge_rule(
            "strap.edge",
            lambda site: site.need("travel.strap_bolt"),
            lambda grid, site: end_radius(site.need("travel.strap_bolt")) + 0 * grid["plate.t"],
            "strap bolt keeps its edge distance",
        ),
        Rule(
            "strap.bend",
            bend_radius,
            lambda grid, site: {
                "t_mm": grid["plate.t"],
                "fy_MPa": grid["plate.fy"],
                "radius_mm": grid["plate.t"],
            },
            "strap tab bends without cracking",
        ),
        room_rule(
            "shock.slot",
            past_slot,
            "upper shock tabs clear of the coil mount and of the plate's slot",
        ),
        room_rule("shock.eye", eye_room, "shock's eye clear of the axle tube"),
    ),
    mass=mass,
    build=build,
    sheet="shock and strap tabs",
    roles={
        Role.SHOCK: ("ST7",),
        Role.SHOCK_EYE: ("ST8",),
        Role.SHOCK_TABS: ("ST",),
        Role.AFTER_SET_DOWN: ("ST3", "ST4", "ST5"),
    },
)
