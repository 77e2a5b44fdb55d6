"""Which parts may be cut today, which once the truck has stood right on its wheels, and which not
yet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ..model.assembly import Part
from ..model.terms import Role, When
from ..truck.roles import does

if TYPE_CHECKING:
    from ..truck.truck import Truck
    from .findings import Judged


def stands_without(part: Part) -> bool:
    """Whether the truck can be set down on its wheels without the part at any of its places.

    Common practice, no source: what stops, straps and stiffens is made when the truck has stood.
    """
    return all(
        does(Role.AFTER_SET_DOWN, place, family)
        for place, family in zip(part.places, part.families, strict=True)
    )


def when(part: Part, judged: Judged) -> When:
    """When a part may be cut."""
    if not judged.cut(part.id)[0]:
        return When.WAITS
    return When.AFTER if stands_without(part) else When.NOW


def sorted_parts(truck: Truck, judged: Judged) -> Mapping[When, Sequence[Part]]:
    """Every part of a truck by when it may be cut, in the truck's order."""
    found: dict[When, list[Part]] = {each: [] for each in When}
    for part in truck.parts:
        found[when(part, judged)].append(part)
    return found
