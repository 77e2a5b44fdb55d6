"""The title block of an assembly drawing: the fields of a part drawing's, of what is welded or
bolted together.
"""

from __future__ import annotations

from typing import NamedTuple

from ....layout.reader import measure
from ...words import numbers as shown
from ..part_sheet import TitleHead
from ..title import TitleCell, units
from .groups import Placed, SheetGroup

WHOLE = "general arrangement"


class TitleBlock(NamedTuple):
    """What the block says besides the scale; ``mass``: kg of what is made of the group, one side's;
    ``bought``: whether the group has more than that.
    """

    head: TitleHead
    owner: str
    group: SheetGroup
    number: str
    mass: float
    bought: bool

    @property
    def both(self) -> bool:
        """Whether the right one is the left mirrored."""
        return self.group.both and self.group.sheet != WHOLE


def block_of(placed: Placed, group: SheetGroup, head: TitleHead, number: str) -> TitleBlock:
    """The block of a group's drawing."""
    made = [placed.parts[one.code] for one in group.members if one.code in placed.parts]
    return TitleBlock(
        head=head,
        owner=placed.shop.name or "shop ________",
        group=group,
        number=number,
        mass=sum(part.mass for part in made),
        bought=len(made) < len(group.members),
    )


def title_rows(block: TitleBlock, scale: str) -> tuple[tuple[TitleCell, ...], ...]:
    """The rows of the block, the first at the top.

    General tolerances of what is fitted by tape and square: common practice, no source.
    """
    head, group = block.head, block.group
    place = shown.inches(1 / 16)
    mass = measure(block.mass, "mass", 1) + (" without what is bought" if block.bought else "")
    title = group.name if group.sheet == WHOLE else f"assembly: {group.name}"
    return (
        (
            TitleCell("", block.owner),
            TitleCell("", title),
            *([TitleCell("", "left as drawn, right mirrored")] if block.both else []),
            TitleCell("drawing", block.number),
            TitleCell("rev", head.revision),
            TitleCell("sheet", "1 of 1"),
        ),
        (
            TitleCell("material", "as the items"),
            TitleCell("mass", mass),
            TitleCell("make", "1 + 1" if block.both else "1"),
            TitleCell("finish", "bare till every weld is inspected"),
        ),
        (
            TitleCell("scale", scale),
            TitleCell("", units()),
            TitleCell("projection", ""),
            TitleCell("date", head.date),
            TitleCell("level", head.level),
        ),
        (
            TitleCell(
                "tolerances",
                f"places ±{place}, angles ±0.5°, left to right within {place}; parts as on their"
                " drawings; do not scale",
                False,
            ),
        ),
        (TitleCell("drawn by", ""), TitleCell("checked by", ""), TitleCell("approved by", "")),
    )
