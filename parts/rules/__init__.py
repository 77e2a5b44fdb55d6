"""Clauses: one small elementwise function each, with its reference. ``REGISTER`` holds them all; a test wants a published value for every one.

A clause takes keyword-only numbers or arrays whose names end in their unit (mm, N, MPa, rad) and gives (demand, capacity). It has no
``if`` on its arguments, so that sizing can call it on a whole grid of designs.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

REGISTER: dict[str, Any] = {}


def clause(
    ref: str,
    *,
    edition: str = "",
    formula: str = "",
    tag: str = "read",
    unit: str = "mm",
    must: bool = True,
) -> Callable[[Any], Any]:
    """Decorator: put a clause in the register with where it stands. ``tag``: read, read* or memory, as its source was seen;
    ``must`` False makes it a warning. ValueError for a name that stands twice."""

    def put(f: Any) -> Any:
        if f.__name__ in REGISTER:
            raise ValueError(f"clause {f.__name__} stands twice")
        for name, value in (
            ("ref", ref),
            ("edition", edition),
            ("formula", formula),
            ("tag", tag),
            ("unit", unit),
            ("must", must),
        ):
            setattr(f, name, value)
        REGISTER[f.__name__] = f
        return f

    return put


def all_clauses() -> dict[str, Any]:
    """The register with every module of this folder in it."""
    from . import bolts, frame, life, plates, tubes, welds  # noqa: F401

    return REGISTER
