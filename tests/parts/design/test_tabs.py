"""Tabs and slots of two plates that stand square on each other: every corner of a tab, carried over
the truck into the slotted plate, against GEOS (through shapely). Clearances are common practice, no
source.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest
import shapely
from soapstone.parts.design import interlock
from soapstone.parts.design.site import Refused
from soapstone.parts.geometry import contours, outline
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Assembly, Interlock, Member
from soapstone.parts.model.body import Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop

SHOP = default_shop()
T = SHOP.plate("1/4 A36").measured
TAB_T = SHOP.plate("3/16 A36").measured
BASE = Member(
    "ZZ2",
    "base",
    "ZZ",
    Plate("1/4 A36", rectangle(0.0, 0.0, 200.0, 120.0)),
    Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
)
WIDE, AT = 20.0, (70.0, 30.0)


def standing(turn: float = 0.0, at: tuple[float, float] = (50.0, 60.0), lean: float = 0.0) -> Frame:
    """On the base at ``at``, turned about its own bottom edge's left end; ``lean`` in rad."""
    x = (math.cos(turn), math.sin(turn), 0.0)
    z = (math.sin(turn), -math.cos(turn), 0.0)
    if lean:
        x, z = (math.cos(lean), 0.0, math.sin(lean)), (0.0, -1.0, 0.0)
    return Frame((*at, T), x, z)


def tab_plate(place: Frame, long: float = 100.0, **more: Any) -> Member:
    body = Plate("3/16 A36", rectangle(0.0, 0.0, long, 60.0))
    return Member("ZZ1", "rib", "ZZ", body, place, **more)


def joined(place: Frame, at: tuple[float, ...] = AT, edge: str = "bottom", **more: Any) -> Assembly:
    lock = Interlock("ZZ1", edge, "ZZ2", at, WIDE)
    rib = tab_plate(place, **more)
    return interlock.locked(Assembly((rib, BASE), interlocks=(lock,)), SHOP)


@pytest.mark.parametrize("turn", [0.0, 0.35, math.pi / 2])
def test_every_tab_lies_in_its_slot_with_a_sixty_fourth_each_side(turn: float) -> None:
    rib, base = joined(standing(turn, (50.0, 10.0))).members
    assert isinstance(rib.body, Plate) and isinstance(base.body, Plate)
    tabs = [e for e in rib.body.outline if "_tab" in e.name]
    assert len(tabs) == 3 * len(AT)
    slots = [shapely.Polygon(outline.flatten(o, 0.001)) for o in base.body.openings]
    assert len(slots) == len(AT)
    for n, slot in enumerate(slots):
        mine = [e for e in tabs if f"_tab{n}" in e.name]
        # where the tab leaves its edge, and its two outer corners
        xs = sorted({round(e.start[0], 6) for e in mine})
        middle = sorted(AT)[n]
        assert xs == pytest.approx([middle - WIDE / 2, middle + WIDE / 2])
        foot = [
            base.place.into(rib.place.out((x, y, z)))
            for x in xs
            for y in (0.0, min(e.start[1] for e in mine))
            for z in (0.0, TAB_T)
        ]
        shape = shapely.MultiPoint([p[:2] for p in foot]).convex_hull
        assert slot.contains(shape)
        gap = slot.boundary.distance(shape)
        assert gap == pytest.approx(25.4 / 64, abs=0.005)
        depths = [p[2] for p in foot]
        assert max(depths) == pytest.approx(T) and min(depths) == pytest.approx(interlock.SHY)
        # no square corner: the steel round the slot is cut by round ends
        assert slot.minimum_rotated_rectangle.area > slot.area + 1.0
        ring = list(slot.minimum_rotated_rectangle.exterior.coords)
        across = min(math.dist(a, b) for a, b in pairwise(ring))
        assert across == pytest.approx(TAB_T + 25.4 / 32, abs=0.01)


