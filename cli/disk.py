"""Everything that touches the disk goes through here, one call a step, so that tests can make any
step fail or be the last one.

A folder of files is filled beside its place and swapped in whole; a single file is written beside
its place and renamed.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import shutil
import stat
import time
from collections.abc import Callable, Mapping
from pathlib import Path

WAITS = (0.05, 0.1, 0.2, 0.4, 0.8)
"""Seconds between tries where another program holds a file (judgment): a virus scanner or a synced
folder lets go within a second or two.
"""
LINKLESS = (errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EXDEV, errno.EMLINK, errno.EINVAL)
"""What a share says that knows no links; the last is what Windows says of one."""
HELD = (5, 32, 33)
"""What Windows says of a file that another program has open: access denied, sharing violation,
locked.
"""


def patient(step: Callable[[], None]) -> None:
    """A step of the disk, tried again while another program holds the file. OSError as it is where
    it never lets go.
    """
    for wait in WAITS:
        try:
            return step()
        except OSError as e:
            if getattr(e, "winerror", None) not in HELD:
                raise
            time.sleep(wait)
    return step()


SHORT_PATH, LONGEST_NAME = 255, 240
"""Characters of a whole path, and of one name, that any system takes; Windows takes 259 of a path
where nobody set it up for longer ones (Microsoft, Maximum Path Length Limitation: from memory).
"""
OWN_NAMES = 200
"""Characters of the longest path of ours under an out folder: chassis, folders, a sheet's file with
the key of its plate.
"""


class Disk:
    """The steps. A test replaces one to inject a full disk, a read-only folder, or a kill."""

    def make_folder(self, path: Path) -> None:
        """Create a folder and its parents."""
        path.mkdir(parents=True, exist_ok=True)

    def write(self, path: Path, data: bytes) -> None:
        """Write a new file and push it to the disk."""
        with path.open("wb") as f:
            f.write(data)
            f.flush()
            os.fsync(f.fileno())

    def lay(self, path: Path, data: bytes) -> None:
        """Write a new file that ``flush`` pushes to the disk with others."""
        path.write_bytes(data)

    def flush(self) -> None:
        """Push what was laid to the disk, where the system can do so for all files at once."""
        if hasattr(os, "sync"):
            os.sync()

    def rename(self, old: Path, new: Path) -> None:
        """Move a file or folder within one file system, and push the folder's list to the disk."""
        patient(lambda: os.replace(old, new))
        _push(new.parent)

    def link_new(self, old: Path, new: Path) -> None:
        """Give a file its final name; FileExistsError if the name is taken, whatever was there
        stays. Where a share knows no links, by a look and a rename: the chassis' lock keeps two of
        our own apart.
        """
        try:
            os.link(old, new)
        except FileExistsError:
            raise
        except OSError as e:
            if e.errno not in LINKLESS:
                raise
            if new.exists():
                raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(new)) from None
            patient(lambda: os.replace(old, new))
        else:
            old.unlink()
        _push(new.parent)

    def remove(self, path: Path) -> None:
        """Remove a folder and all in it; nothing to do if it is not there."""
        shutil.rmtree(path, ignore_errors=True)

    def drop(self, path: Path) -> None:
        """Remove a file; nothing to do if it is not there."""
        patient(lambda: path.unlink(missing_ok=True))


def _push(folder: Path) -> None:
    """A folder's own list onto the disk, where the system can."""
    try:
        at = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(at)
    except OSError:
        pass
    finally:
        os.close(at)


DISK = Disk()


def ready(folder: Path) -> None:
    """OSError where nothing can be written under a folder, or where its path leaves no room for the
    names of our files, before a long command begins.
    """
    there = next(path for path in (folder.absolute(), *folder.absolute().parents) if path.exists())
    if not there.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(there))
    if not os.access(there, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(there))
    far = len(str(folder.absolute())) + OWN_NAMES
    if far > SHORT_PATH:
        _reaches(there, far)


OTHERS = stat.S_IROTH | stat.S_IXOTH
"""What others need of a folder to list it and to read what lies in it."""


def seen_by_others(folder: Path) -> bool:
    """Whether anybody who uses this computer can read a folder, where the system says so in its
    mode.
    """
    return os.name != "nt" and (folder.stat().st_mode & OTHERS) == OTHERS


def _reaches(there: Path, far: int) -> None:
    """OSError where no file can lie so ``far`` (characters) from the root: Windows has a limit, or
    none, as it is set up, so that it is tried.
    """
    probe = there / ("n" * min(far - len(str(there.absolute())) - 1, LONGEST_NAME))
    try:
        probe.touch()
        probe.unlink()
    except OSError:
        raise OSError(errno.ENAMETOOLONG, os.strerror(errno.ENAMETOOLONG), str(there)) from None


def _leftovers(base: Path, stem: str) -> list[Path]:
    """What earlier runs left beside a folder under a name of ours, oldest first."""
    found = {
        int(path.name[len(stem) + 1 :] or 0): path
        for path in (base.iterdir() if base.is_dir() else ())
        if path.name == stem or re.fullmatch(re.escape(stem) + r"-\d{1,4}", path.name)
    }
    return [found[number] for number in sorted(found)]


