"""Every plate a pivot bolt passes, with all that is welded to it, held against a lower bound of
its plastic collapse: stresses and moments in equilibrium that nowhere pass von Mises' yield,
found by linear programming (`sheet_limit`), in the plates' real outlines,
joined and held where the assembly declares welds and bolts.

A pin is one piece with its hole's rim: how it bears there is left to the row (AISC 360 J3.10),
which asks for tensile strength; a rim pushed without friction, in a plane that does not harden,
begins to stretch at about Fy d t, which no code takes for a limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pytest
from loaded_plates import Loaded, backed, beside, collapse, cut, worked
from plate_groups import Group, hole, span, welded_to
from sheet_limit import Stiff
from soapstone.parts.geometry import outline
from soapstone.parts.model.assembly import Bolt, Hole
from soapstone.parts.model.body import Loop, Plate
from soapstone.parts.model.codes import across
from soapstone.parts.model.hold import Hold, HoldKind
from soapstone.parts.strength.evaluate import seen_by
from soapstone.parts.strength.named_loads import case_of

OMEGA = 1.67
AT_EARS = 12.0
"""Edges along a joint over the root of the area of the plates that a bolt passes."""
PLASTIC = ("plate_root", "arc_slip", "plate_push", "plate_sheared", "strip_bent", "blade_pulled")


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


def pinned(bolt: Bolt) -> Loaded:
    """All that is welded to the plates a pivot bolt passes."""
    work = worked()[0]
    codes = welded_to(work, ears(bolt))
    loops = {code: pressed(code, bolt)[0] for code in ears(bolt)}
    step = span(work, ears(bolt)) / AT_EARS
    made = cut(codes, {code: [loop] for code, loop in loops.items()}, step=step)
    for n, sheet in enumerate(made.sheets):
        if sheet.held and not sheet.fast:
            made.sheets[n] = backed(sheet, beside(sheet))
    rims = [each for code in loops for each in made.rims[code]]
    pin = Stiff(rims, bears=False, square=len(loops) > 1, at=middle(bolt, made))
    return Loaded(made, (pin,))


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
