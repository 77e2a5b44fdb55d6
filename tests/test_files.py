"""What the table and the fitter open, read by readers unrelated to the writers: GDAL for DXF, the kernel for STEP, pypdf for PDF."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest
from soapstone.cli import build as b
from soapstone.layout.job.load import Job, load
from soapstone.layout.setout import solve
from soapstone.parts import outline, stock
from soapstone.parts.export import cut
from soapstone.parts.truck import Truck, design

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.fixture(scope="module")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="module")
def truck(job: Job) -> Truck:
    return design(solve(job), job.words, job.pins, job.chassis)


@pytest.fixture(scope="module")
def made(job: Job, truck: Truck) -> dict[str, bytes]:
    return b.files(job, solve(job), truck, lambda _: None)


def test_every_cut_file_through_gdal(truck: Truck, made: dict[str, bytes], tmp_path: Path) -> None:
    """GDAL's DXF driver (pyogrio): one outer loop, openings inside it, no overlap, area of the model."""
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    for part in truck.parts:
        name = next(n for n in made if n.startswith("cut/") and f"-{part.hand}-" in n)
        path = tmp_path / "part.dxf"
        path.write_bytes(made[name])
        meta, _, shapes, fields = pyogrio.raw.read(path)
        layer = list(meta["fields"]).index("Layer")
        loops: dict[str, list[Polygon]] = {"OUTLINE": [], "OPENING": []}
        for wkb, where in zip(shapes, fields[layer], strict=True):
            if where in loops:
                line = from_wkb(wkb)
                assert line.is_closed if hasattr(line, "is_closed") and line.geom_type != "Polygon" else True
                loops[where].append(Polygon(line.coords if line.geom_type != "Polygon" else line.exterior.coords))
        assert len(loops["OUTLINE"]) == 1 and len(loops["OPENING"]) == 2
        outer = loops["OUTLINE"][0]
        assert outer.is_valid and all(o.within(outer) for o in loops["OPENING"])
        assert loops["OPENING"][0].disjoint(loops["OPENING"][1])
        assert (outer.area - sum(o.area for o in loops["OPENING"])) * 25.4**2 == pytest.approx(part.area_cut, rel=1e-6)
        assert outer.bounds[:2] == pytest.approx((0.0, 0.0), abs=1e-9)


def test_a_changed_cut_file_is_caught(truck: Truck) -> None:
    part = truck.parts[0]
    text = cut.cut_text(part, ())
    assert cut.read_back(text, part, "x") == []
    other = part._replace(area_cut=part.area_cut * 1.001)
    assert "area" in str(cut.read_back(text, other, "x.dxf")[0])
    assert cut.read_back(text.replace("OPENING", "SCRIBE"), part, "x.dxf")


def test_every_solid_re_imported(truck: Truck, made: dict[str, bytes], tmp_path: Path) -> None:
    """Flat plate: volume = net area x thickness; top face outboard on its own side of the truck."""
    import cadquery as cq

    for part in truck.parts:
        name = next(n for n in made if n.startswith("solid/") and f"-{part.hand}-" in n)
        path = tmp_path / "part.step"
        path.write_bytes(made[name])
        shape = cq.importers.importStep(str(path)).val()
        t = stock.plate(part.member.body.stock).t  # type: ignore[union-attr]
        assert shape.isValid()
        assert shape.Volume() == pytest.approx(part.area_net * t, rel=1e-6)
        box = shape.BoundingBox()
        rail = 17.5 * 25.4
        assert (box.ymin, box.ymax) == pytest.approx((rail, rail + t) if part.hand == "L" else (-rail - t, -rail), abs=1e-3)


def test_right_is_the_mirror_of_left_on_an_even_truck(truck: Truck) -> None:
    left, right = truck.parts
    assert (left.hand, right.hand) == ("L", "R")
    assert left.area_net == pytest.approx(right.area_net)
    assert outline.signed_area(right.member.body.outline) > 0  # type: ignore[union-attr]
    for part in (left, right):
        assert part.member.place.y == pytest.approx((0.0, 0.0, 1.0)), "up on the plate is up on the truck"
    reach = [[min(p.member.place.out((e.start[0], e.start[1], 0.0))[0] for e in p.member.body.outline) for p in (left, right)]]  # type: ignore[union-attr]
    assert reach[0][0] == pytest.approx(reach[0][1])


