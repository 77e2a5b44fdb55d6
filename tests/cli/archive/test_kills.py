"""Kills and disk faults at every step: what was released stays, and a retry goes through."""

from __future__ import annotations

import errno
import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from archives import EVENT, add, released
from failing_disk import Counting, fail, steps_of, tree
from soapstone.cli import disk
from soapstone.cli.archive import transfer
from soapstone.cli.archive.integrity import check
from soapstone.cli.archive.store import Archive


@pytest.mark.parametrize("act", ["add", "happened", "import"])
def test_a_kill_at_any_step_leaves_the_last_good_state_and_a_clean_retry(
    act: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forked processes that die at every step of the disk, then a whole act."""
    source = Archive(tmp_path / "source")
    for n in range(2):
        add(source, "T", n)
    source.happened("T", "A", EVENT)
    zipped = tmp_path / "t.zip"
    zipped.write_bytes(transfer.packed(source, "T"))

    def once(store: Archive, n: int) -> Any:
        if act == "add":
            with store.lock("T"):
                return add(store, "T", n)
        return (
            store.happened("T", "A", {**EVENT, "value": f"H{n}"})
            if act == "happened"
            else transfer.taken_in(store, zipped)
        )

    def fresh(root: Path) -> Archive:
        store = Archive(root)
        if act != "import":
            add(store, "T", 0)
        return store

    counted = fresh(tmp_path / "count")
    count = steps_of(lambda: once(counted, 1), monkeypatch)
    monkeypatch.setattr(disk, "DISK", disk.Disk())
    kills = 0
    rounds = 2
    for round_ in range(rounds):
        for n in range(1, count + 1):
            root = tmp_path / f"{round_}-{n}"
            store = fresh(root)
            before = {p: x for p, x in tree(root).items() if released(p)}
            child = os.fork()
            if not child:
                try:
                    disk.DISK = Counting(n, lambda: os._exit(9))
                    once(store, round_ + 1)
                finally:
                    os._exit(0)
            kills += os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
            assert [str(f) for f in check(store, "T")] == [], (act, n)
            after = {p: x for p, x in tree(root).items() if released(p)}
            assert all(after.get(p) == x for p, x in before.items()), (
                "nothing that was released changed"
            )
            once(store, round_ + 1)
            assert [str(f) for f in check(store, "T")] == [], (act, n)
            names = {Path(p).stem for p in tree(root) if released(p)}
            assert set(store.last("T")) == names, "the list names all of them again"
            shutil.rmtree(root)
    assert kills == rounds * count


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EIO])
def test_a_full_or_read_only_disk_loses_nothing(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At every step of a release; afterwards the same release goes through."""

    def once(store: Archive) -> None:
        with store.lock("T"):
            add(store, "T", 1)

    counted = Archive(tmp_path / "count")
    add(counted, "T", 0)
    count = steps_of(lambda: once(counted), monkeypatch)
    for n in range(1, count + 1):
        monkeypatch.setattr(disk, "DISK", disk.Disk())
        store = Archive(tmp_path / str(n))
        add(store, "T", 0)
        child = os.fork()
        if not child:
            told = 1
            try:
                disk.DISK = Counting(n, fail(code))
                once(store)
                told = 0
            except OSError as e:
                told = 0 if e.errno == code else 2
            finally:
                os._exit(told)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0, n
        assert list(check(store, "T")) == [] and store.records("T")[0].data["note"] == "number 0"
        if len(store.records("T")) == 1:
            once(store)
        assert len(store.records("T")) == 2 and list(check(store, "T")) == []
