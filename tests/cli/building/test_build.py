"""Builds through the command: whole, equal, or with the reason why not."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path

import pytest
from built_jobs import made
from shared import shared
from soapstone.cli import disk
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.cli.building.every_file import write

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


def soapstone(*args: str, env: Mapping[str, str] = shared()) -> subprocess.CompletedProcess[str]:
    code = "from soapstone.cli.main import run; run()"
    return subprocess.run(
        [sys.executable, "-c", code, *args],
        capture_output=True,
        text=True,
        env={**os.environ, **env},
        check=False,
    )


def tree(out: Path) -> dict[str, bytes]:
    """Every file of the demo's draft."""
    draft = out / "DEMO1" / "draft"
    return {
        p.relative_to(draft).as_posix(): p.read_bytes() for p in draft.rglob("*") if p.is_file()
    }


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """A cache of these tests' own."""
    return {"SOAPSTONE_CACHE": str(tmp_path_factory.mktemp("kept"))}


@pytest.fixture(scope="module")
def cold(kept: dict[str, str], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo built by a process that finds nothing made."""
    out = tmp_path_factory.mktemp("cold")
    got = soapstone("demo", "--out", str(out), env={**kept, "PYTHONHASHSEED": "1"})
    assert got.returncode == 0, got.stderr
    return out


def test_the_whole_is_listed(cold: Path) -> None:
    listed = json.loads((cold / "DEMO1/draft/manifest.json").read_text())["files"]
    assert len(listed) == len(tree(cold)) - 1


def test_same_job_same_bytes_in_another_process(cold: Path) -> None:
    """As other tests made it, in this process or another, whose strings hash otherwise and which
    did other things before; its solids come from the kernel's own process.
    """
    other = made("demo").files
    first = tree(cold)
    assert {name for name, data in other.items() if first.get(name) != data} == set()
    assert len(first) == len(other)


@pytest.mark.long
def test_same_job_same_bytes_in_the_same_process(cold: Path) -> None:
    """Everything but the solids, twice in one process that takes nothing made before."""
    first = tree(cold)
    found = designed(DEMO, None)
    every_file(Build(found, found.looked(), with_solids=False))
    again = every_file(Build(found, found.looked(), with_solids=False))
    other = {n for n, d in again.items() if first[n] != d}
    assert other <= {"manifest.json", "index.html"}, "these name the solids"
    assert len(again) == len([n for n in first if not n.startswith("solid/")])


def test_warm_the_same_bytes_as_cold_and_no_kernel(
    cold: Path, kept: dict[str, str], tmp_path: Path
) -> None:
    """From the cache into another folder, and where nothing changed at all: no second process, no
    size searched for, nothing looked at again.
    """
    code = (
        "import subprocess, sys\n"
        "from soapstone.cli.building import verdict\n"
        "from soapstone.parts.strength import growth\n"
        "def none(*a, **k): raise AssertionError('made again')\n"
        "subprocess.Popen = verdict.look = growth.held = none\n"
        "from soapstone.cli.main import run; run()"
    )
    for out in (tmp_path, tmp_path, cold):
        before = (cold / "DEMO1/draft/manifest.json").stat().st_mtime_ns
        got = subprocess.run(
            [sys.executable, "-c", code, "demo", "--out", str(out)],
            capture_output=True,
            text=True,
            env={**os.environ, **kept, "PYTHONHASHSEED": "2"},
            check=False,
        )
        assert got.returncode == 0, got.stderr
        assert tree(out) == tree(cold)
        assert (cold / "DEMO1/draft/manifest.json").stat().st_mtime_ns == before


@pytest.mark.long
def test_spoilt_entries_are_made_again_to_the_byte(
    cold: Path, kept: dict[str, str], tmp_path: Path
) -> None:
    """One byte of every third entry of the cache changed: found, and the same files."""
    every = sorted(p for p in Path(kept["SOAPSTONE_CACHE"]).rglob("*") if p.is_file())
    assert len(every) > 200
    for path in every[::3]:
        data = path.read_bytes()
        path.write_bytes(data[:-5] + bytes((data[-5] ^ 4,)) + data[-4:])
    got = soapstone("demo", "--out", str(tmp_path), env=kept)
    assert got.returncode == 0, got.stderr
    assert tree(tmp_path) == tree(cold)


@pytest.mark.long
def test_a_missing_reading_still_builds_the_rest(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace("z_low = { both = 0 }", "z_low = { left = 0 }"))
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4
    assert "CS right" in got.stderr and "waits for frame.notch.z_low.right" in got.stderr
    names = [p.name for p in (tmp_path / "o").rglob("*.dxf")]
    assert any("-CS1-" in n for n in names) and any("-XS1-" in n for n in names)


@pytest.mark.long
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
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Full as it is written, or as it is pushed."""
    write(tmp_path, "DEMO1", {"a.txt": b"good"})
    full = OSError(28, "No space left on device")
    for step in ("lay", "flush"):
        with monkeypatch.context() as patch, pytest.raises(OSError):
            patch.setattr(disk.Disk, step, lambda *_: (_ for _ in ()).throw(full))
            write(tmp_path, "DEMO1", {"a.txt": b"half"})
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


@pytest.mark.long
def test_a_draft_gives_its_files_again_only_where_nothing_changed(tmp_path: Path) -> None:
    """Unchanged: the same bytes; one reading changed: the same bytes as built from nothing; a file
    of the draft spoilt: made anew, not passed on.
    """
    out = tmp_path / "o"
    job = tmp_path / "d.toml"
    job.write_text(DEMO.read_text())

    def built(*args: str) -> None:
        env = {**shared(), "PYTHONHASHSEED": "random"}
        got = soapstone("build", str(job), "--out", str(out), *args, env=env)
        assert got.returncode == 0, got.stderr

    built()
    first = tree(out)
    notes = (out / "DEMO1" / ".made.json").read_bytes()
    victim = next(out.rglob("cut/now/*/*CS1*.dxf"))
    victim.write_bytes(victim.read_bytes() + b" ")
    built()
    assert tree(out) == first and (out / "DEMO1" / ".made.json").read_bytes() == notes
    job.write_text(DEMO.read_text().replace("rate = 225", "rate = 224"))
    built()
    second = tree(out)
    assert second != first
    (out / "DEMO1" / ".made.json").write_text("rubbish")
    built("--no-cache")
    assert tree(out) == second
