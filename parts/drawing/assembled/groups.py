"""Which parts, welds and bolts stand on which assembly drawing: their families say it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Literal, NamedTuple, get_args

import numpy as np

from ...design.part_numbers import in_order
from ...geometry.facets import Facets, facets
from ...model.assembly import Bolt, Member, Part, Weld
from ...model.body import Bought, Existing, Helix
from ...model.numbering import numbered_bolts, numbered_welds
from ...model.terms import WHOLE, AssemblySheet
from ...stock import Shop
from ...truck.truck import Truck

SHEETS: tuple[AssemblySheet, ...] = get_args(AssemblySheet)[1:]
"""In the order of the work."""
ALIKE = 0.1
"""mm within which the right side is the left one mirrored."""
NEAR = 12.0
"""mm round a group within which what stands there is drawn with it, thin."""


class SheetGroup(NamedTuple):
    """What stands on one sheet.

    ``side``: L, R, or C for both sides at once; ``members``: its own; ``near``: what else is drawn,
    thin; ``both``: whether the right side is this left one mirrored.
    """

    sheet: AssemblySheet | Literal["general arrangement"]
    side: str
    members: tuple[Member, ...]
    near: tuple[Member, ...]
    welds: Mapping[str, Weld]
    bolts: Mapping[str, Bolt]
    both: bool = False

    @property
    def name(self) -> str:
        """The sheet's title, with the side where it is of one."""
        side = {"L": ", left", "R": ", right"}.get(self.side, "")
        return self.sheet if self.both else f"{self.sheet}{side}"


class Placed:
    """A designed truck with the shape of every member."""

    def __init__(self, truck: Truck, shop: Shop) -> None:
        self.truck, self.shop = truck, shop
        self.parts: Mapping[str, Part] = {part.id: part for part in truck.singles}
        self.members: Mapping[str, Member] = {
            member.code: member for member in truck.assembly.members if member.fixed_after != "tool"
        }
        self.shapes: Mapping[str, Facets] = {
            code: facets(member, self.parts.get(code), shop)
            for code, member in self.members.items()
        }
        self.welds = numbered_welds(truck.assembly)
        self.bolts = numbered_bolts(truck.assembly)
        self.twin_of = {weld.id: number for number, weld in self.welds.items()} | {
            bolt.id: number for number, bolt in self.bolts.items()
        }

    @cached_property
    def content(self) -> str:
        """All that pictures of it show, printed whole: shapes, welds and bolts, whatever its parts
        are called or lettered.
        """
        whole = self.truck.assembly
        return repr(
            (
                whole.members,
                [(part.id, part.holes, part.slots) for part in self.truck.singles],
                [(weld._replace(care=frozenset()), sorted(weld.care)) for weld in whole.welds],
                whole.bolts,
                self.shop,
            )
        )

    def sheet_of(self, code: str) -> AssemblySheet:
        """The sheet a member stands on; "" for what was there, or a tool."""
        member = self.members.get(code)
        if member is None or isinstance(member.body, Existing):
            return ""
        family = self.truck.family_of(code)
        return family.sheet if family else ""

    def other_side(self, key: str) -> str:
        """Number of the weld or bolt of the other side, by the id of this one; "" for none."""
        stem, _, side = key.rpartition(".")
        return self.twin_of.get(f"{stem}.{ {'L': 'R', 'R': 'L'}.get(side, side) }", "")


def groups(placed: Placed) -> Iterator[SheetGroup]:
    """Every sheet's group, in the order of the work; left and right apart where they differ."""
    for sheet in SHEETS:
        own = [member for code, member in placed.members.items() if placed.sheet_of(code) == sheet]
        own.sort(key=lambda member: in_order(member.code))
        if sheet in WHOLE:
            if own:
                yield _group(placed, sheet, "C", own)
            continue
        sides = {
            side: [member for member in own if member.code.endswith(f".{side}")] for side in "LR"
        }
        both = _mirrored(placed, sides["L"], sides["R"])
        for side, members in sides.items():
            if members and not (both and side == "R"):
                group = _group(placed, sheet, side, members)
                yield group._replace(both=both)


