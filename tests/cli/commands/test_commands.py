"""The commands as a shop types them: new, the measuring sheet out and in, shop settings, release
and its refusals, Ctrl-C.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.sheet import blank_job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.stock import default_shop
from soapstone.parts.stock.settings import settings_text
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.words.names import part as part_name
from typed import CODE, DEMO, soapstone


def test_new_writes_every_field_and_loads_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text(blank_job("T1"))
    got = load(path)
    assert got.chassis == "T1" and len(got.owed) > 100
    text = path.read_text()
    assert all(f.sheet_code in text for f in FIELDS.values())
    # every commented line, taken in with the demo's words, is known to the loader
    assert soapstone("new", "T1", "--out", str(path)).returncode == 7 and path.read_text() == text
    bad = soapstone("new", "../T1", cwd=tmp_path)
    assert bad.returncode == 2 and "no spaces, dots or slashes" in bad.stderr


def test_measuring_sheet_goes_out_and_comes_back(tmp_path: Path) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    assert soapstone("readings", str(job), "--sheet", str(tmp_path / "s.csv")).returncode == 0
    rows = list(csv.DictReader(io.StringIO((tmp_path / "s.csv").read_text(encoding="utf-8-sig"))))
    assert {r["code"] for r in rows} == {
        f.sheet_code for f in FIELDS.values() if f.table not in ("job", "units")
    } - {"B-41", "B-48", "B-40"} | {
        r["code"] for r in rows if r["code"] in ("B-40", "B-41", "B-48")
    }
    for r in rows:
        if r["reading"] == "frame.station.1.outer.left":
            r |= {"value": "17 9/16", "plus_minus": "1/32", "by": "me"}
        if r["reading"] == "frame.station.1.outside":
            r["value"] = "35 1/16"
    out = tmp_path / "filled.csv"
    with out.open("w", newline="") as f:
        w = csv.DictWriter(f, list(rows[0]))
        w.writeheader()
        w.writerows(rows)
    assert soapstone("readings", str(job), "--take", str(out)).returncode == 0
    assert job.read_bytes() == DEMO.read_bytes(), "the job file is never rewritten"
    assert len((tmp_path / "d.taped.toml").read_text().splitlines()) == 4, (
        "only what is new is taken"
    )
    got = load(job)
    key = Key("frame.station.1.outer", "L")
    assert got.readings[key].value == pytest.approx(17.5625 * 25.4) and got.readings[key].by == "me"
    assert got.readings[key].half_width == pytest.approx(25.4 / 32)
    assert got.readings[Key("frame.station.1.outer", "R")].typed == ("17 1/2",)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("frame.station.1.outer.left", "frame.station.1.outre.left", "frame.station.*.outer"),
        ("17 1/2", "seventeen", "seventeen"),
        ("17 1/2", "-3", "5 in .. 40 in"),
    ],
)
def test_a_bad_line_of_the_sheet_takes_nothing_in(
    old: str, new: str, says: str, tmp_path: Path
) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    soapstone("readings", str(job), "--sheet", str(tmp_path / "s.csv"))
    lines = (tmp_path / "s.csv").read_text(encoding="utf-8-sig").splitlines()
    at = next(i for i, line in enumerate(lines) if "frame.station.1.outer.left" in line)
    lines[at] = (
        lines[at].replace(old, new)
        if old != "frame.station.1.outer.left"
        else lines[at].replace(old, new).replace("17 1/2", "17")
    )
    (tmp_path / "bad.csv").write_text("\n".join(lines))
    got = soapstone("readings", str(job), "--take", str(tmp_path / "bad.csv"))
    assert got.returncode == 3 and says in got.stderr and "Traceback" not in got.stderr
    assert not (tmp_path / "d.taped.toml").exists()


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_whole_sheet_fills_a_blank_job(unit: str, tmp_path: Path) -> None:
    """Every row of the demo's sheet, rows of lists with it, into a job where nothing stood: the
    same readings come out.
    """
    whole = tmp_path / "d.toml"
    whole.write_text(DEMO.read_text())
    blank = tmp_path / "b.toml"
    blank.write_text(blank_job("DEMO1").replace('length = "in"', f'length = "{unit}"', 1))
    out = tmp_path / "s.csv"
    assert soapstone("readings", str(whole), "--sheet", str(out)).returncode == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8-sig"))))
    for r in rows:
        if r["unit"] == "in" and unit == "mm" and not re.search("[a-z'\"]", r["value"]):
            r["value"] += " in" if r["value"] else ""
    with out.open("w", newline="") as f:
        w = csv.DictWriter(f, list(rows[0]))
        w.writeheader()
        w.writerows(rows)
    got = soapstone("readings", str(blank), "--take", str(out))
    assert got.returncode == 0 and "0 still needed" in got.stdout, got.stderr
    one, two = load(whole), load(blank)
    assert {k: r.value for k, r in two.readings.items()} == pytest.approx(
        {k: r.value for k, r in one.readings.items()}
    )
    got = soapstone("readings", str(blank), "--sheet", str(out))
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8-sig"))))
    assert {r["unit"] for r in rows if r["reading"].startswith("axle.tire")} == {unit}


def test_measuring_sheet_on_paper_has_every_code(tmp_path: Path) -> None:
    from pypdf import PdfReader

    got = soapstone("readings", str(DEMO), "--sheet", str(tmp_path / "s.pdf"))
    assert got.returncode == 0
    pages = PdfReader(tmp_path / "s.pdf").pages
    words = " ".join(p.extract_text() for p in pages)
    assert {float(pages[0].mediabox.width), float(pages[0].mediabox.height)} == {792.0, 612.0}
    assert "never on a jack alone" in words
    assert all(
        f.sheet_code in words
        for f in FIELDS.values()
        if f.table not in ("job", "units") and not f.name.startswith("travel.obstacle")
    )


def test_solve_prints_what_gave_way_and_ends_five_on_a_conflict(tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    job.write_text(
        DEMO.read_text().replace(
            'output = { x = "-47 1/2", y = "10 3/8"', 'output = { x = "-47 1/2", y = "2"'
        )
    )
    got = soapstone("solve", str(job))
    assert got.returncode == 5 and "conflict: " in got.stdout
    fixed = tmp_path / "f.toml"
    fixed.write_text(DEMO.read_text() + '\n[fixed]\n"arm.tube" = { left = "35" }\n')
    got = soapstone("solve", str(fixed))
    assert "gave way: arms.joint_behind" in got.stdout, got.stdout[-800:] + got.stderr


OWN = """
[shop]
name = "our shop"
archive = "archive"
[units]
length = "in"
[cut]
unit = "in"
[layers]
SCRIBE = "SCRIBE"
[weld]
filler = "ER70S-6 .035"
[drills]
sizes = ["1/8", "3/16", "1/4"]
[[plate]]
key = "1/4 A36"
thickness = "1/4"
measured = 0.256
steel = "A36"
price = 0.95
[[tube]]
key = "2.500 x 0.375 DOM 1020"
od = "2 1/2"
wall = "3/8"
steel = "A513 1020 DOM"
price = 2.4
"""


def test_settings_as_printed_change_nothing(tmp_path: Path) -> None:
    """The shop that every part is made from is the same to the last digit, so the same files come
    out.
    """
    path = tmp_path / "shop.toml"
    got = soapstone("rack", "settings")
    assert got.returncode == 0 and got.stdout == settings_text()
    path.write_text(got.stdout)
    assert load_shop(path) == default_shop() == load_shop(None)


def test_a_list_replaces_its_own_kind_only(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    path.write_text(OWN)
    s = load_shop(path)
    assert [p.key for p in s.plates] == ["1/4 A36"] and s.plates[0].measured == pytest.approx(
        0.256 * 25.4
    )
    assert s.prices == {"1/4 A36": 0.95, "2.500 x 0.375 DOM 1020": 2.4}
    assert s.archive == str(tmp_path / "archive")
    path.write_text(OWN[: OWN.index("[[plate]]")])
    s = load_shop(path)
    assert len(s.drills) == 3 and s.plates == default_shop().plates
    assert s.tubes == default_shop().tubes


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("[weld]", "[welds]", "nearest known one is weld"),
        ("wall = ", "wal = ", "nearest known one is wall"),
        ('thickness = "1/4"', 'thickness = "-1/4"', "0.03 .. 2 in"),
        ("measured = 0.256", "measured = 0.356", "within 15 %"),
        ('steel = "A36"', 'steel = "mild"', "A572-50"),
        ('unit = "in"', 'unit = "inch"', "in | mm"),
        ('SCRIBE = "SCRIBE"', 'SCRIBE = "OUTLINE"', "a different name"),
        ('wall = "3/8"', 'wall = "1 1/4"', "less than half"),
        ('sizes = ["1/8"', 'sizes = ["an eighth"', "drills.sizes.1"),
        ("price = 0.95", 'price = "a lot"', "a number"),
    ],
)
def test_shop_faults_are_sentences(old: str, new: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    assert old in OWN
    path.write_text(OWN.replace(old, new, 1))
    with pytest.raises(SoapstoneError) as e:
        load_shop(path)
    assert any(says in str(f) for f in e.value.faults), [str(f) for f in e.value.faults]


def test_metric_cut_files_and_renamed_layers_through_gdal(tmp_path: Path) -> None:
    """The same plate in mm with other layer names: GDAL finds it 25.4 times as large on the layer
    asked for.
    """
    import pyogrio
    from shapely import from_wkb
    from shapely.geometry import Polygon

    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1"})
    from soapstone.parts.export import cut
    from soapstone.parts.truck.truck import is_plate
    from trucks import truck

    shop = default_shop()._replace(
        unit="mm", layers={**default_shop().layers, "OUTLINE": "P1", "SCRIBE": "P2"}
    )
    part = next(p for p in truck()[0].parts if is_plate(p))
    text = cut.cut_text(part, shop)
    assert cut.read_back(text, part, "x", shop) == []
    (tmp_path / "p.dxf").write_text(text)
    meta, _, shapes, fields = pyogrio.raw.read(tmp_path / "p.dxf")
    layers = fields[list(meta["fields"]).index("Layer")]
    outer = [from_wkb(w) for w, n in zip(shapes, layers, strict=True) if n == "P1"]
    assert len(outer) == 1 and "OUTLINE" not in set(layers)
    ring = outer[0].exterior if outer[0].geom_type == "Polygon" else outer[0]
    from soapstone.parts.geometry import outline

    assert Polygon(ring.coords).area == pytest.approx(
        outline.area(part.member.body.outline), rel=1e-4
    )  # type: ignore[union-attr]
    assert "-mm.dxf" in cut.cut_name(part, "T", "A", shop)


def test_a_job_with_nothing_in_it_yet_still_builds_its_papers(tmp_path: Path) -> None:
    """What is owed, the measuring sheet's stages, an empty manifest; exit code 4; no bug."""
    job = tmp_path / "N1.toml"
    assert soapstone("new", "N1", "--out", str(job)).returncode == 0
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4 and "waits for" in got.stderr and "bug" not in got.stderr
    draft = tmp_path / "o/N1/draft"
    assert (
        (draft / "sheet/owed.pdf").is_file()
        and (draft / "index.html").is_file()
        and json.loads((draft / "manifest.json").read_text())["parts"] == []
    )


