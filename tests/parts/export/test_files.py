"""What the table and the fitter open, read by readers unrelated to the writers: GDAL for DXF, the
kernel for STEP, pypdf for PDF.
"""

from __future__ import annotations

import io
import json
import math
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from soapstone.cli.building import build as b
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.setout import solve
from soapstone.parts import stock
from soapstone.parts.export import cut
from soapstone.parts.geometry import outline
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate
from soapstone.parts.strength.rows import strength
from soapstone.parts.truck.truck import Truck, design, is_plate

SHOP = stock.default_shop()
DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.fixture(scope="module")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="module")
def truck(job: Job) -> Truck:
    return design(solve(job), job.words, job.pins, job.chassis)


@pytest.fixture(scope="module")
def made(job: Job, truck: Truck) -> dict[str, bytes]:
    solved = solve(job)
    return b.files(job, solved, truck, SHOP, strength(truck, solved, SHOP), lambda _: None)


def cut_of(made: dict[str, bytes], part: Part) -> str:
    return next(
        n
        for n in made
        if n.startswith(f"cut/DEMO1-{part.id.rpartition('.')[0]}-d{part.cut_fingerprint[:6]}-")
    )


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_every_cut_file_through_gdal(truck: Truck, tmp_path: Path, release: str) -> None:
    """GDAL's DXF driver (pyogrio): one outer loop, openings inside it, none over another, area of
    the model.
    """
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon
    from shapely.ops import unary_union

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    for part in filter(is_plate, truck.parts):
        path = tmp_path / "part.dxf"
        path.write_text(cut.cut_text(part, SHOP._replace(dxf=release)))
        meta, _, shapes, fields = pyogrio.raw.read(path)
        layer = list(meta["fields"]).index("Layer")
        loops: dict[str, list[Polygon]] = {"OUTLINE": [], "OPENING": []}
        for wkb, where in zip(shapes, fields[layer], strict=True):
            if where in loops:
                line = from_wkb(wkb)
                ring = line.exterior if line.geom_type == "Polygon" else line
                assert ring.coords[0] == pytest.approx(ring.coords[-1], abs=1e-9), (
                    f"{part.id} is open"
                )
                loops[where].append(Polygon(ring.coords))
        assert len(loops["OUTLINE"]) == 1
        outer, inner = loops["OUTLINE"][0], loops["OPENING"]
        assert outer.is_valid and all(o.within(outer) for o in inner), part.id
        assert unary_union(inner).area == pytest.approx(sum(o.area for o in inner), rel=1e-9), (
            f"{part.id}: openings overlap"
        )
        assert (outer.area - sum(o.area for o in inner)) * 25.4**2 == pytest.approx(
            part.area_cut, rel=2e-6, abs=0.05
        ), part.id  # the reader sees chords
        assert outer.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize("release", ["R2010", "R12"])
def test_a_changed_cut_file_is_caught(truck: Truck, release: str) -> None:
    for part in filter(is_plate, truck.parts):
        text = cut.cut_text(part, SHOP._replace(dxf=release))
        assert cut.read_back(text, part, "x", SHOP) == []
        assert "area" in str(
            cut.read_back(text, part._replace(area_cut=part.area_cut * 1.001), "x.dxf", SHOP)[0]
        )
        assert cut.read_back(text.replace("OUTLINE", "SCRIBE"), part, "x.dxf", SHOP)


def test_pivot_and_frame_holes_are_never_cut_to_size(truck: Truck) -> None:
    """VSB 6 rules 2-4 in summary (frame holes drilled, not flame cut); a slot that a weld washer
    covers is cut.
    """
    duty = {b.id: b.duty for b in truck.assembly.bolts}
    seen = 0
    for part in filter(is_plate, truck.parts):
        t = stock.default_shop().plate(part.member.body.stock).thickness  # type: ignore[union-attr]
        for h in part.holes:
            seen += 1
            if h.how == "cut":
                assert h.diameter >= max(1.5 * t, 0.375 * 25.4) - 1e-9
                assert h.length > 0 or duty[h.bolt] not in ("pivot", "frame", "steering"), h
    assert seen > 20


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
        depth = shop.plate(body.stock).thickness if isinstance(body, Plate) else body.length  # type: ignore[union-attr]
        assert shape.isValid(), part.id
        if isinstance(body, Plate) or all(e.kind != "cope" for e in body.ends):  # type: ignore[union-attr]
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
        assert one.Volume() > 0.9 * tube.area_net * tube.member.body.length  # type: ignore[union-attr]


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
    middle = joint.place.out((joint.body.solid.length / 2, 0.0, 0.0))  # type: ignore[union-attr]
    centre = min((s.Center() for s in solids), key=lambda c: math.dist(c.toTuple(), middle))
    assert centre.toTuple() == pytest.approx(middle, abs=1e-6)
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


