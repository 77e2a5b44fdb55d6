"""Ears, pivot bolts and walls by statics alone: a lever's moments, a rectangle's stress at its four
corners, distances along a bolt, the least of what was read.
"""

from __future__ import annotations

import math
from functools import cache
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import shapely
from soapstone.layout.quantities import Key
from soapstone.parts.design.sizing import Check
from soapstone.parts.geometry import outline
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.model.assembly import Bolt, Member
from soapstone.parts.model.body import Plate
from soapstone.parts.model.hold import PlateSize
from soapstone.parts.model.vectors import Frame
from soapstone.parts.rules import plates, welds
from soapstone.parts.stock import default_shop
from soapstone.parts.stock.tables import bolt_over
from soapstone.parts.strength import ear as one_ear
from soapstone.parts.strength import everyday, neck, pivots, would_pass
from soapstone.parts.strength.evaluate import rows
from soapstone.parts.strength.named_loads import case_of
from soapstone.parts.strength.recorded import Root
from soapstone.parts.strength.result import cases_of
from soapstone.parts.strength.work import Work
from soapstone.parts.words.numbers import finely
from trucks import truck

IN = 25.4
AXES = np.linalg.qr(np.random.default_rng(3).normal(size=(3, 3)))[0].T


def root(share: int = 2, **more: Any) -> Root:
    """An ear 80 wide, 6 thick, its bolt 50 above and 12 beside the middle of its foot."""
    run, out, up = AXES
    row: dict[str, Any] = {"part": "ZZ1.L", "says": "load", "run": run, "out": out, "up": up}
    row |= {"lever": 12.0 * run + 50.0 * up, "width": 80.0, "thick": 6.0, "share": share}
    return Root(**row, load="x", again=None, **more)  # type: ignore[arg-type]  # not seen again


@pytest.mark.parametrize(("share", "portal"), [(2, 2.0), (1, 1.0), (3, 2.0)])
def test_stress_at_the_corners_of_a_foot(share: int, portal: float) -> None:
    """N/A and M c/I both ways about a 80 by 6 rectangle; two ears bend sideways as a portal, each
    by half of the moment.
    """
    force = np.array((300.0, -500.0, 700.0))
    own, run, out, up = root(share), *AXES
    moment = np.cross(own.lever, force)
    about_out = float(moment @ out) * 40.0 / (6.0 * 80.0**3 / 12)
    about_run = float(moment @ run) / portal * 3.0 / (80.0 * 6.0**3 / 12)
    pull = float(force @ up) / 480.0
    want = sorted(pull + a * about_out + b * about_run for a in (1, -1) for b in (1, -1))
    assert sorted(everyday._skin(own, force)) == pytest.approx(want)


def state(name: str, hand: str = "", bushings: str = "") -> Any:
    return SimpleNamespace(case=SimpleNamespace(name=name, hand=hand), bushings=bushings)


def test_states_are_compared_on_one_truck_only() -> None:
    states = [state("a", "L", "soft"), state("b", "", "hard"), state("c", "R", "soft")]
    assert everyday._pairs(states) == [(0, 2)]
    assert everyday._said(states, (0, 2)) == "everyday, a left to c right, soft"
    plain = [state("a"), state("b", "R")]
    assert everyday._pairs(plain) == [(0, 1)]
    assert everyday._said(plain, (0, 1)) == "everyday, a to b right"


def ear(code: str, y: float, faces: float) -> Member:
    """A plate square to the y axis, its lower face at y, its thickness the way it faces."""
    place = Frame((10.0, y, 20.0), (faces, 0.0, 0.0), (0.0, faces, 0.0))
    return Member(code, "ear", "ZZ", Plate("1/4 A36", rectangle(0.0, 0.0, 90.0, 60.0)), place)


def bolted(*ears: Member) -> tuple[Bolt, Any]:
    bolt = Bolt(
        "zz",
        (30.0, 100.0, 40.0),
        along=(0.0, 1.0, 0.0),
        size="1/2-13",
        grade="grade 8",
        through=("sleeve", *(e.code for e in ears)),
        duty="pivot",
        hole="close",
    )
    members = {e.code: e for e in ears}
    work = SimpleNamespace(
        members=members, parts=members, plate=lambda code: PlateSize(6.0, 250.0, 400.0)
    )
    return bolt, work


