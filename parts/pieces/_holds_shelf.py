"""What the track bar's bracket at the axle is held against.

The bar pulls across the truck at its bolt, over the shelf. Shelf and web lie level and pass that
pull on in their own planes, from the shelf to the web over the length they lap, by the web's rear
edge to the axle tube. Both ribs push and pull each other: along the truck for the pull's lever
ahead of the tube, upright for its height over the plate that carries it. Any such set of forces in
balance is on the safe side of what steel carries that yields (lower-bound theorem, any text on
plasticity).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Hold, HoldKind, Numbers, Step, UnderLoad
from ..rules import life, plates
from ..rules.yield_lines import strip_bent
from ._holding import Pulled, Reasoned, at_bolt, pivot, row, weld_group
from ._steps_links import PUT, xyz

RIBS = ("TB9", "TB10")


class Bracket(NamedTuple):
    """The bracket seen along and over the axle tube's middle, mm: bolt ``ahead`` and ``over``;
    shelf's and web's middles ``shelf`` and ``web`` over it; ``lap`` from ``begins`` to ``ends``;
    ribs ``apart``, middle to middle.
    """

    ahead: float
    over: float
    shelf: float
    web: float
    begins: float
    ends: float
    apart: float

    @property
    def middle(self) -> float:
        """Of the lap, ahead of the tube's middle."""
        return (self.begins + self.ends) / 2


class RibCut(NamedTuple):
    """A rib cut upright ``ahead`` of the tube's middle: its lower and upper edge over it, mm."""

    ahead: float
    low: float
    high: float


def bracket(seen: UnderLoad) -> Bracket:
    """Where its plates lie."""
    tube, bolt = seen.origin("TB9"), seen.bolt_at("bar.axle#1")
    shelf, web = _ahead(seen, "TB4"), _ahead(seen, "TB11")
    return Bracket(
        ahead=float(bolt[0] - tube[0]),
        over=float(bolt[2] - tube[2]),
        shelf=float(seen.origin("TB4")[2] - tube[2]) + seen.plate("TB4").thick / 2,
        web=float(seen.origin("TB11")[2] - tube[2]) + seen.plate("TB11").thick / 2,
        begins=shelf[0],
        ends=min(shelf[1], web[1]),
        apart=abs(float(tube[1] - seen.origin("TB10")[1])) + seen.plate("TB9").thick,
    )


def _ahead(seen: UnderLoad, code: str) -> tuple[float, float]:
    """A level plate's ends ahead of the tube's middle, mm."""
    x0, _, x1, _ = seen.box(code)
    both = [float(seen.out(code, (x, 0.0))[0] - seen.origin("TB9")[0]) for x in (x0, x1)]
    return min(both), max(both)


def _edge(seen: UnderLoad, edge: str) -> Array:
    """Both ends of an edge of the ribs, ahead of and over the tube's middle, nearer one first."""
    ends = np.array([seen.out("TB9", (end[0], end[1])) for end in seen.ends("TB9", edge)])
    places = (ends - seen.origin("TB9"))[:, [0, 2]]
    return np.asarray(places[np.argsort(places[:, 0])])


def at_tube(seen: UnderLoad) -> RibCut:
    """Where the tube is foremost."""
    return _cut(seen, seen.q("axle.tube_diameter") / 2)


def at_ear(seen: UnderLoad) -> RibCut:
    """Behind the rear ear, both of which still stand ahead."""
    ear = float(seen.origin("TB6")[0] - seen.origin("TB9")[0])
    return _cut(seen, ear - seen.plate("TB6").thick)


def _cut(seen: UnderLoad, ahead: float) -> RibCut:
    under, shelf = _edge(seen, "under"), _edge(seen, "shelf")
    low = float(np.interp(ahead, under[:, 0], under[:, 1]))
    return RibCut(ahead, low, float(shelf[0, 1]))


class Carried(NamedTuple):
    """What one rib carries at a section: moment in its plane, N mm, push or pull along the truck
    and upright shear, N, a case.
    """

    moment: Array
    along: Array
    upright: Array


def _across(at: Bracket, cut: RibCut) -> tuple[float, float, float]:
    """Of one newton across the truck: moment in a rib, its force along and its shear, times the
    ribs' distance, mm.
    """
    middle = (cut.low + cut.high) / 2
    passed = max(at.middle, cut.ahead)
    plate = at.web if cut.ahead < at.middle else at.shelf
    moment = (
        (at.over - at.shelf) * (at.ahead - cut.ahead)
        + (at.shelf - at.web) * (passed - cut.ahead)
        - (at.shelf - middle) * (at.ahead - passed)
        - (at.web - middle) * (passed - cut.ahead)
    )
    return abs(moment), at.ahead - cut.ahead, at.over - plate