@pytest.mark.parametrize("line", ['section = "boxed"', "max_pinion_joint = 15"])
def test_an_owed_safety_reading_ends_four_everywhere(line: str, tmp_path: Path) -> None:
    """Named with the parts it holds up, or with what else hangs on it; never "0 still owed"."""
    job = tmp_path / "d.toml"
    text = DEMO.read_text()
    assert line in text
    job.write_text(text.replace(line, "", 1))
    name = line.partition(" ")[0]
    for command in ("readings", "solve", "check"):
        got = soapstone(command, str(job))
        assert got.returncode == 4, (command, got.stdout[-300:], got.stderr)
        assert name in got.stdout + got.stderr
    said = soapstone("readings", str(job)).stdout
    assert "1 still needed" in said and "needed SAFETY" in said
    if name == "section":
        assert "for rails and coils on the truck, coil-seat plate" in said
        got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
        assert got.returncode == 4
        cut = [p.name for p in (tmp_path / "o/DEMO1/draft/cut").glob("*.dxf")]
        assert cut and not [n for n in cut if n.split("-")[1][:2] in ("CS", "XS", "CM", "FP")]


def test_no_stock_thick_enough_ends_six_and_writes_the_rest(tmp_path: Path) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    (tmp_path / "shop.toml").write_text(
        '[units]\nlength = "in"\n[[plate]]\nkey = "thin"\nthickness = 0.06\nsteel = "A36"\n'
    )
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert (
        got.returncode == 6
        and "coil-seat plate CS left, CS right are not for cutting" in got.stderr
        and "Traceback" not in got.stderr
    )
    made = json.loads((tmp_path / "o/DEMO1/draft/manifest.json").read_text())
    assert "AR1.L" in {p["part"] for p in made["parts"]} and not [
        f for f in made["files"] if f["kind"] == "cut"
    ]


