"""What a shop reads when it mistypes, or the disk takes nothing: the file, the
line, what to do; never a traceback, a name of our own, or the whole work first.
"""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from soapstone.cli import disk
from soapstone.cli.building import draft
from typed import DEMO, run


@pytest.mark.parametrize("data", [b"\xff\xfe\x00", b"\x89PNG\r\n\x1a\n", b"PK\x03\x04\x80"])
def test_a_file_that_is_no_text_says_so_in_words(data: bytes, tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_bytes(data)
    said = run("solve", str(job), code=3)
    assert "it is no plain text" in said and "codec" not in said and "byte" not in said


def test_an_archive_with_nothing_in_it_is_not_said_to_be_whole(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "none"):
        said = run("verify", "--archive", str(folder), code=2)
        assert "nothing in it to verify" in said and "as it was stored" not in said


def test_a_slip_in_the_file_names_its_line(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    text = DEMO.read_text().replace("rate = 225", 'rate = 225"')
    job.write_text(text)
    line = next(n for n, own in enumerate(text.splitlines(), 1) if 'rate = 225"' in own)
    said = run("solve", str(job), code=3)
    assert f"line {line}" in said and "text in quotes" in said


def test_an_inch_sign_inside_the_quotes_is_named(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_text(DEMO.read_text().replace('wheelbase = "12\'"', 'wheelbase = "8\' 4 1/2""'))
    said = run("solve", str(job), code=3)
    assert "wheelbase" in said and "leave the inch sign out" in said


@pytest.mark.parametrize(
    ("typed", "says"),
    [("2250", "20 lbf/in .. 2000 lbf/in"), ('"2 25"', "does not read as one number")],
)
def test_a_mistyped_reading_builds_nothing(typed: str, says: str, tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_text(DEMO.read_text().replace("rate = 225", f"rate = {typed}"))
    said = run("build", str(job), "--out", str(tmp_path / "o"), code=3)
    assert "spring.rate" in said and says in said and not (tmp_path / "o").exists()


def test_a_folder_that_takes_nothing_is_said_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Root may write anywhere, so the answer of the system is given here."""

    def never(*_: object) -> None:
        raise AssertionError("designed first")

    monkeypatch.setattr(draft, "loaded", never)
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    said = run("demo", "--out", str(tmp_path / "o"), code=7)
    assert f"{tmp_path}: permission denied" in said and "--out" in said
    monkeypatch.undo()
    (tmp_path / "file").write_text("")
    assert "not a directory" in run("demo", "--out", str(tmp_path / "file/o"), code=7)


def test_a_full_disk_is_said_of_the_file_as_it_is_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(self: disk.Disk, path: Path, data: bytes) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))

    monkeypatch.setattr(disk.Disk, "write", full)
    said = run("new", "T1", "--out", str(tmp_path / "T1.toml"), code=7)
    assert f"{tmp_path / 'T1.toml'}: no space left on device" in said and "typed" not in said
