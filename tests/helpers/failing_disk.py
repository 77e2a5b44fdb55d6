"""A disk that fails, or is counted, at any of its steps."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from soapstone.cli import disk

STEPS = ("make_folder", "write", "lay", "flush", "rename", "link_new", "remove", "drop")


def tree(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


class Counting(disk.Disk):
    """Calls ``at`` instead of step number ``n``."""

    def __init__(self, n: int, at: Callable[[], Any]) -> None:
        self.n, self.at, self.count = n, at, 0

    def __getattribute__(self, name: str) -> Any:
        if name not in STEPS:
            return object.__getattribute__(self, name)
        self.count += 1
        return (
            (lambda *_: self.at()) if self.count == self.n else object.__getattribute__(self, name)
        )


def fail(code: int) -> Callable[[], None]:
    def at() -> None:
        raise OSError(code, os.strerror(code))

    return at


def steps_of(act: Callable[[], Any], monkeypatch: pytest.MonkeyPatch) -> int:
    counter = Counting(-1, lambda: None)
    monkeypatch.setattr(disk, "DISK", counter)
    act()
    return counter.count
