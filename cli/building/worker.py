"""Work on the second core: a fresh process that is given its work as data and gives back an answer.

A fork of this process is not safe: it takes along locks other threads hold (those of numerical
libraries and of the nest's solver), on which it can wait for ever. Where the CAD kernel is loaded
already the work is done in place.
"""

from __future__ import annotations

import importlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from threading import Event, Thread
from typing import TypeVar

LONGEST = 900.0
"""Seconds an answer is waited for; then the work is done in place."""
CODE = "from soapstone.cli.building.worker import serve; serve()"
KERNEL = ("cadquery", "soapstone.parts.export.step")
PAPERS = ("soapstone.parts.documents", "reportlab.platypus", "scipy.sparse.linalg", "shapely")
"""What a process of its own loads for the kernel's work, and for documents."""

Handed = TypeVar("Handed")
Returned = TypeVar("Returned")


class Spares:
    """Processes begun while there is no work for them yet, to load meanwhile what it takes: a
    design is worked on one core. One that is never given work ends with the block.
    """

    def __init__(self) -> None:
        self._waiting: dict[tuple[str, ...], subprocess.Popen[bytes]] = {}

    def __enter__(self) -> Spares:
        """Nothing is begun yet."""
        return self

    def __exit__(self, *_: object) -> None:
        """Those that wait still are ended."""
        for process in self._waiting.values():
            process.kill()
            process.communicate()

    def begin(self, *loads: tuple[str, ...]) -> None:
        """Begin a process for each set of modules, where there is a core for it."""
        if "OCP" not in sys.modules and (os.cpu_count() or 1) > 1:
            self._waiting |= {modules: _begun(modules) for modules in loads}

    def working(
        self, act: Callable[[Handed], Returned], given: Handed, loads: tuple[str, ...]
    ) -> AbstractContextManager[Callable[[], Returned]]:
        """As the function ``working``, by the process that loaded these modules if one did."""
        return working(act, given, spare=self._waiting.pop(loads, None))


NO_SPARES = Spares()


def _begun(modules: tuple[str, ...] = ()) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", CODE, *modules],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        start_new_session=os.name == "posix",  # Ctrl-C is ours to pass on
    )


@contextmanager
def working(
    act: Callable[[Handed], Returned],
    given: Handed,
    longest: float = LONGEST,
    *,
    apart: bool = False,
    spare: subprocess.Popen[bytes] | None = None,
) -> Iterator[Callable[[], Returned]]:
    """Start ``act(given)`` beside what the block does; the callable that comes waits for its answer
    or raises its exception. ``act``: a function of a module.

    A process that dies, or does not answer in time, is ended and its work done here. Leaving the
    block by an exception, Ctrl-C too, stops the work at once; a thread that waits still gets an
    EOFError then, and the work is done nowhere. ``apart``: in a process of its own also where the
    kernel is loaded here, because only a process can be given up; ``spare``: one that waits for
    work.
    """
    if "OCP" in sys.modules and not apart:
        with nothing_beside(act, given) as answer:
            yield answer
        return
    child = _Child(pickle.dumps((act, given), pickle.HIGHEST_PROTOCOL), spare or _begun())
    left = Event()

    def in_place(work: Handed) -> Returned:
        if left.is_set():
            raise EOFError("nobody waits for it")
        return act(work)

    try:
        yield lambda: _answered(child.answer(longest), in_place, given)
    finally:
        left.set()
        child.end()


@contextmanager
def nothing_beside(
    act: Callable[[Handed], Returned], given: Handed
) -> Iterator[Callable[[], Returned]]:
    """As ``working``, in place."""
    yield lambda: act(given)


def here(
    act: Callable[[Handed], Returned], given: Handed, _: tuple[str, ...]
) -> AbstractContextManager[Callable[[], Returned]]:
    """As ``Spares.working``, in place."""
    return nothing_beside(act, given)


def _answered(data: bytes, act: Callable[[Handed], Returned], given: Handed) -> Returned:
    try:
        found, value = pickle.loads(data)
    except (EOFError, pickle.UnpicklingError):  # it died, or was ended
        return act(given)
    if not found:
        raise value
    answer: Returned = value
    return answer


class _Child:
    """A fresh process; a thread passes its work in and its answer out, so that neither waits for
    the other with a full pipe.
    """

    def __init__(self, work: bytes, process: subprocess.Popen[bytes]) -> None:
        self._process = process
        self._answer = b""
        self._passing = Thread(target=self._pass, args=(work,), daemon=True)
        self._passing.start()

    def _pass(self, work: bytes) -> None:
        with suppress(OSError, ValueError):
            self._answer = self._process.communicate(work)[0]

    def answer(self, longest: float) -> bytes:
        """What it wrote; cut short or nothing if it died or did not end in time."""
        self._passing.join(longest)
        self.end()
        return self._answer

    def end(self) -> None:
        """No process and no thread is left."""
        self._process.kill()
        self._passing.join()
        self._process.wait()


def serve() -> None:
    """The other side: work from standard input, answer to standard output; whatever a library
    prints goes to the error stream. What the command line names is loaded before work is there.
    """
    out = os.dup(1)
    os.dup2(2, 1)
    with suppress(ImportError):  # whoever needs what is missing says so
        for module in sys.argv[1:]:
            importlib.import_module(module)
    work = sys.stdin.buffer.read()
    if not work:
        return  # whoever began it is gone
    act, given = pickle.loads(work)
    try:
        answer = (True, act(given))
    except Exception as e:
        answer = (False, e)
    with os.fdopen(out, "wb") as pipe:
        pipe.write(pickle.dumps(answer, pickle.HIGHEST_PROTOCOL))
