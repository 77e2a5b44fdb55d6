"""The one order of welds and bolts: the stage they are made in, then the later of the families they
join as the truck is built, then the order within the family. Their numbers follow it on every map,
list and drawing.
"""

from __future__ import annotations

import re

from .assembly import Assembly, Bolt, Member, Weld
from .terms import EMPTY, Stage

STAGES = tuple(Stage)
"""In the order a truck goes through them."""
AFTER = "after the set-down"
"""A weld with this care is laid after every other one."""
_BY_WORD = {
    "axle prepared": Stage.AXLE,
    "plates in": Stage.FRAME,
    "tack": Stage.CROSSMEMBER,
    "crossmember": Stage.CROSSMEMBER,
    "full bump": Stage.ARMS,
    "arms": Stage.ARMS,
}
_NOT_MADE = ("existing", "tool")
FIXED_AFTER = (*_BY_WORD, str(Stage.SET_DOWN), *_NOT_MADE)
"""What ``fixed_after`` of a member may say."""


def stage_of(member: Member) -> Stage:
    """Which stage a member is fixed in.

    KeyError for a word that is none of ``FIXED_AFTER``: ``vocabulary`` lets none through.
    """
    if member.fixed_after in (Stage.SET_DOWN, *_NOT_MADE):
        return Stage.SET_DOWN
    return _BY_WORD[member.fixed_after]


def _latest(codes: tuple[str, ...], members: dict[str, Member]) -> Stage:
    """The stage in which the last of these members is there.

    What was always there does not count.
    """
    made = [
        members[code]
        for code in codes
        if code in members and members[code].fixed_after not in _NOT_MADE
    ]
    return max(
        (stage_of(made_member) for made_member in made), key=STAGES.index, default=Stage.AXLE
    )


def weld_stage(assembly: Assembly, weld: Weld) -> Stage:
    """The stage a weld is laid in: that of the later of the two members it joins, since the earlier
    one is there by then.
    """
    return _latest((weld.on, weld.to), _members(assembly))


def bolt_stage(assembly: Assembly, bolt: Bolt) -> Stage:
    """The stage a bolt goes in: that of the last of what it passes."""
    return _latest(bolt.through, _members(assembly))


def _members(assembly: Assembly) -> dict[str, Member]:
    return {member.code: member for member in assembly.members}


def _families(assembly: Assembly) -> dict[str, int]:
    """Families by the place of their first member: the order they are built in."""
    return {
        family: number
        for number, family in enumerate(dict.fromkeys(member.family for member in assembly.members))
    }


Natural = tuple[tuple[int, str], ...]


def _natural(name: str) -> Natural:
    """A name with its numbers compared as numbers: #2 before #10."""
    return tuple((int(x), "") if x.isdigit() else (-1, x) for x in re.split(r"(\d+)", name) if x)


def numbered_welds(assembly: Assembly) -> dict[str, Weld]:
    """Welds by number, W1 first, in the order they are laid: by stage, those that wait for the
    set-down last, then by family and by the order within it.
    """
    members, families = _members(assembly), _families(assembly)

    def place(weld: Weld) -> tuple[int, bool, int, int, Natural]:
        family = max(
            (families[members[code].family] for code in (weld.on, weld.to) if code in members),
            default=0,
        )
        stage = STAGES.index(_latest((weld.on, weld.to), members))
        return stage, AFTER in weld.care, family, weld.order, _natural(weld.id)

    return {f"W{number}": weld for number, weld in enumerate(sorted(assembly.welds, key=place), 1)}


def numbered_bolts(assembly: Assembly) -> dict[str, Bolt]:
    """Bolts by number, B1 first, in the order they go in. Holes without a bolt have no number."""
    members, families = _members(assembly), _families(assembly)

    def place(bolt: Bolt) -> tuple[int, int, Natural]:
        family = min(
            (families[members[code].family] for code in bolt.through if code in members),
            default=len(families),
        )
        return STAGES.index(_latest(bolt.through, members)), family, _natural(bolt.id)

    rows = [bolt for bolt in assembly.bolts if bolt.duty not in EMPTY and bolt.grade]
    return {f"B{number}": bolt for number, bolt in enumerate(sorted(rows, key=place), 1)}
