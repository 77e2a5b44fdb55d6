"""One writer at a time, readers never held up, each name given once."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

import pytest
from archives import add
from soapstone.cli import disk
from soapstone.cli.archive import index, lock
from soapstone.cli.archive.integrity import check
from soapstone.cli.archive.letters import letter_of
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError


def test_two_releasing_at_once_wait_for_each_other(tmp_path: Path) -> None:
    """Forty processes, one chassis: forty letters in a row, none lost, none twice."""
    children = []
    for n in range(40):
        child = os.fork()
        if not child:
            code = 1
            try:
                with Archive(tmp_path).lock("T", 60.0):
                    add(Archive(tmp_path), "T", n)
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(c, 0)[1]) for c in children] == [0] * 40
    store = Archive(tmp_path)
    assert [r.letter for r in store.records("T")] == [letter_of(n) for n in range(40)] and list(
        check(store, "T")
    ) == []
    assert not (tmp_path / "T" / ".lock").exists()


def test_a_held_lock_names_its_holder_and_one_left_behind_is_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    with store.lock("T"):
        with pytest.raises(SoapstoneError) as e, store.lock("T", 0.1):
            pass
        assert e.value.code is Exit.DISK and str(os.getpid()) in str(e.value.faults[0])
    child = os.fork()
    if not child:
        held = Archive(tmp_path).lock("T")
        held.__enter__()
        os._exit(0)
    os.waitpid(child, 0)
    assert (tmp_path / "T" / ".lock").exists()
    with store.lock("T", 0.5):
        pass
    (tmp_path / "T" / ".lock").write_text("another-machine 17")
    with pytest.raises(SoapstoneError), store.lock("T", 0.1):
        pass
    old = time.time() - lock.STALE - 5
    os.utime(tmp_path / "T" / ".lock", (old, old))
    with store.lock("T", 0.5):
        pass


def test_a_share_without_links_still_takes_each_name_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise OSError(95, "not supported")

    monkeypatch.setattr(os, "link", no_links)
    store = Archive(tmp_path)
    add(store, "T", 0)
    with pytest.raises(FileExistsError):
        disk.new_file(tmp_path / "T" / "A.json", b"x")
    assert list(check(store, "T")) == []


def test_readers_do_not_wait_for_writers(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    with store.lock("T"):
        found: list[int] = []
        t = threading.Thread(
            target=lambda: found.append(len(index.listed(index.open_index(Archive(tmp_path)))))
        )
        t.start()
        t.join(5)
        assert found == [1]
