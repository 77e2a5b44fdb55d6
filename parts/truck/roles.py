"""Which members do what: other rooms ask here by the role, the families say which codes it is.

Codes are without a side; a family's own code stands for every member it makes.
"""

from __future__ import annotations

from functools import cache

from ...layout.quantities import Key
from ..model.codes import stem_of
from ..model.family import SteelOf
from ..model.terms import Role
from .truck import Truck, families


@cache
def codes(role: Role) -> tuple[str, ...]:
    """Codes of a role, without their sides, in the order of the families."""
    return tuple(code for _, family in families() for code in family.roles.get(role, ()))


@cache
def families_of(role: Role) -> frozenset[str]:
    """Codes of the families that have members of a role."""
    return frozenset(family.code for _, family in families() if role in family.roles)


def does(role: Role, code: str, family: str) -> bool:
    """Whether a member does this; ``code``: its own, with or without its side; ``family``: the code
    of the family that makes it, "" for what none makes.
    """
    return stem_of(code) in codes(role) or family in codes(role)


def owed_by(truck: Truck, role: Role, side: str) -> tuple[Key, ...]:
    """Readings that the families of a role wait for on a side; none where they were made."""
    ends = tuple(f" {family}.{side}" for family in families_of(role))
    return tuple(key for who, keys in truck.waiting.items() if who.endswith(ends) for key in keys)


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
