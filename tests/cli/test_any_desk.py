"""What differs from desk to desk, forced here: consoles without our signs, files another program
holds, names a system keeps for itself, line ends, capitals.
"""

from __future__ import annotations

import codecs
import errno
import os
import re
import socket
import subprocess
import sys
from pathlib import Path, PureWindowsPath

import psutil
import pytest
from archives import add
from built_jobs import made
from soapstone.cli import disk, main
from soapstone.cli.archive.store import Archive
from soapstone.cli.building.design import loaded
from soapstone.cli.building.live import Live
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
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


def test_the_mark_some_editors_put_before_a_text_changes_nothing(tmp_path: Path) -> None:
    """A file saved as UTF-8 by an editor of Windows may begin with a byte order mark: job, taped
    file, shop file, set-down; what is written into it, too.
    """
    mark = codecs.BOM_UTF8
    job = tmp_path / "T1.toml"
    job.write_bytes(mark + DEMO.read_bytes().replace(b"\n", b"\r\n"))
    taped = '[taped]\r\n"spring.rate" = 224\r\n'
    job.with_name("T1.taped.toml").write_bytes(mark + taped.encode())
    shop = tmp_path / "shop.toml"
    shop.write_bytes(mark + b'[shop]\r\nname = "the shop"\r\n')
    found, own = loaded(job)
    assert own.name == "the shop" and found.words == load(DEMO).words
    assert found.readings[Key("spring.rate", "C")].typed == ("224",)
    down = tmp_path / "T1.down.toml"
    down.write_bytes(mark + b'[[down]]\r\n"height.left" = "24 5/8"\r\n')
    assert "24 5/8 in, needed" in run("correct", str(job), code=Exit.CHECK_FAILS)
    live = Live(job, None)
    (line,) = live.lines({"bump": 0.5})
    live.write({"bump": 0.5}, [line.now])
    assert load(job).readings[Key("travel.bump", "C")].value == pytest.approx(4.5 * 25.4)
    assert "no such field" not in run("readings", str(job), "--add", "CM")


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
    monkeypatch.setattr(psutil, "pid_exists", gone)
    with Archive(tmp_path).lock("T", 0.5):
        assert asked == [4242] and str(os.getpid()) in held.read_text()
    assert not held.exists()


