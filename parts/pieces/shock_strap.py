"""Shock tabs and limit-strap tabs: pairs of ears for the shock on the axle tube and on the
coil-seat plate; for the strap a bent tab on the rail's inner side and an ear on the axle tube.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..model.assembly import Assembly
from ..model.family import Family, Grid, Rule, Site, Variable
from ..rules.plates import bend_radius
from ._coil import mount_half
from ._from_stock import STEEL, bolt_size, plate_keys_over
from ._holding import held
from ._holds_tabs import TABS
from ._lengths import IN
from ._refusals import inner_wall, weldable
from ._room_rules import edge_rule, room_rule
from ._shock_tabs import end_radius, gap, lower_shock, upper_shock
from ._strap_tabs import strap_ear, strap_tab
from .coil_seat import set_in, slot_width


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """All six tabs and the four bolts."""
    weldable(s)
    inner_wall(s, "the limit-strap tab")
    low, low_pin, low_welds = lower_shock(d, s)
    top, top_pin, top_welds = upper_shock(d, s)
    tab, tab_pin, tab_weld = strap_tab(d, s)
    lug, lug_pin, lug_weld = strap_ear(d, s)
    return held(
        Assembly(
            (*low, *top, tab, lug),
            (low_pin, top_pin, tab_pin, lug_pin),
            (*low_welds, *top_welds, tab_weld, lug_weld),
        ),
        TABS,
    )


def mass(v: Grid, s: Site) -> Any:
    """Six tabs, about, kg."""
    tall = s.q("travel.shock_z") - s.q("rail.coil.bottom")
    return (
        (
            2 * 4 * IN * abs(s.q("travel.shock_x") - s.q("axle.x_ride"))
            + 2 * 3 * IN * tall
            + 6 * IN * 4 * IN
        )
        * v["plate.t"]
        * STEEL
    )


def past_slot(v: Grid, s: Site) -> tuple[Any, Any]:
    """Coil mount, slot of the coil-seat plate and 1/8 in against how far the nearer shock ear
    stands from the coil's line.
    """
    w = set_in(s)
    at = s.port("coil.plate").frame.into(
        (s.q("travel.shock_top_x"), s.q("travel.shock_y"), s.q("travel.shock_z"))
    )
    return (
        mount_half(s) + w + slot_width(s) + IN / 4 + 0 * v["plate.t"],
        abs(at[0]) - gap(s) / 2 - v["plate.t"],
    )


def eye_room(v: Grid, s: Site) -> tuple[Any, Any]:
    """Two bolt diameters for the shock's eye and 1/8 in against the way from pin to axle tube."""
    ahead = abs(s.q("travel.shock_x") - s.q("axle.x_ride")) - s.q("axle.tube_diameter") / 2
    return 2 * bolt_size(s.need("travel.shock_bolt")).d + IN / 8 + 0 * v["plate.t"], ahead


FAMILY = Family(
    code="ST",
    title="shock and strap tabs",
    where="each side",
    needs=("axle.tube", "coil.plate", "rail.coil.inner"),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.1875 * IN)),),
    rules=(
        edge_rule(
            "shock.edge",
            lambda s: s.need("travel.shock_bolt"),
            lambda v, s: end_radius(s.need("travel.shock_bolt")) + 0 * v["plate.t"],
            "shock bolt keeps its edge distance",
        ),
        edge_rule(
            "strap.edge",
            lambda s: s.need("travel.strap_bolt"),
            lambda v, s: end_radius(s.need("travel.strap_bolt")) + 0 * v["plate.t"],
            "strap bolt keeps its edge distance",
        ),
        Rule(
            "strap.bend",
            bend_radius,
            lambda v, s: {"t_mm": v["plate.t"], "fy_MPa": v["plate.fy"], "radius_mm": v["plate.t"]},
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
    place="shocks and stops",
)
