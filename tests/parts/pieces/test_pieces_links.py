"""Link and axle families on the two invented chassis: what the trade asks of them, checked in truck
coordinates.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from soapstone.layout.quantities import Key
from soapstone.parts.geometry import contours, outline
from soapstone.parts.geometry.holes import diameter
from soapstone.parts.model.assembly import Member
from soapstone.parts.model.body import Plate
from soapstone.parts.model.vectors import dot
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck
from trucks import NAMES, changed, job, shaped, truck

IN = 25.4


def member(t: Truck, code: str) -> Member:
    return next(m for m in t.assembly.members if m.code == code)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("pivot", "bolt", "side"),
    [
        ("arm.joint", "arm.joint#1", "L"),
        ("arm.joint", "arm.joint#1", "R"),
        ("upper.mount", "upper.mount#1", "L"),
        ("upper.mount", "upper.mount#1", "R"),
        ("bar.frame", "bar.frame#1", "L"),
        ("bar.axle", "bar.axle#1", "R"),
    ],
)
def test_pivots_stand_where_they_were_solved(name: str, pivot: str, bolt: str, side: str) -> None:
    t, solved = truck(name)
    b = next(b for b in t.assembly.bolts if b.id == f"{bolt}.{side}")
    point = []
    for axis in "xyz":
        own = Key(f"{pivot}.{axis}", side)
        value = solved.values[own] if own in solved.values else solved.values[Key(own.name, "C")]
        point.append(-value if own in solved.values and axis == "y" and side == "R" else value)
    rel = [p - q for p, q in zip(point, b.at, strict=True)]
    along = sum(r * a for r, a in zip(rel, b.along, strict=True))
    miss = math.sqrt(sum((r - along * a) ** 2 for r, a in zip(rel, b.along, strict=True)))
    assert miss < 0.005 * IN


def test_every_pivot_is_in_double_shear() -> None:
    """Common practice, no source: suspension and steering bolts pass two ears with the joint
    between.
    """
    t, _ = truck()
    for b in t.assembly.bolts:
        if b.duty in ("pivot", "steering") and b.grade and not b.id.startswith("arm.bolt"):
            ears = [c for c in b.through if isinstance(member(t, c).body, Plate)]
            assert len(ears) == 2 and len(b.through) == 3, b.id


def test_end_radius_of_every_ear() -> None:
    """1.5 bolt diameters from the hole's center to the edge (practice); AISC 360-16 Table J3.4 asks
    3/4 d + ... at least 7/8 for 5/8, 1 for 3/4.
    """
    least = {0.625: 0.875, 0.75: 1.0}
    t, _ = truck()
    sizes = {
        b.id: round(
            float(b.size.split("-")[0].split("/")[0]) / float(b.size.split("-")[0].split("/")[1]), 4
        )
        for b in t.assembly.bolts
        if b.size
    }
    seen = 0
    for p in t.singles:
        for h in p.holes:
            if h.bolt.startswith(("arm.joint#1", "upper.mount#1", "bar.frame#1", "bar.axle#1")):
                seen += 1
                edge = (
                    outline.distance(p.member.body.outline, h.at)
                    - max(0.0, h.length - h.diameter) / 2
                )
                assert edge >= least[sizes[h.bolt]] * IN - 1e-6, (p.id, edge / IN)
    assert seen >= 12


def test_weld_washers_cover_their_slots() -> None:
    t, _ = truck()
    slots = {b.id: max(n for n, _ in b.slots.values()) for b in t.assembly.bolts if b.slots}
    assert len(slots) == 4
    for b in (b for b in t.assembly.bolts if "#washer" in b.id):
        pivot = b.id.partition("#")[0]
        slot = next(v for k, v in slots.items() if k.startswith(pivot) and k[-1] == b.id[-1])
        body = member(t, b.through[0]).body
        od = contours.is_circle(body.outline)[1]
        d = diameter(b) - IN / 32
        assert od >= max(2.5 * d, diameter(b) + slot + 2 * 0.1875 * IN) - 1e-6


def test_no_weld_across_a_flange() -> None:
    """Truck service manual, frame welding; 49 CFR 393.201: no weld line on the rail's bottom runs
    across it.
    """
    t, _ = truck()
    rails = {m.code for m in t.assembly.members if m.title == "frame rail"}
    for w in t.assembly.welds:
        m = member(t, w.on)
        if w.to in rails and isinstance(m.body, Plate) and abs(m.place.z[2]) > 0.7:
            for name in w.edges:
                for e, q in outline.named(m.body.outline, name):
                    a, b = (m.place.out((*p, 0.0)) for p in (e.start, q))
                    assert abs(b[1] - a[1]) < 0.2 * abs(b[0] - a[0]) + 1e-6, (w.id, name)


def test_plates_never_land_on_the_casting() -> None:
    t, _ = changed("axle.casting_to", 2.0 * IN)
    assert (
        "axle upper-arm plates AP.L" in t.failed
        and "casting" in t.failed["axle upper-arm plates AP.L"]
    )
    assert "axle upper-arm plates AP.R" not in t.failed, "the casting is on the left"


def test_heat_treated_rails_are_not_welded() -> None:
    j = job()
    t, _ = shaped(j._replace(words={**j.words, "frame.heat_treated": "unknown"}))
    assert {k.split()[-1] for k in t.failed} == {"CS.L", "CS.R", "TB.L"}
    stand = {k.split()[-1]: v.split()[-1] for k, v in t.behind.items()}
    assert stand == {f"{c}.{s}": f"CS.{s}" for c in ("RS", "CM", "BP", "ST") for s in "LR"} | {
        "GU.L": "TB.L"
    }, "what stands on it waits, and names the first cause"
    rails = {m.code for m in t.assembly.members if m.title == "frame rail"}
    assert not [w.id for w in t.assembly.welds if w.to in rails]


def test_lower_seat_stands_level_under_the_coil() -> None:
    for name in NAMES:
        t, solved = truck(name)
        for side in "LR":
            m = member(t, f"LS1.{side}")
            thick = default_shop().plate(m.body.stock).thickness
            top = m.place.out((0.0, 0.0, thick))
            want = [solved.values[Key(f"seat.lower.{a}", side)] for a in "xyz"]
            assert (top[0], abs(top[1]), top[2]) == pytest.approx(want, abs=0.005 * IN)
            assert dot(m.place.z, (0.0, 0.0, 1.0)) == pytest.approx(1.0)


def test_a_right_hand_track_bar_mirrors() -> None:
    """The same truck with its steering on the other side: the bracket goes to the right rail, its
    brace to the left.
    """
    j = job()
    flip = {
        k: r._replace(value=-r.value)
        for k, r in j.readings.items()
        if k.side == "C"
        and (k.name.endswith(".y") or k.name == "track_bar.frame_mount_y")
        and k.name.split(".")[0] in ("axle", "steering", "track_bar", "driveline")
    }
    low, high = (j.readings[Key(f"track_bar.frame_y_{n}", "C")] for n in ("low", "high"))
    flip |= {low.key: low._replace(value=-high.value), high.key: high._replace(value=-low.value)}
    casting = {n: j.readings[Key(f"axle.casting_{n}", "C")] for n in ("from", "to")}
    flip |= {
        casting["from"].key: casting["from"]._replace(value=-casting["to"].value),
        casting["to"].key: casting["to"]._replace(value=-casting["from"].value),
    }
    t, _ = shaped(j._replace(readings={**j.readings, **flip}))
    assert not t.failed
    pad = next(w for w in t.assembly.welds if w.id.startswith("bar.brace.pad"))
    assert pad.on == "TB17.R" and pad.to == "rail1.L"
    other, _ = truck()
    a, b = (member(u, c).place.origin for u, c in ((t, "TB1.R"), (other, "TB1.L")))
    assert a == pytest.approx((b[0], -b[1], b[2]), abs=1e-6)


def test_new_bottom_holes_only_by_override() -> None:
    """Without old holes the foot is welded; with the override, drilled, and the sheet says who said
    so.
    """
    j = job()
    words = {
        k: (
            "keep clear"
            if k.startswith("frame.hole.") and k.endswith(".use") and v == "crossmember"
            else v
        )
        for k, v in j.words.items()
    }
    words |= {f"frame.hole.{n}.face": "top" for n in (1, 2, 5, 6)}
    bare, _ = shaped(j._replace(words=words))
    assert not [b for b in bare.assembly.bolts if b.id.startswith("cross.bottom")] and [
        w for w in bare.assembly.welds if w.id.startswith("cross.foot.rail")
    ]
    said, _ = shaped(
        j._replace(
            words=words | {"override.new_bottom_holes": "the owner: no old holes on this frame"}
        )
    )
    assert len([b for b in said.assembly.bolts if b.id.startswith("cross.bottom")]) == 4
    assert "NEW holes" in member(said, "XS2.L").ref and "the owner" in member(said, "XS2.L").ref


@pytest.mark.parametrize("name", NAMES)
def test_every_groove_weld_has_its_preparation(name: str) -> None:
    """Bevel, angle, land and throat are there, the throat is no deeper than the groove, and the
    groove is open to 60 deg, where AISC 360-16 table J2.1 (unverified) counts its whole depth. The
    angle is held against a chord of the round: across the tab's thickness the tube's surface falls
    away at least as much as the tangent at the root says.
    """
    t, _ = truck(name)
    members = {m.code: m for m in t.assembly.members}
    grooves = [w for w in t.assembly.welds if w.kind == "groove"]
    assert grooves and all(w.groove is None for w in t.assembly.welds if w.kind != "groove")
    for w in grooves:
        g, thick = w.groove, default_shop().plate(members[w.on].body.stock).thickness
        assert g is not None
        assert g.depth + g.land == pytest.approx(thick)
        assert w.leg <= g.depth + 1e-9
        assert math.radians(60) - 1e-9 <= g.angle < math.radians(75)
        assert 0 <= g.bevel < math.radians(45)
        m, arm = members[w.on], members[w.to]
        r = default_shop().tube(arm.body.stock).od / 2
        z = abs(m.place.into(arm.place.out((arm.place.into(m.place.origin)[0], 0.0, 0.0)))[2])
        far = z + thick
        fall = math.atan2(math.sqrt(r * r - z * z) - math.sqrt(r * r - far * far), thick)
        assert g.angle - g.bevel == pytest.approx(math.asin(z / r), abs=math.radians(1.5))
        assert fall >= g.angle - g.bevel - math.radians(1.5)


def sixteenths(length: float) -> str:
    """A length of whole sixteenths of an inch, as a rule is read."""
    return str(Fraction(round(length / IN * 16), 16))


def test_the_bevel_stands_on_drawing_schedule_and_cut_sheet() -> None:
    from soapstone.parts.documents.schedules import welds
    from soapstone.parts.documents.welding import words_of
    from soapstone.parts.drawing.symbols import bevel_words, size_words

    t, _ = truck()
    w = next(w for w in t.assembly.welds if w.kind == "groove")
    assert w.groove is not None
    throat = sixteenths(w.leg)
    assert size_words(w) == f"{sixteenths(w.groove.depth)} ({throat})"
    assert "25 deg to a land of 1/16" in bevel_words(w) and bevel_words(w).endswith(
        f"throat {throat}"
    )
    assert f"throat E {throat}" in words_of(w)
    rows = [r for r in welds(t, default_shop()).rows if r["kind"] == "groove"]
    assert rows and all("bevel after cutting" in r["preparation"] for r in rows)
