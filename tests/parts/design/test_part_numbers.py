"""One outline, one number: what is cut alike is one file, one drawing, one row, however many places
it goes to. The outside judge is shapely (areas and distances of the cut files' own loops).
"""

from __future__ import annotations

import io
from functools import cache
from itertools import combinations

import pytest
from again import once
from designs import designed_of
from soapstone.parts.design import finish
from soapstone.parts.design.part_numbers import (
    NEAR,
    NumberedBy,
    numbered,
    ranges,
    same_turned,
    shared_title,
)
from soapstone.parts.drawing.hands import cut_alike, with_one_reason
from soapstone.parts.export.cut import cut_name, cut_text
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Assembly, Groove, Member, Part, Weld
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.terms import Hand
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, is_plate
from soapstone.parts.words import names
from trucks import job

JOBS = ("demo", "demo_uneven")
SHOP = default_shop()
EQUAL = {
    "LT1": "LT2",
    "GU1": "GU2",
    "BP4": "BP5",
    "CM5": "LS4",
    "WW1": "WW2",
    "XS3": "XS4",
    "XS5": "XS6",
    "XP2": "XP3",
    "TB5": "TB6",
    "ST1": "ST2",
    "XT2": "XT4",
}
"""Places of the demo that were found to be cut alike under two numbers."""


@cache
def truck(name: str) -> Truck:
    return designed_of(job(name), SHOP).truck


def steel(p: Part, mirrored: bool) -> object:
    """What is left of the plate with everything that is cut or drilled taken out, about its own
    center of area, mm; the cut files are in inches.
    """
    import ezdxf
    import shapely
    from ezdxf import path

    space = ezdxf.read(io.StringIO(cut_text(p, SHOP))).modelspace()
    rings = {
        layer: [
            shapely.Polygon([(v.x, v.y) for v in path.make_path(e).flattening(0.001)])
            for e in space.query("LWPOLYLINE CIRCLE")
            if e.dxf.layer == layer and (e.dxftype() == "CIRCLE" or e.closed)
        ]
        for layer in ("OUTLINE", "OPENING", "DRILL")
    }
    whole = rings["OUTLINE"][0]
    for hole in (*rings["OPENING"], *rings["DRILL"]):
        whole = whole.difference(hole)
    whole = whole.buffer(0)
    if mirrored:
        whole = shapely.transform(whole, lambda xy: xy * (-1.0, 1.0))
    c = whole.centroid
    return shapely.transform(whole, lambda xy: 25.4 * (xy - (c.x, c.y)))


CERTAIN, ALLOWED = 0.5 * NEAR, 2.0 * NEAR
"""How far apart, mm, the edges lie of two outlines that are one without a doubt, and of those that
may be called one: the turn that serves the areas best is not the one that serves the corners best.
"""
FINE = 1e-5
"""Grid on which areas are cut with each other, mm."""


def apart(a: Part, b: Part, mirrored: bool = False) -> float:
    """Largest distance of two plates' edges, mm, ``b`` turned till it lies best on ``a``, tried by
    3 degrees and then finer.
    """
    from shapely import affinity

    one, other = steel(a, False), steel(b, mirrored)

    def off(deg: float) -> float:
        turned = affinity.rotate(other, deg, origin=(0, 0))
        return one.symmetric_difference(turned, grid_size=FINE).area

    best = min(range(0, 360, 3), key=off)
    step = 1.0
    while step > 0.01:
        best = min((best - step, best, best + step), key=off)
        step /= 2
    return one.hausdorff_distance(affinity.rotate(other, best, origin=(0, 0)))


@pytest.mark.parametrize("name", once(JOBS))
def test_no_two_numbers_are_one_plate(name: str) -> None:
    """By the cut files: two plates of one stock that lie on each other are one number, or left and
    right of one, or their drawings say why not.
    """
    t = truck(name)
    said = cut_alike(t.parts)
    plates = [p for p in t.parts if is_plate(p)]
    named = 0
    for a, b in combinations(plates, 2):
        if (
            a.number != b.number
            and a.member.body.stock == b.member.body.stock
            and abs(a.area_net - b.area_net) < 0.002 * a.area_net
            and (a.member.fixed_after == "tool") == (b.member.fixed_after == "tool")
            and not a.member.body.bends
            and apart(a, b) < CERTAIN
        ):
            for one, other in ((a, b), (b, a)):
                assert any(
                    f"{names.made(one)} is cut like {names.made(other)}: " in line
                    for line in said[one.id]
                ), (one.called, other.called)
                named += 1
    assert named == sum(map(len, said.values())) > 0


@pytest.mark.parametrize("name", once(JOBS))
def test_on_a_drawing_every_reason_stands_once_with_every_pair(name: str) -> None:
    said = cut_alike(truck(name).parts)
    lines = [line for own in said.values() for line in own]
    once = with_one_reason(lines)
    reasons = [line.partition(": ")[2] for line in once]
    assert len(set(reasons)) == len(reasons) < len(lines)
    pairs = {
        (*pair.replace(" is cut like ", " like ").split(" like "), line.partition(": ")[2])
        for line in once
        for pair in line.partition(": ")[0].split(", ")
    }
    assert pairs == {
        (*line.partition(": ")[0].split(" is cut like "), line.partition(": ")[2]) for line in lines
    }