def test_both_hands(truck: Truck, made: dict[str, bytes]) -> None:
    """The coil-seat plate of an even truck fits both sides: one file, two pieces.

    A bracket ear does not.
    """
    by_id = {p.id: p for p in truck.parts}
    assert by_id["CS1.L"].quantity == 2 and by_id["CS1.L"].hand == "E" and "CS1.R" not in by_id
    assert {by_id[f"AB1.{s}"].hand for s in "LR"} == {"L", "R"}
    left, right = by_id["XS1.L"].member, by_id["XS1.R"].member
    for v, w in zip(left.place.origin, right.place.origin, strict=True):
        assert abs(v) == pytest.approx(abs(w))
    assert left.place.y == pytest.approx(right.place.y), "up on the plate is up on the truck"
    assert outline.signed_area(right.body.outline) > 0  # type: ignore[union-attr]


def test_drawings_through_pypdf(truck: Truck, made: dict[str, bytes]) -> None:
    import io

    from pypdf import PdfReader

    names = [n for n in made if n.startswith("drawing/") and n.endswith(".pdf")]
    assert len(names) == len(truck.parts)
    for part in filter(is_plate, truck.parts):
        name = next(n for n in names if f"d{part.cut_fingerprint[:6]}" in n)
        page = PdfReader(io.BytesIO(made[name])).pages[0]
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (792.0, 612.0)
        text = page.extract_text()
        x0, _, x1, _ = outline.bbox(part.member.body.outline)  # type: ignore[union-attr]
        for words in (
            part.member.title,
            part.member.body.stock,
            "not an approval",
            "DRAFT",
            f"({(x1 - x0) / 25.4:.3f})",
        ):  # type: ignore[union-attr]
            said = words in text or (words == "DRAFT" and "NOT FOR CUTTING" in text)
            assert said, (part.id, words)
        for i in range(1, len(part.holes) + 1):
            assert f"H{i}" in text


def test_no_drawing_text_runs_off_its_sheet_or_over_another(truck: Truck) -> None:
    """Boxes of all texts by the font's own widths: inside the frame, none on another."""
    from soapstone.parts.drawing import display, sheet

    shop = stock.default_shop()
    head = {
        "chassis": "DEMO1",
        "revision": "d123456",
        "date": "2026-01-15",
        "level": "DRAFT - not released",
    }
    for part in truck.parts:
        s = sheet(
            part, tuple(w for w in truck.assembly.welds if part.id in (w.on, w.to)), head, shop
        )
        boxes = []
        for t in s.texts:
            w = display.width_of(t.words, t.size, t.bold)
            x = t.at[0] - {"start": 0.0, "middle": w / 2, "end": w}[t.anchor]
            boxes.append(
                (x, t.at[1], x + w, t.at[1] + 0.7 * t.size, t.words)
                if not t.turn
                else (t.at[0] - 0.7 * t.size, t.at[1] - w / 2, t.at[0], t.at[1] + w / 2, t.words)
            )
        for i, a in enumerate(boxes):
            assert a[0] >= 36 and a[2] <= 756 and a[1] >= 36 and a[3] <= 576, (part.id, a)
            for c in boxes[i + 1 :]:
                assert a[2] <= c[0] or c[2] <= a[0] or a[3] <= c[1] or c[3] <= a[1], (part.id, a, c)


def test_set_out_sheet_says_where_every_point_is(job: Job, made: dict[str, bytes]) -> None:
    """pypdf: page size, points, diagonals that are equal on the even truck (a right and a left
    triangle of the same legs).
    """
    import io

    from pypdf import PdfReader
    from soapstone.parts.drawing.setout import diagonals, points

    pages = PdfReader(io.BytesIO(made["sheet/setout.pdf"])).pages
    assert [float(v) for v in pages[0].mediabox[2:]] == [792.0, 612.0]
    words = pages[0].extract_text()
    assert (
        "17 1/8 ahead" in words
        and "33 1/8" in words
        and "33.127" not in words
        and "not an approval" in words
    )
    solved = solve(job)
    for _, one, two in diagonals(points(solved)):
        assert one == pytest.approx(two)