def one_page(words: str) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    c = Canvas(out, pagesize=(792, 612), invariant=1)
    c.drawString(9, 9, words)
    c.save()
    return out.getvalue()


def words_of(path: Path) -> list[str]:
    """Text of every page of a PDF."""
    from pypdf import PdfReader

    return [p.extract_text() for p in PdfReader(path).pages]


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solids and sheets as bare names, the same truck designed and cycled once: the whole tree is
    built by the tests of the files.
    """
    from soapstone.cli.building import files as kinds
    from soapstone.cli.building import travel_report as cycling
    from soapstone.parts import documents, drawing
    from soapstone.parts.export import cut, step
    from soapstone.parts.placed import fit as fitting
    from soapstone.parts.strength import growth as way_out

    monkeypatch.setattr(step, "part_text", lambda p, shop: p.id.encode())
    monkeypatch.setattr(step, "assembly_text", lambda members, parts, shop, name: name.encode())
    monkeypatch.setattr(drawing, "pdf", lambda sheets, *_: one_page(sheets[0].title))
    monkeypatch.setattr(documents, "files", lambda *a, **k: ({}, {}))
    real, rode, made, ridden = way_out.held, cycling.cycle_of, {}, {}

    def held(solved, words, pins, chassis, shop):  # type: ignore[no-untyped-def]
        key = repr((sorted(solved.values.items()), sorted(words.items()), pins, chassis, shop))
        if key not in made:
            made[key] = real(solved, words, pins, chassis, shop)
        return made[key]

    def cycle_of(job, solved, truck, shop, say=lambda _: None, found=()):  # type: ignore[no-untyped-def]
        key = repr(sorted(solved.values.items()))
        if key not in ridden:
            ridden[key] = rode(job, solved, truck, shop, say, found)
        return ridden[key]

    monkeypatch.setattr(way_out, "held", held)
    monkeypatch.setattr(cycling, "cycle_of", cycle_of)
    monkeypatch.setattr(kinds, "stage_files", lambda *a: {})
    monkeypatch.setattr(drawing, "dxf", lambda sheet, *_: sheet.title.encode())
    monkeypatch.setattr(
        drawing, "sheet", lambda p, welds, head, *_: drawing.Sheet(f"{p.id} {head['level']}")
    )
    monkeypatch.setattr(kinds, "page_file", lambda *a: b"page")
    monkeypatch.setattr(fitting, "fit", lambda *a, **k: ())
    monkeypatch.setattr(cut, "read_back", lambda *a: [])


def run(*args: str, code: int = 0) -> str:
    """A command in this process: what it prints, or its faults."""
    from contextlib import redirect_stderr, redirect_stdout

    from soapstone.cli import main

    said, told = io.StringIO(), io.StringIO()
    with (
        pytest.raises(SystemExit) as e,
        redirect_stdout(said),
        redirect_stderr(told),
        pytest.MonkeyPatch.context() as m,
    ):
        m.setattr(sys, "argv", ["soapstone", *args])
        main.run()
    assert e.value.code == code, said.getvalue() + told.getvalue()
    return said.getvalue() + told.getvalue()


def test_release_whole_way(tmp_path: Path, quick: None) -> None:
    job, out, store = tmp_path / "d.toml", str(tmp_path / "o"), str(tmp_path / "archive")
    job.write_bytes(DEMO.read_bytes())
    early = run("release", str(job), "--out", out, code=6)
    assert all(w in early for w in ("--note", "--by", "run build first")), early
    run("build", str(job), "--out", out)
    assert "revision A" in run(
        "release", str(job), "--out", out, "--note", "first set", "--by", "the owner"
    )
    assert "nothing changed" in run(
        "release", str(job), "--out", out, "--note", "again", "--by", "the owner", code=6
    )
    draft = json.loads((tmp_path / "o/DEMO1/draft/manifest.json").read_text())
    released = json.loads((tmp_path / "o/DEMO1/A/manifest.json").read_text())
    assert {p["part"]: p["fingerprint"] for p in draft["parts"]} == {
        p["part"]: p["fingerprint"] for p in released["parts"]
    }
    assert {p["revision"] for p in released["parts"]} == {"A"} and all(
        "-A-" in f["path"] for f in released["files"] if f["kind"] == "cut"
    )
    job.write_text(job.read_text().replace('free_length = "19 3/4"', 'free_length = "20"'))
    assert "build again" in run(
        "release", str(job), "--out", out, "--note", "moved", "--by", "the owner", code=6
    )
    run("build", str(job), "--out", out)
    run(
        "release",
        str(job),
        "--out",
        out,
        "--note",
        "longer springs on hand",
        "--by",
        "the owner",
        "--date",
        "2026-02-02",
    )
    listed = run("revisions", "--archive", store)
    assert [line.split()[1] for line in listed.splitlines()] == [
        "A",
        "B",
    ] and "longer springs" in listed
    record = json.loads((tmp_path / "archive/DEMO1/B.json").read_text())
    letters = {p["part"]: p["revision"] for p in record["parts"]}
    assert "CM4.L" in record["moved"] and letters["CM4.L"] == letters["CS1.L"] == "A", (
        "the seat moved up: another place, the same cut file"
    )
    assert record["changed"] and {letters[p] for p in record["changed"]} == {"B"}
    first = {
        f["path"]: f["sha256"]
        for f in json.loads((tmp_path / "archive/DEMO1/A.json").read_text())["files"]
    }
    now = {f["path"]: f["sha256"] for f in record["files"] if f["path"].startswith("cut/")}
    kept = {p: h for p, h in now.items() if "-A-" in p}
    assert kept and all(first[p] == h for p, h in kept.items()), "a kept letter is a kept cut file"
    assert "as it was stored" in run("verify", "--archive", store, "--out", out)
    copy = next((tmp_path / "o/DEMO1/A/cut").iterdir())
    copy.write_bytes(copy.read_bytes() + b" ")
    assert copy.name in run("verify", "--archive", store, "--out", out, code=8)
    victim = next(p for p in (tmp_path / "archive/contents").rglob("*") if p.is_file())
    victim.write_bytes(victim.read_bytes() + b" ")
    assert "copy of the archive" in run("verify", "--archive", store, code=8)


def test_nests_of_two_trucks_are_written_beside_the_build(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice every part, on sheets of their own, the places kept; the build's own nest stays to the
    byte. Steel carries the letters once the job is released as it is.
    """
    from collections import Counter

    import ezdxf

    monkeypatch.chdir(tmp_path)
    (tmp_path / "d.toml").write_bytes(DEMO.read_bytes())
    run("build", "d.toml")
    before = {p: p.read_bytes() for p in (tmp_path / "out/DEMO1/draft").rglob("*") if p.is_file()}
    said = run("nest", "d.toml", "--trucks", "2", "--seconds", "0")
    folder = tmp_path / "out/DEMO1/nest-x2"
    assert "nest-x2" in said and {p: p.read_bytes() for p in before} == before
    one, two = (
        sum((Counter(_counts(s["parts"])) for s in json.loads(p.read_text())["sheets"]), Counter())
        for p in (tmp_path / "out/DEMO1/draft/schedule/nest.json", folder / "nest.json")
    )
    assert one and two == Counter({k: 2 * v for k, v in one.items()})
    sheets = json.loads((folder / "nest.json").read_text())["sheets"]
    assert {p.stem for p in folder.glob("*.dxf")} == {s["sheet"] for s in sheets}
    assert all("-x2-" in s["sheet"] and s["remnant_length"] > 0 for s in sheets)
    assert all(ezdxf.readfile(p).modelspace() for p in folder.glob("*.dxf"))
    draft = {p.name: p.read_bytes() for p in folder.glob("*.dxf")}
    run("release", "d.toml", "--note", "first set", "--by", "the owner")
    run("nest", "d.toml", "--trucks", "2", "--seconds", "0")
    lettered = {p.name: p.read_bytes() for p in folder.glob("*.dxf")}
    assert lettered.keys() == draft.keys()
    plate = next(f"{s['sheet']}.dxf" for s in sheets if "CS1 " in s["parts"])
    assert lettered[plate] != draft[plate], "its marks say REV A where the draft's are"


