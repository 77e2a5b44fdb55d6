"""Work spread over processes and over a cluster: nothing lost, nothing twice, no process left."""

from __future__ import annotations

import gc
import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
import weakref
from collections.abc import Iterator
from pathlib import Path

import acts
import pytest
from soapstone.cli.building.spread import over_cluster, spread
from soapstone.layout.faults import SoapstoneError

WORDS = [f"w{number}" for number in range(12)]


@pytest.fixture(autouse=True)
def _found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", str(Path(acts.__file__).parent))


def test_every_answer_comes_once_with_its_number() -> None:
    found = list(spread(acts.die_of_it, WORDS, 2))
    assert sorted(found) == [(number, word.upper()) for number, word in enumerate(WORDS)]


@pytest.mark.parametrize("at", [0, 5, 11])
def test_work_that_ends_its_process_keeps_nobody_from_theirs(at: int) -> None:
    works = [*WORDS[:at], "poison", *WORDS[at + 1 :]]
    found = list(spread(acts.die_of_it, works, 2))
    assert sorted(number for number, _ in found) == list(range(len(works)))
    assert dict(found) == {
        number: None if word == "poison" else word.upper() for number, word in enumerate(works)
    }


def test_what_was_answered_is_held_by_nobody_else() -> None:
    """Each may be the files of a whole truck."""
    held: list[weakref.ref[acts.Answer]] = []
    for _, answer in spread(acts.answer, WORDS, 2):
        assert isinstance(answer, acts.Answer)
        held.append(weakref.ref(answer))
        del answer
        gc.collect()
        assert sum(own() is not None for own in held) <= 1
    assert len(held) == len(WORDS) and not any(own() for own in held)


def test_its_exception_is_ours() -> None:
    with pytest.raises(ValueError, match="why"):
        list(spread(acts.refuse, ["why not"], 1))


def test_leaving_early_leaves_no_process() -> None:
    start = time.monotonic()
    coming = spread(acts.sleep_long, ["a", "b"], 2)
    with pytest.raises(KeyboardInterrupt):
        _press_while_waiting(coming)
    assert time.monotonic() - start < 60
    for process in multiprocessing.active_children():
        process.join(10)
    assert not multiprocessing.active_children()


def _press_while_waiting(coming: Iterator[object]) -> None:
    """Ctrl-C two seconds into the wait."""
    before = signal.signal(signal.SIGALRM, signal.default_int_handler)
    signal.setitimer(signal.ITIMER_REAL, 2)
    try:
        next(coming)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@pytest.fixture
def scheduler(tmp_path: Path) -> Iterator[str]:
    """A scheduler with two workers on loopback; a worker that ends is started again."""
    pytest.importorskip("distributed", exc_type=ImportError)
    env = {**os.environ, "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "20s"}
    told = tmp_path / "scheduler.json"
    run = [sys.executable, "-m", "distributed.cli.dask_scheduler"]
    own = ["--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(told)]
    work = [
        *(sys.executable, "-m", "distributed.cli.dask_worker", "--scheduler-file", str(told)),
        *("--nworkers", "2", "--nthreads", "1", "--host", "127.0.0.1", "--no-dashboard"),
    ]
    with (
        subprocess.Popen([*run, *own], env=env, cwd=tmp_path, start_new_session=True) as first,
        subprocess.Popen(
            [*work, "--local-directory", str(tmp_path)], env=env, start_new_session=True
        ) as second,
    ):
        try:
            for _ in range(300):
                if told.is_file() and told.stat().st_size:
                    break
                time.sleep(0.1)
            address = json.loads(told.read_text())["address"]
            with pytest.importorskip("distributed").Client(address) as client:
                client.wait_for_workers(2, timeout=60)
            yield address
        finally:
            for process in (second, first):
                os.killpg(process.pid, signal.SIGKILL)


def test_a_worker_killed_in_the_middle_of_a_cluster_loses_nothing(
    scheduler: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("soapstone.cli.building.spread.FETCHED", 2)
    folder = tmp_path / "seen"
    folder.mkdir()
    works = [(word, str(folder)) for word in WORDS]
    found = list(over_cluster(acts.once_dying, works, scheduler))
    assert sorted(found) == list(enumerate(WORDS))


def test_a_cluster_whose_last_worker_ends_is_said(
    scheduler: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("soapstone.cli.building.spread.FETCHED", 2)
    with pytest.importorskip("distributed").Client(scheduler) as client:
        client.retire_workers()
    with pytest.raises(SoapstoneError, match="no worker is left"):
        list(over_cluster(acts.length, [b"x"], scheduler))


def test_a_cluster_nobody_answers_at_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", exc_type=ImportError)
    monkeypatch.setattr("soapstone.cli.building.spread.PATIENCE", 1)
    with pytest.raises(SoapstoneError) as told:
        list(over_cluster(acts.length, [b"x"], "tcp://127.0.0.1:9"))
    assert "--cluster" in str(told.value.faults[0])


def test_without_the_library_it_is_said_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(SoapstoneError) as told:
        list(over_cluster(acts.length, [b"x"], "tcp://127.0.0.1:9"))
    assert "soapstone[cluster]" in str(told.value.faults[0])
