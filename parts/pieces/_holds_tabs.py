"""What the tabs of shocks and limit straps are held against.

The strap's bent tab stands off the rail, and the strap's force along the rail's face lifts its flat
leg there between the ends of its welds and the bend: its upper half bends down to the welds, its
lower edge bears on the rail. Any such set of forces in balance is on the safe side (lower-bound
theorem, any text on plasticity).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..model.hold import Hold, Numbers, Step, UnderLoad
from ..model.vectors import Number
from ..rules.plates import plate_root
from ..rules.yield_lines import strip_bent
from ._holding import Reasoned, pivot, row
from ._steps_links import PUT

TO_CORNER = 1.5
"""From where the bend begins to the corner of its legs' middles, thicknesses: it is bent round its
own thickness.
"""
TAB, WELD, BOLT = "ST5", "strap.frame", "strap.upper#1"
LEVER = 0.75
"""Of the leg's height: from the edge that bears on the rail to the middle of the half that lifts.
"""


class Tab(NamedTuple):
    """The bent tab, mm and N: ``wide`` along its bend; ``off``: bolt to the middle of its flat leg;
    ``gap``: ends of its welds to the corner of its legs' middles; the strap's force ``across`` the
    bolt along the bend, ``pull`` off the rail, ``side`` along the rail, (cases,).
    """

    wide: float
    off: float
    gap: float
    across: Number
    pull: Number
    side: Number


def tab(seen: UnderLoad) -> Tab:
    """Where the strap's force goes through its bent tab."""
    at, thick, run = seen.bolt_at(BOLT), seen.plate(TAB).thick, seen.axis(TAB)
    origin = seen.origin(TAB)
    up = seen.out(TAB, (0.0, 1.0)) - origin
    out = np.cross(run, up)
    ends, _ = seen.carried((WELD,), at, "strap")[0]
    _, low, _, high = seen.box(TAB)
    force = seen.force("strap")
    free, held = seen.ends(TAB, "low_free")[:, 0], ((ends - origin) @ run).ravel()
    return Tab(
        high - low,
        abs(float((at - origin) @ out)) - thick / 2,
        float(np.abs(free[:, None] - held).min()) + TO_CORNER * thick,
        np.abs(force @ up),
        np.abs(force @ out),
        np.abs(force @ run),
    )


def tab_root(seen: UnderLoad) -> Numbers:
    """The standing leg at its bend."""
    got, plate = tab(seen), seen.plate(TAB)
    return {
        "moment_Nmm": got.across * got.off,
        "sideways_Nmm": got.side * got.off,
        "pull_N": got.pull,
        "shear_N": got.across,
        "width_mm": got.wide,
        "t_mm": plate.thick,
        "fy_MPa": plate.fy,
    }


def root_steps(seen: UnderLoad) -> Sequence[Step]:
    """The parts of the strap's force at the bend."""
    got = tab(seen)
    along: PUT = {"Fr": (got.across, "N"), "l": (got.off, "mm")}
    aside: PUT = {"Fs": (got.side, "N"), "l": (got.off, "mm")}
    says = "Fr upright along the bend, Fs along the rail, of the strap; l bolt to the leg's middle"
    return (Step("M", "Fr l", along, says), Step("Mw", "Fs l", aside, ""))


def tab_lifted(seen: UnderLoad) -> Numbers:
    """The flat leg between its welds and the bend: its upper half held square at both ends."""
    got, plate = tab(seen), seen.plate(TAB)
    lift = got.across * got.off / (LEVER * got.wide)
    return {
        "moment_Nmm": lift * got.gap / 2,
        "strip_mm": got.wide / 2,
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


def lifted_steps(seen: UnderLoad) -> Sequence[Step]:
    """The moment at the bend as a pull in the middle of the upper half."""
    got = tab(seen)
    put: PUT = {
        "Fr": (got.across, "N"),
        "l": (got.off, "mm"),
        "g": (got.gap, "mm"),
        "w": (got.wide, "mm"),
    }
    says = (
        "Fr upright along the bend, of the strap; l bolt to the leg's middle; g ends of the welds"
        " to the corner of the legs' middles; w the tab's height"
    )
    half: PUT = {"w": (got.wide, "mm")}
    return (
        Step("M", f"Fr l / ({LEVER:g} w) g / 2", put, says),
        Step("b", "w / 2", half, "the half that lifts"),
    )


def _strap(hold: Hold) -> Hold:
    """At the tab's bolt, away to the other end of the strap."""
    return hold._replace(bolts=(BOLT,), away="strap.lower#1")


BENT_TAB = (
    _strap(
        row(
            "strap.tab.root",
            "strap tab's standing leg at its bend under the limit strap",
            "strap",
            plate_root,
            Reasoned(tab_root, root_steps),
            members=(TAB,),
        )
    ),
    _strap(
        row(
            "strap.tab.lifted",
            "strap tab's flat leg lifted off the rail between its welds and its bend",
            "strap",
            strip_bent,
            Reasoned(tab_lifted, lifted_steps),
            members=(TAB,),
        )
    ),
)

TABS = (
    *BENT_TAB,
    pivot(
        "strap.upper",
        "limit strap's bolt at the frame",
        "strap",
        ("ST5",),
        ("strap.frame",),
        away="strap.lower#1",
    ),
    pivot(
        "strap.lower",
        "limit strap's bolt at the axle",
        "strap",
        ("ST6",),
        ("strap.axle",),
        away="strap.upper#1",
    ),
    pivot(
        "shock.upper",
        "shock's bolt at the frame",
        "shock",
        ("ST3", "ST4"),
        ("shock.upper.front", "shock.upper.rear"),
        away="shock.lower#1",
    ),
    pivot(
        "shock.lower",
        "shock's bolt at the axle",
        "shock",
        ("ST1", "ST2"),
        ("shock.lower.out", "shock.lower.in"),
        away="shock.upper#1",
    ),
)
