"""The placed assembly goes together, and the check can tell when it does not.

Tolerances: 1/100 in overlap, 5/1000 in at a pivot (project rules, no outside source); the numeric
overlap check is held against the CAD kernel's boolean.
"""

from __future__ import annotations

import math

import pytest
from soapstone.parts.model.body import Plate
from soapstone.parts.model.vectors import add
from soapstone.parts.placed.fit import fit
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, is_plate
from trucks import NAMES, changed, job, shaped, truck

SHOP = default_shop()


@pytest.mark.parametrize("name", NAMES)
def test_everything_fits(name: str) -> None:
    t, solved = truck(name)
    assert not t.failed and not t.waiting
    assert [str(m) for m in fit(t, SHOP, solved.values)] == []


def test_one_hole_off_by_a_sixteenth_is_caught() -> None:
    t, solved = truck()
    for part in t.singles:
        if part.holes and part.member.fixed_after != "tool":
            hole = part.holes[0]._replace(at=(part.holes[0].at[0] + 25.4 / 16, part.holes[0].at[1]))
            bad = t._replace(
                singles=tuple(
                    p._replace(holes=(hole, *p.holes[1:])) if p is part else p for p in t.singles
                )
            )
            assert any(
                m.kind == "bolt" and part.id in m.what
                for m in fit(bad, SHOP, solved.values, ("bolt",))
            ), part.id


def moved(t: Truck, code: str, by: tuple[float, float, float]) -> Truck:
    members = tuple(
        m._replace(place=m.place._replace(origin=add(m.place.origin, by))) if m.code == code else m
        for m in t.assembly.members
    )
    return t._replace(assembly=t.assembly._replace(members=members))


@pytest.mark.parametrize(
    ("code", "by", "kind"),
    [
        ("CS1.L", (0.0, 25.4 / 16, 0.0), "weld"),
        ("CS1.L", (0.0, -25.4 / 16, 0.0), "overlap"),
        ("XS2.R", (0.0, 0.0, 25.4 / 16), "overlap"),
        ("AB1.L", (25.4 / 16, 0.0, 0.0), "bolt"),
        ("AB3.L", (0.0, 25.4 / 8, 0.0), "weld"),
        ("CM4.L", (0.0, 25.4 / 16, 0.0), "weld"),
        ("LT1.R", (0.0, 0.0, 25.4 / 16), "weld"),
        ("ST5.L", (0.0, 25.4 / 16, 0.0), "overlap"),
        ("GU1.L", (0.0, -25.4 / 8, 0.0), "overlap"),
        ("BP3.R", (0.0, 0.0, 25.4 / 16), "weld"),
    ],
)
def test_a_part_in_the_wrong_place_is_caught(
    code: str, by: tuple[float, float, float], kind: str
) -> None:
    t, solved = truck()
    assert any(code in m.what for m in fit(moved(t, code, by), SHOP, solved.values, (kind,)))


def test_a_hole_to_keep_free_is_kept_free() -> None:
    """The factory hole at 30 in behind: moved under the coil-seat plate, or beside a crossmember
    bolt, it is named.
    """
    for x, who in ((-5.0, "CS1"), (-43.0, "FP1"), (-46.5, "cross.side#")):
        j = job()
        hit = {
            k: r._replace(value=x * 25.4)
            for k, r in j.readings.items()
            if k.name in ("frame.hole.3.x", "frame.hole.7.x")
        }
        t, solved = shaped(j._replace(readings={**j.readings, **hit}))
        said = [m.what for m in fit(t, SHOP, solved.values, ("hole",))]
        assert any(who in w and "hole.3.L" in w for w in said) and any(
            who in w and "hole.7.R" in w for w in said
        ), (x, said)


def test_a_pivot_off_its_solved_point_is_caught() -> None:
    t, solved = truck()
    bolts = tuple(
        b._replace(at=add(b.at, (0.0, 0.0, 0.2))) if b.id == "arm.joint#1.L" else b
        for b in t.assembly.bolts
    )
    assert fit(
        t._replace(assembly=t.assembly._replace(bolts=bolts)), SHOP, solved.values, ("pivot",)
    )


def test_overlaps_against_the_kernel() -> None:
    """No two made plates share more than a skin of volume by the CAD kernel's own boolean
    (OpenCASCADE through cadquery).
    """
    from soapstone.parts.export import step

    t, _ = truck()
    bodies = [
        (p.id, step.placed(p.member, p, SHOP))
        for p in t.singles
        if is_plate(p) and p.member.fixed_after != "tool" and p.id.endswith((".L", ".C"))
    ]
    boxes = {i: b.BoundingBox() for i, b in bodies}
    pairs = 0
    for k, (a, one) in enumerate(bodies):
        for b, two in bodies[k + 1 :]:
            p, q = boxes[a], boxes[b]
            if all(
                getattr(p, f"{c}min") < getattr(q, f"{c}max") + 1
                and getattr(q, f"{c}min") < getattr(p, f"{c}max") + 1
                for c in "xyz"
            ):
                pairs += 1
                assert one.intersect(two).Volume() < 0.254 * min(one.Area(), two.Area()) / 10, (
                    a,
                    b,
                )
    assert pairs > 3