@pytest.mark.parametrize("turned", [False, True])
def test_ears_along_their_bolt(turned: bool) -> None:
    """One from y 30 to 36, one from -20 to -14: 44 between them, their middle at 8; alone 33."""
    high, low = ear("ZZ1.L", 30.0, 1.0), ear("ZZ2.L", -14.0, -1.0)
    for e, y in ((high, (30.0, 36.0)), (low, (-20.0, -14.0))):
        other = sorted((e.place.origin[1], e.place.origin[1] + 6.0 * e.place.z[1]))
        assert other == pytest.approx(y)
    ears = (low, high) if turned else (high, low)
    bolt, work = bolted(*ears)
    assert pivots._apart(bolt, [e.code for e in ears], SimpleNamespace(work=work)) == 44.0
    assert Work.middle(work, bolt) == pytest.approx((30.0, 8.0, 40.0))
    bolt, work = bolted(high)
    assert Work.middle(work, bolt) == pytest.approx((30.0, 33.0, 40.0))
    bolt, work = bolted()
    assert Work.middle(work, bolt) == pytest.approx((30.0, 100.0, 40.0))


def test_a_rail_is_as_thick_as_its_thinnest_reading_on_its_side() -> None:
    walls = {
        Key("frame.station.1.wall", "L"): 4.0,
        Key("frame.station.2.wall", "L"): 3.5,
        Key("frame.station.1.wall", "R"): 3.0,
        Key("frame.station.1.bottom", "L"): 1.0,
        Key("axle.station.wall", "L"): 1.0,
    }
    steel = SimpleNamespace(fy=250.0, fu=400.0)
    work: Any = SimpleNamespace(values=walls, _rails={}, made_of=SimpleNamespace(rail=steel))
    assert Work.rail(work, "L") == PlateSize(3.5, 250.0, 400.0)
    assert Work.rail(work, "R") == PlateSize(3.0, 250.0, 400.0)
    assert Work.rail(work, "C") == PlateSize(0.0, 250.0, 400.0)


def test_the_section_of_an_ear_that_asks_most_is_found() -> None:
    """A trapezoid 30 wide at its bolt, 90 at its foot: of all sections none asks more."""
    loop = np.array(((-45.0, -60.0), (45.0, -60.0), (15.0, 10.0), (-15.0, 10.0)))
    shape = neck.EarShape(loop, np.array(((-45.0, -60.0), (45.0, -60.0))), 8.0)
    own = root()
    run, out, up = AXES
    for force in ((900.0, 0.0, 0.0), (0.0, 60.0, 0.0), (0.0, 0.0, 3000.0), (400.0, 30.0, -900.0)):
        way = force[0] * run + force[1] * out + force[2] * up
        forces = np.array((0.1 * way, way, -0.5 * way))
        cut, given = neck.worst(own, shape, forces, 2.0, 250.0)
        every = neck.sections(shape)
        asked = [
            float(np.max(plates.plate_root(**neck.numbers(own, c, forces, 2.0, 250.0))[0]))
            for c in every
        ]
        assert cut is not None and len(every) > 5
        assert float(np.max(plates.plate_root(**given)[0])) == max(asked)
        assert cut == every[int(np.argmax(asked))]
        wide = 30.0 + 60.0 * (cut.down + 10.0) / 70.0
        assert cut.width == pytest.approx(wide) and cut.beside == pytest.approx(0.0, abs=1e-9)


@cache
def worked() -> tuple[Work, tuple[Any, ...]]:
    t, g = truck()
    work = Work(t, default_shop(), g.values, cases_of(t, g, default_shop()))
    return work, tuple(rows(work))


