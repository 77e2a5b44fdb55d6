"""What a member's code says: its own word, then its side. Nobody else takes a code apart.

"CM1.L" is CM1 on the left, "axle.C" the axle, which stands in the middle.
"""

from __future__ import annotations

from typing import get_args

from ...layout.quantities import Side
from .assembly import Member
from .body import Existing
from .terms import There

OTHER: dict[str, str] = {"L": "R", "R": "L"}
"""Side across the truck; the middle has none."""
FAR = ".far"
"""How a family, which builds for the left and never knows better, names what is across."""


def stem_of(code: str) -> str:
    """A code without its side.

    >>> stem_of("CM1.L"), stem_of("drag_link")
    ('CM1', 'drag_link')
    """
    stem, _, side = code.rpartition(".")
    return stem if side in get_args(Side) else code


def side_of(code: str) -> Side:
    """Side of a member, bolt, weld or hold once ``design.assemble`` has given it one.

    Raises
    ------
    ValueError
        The code has none.

    >>> side_of("CM1.L"), side_of("arm.bolt#1.R")
    ('L', 'R')
    """
    end = code.rpartition(".")[2]
    for side in get_args(Side):
        if end == side:
            found: Side = side
            return found
    raise ValueError(f"{code!r} stands on no side")


def across(code: str) -> str:
    """The same thing on the other side of the truck; itself where it has no other side.

    >>> across("CM1.L"), across("axle.C")
    ('CM1.R', 'axle.C')
    """
    stem, _, side = code.rpartition(".")
    return f"{stem}.{OTHER[side]}" if side in OTHER else code


def names_body(code: str, *bodies: There) -> bool:
    """Whether a code is of one of the truck's own bodies, where only what is joined to a part is
    known, not its members.

    >>> names_body("rail1.L", There.RAIL), names_body("CM1.L", There.RAIL, There.AXLE)
    (True, False)
    """
    return code.startswith(bodies)


def far_named(name: str, side: str) -> str:
    """A name with its side; one that ends in ".far" gets the other side's, ".C" from the middle.

    >>> far_named("CM1", "L"), far_named("CM1.far", "L"), far_named("rail1.R", "L")
    ('CM1.L', 'CM1.R', 'rail1.R')
    """
    if is_far(name):
        return f"{near(name)}.{OTHER.get(side, 'C')}"
    return name if name.endswith(tuple(f".{each}" for each in get_args(Side))) else f"{name}.{side}"


def is_far(name: str) -> bool:
    """Whether a family says of a name that it is across the truck."""
    return name.endswith(FAR)


def near(name: str) -> str:
    """A name without the word that puts it across the truck."""
    return name.removesuffix(FAR)


def is_rail(member: Member) -> bool:
    """Whether it is a length of the truck's own frame rail."""
    return isinstance(member.body, Existing) and member.body.surface is There.RAIL