def numbered(placed: Placed, chassis: str) -> list[tuple[SheetGroup, str]]:
    """Every sheet's group with the number of its drawing; A1 is the general arrangement."""
    return [(group, f"{chassis}-A{number}") for number, group in enumerate(groups(placed), 2)]


def _group(
    placed: Placed, sheet: AssemblySheet, side: str, members: Sequence[Member]
) -> SheetGroup:
    codes = {member.code for member in members}
    welds = {
        number: weld for number, weld in placed.welds.items() if home_of_weld(placed, weld) in codes
    }
    bolts = {
        number: bolt for number, bolt in placed.bolts.items() if home_of_bolt(placed, bolt) in codes
    }
    low, high = box(placed, members)
    joins = _joined(codes, welds.values(), bolts.values())
    near = tuple(
        member
        for code, member in placed.members.items()
        if code not in codes
        and (code in joins or not placed.sheet_of(code))
        and _touches(placed, member, low - NEAR, high + NEAR)
    )
    return SheetGroup(sheet, side, tuple(members), near, welds, bolts)


def everything(placed: Placed) -> SheetGroup:
    """The whole truck, what was there already thin."""
    own = [member for code, member in placed.members.items() if placed.sheet_of(code)]
    own.sort(key=lambda member: in_order(member.code))
    there = tuple(member for code, member in placed.members.items() if not placed.sheet_of(code))
    return SheetGroup(
        sheet="general arrangement",
        side="L",
        members=tuple(own),
        near=there,
        welds={},
        bolts={},
        both=True,
    )


def _joined(codes: set[str], welds: Iterable[Weld], bolts: Iterable[Bolt]) -> set[str]:
    """What the welds and bolts of a group join it to."""
    found = {code for weld in welds for code in (weld.on, weld.to)}
    found |= {code for bolt in bolts for code in bolt.through}
    return found - codes


def home_of_weld(placed: Placed, weld: Weld) -> str:
    """The member on whose sheet a weld is drawn: the one it is on, else the one it goes to."""
    return next((code for code in (weld.on, weld.to) if placed.sheet_of(code)), "")


def home_of_bolt(placed: Placed, bolt: Bolt) -> str:
    """The member on whose sheet a bolt is drawn: the first made one it passes."""
    return next((code for code in bolt.through if placed.sheet_of(code)), "")


def box(placed: Placed, members: Sequence[Member]) -> tuple[np.ndarray, np.ndarray]:
    """The box round members in truck axes: least and greatest corner."""
    corners = np.vstack([placed.shapes[member.code].corners for member in members])
    return corners.min(axis=0), corners.max(axis=0)


def _touches(placed: Placed, member: Member, low: np.ndarray, high: np.ndarray) -> bool:
    """Whether a member reaches into a box; a coil by its middle line."""
    corners = placed.shapes[member.code].corners
    if isinstance(member.body, (Bought, Existing)) and isinstance(member.body.solid, Helix):
        ends = ((0.0, 0.0, 0.0), (member.body.solid.length, 0.0, 0.0))
        corners = np.array([member.place.out(end) for end in ends])
    if not len(corners):
        return False
    return bool((corners.max(axis=0) > low).all() and (corners.min(axis=0) < high).all())


def _mirrored(placed: Placed, left: Sequence[Member], right: Sequence[Member]) -> bool:
    """Whether a group's right side is its left one mirrored: steel, places, welds, bolts."""
    stems = [[member.code.rpartition(".")[0] for member in side] for side in (left, right)]
    if not left or stems[0] != stems[1]:
        return False
    return all(
        _same(placed.shapes[one.code].corners, placed.shapes[two.code].corners)
        and dict(one.moves) == dict(two.moves)
        and one.ref == two.ref
        for one, two in zip(left, right, strict=True)
    )


def _same(one: np.ndarray, two: np.ndarray) -> bool:
    flipped = two * np.array((1.0, -1.0, 1.0))
    if not len(one) or not len(flipped):
        return len(one) == len(flipped)
    return len(one) == len(flipped) and all(
        bool(np.all(np.abs(measured(one, axis=0) - measured(flipped, axis=0)) < ALIKE))
        for measured in (np.min, np.max, np.mean)
    )