MOVES = [
    # reading, change (mm or rad), parts that must change, parts that must not
    ("frame.station.1.width", 3.0, {"XS5.L"}, {"CS1.L", "AB1.L", "AR1.L"}),
    ("axle.tire_loaded_radius", 12.7, {"CS1.L", "AR1.L"}, {"XP1.C", "XT3.C"}),
    ("arms.joint_behind", 25.4, {"AR1.L", "AB1.L", "XS1.L", "XT3.C"}, set()),
    ("arms.joint_height", 12.7, {"AR1.L", "AB1.L"}, {"DT1.L"}),
    ("arms.plan_slant", math.radians(1), {"AR1.L", "AB1.L", "AB2.L"}, {"CS1.L"}),
    ("arms.joint_width", 6.35, {"AB1.L", "AB3.L"}, {"CS1.L", "XS1.L", "AR1.L"}),
    ("arms.eye_to_tube", 6.35, {"AR1.L"}, {"AB1.L", "CS1.L", "XS1.L"}),
    (
        "axle.spring_seat.x",
        6.35,
        {"CS1.L", "CM4.L", "LS2.L"},
        {"AB1.L", "XS1.L", "AR1.L", "LT1.L", "FP1.L"},
    ),
    ("frame.notch.x_first", -25.4, {"CS1.L"}, {"AB1.L", "XS1.L", "AR1.L", "XT3.C"}),
    ("driveline.mount.bolt_dy", 12.7, {"XP1.C"}, {"AB1.L", "CS1.L", "XS1.L", "AR1.L"}),
    ("driveline.mount.z", 12.7, {"XP2.C"}, {"AB1.L", "CS1.L", "XS1.L", "AR1.L"}),
    (
        "spring.rate",
        5.0,
        {"CM1.L", "CM2.L", "CM4.L"},
        {"AB1.L", "CS1.L", "XS1.L", "AR1.L", "XT3.C", "LS1.L", "LT1.L"},
    ),
    ("wanted.pinion_working", math.radians(0.5), {"UA1.L", "AP1.L", "LT1.L"}, {"XP1.C", "XT3.C"}),
    ("frame.station.1.wall", 0.4, {"FP1.L"}, {"AR1.L", "AB1.L", "LT1.L", "XT3.C"}),
    ("axle.upper_sleeve", 6.35, {"AP1.L", "AP2.L"}, {"LT1.L", "AR1.L", "CS1.L", "CM1.L"}),
    ("arms.upper_above", 3.175, {"UA1.L", "LT1.L"}, {"AR1.L", "CS1.L", "XS1.L", "TB1.L"}),
    ("track_bar.sleeve", 3.175, {"TB1.L", "TB3.L"}, {"AR1.L", "CS1.L", "LT1.L", "CM1.L"}),
    ("travel.bump", 6.35, {"BP1.L"}, {"XP1.C"}),
    ("travel.shock_eye", 3.175, {"ST1.L", "ST3.L"}, {"CS1.L", "CM1.L", "ST5.L", "AR1.L"}),
    ("travel.strap_x", 6.35, {"ST5.L", "ST6.L"}, {"ST1.L", "CS1.L", "CM1.L"}),
]


@pytest.mark.parametrize(("key", "by", "must", "must_not"), MOVES, ids=[m[0] for m in MOVES])
def test_which_reading_moves_which_part(
    key: str, by: float, must: set[str], must_not: set[str]
) -> None:
    before = {p.id: p.fingerprint for p in truck()[0].singles}
    after = {p.id: p.fingerprint for p in changed(key, by)[0].singles}
    differ = {i for i in before if after.get(i) != before[i]}
    assert must <= differ, f"these should have changed: {sorted(must - differ)}"
    assert not must_not & differ, f"these should not have changed: {sorted(must_not & differ)}"


def test_every_plate_has_its_datum_edges_and_says_where_it_sits() -> None:
    for part in truck()[0].singles:
        m = part.member
        if isinstance(m.body, Plate):
            names = {e.name for e in m.body.outline}
            assert set(m.datum) <= names | {""}, (part.id, m.datum, names)
            assert m.ref, part.id


def test_each_rail_has_its_own_holes() -> None:
    """Only the right rail's bottom holes moved: the right foot takes them, the left stays as it
    was.
    """
    j = job()
    hit = {
        k: r._replace(value=r.value + 12.7)
        for k, r in j.readings.items()
        if k.name in ("frame.hole.5.x", "frame.hole.6.x")
    }
    assert len(hit) == 2
    before, after = truck()[0], shaped(j._replace(readings={**j.readings, **hit}))[0]
    prints = [{p.id: p.fingerprint for p in t.singles} for t in (before, after)]
    assert prints[0]["XS2.L"] == prints[1]["XS2.L"] and prints[0]["XS2.R"] != prints[1]["XS2.R"]
    at = {b.id: b.at[0] for b in after.assembly.bolts if b.id.startswith("cross.bottom#")}
    assert at["cross.bottom#1.R"] - at["cross.bottom#1.L"] == pytest.approx(12.7, abs=1e-6)


@pytest.mark.parametrize(("narrower", "higher"), [(0.75, 0.0), (1.5, 0.0), (0.0, 1.0), (1.0, 1.0)])
def test_the_track_bar_bracket_follows_a_rail_that_tapers_or_rakes(
    narrower: float, higher: float
) -> None:
    """Front station an inch in or up in 80 (0.7 deg): the ears still stand on their base plates, on
    the faces as they were read, and nothing overlaps.
    """
    j = job()
    by = {
        "frame.station.2.outer": -narrower * 25.4,
        "frame.station.2.bottom": higher * 25.4,
        "frame.station.2.outside": -2 * narrower * 25.4,
    }
    readings = {
        k: r._replace(value=r.value + by[k.name]) if k.name in by else r
        for k, r in j.readings.items()
    }
    t, g = shaped(j._replace(readings=readings))
    assert {"TB1.L", "TB2.L", "TB3.L", "TB14.L"} <= {p.id for p in t.singles}
    assert not [m for m in fit(t, default_shop(), g.values) if "TB" in m.what or "bar." in m.what]
