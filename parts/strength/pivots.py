"""Pivot bolts and the ears they pass: shear, bending, bearing, roots, pushed ears, washers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from .. import stock
from ..design.sizing import Check
from ..geometry import outline
from ..model.assembly import Bolt
from ..model.body import Plate
from ..model.hold import Hold
from ..model.vectors import Number
from ..rules import bolts, plates
from . import explained, neck, slot_washer, weld_groups
from .governing import Row, governing
from .recorded import Root
from .view import SideUnderLoad

OUTSIDE_THREADS = 0.563
"""Shear strength over tensile of a bolt with its threads out of the planes (AISC 360-16 J3.2)."""
GAP = 0.8
"""Between an ear and what it holds, mm (judgment)."""
HELD_PAIR, ALONE = 1.2, 2.1
"""Effective length of an ear: a pair held by its sleeve, one alone (AISC 360-16 C-A-7.1)."""
PORTAL = 2.0
"""A pair of ears under a sideways force bends as a portal: its half, Fo, bends each by Fo h / 2."""
PAIR = 2
MORE = 1.01
"""Times what its foot asks, from which a section above it has a row of its own."""


def rows(hold: Hold, seen: SideUnderLoad) -> Iterator[Check]:
    """A pivot bolt and what it passes.

    The bolt in double shear, and bent where it has two ears; every ear in bearing and tear-out, at
    its root and pushed; a slot through its weld washer; the welds behind the ears as one group. An
    ear takes the force over the number of ears.
    """
    work = seen.work
    (name,) = hold.bolts
    bolt = work.bolts.get(name)
    if bolt is None:
        return
    force = seen.force(hold.load)
    cheeks = [
        code
        for code in bolt.through
        if code in work.parts and isinstance(work.parts[code].member.body, Plate)
    ]
    yield from _bolt(bolt, cheeks, force, hold.says, seen)
    at = work.middle(bolt)
    for code in cheeks:
        if seen.rows is work.rows:
            work.at_hole[code, bolt.id] = lambda one: (
                seen.under((one,)).force(hold.load)[0] / len(cheeks)
            )
        ear = Ear(code, at, hold.says, len(cheeks), hold.load)
        yield from ear_rows(ear, seen)
    if not cheeks:
        return
    behind = [
        weld for weld in work.welds_of(*cheeks) if weld.on in cheeks and weld.to not in cheeks
    ]
    names = " and ".join(sorted({weld.on for weld in behind}))
    yield from weld_groups.group(
        behind,
        seen,
        lambda view: ((at, view.force(hold.load), None),),
        f"welds of {names} under the {hold.says}",
    )


def _bolt(
    bolt: Bolt, cheeks: Sequence[str], force: Array, says: str, seen: SideUnderLoad
) -> Iterator[Check]:
    work = seen.work
    size, mark = stock.bolt(bolt.size), work.made_of.bolt(bolt)
    count = max(1, len(cheeks))
    whole = explained.size(force, seen)
    total, force = force, np.linalg.norm(force, axis=1)
    shear: dict[str, Number] = {
        "force_N": force,
        "fnv_MPa": OUTSIDE_THREADS * mark.fu,
        "d_mm": size.d,
        "planes": count,
    }
    yield from governing(
        Row(
            bolt.id, f"{says}: shear, threads out of the planes", bolts.bolt_shear, shear, "", whole
        ),
        seen,
    )
    for code in cheeks:
        yield from _bearing(bolt, code, total / count, says, seen)
    if len(cheeks) == PAIR:
        bent: dict[str, Number] = {
            "force_N": force,
            "inner_mm": _apart(bolt, cheeks, seen),
            "gap_mm": GAP,
            "outer_mm": min(work.plate(code).thick for code in cheeks),
            "d_mm": size.d,
            "fy_MPa": mark.fy,
        }
        yield from governing(
            Row(bolt.id, f"{says}: bent between its ears", bolts.pin_bending, bent, "", whole), seen
        )


def _bearing(
    bolt: Bolt, code: str, force: Array, says: str, seen: SideUnderLoad
) -> Iterator[Check]:
    """An ear's share in bearing and tear-out; where its hole is a slot, its washer's."""
    work = seen.work
    part = work.parts[code]
    hole = next((hole for hole in part.holes if hole.bolt == bolt.id), None)
    if hole is None:
        return
    if hole.length:
        yield from slot_washer.rows(bolt, code, force, says, seen)
        return
    assert isinstance(part.member.body, Plate)
    plate = work.plate(code)
    numbers: dict[str, Number] = {
        "force_N": np.linalg.norm(force, axis=1),
        "d_mm": stock.bolt(bolt.size).d,
        "t_mm": plate.thick,
        "fu_MPa": plate.fu,
        "clear_mm": outline.distance(part.member.body.outline, hole.at) - hole.diameter / 2,
    }
    of = "half of" if _ears(bolt, seen) == PAIR else "all of"
    yield from governing(
        Row(
            code,
            f"{of} the force at the {says}, bearing and tear-out",
            bolts.bearing,
            numbers,
            "",
            explained.size(force, seen),
        ),
        seen,
    )


def _ears(bolt: Bolt, seen: SideUnderLoad) -> int:
    parts = seen.work.parts
    return sum(
        code in parts and isinstance(parts[code].member.body, Plate) for code in bolt.through
    )


def _apart(bolt: Bolt, cheeks: Sequence[str], seen: SideUnderLoad) -> float:
    """Clear distance between two ears along their bolt."""
    along, faces = np.array(bolt.along), []
    for code in cheeks:
        place = seen.work.members[code].place
        start = float(np.array(place.origin) @ along)
        thick = seen.work.plate(code).thick
        faces.append(sorted((start, start + float(np.array(place.z) @ along) * thick)))
    first, second = sorted(faces)
    return second[0] - first[1]


class Ear(NamedTuple):
    """A plate at its weld line under its share of a load at a place; ``edges``: its foot, where
    not all of its welds are.
    """

    code: str
    at: Array
    says: str
    share: int
    load: str
    edges: tuple[str, ...] = ()


def ear_rows(ear: Ear, seen: SideUnderLoad) -> Iterator[Check]:
    """An ear at its weld line: bent in its plane by the arm to the bolt, sideways as a portal held
    by the sleeve (as a cantilever where it is alone), pulled, sheared; and pushed toward its weld,
    which may buckle it. None for a bent plate, or where nothing holds it.
    """
    root = _root(ear, seen)
    if root is None:
        return
    if seen.rows is seen.work.rows:
        seen.work.roots.append(root)
    force = seen.force(ear.load) / ear.share
    height = abs(float(root.lever @ root.up))
    offset = abs(float(root.lever @ root.run))
    fy = seen.work.plate(ear.code).fy
    numbers: dict[str, Number] = {
        "moment_Nmm": np.abs(force @ root.run) * height + offset * np.abs(force @ root.up),
        "sideways_Nmm": np.abs(force @ root.out) * height / (PORTAL if ear.share > 1 else 1.0),
        "pull_N": np.abs(force @ root.up),
        "shear_N": np.abs(force @ root.run),
        "width_mm": root.width,
        "t_mm": root.thick,
        "fy_MPa": fy,
    }
    says = f"root of the ear under its share of the {ear.says}"
    steps = explained.root(root, force, PORTAL, seen)
    yield from governing(Row(ear.code, says, plates.plate_root, numbers, "", steps), seen)
    yield from above_the_weld(ear, root, float(np.max(plates.plate_root(**numbers)[0])), seen)
    down = root.up if float(root.lever @ root.up) < 0 else -root.up
    pushed: dict[str, Number] = {
        "push_N": np.maximum(force @ down, 0.0),
        "width_mm": root.width,
        "t_mm": root.thick,
        "tall_mm": height,
        "k": HELD_PAIR if ear.share > 1 else ALONE,
        "fy_MPa": fy,
    }
    says = f"ear pushed toward its weld by its share of the {ear.says}"
    steps = explained.pushed(root, force, seen)
    yield from governing(Row(ear.code, says, plates.plate_push, pushed, "", steps), seen)


def above_the_weld(ear: Ear, root: Root, at_foot: float, seen: SideUnderLoad) -> Iterator[Check]:
    """An ear's section above its weld where it asks more than its foot does, ``at_foot``; a
    saddle's slip along its arc.
    """
    force, fy = seen.force(ear.load) / ear.share, seen.work.plate(ear.code).fy
    portal = PORTAL if ear.share > 1 else 1.0
    found = neck.shape(root, ear.at, seen)
    cut, given = neck.worst(root, found, force, portal, fy)
    if cut is not None and float(np.max(plates.plate_root(**given)[0])) > at_foot * MORE:
        at = root._replace(lever=cut.beside * root.run + cut.down * root.up, width=cut.width)
        says = f"ear above its weld under its share of the {ear.says}"
        steps = explained.root(at, force, portal, seen)
        yield from governing(Row(ear.code, says, plates.plate_root, given, "", steps), seen)
    arc = neck.arc(found)
    if arc is None:
        return
    radius, angle, down = arc
    offset = abs(float(root.lever @ root.run))
    slip: dict[str, Number] = {
        "moment_Nmm": np.abs(force @ root.run) * down + offset * np.abs(force @ root.up),
        "radius_mm": radius,
        "arc_rad": angle,
        "t_mm": root.thick,
        "fy_MPa": fy,
    }
    says = f"ear's foot slips round what it stands on under its share of the {ear.says}"
    at = root._replace(lever=offset * root.run + down * root.up)
    steps = explained.root(at, force, portal, seen)[:1]
    yield from governing(Row(ear.code, says, plates.arc_slip, slip, "", steps), seen)


def _root(ear: Ear, seen: SideUnderLoad) -> Root | None:
    """The weld line of an ear; None for a bent plate, or where nothing holds it."""
    work = seen.work
    member = work.members[ear.code]
    lines = [
        ends
        for weld in work.welds_of(ear.code)
        if weld.on == ear.code and (not ear.edges or weld.edges == ear.edges)
        for ends in work.segments(weld)
    ]
    if not lines or not isinstance(member.body, Plate) or member.body.bends:
        return None
    points = np.array([point for ends in lines for point in ends])
    long = np.repeat([np.linalg.norm(end - start) for start, end in lines], 2)
    middle = (long[:, None] * points).sum(0) / long.sum()
    _, _, axes = np.linalg.svd(points - middle)
    out = np.array(member.place.z)
    run = axes[0] - (axes[0] @ out) * out
    run /= np.linalg.norm(run)
    return Root(
        part=ear.code,
        says=ear.says,
        run=run,
        out=out,
        up=np.cross(out, run),
        lever=ear.at - middle,
        width=float(np.ptp(points @ run)),
        thick=work.plate(ear.code).thick,
        share=ear.share,
        load=ear.load,
        again=seen.under,
        weld=points,
    )
