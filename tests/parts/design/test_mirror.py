"""The right is the left in a mirror, and what a family sees of either.

Outside: the reflection y -> -y of points of the truck, applied to what the left is made of.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from soapstone.layout.loads.forces import forces
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts.design import site
from soapstone.parts.design.assemble import merge, mirror, sided
from soapstone.parts.design.part_numbers import NEAR, places_in_words, same_turned
from soapstone.parts.design.site import PortMissing, Refused, SideView, SlipError, Waiting
from soapstone.parts.geometry import bend, contours, outline
from soapstone.parts.model.assembly import Assembly, Bolt, Interlock, Member, Port, Scribe, Weld
from soapstone.parts.model.body import Bar, Bend, Bought, Existing, Plate, Rod, Tube, TubeEnd
from soapstone.parts.model.hold import NotHeld
from soapstone.parts.model.vectors import Frame, Vec3
from soapstone.parts.stock import default_shop
from trucks import job, without

SHOP = default_shop()
T = 6.0
PLACE = Frame.of((120.0, 430.0, 610.0), (0.8, 0.5, 0.2), (-0.3, 0.4, 0.9))
BENT = Plate(
    "1/4 A36",
    contours.rectangle(0.0, 0.0, 200.0, 120.0, 12.0),
    (contours.slot((60.0, 40.0), 40.0, 12.0, 0.4),),
    (Bend("up", (150.0, 120.0), (150.0, 0.0), 1.1, 10.0),),
)
COPED = TubeEnd("cope", 60.0, 1.2, 5.0, 0.0, 0.3, "frame tube")
PIECES = (
    Member("A1", "bent", "A", BENT, PLACE, moves={"x": (-1.0, 4.0), "y": (-2.0, 5.0)}),
    Member("A2", "tube", "A", Tube("x", 300.0, (COPED, TubeEnd())), PLACE),
    Member("A3", "bar", "A", Existing("rail", Bar(90.0, BENT.outline, BENT.openings)), PLACE),
    Member("A4", "rod", "A", Bought("bolt", Rod(80.0, 12.0)), PLACE),
)
LINE = ((10.0, 20.0), (30.0, 25.0))
BOLT = Bolt(
    "b", (10.0, 20.0, 30.0), (0.0, 0.6, 0.8), "1/2-13", "grade 8", ("A1", "A2.far"), "pivot"
)._replace(slots={"A1": (9.0, (0.0, 1.0, 0.0))})
WHOLE = Assembly(
    PIECES,
    (BOLT,),
    (Weld("w", "A1", ("bottom",), "A2", "fillet", 5.0),),
    (Interlock("A1", "bottom", "A2.R", (10.0,), 20.0),),
    (Scribe("A1", "mate", (LINE,)), Scribe("A2", "mate", (LINE,))),
)


def flip(p: Vec3) -> Vec3:
    return (p[0], -p[1], p[2])


def corners(m: Member) -> Iterator[tuple[str, Vec3]]:
    """Points of a member on the truck: of both faces of every flat, of a tube's or rod's ends."""
    if isinstance(m.body, Plate):
        for panel in bend.fold(m.body, T)[0]:
            place = bend.joined(m.place, panel.place)
            for loop in (panel.outline, *panel.openings):
                for e, q in outline.spans(loop):
                    middle = outline.edge_points(e, q)
                    for x, y in (*middle, e.start, q):
                        yield e.name, place.out((x, y, 0.0))
                        yield e.name, place.out((x, y, T))
        return
    solid = m.body.solid if isinstance(m.body, Existing | Bought) else m.body
    for along in (0.0, getattr(solid, "length", 0.0)):
        if isinstance(solid, Bar):
            for loop in (solid.outline, *solid.openings):
                for e, _ in outline.spans(loop):
                    yield "", m.place.out((e.start[0], e.start[1], along))
        else:
            yield "", m.place.out((along, 0.0, 0.0))


def near(points: Any, others: Any) -> bool:
    """Whether every point has one of the others within 0.02 mm."""
    a, b = np.array(list(points)), np.array(list(others))
    return bool((np.linalg.norm(a[:, None] - b[None], axis=2).min(axis=1) < 0.02).all())


@pytest.mark.parametrize("n", range(len(PIECES)))
def test_every_point_of_the_right_is_one_of_the_left_in_the_mirror(n: int) -> None:
    left, right = PIECES[n], mirror(WHOLE).members[n]
    mine, theirs = dict.fromkeys(corners(left)), dict.fromkeys(corners(right))
    assert near((p for _, p in theirs), (flip(p) for _, p in mine))
    assert near((flip(p) for _, p in mine), (p for _, p in theirs))
    for name in {name for name, _ in mine}:
        assert near(
            (p for found, p in theirs if found == name), (flip(p) for at, p in mine if at == name)
        )
    axes = np.array((right.place.x, right.place.y, right.place.z))
    assert np.linalg.det(axes) == pytest.approx(1.0)
    if isinstance(right.body, Plate):
        assert outline.signed_area(right.body.outline) > 0


def test_what_else_turns_over_in_the_mirror() -> None:
    """Ways it may move, bolts and their slots, scribed lines; a cope is seen from behind."""
    seen = mirror(WHOLE)
    assert seen.members[0].moves == {"x": (-1.0, 4.0), "y": (-5.0, 2.0)}
    (b,) = seen.bolts
    assert b.at == flip(BOLT.at) and b.along == flip(BOLT.along)
    assert b.slots == {"A1": (9.0, (0.0, -1.0, 0.0))}
    for n, m in ((0, PIECES[0]), (1, PIECES[1])):
        for line, was in zip(seen.scribes[n].strokes[0], LINE, strict=True):
            point = seen.members[n].place.out((*line, 0.0))
            assert point == pytest.approx(flip(m.place.out((*was, 0.0))))
    tube = seen.members[1].body
    assert isinstance(tube, Tube)
    assert tube.ends[0].angle == pytest.approx(math.pi - 1.2)
    assert (tube.ends[0].clock, tube.ends[0].offset) == (-0.3, -5.0)
    assert tube.ends[1].angle == TubeEnd().angle
    again = mirror(seen)
    assert again.bolts == WHOLE.bolts and again.scribes == WHOLE.scribes
    for a, m in zip(again.members, PIECES, strict=True):
        assert a.place == m.place and a.moves == m.moves
        assert near((p for _, p in corners(a)), (p for _, p in corners(m)))


@pytest.mark.parametrize(("hand", "far"), [("L", "R"), ("R", "L"), ("C", "C")])
def test_names_get_their_side(hand: str, far: str) -> None:
    rest = NotHeld(("w",), *("",) * (len(NotHeld._fields) - 1))
    a = sided(WHOLE._replace(not_held=(rest,)), hand)
    assert [m.code for m in a.members] == [f"A{n}.{hand}" for n in (1, 2, 3, 4)]
    (b,) = a.bolts
    assert b.id == f"b.{hand}" and b.through == (f"A1.{hand}", f"A2.{far}")
    assert list(b.slots) == [f"A1.{hand}"]
    (w,) = a.welds
    assert (w.id, w.on, w.to) == (f"w.{hand}", f"A1.{hand}", f"A2.{hand}")
    (i,) = a.interlocks
    assert (i.tab_on, i.slot_in) == (f"A1.{hand}", "A2.R")
    assert [s.on for s in a.scribes] == [f"A1.{hand}", f"A2.{hand}"]
    assert a.not_held[0].ids == (f"w.{hand}",)


def test_no_name_stands_twice() -> None:
    assert merge((sided(WHOLE, "L"), sided(WHOLE, "R"))).members[4].code == "A1.R"
    for kind, part in (
        ("member", Assembly(members=PIECES[:1])),
        ("bolt", Assembly(bolts=(BOLT,))),
        ("weld", Assembly(welds=WHOLE.welds)),
    ):
        with pytest.raises(ValueError, match=f"{kind} .* stands twice"):
            merge((part, part))


def view(side: Any, words: dict[str, str] | None = None, gone: str = "", **ports: Port) -> SideView:
    j = without(job(), gone)
    return SideView(solve(j), side, {**j.words, **(words or {})}, SHOP, ports)


def test_numbers_of_the_own_side_the_right_shown_as_a_left() -> None:
    """Center readings across the truck change their sign on the right, all others stay."""
    left, right = view("L"), view("R")
    v = left.solved.values
    for name in ("driveline.output.y", "axle.pinion_joint.y", "axle.casting_from"):
        assert left.q(name) == v[Key(name, "C")] != 0.0
        assert right.q(name) == -left.q(name)
    assert right.q("axle.z_ride") == left.q("axle.z_ride") == v[Key("axle.z_ride", "C")]
    uneven = {k: x + (1.0 if k.side == "R" else 0.0) for k, x in v.items()}
    for s in (left, right):
        s.solved.values.update(uneven)
    one, two = uneven[Key("arm.joint.y", "L")], uneven[Key("arm.joint.y", "R")]
    assert (left.q("arm.joint.y"), right.q("arm.joint.y")) == (one, two)
    assert left.pair("arm.joint.y") == right.pair("arm.joint.y") == (one, two)
    assert left.other("arm.joint.y") == two and right.other("arm.joint.y") == one
    assert {Key("arm.joint.y", "L"), Key("arm.joint.y", "R")} <= left.read


def test_what_is_owed_is_waited_for_and_what_is_unknown_is_a_slip() -> None:
    s = view("L", gone="spring.rate")
    for ask in (s.q, s.has, s.pair):
        with pytest.raises(Waiting) as waits:
            ask("seat.upper.z" if ask == s.pair else "spring.rate")
        assert Key("spring.rate", "C") in waits.value.keys
        with pytest.raises(SlipError):
            ask("spring.rat")
    assert not s.there("seat.upper.z") and s.there("arm.joint.y") and s.has("arm.joint.y")
    with pytest.raises(Waiting):
        s.has("seat.upper.z")
    assert not s.has("travel.stop_x")
    assert view("L").has("spring.rate")


def test_words_change_sides_in_the_mirror() -> None:
    name = "spring.pigtail"
    words = {name: "right hand"}
    assert view("L", words).word(name) == "right hand"
    assert view("R", words).word(name) == "left hand" == view("R", words).need(name)
    s = view("L", {"frame.section": "channel", "frame.open_side": "inboard"})
    assert s.open_face() == "inner"
    s = view("L", {"frame.section": "channel", "frame.open_side": "outboard"})
    assert s.open_face() == "side"
    assert view("L", {"frame.section": "box"}).open_face() == ""


def test_ports_and_the_face_a_channel_does_not_have() -> None:
    port = Port(PLACE, {}, "A1")
    channel = {"frame.section": "channel", "frame.open_side": "inboard"}
    s = view("L", channel, **{"rail.coil.side": port})
    assert s.port("rail.coil.side") == port
    with pytest.raises(Refused, match="open on its inner face"):
        s.port("rail.coil.inner")
    for view_, name in ((s, "rail.coil.bottom"), (s, "tube.inner"), (view("L"), "rail.coil.inner")):
        with pytest.raises(PortMissing):
            view_.port(name)


def test_forces_of_the_right_are_shown_as_a_lefts() -> None:
    left, right = view("L"), view("R")
    rows = forces(left.solved.values)
    for n, f in enumerate(rows):
        assert left.force("joint")[n] == pytest.approx(f.joint[0])
        assert right.force("joint")[n] == pytest.approx(np.array(f.joint[1]) * (1, -1, 1))
        assert right.force("coil")[n] == pytest.approx(f.coil[1])
        assert left.force("bar")[n] == right.force("bar")[n] == pytest.approx(f.bar)
    with pytest.raises(Waiting):
        view("L", gone="spring.axle_load").force("joint")


def test_what_the_loads_miss_is_waited_for_unless_nobody_knows_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A reading or a result that a load case asks for waits; any other name is a slip of ours."""

    def misses(name: Any) -> None:
        def ask(*_: Any) -> None:
            raise KeyError(name)

        monkeypatch.setattr(site, "forces", ask)

    s = view("L")
    for name in (Key("axle.z_ride", "C"), Key("arm.joint.y", "L"), Key("spring.rate", "C")):
        misses(name)
        with pytest.raises(Waiting):
            site.forces_of(s.solved, ())
    misses("nonsense")
    with pytest.raises(KeyError):
        site.forces_of(s.solved, ())


def test_points_within_a_tenth_of_what_a_plasma_holds_are_one_outline() -> None:
    """A quadrangle turned by 40 degrees, one corner off by less or more than NEAR; or of another
    kind.
    """
    a = ((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), (60.0, 30.0, 0.0), (0.0, 20.0, 1.0))
    c, s = math.cos(0.7), math.sin(0.7)

    def turned(off: float, kind: float = 1.0) -> tuple[tuple[float, float, float], ...]:
        moved = [(x + (off if x == 60.0 else 0.0), y, kind if k else 0.0) for x, y, k in a]
        return tuple((x * c - y * s + 7.0, x * s + y * c - 3.0, k) for x, y, k in moved)

    assert same_turned(a, turned(0.0)) and same_turned(a, turned(0.5 * NEAR))
    assert not same_turned(a, turned(3 * NEAR)) and not same_turned(a, turned(0.0, 2.0))
    assert not same_turned(a, tuple((-x, y, k) for x, y, k in a))


def test_places_in_words() -> None:
    places = ("CM5.R", "TB10.L", "CM5.L", "XS1.C", "TB9.R")
    assert list(places_in_words(places)) == ["CM5 left and right", "TB9 right", "TB10 left", "XS1"]
