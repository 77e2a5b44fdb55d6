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


def stage_of(m: Member) -> Stage:
    """Which stage a member is fixed in.

    KeyError for a word that is none of ``FIXED_AFTER``: ``vocabulary`` lets none through.
    """
    if m.fixed_after in (Stage.SET_DOWN, *_NOT_MADE):
        return Stage.SET_DOWN
    return _BY_WORD[m.fixed_after]


def _latest(codes: tuple[str, ...], by: dict[str, Member]) -> Stage:
    """The stage in which the last of these members is there.

    What was always there does not count.
    """
    made = [by[c] for c in codes if c in by and by[c].fixed_after not in _NOT_MADE]
    return max((stage_of(m) for m in made), key=STAGES.index, default=Stage.AXLE)


def weld_stage(a: Assembly, w: Weld) -> Stage:
    """The stage a weld is laid in: that of the later of the two it joins."""
    return _latest((w.on, w.to), _members(a))


def _members(a: Assembly) -> dict[str, Member]:
    return {m.code: m for m in a.members}


def _families(a: Assembly) -> dict[str, int]:
    """Families by the place of their first member: the order they are built in."""
    return {f: n for n, f in enumerate(dict.fromkeys(m.family for m in a.members))}


Natural = tuple[tuple[int, str], ...]


def _natural(name: str) -> Natural:
    """A name with its numbers compared as numbers: #2 before #10."""
    return tuple((int(x), "") if x.isdigit() else (-1, x) for x in re.split(r"(\d+)", name) if x)


def numbered_welds(a: Assembly) -> dict[str, Weld]:
    """Welds by number, W1 first, in the order they are laid."""
    by, families = _members(a), _families(a)

    def place(w: Weld) -> tuple[int, bool, int, int, Natural]:
        family = max((families[by[c].family] for c in (w.on, w.to) if c in by), default=0)
        stage = STAGES.index(_latest((w.on, w.to), by))
        return stage, AFTER in w.care, family, w.order, _natural(w.id)

    return {f"W{i}": w for i, w in enumerate(sorted(a.welds, key=place), 1)}


def numbered_bolts(a: Assembly) -> dict[str, Bolt]:
    """Bolts by number, B1 first, in the order they go in. Holes without a bolt have no number."""
    by, families = _members(a), _families(a)

    def place(b: Bolt) -> tuple[int, int, Natural]:
        family = min((families[by[c].family] for c in b.through if c in by), default=len(families))
        return STAGES.index(_latest(b.through, by)), family, _natural(b.id)

    rows = [b for b in a.bolts if b.duty not in EMPTY and b.grade]
    return {f"B{i}": b for i, b in enumerate(sorted(rows, key=place), 1)}
