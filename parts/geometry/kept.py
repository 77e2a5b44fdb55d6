"""Results kept by the text of what they were made from: the same plate is looked at in every
design of a truck and in every design tried for its loads.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Generic, Protocol, TypeVar

T = TypeVar("T")


class Keep(Protocol):
    """Who gives again what was made of the same before, by the text of it; what it is given must
    print whole, and sets sorted.
    """

    def __call__(self, make: Callable[[], T], *rests_on: object) -> T:
        """What ``make`` gives, or gave before of what prints the same."""


def anew(make: Callable[[], T], *_: object) -> T:
    """Keep nothing."""
    return make()


_KEEPER: ContextVar[Keep] = ContextVar("keeper", default=anew)


@contextmanager
def keeping(keep: Keep) -> Iterator[None]:
    """Within, what is asked for through ``again`` is given again by ``keep``."""
    before = _KEEPER.set(keep)
    try:
        yield
    finally:
        _KEEPER.reset(before)


def again(make: Callable[[], T], *rests_on: object) -> T:
    """What ``make`` gives, or gave in another run of what prints the same, where somebody keeps
    such things (``keeping``): for results that take seconds and hang on nothing else.
    """
    return _KEEPER.get()(make, *rests_on)


class Kept(Generic[T]):
    """Results by the text of what they were made from, the oldest left out first.

    Texts are compared, not values: 0.0 and -0.0 are equal, but are not printed alike. So what is
    asked by must print whole: an array that prints with an ellipsis would be taken for another.

    Parameters
    ----------
    most : int
        Results held at most.

    >>> squares = Kept[int]()
    >>> squares.get(lambda: 3 * 3, 3), squares.get(lambda: 1 / 0, 3)
    (9, 9)
    """

    def __init__(self, most: int = 4000) -> None:
        self._most = most
        self._found: dict[str, T] = {}

    def get(self, make: Callable[[], T], *of: object) -> T:
        """What was made of these before, or is made now; an exception is not kept, so it is raised
        again the next time.
        """
        key = repr(of)
        if key not in self._found:
            made = make()
            if len(self._found) >= self._most:
                del self._found[next(iter(self._found))]
            self._found[key] = made
        return self._found[key]
