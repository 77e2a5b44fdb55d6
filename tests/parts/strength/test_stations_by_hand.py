"""Stations along a coil-seat plate, of a made-up rail: where they stand by subtraction, what the
section there is, by the section's own rule.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from soapstone.layout.quantities import Key
from soapstone.parts.geometry import rail_section
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Member
from soapstone.parts.model.body import Bar, Edge, Existing, Plate
from soapstone.parts.model.terms import Role
from soapstone.parts.model.vectors import Frame
from soapstone.parts.strength import rail_stations
from soapstone.parts.truck import roles

FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
PLATE, LOW, HIGH = (
    roles.placed(role, "L")[0] for role in (Role.COIL_PLATE, Role.LOW_STRIP, Role.HIGH_STRIP)
)


def work(boxed: bool = True, made: tuple[str, ...] = (PLATE,), **words: str) -> Any:
    """A rail of 70 x 150 x 5, its plate from 160 ahead of the coil to 120 behind; a cut from 40
    ahead to 60 behind the coil, which stands at 10, from 30 to 90 high.
    """
    section = rectangle(0.0, 0.0, 70.0, 150.0)
    inner = (rectangle(5.0, 5.0, 65.0, 145.0),) if boxed else ()
    rail = Member("rail1.L", "rail", "", Existing("rail", Bar(900.0, section, inner)), FLAT)
    strip = tuple(
        Edge(name, start)
        for name, start in (("a", (0.0, 0.0)), ("inner", (0.0, -8.0)), ("b", (90.0, -9.0)))
    )
    bodies = {PLATE: Plate("3/16 A36", rectangle(-160.0, 5.0, 120.0, 140.0))}
    bodies |= {code: Plate("3/16 A36", strip) for code in (LOW, HIGH)}
    members = {code: Member(code, "x", "ZZ", bodies[code], FLAT) for code in made}
    values = {"rail.coil.width": 70.0, "rail.coil.height": 150.0, "rail.coil.wall": 5.0}
    values |= {"frame.notch.x_first": 50.0, "frame.notch.x_last": -50.0, "seat.upper.x": 10.0}
    values |= {"frame.notch.z_low": 30.0, "frame.notch.z_high": 90.0}
    return SimpleNamespace(
        values={Key(name, "L"): value for name, value in values.items()},
        truck=SimpleNamespace(words=words),
        members={**members, "rail1.L": rail},
        steel_of=lambda code: (4.7625, 400.0),
    )


def test_stations_stand_where_the_tape_says() -> None:
    """Ends, both edges of the cut, under the coil, and half way between an end and the cut."""
    rows = rail_stations.stations(work(), "L")
    assert [row.ahead for row in rows] == [160.0, 100.0, 40.0, 0.0, -60.0, -90.0, -120.0]
    assert (
        rows[0].ratio
        == rows[-1].ratio
        == dict.fromkeys(("vertical", "held", "lateral", "torsion"), 1.0)
    )
    whole, cut = rows[1].ratio, rows[2].ratio
    assert rows[5].ratio == whole and rows[3].ratio == rows[4].ratio == cut
    rail = rail_section.RailSection(width=70.0, height=150.0, wall=5.0, shape="boxed", radius=0.0)
    at = 4.7625, (5.0, 140.0)
    assert whole == rail_section.restored(rail, (75.0, 75.0), *at, strip=(0.0, 0.0))
    assert cut == rail_section.restored(rail, (30.0, 90.0), *at, strip=(0.0, 0.0), both=False)
    assert min(whole.values()) >= 1.0


def test_a_rail_that_is_not_cut_has_three_stations() -> None:
    """Its ends and the sound wall under the coil; an open rail has no torsion of its own."""
    rows = rail_stations.stations(work(boxed=False, frame__cut="no"), "L")
    assert len(rows) == 7, "the word is the job's own"
    own = work(boxed=False)
    own.truck.words["frame.cut"] = "no"
    rows = rail_stations.stations(own, "L")
    assert [row.ahead for row in rows] == [160.0, 0.0, -120.0]
    assert "torsion" not in rows[0].ratio and rows[0].ratio["held"] == 1.0
    del own.values[Key("frame.notch.z_low", "L")]
    assert len(rail_stations.stations(own, "L")) == 3, "no cut is read"
    cut = work()
    del cut.values[Key("frame.notch.z_low", "L")]
    assert rail_stations.stations(cut, "L") == [] == rail_stations.stations(work(made=()), "L")


@pytest.mark.parametrize(("made", "both"), [((PLATE, LOW), False), ((PLATE, LOW, HIGH), True)])
def test_strips_count_as_they_are_made(made: tuple[str, ...], both: bool) -> None:
    """The lower one's thickness and how far it reaches inboard; over the cut the upper one too."""
    rows = rail_stations.stations(work(made=made), "L")
    rail = rail_section.RailSection(width=70.0, height=150.0, wall=5.0, shape="boxed", radius=0.0)
    at, strip = (4.7625, (5.0, 140.0)), (4.7625, 8.0)
    assert rows[1].ratio == rail_section.restored(rail, (75.0, 75.0), *at, strip=strip)
    want = rail_section.restored(rail, (30.0, 90.0), *at, strip=strip, both=both)
    assert rows[3].ratio == want
    own = work(made=made)
    own.values[Key("frame.corner_radius", "C")] = 12.0
    other = rail_stations.stations(own, "L")
    assert other[3].ratio != want
