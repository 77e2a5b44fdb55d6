"""Brackets built up of plates, held against a lower bound of their plastic collapse (`sheet_limit`)
under the loads of their own rows: in the plates' real outlines, joined and held where the assembly
declares welds and bolts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
import pytest
from loaded_plates import (
    DISK,
    RING,
    Loaded,
    backed,
    beside,
    collapse,
    cut,
    drilled,
    pulls,
    pushed,
    row,
    worked,
)
from plate_groups import rim, welded_to
from sheet_limit import Stiff
from soapstone.parts.geometry.prism import into
from soapstone.parts.model.body import Plate
from soapstone.parts.pieces._holds_flange import FOUR, TWO, joint
from soapstone.parts.strength.evaluate import seen_by
from soapstone.parts.strength.named_loads import case_of

OMEGA = 1.67
STAND = "travel.stop_diameter"


def crossmember() -> Loaded:
    """Side plate, foot and gussets under the stub, held by their bolts, pushed by the rail. The
    tube lies on the other side plate too and takes the moment out of this one's plane itself; its
    own rows hold it.
    """
    work = worked()[0]
    codes = welded_to(work, ("XS1.L",))
    holes = {code: drilled(code) for code in ("XS1.L", "XS2.L")}
    made = cut(codes, holes, ("cross.seat.L",), fine=9.0)
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


def coil_mount() -> Loaded:
    """Seat, gussets and back plate under the coil's ring and the stop's, held by the back plate's
    own welds and pushed by what it lies on beside them.
    """
    made = cut(welded_to(worked()[0], ("CM4.L",)), fine=18.0)
    back = made.sheet("CM1.L")
    made.sheets[back] = backed(made.sheets[back], beside(made.sheets[back], "CS1.L"))
    of = dict(row("CM4.L", "seat_collapse").given)
    seat = made.sheet("CM4.L")
    for load in ("coil", "stop"):
        ring = of[f"{load}_radius_mm"] * RING
        made.sheets[seat] = pushed(made.sheets[seat], ring, of[f"{load}_N"])
    return Loaded(made)


def lower_seat() -> Loaded:
    """Lower seat on its saddles under the coil's ring, and on it the bump pad on its legs under the
    stop, which lands square on the pad.
    """
    of = dict(row("LS1.L", "seat_on_lines").given)
    stands = tuple(f"seat.top.{side}.L" for side in ("out", "in"))
    made = cut(welded_to(worked()[0], ("LS1.L",)), bears=stands, fine=14.0)
    seat, pad = made.sheet("LS1.L"), made.sheet("BP3.L")
    ring = of["coil_radius_mm"] * RING
    made.sheets[seat] = pushed(made.sheets[seat], ring, -of["coil_N"])
    made.sheets[pad] = pushed(made.sheets[pad], stop_radius() * DISK, -of["stop_N"])
    return Loaded(made)


def stop_radius() -> float:
    work = worked()[0]
    hold = next(each for each in work.truck.assembly.holds if each.id == "stop.cap.bent.L")
    return float(seen_by(work, hold).q(STAND)) / 2


def stop_cap() -> Loaded:
    """The stop's cap on the end of its spacer, the stop's push all over its own circle."""
    of = dict(row("BP2.L", "disk_pushed").given)
    round_ = np.vstack((RING[::3], RING[:1])) * of["ring_mm"]
    made = cut(("BP2.L",), {"BP2.L": drilled("BP2.L")}, more={"BP2.L": [round_]})
    (sheet,) = made.sheets
    on = np.abs(np.hypot(*sheet.nodes.T) - of["ring_mm"]) < 0.1
    inside = DISK * min(stop_radius(), np.hypot(*sheet.nodes.T).max())
    inside = inside[np.hypot(*inside.T) > 1.03 * of["hole_radius_mm"]]
    force = float(pulls("weld of the bump stop's spacer to its cap").pulls[0][1][2])
    made.sheets[0] = pushed(sheet._replace(up=on), inside, -force)
    return Loaded(made)


def flange(code: str, square: bool = True) -> Loaded:
    """A flange of the crossmember: its tube bends, twists and pulls it, its bolts hold it to the
    other flange, which pushes it; dowels hold it in its plane. ``square``: it cannot tilt on its
    tube.
    """
    work = worked()[0]
    hold = next(each for each in work.truck.assembly.holds if each.id == "cross.flange.pried.L")
    seen = seen_by(work, hold)
    load, worst = joint(seen), row("XT2.L", "prying").case
    n = [case_of(each) for each in seen.rows].index(worst)
    assert load is not None
    made = cut((code,), {code: drilled(code)}, fine=9.0)
    (sheet,) = made.sheets
    up, smooth = sheet.up.copy(), set()
    for (_, edges), each in zip(made.rims[code], work.parts[code].holes, strict=True):
        if each.bolt.startswith("cross.dowel"):
            smooth |= edges
        else:
            up[[node for pair in edges for node in pair]] = True
    sheet = sheet._replace(up=up, smooth=frozenset(smooth))
    made.sheets[0] = backed(sheet, np.ones(len(sheet.nodes), bool), -1.0)
    body = work.members[code].body
    assert isinstance(body, Plate)
    bore = ((0, rim(sheet, body.openings[0])),)
    away = -FOUR * float(load.along[n]) * sheet.turn[2]
    force = away + np.array((0.0, 0.0, TWO * load.across[n]))
    moment = np.array((load.about_x[n], load.twist[n], -load.about_z[n]))
    return Loaded(made, (Stiff(bore, False, square, sheet.origin, force, moment),))


BUILT: Mapping[str, Callable[[], Loaded]] = {
    "crossmember": crossmember,
    "transmission pad": transmission_pad,
    "coil mount": coil_mount,
    "lower seat and bump pad": lower_seat,
    "stop's cap": stop_cap,
    "stub's flange": lambda: flange("XT2.L"),
}


@pytest.mark.long
@pytest.mark.parametrize("name", sorted(BUILT))
def test_no_bracket_passes_that_plasticity_does_not(name: str) -> None:
    factor = collapse(BUILT[name]())
    print(f"{name}: {factor:.2f}", flush=True)
    assert factor >= OMEGA


@pytest.mark.long
def test_the_center_flange_on_its_one_fillet() -> None:
    """Welded from behind only, it bends there as far as the throat does: m = Fw a^2 / 4 (1 - n^2),
    n the throat's pull at collapse over its strength Fw = 1.5 x 0.60 FEXX, square to its line (AISC
    360 J2.4). Fields of a flange that tilts freely and of one that does not add up in that share
    (yield is convex).
    """
    sheet = flange("XT4.L").made.sheets[0]
    of = dict(row("XT4.L", "weld_line").given)
    free, fast = (collapse(flange("XT4.L", square)) for square in (False, True))
    throat, strength = of["leg_mm"] / np.sqrt(2.0), 1.5 * 0.60 * of["fexx_MPa"]
    pull = OMEGA * of["force_N_mm"] / (throat * strength)
    share = strength * throat**2 * (1 - pull**2) / (sheet.fy * sheet.thick**2)
    factor = free + min(share, 1.0) * (fast - free)
    print(f"center flange: {free:.2f} to {fast:.2f}, {factor:.2f}", flush=True)
    assert factor >= OMEGA
