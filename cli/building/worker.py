"""Work on the second core: a forked process that sends back one answer.

Where a process cannot be forked safely (other systems; the CAD kernel and its threads are loaded
already) the work is done in place.
"""

from __future__ import annotations

import multiprocessing
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any


@contextmanager
def working(act: Callable[..., Any], *args: Any) -> Iterator[Callable[[], Any]]:
    """Start ``act(*args)`` beside what the block does; the callable given waits for its answer or
    raises its exception.

    Leaving the block by an exception, Ctrl-C too, stops the work at once.
    """
    if sys.platform != "linux" or "OCP" in sys.modules:
        yield lambda: act(*args)
        return
    fork = multiprocessing.get_context("fork")
    inlet, outlet = fork.Pipe(duplex=False)
    child = fork.Process(target=_answer, args=(outlet, act, args), daemon=True)
    child.start()
    outlet.close()

    def answer() -> Any:
        found, value = inlet.recv()
        if not found:
            raise value
        return value

    try:
        yield answer
    finally:
        child.kill()
        child.join()
        inlet.close()


def _answer(outlet: Any, act: Callable[..., Any], args: tuple[Any, ...]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        outlet.send((True, act(*args)))
    except Exception as e:
        outlet.send((False, e))
