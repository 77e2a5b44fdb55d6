"""Blocks the page is made of: folds with their counts, and lists a person can search."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from html import escape
from typing import NamedTuple

from ..words.terms import spoken

Say = Callable[[object], str]
"""A text of the model as people read it."""


class ListRow(NamedTuple):
    """A line of a list.

    ``head``: number, or what the eye runs down; ``cells``: what it is, in order, HTML already;
    ``also``: what it is found by beside what it says.
    """

    head: str
    cells: Sequence[str]
    also: str = ""


def safe(words: object) -> str:
    """Text as HTML."""
    return escape(spoken(str(words)))


def fold(
    title: str, body: str, *, count: int | None = None, name: str = "", shown: bool = False
) -> str:
    """A part of the page under a heading of the second order, which opens and closes.

    ``count``: how many things are in it; ``name``: of its place in the page.
    """
    return _fold(2, title, body, count, f' id="{name}"' if name else "", shown)


def group(title: str, body: str, *, count: int | None = None, shown: bool = False) -> str:
    """A group within a ``fold``, under a heading of the third order."""
    return _fold(3, title, body, count, "", shown)


def _fold(level: int, title: str, body: str, count: int | None, name: str, shown: bool) -> str:
    many = "" if count is None else f' <span class="count">{count}</span>'
    return (
        f'<details class="fold"{name}{" open" if shown else ""}><summary><h{level}>{safe(title)}'
        f"</h{level}>{many}</summary>{body}</details>"
    )


def items(texts: Iterable[object], say: Say) -> str:
    """A plain list."""
    return f"<ul>{''.join(f'<li>{safe(say(text))}</li>' for text in texts)}</ul>"


def listed(rows: Iterable[ListRow], *, wide: bool = False) -> str:
    """A list that is searched row by row; ``wide``: room for more than a number at its head."""
    look = "rows wide" if wide else "rows"
    return f'<ul class="{look}">{"".join(map(_row, rows))}</ul>'


def _row(row: ListRow) -> str:
    also = f' data-also="{safe(row.also)}"' if row.also else ""
    cells = "".join(f"<span>{cell}</span>" for cell in row.cells)
    return f'<li class="hit"{also}><b>{safe(row.head)}</b>{cells}</li>'
