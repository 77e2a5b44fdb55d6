"""Ctrl-C, once and for sure: some libraries swallow or rename the exception it raises, so that it
was pressed is noted as well.
"""

from __future__ import annotations

import signal
from types import FrameType

_pressed: list[int] = []
_left = ["nothing was changed"]


def watch() -> None:
    """Note Ctrl-C and raise KeyboardInterrupt, as Python does by itself."""
    signal.signal(signal.SIGINT, _note)


def _note(number: int, frame: FrameType | None) -> None:
    _pressed.append(number)
    raise KeyboardInterrupt


def leaves(words: str) -> None:
    """What a stop leaves from here on, where that is not everything as it was."""
    _left[:] = [words]


def left() -> str:
    """What a stop leaves, in words."""
    return _left[0]


def pressed() -> bool:
    """Whether it was pressed since the command began."""
    return bool(_pressed)


def stop_if_pressed() -> None:
    """KeyboardInterrupt if somebody swallowed it."""
    if _pressed:
        raise KeyboardInterrupt
