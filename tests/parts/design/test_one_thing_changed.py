"""What makes another part of a plate or tube and what does not, by one thing changed at a time;
what is worked of a part that is only tried; what is lettered on the steel. By definition, no
source.
"""

from __future__ import annotations

import math
from typing import Any

from soapstone.parts import stock
from soapstone.parts.design import canonical, finish
from soapstone.parts.design.same import Same
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Assembly, Bolt, Groove, Member, Scribe, Weld
from soapstone.parts.model.body import Bend, Plate, Rod, Tube, TubeEnd
from soapstone.parts.model.terms import Hand
from soapstone.parts.model.vectors import Frame

SHOP = stock.default_shop()
QUARTER = "1/4 A36"
FLAT = Frame((100.0, 50.0, 20.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def plate(code: str = "ZZ1.L", per_truck: int = 1, **more: Any) -> Member:
    body = Plate(QUARTER, rectangle(0.0, 0.0, 200.0, 120.0), **more)
    return Member(code, "plate", "ZZ", body, FLAT, per_truck=per_truck)


def made(*members: Member) -> Any:
    return finish.finish(Assembly(members), SHOP, "DEMO9")


def test_numbers_of_what_differs_in_one_thing_only() -> None:
    """How far a plate is bent, on which side it stands of its line, or how it is used: other
    plates; a square groove grinds nothing off.
    """
    line = Bend("up", (150.0, 0.0), (150.0, 120.0), math.pi / 2, 10.0)
    bent = {
        "ZZ1.C": (line,),
        "ZZ2.C": (line._replace(angle=1.2),),
        "ZZ3.C": (line._replace(radius=12.0),),
        "ZZ4.C": (line,),
        "ZZ5.C": (),
    }
    parts = made(*(plate(code, bends=bends) for code, bends in bent.items()))
    assert [p.number for p in parts] == ["ZZ1", "ZZ2", "ZZ3", "ZZ1", "ZZ5"]
    tool = plate("ZZ2.C")._replace(fixed_after="tool")
    assert [p.number for p in made(plate("ZZ1.C"), tool)] == ["ZZ1", "ZZ2"]
    loop = tuple(e._replace(name=f"e{i}") for i, e in enumerate(rectangle(0.0, 0.0, 200.0, 120.0)))
    own = [Member(f"ZZ{i}.C", "tab", "ZZ", Plate(QUARTER, loop), FLAT) for i in (1, 2, 3)]
    square, ground = Groove(0.0, 1.0, 1.5, 4.0), Groove(0.5, 1.0, 1.5, 4.0)
    welds = tuple(
        Weld(f"w{i}", f"ZZ{i}.C", ("e0",), "x", "groove", 4.0, face="bottom", groove=groove)
        for i, groove in ((2, square), (3, ground))
    )
    parts = finish.finish(Assembly(tuple(own), welds=welds), SHOP, "T1")
    assert [p.number for p in parts] == ["ZZ1", "ZZ1", "ZZ3"]


def test_edges_that_are_ground_by_where_their_middles_are() -> None:
    """The same bevel on another edge, face, angle or land is another point; of a level edge from
    0, 0 to 200, 0 the middle is 100, 0.
    """
    loop = tuple(
        e._replace(name=f"e{i}") for i, e in enumerate(rectangle(10.0, 20.0, 210.0, 140.0))
    )
    body = Plate(QUARTER, loop)

    def kinds(face: Any, groove: Groove, *edges: str) -> dict[tuple[float, float], float]:
        weld = Weld("w", "ZZ1.C", edges, "x", "groove", 4.0, face=face, groove=groove)
        return {(x, y): kind for x, y, kind in canonical.bevelled(body, (weld,))}

    groove = Groove(0.5, 1.0, 1.5, 4.0)
    every = kinds("bottom", groove, "e0", "e1", "e2", "e3")
    assert every.keys() == {(110.0, 20.0), (110.0, 140.0), (10.0, 80.0), (210.0, 80.0)}
    own = {
        kinds(face, made_so, "e0").popitem()[1]
        for face in ("bottom", "top", "both")
        for made_so in (groove, groove._replace(bevel=0.4), groove._replace(land=2.0))
    }
    assert len(own) == 9 and max(own) < min(*canonical.KIND.values(), canonical.SLOT_END)


def test_what_is_only_tried_has_its_holes_and_its_place() -> None:
    """Nothing else of a plate or tube is worked: no steel weighed, nothing lettered."""
    tube = Member(
        "ZZ2.C", "tube", "ZZ", Tube(SHOP.tubes[0].key, 300.0, (TubeEnd(), TubeEnd())), FLAT
    )
    bought = Member("ZZ3.C", "pin", "ZZ", Rod(10.0, 20.0), FLAT)
    through = ("ZZ1.L", "ZZ2.C")
    there = Bolt(
        "zz",
        (200.0, 110.0, 0.0),
        along=(0.0, 0.0, 1.0),
        size="1/2-13",
        grade="grade 8",
        through=through,
        duty="mount",
        hole="close",
    )
    a = Assembly((plate(per_truck=2), tube, bought), (there,))
    one, two = finish.drilled(a, SHOP, Same())
    assert [h.at for h in one.holes] == [(100.0, 60.0)] and two.holes == ()
    for part, code in ((one, "ZZ1.L"), (two, "ZZ2.C")):
        assert (part.id, part.places, part.number) == (code, (code,), code.partition(".")[0])
        assert (part.mass, part.area_net, part.area_cut, part.marks) == (0.0, 0.0, 0.0, ())
        assert part.hand is Hand.EITHER and part.fingerprint == part.cut_fingerprint == ""
    assert (one.quantity, two.quantity) == (2, 1)


def test_what_is_lettered_and_what_is_only_scribed() -> None:
    """Chassis, number, hand and revision, stock; a draft has the first six of its fingerprint
    instead; what a scribe only says is not cut into the steel.
    """
    rows = (Scribe("ZZ1.L", "mate", (((20.0, 20.0), (60.0, 40.0)),)),)
    said = Scribe("ZZ1.L", "text", (((20.0, 60.0), (60.0, 60.0)),))
    a = Assembly((plate(),), scribes=(*rows, said))
    (draft,) = finish.finish(a, SHOP, "T7")
    (released,) = finish.finish(a, SHOP, "T7", {"ZZ1.L": "B"}, {"ZZ1.L": "T5"})

    def text(part: Any) -> str:
        return next(m.text for m in part.marks if m.role == "text")

    assert text(draft) == f"T7 ZZ1 LEFT D{draft.cut_fingerprint[:6]} {QUARTER} TOP FACE"
    assert text(released) == f"T5 ZZ1 LEFT REV B {QUARTER} TOP FACE"
    assert [m.role for m in draft.marks] == ["mate", "text"]


def test_a_turn_is_kept_to_a_ten_thousandth_and_has_no_sign_at_nought() -> None:
    assert canonical.steady_turn(0.12344) == 0.1234 and canonical.steady_turn(0.12346) == 0.1235
    assert math.copysign(1.0, canonical.steady_turn(-1e-9)) == 1.0
    key = SHOP.tubes[0].key
    cope = TubeEnd("cope", 60.0, 1.2, 5.0, 0.0, 0.3, "frame tube")

    def prints(**more: float) -> str:
        body = Tube(key, 400.0, (cope._replace(**more), cope))
        (part,) = made(Member("ZZ2.C", "tube", "ZZ", body, FLAT))
        return str(part.cut_fingerprint)

    for name in ("angle", "clock"):
        was = getattr(cope, name)
        assert prints(**{name: was + 4e-5}) == prints() != prints(**{name: was + 6e-5})
    assert prints(clock=1e-9) == prints(clock=-1e-9)
    assert prints(angle=1e-9) == prints(angle=-1e-9)
