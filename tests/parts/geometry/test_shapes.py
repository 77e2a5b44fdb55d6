"""Shapes of the plates: simple loops without feathers or sharp inner corners, on both invented
trucks and under single readings far off them.

Simplicity and containment are held against GEOS (through shapely), which knows nothing of how the
outlines are made; the limits (1.5 mm, 30 deg, inner radius 1/8 in) are common practice, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
import sound_plate
import trucks
from soapstone.parts.geometry import outline, shape
from soapstone.parts.geometry.contours import Corner, circle, rounded
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.geometry.outline import spans
from soapstone.parts.model.assembly import Member, Part
from soapstone.parts.model.body import Edge, Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck

IN = 25.4
INNER = default_shop().inner_radius


def polygon(p: Part) -> shapely.Polygon:
    """The part as it is cut and drilled, flattened to 0.01 mm."""
    body = p.member.body
    assert isinstance(body, Plate)
    inner = [*body.openings, *map(slot_loop, p.holes)]
    return shapely.Polygon(
        outline.flatten(body.outline, 0.01), [outline.flatten(o, 0.01) for o in inner]
    )


def plates(t: Truck) -> list[Part]:
    return [p for p in t.singles if isinstance(p.member.body, Plate)]


def sharp(p: shapely.Polygon) -> float:
    """Least angle of steel at any corner of the outline, deg."""
    xy = np.array(shapely.normalize(p).exterior.coords)[:-1][::-1]
    a, b, c = np.roll(xy, 1, axis=0) - xy, xy, np.roll(xy, -1, axis=0) - xy
    del b
    turn = np.arctan2(c[:, 0] * a[:, 1] - c[:, 1] * a[:, 0], (a * c).sum(axis=1)) % math.tau
    return float(np.degrees(turn.min()))


@pytest.mark.parametrize("name", trucks.NAMES)
def test_every_plate_is_a_shape_a_table_can_cut(name: str) -> None:
    made = plates(trucks.truck(name)[0])
    assert len(made) > 60
    for p in made:
        whole = polygon(p)
        assert whole.is_valid, p.id
        assert whole.area == pytest.approx(p.area_net, rel=2e-3), p.id
        assert sharp(whole) > 29.9, p.id
        assert shape.faults(p.member.body, INNER, tuple(map(slot_loop, p.holes))) == []
        assert list(sound_plate.wrong(p.member.body, p.holes, INNER)) == [], p.id


def behind(m: Member, t: float) -> float:
    """Least steel behind a saddle, square to it, mm."""
    body = m.body
    assert isinstance(body, Plate)
    steel = shapely.Polygon(outline.flatten(body.outline, 0.002))
    least = math.inf
    for e, q in spans(body.outline):
        if e.name != "saddle":
            continue
        a = outline.arc_of(e.start, q, e.bulge)
        for k in np.linspace(0.01, 0.99, 25):
            at = a.start + k * a.sweep
            out = np.array((math.cos(at), math.sin(at)))
            foot = np.array(a.center) + a.radius * out
            ray = shapely.LineString([foot + 0.02 * out, foot + 2 * t * out])
            inside = steel.intersection(ray)
            first = inside if inside.geom_type == "LineString" else inside.geoms[0]
            least = min(least, first.length)
    return least


@pytest.mark.parametrize("name", trucks.NAMES)
def test_saddle_welds_have_steel_behind_them(name: str) -> None:
    """A weld as long as the saddle counts: behind every point of it there is the plate's thickness
    of steel.
    """
    t, _ = trucks.truck(name)
    members = {m.code: m for m in t.assembly.members}
    held = [w for w in t.assembly.welds if w.edges == ("saddle",)]
    assert len(held) > 15
    for w in held:
        m = members[w.on]
        thick = default_shop().plate(m.body.stock).thickness
        assert behind(m, thick) > thick - 0.1, (w.on, behind(m, thick), thick)


SWEEP = (
    ("axle.tube_diameter", 4.875),
    ("arms.joint_height", 26.25),
    ("arms.joint_height", 45.0),
    ("driveline.mount.z", 10.25),
    ("axle.spring_seat.x", -4.69),
    ("axle.spring_seat.x", -12.0),
    ("axle.track_bar_mount.z", 14.0),
    ("driveline.mount.bolt_dy", 0.06),
    ("spring.mean_diameter", 2.0),
    ("spring.mean_diameter", 2.8),
)


@pytest.mark.parametrize(("field", "value"), SWEEP)
def test_a_single_allowed_reading_gives_sound_parts_or_a_refusal_by_name(
    field: str, value: float
) -> None:
    now = next(r.value for k, r in trucks.job().readings.items() if k.name == field)
    t, _ = trucks.changed(field, value * IN - now)
    for p in plates(t):
        assert polygon(p).is_valid, p.id
        assert sharp(polygon(p)) > 29.9, p.id
    assert t.failed
    for who, why in t.failed.items():
        assert " in" in why or "stands on" in why, (who, why)
        assert "corners must" not in why


@pytest.mark.parametrize("n", [1, 5])
def test_a_hole_said_to_be_in_the_other_rail_is_refused_by_name(n: int) -> None:
    j = trucks.job()
    word = f"frame.hole.{n}.side"
    other = {"left": "right", "right": "left"}[j.words[word]]
    t, _ = trucks.shaped(j._replace(words={**j.words, word: other}))
    said = [why for who, why in t.failed.items() if who.startswith("crossmember side plates")]
    assert said and "frame.hole 1 and 5" in said[0]


def plate(loop: outline.Loop, *openings: outline.Loop) -> Plate:
    return Plate("1/4 A36", loop, openings)


SQUARE = [Corner("a", 0, 0), Corner("b", 100, 0), Corner("c", 100, 100), Corner("d", 0, 100)]
BAD = {
    "crosses itself": plate(
        tuple(
            Edge(n, p) for n, p in zip("abcd", ((0, 0), (100, 0), (0, 60), (100, 60)), strict=True)
        )
    ),
    "inside out": plate(tuple(reversed(rounded(SQUARE)))),
    "an edge of": plate(
        tuple(
            Edge(n, p)
            for n, p in zip(
                "abcde", ((0, 0), (100, 0), (100, 99), (99.2, 100), (0, 100)), strict=True
            )
        )
    ),
    "feather": plate(
        tuple(Edge(n, p) for n, p in zip("abc", ((0, 0), (100, 0), (100, 40)), strict=True))
    ),
    "sharp inner corner": plate(
        tuple(
            Edge(n, p)
            for n, p in zip(
                "abcdef",
                ((0, 0), (100, 0), (100, 100), (60, 100), (60, 40), (0, 40)),
                strict=True,
            )
        )
    ),
    "radius at": plate(
        rounded(
            [
                Corner(n, x, y, 2.0 if n == "e" else 0.0)
                for n, x, y in (
                    ("a", 0, 0),
                    ("b", 100, 0),
                    ("c", 100, 100),
                    ("d", 60, 100),
                    ("e", 60, 40),
                    ("f", 0, 40),
                )
            ]
        )
    ),
    "runs off the edge": plate(rounded(SQUARE), circle((99.0, 50.0), 20.0)),
    "runs into": plate(rounded(SQUARE), circle((40.0, 50.0), 20.0), circle((58.0, 50.0), 20.0)),
}


@pytest.mark.parametrize("what", BAD)
def test_a_broken_shape_is_named(what: str) -> None:
    """By the tool, and by other means, which the sweep of every reading is held against."""
    assert what == "inside out" or list(sound_plate.wrong(BAD[what], (), INNER))
    assert any(what in f for f in shape.faults(BAD[what], INNER)), shape.faults(BAD[what], INNER)


def test_a_sound_shape_has_no_fault() -> None:
    assert shape.faults(plate(rounded(SQUARE), circle((50.0, 50.0), 20.0)), INNER) == []


def walls_left(inches: float) -> Truck:
    """The demo with another wall in the left rail than in the right."""
    j = trucks.job()
    hit = [
        k for k in j.readings if k.name.endswith(".wall") and "station" in k.name and k.side == "L"
    ]
    readings = {k: r._replace(value=inches * IN) if k in hit else r for k, r in j.readings.items()}
    assert len(hit) == 2
    return trucks.shaped(j._replace(readings=readings))[0]


def stock_of(t: Truck, part: str) -> str:
    return next(p for p in t.singles if p.id == part).member.body.stock


def test_both_hands_take_the_heavier_stock_unless_one_cannot() -> None:
    """Sized alone, a left rail of 0.2 in asks for fish plates of 3/16 where the right is served by
    11 gauge: both get 3/16. A wall of 1/4 in asks for a coil-seat plate that the thinner right rail
    must not carry (AISC 360 as the rule says): that one stays a pair of two.
    """
    t = walls_left(0.2)
    assert stock_of(t, "FP1.L") == stock_of(t, "FP1.R") == "3/16 A36"
    t = walls_left(0.25)
    assert stock_of(t, "FP1.L") == stock_of(t, "FP1.R") == "3/16 A36"
    assert stock_of(t, "CS1.L") != stock_of(t, "CS1.R")
