"""The register of clauses and the decorator that enters one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import cast

from ..model.clause import Also, Clause, WrittenAs
from ..model.vectors import Number

NONE: Mapping[str, WrittenAs] = MappingProxyType({})
NO_MORE: Mapping[str, Also] = MappingProxyType({})

REGISTER: dict[str, Clause] = {}
"""Every clause by the name of its function."""
ClauseFunction = Callable[..., tuple[Number, Number]]
"""A function that gives demand and capacity, before it is entered."""


def clause(
    ref: str,
    *,
    edition: str = "",
    formula: str = "",
    tag: str = "read",
    unit: str = "mm",
    must: bool = True,
    letters: Mapping[str, WrittenAs] = NONE,
    also: Mapping[str, Also] = NO_MORE,
) -> Callable[[ClauseFunction], Clause]:
    """Put a clause in the register with where it stands (a decorator).

    ``ref``: paragraph or table of the standard; ``edition``: its year; ``formula``: as it is
    printed beside the numbers, see ``symbols``; ``tag``: read, read* or memory, as its source was
    seen; ``unit``: of demand and capacity; ``must`` False makes it a warning; ``letters``: of its
    arguments where ``symbols.SYMBOLS`` has another, with what it stands for where it has none;
    ``also``: what the formula needs besides, from a table or of fixed size, by a name that ends in
    its unit. ValueError for a name that stands twice.

    >>> from soapstone.parts.rules.bolts import spacing
    >>> need, have = spacing(d_mm=16.0, spacing_mm=50.0)
    >>> f"{need:.1f} mm wanted, {have:.1f} mm there: {spacing.ref}, {spacing.formula}"
    '42.7 mm wanted, 50.0 mm there: AISC 360 J3.3, s >= 8/3 d'
    """

    def put(rule: ClauseFunction) -> Clause:
        entered = described(rule, ref, edition=edition, formula=formula, tag=tag)
        if entered.__name__ in REGISTER:
            raise ValueError(f"clause {entered.__name__} stands twice")
        entered.unit, entered.must = unit, must
        entered.letters, entered.also = letters, also
        REGISTER[entered.__name__] = entered
        return entered

    return put


def described(
    rule: ClauseFunction, ref: str, *, edition: str = "", formula: str, tag: str
) -> Clause:
    """A function with where it stands, outside the register: a family's own arithmetic that no
    standard gives. In mm, and it must be met.
    """
    entered = cast(Clause, rule)
    entered.ref, entered.edition, entered.formula, entered.tag = ref, edition, formula, tag
    entered.unit, entered.must = "mm", True
    entered.letters, entered.also = NONE, NO_MORE
    return entered
