"""What came of the very same objects, so that a truck designed again with one size changed works
only what is new.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import TypeVar, cast

Once = TypeVar("Once")


class Same:
    """Results by the identity of what they were made from, which is kept with them, so that no
    other object takes its place in memory. What was raised is not kept.
    """

    def __init__(self) -> None:
        self._kept: dict[Hashable, tuple[tuple[object, ...], object]] = {}

    def __call__(
        self, what: str, of: tuple[object, ...], also: Hashable, make: Callable[[], Once]
    ) -> Once:
        """What ``make`` gives, worked once for these objects.

        ``what`` names the result; ``also``: what else decides it, compared by value.
        """
        key = (what, tuple(map(id, of)), also)
        if key not in self._kept:
            self._kept[key] = (of, make())
        return cast(Once, self._kept[key][1])
