"""Results kept by everything they were made from, in the user's cache folder; it may be deleted at
any time.

A key is a hash of the inputs, the tool's own text, Python's and every library's version. An entry
is written beside its place and renamed, so that any number of processes share the folder; one that
is not what was written is thrown away and made again. Entries not used for longest go first once
all together are too large. A cache that cannot be read or written never fails a build.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import pickle
import platform
import zlib
from collections.abc import Callable, Iterator
from functools import cache
from importlib import metadata
from importlib.resources import files
from pathlib import Path
from typing import TypeVar

SETTING = "SOAPSTONE_CACHE"
"""The environment's word for another folder, or "off"."""
OFF = "off"
MOST = 400_000_000
"""Bytes of all entries together; above it the longest unused go until a fifth is free."""
LEFT = 0.8
LIBRARIES = ("cadquery", "cadquery-ocp", "ezdxf", "numpy", "pint", "pypdf", "rectpack")
MORE = ("reportlab", "rl_accel", "scipy", "shapely", "spyrrow", "xlsxwriter")
HASH = 32

T = TypeVar("T")


@cache
def made_with() -> str:
    """Hash of the tool's own text, and of the versions of Python and of the libraries: any other
    makes everything anew.
    """
    h = hashlib.sha256(f"{platform.python_version()} {platform.machine()}".encode())
    for name in (*LIBRARIES, *MORE):
        with contextlib.suppress(metadata.PackageNotFoundError):
            h.update(f"{name} {metadata.version(name)}".encode())
    for package in ("soapstone.layout", "soapstone.parts", "soapstone.cli"):
        root = Path(str(files(package)))
        for p in sorted(root.rglob("*")):
            if p.suffix in (".py", ".csv", ".toml", ".css", ".html", ".js") and p.is_file():
                h.update(p.relative_to(root).as_posix().encode() + p.read_bytes())
    return h.hexdigest()


def key_of(*rests_on: object) -> str:
    """The name of what is made from these; sets, whose order differs by the process, are sorted by
    whoever asks.
    """
    return hashlib.sha256(repr((made_with(), rests_on)).encode()).hexdigest()


def off() -> None:
    """No cache for the rest of this process and those it starts."""
    os.environ[SETTING] = OFF


def folder() -> Path | None:
    """Where entries are kept; none where it is off, or the folder is somebody else's."""
    said = os.environ.get(SETTING, "")
    if said == OFF:
        return None
    if said:
        return Path(said)
    from platformdirs import user_cache_path

    return user_cache_path("soapstone", appauthor=False)


class Cache:
    """The entries of one folder."""

    def __init__(self) -> None:
        self.folder = folder()
        self._grown = 0

    def get(self, key: str) -> bytes | None:
        """What was kept under a key, or none; an entry that is spoilt is removed."""
        if self.folder is None:
            return None
        path = self._path(key)
        try:
            data = path.read_bytes()
            if not _ours(path):
                return None
        except OSError:
            return None
        if hashlib.sha256(key.encode() + data[HASH:]).digest() != data[:HASH]:
            with contextlib.suppress(OSError):
                path.unlink()
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return zlib.decompress(data[HASH:])

    def has(self, key: str) -> bool:
        """Whether something is kept under a key, sound or not."""
        return self.folder is not None and self._path(key).is_file()

    def put(self, key: str, data: bytes) -> None:
        """Keep something, unless it is kept already."""
        if self.folder is None:
            return
        path = self._path(key)
        if path.is_file():
            return
        packed = zlib.compress(data, 1)
        whole = hashlib.sha256(key.encode() + packed).digest() + packed
        beside = path.with_name(f"{path.name}.{os.getpid()}.part")
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            path.parent.mkdir(mode=0o700, exist_ok=True)
            beside.write_bytes(whole)
            beside.replace(path)
        except OSError:
            with contextlib.suppress(OSError):
                beside.unlink()
            return
        self._grown += len(whole)

    def value(self, key: str, make: Callable[[], T]) -> T:
        """A value kept under a key, or made and kept."""
        found = self.get(key)
        if found is not None:
            with contextlib.suppress(Exception):  # of another make than it says: made again
                value: T = pickle.loads(found)
                return value
        made = make()
        if self.folder is not None:
            self.put(key, pickle.dumps(made, pickle.HIGHEST_PROTOCOL))
        return made

    def again(self, make: Callable[[], T], *rests_on: object) -> T:
        """What ``make`` gives, or gave before of these."""
        return self.value(key_of(*rests_on), make)

    def trim(self, most: int = MOST) -> None:
        """Remove what was not used for longest where all together is too large; only after
        something was added.
        """
        if self.folder is None or not self._grown:
            return
        self._grown = 0
        rows = sorted(self._entries())
        size = sum(length for _, length, _ in rows)
        if size <= most:
            return
        for _, length, path in rows:
            if size <= LEFT * most:
                return
            with contextlib.suppress(OSError):
                path.unlink()
                size -= length

    def _entries(self) -> Iterator[tuple[float, int, Path]]:
        """Last use, length and place of each."""
        assert self.folder is not None
        for room in self.folder.glob("??"):
            for path in room.iterdir():
                with contextlib.suppress(OSError):
                    known = path.stat()
                    yield known.st_mtime, known.st_size, path

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / key[:2] / key[2:]


def _ours(path: Path) -> bool:
    """Whether a file is this user's own: nobody else's is believed."""
    return not hasattr(os, "getuid") or path.stat().st_uid == os.getuid()