def test_drawings_as_dxf_have_the_same_words(truck: Truck, made: dict[str, bytes]) -> None:
    import io

    import ezdxf

    for name in (n for n in made if n.startswith("drawing/") and n.endswith(".dxf")):
        words = {
            e.dxf.text
            for e in ezdxf.read(io.StringIO(made[name].decode())).modelspace().query("TEXT")
        }
        assert "Chassis" in words and any("not an approval" in w for w in words)


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_the_drawing_file_is_one_to_one_and_never_named_as_the_cut_file(
    truck: Truck, made: dict[str, bytes], unit: str
) -> None:
    """The outline in the drawing's model space has the size of the cut file's, from its own lower
    left, in the unit of its header and name; no two files of a build share a name, and a solid says
    mm.
    """
    import io

    import ezdxf
    from soapstone.parts import drawing

    names = [n.rpartition("/")[2] for n in made if n.endswith((".dxf", ".step"))]
    assert len(names) == len(set(names))
    assert all(n.endswith("-mm.step") for n in names if n.endswith(".step"))
    k = 25.4 if unit == "in" else 1.0
    for part in [p for p in truck.parts if is_plate(p)][::6]:
        sheet = drawing.sheet(part, (), {"chassis": "DEMO1"}, SHOP)
        doc = ezdxf.read(io.StringIO(drawing.dxf(sheet, unit).decode()))
        assert doc.units == (1 if unit == "in" else 4)
        x0, y0, x1, y1 = outline.bbox(part.member.body.outline)  # type: ignore[union-attr]
        found = [
            np.array([v[:2] for v in e.get_points()])
            for e in doc.modelspace().query("LWPOLYLINE")
            if e.dxf.layer == "VISIBLE"
        ]
        assert any(
            (*p.min(axis=0), *p.max(axis=0))
            == pytest.approx((0, 0, (x1 - x0) / k, (y1 - y0) / k), abs=0.05 / k)
            for p in found
        ), part.id


def test_schedules_agree_with_the_parts(truck: Truck) -> None:
    from soapstone.parts.documents import schedules

    tables = {t.name: t for t in schedules.tables(truck)}
    assert len(tables["holes"].rows) == sum(len(p.holes) for p in truck.parts)
    assert {r["item"] for r in tables["material"].rows if r["make"] == "make"} == {
        p.id for p in truck.parts
    }
    assert len(tables["welds"].rows) == len(truck.assembly.welds)
    grip = next(r for r in tables["bolts"].rows if r["id"] == "arm.joint#1.L")["grip"]
    assert grip == pytest.approx(0.25 + 2.0 + 0.25 + 2 * 0.1875), (
        "two ears, the joint over its spacers, two weld washers"
    )
    side = next(r for r in tables["bolts"].rows if r["id"] == "cross.side#1.L")["grip"]
    assert side == pytest.approx(0.25 + 2.75 + 0.1345), "side plate, crush sleeve, fish plate"


def test_same_job_same_bytes(job: Job, truck: Truck, made: dict[str, bytes]) -> None:
    solved = solve(job)
    again = b.files(job, solved, truck, SHOP, strength(truck, solved, SHOP), lambda _: None)
    assert {n: d for n, d in made.items() if again[n] != d} == {}


def soapstone(*args: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    code = "from soapstone.cli.main import run; run()"
    return subprocess.run(
        [sys.executable, "-c", code, *args],
        capture_output=True,
        text=True,
        env={**os.environ, **(env or {})},
        check=False,
    )


def test_build_twice_whole_and_equal(tmp_path: Path) -> None:
    runs = []
    for seed in ("1", "2"):
        got = soapstone("demo", "--out", str(tmp_path / seed), env={"PYTHONHASHSEED": seed})
        assert got.returncode == 0, got.stderr
        runs.append(
            {
                p.relative_to(tmp_path / seed): p.read_bytes()
                for p in (tmp_path / seed / "DEMO1" / "draft").rglob("*")
                if p.is_file()
            }
        )
    assert runs[0] == runs[1]
    listed = json.loads((tmp_path / "1/DEMO1/draft/manifest.json").read_text())["files"]
    assert len(listed) == len(runs[0]) - 1


def test_a_missing_reading_still_builds_the_rest(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace("z_low = { both = 0 }", "z_low = { left = 0 }"))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4
    assert "CS right" in got.stderr and "waits for frame.notch.z_low.right" in got.stderr
    names = [p.name for p in (tmp_path / "o").rglob("*.dxf")]
    assert any("-CS1-" in n for n in names) and any("-XS1-" in n for n in names)


def test_heat_treated_rail_is_refused(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace('heat_treated = "no"', 'heat_treated = "unknown"'))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 6 and "heat-treated" in got.stderr
    assert not list((tmp_path / "o").rglob("*CS1*"))


def test_a_pinned_thin_plate_fails_with_the_reason(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text() + '\n[pin.coil_seat]\nplate = "11 ga A36"\n')
    got = soapstone("check", str(job))
    assert (
        got.returncode == 6 and "carries torsion as before (needs 1.00, there is 0.9" in got.stderr
    )


def test_faults_end_in_sentences_and_write_nothing(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace("rate = 225", "raet = 225"))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 3 and "spring.raet" in got.stderr and "spring.rate" in got.stderr
    assert "Traceback" not in got.stderr and not (tmp_path / "o").exists()
    (tmp_path / "file").write_text("")
    got = soapstone("demo", "--out", str(tmp_path / "file"))
    assert got.returncode == 7 and "Traceback" not in got.stderr
    assert soapstone("nonsense").returncode == 2


def test_a_disk_fault_keeps_the_last_good_draft(
    job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    b.write(tmp_path, job, {"a.txt": b"good"})
    monkeypatch.setattr(
        os, "fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device"))
    )
    with pytest.raises(OSError):
        b.write(tmp_path, job, {"a.txt": b"half"})
    assert (tmp_path / "DEMO1/draft/a.txt").read_bytes() == b"good"
    assert sorted(p.name for p in (tmp_path / "DEMO1").iterdir()) == ["draft"]


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from soapstone.cli.main import app; print([m for m in"
        " ('numpy','ezdxf','cadquery','pint','reportlab') if m in sys.modules])"
    )
    assert (
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        ).stdout.strip()
        == "[]"
    )


