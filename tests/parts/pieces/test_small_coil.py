"""A coil smaller than the demo's: its ring, the seat's slots and the bump pad's legs share its
inside.
"""

from __future__ import annotations

import copy
import math
import tomllib
from functools import cache

from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.model.body import Plate
from soapstone.parts.placed.fit import fit
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, design
from soapstone.parts.verdict.nearest_size import told
from trucks import DATA


@cache
def _job(mean: str) -> Job:
    """The demo with a coil of that mean diameter."""
    table = copy.deepcopy(tomllib.loads((DATA / "demo.toml").read_text()))
    table["spring"]["mean_diameter"] = mean
    return of_table(table)


@cache
def _made(mean: str) -> tuple[Truck, Graph]:
    """With the seat its loads ask for."""
    job = _job(mean)
    solved = solve(job)
    pins = {"lower_seat": {"plate": "3/8 A36"}}
    return design(solved, job.words, pins, job.chassis, default_shop()), solved


def test_the_ring_is_welded_on_steel_and_the_pad_stands_inside() -> None:
    """A ring of this size would lie over the slots of the saddles' tabs; its bore, 5/8 in in from
    its rim, would not let the legs of the bump pad through.
    """
    truck, solved = _made("4 3/4 in")
    wrong = [m for m in fit(truck, default_shop(), solved.values, ("weld", "overlap")) if m.miss_mm]
    assert not [m for m in wrong if "LS" in m.what or "BP" in m.what], wrong
    by = {part.id: part.member.body for part in truck.singles}
    seat, ring = by["LS1.L"], by["LS4.L"]
    assert isinstance(seat, Plate) and isinstance(ring, Plate)
    rim = abs(ring.outline[0].start[0])
    for loop in seat.openings:
        reach = [math.hypot(*edge.start) for edge in loop]
        assert max(reach) < rim or min(reach) > rim
    (bore,) = ring.openings
    assert rim - abs(bore[0].start[0]) >= 3 / 8 * IN - 1e-6


def test_a_pad_that_does_not_fit_inside_is_refused_by_its_rule() -> None:
    truck, _ = _made("3.9 in")
    why = [said for who, said in truck.failed.items() if who.startswith("bump stop")]
    assert len(why) == 2 and all("stays inside the coil" in said for said in why)
    way = told(_job("3.9 in"), default_shop(), truck)
    wrong = [way[who] for who in truck.failed if who.startswith("bump stop")]
    assert all("can be made" in w or "could be made" in w or "explain BP" in w for w in wrong)


def test_the_demo_keeps_its_tabs() -> None:
    truck, _ = _made("5 in")
    (seat,) = [p.member.body for p in truck.singles if p.id == "LS1.L"]
    assert isinstance(seat, Plate) and len(seat.openings) == 2
