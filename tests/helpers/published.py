"""A clause held against the value its source prints: the only way a test of ``tests/published`` may
say that a clause has one.

A call of the clause alone proves nothing, so what counts for completeness is a call of
``published`` with the value wanted, found in the text of the tests; and ``published`` itself
compares.
"""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest

SIDES = ("demand", "capacity")


def published(
    clause: Any,
    *,
    demand: float | None = None,
    capacity: float | None = None,
    rel: float | None = None,
    abs: float | None = None,
    **given: Any,
) -> None:
    """Hold what a clause gives for ``given`` against the value printed.

    ``demand``, ``capacity``: in the clause's own unit (mm, N, MPa, ...), at least one of them;
    ``rel``, ``abs``: how far the printed value is rounded, as in ``pytest.approx``. TypeError where
    nothing is wanted.
    """
    wanted = {side: want for side, want in zip(SIDES, (demand, capacity), strict=True)}
    if all(want is None for want in wanted.values()):
        raise TypeError(f"{clause.__name__}: no value to hold it against")
    got = dict(zip(SIDES, clause(**given), strict=True))
    for side, want in wanted.items():
        if want is not None:
            assert float(got[side]) == pytest.approx(want, rel=rel, abs=abs), (
                f"{side} of {clause.__name__}"
            )


def held_in(text: str) -> set[str]:
    """Names of the clauses that a test file holds against a value: of every call of ``published``
    with ``demand`` or ``capacity``, the clause it is about.
    """
    found = set()
    for node in ast.walk(ast.parse(text)):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Name)
            and node.func.id == published.__name__
            and any(word.arg in SIDES for word in node.keywords)
        ):
            clause = node.args[0]
            found.add(clause.attr if isinstance(clause, ast.Attribute) else ast.unparse(clause))
    return found


def held_in_folder(folder: Path) -> set[str]:
    """``held_in`` of every test file of a folder."""
    return set().union(*(held_in(path.read_text("utf-8")) for path in folder.glob("test_*.py")))
