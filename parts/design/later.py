"""What is made only once somebody asks for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import NoReturn, TypeVar, overload

from .site import SlipError

Late = TypeVar("Late")


class Later(Sequence[Late]):
    """A sequence that is made when it is first looked at; what makes it is no data, so it does not
    go with it to another process or to the disk, and whoever looks there is told.
    """

    def __init__(self, make: Callable[[], Sequence[Late]]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> Sequence[Late]:
        return self._make()

    @overload
    def __getitem__(self, at: int) -> Late: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Late]: ...
    def __getitem__(self, at: int | slice) -> Late | Sequence[Late]:
        """One, or several, made now if not before."""
        return self._made[at]

    def __len__(self) -> int:
        """How many, made now if not before."""
        return len(self._made)

    def __reduce__(self) -> tuple[type[Later[Late]], tuple[Callable[[], NoReturn]]]:
        """What goes elsewhere: one that refuses."""
        return Later, (_not_here,)


def _not_here() -> NoReturn:
    raise SlipError("what was to be made later was not sent along")
