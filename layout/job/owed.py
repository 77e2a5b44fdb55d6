"""What is still owed: every field that is needed, words and rows of lists included, and has no
value.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from ..quantities import Key, Side
from .fields import FIELDS, LEAST_ROWS, LISTS, Field, pattern

_ROWS = tuple(f"{name}." for name in LISTS)


def applies(when: str, words: Mapping[str, str], given: Collection[str]) -> bool:
    """Whether a field is asked for at all: ``when`` is "name" that is given, or "name=word"."""
    name, _, word = when.partition("=")
    if not when:
        return True
    return words.get(name) == word if word else name in words or name in given


def needed(name: str, words: Mapping[str, str], given: Collection[str]) -> bool:
    """Whether ``name`` must be there for a job with these ``words`` and names ``given``: a needed
    field without a default (a safety field never takes one), asked for, and in a list only in a row
    that was begun. False for what is no field.
    """
    f = FIELDS.get(pattern(name))
    if f is None or not f.needed or (f.default is not None and not f.safety):
        return False
    if not applies(f.when, words, given):
        return False
    base = next((b for b in _ROWS if name.startswith(b)), "")
    if not base:
        return True
    row = f"{base}{name.removeprefix(base).partition('.')[0]}."
    return any(n.startswith(row) for n in given) or any(n.startswith(row) for n in words)


def owed(
    words: Mapping[str, str], readings: Collection[Key], counts: Mapping[str, int]
) -> tuple[Key, ...]:
    """Keys of everything needed that is not there, in file order; a word's side is "C"."""
    given = {k.name for k in readings}
    found: list[Key] = []
    for f in FIELDS.values():
        if (
            not f.needed
            or (f.default is not None and not f.safety)
            or not applies(f.when, words, given)
        ):
            continue
        for name in _names(f, counts):
            if f.is_word:
                found += [Key(name, "C")] if name not in words else []
                continue
            found += [
                Key(name, s)
                for s in f.sides()
                if Key(name, s) not in readings and not _instead(f, s, readings)
            ]
    return tuple(found)


def _instead(f: Field, side: Side, readings: Collection[Key]) -> bool:
    return any(Key(n, side) in readings for n in f.instead)


def _names(f: Field, counts: Mapping[str, int]) -> list[str]:
    """The field's name, or its name in every row there is and every row there must be at least."""
    if "*" not in f.name:
        return [f.name]
    base = next(n for n in LISTS if f.name.startswith(f"{n}.*"))
    rows = max(counts.get(base, 0), LEAST_ROWS[base])
    return [f.name.replace("*", str(i), 1) for i in range(1, rows + 1)]
