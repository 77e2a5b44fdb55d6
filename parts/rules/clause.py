"""The register of clauses and the decorator that enters one."""

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
    """Decorator: put a clause in the register with where it stands.

    ``tag``: read, read* or memory, as its source was seen; ``must`` False makes it a warning.
    ValueError for a name that stands twice.
    """

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