def test_lettering_lies_on_steel(truck: Truck) -> None:
    for part in filter(is_plate, truck.parts):
        body = part.member.body
        text = [
            p for m in part.marks if m.role in ("text", "drill") for line in m.strokes for p in line
        ]
        assert text, f"{part.id} carries no letters"
        assert all(outline.contains(body.outline, p) for p in text), part.id  # type: ignore[union-attr]
        assert not any(outline.contains(o, p) for o in body.openings for p in text), part.id  # type: ignore[union-attr]


def test_every_letter_stays_in_its_cell() -> None:
    from soapstone.parts.geometry import strokes

    for c in strokes.GRID:
        for line in strokes.letter(c, (0.0, 0.0), 6.0):
            assert len(line) >= 2
            assert all(0 <= x <= 4 and 0 <= y <= 6 for x, y in line)


def test_a_draft_gives_its_files_again_only_where_nothing_changed(tmp_path: Path) -> None:
    """Unchanged: no kernel loaded and the same bytes; one reading changed: the same bytes as built
    from nothing; a file of the draft spoilt: made anew, not passed on.
    """
    out = tmp_path / "o"
    job = tmp_path / "d.toml"
    job.write_text(DEMO.read_text())
    code = (
        "import sys; from soapstone.cli.main import run\ntry:\n    run()\nfinally:\n   "
        " print('kernel', 'OCP' in sys.modules)"
    )

    def built(*args: str) -> str:
        got = subprocess.run(
            [sys.executable, "-c", code, "build", str(job), "--out", str(out), *args],
            capture_output=True,
            text=True,
            env={**os.environ, "PYTHONHASHSEED": "random"},
        )
        assert got.returncode == 0, got.stderr
        return got.stdout

    def tree() -> dict[str, bytes]:
        draft = out / "DEMO1" / "draft"
        return {
            p.relative_to(draft).as_posix(): p.read_bytes() for p in draft.rglob("*") if p.is_file()
        }

    built()
    first = tree()
    notes = (out / "DEMO1" / ".made.json").read_bytes()
    victim = next(out.rglob("cut/*CS1*.dxf"))
    victim.write_bytes(victim.read_bytes() + b" ")
    built()
    assert tree() == first and (out / "DEMO1" / ".made.json").read_bytes() == notes
    job.write_text(DEMO.read_text().replace("rate = 225", "rate = 224"))
    built()
    second = tree()
    assert second != first
    (out / "DEMO1" / ".made.json").write_text("rubbish")
    built()
    assert tree() == second


def test_every_page_says_what_makes_it_void(made: dict[str, bytes]) -> None:
    """All sheets, drawings, nests, travel, strength and layout: a print that lies about says which
    chassis it is of and when it is no longer good. Stages are made of these.
    """
    from pypdf import PdfReader

    sheets = [p for p in made if p.endswith(".pdf") and not p.startswith("sheet/stage-")]
    assert len(sheets) > 90
    for path in sheets:
        for n, page in enumerate(PdfReader(io.BytesIO(made[path])).pages, 1):
            words = page.extract_text()
            assert "Draft of chassis DEMO1: void as soon as" in words, f"{path}, page {n}"