def test_every_root_of_the_truck_is_its_lever_times_its_force() -> None:
    """In the case that is printed: bending in the plane, sideways (half in a pair), pull and shear
    of the share of the load; no case asks more.
    """
    work, found = worked()
    names = [case_of(row) for row in work.rows]
    printed = {(c.part, c.what): c for c in found}
    assert len(work.roots) > 15 and {r.share for r in work.roots} >= {1, 2}
    for own in work.roots:
        row = printed.get((own.part, f"root of the ear under its share of the {own.says}"))
        if row is None:
            continue
        at = names.index(row.case)
        every = own.again(work.rows).force(own.load) / own.share
        force, given = every[at], dict(row.given)
        in_plane = abs(float(force @ own.run)) * abs(float(own.lever @ own.up))
        in_plane += abs(float(force @ own.up)) * abs(float(own.lever @ own.run))
        side = abs(float(np.cross(own.lever @ own.up * own.up, force) @ own.run))
        assert given["moment_Nmm"] == pytest.approx(in_plane, abs=1.0)
        assert given["sideways_Nmm"] == pytest.approx(side / min(own.share, 2), abs=1.0)
        assert given["pull_N"] == pytest.approx(abs(float(force @ own.up)), abs=1e-3)
        assert given["shear_N"] == pytest.approx(abs(float(force @ own.run)), abs=1e-3)
        assert (own.width, own.thick) == (given["width_mm"], given["t_mm"])
        alike = {name: value for name, value in given.items() if name[-3:] == "MPa"}
        for other in every:
            numbers = {
                "moment_Nmm": abs(other @ own.run) * abs(own.lever @ own.up)
                + abs(other @ own.up) * abs(own.lever @ own.run),
                "sideways_Nmm": abs(other @ own.out) * abs(own.lever @ own.up) / min(own.share, 2),
                "pull_N": abs(other @ own.up),
                "shear_N": abs(other @ own.run),
                "width_mm": own.width,
                "t_mm": own.thick,
            }
            assert plates.plate_root(**numbers, **alike)[0] <= row.demand * (1 + 1e-9)


def test_what_is_welded_and_bolted_to_an_ear_lies_on_it() -> None:
    """Weld lines of an ear in its own plane stand on its outline, or in it where something stands
    on the ear.
    """
    work, _ = worked()
    seen = 0
    for code in {r.part for r in work.roots}:
        body = work.members[code].body
        assert isinstance(body, Plate)
        steel = shapely.Polygon(outline.flatten(body.outline, 0.01))
        lines = one_ear._seams(work, code, work.steel_of(code)[0])
        mine = [w for w in work.welds_of(code) if w.on == code and w.to in work.members]
        assert len(lines) >= sum(len(w.edges) for w in mine) > 0, code
        own = lines[: sum(len(w.edges) for w in mine)] if len(lines) == len(mine) else lines
        for line in own:
            assert steel.buffer(0.1).covers(shapely.MultiPoint(line)), code
            seen += 1
    assert seen > 15


def test_a_pivot_bolt_bears_on_the_side_of_its_hole_it_is_pulled_to() -> None:
    """All of the ear's share, in the plane's own axes, on the half of the rim the pull goes to; a
    force square to the plate goes all round.
    """
    work, _ = worked()
    part = work.parts["LT1.L"]
    (hole,) = (hole for hole in part.holes if ("LT1.L", hole.bolt) in work.at_hole)
    thick = work.steel_of("LT1.L")[0]
    lines = [line for line in one_ear._seams(work, "LT1.L", thick) if len(line) > 1]
    setup = one_ear._setup(work, part, thick, [hole], lines)
    turn = np.array((part.member.place.x, part.member.place.y, part.member.place.z))
    for row in work.rows[:6]:
        force = turn @ work.at_hole["LT1.L", hole.bolt](row)
        load = setup.load(row)
        assert load.sum(axis=0) == pytest.approx((*force, 0.0, 0.0), abs=1e-6)
        pushed = np.abs(load[:, :3]).max(axis=1) > 0.0
        where = setup.mesh.nodes[pushed] - hole.at
        assert np.hypot(*where.T) == pytest.approx(hole.diameter / 2, abs=1.2)
        assert (where @ force[:2] > 0).all() and pushed.sum() > 4
    work.at_hole["LT1.L", "square"] = lambda _: turn.T @ (0.0, 0.0, 100.0)
    try:
        other = hole._replace(bolt="square")
        alone = one_ear._setup(work, part, thick, [other], lines).load(work.rows[0])
    finally:
        del work.at_hole["LT1.L", "square"]
    rim = alone[:, 2] != 0.0
    assert alone[rim, 2] == pytest.approx(np.full(rim.sum(), 100.0 / rim.sum()))
    assert np.ptp(np.arctan2(*(setup.mesh.nodes[rim] - hole.at).T)) > math.radians(300.0)