def _counts(words: str) -> dict[str, int]:
    """ "AB1.L x2 AB2.L x4" as numbers."""
    row = words.split()
    return {a: int(b[1:]) for a, b in zip(row[::2], row[1::2], strict=True)}


def test_nothing_is_signed_for_weld_before_the_truck_stands_right(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A set-down outside its limits is welded only with a reason in writing; one inside is, and the
    sheets lose their watermark.
    """
    monkeypatch.chdir(tmp_path)
    (tmp_path / "d.toml").write_bytes(DEMO.read_bytes())
    down = tmp_path / "d.down.toml"
    down.write_text('[[down]]\nheight = { left = "24 5/8", right = "25" }\n')
    run("correct", "d.toml", code=6)
    run("build", "d.toml")
    assert "does not stand right" in run(
        "release", "d.toml", "--note", "tacked", "--by", "the owner", "--level", "weld", code=2
    )
    run("release", "d.toml", "--note", "tacked", "--by", "the owner")
    early = ("enter", "DEMO1", "A", "--by", "the welder", "--date", "2026-01-30", "--weld", "W2")
    assert "NOT RELEASED FOR WELD" in run(*early), "it stays on record, and is said"
    said = ("sign", "DEMO1", "A", "--level", "weld", "--by", "the owner", "--date", "2026-02-02")
    asked = run(*said, code=2)
    assert "beside the coil, left 24 5/8 in" in asked and "not read: rear hub center" in asked
    stays = ("--note", "owner wants it level with his other truck")
    asked = run(*said, *stays, code=2)
    assert "--accept" in asked and "to confirm" in asked and "gaps under" in asked
    why = ("--accept", "each gap looked at through the travel, values taken as they are")
    assert "signed for weld" in run(*said, *stays, *why)
    event = json.loads((tmp_path / "archive/DEMO1/A.2.json").read_text())
    assert "not read: rear hub center" in event["over"], "what was signed over stands with it"
    assert {r["why"] for r in event["accepted"]} == {why[1]} and event["accepted"][0]["by"]
    final = ("sign", "DEMO1", "A", "--level", "final", "--by", "the owner", "--date", "2026-02-03")
    enter = ("enter", "DEMO1", "A", "--by", "the welder", "--date", "2026-02-02", "--weld")
    assert "NOT RELEASED FOR WELD" not in run(*enter, "W2")
    left = run(*final, code=2)
    assert "not logged" in left and "W1, W3-W" in left
    assert "signed for final" in run(*final, "--note", "owner inspected the rest himself")
    event = json.loads((tmp_path / "archive/DEMO1/A.4.json").read_text())
    assert event["not_logged"][0] == "W1" and event["accepted"] == [], "accepted once"
    down.write_text('[[down]]\nheight = { left = "25 1/8", right = "25 1/4" }\n')
    assert "NOT TO BE WELDED YET" in run("correct", "d.toml", code=4)
    down.unlink()
    run("correct", "d.toml", "--blank")
    text = re.sub(r'= "" (.*; needed )([^,]+),', r'= "\2" \1\2,', down.read_text())
    down.write_text(text.replace('"25 1/4 in"', '"25 1/8 in"', 1))
    assert "Everything asked was read and is within its limit" in run("correct", "d.toml")
    run("build", "d.toml")
    last = ("release", "d.toml", "--note", "stands right", "--by", "the owner", "--level", "weld")
    assert "--accept" in run(*last, code=2)
    run(*last, *why)
    kept = json.loads((tmp_path / "archive/DEMO1/B.json").read_text())
    assert {r["verdict"] for r in kept["accepted"]} >= {"tight", "confirm", "assumed"}
    assert kept["headline"].startswith("No part fails")
    assert [x.split()[2] for x in run("revisions").splitlines() if x.startswith("DEMO1")] == [
        "final",
        "weld",
    ]
    day = ("--by", "the owner", "--date", "2026-02-09")
    run("enter", "DEMO1", "B", "--weld", "W1-W9", *day)
    run("sign", "DEMO1", "B", "--level", "final", *day, "--note", "the rest inspected by the owner")
    log = tmp_path / "out/DEMO1/B/log"
    handed = " ".join(words_of(log / "hand-over-record.pdf")[0].split())
    assert "9 of " in handed and "final" in handed and "within its limits" in handed
    assert any("25 1/8" in w for w in words_of(log / "as-built.pdf"))
    stored = {p.name: p.read_bytes() for p in log.iterdir()}
    run("reissue", "DEMO1", "B")
    assert {p.name: p.read_bytes() for p in log.iterdir()} == stored


def test_the_archive_as_a_shop_uses_it(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two revisions, compared and drawn over each other, given again to the byte and built anew the
    same; a heat number found from either end; a second truck in a short survey.
    """
    import csv

    monkeypatch.chdir(tmp_path)
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    run("build", "d.toml")
    run("release", "d.toml", "--note", "first set", "--by", "the owner")
    assert "weld" in run(
        "release", "d.toml", "--note", "first set", "--by", "the owner", "--level", "weld", code=2
    )
    job.write_text(job.read_text().replace("rate = 225", "rate = 224"))
    run("build", "d.toml")
    run("release", "d.toml", "--note", "softer coil", "--by", "the owner", "--level", "mock-up")
    said = run("compare", "DEMO1:A", "DEMO1:B", "--picture", "d.pdf")
    assert (
        "spring.rate" in said
        and "225 -> 224" in said
        and "CM4 left" in said
        and "CS1 left" not in said.split("parts of DEMO1:A")[1]
        and (tmp_path / "d.pdf").read_bytes()[:4] == b"%PDF"
    )
    assert "nothing to draw" in run("compare", "DEMO1:A", "DEMO1:A", "--picture", "e.pdf", code=2)
    assert "the same to the byte" in run("reissue", "DEMO1", "A", "--rebuild")
    assert "no such revision" in run("reissue", "DEMO1", "Q", code=2) and "nothing of it" in run(
        "reissue", "T9", code=2
    )
    sheets = json.loads((tmp_path / "archive/DEMO1/A.json").read_text())["sheets"]
    sheet, parts = next((k, v) for k, v in sheets.items() if "CS1.L" in v)
    run(
        "enter",
        "DEMO1",
        "A",
        "--heat",
        "H4711",
        "--sheet",
        sheet,
        "--by",
        "the welder",
        "--date",
        "2026-02-01",
    )
    run(
        "enter",
        "DEMO1",
        "A",
        "--concession",
        "CS1.L",
        "--note",
        "1/16 short, used",
        "--by",
        "the owner",
        "--date",
        "2026-02-01",
    )
    assert (
        all(part_name(p) in run("trace", "h4711") for p in parts)
        and "H4711" in run("trace", "CS1")
        and "1/16 short" in run("search", "concession")
    )
    was = len(list((tmp_path / "archive/DEMO1").glob("A.*.json")))
    bad = run(
        *("enter", "DEMO1", "A", "--weld", "W1-W3", "--weld", "W999"),
        *("--by", "x", "--date", "soon"),
        code=2,
    )
    assert all(w in bad for w in ("W999", "--by", "--date"))
    assert len(list((tmp_path / "archive/DEMO1").glob("A.*.json"))) == was, "nothing in part"
    run(
        *("enter", "DEMO1", "A", "--weld", "W13", "--weld", "W14-W16", "--heat", "H4712"),
        *("--sheet", sheet, "--part", "CS1", "--by", "the welder", "--date", "2026-02-03"),
    )
    since = run("revisions", "DEMO1")
    assert "W13, W14, W15, W16" in since and "H4711" in since and "H4712" in since
    assert all("CS1" in run("trace", h) for h in ("H4711", "H4712"))
    assert "tack" in run(
        "sign", "DEMO1", "B", "--level", "weld", "--by", "the owner", "--date", "2026-02-02", code=2
    )
    run("sign", "DEMO1", "B", "--level", "tack", "--by", "the owner", "--date", "2026-02-02")
    assert [x.split()[2] for x in run("revisions").splitlines()] == ["tack", "tack"] and run(
        "revisions", "--part", "CS1.L"
    ).count("DEMO1") == 1
    cs1 = sorted((tmp_path / "archive/DEMO1").glob("B.*.json"))
    assert len(cs1) == 1, "signed once"
    drawn = "out/DEMO1/B/drawing/DEMO1-UA1-A.pdf"
    for level, word in (("", "for tack"), ("mock-up", "for mock-up")):
        said = run("reissue", "DEMO1", "B", *(("--level", level) if level else ()))
        assert word in said and "it is the good revision" in said
        assert word in words_of(tmp_path / drawn)[0], "the level it was signed for, to the byte"
    assert "mock-up | tack" in run("reissue", "DEMO1", "B", "--level", "weld", code=2)
    assert "as it was stored" in run("verify")
    assert "SUPERSEDED BY B" in run("reissue", "DEMO1", "A")
    old = [p for p in (tmp_path / "out/DEMO1/A").rglob("*.pdf") if "stage" not in p.name]
    assert len(old) > 50 and all("SUPERSEDED BY B" in w for p in old for w in words_of(p))
    assert "as it was stored" in run("verify"), "a stamped copy is no changed one"
    welds = " ".join(words_of(tmp_path / "out/DEMO1/A/log/weld-log.pdf"))
    record = json.loads((tmp_path / "archive/DEMO1/A.json").read_text())
    every = {w for v in record["welds"].values() for w in v}
    assert every == {f"W{n}" for n in range(1, len(every) + 1)}, "every weld, both sides"
    assert f"4 of {len(every)}" in welds and "W13" in welds and "W1-W12" in welds
    steel = " ".join(words_of(tmp_path / "out/DEMO1/A/log/heat-log.pdf"))
    assert "H4711" in steel and "H4712" in steel and "not entered" in steel
    used = " ".join(words_of(tmp_path / "out/DEMO1/A/log/concessions.pdf"))
    assert "1/16 short, used" in used and "CS1 left" in used
    said = (tmp_path / "out/DEMO1/current.html").read_text()
    assert "revision B is good" in said and "superseded by B" in said
    listed = json.loads(run("revisions", "--json"))
    assert [(r["letter"], r["current"]) for r in listed] == [("A", False), ("B", True)]
    run("export", "DEMO1", "x.zip")
    assert "2 revisions were new" in run(
        "import", "x.zip", "--archive", "other"
    ) and "as it was stored" in run("verify", "--archive", "other")
    assert "title and date" in run("new", "T2", "--like", "DEMO1:A")
    own = tomllib.loads((tmp_path / "T2.toml").read_text())["job"]
    assert own == {"chassis": "T2"}, "nothing the other truck says of itself"
    assert "a name that is free" in run("new", "T2", "--like", "DEMO1:A", code=7)
    assert "15 of 15 readings are still needed" in run("survey", "T2.toml", code=4)
    rows = list(csv.reader((tmp_path / "T2.survey.csv").open(encoding="utf-8-sig")))
    value, master = rows[0].index("value"), rows[0].index("master")
    for r in rows[1:]:
        r[value] = r[master] if r[1] != "travel.obstacle.1.centre.z" else "30 13/16"
    csv.writer((tmp_path / "T2.survey.csv").open("w", newline="")).writerows(rows)
    same = run("survey", "T2.toml")
    assert (
        "the same: 74" in same
        and "new shape: 0" in same
        and not (tmp_path / "T2.taped.toml").exists()
    )
    wide = next(r for r in rows if r[1] == "axle.wheel_track")
    wide[value] = "70"
    csv.writer((tmp_path / "T2.survey.csv").open("w", newline="")).writerows(rows)
    other = run("survey", "T2.toml", code=6)
    assert "axle.wheel_track: 70 (1.500 in off)" in other and "taken as this truck's own" in other
    assert "axle.wheel_track differs" in other
    wide[value] = "seventy"
    csv.writer((tmp_path / "T2.survey.csv").open("w", newline="")).writerows(rows)
    assert "axle.wheel_track" in run("survey", "T2.toml", code=3)
    wide[value] = wide[master]
    csv.writer((tmp_path / "T2.survey.csv").open("w", newline="")).writerows(rows)
    back = run("survey", "T2.toml")
    assert "the master's reading stays" in back and "new shape: 0" in back
    assert "axle.wheel_track" not in (tmp_path / "T2.taped.toml").read_text(), "nor in the file"
    run("build", "T2.toml")
    said = ("release", "T2.toml", "--note", "second truck", "--by", "the owner")
    assert "--date" in run(*said, code=2), "the other truck's day is not this one's"
    run(*said, "--date", "2026-03-01")
    names = [p.name for p in (tmp_path / "out/T2/A/cut").iterdir()]
    assert any(n.startswith("DEMO1-CS1-A-") for n in names), (
        "a part of the first truck keeps its number"
    )


def test_released_steel_carries_the_letter() -> None:
    """The same strokes but for the mark: a released plate says REV A where the draft has its
    fingerprint.
    """
    from soapstone.parts.geometry import strokes
    from soapstone.parts.truck.truck import relettered
    from trucks import truck

    t, _ = truck()
    r = relettered(t, default_shop(), "DEMO1", {p.id: "A" for p in t.parts})
    draft, done = (next(p for p in x.parts if p.id == "CS1.L") for x in (t, r))
    assert draft.fingerprint == done.fingerprint and draft.marks != done.marks
    text = next(m for m in done.marks if m.role == "text")
    want = len(strokes.letter("REV A", (0.0, 0.0), 9.0))
    other = len(strokes.letter(f"D{draft.cut_fingerprint[:6].upper()}", (0.0, 0.0), 9.0))
    assert (
        len(next(m for m in draft.marks if m.role == "text").strokes) - len(text.strokes)
        == other - want
    )


@pytest.mark.parametrize("wait", [0.8, 3.0, 5.0])
def test_ctrl_c_in_a_build_changes_nothing(wait: float, tmp_path: Path) -> None:
    out = tmp_path / "o"
    (out / "DEMO1/draft").mkdir(parents=True)
    (out / "DEMO1/draft/manifest.json").write_text('{"files": []}')
    p = subprocess.Popen(
        [sys.executable, "-c", CODE, "demo", "--out", str(out)], stderr=subprocess.PIPE, text=True
    )
    time.sleep(wait)
    os.kill(p.pid, signal.SIGINT)
    _, err = p.communicate(timeout=60)
    assert p.returncode == 130 and "nothing was changed" in err and "Traceback" not in err
    assert [f.name for f in out.rglob("*") if f.is_file()] == ["manifest.json"]


@pytest.mark.parametrize("table", ["plates", "tubes", "bolts", "steels", "drills", "settings"])
def test_rack_prints_tables_with_sources(table: str) -> None:
    got = soapstone("rack", table)
    assert got.returncode == 0 and got.stdout.strip()
    if table in ("plates", "tubes"):
        assert all("[" in line for line in got.stdout.splitlines())


def test_shop_settings_reach_schedules_and_checks() -> None:
    """Prices a pound in the bill of material, the weld process in the weld schedule, plates too
    large for the table as warnings.
    """
    from soapstone.parts.documents import schedules
    from soapstone.parts.truck.truck import design
    from trucks import job as demo_job
    from trucks import truck

    _, solved = truck()
    j = demo_job()
    shop = default_shop()._replace(
        prices={"1/4 A36": 2.0}, weld="GTAW, ER70S-2", bed=(250.0, 300.0)
    )
    t = design(solved, j.words, j.pins, j.chassis, shop)
    tables = {x.name: x.rows for x in schedules.tables(t, shop)}
    row = next(r for r in tables["material"] if r["stock"] == "1/4 A36")
    assert row["cost"] == pytest.approx(2.0 * row["mass"], abs=0.02) and all(
        r["cost"] == "" for r in tables["material"] if r["stock"] == "3/16 A36"
    )
    assert {r["process"] for r in tables["welds"]} == {"GTAW, ER70S-2"}
    large = {c.part for c in t.checks if "cutting table" in c.what}
    assert (
        "CS1.L" in large
        and "LT1.L" not in large
        and {c.verdict for c in t.checks if c.part in large and "table" in c.what}
        == {Verdict.CONFIRM}
    )
