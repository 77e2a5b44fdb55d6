"""The second process: an answer, its exception, its death, and no waiting without end."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from pathlib import Path
from threading import Event, RLock, Thread

import acts
import pytest
from soapstone.cli.building import worker


@pytest.fixture(autouse=True)
def _found(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fresh process finds what it is to do; the kernel counts as not loaded."""
    monkeypatch.setenv("PYTHONPATH", str(Path(acts.__file__).parent))
    monkeypatch.delitem(worker.sys.modules, "OCP", raising=False)


def test_a_large_answer_to_large_work_blocks_nobody() -> None:
    data = os.urandom(8_000_000)
    with worker.working(acts.length, data) as answer:
        assert answer() == data * 2


def test_what_a_library_prints_is_no_part_of_the_answer() -> None:
    with worker.working(acts.chatter, "words") as answer:
        assert answer() == "words"


def test_its_exception_is_ours() -> None:
    with worker.working(acts.refuse, "why not") as answer, pytest.raises(ValueError, match="why"):
        answer()


def test_a_process_that_dies_or_never_answers_has_its_work_done_here() -> None:
    with worker.working(acts.die_elsewhere, os.getpid()) as answer:
        assert answer() == "done here"
    start = time.monotonic()
    with worker.working(acts.sleep_elsewhere, os.getpid(), longest=0.5) as answer:
        assert answer() == "done here"
    assert time.monotonic() - start < 60


def test_leaving_by_an_exception_ends_it_at_once() -> None:
    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt), worker.working(acts.sleep_elsewhere, os.getpid()):
        raise KeyboardInterrupt
    assert time.monotonic() - start < 60


@pytest.fixture
def held() -> Iterator[RLock]:
    """A lock another thread of this process holds, as a numerical library's may be when a build
    starts; a forked child would get it locked, and nobody in it to let it go.
    """
    lock, taken, end = RLock(), Event(), Event()

    def hold() -> None:
        with lock:
            taken.set()
            end.wait()

    thread = Thread(target=hold)
    thread.start()
    taken.wait()
    acts.LOCK = lock
    yield lock
    end.set()
    thread.join()
    del acts.LOCK


def test_no_lock_of_this_process_is_taken_along(held: object) -> None:
    """The worker that was forked waited for such a lock without end, and its parent for it."""
    with worker.working(acts.with_lock, "free", longest=60) as answer:
        assert answer() == "free, elsewhere"


OWN = ("colorsys", "soapstone.layout.units")


def test_a_process_begun_before_its_work_has_loaded_what_it_takes() -> None:
    with worker.Spares() as spares:
        spares.begin(OWN)
        (process,) = spares._waiting.values()
        with spares.working(acts.loaded, OWN, OWN) as answer:
            assert answer() == (process.pid, True)
        with spares.working(acts.loaded, ("colorsys",), OWN) as answer:
            who, _ = answer()
        assert who not in (process.pid, os.getpid()), "each takes one piece of work"


def test_a_process_begun_for_nothing_ends_and_one_that_died_is_no_loss() -> None:
    with worker.Spares() as spares:
        spares.begin(OWN)
        (unused,) = spares._waiting.values()
    assert unused.returncode is not None
    with worker.Spares() as spares:
        spares.begin(OWN)
        (dead,) = spares._waiting.values()
        dead.kill()
        dead.wait()
        with spares.working(acts.loaded, (), OWN) as answer:
            assert answer()[0] == os.getpid()


def test_a_process_whose_beginner_is_gone_says_nothing_and_ends() -> None:
    begun = worker._begun(OWN)
    out, _ = begun.communicate(b"", timeout=60)
    assert out == b"" and begun.returncode == 0
