"""The disk: any step may fail or be the last one; what was there stays, or the new stands whole."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from failing_disk import Counting, fail, steps_of, tree
from soapstone.cli import disk

OLD = {"a.txt": b"old", "cut/b.dxf": b"old b", "manifest.json": b"old m"}
NEW = {"a.txt": b"new", "cut/c.dxf": b"new c", "manifest.json": b"new m"}


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EIO])
def test_any_fault_keeps_the_last_good_draft(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    count = steps_of(lambda: disk.swap_in(tmp_path / "count", "draft", NEW), monkeypatch) + 2
    for n in range(1, count):
        base = tmp_path / str(n)
        monkeypatch.setattr(disk, "DISK", disk.Disk())
        disk.swap_in(base, "draft", OLD)
        monkeypatch.setattr(disk, "DISK", Counting(n, fail(code)))
        try:
            disk.swap_in(base, "draft", NEW)
        except OSError:
            assert tree(base / "draft") in (OLD, NEW), n
            assert not (base / ".new").exists()
        else:
            assert tree(base / "draft") == NEW


def test_a_kill_at_any_step_leaves_old_or_new_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forked processes that die at every step, as by a power cut as far as one process shows."""
    count = steps_of(lambda: disk.swap_in(tmp_path / "count", "draft", NEW), monkeypatch) + 3
    seen = set()
    for n in range(1, count):
        base = tmp_path / str(n)
        monkeypatch.setattr(disk, "DISK", disk.Disk())
        disk.swap_in(base, "draft", OLD)
        child = os.fork()
        if not child:
            disk.DISK = Counting(n, lambda: os._exit(9))
            disk.swap_in(base, "draft", NEW)
            os._exit(0)
        os.waitpid(child, 0)
        disk.mend(base)
        found = tree(base / "draft")
        assert found in (OLD, NEW), n
        seen.add(found == NEW)
        disk.swap_in(base, "draft", NEW)
        assert tree(base / "draft") == NEW and sorted(p.name for p in base.iterdir()) == ["draft"]
    assert seen == {True, False}


def test_somebody_elses_files_are_kept(tmp_path: Path) -> None:
    disk.swap_in(tmp_path, "draft", OLD)
    (tmp_path / "draft/cut/nest.tap").write_bytes(b"an hour's work")
    for _ in range(2):
        disk.swap_in(tmp_path, "draft", OLD, frozenset(OLD))
        (tmp_path / "draft/cut/nest.tap").write_bytes(b"an hour's work")
    assert (tmp_path / "kept/cut/nest.tap").read_bytes() == b"an hour's work"
    assert (tmp_path / "draft/a.txt").exists() and not (tmp_path / "kept/a.txt").exists()


def test_a_new_file_never_replaces_one(tmp_path: Path) -> None:
    disk.new_file(tmp_path / "A.json", b"first")
    with pytest.raises(FileExistsError):
        disk.new_file(tmp_path / "A.json", b"second")
    assert tree(tmp_path) == {"A.json": b"first"}
    disk.put_file(tmp_path / "A.json", b"third")
    assert tree(tmp_path) == {"A.json": b"third"}