@pytest.mark.parametrize("name", once(JOBS))
def test_what_shares_a_number_is_one_plate(name: str) -> None:
    t = truck(name)
    by = {p.id: p for p in t.singles}
    shared = [p for p in t.parts if len({x.partition(".")[0] for x in p.places}) > 1]
    assert shared
    for p in filter(is_plate, shared):
        for place in p.places[1:]:
            assert apart(p, by[place]) < ALLOWED, (p.id, place)
            assert by[place].number == p.number
    for p in t.parts:
        if isinstance(p.member.body, Tube):
            assert {by[x].member.body.length for x in p.places} == {p.member.body.length}


@pytest.mark.parametrize("name", once(JOBS))
def test_every_place_has_one_part_and_every_file_one_name(name: str) -> None:
    t = truck(name)
    places = [x for p in t.parts for x in p.places]
    assert sorted(places) == sorted(p.id for p in t.singles)
    assert all(p.quantity == len(p.places) for p in t.parts)
    for letter in ("A", "d"):
        names = [cut_name(p, "T1", letter, SHOP) for p in t.parts if is_plate(p)]
        assert len(names) == len(set(names))
    assert len({p.called for p in t.parts}) == len(t.parts)


def test_the_demos_double_codes_are_one_number_each() -> None:
    """On each side of its own where the plate is another left and right."""
    by = {x: p for p in truck("demo").parts for x in p.places}
    for a, b in EQUAL.items():
        sides = {x.partition(".")[2] for x in by if x.partition(".")[0] in (a, b)}
        found = [(by.get(f"{a}.{side}"), by.get(f"{b}.{side}")) for side in sides]
        assert found, (a, b)
        for one, two in found:
            assert one is two or None in (one, two), (a, b)
            assert (one or two).number == a, (a, b)


def test_a_bevel_on_the_other_face_is_another_plate() -> None:
    """And one of another angle: what is ground after cutting is part of what is made."""
    loop = contours.rectangle(0.0, 0.0, 100.0, 60.0)
    body = Plate("1/4 A36", tuple(e._replace(name=f"e{i}") for i, e in enumerate(loop)))
    level = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    groove = Groove(0.5, 1.0, 1.5, 4.0)
    members = tuple(Member(f"ZZ{i}.C", "tab", "ZZ", body, level) for i in (1, 2, 3, 4))
    welds = tuple(
        Weld(f"w{i}", f"ZZ{i}.C", ("e0",), "x", "groove", 4.0, face=face, groove=ground)
        for i, face, ground in (
            (1, "bottom", groove),
            (2, "top", groove),
            (3, "bottom", groove._replace(bevel=0.4)),
            (4, "bottom", groove),
        )
    )
    parts = finish.finish(Assembly(members, welds=welds), SHOP, "T1")
    assert [p.number for p in parts] == ["ZZ1", "ZZ2", "ZZ3", "ZZ1"]


def test_the_mark_says_the_number() -> None:
    for p in truck("demo").singles:
        words = [m.text for m in p.marks if m.role == "text"]
        if isinstance(p.member.body, Plate) and words:
            assert p.number in words[0], p.id


def test_left_and_right_that_differ_are_handed_though_each_fits_both_sides() -> None:
    def square(a: float) -> tuple[tuple[float, float, float], ...]:
        return ((0.0, 0.0, 0.0), (a, 0.0, 0.0), (a, a, 0.0), (0.0, a, 0.0))

    cuts = [
        NumberedBy(place, Hand.EITHER, ("1/4",), square(a))
        for place, a in (
            *(("A1.L", 10.0), ("A1.R", 11.0), ("B1.L", 10.0), ("B1.R", 10.0)),
            *(("C1.L", 20.0), ("C1.R", 21.0), ("D1.L", 21.0), ("D1.R", 20.0)),
            *(("E1.L", 20.0), ("E1.R", 22.0)),
        )
    ]
    found = numbered(cuts)
    assert {k: (v.number, v.hand) for k, v in found.items()} == {
        "A1.L": ("B1", "E"),
        "A1.R": ("A1", "R"),
        "B1.L": ("B1", "E"),
        "B1.R": ("B1", "E"),
        "C1.L": ("C1", "L"),
        "C1.R": ("C1", "R"),
        "D1.L": ("D1", "L"),
        "D1.R": ("D1", "R"),
        "E1.L": ("C1", "L"),
        "E1.R": ("E1", "R"),
    }
    turned = tuple((3 - y, 4 + x, k) for x, y, k in square(10.0))
    assert same_turned(square(10.0), turned)
    assert not same_turned(square(10.0), tuple((1.03 * x, y, k) for x, y, k in turned))


def test_words() -> None:
    assert ranges(("W3", "W1", "W2", "W10", "W12", "W11", "W7")) == "W1-W3, W7, W10-W12"
    assert ranges(("B4", "A1", "B2", "B3", "A2")) == "A1, A2, B2-B4"
    assert shared_title(("ring, upper", "ring, lower")) == "ring"
    assert shared_title(("flange", "plate")) == "flange / plate"
