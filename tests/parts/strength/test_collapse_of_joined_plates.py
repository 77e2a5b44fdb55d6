"""Every plate a pivot bolt passes, with all that is welded to it, and the built-up brackets, held
against a lower bound of their plastic collapse: stresses and moments in equilibrium that nowhere
pass von Mises' yield, found by linear programming (`sheet_limit`), in the plates' real outlines,
joined and held where the assembly declares welds and bolts.

A pin is one piece with its hole's rim: how it bears there is left to the row (AISC 360 J3.10),
which asks for tensile strength; a rim pushed without friction, in a plane that does not harden,
begins to stretch at about Fy d t, which no code takes for a limit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from plate_groups import Group, group, hole, rim, span, welded_to
from sheet_limit import Sheet, Stiff, carried
from soapstone.parts.design.site import Refused
from soapstone.parts.geometry import outline
from soapstone.parts.geometry.contours import slot
from soapstone.parts.geometry.prism import into
from soapstone.parts.model.assembly import Bolt, Hole
from soapstone.parts.model.body import Loop, Plate
from soapstone.parts.model.codes import across
from soapstone.parts.model.hold import Hold, HoldKind
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.evaluate import rows, seen_by
from soapstone.parts.strength.named_loads import case_of
from soapstone.parts.strength.recorded import AtWorst
from soapstone.parts.strength.result import Strength, strength
from soapstone.parts.strength.work import Work
from trucks import truck

OMEGA = 1.67
FINE = 16.0
"""Edges over the root of a group's area."""
PLASTIC = ("plate_root", "arc_slip", "plate_push", "plate_sheared", "strip_bent", "blade_pulled")
BESIDE = 20.0
"""From a weld, mm, where what a plate lies on does not give (judgment)."""


@cache
def worked() -> tuple[Work, Strength]:
    made, solved = truck()
    found = strength(made, solved, default_shop())
    work = Work(made, default_shop(), solved.values, found.forces)
    list(rows(work))
    return work, found


def ears(bolt: Bolt) -> tuple[str, ...]:
    parts = worked()[0].parts
    return tuple(c for c in bolt.through if c in parts and isinstance(parts[c].member.body, Plate))


def pivots() -> Iterator[Hold]:
    """Every pivot of the truck that passes plates; of two alike the left one."""
    work, _ = worked()
    known = {hold.id for hold in work.truck.assembly.holds}
    for hold in work.truck.assembly.holds:
        bolt = work.bolts.get(hold.bolts[0]) if hold.kind is HoldKind.PIVOT else None
        twin = hold.id.endswith(".R") and across(hold.id) in known
        if bolt is not None and ears(bolt) and not (twin and across(bolt.id) in work.bolts):
            yield hold


def cut(
    codes: tuple[str, ...], holes: Mapping[str, list[Loop]], left_out: tuple[str, ...] = ()
) -> Group:
    """A group, finer until its outlines mesh."""
    work, size = worked()[0], span(worked()[0], codes) / FINE
    while True:
        try:
            return group(work, codes, size, holes, left_out)
        except Refused:
            size *= 0.85


def middle(bolt: Bolt, made: Group) -> np.ndarray:
    """Of a bolt, halfway between the middles of the plates it passes."""
    along, at = np.array(bolt.along), np.array(bolt.at)
    planes = [made.sheets[n].origin for code in ears(bolt) for n, _ in made.rims[code]]
    return np.asarray(at + along * float(np.mean([(plane - at) @ along for plane in planes])))


def pressed(code: str, bolt: Bolt) -> tuple[Loop, bool]:
    """What of a plate gives way to a bolt: its hole; where that is a slot, all that lies under the
    washer welded on it. Whether the bolt bears in it.
    """
    work = worked()[0]
    found: Hole = next(h for h in work.parts[code].holes if h.bolt == bolt.id)
    if not found.length:
        return hole(found.at, found.diameter), True
    washer = next(w.on for w in work.welds_of(code) if w.to == code and w.edges == ("rim",))
    body = work.members[washer].body
    assert isinstance(body, Plate)
    x0, _, x1, _ = outline.bbox(body.outline)
    return hole(found.at, x1 - x0), False


class Loaded(NamedTuple):
    """Plates and what pushes them."""

    made: Group
    stiff: tuple[Stiff, ...]


def pinned(bolt: Bolt) -> Loaded:
    """All that is welded to the plates a pivot bolt passes."""
    work = worked()[0]
    codes = welded_to(work, ears(bolt))
    loops = {code: pressed(code, bolt)[0] for code in ears(bolt)}
    made = cut(codes, {code: [loop] for code, loop in loops.items()})
    for n, sheet in enumerate(made.sheets):
        if sheet.held and not sheet.fast:
            made.sheets[n] = backed(sheet, beside(sheet))
    rims = [each for code in loops for each in made.rims[code]]
    pin = Stiff(rims, bears=False, square=len(loops) > 1, at=middle(bolt, made))
    return Loaded(made, (pin,))


def pulls(says: str) -> AtWorst:
    """The forces of a weld group of the left side, or the middle, in its governing case."""
    return next(each.weld for each in worked()[1].groups if each.says.startswith(says))


