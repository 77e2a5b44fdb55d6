"""One writer at a time: a file that names the process that holds it."""

from __future__ import annotations

import contextlib
import os
import socket
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ...layout.faults import Exit, Fault, SoapstoneError
from .. import disk

STALE = 600.0
"""Seconds after which a lock nobody on this machine holds is taken for left behind."""


def _holder(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8", "replace")[:80]
    except OSError:
        return ""


def _left_behind(path: Path) -> bool:
    """Whether a lock's process is gone: on this machine by its number, else by the lock's age."""
    host, _, pid = _holder(path).rpartition(" ")
    try:
        if host == socket.gethostname() and pid.isdigit():
            return not disk.may_have_written(int(pid), path.stat().st_mtime)
        return time.time() - path.stat().st_mtime > STALE
    except OSError:
        return False


def _somebody(path: Path, chassis: str) -> SoapstoneError:
    remedy = (
        "somebody releases this chassis right now: wait and do it again; if nobody does, delete the"
        " file .lock in its folder"
    )
    fault = Fault(chassis, _holder(path), "nobody else writing", remedy)
    return SoapstoneError(Exit.DISK, [fault])


@contextmanager
def free(path: Path, chassis: str, wait: float = 10.0) -> Iterator[None]:
    """As ``held``, but nothing is held and no lock taken over: only whether it could be."""
    until = time.monotonic() + wait
    while path.exists() and not _left_behind(path):
        if time.monotonic() > until:
            raise _somebody(path, chassis)
        time.sleep(0.05)
    yield


@contextmanager
def held(path: Path, chassis: str, wait: float = 10.0) -> Iterator[None]:
    """One writer a chassis at a time.

    ``path``: the lock file, which names this machine and process while it is held; ``wait``:
    seconds to wait for another. A lock its process left behind is taken over. Raises (DISK) naming
    the holder if it is still held after that.
    """
    me = f"{socket.gethostname()} {os.getpid()}"
    until = time.monotonic() + wait
    while True:
        try:
            disk.new_file(path, me.encode())
            break
        except FileExistsError:
            if _left_behind(path):
                disk.DISK.drop(path)
            elif time.monotonic() > until:
                raise _somebody(path, chassis) from None
            else:
                time.sleep(0.05)
    for folder in (path.parent, path.parent.parent / "contents"):
        disk.tidy(folder)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):  # what was written stands; it goes with this process
            disk.DISK.drop(path)