def test_drawings_through_pypdf(made: dict[str, bytes]) -> None:
    import io

    from pypdf import PdfReader

    for name in (n for n in made if n.endswith(".pdf")):
        page = PdfReader(io.BytesIO(made[name])).pages[0]
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (792.0, 612.0)
        text = page.extract_text()
        for words in ("coil-seat plate", "3/16 A36", "not an approval", "DRAFT", "(31.500)"):
            assert words in text


def test_same_job_same_bytes(job: Job, truck: Truck, made: dict[str, bytes]) -> None:
    again = b.files(job, solve(job), truck, lambda _: None)
    assert {n: d for n, d in made.items() if again[n] != d} == {}


def soapstone(*args: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    code = "from soapstone.cli.main import run; run()"
    return subprocess.run([sys.executable, "-c", code, *args], capture_output=True, text=True, env={**os.environ, **(env or {})}, check=False)


def test_build_twice_whole_and_equal(tmp_path: Path) -> None:
    runs = []
    for seed in ("1", "2"):
        got = soapstone("demo", "--out", str(tmp_path / seed), env={"PYTHONHASHSEED": seed})
        assert got.returncode == 0, got.stderr
        runs.append({p.relative_to(tmp_path / seed): p.read_bytes() for p in (tmp_path / seed).rglob("*") if p.is_file()})
    assert runs[0] == runs[1]
    listed = json.loads((tmp_path / "1/DEMO1/draft/manifest.json").read_text())["files"]
    assert len(listed) == len(runs[0]) - 1


def test_a_missing_reading_still_builds_the_rest(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace("z_low = { both = 0 }", "z_low = { left = 0 }"))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4
    assert "CS1.R waits for frame.notch.z_low.right" in got.stderr
    assert len(list((tmp_path / "o").rglob("*.dxf"))) == 1


def test_heat_treated_rail_is_refused(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace('heat_treated = "no"', 'heat_treated = "unknown"'))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 6 and "heat-treated" in got.stderr
    assert not list((tmp_path / "o").rglob("*.dxf"))


def test_a_pinned_thin_plate_fails_with_the_reason(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text() + '\n[pin.coil_seat]\nplate = "11 ga A36"\n')
    got = soapstone("check", str(job))
    assert got.returncode == 6 and "vertical bending" in got.stderr


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


def test_a_disk_fault_keeps_the_last_good_draft(job: Job, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    b.write(tmp_path, job, {"a.txt": b"good"})
    monkeypatch.setattr(os, "fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    with pytest.raises(OSError):
        b.write(tmp_path, job, {"a.txt": b"half"})
    assert (tmp_path / "DEMO1/draft/a.txt").read_bytes() == b"good"
    assert sorted(p.name for p in (tmp_path / "DEMO1").iterdir()) == ["draft"]


def test_help_loads_nothing_heavy() -> None:
    code = "import sys; from soapstone.cli.main import app; print([m for m in ('numpy','ezdxf','cadquery','pint','reportlab') if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "[]"


def test_hand_and_part_are_lettered_on_the_steel(truck: Truck) -> None:
    for part in truck.parts:
        text = next(s for s in truck.scribes[part.id] if s.role == "text")
        body = part.member.body
        assert ("LEFT" if part.hand == "L" else "RIGHT") in text.text and "CS1" in text.text
        points = [p for line in text.strokes for p in line]
        assert all(outline.contains(body.outline, p) for p in points)  # type: ignore[union-attr]
        assert not any(outline.contains(o, p) for o in body.openings for p in points)  # type: ignore[union-attr]


def test_every_letter_stays_in_its_cell() -> None:
    from soapstone.parts import strokes

    for c in strokes.GRID:
        for line in strokes.letter(c, (0.0, 0.0), 6.0):
            assert len(line) >= 2
            assert all(0 <= x <= 4 and 0 <= y <= 6 for x, y in line)
