"""What a second process is given to do in the tests of the worker."""

from __future__ import annotations

import os
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
