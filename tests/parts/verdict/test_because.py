"""Why a part, bolt, weld or hole is as it is: told of every one there is."""

from __future__ import annotations

from functools import cache

import pytest
from designs import designed_of
from soapstone.parts.model.numbering import numbered_bolts, numbered_welds
from soapstone.parts.verdict import because
from soapstone.parts.verdict.because import Grounds, holes_of, is_asked, known
from trucks import job


@cache
def asked() -> Grounds:
    own = designed_of(job())
    return Grounds(own.job, own.solved, own.truck, own.strength, own.shop)


def test_every_part_and_hole_weld_and_bolt_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    """By every name that can be asked; a part with its stock, a size or its maker, its readings."""
    monkeypatch.setattr(because, "_lighter", lambda *_: "tried")
    own = asked()
    for name in known(own.truck):
        assert is_asked(name)
        told = because.because(own, name)
        assert told and all(len(lines) > 1 or name[0] in "WB" for lines in told), name
    assert {*numbered_welds(own.truck.assembly), *numbered_bolts(own.truck.assembly)} <= set(
        known(own.truck)
    )
    for part in own.truck.singles:
        code, _, side = part.id.partition(".")
        lines = because.because(own, f"{code}.{side}")[0]
        assert "rests on" in "".join(lines) and part.member.title in lines[0]
        for number in range(1, len(part.holes) + 1):
            assert f"H{number}" in because.because(own, f"{code}.{side}:H{number}")[0][0]
        assert (holes_of(own.truck, code) or 0) >= len(part.holes)
    assert because.because(own, "QQ1") == because.because(own, "W999") == []


def test_the_next_lighter_plate_is_tried() -> None:
    """The fish plate of the demo by hand: 11 gauge is 0.1196 in, thinner than the smallest fillet
    of the shop's list, 1/8 in; 10 gauge is the next.
    """
    told = "\n".join(because.because(asked(), "FP1")[0])
    assert "11 ga A36, the next lighter, does not do: fish plate takes the smallest fillet" in told


def test_two_letters_list_their_parts() -> None:
    """Each once, with its places, the name it is asked by in the first line."""
    truck = asked().truck
    letters = {part.id[:2] for part in truck.singles}
    for own in letters:
        ((head, *rows),) = because.family(truck, own.lower())
        codes = {part.id.partition(".")[0] for part in truck.singles if part.id[:2] == own}
        assert {row.split()[0] for row in rows} == codes and str(len(codes)) in head
        assert is_asked(head.partition("soapstone explain ")[2].split()[0])
    assert because.family(truck, "QX") == []
