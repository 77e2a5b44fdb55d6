"""Builds through the command: whole, equal, or with the reason why not."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.cli.building.every_file import write
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.setout import solve
from soapstone.parts import stock
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck, design

SHOP = stock.default_shop()
DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


@pytest.fixture(scope="session")
def job() -> Job:
    return load(DEMO)


@pytest.fixture(scope="session")
def truck(job: Job) -> Truck:
    return design(solve(job), job.words, job.pins, job.chassis)


def made_of(job: Job, truck: Truck) -> dict[str, bytes]:
    solved = solve(job)
    designed = Designed(job, solved, truck, SHOP, strength(truck, solved, SHOP))
    return every_file(Build(designed, designed.looked()))


@pytest.fixture(scope="session")
def made(job: Job, truck: Truck) -> dict[str, bytes]:
    return made_of(job, truck)


def test_same_job_same_bytes(job: Job, truck: Truck, made: dict[str, bytes]) -> None:
    again = made_of(job, truck)
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
    write(tmp_path, job.chassis, {"a.txt": b"good"})
    monkeypatch.setattr(
        os, "fsync", lambda _: (_ for _ in ()).throw(OSError(28, "No space left on device"))
    )
    with pytest.raises(OSError):
        write(tmp_path, job.chassis, {"a.txt": b"half"})
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
            check=False,
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
