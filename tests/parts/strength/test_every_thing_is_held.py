"""Every part, bolt and weld made here stands in a row under load, or in a list with the reason and
whose it is; a family that says nothing of its loads is found out.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from built_jobs import typed_mm
from designs import designed_of
from soapstone.layout.graph import Graph
from soapstone.layout.reader import System, reading_in
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.hold import Whose
from soapstone.parts.model.numbering import numbered_bolts
from soapstone.parts.rules.bolts import shares
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.strength.coverage import coverage
from soapstone.parts.strength.recorded import Pieces
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck
from trucks import truck

KNOWN: set[str] = set()
"""What no row is worked for yet, said with the reason on screen and paper."""


def things(made: Truck) -> set[str]:
    """What a shop makes, bolts or welds; tools and what is on the truck already are not held."""
    return {
        *(
            member.code
            for member in made.assembly.members
            if isinstance(member.body, (Plate, Tube)) and member.fixed_after != "tool"
        ),
        *(bolt.id for bolt in numbered_bolts(made.assembly).values()),
        *(weld.id for weld in made.assembly.welds),
    }


def in_mm() -> tuple[Truck, Graph, Shop]:
    with reading_in(System.METRIC):
        made = designed_of(*typed_mm())
    return made.truck, made.solved, made.shop


@pytest.mark.parametrize("name", ["demo", "demo_uneven", "mm"])
def test_everything_is_held_or_listed(name: str) -> None:
    made, solved, shop = in_mm() if name == "mm" else (*truck(name), default_shop())
    found = strength(made, solved, shop)
    known = coverage(made, found)
    every = things(made)
    assert len(every) > 200
    assert every - known.held - set(known.aside) == set()
    assert all(entry.why and entry.whose in Whose for entry in made.assembly.not_held)
    assert name == "mm" or not found.fails
    unworked = {name.partition(".")[0] for name in every if known.unlooked(name, "")}
    assert unworked == KNOWN, "what nobody worked"


def test_a_family_that_declares_no_load_is_found_out() -> None:
    made, solved = truck()
    silent = {"AB", "AR"}
    kept = tuple(
        hold
        for hold in made.assembly.holds
        if not {name[:2] for name in hold.members} & silent and not hold.id.startswith("arm.")
    )
    mute = made._replace(assembly=made.assembly._replace(holds=kept))
    known = coverage(mute, strength(mute, solved, default_shop()))
    lost = things(made) - known.held - set(known.aside)
    assert {"AR1.L", "arm.insert.R", "AB1.L", "arm.joint#1.R"} <= lost


def test_no_row_stands_twice() -> None:
    made, solved = truck()
    rows = [(row.part, row.what) for row in strength(made, solved, default_shop()).checks]
    assert len(rows) == len(set(rows))


def test_a_couple_on_a_ring_of_weld_against_the_handbook() -> None:
    """Shigley, Mechanical Engineering Design, 9th ed., tables 9-1 and 9-2, ring of weld: J = 2 pi
    r^3 and I = pi r^3 for a unit throat. Torque T gives T r / J a millimeter, bending M at most
    M r / I; the sixteen straight pieces of the model come within 1 %.
    """
    radius, count = 30.0, 64
    turn = (np.arange(count) + 0.5) * math.tau / count
    middles = radius * np.column_stack((np.zeros(count), np.cos(turn), np.sin(turn)))
    pieces = Pieces(
        middles,
        np.full(count, math.tau * radius / count),
        np.ones(count),
        np.ones((count, 2)),
        np.zeros((count, 2, 3)),
        np.arange(count),
    )
    unit = pieces.unit_couple(np.zeros(3))
    torque = np.linalg.norm(unit[:, :, 0], axis=1)
    assert torque == pytest.approx(np.full(count, radius / (2 * math.pi * radius**3)), rel=1e-6)
    bent = np.abs(unit[:, 0, 1]).max()
    assert bent == pytest.approx(radius / (math.pi * radius**3), rel=0.01)
    both = shares(middles, np.ones(count), np.array((0.0, 0.0, 0.0)), np.zeros(3))
    assert np.abs(both).max() == 0.0
