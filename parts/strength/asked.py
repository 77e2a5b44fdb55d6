"""What was asked of the placed truck, by name, while a hold was worked: where all of it is the very
same, its rows are.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple, TypeVar, cast

Named = TypeVar("Named")
Made = TypeVar("Made")
Name = tuple[str, str]
"""A table of the truck and a name in it."""


class Asked:
    """The tables of one truck, and what was asked of them since ``found`` was emptied."""

    def __init__(self) -> None:
        self.found: dict[Name, object] = {}
        self._tables: dict[str, Mapping[str, object]] = {}

    def table(self, title: str, found: Mapping[str, Named]) -> ByName[Named]:
        """Things of the truck by name, asked for through what is given back."""
        self._tables[title] = found
        return ByName(title, found, self)

    def now(self, name: Name) -> object:
        """What stands under a name, not noted; None where nothing does."""
        title, key = name
        return self._tables[title].get(key)


class ByName(Mapping[str, Named]):
    """Things of the truck by name; what is asked for by its name is noted, and so is what is not
    there. Whoever looks through all of them is not: ask by name what rows depend on.
    """

    def __init__(self, title: str, found: Mapping[str, Named], asked: Asked) -> None:
        self._title, self._found, self._asked = title, found, asked

    def __getitem__(self, name: str) -> Named:
        """What stands under a name. KeyError where nothing does."""
        value = self._found.get(name)
        self._asked.found[self._title, name] = value
        if value is None:
            raise KeyError(name)
        return value

    def __iter__(self) -> Iterator[str]:
        """Every name."""
        return iter(self._found)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._found)


class _RowsMade(NamedTuple):
    """What was made of these objects, and what of the truck was asked for on the way."""

    of: tuple[object, ...]
    asked: Mapping[Name, object]
    made: object


class KeptRows:
    """Results by the identity of what they were made from and of all they asked of the truck."""

    def __init__(self) -> None:
        self._kept: dict[tuple[object, ...], list[_RowsMade]] = {}

    def get(self, of: tuple[object, ...], asked: Asked, make: Callable[[], Made]) -> Made:
        """What ``make`` gives, worked once while ``of`` and all that it asks for are the same
        objects. What it raises is not kept.
        """
        if row := self._row(of, asked):
            return cast(Made, row.made)
        asked.found = {}
        made = make()
        self._kept.setdefault(tuple(map(id, of)), []).append(_RowsMade(of, asked.found, made))
        asked.found = {}
        return made

    def has(self, of: tuple[object, ...], asked: Asked) -> bool:
        """Whether ``get`` would give what was made before."""
        return self._row(of, asked) is not None

    def _row(self, of: tuple[object, ...], asked: Asked) -> _RowsMade | None:
        for row in self._kept.get(tuple(map(id, of)), ()):
            if all(_same(asked.now(name), was) for name, was in row.asked.items()):
                return row
        return None


def _same(one: object, other: object) -> bool:
    """The same object, or lists of the same objects."""
    if one is other:
        return True
    return (
        type(one) is tuple
        and type(other) is tuple
        and len(one) == len(other)
        and all(mine is theirs for mine, theirs in zip(one, other, strict=True))
    )
