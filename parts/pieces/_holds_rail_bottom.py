"""What the rail's bottom is held against over the crossmember's foot: its wall and the strap under
the bolts' nuts, or the foot's weld where no bolt goes up.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Hold, Numbers, Step, UnderLoad
from ..rules.yield_lines import strip_bent, wall_pulled
from . import _holds_bolted as bolted
from ._holding import Pulled, Reasoned, row, weld_group
from ._holds_cross import FOOT_WELDS, SIDE_WELDS
from ._steps_links import PUT

WASHER = 2.0
"""A hardened washer's outside over its bolt's diameter, or nearly (practice)."""


class Strap(NamedTuple):
    """The strap under the foot's nuts: its width, the bolts' ends apart along it, a washer, and how
    far its own yield lines reach along it about one bolt, mm; each bolt's pull, (cases, n) N.
    """

    wide: float
    run: float
    washer: float
    reach: float
    pull: Array


def strap(seen: UnderLoad) -> Strap | None:
    """None where no bolts make a group."""
    got = bolted.side_bolts(seen)
    if got is None:
        return None
    own = got.of(f"XS2.{seen.side}")
    _, y0, _, y1 = seen.box("XS9")
    wide, washer = y1 - y0, WASHER * seen.bolt(own.bolts[0].id).diameter
    along = np.array([bolt.at for bolt in own.bolts]) @ seen.axis("XS2")
    reach = washer + 2 * np.sqrt(wide * max(wide - washer, 0.0) / 2)
    return Strap(wide, float(np.ptp(along)), washer, float(reach), own.pull)


class Ways(NamedTuple):
    """How many bolts at once: the pull and the length along the rail that it goes through."""

    force: Array
    along: float
    step: Step


def ways(of: Strap, every: bool) -> Ways:
    """All bolts at once, or the one pulled most."""
    says = "its bolts' pull, a rigid group with the side-wall bolts as in the rows of rail bolts"
    if every:
        put: PUT = {f"F{n + 1}": (of.pull[:, n], "N") for n in range(of.pull.shape[1])}
        return Ways(of.pull.sum(axis=1), of.run, Step("F", " + ".join(put), put, says))
    most = of.pull.max(axis=1)
    return Ways(most, 0.0, Step("F", "Fa", {"Fa": (most, "N")}, says.replace("its bolts'", "its")))


def wall_bent(every: bool) -> Callable[[UnderLoad], Numbers | None]:
    """The rail's bottom wall between its side walls, pulled down by the strap's edges over as much
    of it as its own yield lines reach.
    """

    def numbers(seen: UnderLoad) -> Numbers | None:
        of = strap(seen)
        if of is None:
            return None
        way, wall = ways(of, every), seen.rail
        return {
            "force_N": way.force,
            "patch_along_mm": way.along + of.reach,
            "patch_across_mm": of.wide,
            "edges_mm": seen.q("rail.cross.width") - 2 * wall.thick,
            "edges_held": 1,
            "fy_MPa": wall.fy,
            "t_mm": wall.thick,
        }

    return numbers


def strap_bent(every: bool) -> Callable[[UnderLoad], Numbers | None]:
    """The strap between its long edges, which bear on the rail's wall, pulled by washers."""

    def numbers(seen: UnderLoad) -> Numbers | None:
        of = strap(seen)
        if of is None:
            return None
        way, plate = ways(of, every), seen.plate("XS9")
        return {
            "force_N": way.force,
            "patch_along_mm": way.along + of.washer,
            "patch_across_mm": of.washer,
            "edges_mm": of.wide,
            "edges_held": 1,
            "fy_MPa": plate.fy,
            "t_mm": plate.thick,
        }

    return numbers


def bent_steps(every: bool, wall: bool) -> Callable[[UnderLoad], Sequence[Step]]:
    """The bolts' pull and the length it goes through."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        of = strap(seen)
        if of is None:
            return ()
        way = ways(of, every)
        put: PUT = {"s": (way.along, "mm"), "dw": (of.washer, "mm")}
        if not wall:
            return (way.step, Step("lp", "s + dw", put, "s along the bolts, dw a washer"))
        put["bs"] = (of.wide, "mm")
        says = "s along the bolts, dw a washer, bs the strap's width: as far as its yield lines go"
        return (way.step, Step("lp", "s + dw + 2 sqrt(bs (bs - dw) / 2)", put, says))

    return steps


def flange_bent(outboard: bool) -> Callable[[UnderLoad], Numbers | None]:
    """An open rail's flange from its web, all bolts at once, over the strap's length."""

    def numbers(seen: UnderLoad) -> Numbers | None:
        of = strap(seen)
        if of is None:
            return None
        x0, _, x1, _ = seen.box("XS9")
        return {
            "moment_Nmm": of.pull.sum(axis=1) * _lever(seen, outboard),
            "strip_mm": x1 - x0,
            "fy_MPa": seen.rail.fy,
            "t_mm": seen.rail.thick,
        }

    return numbers


def _lever(seen: UnderLoad, outboard: bool) -> float:
    """From the web's inside to the bolt furthest from it, mm."""
    out = [hole.at[1] for hole in seen.holes("XS2").values()]
    wide = seen.q("rail.cross.width")
    return max(wide - y if outboard else y for y in out) - seen.rail.thick