def test_a_lock_whose_number_another_process_has_now_is_taken_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After a restart a number is given again: whoever has it began long after the lock."""
    held = tmp_path / "T" / ".lock"
    disk.put_file(held, f"{socket.gethostname()} {os.getpid()}".encode())
    with pytest.raises(SoapstoneError), Archive(tmp_path).lock("T", 0.1):
        pass
    began = psutil.Process().create_time()
    os.utime(held, (began - 2 * disk.CLOCK, began - 2 * disk.CLOCK))
    with Archive(tmp_path).lock("T", 0.1):
        assert held.exists()


OLD, NEW = {"a.txt": b"old", "only": b"old"}, {"a.txt": b"new"}


@pytest.mark.parametrize("name", ["draft", "A"])
def test_a_viewer_that_holds_a_file_of_an_old_folder_stops_no_build(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a file is open its folder cannot be removed: what is left of it never comes back as a
    draft, nor into one.
    """

    class Viewed(disk.Disk):
        def remove(self, path: Path) -> None:
            """The file "only" stays of every folder it is in."""
            for file in path.iterdir() if path.is_dir() else ():
                if file.name != "only":
                    file.unlink()
            if path.is_dir() and not any(path.iterdir()):
                path.rmdir()

    monkeypatch.setattr(disk, "DISK", Viewed())
    (tmp_path / ".new").mkdir()
    (tmp_path / ".new/only").write_bytes(b"of a stopped build")
    for files in (OLD, OLD, NEW, OLD, NEW):
        folder = disk.swap_in(tmp_path, name, files)
        assert {p.name: p.read_bytes() for p in folder.iterdir()} == files
    monkeypatch.setattr(disk, "DISK", disk.Disk())
    disk.swap_in(tmp_path, name, NEW)
    assert [p.name for p in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize("name", ["draft", "A"])
def test_what_a_stop_left_aside_is_put_back_under_its_own_name(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk.swap_in(tmp_path, name, OLD)
    (tmp_path / name).rename(tmp_path / (".prev" if name == "draft" else f".prev.{name}"))
    disk.mend(tmp_path)
    assert (tmp_path / "draft").exists() is (name == "draft")
    disk.mend(tmp_path, name)
    assert (tmp_path / name / "only").read_bytes() == b"old"


def test_a_folder_too_deep_for_our_names_is_said_before_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Windows says it of a path of more than 259 characters: there is no such file."""
    deep = tmp_path / ("d" * 120) / ("e" * 40)
    disk.ready(deep)
    monkeypatch.setattr(Path, "touch", lambda path: path.open("xb") and _short(path))
    with pytest.raises(OSError, match="long") as refused:
        disk.ready(deep)
    said = str(main.of_the_disk(refused.value))
    assert "choose a shorter --out" in said and not any(tmp_path.iterdir())


def _short(path: Path) -> None:
    path.unlink()
    raise FileNotFoundError(errno.ENOENT, "the system cannot find the path", str(path))


def test_a_file_is_named_as_it_is_known_on_any_system() -> None:
    for name in (r"C:\shop\out\DEMO1\.new\cut\a.dxf", r"C:\shop\out\DEMO1\.new-2\.a.7.part"):
        said = str(main.of_the_disk(OSError(errno.ENOSPC, "no space", name)))
        assert said.startswith(r"C:\shop\out\DEMO1:"), said
    said = str(main.of_the_disk(OSError(errno.EIO, "broken", r"C:\a\.b.json.77.part")))
    assert said.startswith(r"C:\a\b.json: broken")


FORBIDDEN = set('<>:"|?*') | set(map(chr, range(32)))
"""In no name of a file (Microsoft, Naming Files, Paths, and Namespaces)."""


def test_every_file_of_a_build_may_be_called_so_on_any_system() -> None:
    """No name of a device, no dot or blank at the end, none that differs by capitals alone, none so
    long that a chassis of 24 letters and keys of 40 of a plate and its sheet pass what is left.
    """
    paths = [PureWindowsPath(path) for path in made("uneven").files]
    assert len(paths) > 300 and len({str(p).casefold() for p in paths}) == len(paths)
    for path in paths:
        for part in path.parts:
            assert not PureWindowsPath(part).is_reserved() and not part.endswith((".", " ")), path
            assert not FORBIDDEN & set(part), path
    longest = max(len(str(path)) for path in paths)
    assert len("DEMO1/draft/") + longest + 2 * (24 - len("DEMO1")) + 40 + 40 < disk.OWN_NAMES


def test_every_text_is_read_and_written_in_one_encoding() -> None:
    """UTF-8 said wherever a text is opened: on Windows it is another one where nothing is said."""
    root = Path(disk.__file__).parents[1]
    bare = re.compile(
        r"\.(read_text|write_text)\((?!.*(encoding|utf-8))|(?<![.\w])(?<!def )open\((?!.*encoding=)"
    )
    found = [
        f"{path.relative_to(root)}:{number}"
        for room in ("cli", "parts", "layout")
        for path in sorted((root / room).rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if bare.search(line)
    ]
    assert found == []


@pytest.mark.parametrize(
    ("mode", "seen"), [(0o755, True), (0o750, False), (0o700, False), (0o711, False), (0o777, True)]
)
def test_whether_others_can_read_the_archive(
    mode: int, seen: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tmp_path.chmod(mode)
    assert disk.seen_by_others(tmp_path) is seen
    monkeypatch.setattr(disk.os, "name", "nt")
    assert not disk.seen_by_others(tmp_path), "there a mode says nothing of others"