def carried(seen: UnderLoad, cut: RibCut) -> Carried:
    """What one rib carries of the bar's pull; its parts along the truck and upright go half to each
    rib.
    """
    at, force = bracket(seen), np.abs(seen.force("bar"))
    moment, lever, height = (each / at.apart for each in _across(at, cut))
    lift = at.over - (cut.low + cut.high) / 2
    return Carried(
        force[:, 1] * moment + (force[:, 0] * lift + force[:, 2] * (at.ahead - cut.ahead)) / 2,
        force[:, 1] * lever + force[:, 0] / 2,
        force[:, 1] * height + force[:, 2] / 2,
    )


def rib_bent(where: Callable[[UnderLoad], RibCut]) -> Callable[[UnderLoad], Numbers]:
    """A rib in its own plane at a section."""

    def numbers(seen: UnderLoad) -> Numbers:
        cut = where(seen)
        got, plate = carried(seen, cut), seen.plate("TB9")
        return {
            "moment_Nmm": got.moment,
            "sideways_Nmm": 0.0,
            "pull_N": got.along,
            "shear_N": got.upright,
            "width_mm": cut.high - cut.low,
            "t_mm": plate.thick,
            "fy_MPa": plate.fy,
        }

    return numbers


SAYS = (
    "the bar's pull of the tables of forces; bolt xb ahead of the tube's middle and zb over it,"
    " section x ahead, its middle zc; shelf's and web's middles zs, zw; xm the middle of their lap,"
    " the section itself where that is further ahead; ribs a apart"
)


def rib_steps(where: Callable[[UnderLoad], RibCut]) -> Callable[[UnderLoad], Sequence[Step]]:
    """How a rib's moment, force along and shear follow from the bar's pull."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        at, cut, force = bracket(seen), where(seen), xyz(seen.force("bar"))
        plate = at.web if cut.ahead < at.middle else at.shelf
        put: PUT = {
            "xb": (at.ahead, "mm"),
            "zb": (at.over, "mm"),
            "x": (cut.ahead, "mm"),
            "xm": (max(at.middle, cut.ahead), "mm"),
            "zs": (at.shelf, "mm"),
            "zw": (at.web, "mm"),
            "zc": ((cut.low + cut.high) / 2, "mm"),
            "a": (at.apart, "mm"),
        }
        moment = (
            "|Fy| / a |(zb - zs) (xb - x) + (zs - zw) (xm - x) - (zs - zc) (xb - xm)"
            " - (zw - zc) (xm - x)| + (|Fx| (zb - zc) + |Fz| (xb - x)) / 2"
        )
        along: PUT = {n: force[n] for n in ("Fx", "Fy")} | {n: put[n] for n in ("xb", "x", "a")}
        upright: PUT = {n: force[n] for n in ("Fy", "Fz")} | {n: put[n] for n in ("zb", "a")}
        upright["zh"] = (plate, "mm")
        return (
            Step("M", moment, {**force, **put}, SAYS),
            Step("P", "|Fy| (xb - x) / a + |Fx| / 2", along, ""),
            Step("V", "|Fy| (zb - zh) / a + |Fz| / 2", upright, "zh the plate that carries there"),
        )

    return steps


def _height(at: Bracket, seen: UnderLoad) -> float:
    """From the shelf's underside to the web's middle, mm."""
    return at.shelf - at.web - seen.plate("TB4").thick / 2


def swayed(code: str) -> Callable[[UnderLoad], Numbers]:
    """A rib or the shelf where the pull goes from shelf to web: half of it to each rib, which turns
    freely at the web, over the length of the lap.
    """

    def numbers(seen: UnderLoad) -> Numbers:
        at, plate = bracket(seen), seen.plate(code)
        return {
            "moment_Nmm": np.abs(seen.force("bar")[:, 1]) / 2 * _height(at, seen),
            "strip_mm": at.ends - at.begins,
            "fy_MPa": plate.fy,
            "t_mm": plate.thick,
        }

    return numbers


def sway_steps(seen: UnderLoad) -> Sequence[Step]:
    """Half of the pull across the truck, from shelf to web."""
    at = bracket(seen)
    put: PUT = {
        "Fy": (seen.force("bar")[:, 1], "N"),
        "h": (_height(at, seen), "mm"),
    }
    lap: PUT = {"xe": (at.ends, "mm"), "xs": (at.begins, "mm")}
    says = "half of the bar's pull to each rib, h from the shelf's underside to the web's middle"
    return (
        Step("M", "|Fy| h / 2", put, says),
        Step("b", "xe - xs", lap, "where shelf and web lap, ahead of the tube's middle"),
    )


def web_sheared(seen: UnderLoad) -> Numbers:
    """The web with the whole pull across the truck."""
    plate = seen.plate("TB11")
    _, y0, _, y1 = seen.box("TB11")
    return {
        "force_N": np.abs(seen.force("bar")[:, 1]),
        "area_mm2": plate.thick * (y1 - y0),
        "fy_MPa": plate.fy,
    }


def web_steps(seen: UnderLoad) -> Sequence[Step]:
    """The pull across the truck; the web's width by its thickness."""
    _, y0, _, y1 = seen.box("TB11")
    size: PUT = {"t": (seen.plate("TB11").thick, "mm"), "b": (y1 - y0, "mm")}
    return (
        Step("F", "|Fy|", {"Fy": (seen.force("bar")[:, 1], "N")}, "of the tables of forces"),
        Step("A", "t b", size, "the web across the truck"),
    )


