"""Which members do what: other rooms ask here by the role, the families say which codes it is.

Codes are without a side; one of two letters stands for every member whose code begins so.
"""

from __future__ import annotations

from functools import cache

from ..model.family import SteelOf
from ..model.terms import Role
from .truck import families


@cache
def codes(role: Role) -> tuple[str, ...]:
    """Codes of a role, without their sides, in the order of the families."""
    return tuple(code for _, family in families() for code in family.roles.get(role, ()))


@cache
def letters(role: Role) -> frozenset[str]:
    """Letters of the members that a role's families make."""
    return frozenset(code.rstrip("0123456789") for code in codes(role))


def does(role: Role, member: str) -> bool:
    """Whether a member does this; ``member``: its code, with or without its side."""
    code = member.partition(".")[0]
    return any(code == own or code.rstrip("0123456789") == own for own in codes(role))


def placed(role: Role, side: str) -> tuple[str, ...]:
    """Codes of a role on one side: "L", "R" or "C"."""
    return tuple(f"{code}.{side}" for code in codes(role))


@cache
def steels() -> tuple[SteelOf, ...]:
    """Every tube whose steel the job names."""
    return tuple(tube for _, family in families() for tube in family.steels)


@cache
def steel_fields() -> dict[str, str]:
    """Tube's code without its side -> the field of the job that names its steel."""
    return {tube.code: tube.field for tube in steels()}
