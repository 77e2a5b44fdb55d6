"""What a killed run left under a name of ours is removed by a later run, and nothing else is."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import psutil
import pytest
from soapstone.cli import disk
from soapstone.cli.archive.store import Archive

LONG_AGO = 2 * disk.LEFT


@pytest.fixture
def gone() -> int:
    """The number of a process that was and is no more."""
    with subprocess.Popen([sys.executable, "-c", ""]) as process:
        process.wait()
    return process.pid


def left(path: Path, pid: int, ago: float = LONG_AGO) -> Path:
    """A file as a run killed ``ago`` seconds before leaves it."""
    part = path.with_name(f".{path.name}.{pid}.part")
    part.parent.mkdir(parents=True, exist_ok=True)
    part.write_bytes(b"half")
    when = part.stat().st_mtime - ago
    os.utime(part, (when, when))
    return part


def test_the_next_build_and_the_next_writer_clear_them(tmp_path: Path, gone: int) -> None:
    out = left(tmp_path / "out" / "T1" / "current.html", gone)
    disk.swap_in(tmp_path / "out" / "T1", "draft", {"a.txt": b"a"})
    record = left(tmp_path / "archive" / "T1" / "A.json", gone)
    content = left(tmp_path / "archive" / "contents" / ("0" * 64 + ".z"), gone)
    with Archive(tmp_path / "archive").lock("T1", 0.5):
        pass
    sheet = left(tmp_path / "T1.csv", gone)
    disk.put_file(tmp_path / "T1.csv", b"sheet")
    assert not any(path.exists() for path in (out, record, content, sheet))
    assert (tmp_path / "T1.csv").read_bytes() == b"sheet"


def test_what_somebody_may_still_be_writing_stays(tmp_path: Path, gone: int) -> None:
    """A process that lives; one of another computer on a shared folder, whose number says nothing
    here; and what has no name of ours.
    """
    living = left(tmp_path / "a.html", os.getpid(), 0.0)
    fresh = left(tmp_path / "b.html", gone, disk.LEFT / 2)
    others = [tmp_path / name for name in ("c.part", ".c.x.part", "film.12.part", ".d.1.part2")]
    folder = tmp_path / f".e.{gone}.part"
    folder.mkdir()
    for path in others:
        path.write_bytes(b"theirs")
    for path in (*others, folder):
        os.utime(path, (1.0, 1.0))
    disk.tidy(tmp_path)
    assert all(path.exists() for path in (living, fresh, folder, *others))


def test_beside_a_file_of_the_shop_only_its_own_is_cleared(tmp_path: Path, gone: int) -> None:
    other = left(tmp_path / "film.mkv", gone)
    own = left(tmp_path / "T1.taped.toml", gone)
    disk.put_file(tmp_path / "T1.taped.toml", b"[taped]")
    assert other.exists() and not own.exists()


def test_a_number_that_was_given_again_is_no_writer(tmp_path: Path) -> None:
    began = psutil.Process().create_time()
    part = left(tmp_path / "a.html", os.getpid(), 0.0)
    when = began - 2 * disk.CLOCK
    os.utime(part, (when, when))
    disk.tidy(tmp_path)
    assert not part.exists()


def test_a_file_that_a_program_holds_stays_and_stops_nothing(
    tmp_path: Path, gone: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows answers while a virus scanner reads it."""

    def held(path: Path) -> None:
        raise PermissionError(13, "held", str(path))

    part = left(tmp_path / "a.html", gone)
    monkeypatch.setattr(disk.DISK, "drop", held)
    disk.tidy(tmp_path)
    assert part.exists()
