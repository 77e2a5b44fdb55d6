"""What is still owed: every field that is needed, words and rows of lists included, and has no
value.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ..quantities import Key, Side
from .fields import FIELDS, LEAST_ROWS, LISTS, Field, pattern

_ROWS = tuple(f"{name}." for name in LISTS)


def applies(when: str, words: Mapping[str, str], given: Collection[str]) -> bool:
    """Whether a field is asked for at all.

    ``when``: "" always, "name" if that is given, "name=word" if that is the word, several joined by
    " or "; ``words`` by path, ``given`` names of readings.

    >>> applies("spring.ends=ground", {"spring.ends": "ground"}, ()), applies("a.b", {}, ())
    (True, False)
    """
    if not when:
        return True
    for one in when.split(" or "):
        name, _, word = one.partition("=")
        if words.get(name) == word if word else name in words or name in given:
            return True
    return False


def needed(name: str, words: Mapping[str, str], given: Collection[str]) -> bool:
    """Whether ``name`` must be there for a job with these ``words`` and names ``given``: a needed
    field without a default (a safety field never takes one), asked for, and in a list only in a row
    that was begun. False for what is no field.
    """
    field = FIELDS.get(pattern(name))
    if field is None or not field.needed or (field.default is not None and not field.safety):
        return False
    if not applies(field.when, words, given):
        return False
    if field.is_word and any(other in given for other in field.instead):
        return False
    base = next((start for start in _ROWS if name.startswith(start)), "")
    if not base:
        return True
    row = f"{base}{name.removeprefix(base).partition('.')[0]}."
    return any(name.startswith(row) for name in given) or any(
        name.startswith(row) for name in words
    )


def owed(
    words: Mapping[str, str], readings: Collection[Key], counts: Mapping[str, int]
) -> tuple[Key, ...]:
    """Keys of everything needed that is not there, in file order; a word's side is "C".

    ``words`` by path, ``readings`` by key, ``counts``: rows of each list by its table, of which
    every row is asked for, and at least ``LEAST_ROWS``.
    """
    given = {key.name for key in readings}
    found: list[Key] = []
    for field in FIELDS.values():
        if (
            not field.needed
            or (field.default is not None and not field.safety)
            or not applies(field.when, words, given)
        ):
            continue
        for name in _names(field, counts):
            if field.is_word:
                there = name in words or any(other in given for other in field.instead)
                found += [] if there else [Key(name, "C")]
                continue
            found += [
                Key(name, side)
                for side in field.sides()
                if Key(name, side) not in readings and not _instead(field, side, readings)
            ]
    return tuple(found)


def _instead(field: Field, side: Side, readings: Collection[Key]) -> bool:
    return any(Key(name, side) in readings for name in field.instead)


def _names(field: Field, counts: Mapping[str, int]) -> list[str]:
    """The field's name, or its name in every row there is and every row there must be at least."""
    if "*" not in field.name:
        return [field.name]
    base = next(name for name in LISTS if field.name.startswith(f"{name}.*"))
    rows = max(counts.get(base, 0), LEAST_ROWS[base])
    return [field.name.replace("*", str(number), 1) for number in range(1, rows + 1)]