def backed(sheet: Sheet, on: np.ndarray) -> Sheet:
    """A sheet with these corners (n,) pushed by what it lies on where nothing else holds them."""
    more = on & ~sheet.up
    return sheet._replace(up=sheet.up | more, backed=more.astype(float))


def beside(sheet: Sheet) -> np.ndarray:
    """Corners near the welds of a plate that lies on what it is welded to: that is as stiff there
    as at the weld itself.
    """
    apart = sheet.nodes[:, None] - sheet.nodes[sheet.up][None]
    return np.asarray(np.hypot(*apart.transpose(2, 0, 1)).min(axis=1) < BESIDE)


def drilled(code: str) -> list[Loop]:
    return [
        slot(each.at, each.length, each.diameter, each.angle)
        if each.length
        else hole(each.at, each.diameter)
        for each in worked()[0].parts[code].holes
    ]


def crossmember() -> Loaded:
    """Side plate, foot and gussets under the stub, held by their bolts, pushed by the rail. The
    tube lies on the other side plate too and takes the moment out of this one's plane itself; its
    own rows hold it.
    """
    work = worked()[0]
    codes = welded_to(work, ("XS1.L",))
    made = cut(codes, {code: drilled(code) for code in ("XS1.L", "XS2.L")}, ("cross.seat.L",))
    side, foot = made.sheet("XS1.L"), made.sheet("XS2.L")
    level = into(work.members["XS1.L"].place, made.sheets[foot].origin[None])[0, 1]
    made.sheets[side] = backed(made.sheets[side], made.sheets[side].nodes[:, 1] > level)
    made.sheets[foot] = backed(made.sheets[foot], np.ones(len(made.sheets[foot].nodes), bool))
    body = work.members["XS1.L"].body
    assert isinstance(body, Plate)
    ((at, force, couple),) = pulls("weld of the stub in the side plate").pulls
    seat = ((side, rim(made.sheets[side], body.openings[0])),)
    stub = Stiff(seat, False, True, at, force, couple, made.sheets[side].turn[2:])
    bolts = [Stiff((each,), True, False) for code in made.rims for each in made.rims[code]]
    return Loaded(made, (stub, *bolts))


def transmission_pad() -> Loaded:
    """Pad, arms and tie on the cross tube, half of the load at either bolt."""
    work = worked()[0]
    codes = welded_to(work, ("XP1.C",))
    made = cut(codes, {"XP1.C": drilled("XP1.C")})
    ((_, force, _),) = pulls("welds of the transmission pad's arms").pulls
    found = []
    for (n, edges), each in zip(made.rims["XP1.C"], work.parts["XP1.C"].holes, strict=True):
        at = made.sheets[n].origin + np.array(each.at) @ made.sheets[n].turn[:2]
        found.append(Stiff(((n, edges),), False, True, at, force / 2))
    return Loaded(made, tuple(found))


BUILT: Mapping[str, Callable[[], Loaded]] = {
    "crossmember": crossmember,
    "transmission pad": transmission_pad,
}


def collapse(of: Loaded) -> float:
    return carried(of.made.sheets, of.stiff, of.made.joints)


def forces(hold: Hold, made: Group) -> Mapping[str, np.ndarray]:
    """The pivot's force by case: the largest, and the one of the plates' most used row."""
    work, found = worked()
    seen = seen_by(work, hold)
    every = dict(zip(map(case_of, seen.rows), seen.force(hold.load), strict=True))
    most = max(every, key=lambda case: float(np.linalg.norm(every[case])))
    codes = {face.code for face in made.faces}
    own = [r for r in found.checks if r.part in codes and r.case in every and r.rule in PLASTIC]
    worst = max(own, key=lambda r: r.utilisation).case if own else most
    return {case: every[case] for case in {most, worst}}


@pytest.mark.long
def test_no_pivot_passes_that_plasticity_does_not() -> None:
    found: dict[str, float] = {}
    for hold in pivots():
        bolt = worked()[0].bolts[hold.bolts[0]]
        of = pinned(bolt)
        # a strap only pulls; what lies on something is pushed and pulled in turn
        lies = any(len(sheet.backed) for sheet in of.made.sheets) and hold.load != "strap"
        every = forces(hold, of.made).values()
        for force in (sign * each for each in every for sign in ((1, -1) if lies else (1,))):
            (pin,) = of.stiff
            factor = collapse(Loaded(of.made, (pin._replace(force=force),)))
            found[hold.id] = min(found.get(hold.id, factor), factor)
        print(f"{hold.id}: {found[hold.id]:.2f}", flush=True)
    assert len(found) >= 9, "pivots of the demo"
    fails = {part for row in worked()[1].fails.values() for part in row}
    assert not fails
    assert min(found.values()) >= OMEGA, found


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(BUILT))
def test_no_bracket_passes_that_plasticity_does_not(name: str) -> None:
    factor = collapse(BUILT[name]())
    print(f"{name}: {factor:.2f}", flush=True)
    assert factor >= OMEGA