def on_tube(seen: UnderLoad) -> Pulled:
    """The whole pull across the truck at the web's rear edge, an upper bound."""
    middle = seen.ends("TB11", "rear").mean(axis=0)
    place = seen.out("TB11", (float(middle[0]), float(middle[1])))
    return ((place, seen.force("bar") * np.array((0.0, 1.0, 0.0)), None),)


def shelf_sheared(seen: UnderLoad) -> Numbers:
    """The shelf in its own plane between an ear's foot and the ribs, whose tops the ears' ends
    stand over: half of the bar's force along the foot.
    """
    plate = seen.plate("TB4")
    foot = seen.ends("TB5", "foot")
    return {
        "force_N": np.abs(seen.amount("bar")) / 2,
        "area_mm2": plate.thick * float(np.linalg.norm(foot[1] - foot[0])),
        "fy_MPa": plate.fy,
    }


def rib_stress(seen: UnderLoad) -> Numbers:
    """Plain elastic stress at both ends of a rib's section at the tube, (cases, 2) MPa, with sign:
    as one bar pulls, so do its ends.
    """
    cut, plate = at_tube(seen), seen.plate("TB9")
    got, wide = carried(seen, cut), cut.high - cut.low
    way = np.sign(seen.force("bar")[:, 1])
    pull = got.along / (wide * plate.thick)
    bend = got.moment / (plate.thick * wide**2 / 6)
    return {"stress_MPa": np.stack([way * (pull + bend), way * (pull - bend)], axis=1)}


PLATES = (
    row(
        "bar.axle.shelf.shear",
        "shelf sheared in its plane under the track-bar bolt at the axle",
        "bar",
        plates.plate_sheared,
        shelf_sheared,
        members=("TB4",),
    ),
    *(
        row(
            f"bar.axle.rib.{name}",
            f"rib under the track-bar bolt at the axle bent and pulled in its plane {where}",
            "bar",
            plates.plate_root,
            Reasoned(rib_bent(cut), rib_steps(cut)),
            members=RIBS,
        )
        for name, where, cut in (
            ("tube", "at the tube", at_tube),
            ("ear", "behind the rear ear", at_ear),
        )
    ),
    row(
        "bar.axle.rib.sway",
        "rib bent sideways where the bar's pull goes from shelf to web",
        "bar",
        strip_bent,
        Reasoned(swayed("TB9"), sway_steps),
        members=RIBS,
    ),
    row(
        "bar.axle.shelf.bent",
        "shelf bent at its ribs where the bar's pull goes from shelf to web",
        "bar",
        strip_bent,
        Reasoned(swayed("TB4"), sway_steps),
        members=("TB4",),
    ),
    row(
        "bar.axle.web.shear",
        "web between the ribs sheared by the bar's whole pull across the truck",
        "bar",
        plates.plate_sheared,
        Reasoned(web_sheared, web_steps),
        members=("TB11",),
    ),
    Hold(
        "bar.axle.rib.life",
        HoldKind.RANGE,
        "rib at its weld on the axle tube under the track-bar bolt",
        "bar",
        members=RIBS,
        clause=life.life_root,
        numbers=rib_stress,
    ),
)

WELDS = (
    weld_group(
        "bar.axle.ribs",
        "welds that carry {TB4} under the track-bar bolt at the axle",
        "bar",
        ("bar.rib.out.tube", "bar.rib.in.tube", "bar.web.tube"),
        members=RIBS,
        pulls=at_bolt("bar.axle#1", "bar"),
    ),
    weld_group(
        "bar.axle.web.tube",
        "weld of the web to the axle tube with the bar's whole pull across the truck",
        "bar",
        ("bar.web.tube",),
        members=("TB11",),
        pulls=on_tube,
    ),
    weld_group(
        "bar.axle.web.ribs",
        "welds of the web to its ribs with the bar's whole pull across the truck at the tube",
        "bar",
        ("bar.web.out", "bar.web.in"),
        members=("TB11",),
        pulls=on_tube,
    ),
    weld_group(
        "bar.axle.shelf",
        "welds of {TB4} to its ribs under the track-bar bolt at the axle",
        "bar",
        ("bar.rib.out.shelf", "bar.rib.in.shelf"),
        members=RIBS,
        pulls=at_bolt("bar.axle#1", "bar"),
    ),
)

AXLE = (
    *PLATES,
    pivot(
        "bar.axle",
        "track-bar bolt at the axle",
        "bar",
        ("TB5", "TB6"),
        ("bar.axle.front", "bar.axle.rear"),
    ),
    *WELDS,
)