def flange_steps(outboard: bool) -> Callable[[UnderLoad], Sequence[Step]]:
    """The bolts' pull at its lever from the web."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        of = strap(seen)
        if of is None:
            return ()
        put: PUT = {f"F{n + 1}": (of.pull[:, n], "N") for n in range(of.pull.shape[1])}
        formula = f"({' + '.join(put)}) l"
        put["l"] = (_lever(seen, outboard), "mm")
        return (Step("M", formula, put, "its bolts' pull, l from the web to the bolts"),)

    return steps


def turned(seen: UnderLoad) -> Pulled:
    """The foot's weld, square to the way from it to the row of side-wall bolts, with all that the
    frame joint's force turns about that row: bolts in one line resist no turning about it.
    """
    row = seen.bolts("cross.side")
    if not row or not seen.there("XS2"):
        return ()
    line, place = seen.axis("XS1"), np.mean([bolt.at for bolt in row], axis=0)
    middle = seen.ends("XS2", "inner").mean(axis=0)
    weld = seen.out("XS2", (float(middle[0]), float(middle[1])))
    moment = np.cross(seen.point("arm.joint") - place, seen.force("bracket")) @ line
    lever = (weld - place) - ((weld - place) @ line) * line
    reach = float(np.linalg.norm(lever))
    square = np.cross(line, lever / reach)
    return ((weld, (moment / reach)[:, None] * square, None),)


HOW = (("one", "the foot's most pulled bolt", False), ("all", "all of the foot's bolts", True))

WALL = tuple(
    row(
        f"cross.wall.{name}",
        f"rail's bottom wall bent between its side walls by {says}",
        "bracket",
        wall_pulled,
        Reasoned(wall_bent(every), bent_steps(every, True)),
        members=("XS9",),
        bolts=("cross.bottom",),
    )
    for name, says, every in HOW
)

FLANGE = {
    face: row(
        "cross.flange.bent",
        "open rail's bottom flange bent from its web by all of the foot's bolts: a rail boxed there"
        " does not bend so",
        "bracket",
        strip_bent,
        Reasoned(flange_bent(face == "side"), flange_steps(face == "side")),
        members=("XS9",),
        bolts=("cross.bottom",),
    )
    for face in ("inner", "side")
}

STRAP = tuple(
    row(
        f"cross.strap.{name}",
        f"nut strap in the rail bent between its long edges by {says}",
        "bracket",
        wall_pulled,
        Reasoned(strap_bent(every), bent_steps(every, False)),
        members=("XS9",),
        bolts=("cross.bottom",),
    )
    for name, says, every in HOW
)

ALL = "with all that the frame joint's force turns about the side-wall bolts"
WELDED = tuple(
    weld_group(name, f"{says} {ALL}", "bracket", welds, members=members, pulls=turned)
    for name, says, welds, members in (
        ("cross.foot.rail", "weld of {XS2} to the rail", ("cross.foot.rail",), ("XS2",)),
        (
            "cross.foot.welded",
            "welds of {XS2} to side plate and gussets",
            FOOT_WELDS,
            ("XS2", "XS3", "XS4"),
        ),
        (
            "cross.side.welded",
            "welds of {XS2} and its gussets to the side plate",
            SIDE_WELDS,
            ("XS2", "XS3", "XS4"),
        ),
    )
)


def rail_bottom(open_face: str, welded: bool) -> tuple[Hold, ...]:
    """Rows of a closed rail's bottom wall, or of the flange of one open on its "inner" face or
    outer "side", with those of the strap; of the foot's welds where it is ``welded`` to the rail.
    """
    if welded:
        return WELDED
    return (*((FLANGE[open_face],) if open_face else WALL), *STRAP)
