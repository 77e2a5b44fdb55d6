"""What a second process is given to do in the tests of the worker."""

from __future__ import annotations

import os
import sys
import time


def length(data: bytes) -> bytes:
    return data * 2


def refuse(words: str) -> None:
    raise ValueError(words)


def die_elsewhere(home: int) -> str:
    """Ends at once in any process but ``home``."""
    if os.getpid() != home:
        os._exit(3)
    return "done here"


def sleep_elsewhere(home: int) -> str:
    """Does not answer in any process but ``home``."""
    if os.getpid() != home:
        time.sleep(300)
    return "done here"


def chatter(words: str) -> str:
    os.write(1, b"a library prints\n")
    print(words, flush=True)
    return words


def with_lock(words: str) -> str:
    """Needs a lock the first process may hold."""
    lock = globals().get("LOCK")
    if lock is None:
        return f"{words}, elsewhere"
    with lock:
        return words


def die_of_it(word: str) -> str:
    """Ends any process that is given "poison"."""
    if word == "poison":
        os._exit(3)
    time.sleep(0.05)
    return word.upper()


def once_dying(work: tuple[str, str]) -> str:
    """Ends the first process that comes to a word, by a file that says so."""
    word, folder = work
    try:
        os.close(os.open(os.path.join(folder, word), os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        return word
    if word == "w3":
        os._exit(3)
    return word


def sleep_long(words: str) -> str:
    time.sleep(300)
    return words


def loaded(modules: tuple[str, ...]) -> tuple[int, bool]:
    """Which process this is, and whether it has these."""
    return os.getpid(), all(module in sys.modules for module in modules)


class Answer:
    """What may be held and let go."""


def answer(_: str) -> Answer:
    return Answer()
