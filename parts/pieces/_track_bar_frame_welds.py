"""Welds of the track-bar frame bracket and its brace."""

from __future__ import annotations

from ..model.assembly import Weld
from ..model.family import Site
from ..rules.welds import leg_for
from ._track_bar_frame_plates import STOP, TrackBarFramePlace

CARE = frozenset({"bushing out", "dummy sleeve in", "bolt through"})


EARS = (("front", "TB1"), ("rear", "TB2"))


def welds(site: Site, spot: TrackBarFramePlace, far_rail: str) -> tuple[Weld, ...]:
    """Base plates along the rail; ears on the base plates; closing plate; brace."""
    rail, wall = site.port("rail.bar.inner").member, site.q("rail.bar.wall")
    leg, thin = leg_for(site.shop.legs, spot.t), leg_for(site.shop.legs, spot.base, wall)
    foot = leg_for(site.shop.legs, spot.t, spot.base)
    pad = leg_for(site.shop.legs, spot.t, wall)
    return (
        along_rail("bar.base.side", "TB3", ("lower", "upper"), rail, thin, 10),
        along_rail("bar.base.bottom", "TB14", ("outer", "inner"), rail, thin, 10),
        *(weld for name, ear in EARS for weld in ear_welds(name, ear, foot)),
        *(closing_weld(name, ear, leg) for name, ear in EARS),
        Weld("bar.brace.near", "TB16", ("end0",), "TB15", "fillet", leg, order=13),
        Weld("bar.brace.far", "TB16", ("end1",), "TB17", "fillet", leg, order=13),
        along_rail("bar.brace.pad", "TB17", ("lower", "upper"), far_rail, pad, 13),
    )


def along_rail(
    name: str, plate: str, edges: tuple[str, ...], rail: str, leg: float, order: int
) -> Weld:
    """A plate's long edges to the rail, stopped short: nothing is welded across a flange."""
    return Weld(name, plate, edges, rail, "fillet", leg, stop=STOP, order=order)


def ear_welds(name: str, ear: str, leg: float) -> tuple[Weld, ...]:
    """One ear to the base plate under the rail and to the one on its side, both faces."""
    return tuple(
        Weld(
            f"bar.cheek.{name}.{way}",
            ear,
            (edge,),
            base,
            "fillet",
            leg,
            care=CARE,
            face="both",
            stop=STOP,
            order=11,
        )
        for way, edge, base in (("bottom", "bottom", "TB14"), ("side", "inner", "TB3"))
    )


def closing_weld(name: str, ear: str, leg: float) -> Weld:
    """The closing plate's ``name`` edge to that ear, from outside."""
    return Weld(
        f"bar.closing.{name}",
        "TB15",
        (name,),
        ear,
        "fillet",
        leg,
        care=CARE,
        face="top",
        order=12,
    )
