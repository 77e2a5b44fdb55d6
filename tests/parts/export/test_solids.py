"""Solids read in again by the kernel."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from soapstone.parts import stock
from soapstone.parts.model.body import Plate
from soapstone.parts.truck.truck import Truck, is_plate


def test_every_solid_re_imported(truck: Truck, made: dict[str, bytes], tmp_path: Path) -> None:
    """Flat plates: volume = net area x thickness. Tubes: area x length."""
    import cadquery as cq

    shop = stock.default_shop()
    for part in truck.parts:
        name = next(
            n for n in made if n.startswith("solid/") and f"d{part.cut_fingerprint[:6]}" in n
        )
        path = tmp_path / "part.step"
        path.write_bytes(made[name])
        shape = cq.importers.importStep(str(path)).val()
        body = part.member.body
        depth = shop.plate(body.stock).thickness if isinstance(body, Plate) else body.length
        assert shape.isValid(), part.id
        if isinstance(body, Plate) or all(e.kind != "cope" for e in body.ends):
            bent = isinstance(body, Plate) and body.bends
            assert shape.Volume() == pytest.approx(
                part.area_net * depth, rel=0.02 if bent else 1e-6
            ), part.id
        else:
            assert 0.9 * part.area_net * depth < shape.Volume() < part.area_net * depth, (
                "a cope takes a little off the long points"
            )


def test_a_coped_tube_meets_what_it_is_coped_to(truck: Truck) -> None:
    """By the kernel: the arm's tube touches the bushing's shell and stands nowhere in it, both
    hands.
    """
    from soapstone.parts.export import step

    shop = stock.default_shop()
    for side in "LR":
        tube = next(p for p in truck.singles if p.id == f"AR1.{side}")
        shell = next(m for m in truck.assembly.members if m.code == f"AR2.{side}")
        one, two = step.placed(tube.member, tube, shop), step.placed(shell, None, shop)
        assert one.distance(two) == pytest.approx(0.0, abs=0.05)
        assert one.intersect(two).Volume() < 1.0
        assert one.Volume() > 0.9 * tube.area_net * tube.member.body.length


def test_the_assembly_holds_every_member_at_its_place(
    truck: Truck, made: dict[str, bytes], tmp_path: Path
) -> None:
    import cadquery as cq

    path = tmp_path / "truck.step"
    path.write_bytes(made["solid/DEMO1-assembly-mm.step"])
    solids = cq.importers.importStep(str(path)).solids().vals()
    kept = [m for m in truck.assembly.members if m.fixed_after != "tool"]
    assert len(solids) == len(kept) < len(truck.assembly.members), "tools do not stay on the truck"
    assert all(s.isValid() for s in solids)
    joint = next(m for m in truck.assembly.members if m.code == "AR3.L")
    middle = joint.place.out((joint.body.solid.length / 2, 0.0, 0.0))
    center = min((s.Center() for s in solids), key=lambda c: math.dist(c.toTuple(), middle))
    assert center.toTuple() == pytest.approx(middle, abs=1e-6)
    assert [v / 25.4 for v in middle] == pytest.approx([-40.0, 13.61787, 17.5], abs=1e-4)


def test_left_and_right_have_the_same_holes_in_the_assembly(
    truck: Truck, made: dict[str, bytes], tmp_path: Path
) -> None:
    """By the kernel: a part that fits both sides is stored once, and still both of its places are
    drilled. Round faces of each left plate as many as of its right twin, and at least one for each
    bolt through it.
    """
    import cadquery as cq
    from soapstone.parts.export import step

    path = tmp_path / "truck.step"
    path.write_bytes(made["solid/DEMO1-assembly-mm.step"])
    solids = cq.importers.importStep(str(path)).solids().vals()
    middles = [s.Center().toTuple() for s in solids]
    shop, singles = stock.default_shop(), {p.id: p for p in truck.singles}

    def round_faces(part_id: str) -> int:
        p = singles[part_id]
        want = step.placed(p.member, p, shop).Center().toTuple()
        near = min(range(len(solids)), key=lambda i: math.dist(middles[i], want))
        assert math.dist(middles[near], want) < 1e-3, f"{part_id} stands without its holes"
        return sum(f.geomType() == "CYLINDER" for f in solids[near].Faces())

    seen = 0
    for p in truck.singles:
        twin = p.id.removesuffix(".L") + ".R"
        if (
            is_plate(p)
            and p.id.endswith(".L")
            and twin in singles
            and p.member.fixed_after != "tool"
            and len(p.holes) == len(singles[twin].holes)
        ):
            seen += bool(p.holes)
            assert round_faces(p.id) == round_faces(twin) >= len(p.holes), p.id
    assert seen > 10