def test_with_what_a_weld_would_pass_is_its_load_over_what_it_carries() -> None:
    """A fillet carries in proportion to its leg and its metal: 1.5 times too much asks for 1.5 of
    the leg, in the shop's next, or 66 % of the load; past twice, for no leg.
    """
    leg = 3 / 16 * IN
    asks, carries = welds.weld_line(force_N_mm=1.0, leg_mm=leg, fexx_MPa=480.0)
    for times, next_leg in ((1.5, "5/16 in"), (1.9, "3/8 in"), (2.2, "")):
        given = {"force_N_mm": times * carries / asks, "leg_mm": leg, "fexx_MPa": 480.0}
        row = Check.of(welds.weld_line, given, part="p", what="w", case="c")
        said = would_pass.passing(row, legs=welds.INCH_LEGS)
        assert (f"with a weld leg of {next_leg}, " in said) is bool(next_leg)
        assert ("weld leg" in said) is bool(next_leg)
        assert f"with {math.floor(100 / times)} % of that load" in said
        assert "weld leg" not in would_pass.passing(row, legs=welds.INCH_LEGS[:3])
    assert would_pass._shown("d_mm", 13.0, 12.7, ()) == bolt_over(13.0, 12.7) != ""
    assert would_pass._shown("d_mm", 900.0, 12.7, ()) == finely(900.0)


def test_walls_the_truck_has_are_told_from_steel_in_stock() -> None:
    """Of rails and axle only, and none within a hundredth of a millimeter of a plate or tube."""
    shop = default_shop()
    plate, tube = shop.plates[0].thickness, shop.tubes[0].wall
    values = {
        Key("rail.cross.wall", "L"): 4.02,
        Key("rail.cross.wall", "R"): plate + 0.009,
        Key("rail.stop.wall", "R"): 4.02,
        Key("axle.tube_wall", "C"): 9.13,
        Key("rail.cross.bottom", "L"): 7.07,
        Key("frame.station.1.wall", "L"): 7.07,
    }
    found = would_pass.walls_read(values, shop)
    assert found == ((would_pass.RAIL, 4.02), (would_pass.AXLE, 9.13))
    apart = {
        Key("rail.cross.wall", "L"): plate + 0.0115,
        Key("rail.cross.wall", "R"): plate + 0.0085,
    }
    others = [p.thickness for p in shop.plates] + [p.measured or 0.0 for p in shop.plates]
    assert min(abs(plate + 0.0115 - x) for x in others) > 0.01
    assert would_pass.walls_read(apart, shop) == ((would_pass.RAIL, plate + 0.0115),)
    alike = {Key("axle.tube_wall", "C"): tube - 0.009, Key("rail.cross.wall", "L"): tube - 0.011}
    assert would_pass.walls_read(alike, shop)[:1] in ((), ((would_pass.RAIL, tube - 0.011),))
    assert all(name == would_pass.RAIL for name, _ in would_pass.walls_read(alike, shop))
    given = {"force_N": 1500.0, "t_mm": 4.02}
    row = Check("p", "w", "c", 1.5, 1.0, "N", given=tuple(given.items()), rule="none")
    assert would_pass.passing(row, walls=found) == ""


@pytest.mark.parametrize(("faces", "legs"), [(("top", "bottom"), 1), (("both", "top"), 2)])
def test_a_weld_on_both_faces_is_two_legs(faces: tuple[str, str], legs: int) -> None:
    """Of the least leg that holds the ear; welds of others on it carry on one face each."""
    own = [
        SimpleNamespace(on="ZZ1.L", face=face, leg=leg)
        for face, leg in zip(faces, (5.0, 6.0), strict=True)
    ]
    others = [SimpleNamespace(on="ZZ2.L", face="both", leg=8.0)]
    filler = SimpleNamespace(fexx=480.0)
    work: Any = SimpleNamespace(
        welds_of=lambda _: [*own, *others], made_of=SimpleNamespace(filler=filler)
    )
    row = one_ear._seam_row(work, "ZZ1.L", 300.0, "c")
    given = dict(row.given)
    assert (given["leg_mm"], given["force_N_mm"], row.must) == (legs * 5.0, 300.0, False)


def test_a_groove_or_a_filler_from_memory_is_no_pass_on_its_own() -> None:
    """Every weld group's row says so; a fillet of a filler that was read does not."""
    work, found = worked()
    by = {(c.part, c.what): c for c in found}
    assert work.made_of.filler.tag == "read"
    grooves = set()
    for group in work.groups:
        row = by[group.part, group.says]
        groove = any(weld.kind == "groove" for weld in group.welds)
        assert (row.tag == "memory") is (groove or welds.weld_line.tag == "memory"), group.says
        grooves.add(groove)
    assert False in grooves
