"""One kind of work on many things, spread over processes of this machine that stay warm, or over
those of a cluster; answers come as they are ready.
"""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool

from ...layout.faults import Exit, Fault, SoapstoneError
from .worker import Handed, Returned

PATIENCE = 15
"""Seconds a cluster is waited for."""
ENDS = 5.0
"""Seconds a process that was killed is waited for."""
FETCHED = 60
"""Seconds in which an answer that is ready comes; after them it is worked again."""


def spread(
    act: Callable[[Handed], Returned], works: Sequence[Handed], jobs: int
) -> Iterator[tuple[int, Returned | None]]:
    """``act`` of each, on ``jobs`` processes: the number of each with its answer, None for one
    whose process ended twice, the second time with nothing else on it.

    Leaving early, Ctrl-C too, ends every process at once.
    """
    left = dict(enumerate(works))
    while left:
        told: set[int] = set()
        for number, answer in _round(act, left, min(jobs, len(left))):
            told.add(number)
            yield number, answer
        left = {number: work for number, work in left.items() if number not in told}
        if left and jobs == 1:
            number = next(iter(left))
            del left[number]
            yield number, None
        jobs = 1  # whichever it was that ended a process, it now has one to itself


def _round(
    act: Callable[[Handed], Returned], works: Mapping[int, Handed], jobs: int
) -> Iterator[tuple[int, Returned]]:
    """What comes until all is done or a process ends."""
    pool = ProcessPoolExecutor(jobs, multiprocessing.get_context("spawn"), _quiet)
    try:
        numbers = {pool.submit(act, work): number for number, work in works.items()}
        for done in as_completed(numbers):
            try:
                answer = done.result()
            except BrokenProcessPool:
                return
            yield numbers.pop(done), answer
            del done, answer  # files of a whole truck: nobody here holds them any longer
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        while left := multiprocessing.active_children():  # one may just be starting
            for process in left:
                process.kill()
                process.join(ENDS)


def _quiet() -> None:
    """Ctrl-C is the first process's to see."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def over_cluster(
    act: Callable[[Handed], Returned], works: Sequence[Handed], address: str
) -> Iterator[tuple[int, Returned | None]]:
    """The same over the workers of a dask scheduler; None for one during which several workers
    ended, as many as the scheduler allows.

    Raises SoapstoneError (COMMAND_LINE) where the library is not installed or nobody answers.
    """
    try:
        from distributed import Client, wait
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise _nobody(
            address, "pip install 'soapstone[cluster]' here and on every worker"
        ) from None
    try:
        client = Client(address, timeout=PATIENCE)
    except (OSError, ValueError) as e:
        raise _nobody(address, f"start dask scheduler and workers there first ({e})") from None
    with client:
        left = dict(enumerate(works))
        asked = {client.submit(act, work, pure=False): number for number, work in left.items()}
        while asked:
            try:
                ready = wait([*asked], FETCHED, return_when="FIRST_COMPLETED").done
            except TimeoutError:
                if not client.scheduler_info()["workers"]:
                    raise _nobody(
                        address, "no worker is left: start some, and build again"
                    ) from None
                continue
            for each in ready:
                number = asked.pop(each)
                try:
                    yield number, each.result(FETCHED)
                except KilledWorker:
                    yield number, None
                except TimeoutError:  # a worker that ended with it: the library may wait for ever
                    asked[client.submit(act, left[number], pure=False)] = number


def _nobody(address: str, remedy: str) -> SoapstoneError:
    allowed = "the address of a dask scheduler, such as tcp://127.0.0.1:8786"
    return SoapstoneError(Exit.COMMAND_LINE, [Fault("--cluster", address, allowed, remedy)])
