"""One plate made ready by hand-worked numbers: where a bolt passes it, how its hole is made, what
it weighs, what its number and fingerprint are made of.

Areas and distances against GEOS (through shapely); masses by arithmetic with steel of 7850 kg/m3.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from soapstone.parts import stock
from soapstone.parts.design import canonical, drilling, finish
from soapstone.parts.design.site import Refused
from soapstone.parts.geometry import contours, outline
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.model.assembly import Assembly, Bolt, Hole, Member, Scribe
from soapstone.parts.model.body import Bend, Plate, Tube, TubeEnd
from soapstone.parts.model.terms import Hand, HowMade
from soapstone.parts.model.vectors import Frame

IN = 25.4
SHOP = stock.default_shop()
QUARTER = "1/4 A36"
T = SHOP.plate(QUARTER).thickness
FLAT = Frame((100.0, 50.0, 20.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
UP = (0.0, 0.0, 1.0)


def plate(code: str = "ZZ1.L", place: Frame = FLAT, **more: Any) -> Member:
    body = Plate(QUARTER, rectangle(0.0, 0.0, 200.0, 120.0), **more)
    return Member(code, "plate", "ZZ", body, place)


def bolt(at: tuple[float, float, float], **more: Any) -> Bolt:
    row: dict[str, Any] = {"along": UP, "size": "1/2-13", "grade": "grade 8"}
    row |= {"through": ("ZZ1.L",), "duty": "mount", "hole": "close", **more}
    return Bolt("zz", at, **row)


def test_where_a_bolt_passes_a_tilted_plate() -> None:
    """The plate stands on edge, facing forward; its mid-plane is met at t/2. A bolt a little askew
    (0.3 deg) from 300 mm off meets it 300 tan 0.3 deg aside (trigonometry).
    """
    on_edge = Frame((500.0, -40.0, 30.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
    m = plate(place=on_edge)
    h = drilling.hole(m, bolt((900.0, 60.0, 90.0), along=(1.0, 0.0, 0.0)), T, SHOP)
    assert h.at == pytest.approx((100.0, 60.0))
    tilt = math.radians(0.3)
    askew = (math.cos(tilt), math.sin(tilt), 0.0)
    start = (500.0 + T / 2 - 300.0, 60.0, 90.0)
    h = drilling.hole(m, bolt(start, along=askew), T, SHOP)
    assert h.at == pytest.approx((100.0 + 300.0 * math.tan(tilt), 60.0))
    with pytest.raises(Refused, match="not square"):
        drilling.hole(m, bolt(start, along=(math.cos(0.01), math.sin(0.01), 0.0)), T, SHOP)


@pytest.mark.parametrize(
    ("duty", "size", "t", "how"),
    [
        ("mount", "1/2-13", T, HowMade.CUT),
        ("frame", "1/2-13", T, HowMade.DRILL),
        ("pivot", "1/2-13", T, HowMade.DRILL),
        ("mount", "3/8-16", T, HowMade.CUT),
        ("mount", "3/8-16", 0.3125 * IN, HowMade.DRILL),
        ("mount", "1/2-13", 0.375 * IN, HowMade.DRILL),
    ],
)
def test_what_is_cut_and_what_is_drilled(duty: str, size: str, t: float, how: HowMade) -> None:
    """Plasma cuts no hole under 1.5 t or 3/8 in (shop guide); pivot and frame holes are drilled.

    3/8 bolt, close hole 0.391: cut in 1/4 (0.375), drilled in 5/16 (0.469). 1/2: drilled in 3/8
    (0.5625).
    """
    h = drilling.hole(plate(), bolt((200.0, 110.0, 0.0), duty=duty, size=size), t, SHOP)
    assert h.how is how and (h.pilot == 0.0) is (how is HowMade.CUT)
    if how is HowMade.DRILL:
        assert h.pilot in SHOP.drills and h.pilot <= max(3.2, h.diameter / 3)
        assert not any(h.pilot < x <= max(3.2, h.diameter / 3) for x in SHOP.drills)
    assert h.length == 0.0


def test_a_slot_is_cut_along_what_may_move() -> None:
    """A slot of 20 mm more than its hole, up at 30 degrees in the plate."""
    way = (math.cos(math.pi / 6), math.sin(math.pi / 6), 0.0)
    b = bolt((200.0, 110.0, 0.0), duty="pivot", slots={"ZZ1.L": (20.0, way)})
    h = drilling.hole(plate(), b, T, SHOP)
    assert h.how is HowMade.CUT and h.angle == pytest.approx(math.pi / 6)
    assert h.length == pytest.approx(h.diameter + 20.0) and h.at == pytest.approx((100.0, 60.0))
    near = drilling.hole(plate(), b._replace(slots={"ZZ1.L": (0.5, way)}), T, SHOP)
    assert near.how is HowMade.CUT and near.length == pytest.approx(h.diameter + 0.5)
    plain = drilling.hole(plate(), b._replace(slots={"ZZ2.L": (20.0, way)}), T, SHOP)
    assert plain.how is HowMade.DRILL and plain.length == plain.angle == 0.0
    loop = shapely.Polygon(outline.flatten(slot_loop(h), 1e-4))
    assert drilling.hole_area(h) == pytest.approx(loop.area, rel=1e-4)
    assert drilling.hole_area(h._replace(length=0.0)) == pytest.approx(math.pi / 4 * h.diameter**2)


def test_a_hole_off_the_edge_is_refused() -> None:
    a = Assembly((plate(),), (bolt((305.0, 110.0, 0.0)),))
    with pytest.raises(Refused, match="off the edge"):
        drilling.holes_of(a.members[0], a.bolts, SHOP)
    a = Assembly((plate(),), (bolt((295.0, 110.0, 0.0)),))
    with pytest.raises(Refused, match="off the edge"):
        drilling.holes_of(a.members[0], a.bolts, SHOP)
    a = Assembly((plate(),), (bolt((285.0, 110.0, 0.0)), bolt((0, 0, 0), through=("ZZ2.L",))))
    (h,) = drilling.holes_of(a.members[0], a.bolts, SHOP)
    assert h.at == pytest.approx((185.0, 60.0))


def test_a_bolt_through_the_turned_flat_of_a_bent_plate() -> None:
    """A tab bent up square at x = 150: a bolt along x passes it, one along z the base."""
    bend = Bend("up", (150.0, 120.0), (150.0, 0.0), math.pi / 2, 10.0)
    m = plate(bends=(bend,))
    base = drilling.hole(m, bolt((150.0, 110.0, 0.0)), T, SHOP)
    assert base.at == pytest.approx((50.0, 60.0))
    turned = drilling.hole(m, bolt((0.0, 100.0, 50.0), along=(1.0, 0.0, 0.0)), T, SHOP)
    assert turned.at[1] == pytest.approx(50.0) and 150.0 < turned.at[0] < 200.0
    assert drilling.face(m, bolt((150.0, 110.0, 0.0)), T) == m.place
    place = drilling.face(m, bolt((0.0, 100.0, 50.0), along=(1.0, 0.0, 0.0)), T)
    assert abs(place.z[0]) == pytest.approx(1.0)


def made(*members: Member, bolts: tuple[Bolt, ...] = (), scribes: tuple[Scribe, ...] = ()) -> Any:
    return finish.finish(Assembly(members, bolts, scribes=scribes), SHOP, "DEMO9")


def test_area_and_mass_of_a_plate_with_an_opening_and_holes() -> None:
    """200 x 120 x 1/4 in with a 40 x 30 opening, a cut hole, a drilled one, a slot."""
    opening = rectangle(30.0, 20.0, 70.0, 50.0, 8.0)
    m = plate(openings=(opening,))
    bolts = (
        bolt((250.0, 80.0, 0.0)),
        bolt((250.0, 140.0, 0.0), duty="frame"),
        bolt((200.0, 120.0, 0.0), slots={"ZZ1.L": (15.0, (1.0, 0.0, 0.0))}),
    )
    (part,) = made(m, bolts=bolts)
    body = m.body
    assert isinstance(body, Plate)
    steel = shapely.Polygon(outline.flatten(body.outline), [outline.flatten(opening, 1e-4)])
    loops = [shapely.Polygon(outline.flatten(slot_loop(h), 1e-4)) for h in part.holes]
    net = steel.difference(shapely.union_all(loops)).area
    assert part.area_net == pytest.approx(net, rel=1e-5)
    cut = [x for x, h in zip(loops, part.holes, strict=True) if h.how is HowMade.CUT]
    assert len(cut) == 2
    assert part.area_cut == pytest.approx(steel.difference(shapely.union_all(cut)).area, rel=1e-5)
    assert part.mass == pytest.approx(net * T * 7850e-9, rel=1e-3)
    assert part.quantity == 1 and part.id == "ZZ1.L"


def test_mass_of_a_tube() -> None:
    """pi (D - w) w by the length and 7850 kg/m3."""
    key = SHOP.tubes[0].key
    t = SHOP.tube(key)
    ends = (TubeEnd(), TubeEnd())
    (part,) = made(Member("ZZ2.C", "tube", "ZZ", Tube(key, 1000.0, ends), FLAT))
    area = math.pi / 4 * (t.od**2 - (t.od - 2 * t.wall) ** 2)
    assert part.area_net == pytest.approx(area) and part.mass == pytest.approx(
        area * 1000.0 * 7850e-9, rel=1e-3
    )


def test_what_has_no_length_is_refused() -> None:
    ends = (TubeEnd(), TubeEnd())
    for length in (0.0, -5.0):
        m = Member("ZZ2.C", "tube", "ZZ", Tube(SHOP.tubes[0].key, length, ends), FLAT)
        with pytest.raises(Refused, match="no room for it"):
            drilling.sound(m, (), SHOP)
    m = Member("ZZ2.C", "tube", "ZZ", Tube(SHOP.tubes[0].key, 0.5, ends), FLAT)
    assert drilling.sound(m, (), SHOP) == ()


def test_a_shape_that_cannot_be_cut_is_refused() -> None:
    one = rectangle(150.0, 20.0, 250.0, 50.0, 8.0)
    for openings, more in (
        ((one,), ""),
        ((one, rectangle(-9.0, 20.0, 90.0, 50.0, 8.0)), ", and 1 "),
    ):
        crossing = plate(openings=openings)
        with pytest.raises(Refused, match="cannot be cut") as refused:
            drilling.sound(crossing, (), SHOP)
        assert ("more like it" in str(refused.value)) is bool(more) and more in str(refused.value)


def hand(at: tuple[float, float], scribed: tuple[tuple[float, float], ...] = ()) -> Hand:
    """Hand of the plate with one hole, and a scribed line where one is given."""
    scribes = (Scribe("ZZ1.L", "mate", (scribed,)),) if scribed else ()
    there = (FLAT.origin[0] + at[0], FLAT.origin[1] + at[1], 0.0)
    (part,) = made(plate(), bolts=(bolt(there),), scribes=scribes)
    return part.hand


def test_hand_of_a_plate_by_what_is_on_it() -> None:
    """A hole on an axis of the rectangle fits both sides; off both axes it does not; nor does a
    line scribed across one quarter.
    """
    assert hand((100.0, 60.0)) is Hand.EITHER
    assert hand((60.0, 60.0)) is Hand.EITHER
    assert hand((100.0, 40.0)) is Hand.EITHER
    assert hand((60.0, 40.0)) is Hand.LEFT
    assert hand((100.0, 60.0), ((20.0, 20.0), (60.0, 40.0))) is Hand.LEFT
    assert hand((100.0, 60.0), ((20.0, 60.0), (60.0, 60.0))) is Hand.EITHER


def test_tubes_are_one_number_whichever_way_round() -> None:
    """Half a turn about a tube's own axis: a cope's angle becomes its supplement, its offset the
    other way.
    """
    key = SHOP.tubes[0].key

    def tube(code: str, *ends: TubeEnd, long: float = 400.0) -> Member:
        return Member(code, "tube", "ZZ", Tube(key, long, (ends[0], ends[1])), FLAT)

    cope = TubeEnd("cope", 60.0, 1.2, 5.0, 0.0, 0.3, "frame tube")
    over = cope._replace(angle=math.pi - 1.2, offset=-5.0, clock=0.7)
    other = cope._replace(angle=math.pi - 1.2)
    wider = cope._replace(onto=61.0)
    both = (cope, cope._replace(clock=0.9))
    parts = made(
        tube("ZZ1.C", cope, TubeEnd()),
        tube("ZZ2.C", over, TubeEnd()),
        tube("ZZ3.C", other, TubeEnd()),
        tube("ZZ4.C", wider, TubeEnd()),
        tube("ZZ5.C", cope, TubeEnd(), long=401.0),
        tube("ZZ6.C", *both),
        tube("ZZ7.C", cope, cope),
    )
    numbers = ["ZZ1", "ZZ1", "ZZ3", "ZZ4", "ZZ5", "ZZ6", "ZZ7"]
    assert [p.number for p in parts] == numbers


def test_fingerprints_tell_what_is_cut_from_where_it_stands() -> None:
    (here,) = made(plate())
    moved = FLAT._replace(origin=(100.02, 50.0, 20.0))
    (there,) = made(plate(place=moved))
    assert here.cut_fingerprint == there.cut_fingerprint
    assert here.fingerprint != there.fingerprint
    (close,) = made(plate(place=FLAT._replace(origin=(100.004, 50.0, 20.0))))
    assert close.fingerprint == here.fingerprint
    (holed,) = made(plate(), bolts=(bolt((200.0, 110.0, 0.0)),))
    assert holed.cut_fingerprint != here.cut_fingerprint


def test_rows_of_a_plate_from_its_lower_left_corner() -> None:
    """Everything is shifted by the corner alike; a slot has its two ends, a hole its size."""
    bend = Bend("up", (150.0, 0.0), (150.0, 120.0), math.pi / 2, 10.0)
    m = plate(openings=(rectangle(30.0, 20.0, 70.0, 50.0),), bends=(bend,))
    body = m.body
    assert isinstance(body, Plate)
    slot = Hole((100.0, 60.0), 12.0, 32.0, math.pi / 6, HowMade.CUT, 0.0, "zz")
    lines = (Scribe("ZZ1.L", "mate", (((5.0, 6.0), (7.0, 9.0)),)),)
    own = canonical.cut_shape(body, (slot,), lines)
    off = canonical.cut_shape(body, (slot,), lines, (10.0, -20.0))
    for a, b in zip(own.loops, off.loops, strict=True):
        assert [(x - 10, y + 20, k) for x, y, k in a] == list(b)
    assert off.drilled[0][:2] == (90.0, 80.0) and off.drilled[0][2:] == own.drilled[0][2:]
    assert own.drilled[0][2:5] == (12.0, 32.0, 0.5236)
    near = slot._replace(at=(100.004, 59.996), diameter=12.004, length=31.996, angle=0.52361)
    assert canonical.cut_shape(body, (near,), lines) == own
    for far in ({"at": (100.01, 60.0)}, {"diameter": 12.01}, {"length": 32.01}, {"angle": 0.5238}):
        assert canonical.cut_shape(body, (slot._replace(**far),), lines) != own
    assert off.lines == (((((-5.0, 26.0), (-3.0, 29.0)),),))
    bend = body.bends[0]._replace(start=(140.0, 20.0), end=(140.0, 140.0), angle=1.5708)
    assert str(bend) in off.bends
    points = canonical.points_of(own)
    ends = sorted((x, y) for x, y, kind in points if kind == canonical.SLOT_END)
    aside = (10 * math.cos(math.pi / 6), 5.0)
    for end, way in zip(ends, (-1, 1), strict=True):
        assert end == pytest.approx((100 + way * aside[0], 60 + way * aside[1]), abs=1e-3)
    corners = [(x, y) for x, y, kind in points if kind == 0.0]
    middles = [(x, y) for x, y, kind in points if kind == 1.0]
    assert len(corners) == 8 and (100.0, 0.0) in middles and (50.0, 20.0) in middles
    assert {(5.0, 6.0), (7.0, 9.0)} == {(x, y) for x, y, k in points if k == canonical.SCRIBED}
    wider = slot._replace(diameter=14.0, length=34.0)  # as much longer than it is wide
    one, two = (
        max(kind for *_, kind in canonical.points_of(canonical.cut_shape(body, (h,), ())))
        for h in (slot, wider)
    )
    assert one != two
    kinds = {
        how: [k for x, y, k in canonical.points_of(canonical.cut_shape(body, (h,), ())) if k > 1.0]
        for how in HowMade
        for h in (slot._replace(how=how, length=0.0),)
    }
    assert len({tuple(k) for k in kinds.values()}) == len(kinds)


def test_middle_of_an_arc_lies_on_it() -> None:
    """A disc of 100: the middles of its edges are 50 from its center."""
    body = Plate(QUARTER, contours.circle((10.0, 20.0), 100.0))
    points = canonical.points_of(canonical.cut_shape(body, (), ()))
    for x, y, _ in points:
        assert math.hypot(x - 10, y - 20) == pytest.approx(50.0, abs=0.02)
    middles = {(round(x, 1), round(y, 1)) for x, y, kind in points if kind == 1.0}
    corners = {(round(x, 1), round(y, 1)) for x, y, kind in points if kind == 0.0}
    assert len(middles) == len(corners) >= 2 and not middles & corners
