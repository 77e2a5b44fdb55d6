"""Room for a socket and a wrench: common practice, no source; the geometry by hand."""

from __future__ import annotations

import pytest
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.geometry.prism import Prism
from soapstone.parts.model.assembly import Bolt
from soapstone.parts.model.vectors import Frame
from soapstone.parts.pieces._outlines import socket_radius
from soapstone.parts.placed import tool_access as room
from soapstone.parts.placed.fit import fit
from soapstone.parts.stock import default_shop
from trucks import truck

IN = 25.4
BOLT = Bolt("b#1.L", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), "1/2-13", "8", ("A.L",), "frame")


def wall(x: float, low: float, high: float) -> Prism:
    """A plate from x outward, between two heights along the bolt."""
    return Prism(
        Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        low,
        high,
        rectangle(x, -100.0, x + 20.0, 100.0),
        (),
    )


@pytest.mark.parametrize(
    ("beside_head", "beside_nut", "fits"),
    [
        (0.1, 0.1, True),
        (-1.0, 0.1, True),
        (0.1, -1.0, True),
        (-1.0, -1.0, True),
        (-5.0, -1.0, False),
        (-5.0, -5.0, False),
    ],
)
def test_a_wall_beside_a_bolt(beside_head: float, beside_nut: float, fits: bool) -> None:
    """One end may be a wrench's: a quarter of the socket's radius less is enough there; both ends
    walled closer than that is not.
    """
    r = socket_radius(0.5 * IN)
    others = {"H": wall(r + beside_head, -80.0, -0.5), "N": wall(r + beside_nut, 10.5, 90.0)}
    if beside_head == beside_nut == -1.0:
        fits = False
    found = room.bolt_room(BOLT, (0.0, 10.0), others)
    assert (found is None) == fits
    if found:
        first, *_, last = found.ways_out()
        wrenches = "a ring wrench goes on both ends" in first
        assert wrenches == (beside_head == beside_nut == -1.0)
        assert "H or N" in last


def test_what_makes_a_bolt_reachable_follows_from_which_end_is_free() -> None:
    nut = room.Blocked("", "", "N.L", "N.L").ways_out()
    assert "weld a strap to its nut" in nut[0] and "turn it round" not in nut[0]
    head = room.Blocked("H.L", "H.L", "", "").ways_out()
    assert "turn it round" in head[0]
    both = room.Blocked("H.L", "H.L", "N.L", "N.L").ways_out()
    assert "tighten it before" in both[0]


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_every_bolt_of_the_invented_trucks_can_be_turned(name: str) -> None:
    t, s = truck(name)
    assert fit(t, default_shop(), s.values, ("room",)) == ()


def test_a_plate_in_front_of_a_bolt_is_named() -> None:
    t, s = truck()
    at = next(b for b in t.assembly.bolts if b.id == "upper.mount#1.L").at
    put = {"LS1.L": -40.0, "LS1.R": 90.0}
    members = tuple(
        (
            m._replace(
                place=Frame((at[0], at[1] + put[m.code], at[2]), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
            )
            if m.code in put
            else m
        )
        for m in t.assembly.members
    )
    found = [
        str(x)
        for x in fit(
            t._replace(assembly=t.assembly._replace(members=members)),
            default_shop(),
            s.values,
            ("room",),
        )
    ]
    assert any("upper.mount#1.L" in x and "LS1.L" in x for x in found), found
