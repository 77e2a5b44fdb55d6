"""What differs from desk to desk, forced here: consoles without our signs, files another program
holds, names a system keeps for itself, line ends, capitals.
"""

from __future__ import annotations

import errno
import os
import socket
import subprocess
import sys
from pathlib import Path, PureWindowsPath

import pytest
from archives import add
from soapstone.cli import disk
from soapstone.cli.archive import lock
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.job_file import load
from typed import CODE, DEMO, run

SHARING_VIOLATION = 32


class HeldError(PermissionError):
    """What Windows says of a file another program has open."""

    winerror = SHARING_VIOLATION


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437", "utf-8"])
def test_any_console_shows_every_line(encoding: str) -> None:
    """What a console lacks is spelled; as many lines come as on one that has every sign."""
    command = [sys.executable, "-c", CODE, "solve", str(DEMO)]
    said = [
        subprocess.run(
            command, capture_output=True, check=True, env={**os.environ, "PYTHONIOENCODING": name}
        ).stdout.decode(name)
        for name in (encoding, "utf-8")
    ]
    assert "±" in said[1] and len(said[0].splitlines()) == len(said[1].splitlines())
    assert ("±" if encoding != "ascii" else "+/-") in said[0]


def test_a_file_another_program_holds_is_tried_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, tries = os.replace, []

    def replace(old: Path, new: Path) -> None:
        tries.append(old)
        if len(tries) < len(disk.WAITS):
            raise HeldError(errno.EACCES, "another program uses it")
        real(old, new)

    monkeypatch.setattr(disk, "WAITS", (0.0,) * len(disk.WAITS))
    monkeypatch.setattr(os, "replace", replace)
    disk.put_file(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_bytes() == b"new" and len(tries) == len(disk.WAITS)


def test_a_file_never_let_go_is_said_and_nothing_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def replace(old: Path, new: Path) -> None:
        raise HeldError(errno.EACCES, "the file is used by another program", str(new))

    monkeypatch.setattr(disk, "WAITS", ())
    disk.put_file(tmp_path / "T1.asbuilt.json", b"old")
    (tmp_path / "T1.toml").write_bytes(DEMO.read_bytes())
    (tmp_path / "T1.down.toml").write_text('[[down]]\n"height.left" = "24 5/8"\n')
    monkeypatch.setattr(os, "replace", replace)
    said = run("correct", str(tmp_path / "T1.toml"), code=Exit.DISK)
    assert "close it" in said
    assert (tmp_path / "T1.asbuilt.json").read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir() if p.name.endswith(".part")] == []


def test_a_disk_that_refuses_for_another_reason_is_asked_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries = []

    def replace(old: Path, new: Path) -> None:
        tries.append(old)
        raise PermissionError(errno.EACCES, "not yours")

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(PermissionError):
        disk.put_file(tmp_path / "a", b"new")
    assert len(tries) == 1


@pytest.mark.parametrize("name", ["con", "AUX", "Nul", "com1", "LPT9", "prn"])
def test_no_chassis_takes_a_name_windows_keeps(name: str, tmp_path: Path) -> None:
    """Names of devices (Microsoft, Naming Files, Paths, and Namespaces), which Python knows too."""
    assert PureWindowsPath(name).is_reserved()
    job = tmp_path / "j.toml"
    job.write_text(DEMO.read_text().replace('"DEMO1"', f'"{name}"'))
    with pytest.raises(SoapstoneError) as refused:
        load(job)
    assert [fault.field for fault in refused.value.faults] == ["job.chassis"]


@pytest.mark.parametrize("name", ["CON1x", "com", "console", "T1"])
def test_names_that_only_begin_like_one_are_taken(name: str, tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    job.write_text(DEMO.read_text().replace('"DEMO1"', f'"{name}"'))
    assert load(job).chassis == name


def test_line_ends_of_another_system_change_no_reading(tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    job.write_bytes(DEMO.read_bytes().replace(b"\n", b"\r\n"))
    there, here = load(job), load(DEMO)
    assert there.readings == here.readings and there.words == here.words


def test_two_chassis_that_differ_by_capitals_are_refused(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T1", 0)
    with pytest.raises(SoapstoneError) as refused, store.lock("t1"):
        add(store, "t1", 0)
    assert refused.value.code is Exit.COMMAND_LINE and "T1" in refused.value.faults[0].allowed
    assert [r.letter for r in store.records("T1")] == ["A"]


def test_whether_a_process_lives_is_asked_of_a_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows signal 0 is Ctrl-C: asking that way would stop the one who holds the lock. One
    whose process is gone is taken over.
    """
    held = tmp_path / "T" / ".lock"
    asked = []

    def gone(number: int) -> bool:
        asked.append(number)
        return False

    disk.put_file(held, f"{socket.gethostname()} 4242".encode())
    monkeypatch.setattr(lock.psutil, "pid_exists", gone)
    with Archive(tmp_path).lock("T", 0.5):
        assert asked == [4242] and str(os.getpid()) in held.read_text()
    assert not held.exists()
