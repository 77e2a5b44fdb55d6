"""Parts the tool passes, as solids of steel that yields without hardening: none gives way before
the load its hand rule allows, times 1.67.

Source: CalculiX, a general-purpose program outside the project (`apt-get install calculix-ccx`);
skipped without it. Some minutes: `pytest -m long tests/parts/strength/test_collapse_of_solids.py`.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from soapstone.parts.geometry.contours import circle, rectangle
from soapstone.parts.geometry.prism import into
from soapstone.parts.model.body import Plate
from soapstone.parts.placed.fit import weld_line
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.elements.mesh import near
from soapstone.parts.strength.evaluate import rows
from soapstone.parts.strength.named_loads import case_of
from soapstone.parts.strength.result import strength
from soapstone.parts.strength.work import Work
from solid_collapse import bricks, collapse
from trucks import truck

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(shutil.which("ccx") is None, reason="CalculiX is not installed"),
]
OMEGA = 1.67
SHORT = 0.95
"""Of the hand rule's collapse, at least: a square grid and a ring of points."""


def test_coil_seat_between_its_gussets(tmp_path: Path) -> None:
    """Three edges held up and free to turn, the front one free, under the coil's ring and the
    stop's in their shares.
    """
    t, g = truck()
    row = next(
        row
        for row in strength(t, g, default_shop()).checks
        if row.what.startswith("coil seat bent")
    )
    of = dict(row.given)
    made = bricks(rectangle(0.0, 0.0, of["span_mm"], of["deep_mm"]), (), of["t_mm"], 8.0, 2)
    x, y, z = made.nodes.T
    middle = np.isclose(z, of["t_mm"] / 2)
    edge = np.isclose(x, 0.0) | np.isclose(x, of["span_mm"]) | np.isclose(y, 0.0)
    held = np.zeros((len(x), 3), dtype=bool)
    held[middle & edge, 2] = True
    held[middle & edge & np.isclose(y, 0.0)] = True
    load = np.zeros((len(x), 3))
    away = np.hypot(x - of["span_mm"] / 2, y - of["at_mm"])
    for ring in ("coil", "stop"):
        on = np.isclose(z, of["t_mm"]) & (np.abs(away - of[f"{ring}_radius_mm"]) < 6.0)
        load[on, 2] -= of[f"{ring}_N"] / on.sum()
    # the clause is of thickness: what is allowed grows with its square
    allowed = (row.capacity / row.demand) ** 2
    found = collapse(tmp_path, made, of["fy_MPa"], held, load, 2.2 * OMEGA * allowed)
    print(f"coil seat: gives way at {found / allowed / OMEGA:.2f} of the hand rule's collapse")
    assert found > SHORT * OMEGA * allowed


def test_lower_seat_on_its_two_plates(tmp_path: Path) -> None:
    """A round plate on two straight lines, free to turn on them, under the coil's ring and the
    stop's two lines in their shares.
    """
    t, g = truck()
    row = next(
        row
        for row in strength(t, g, default_shop()).checks
        if row.rule == "seat_on_lines" and row.part == "LS1.L"
    )
    of = dict(row.given)
    made = bricks(circle((0.0, 0.0), 2 * of["rim_mm"]), (), of["t_mm"], 6.0, 2)
    x, y, z = made.nodes.T
    held = np.zeros((len(x), 3), dtype=bool)
    rest = np.isclose(z, 0.0) & (np.abs(y) > of["line_mm"] - 0.1)
    rest &= np.isclose(np.abs(y), np.abs(y[rest]).min())
    held[rest, 2] = True
    held[rest & (y > 0), :2] = True
    top, load = np.isclose(z, of["t_mm"]), np.zeros((len(x), 3))
    for on, force in (
        (top & (np.abs(np.hypot(x, y) - of["coil_radius_mm"]) < 4.0), of["coil_N"]),
        (
            top & (np.abs(np.abs(y) - of["fold_mm"]) < 3.0) & (np.abs(x) < of["coil_radius_mm"]),
            of["stop_N"],
        ),
    ):
        load[on, 2] -= force / on.sum()
    allowed = (row.capacity / row.demand) ** 2
    found = collapse(tmp_path, made, of["fy_MPa"], held, load, 2.5 * OMEGA * allowed)
    print(f"lower seat: gives way at {found / allowed / OMEGA:.2f} of the hand rule's collapse")
    assert found > SHORT * OMEGA * allowed


def test_an_ear_to_plastic_collapse(tmp_path: Path) -> None:
    """The bracket's ear for the frame joint, held along its welds through its thickness, its share
    of the bolt's force spread over the hole.
    """
    t, g = truck()
    shop, s = default_shop(), strength(t, g, default_shop())
    work = Work(t, shop, g.values, s.forces)
    list(rows(work))
    row = max(
        (r for r in s.checks if r.what.startswith("root of the ear") and r.part == "AB1.L"),
        key=lambda r: r.utilisation * ("every day" not in r.what),
    )
    part = work.parts["AB1.L"]
    member = part.member
    assert isinstance(member.body, Plate)
    thick, _ = work.steel_of("AB1.L")
    case = next(forces for forces in work.rows if case_of(forces) == row.case)
    turn = np.array((member.place.x, member.place.y, member.place.z))
    made = bricks(member.body.outline, member.body.openings, thick, 4.0, 2)
    held = np.zeros((len(made.nodes), 3), dtype=bool)
    for weld in (w for w in t.assembly.welds if w.on == "AB1.L"):
        for edge in weld.edges:
            line = into(member.place, weld_line(member, edge, thick, "bottom", weld.stop))[:, :2]
            held |= near(made.nodes[:, :2], line, 3.0)[:, None]
    load = np.zeros((len(made.nodes), 3))
    for hole in part.holes:
        if ("AB1.L", hole.bolt) not in work.at_hole:
            continue
        force = turn @ work.at_hole["AB1.L", hole.bolt](case)
        away = np.hypot(*(made.nodes[:, :2] - np.array(hole.at)[:2]).T)
        on = away < hole.diameter / 2 + 4.0
        load[on] += force / on.sum()
    assert held.any() and load.any()
    allowed = 1 / row.utilisation
    found = collapse(tmp_path, made, work.plate("AB1.L").fy, held, load, 3.0 * OMEGA * allowed)
    print(f"ear: gives way at {found / allowed / OMEGA:.2f} of the hand rule's collapse")
    assert found > SHORT * OMEGA * allowed
