"""What a part drawing says in words: where the part sits, its welds, its hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ..design.part_numbers import places_in_words, ranges
from ..model.assembly import Part, Weld
from ..model.numbering import stage_of
from ..model.terms import Stage
from ..words import names
from ..words import numbers as shown
from .picture_of_plate import WeldLine
from .symbols import bevel_words

FOR_GOOD = {
    Stage.AXLE: "on the axle, before it goes under",
    Stage.FRAME: "on the frame, with the coil-seat plates",
    Stage.CROSSMEMBER: "with the crossmember",
    Stage.ARMS: "with the arms",
    Stage.SET_DOWN: "after the set-down",
}
"""When a part is where it stays."""


def hand_words(part: Part) -> str:
    """Hand in words for the title block."""
    if part.hand == "E":
        return "center" if part.centered else "fits both sides"
    return {"L": "LEFT", "R": "RIGHT"}[part.hand]


def where(part: Part) -> str:
    """Where it sits, from something that can be touched, and how far it may still move."""
    member = part.member
    may = "; ".join(shown.may_move(way, *ends) for way, ends in member.moves.items())
    sits = names.sentence(member.ref) or "see the welds"
    if member.fixed_after == "tool":
        return f"Sits: {sits}."
    return f"Sits: {sits}. Goes in for good {FOR_GOOD[stage_of(member)]}." + (
        f" May move until then: {may}." if may else ""
    )


def elsewhere(
    part: Part, welds: Sequence[Weld], numbers: Mapping[str, str], drawn: str = "drawn and welded"
) -> list[str]:
    """Where else a part goes than to the place drawn, with the welds there."""
    others = set(part.places[1:])
    if not others:
        return []
    laid = ranges(numbers.get(weld.id, weld.id) for weld in welds if others & {weld.on, weld.to})
    goes = ", ".join(places_in_words(part.places))
    return [
        f"Goes to {goes}; {drawn} here as {names.part(part.id)}"
        + (f"; at the others {laid}." if laid else ".")
    ]


def welded_to(part: Part, welds: Sequence[Weld], numbers: Mapping[str, str]) -> list[str]:
    """What is welded to it along edges of its own."""
    others = [
        f"{numbers.get(weld.id, '')} {names.part(weld.on)}" for weld in welds if weld.to == part.id
    ]
    return ["Welded to it: " + ", ".join(others) + "."] if others else []


def weld_notes(rows: Sequence[WeldLine]) -> list[str]:
    """A line a weld of the part's own edges: number, edges, what to, what is left out, care."""
    found = []
    for row in rows:
        weld = row.weld
        short = f", ends {shown.room(weld.stop)} short" if weld.stop else ""
        care = f" ({', '.join(sorted(weld.care))})" if weld.care else ""
        made = f"; {bevel_words(weld)}" if weld.groove else ""
        edges = names.edges(weld.edges)
        found.append(f"{row.number} {edges} to {names.part(weld.to)}{short}{care}{made}")
    return found