@pytest.mark.parametrize("spin", [0.6, math.pi / 2, -2.0])
def test_tabs_are_the_same_however_a_plate_lies_in_its_own_drawing(spin: float) -> None:
    """The rib's outline turned in its drawing and turned back by its place: nothing on the truck
    has moved.
    """
    straight = standing(0.35, (50.0, 10.0))
    c, s = math.cos(-spin), math.sin(-spin)
    x = tuple(c * a + s * b for a, b in zip(straight.x, straight.y, strict=True))
    body = Plate("3/16 A36", contours.turned(rectangle(0.0, 0.0, 100.0, 60.0), spin))
    rib = Member("ZZ1", "rib", "ZZ", body, Frame(straight.origin, x, straight.z))
    lock = Interlock("ZZ1", "bottom", "ZZ2", AT, WIDE)
    lying = interlock.locked(Assembly((rib, BASE), interlocks=(lock,)), SHOP).members
    as_drawn = joined(straight).members
    for n, (a, b) in enumerate(zip(lying, as_drawn, strict=True)):
        assert isinstance(a.body, Plate) and isinstance(b.body, Plate)
        loops = a.body.openings if n else (a.body.outline,)
        others = b.body.openings if n else (b.body.outline,)
        for one, two in zip(loops, others, strict=True):
            for e, f in zip(one, two, strict=True):
                assert (e.name, e.bulge) == (f.name, pytest.approx(f.bulge))
                assert a.place.out((*e.start, 0.0)) == pytest.approx(b.place.out((*f.start, 0.0)))


def test_beside_each_tab_the_edge_is_relieved_by_the_shops_radius() -> None:
    rib, _ = joined(standing()).members
    assert isinstance(rib.body, Plate)
    round_ = [(e, q) for e, q in outline.spans(rib.body.outline) if "relief" in e.name]
    assert len(round_) == 2 * len(AT)
    for e, q in round_:
        arc = outline.arc_of(e.start, q, e.bulge)
        assert arc.radius == pytest.approx(SHOP.inner_radius)
        middle = outline.edge_points(e, q)
        assert max(y for _, y in middle) == pytest.approx(SHOP.inner_radius, abs=0.05)
    starts = sorted(min(e.start[0], q[0]) for e, q in round_)
    want = sorted(x for at in AT for x in (at - WIDE / 2 - 2 * SHOP.inner_radius, at + WIDE / 2))
    assert starts == pytest.approx(want)


def test_room_of_a_tab_to_the_end_of_its_edge() -> None:
    """Width, two reliefs of twice the radius, 1.5 mm of straight edge each side: 20 + 12.7 + 3."""
    need = interlock.room(WIDE, SHOP.inner_radius)
    assert need == pytest.approx(20.0 + 4 * SHOP.inner_radius + 3.0)
    for off, good in ((0.1, True), (-0.1, False)):
        for at in (need / 2 + off, 100.0 - need / 2 - off):
            if good:
                joined(standing(), (at,))
            else:
                with pytest.raises(Refused, match="runs off its edge"):
                    joined(standing(), (at,))


@pytest.mark.parametrize(
    ("place", "more", "says"),
    [
        (standing(at=(500.0, 60.0)), {}, "misses"),
        (standing(lean=0.1), {}, "misses"),
        (standing(), {"edge": "nowhere"}, "no one straight edge"),
        (standing(), {"moves": {"x": (0.0, 5.0)}}, "a correction may move"),
    ],
)
def test_tabs_that_would_not_do_are_refused(place: Frame, more: dict[str, Any], says: str) -> None:
    with pytest.raises(Refused, match=says):
        joined(place, **more)


def test_a_rib_that_leans_a_little_still_fits_and_a_lock_without_its_mate_is_none() -> None:
    joined(standing(lean=0.03))
    rib = tab_plate(standing())
    alone = Assembly((rib,), interlocks=(Interlock("ZZ1", "bottom", "ZZ2", AT, WIDE),))
    assert interlock.locked(alone, SHOP) == alone
