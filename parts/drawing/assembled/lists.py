"""What an assembly drawing says in words: its items, welds and bolts as tables, and its notes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from ...design.part_numbers import ranges
from ...model.assembly import Member, Part, Weld
from ...model.numbering import AFTER
from ...model.terms import Hand, Stage
from ...stock.torque import torque
from ...truck.fasteners import every, tightened_at
from ...words import names
from ...words.cautions import BY_FLAG, NOT_APPROVAL, flags
from ...words.numbers import may_move, worded
from ..symbols import pitch_words, size_words
from .groups import Placed, SheetGroup

NO_TORQUE = "not given"


class Item(NamedTuple):
    """A row of the list: its number in the balloon, mark, name, how many, its drawing, and the
    members it is.
    """

    number: str
    mark: str
    name: str
    quantity: str
    drawing: str
    codes: tuple[str, ...]


class SheetTable(NamedTuple):
    """Headings and rows."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def items(placed: Placed, group: SheetGroup, chassis: str) -> list[Item]:
    """Everything of the group, what is made alike together, in the order of its marks."""
    kinds: dict[tuple[str, str], list[Member]] = {}
    for member in group.members:
        part = placed.parts.get(member.code)
        key = (part.called, "") if part else ("", member.title)
        kinds.setdefault(key, []).append(member)
    found = []
    for number, members in enumerate(kinds.values(), 1):
        part = placed.parts.get(members[0].code)
        found.append(_item(str(number), members, part, group.both, chassis))
    return found


def _item(
    number: str, members: Sequence[Member], part: Part | None, both: bool, chassis: str
) -> Item:
    count = f"{len(members)} + {len(members)}" if both else str(len(members))
    codes = tuple(member.code for member in members)
    titles = list(dict.fromkeys(member.title for member in members))
    short = list(dict.fromkeys(title.partition(",")[0] for title in titles))
    name = titles[0] if len(titles) == 1 else " / ".join(short)
    if part is None:
        mark = members[0].code.rpartition(".")[0]
        return Item(number, mark, name, count, "bought", codes)
    mark = part.number
    if part.hand is not Hand.EITHER:
        mark = f"{mark} left, right" if both else names.made(part)
    return Item(number, mark, name, count, f"{chassis}-{part.number}", codes)


def item_table(rows: Sequence[Item]) -> SheetTable:
    """The list of items."""
    return SheetTable(
        "ITEMS",
        ("item", "mark", "name", "count", "drawing"),
        tuple(row[:5] for row in rows),
    )


def weld_table(placed: Placed, group: SheetGroup, rows: Sequence[Item]) -> SheetTable:
    """Welds in the order they are laid: number, the right one's, size, which items, when."""
    numbered = {code: item.number for item in rows for code in item.codes}
    found = []
    for number, weld in group.welds.items():
        joins = f"{_who(weld.on, numbered)} to {_who(weld.to, numbered)}"
        if weld.on == weld.to:
            joins = f"on {_who(weld.on, numbered)}"
        size = " ".join(filter(None, (size_words(weld), weld.kind, pitch_words(weld))))
        row = (number, placed.other_side(weld.id), size, joins, _when(placed, weld))
        found.append(row)
    heads = ("weld", "right", "size", "joins items", "laid for good")
    if not group.both:
        return SheetTable("WELDS", heads[:1] + heads[2:], tuple(row[:1] + row[2:] for row in found))
    return SheetTable("WELDS", heads, tuple(found))


def _who(code: str, numbered: Mapping[str, str]) -> str:
    return numbered.get(code) or names.part(code)


def _when(placed: Placed, weld: Weld) -> str:
    """After set-down where a weld is said to wait for it or a member it joins may still move."""
    return "after set-down" if waits(placed, weld) else "as it goes in"


def waits(placed: Placed, weld: Weld) -> bool:
    """Whether a weld is only tacked until the truck has stood on its wheels."""
    fixed = {
        placed.members[code].fixed_after for code in (weld.on, weld.to) if code in placed.members
    }
    return AFTER in weld.care or str(Stage.SET_DOWN) in fixed


def bolt_table(placed: Placed, group: SheetGroup) -> SheetTable:
    """Bolts as the bolt sheet has them: number, the right one's, what, torque, when."""
    by_number = {x.number: x for x in every(placed.truck, placed.shop)}
    found = []
    for number, bolt in group.bolts.items():
        x = by_number[number]
        said = torque(bolt, placed.shop)
        name = f"{x.name}; {x.owed}" if x.owed else x.name
        at = "at ride height" if tightened_at(bolt) == "ride height" else ""
        tight = ", ".join(filter(None, (NO_TORQUE if said == "-" else said, at)))
        found.append((number, placed.other_side(bolt.id), name, tight))
    heads = ("bolt", "right", "what", "torque")
    if not group.both:
        return SheetTable("BOLTS", heads[:1] + heads[2:], tuple(row[:1] + row[2:] for row in found))
    return SheetTable("BOLTS", heads, tuple(found))


def notes(
    placed: Placed, group: SheetGroup, rows: Sequence[Item], unseen: Sequence[str] = ()
) -> list[str]:
    """Where all sits, what may still move, the hold point, what lines mean, cautions."""
    return [
        "Positions: along the truck from the datum hole, - behind it; across from the center line;"
        " up from the floor, truck level at ride height.",
        *_sits(placed, rows),
        *_moves(placed, rows),
        *_hold(placed, group),
        *([f"Out of sight once all is in place: {ranges(unseen)}."] if unseen else []),
        *_drawn(group),
        *_cautions(placed, group),
    ]


def _sits(placed: Placed, rows: Sequence[Item]) -> Iterator[str]:
    """Where items sit, those that share the words together."""
    by_words: dict[str, list[str]] = {}
    for item in rows:
        for code in item.codes:
            words = worded(names.sentence(placed.members[code].ref))
            if words and item.number not in by_words.setdefault(words, []):
                by_words[words].append(item.number)
    for words, numbers in by_words.items():
        yield f"Item {', '.join(numbers)}: {words}."


def _moves(placed: Placed, rows: Sequence[Item]) -> Iterator[str]:
    """What may still move, and by how much."""
    by_words: dict[str, list[str]] = {}
    for item in rows:
        for way, (low, high) in placed.members[item.codes[0]].moves.items():
            words = may_move(way, low, high)
            by_words.setdefault(words, []).append(item.number)
    for words, numbers in by_words.items():
        yield f"May still move until set-down, item {', '.join(numbers)}: {words}."


def _hold(placed: Placed, group: SheetGroup) -> Iterator[str]:
    """The hold point: what stays tacked."""
    late = [number for number, weld in group.welds.items() if waits(placed, weld)]
    if late:
        yield (
            f"HOLD: {ranges(late)} {'is' if len(late) == 1 else 'are'} tacked only, until the truck"
            " has stood right on its wheels and the set-down is in the job."
        )
    elif group.welds:
        yield "HOLD: check positions and both hands of everything before it is welded out."


def _drawn(group: SheetGroup) -> Iterator[str]:
    if group.both:
        yield "Left as drawn; right mirrored, with the numbers of its own welds and bolts."
    yield "Thin: on the truck already or on another sheet. Dashes: hidden edges of these items."


def _cautions(placed: Placed, group: SheetGroup) -> Iterator[str]:
    found: set[str] = set()
    for member in group.members:
        part = placed.parts.get(member.code)
        if part:
            found |= flags(part._replace(id=member.code), tuple(group.welds.values()))
    yield NOT_APPROVAL()
    for flag, row in BY_FLAG.items():
        if flag in found:
            yield from (caution() for caution in row)