def _free(base: Path, stem: str) -> Path:
    """A name nothing lies under, leftovers removed: where another program holds a file of one, it
    stays until a later run, and the next number is taken.
    """
    for path in _leftovers(base, stem):
        DISK.remove(path)
    last = [path.name[len(stem) + 1 :] or "0" for path in _leftovers(base, stem)][-1:]
    return base / (f"{stem}-{int(last[0]) + 1}" if last else stem)


def _aside(name: str) -> str:
    """Where the last good folder of a name lies while the next is put in its place."""
    return ".prev" if name == "draft" else f".prev.{name}"


def mend(base: Path, name: str = "draft") -> None:
    """Put back the last good draft, or another folder, if a stop left it aside."""
    if not (base / name).exists():
        for path in _leftovers(base, _aside(name))[-1:]:
            DISK.rename(path, base / name)


def strangers(folder: Path, known: frozenset[str]) -> list[str]:
    """Files in a folder, by relative path, that its manifest does not name."""
    return sorted(
        path
        for file in folder.rglob("*")
        if file.is_file() and (path := file.relative_to(folder).as_posix()) not in known
    )


def begun_with(folder: Path, chassis: str) -> frozenset[str]:
    """Files of a folder, by relative path, that bear a chassis' name: ours, where no manifest names
    them.
    """
    return frozenset(
        file.relative_to(folder).as_posix()
        for file in folder.rglob("*")
        if file.name.startswith(f"{chassis}-")
    )


def swap_in(
    base: Path, name: str, files: Mapping[str, bytes], keep: frozenset[str] | None = None
) -> Path:
    """Write ``base/name`` whole: a sibling is filled, then swapped in; on any fault what was there
    stays.

    ``keep``: what the old folder's manifest named; files of anybody else's are carried to
    ``base/kept``.
    """
    folder = base / name
    DISK.make_folder(base)
    tidy(base)
    mend(base, name)
    new = _free(base, ".new")
    previous: Path | None = None
    try:
        for path, data in files.items():
            DISK.make_folder((new / path).parent)
            DISK.lay(new / path, data)
        DISK.flush()
        if folder.exists() and keep is not None:
            _set_aside(folder, base / "kept", keep)
        aside = _free(base, _aside(name))
        if folder.exists():
            DISK.rename(folder, aside)
            previous = aside
        DISK.rename(new, folder)
    except BaseException:
        if previous is not None and not folder.exists():
            previous.rename(folder)
        shutil.rmtree(new, ignore_errors=True)
        raise
    if previous is not None:
        DISK.remove(previous)
    return folder


def _set_aside(folder: Path, kept: Path, known: frozenset[str]) -> None:
    for path in strangers(folder, known):
        target = kept / path
        number = 1
        while target.exists():
            number += 1
            target = (kept / path).with_name(f"{Path(path).stem}~{number}{Path(path).suffix}")
        DISK.make_folder(target.parent)
        DISK.rename(folder / path, target)


LEFT = 600.0
"""Seconds after which a file that was never given its name is taken for left behind, if no process
of this computer may be writing it: another computer's may, on a shared folder.
"""
CLOCK = 3600.0
"""Seconds by which a clock may have been set since (judgment)."""


def may_have_written(pid: int, when: float) -> bool:
    """Whether the process of a number may have written a file then (seconds since 1970): it still
    lives, and did not begin long after; numbers are given again after a while or a restart.
    """
    import psutil

    if not psutil.pid_exists(pid):
        return False
    try:
        return bool(psutil.Process(pid).create_time() <= when + CLOCK)
    except psutil.Error:
        return True


def tidy(folder: Path, name: str = "") -> None:
    """Remove what killed runs left in a folder of ours under names of ours: files that were never
    given their name; ``name``: of one file alone, in a folder that others use too. What another
    program holds stays until a later run.
    """
    ours = re.compile(rf"\.{re.escape(name) if name else '.+'}\.(\d{{1,10}})\.part")
    with contextlib.suppress(OSError), os.scandir(folder) as there:
        for entry in there:
            pid = ours.fullmatch(entry.name)
            if pid is None:
                continue
            with contextlib.suppress(OSError):
                when = entry.stat(follow_symlinks=False)
                old = stat.S_ISREG(when.st_mode) and time.time() - when.st_mtime > LEFT
                if old and not may_have_written(int(pid[1]), when.st_mtime):
                    DISK.drop(Path(entry.path))


def new_file(path: Path, data: bytes) -> None:
    """Write a file that must not be there yet, whole or not at all. FileExistsError if it is."""
    DISK.make_folder(path.parent)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        DISK.write(part, data)
        DISK.link_new(part, path)
    finally:
        DISK.drop(part)


def put_file(path: Path, data: bytes) -> None:
    """Write or replace a file, whole or not at all."""
    DISK.make_folder(path.parent)
    tidy(path.parent, path.name)
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        DISK.write(part, data)
        DISK.rename(part, path)
    finally:
        DISK.drop(part)
