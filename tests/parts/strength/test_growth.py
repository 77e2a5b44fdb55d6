"""What the loads make larger: a part does not stay to be confirmed where the next size clears it,
and what is said of the rest is true when it is done. Judged by the rows themselves.
"""

from __future__ import annotations

from functools import cache

import pytest
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.design.weld_size import LARGEST
from soapstone.parts.model.family import Choice
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.growth import Held, held
from soapstone.parts.strength.result import rows_of, strength
from soapstone.parts.truck.again import Again
from soapstone.parts.truck.truck import Truck, design, families
from trucks import job, truck

SHOP, AGAIN = default_shop(), Again()
LIGHT = "1/4 A36"


@cache
def pinned() -> Held:
    """The demo with a transmission pad pinned lighter than three times its weight asks for."""
    j = job()
    pins = {**j.pins, "transmission_pad": {"plate": LIGHT}}
    return held(solve(j), j.words, pins, j.chassis, SHOP)


def made(sizes: dict[str, dict[str, Choice]]) -> Truck:
    j = job()
    return design(solve(j), j.words, sizes, j.chassis, SHOP, AGAIN)


def unsure(found: Truck, family: str, parts: set[str]) -> list[str]:
    rows = rows_of(found, solve(job()), SHOP, family, daily=True)
    return [row.what for row in rows if row.part in parts and row.verdict is not Verdict.OK]


def failing(found: Truck, family: str, parts: set[str]) -> list[str]:
    rows = rows_of(found, solve(job()), SHOP, family, daily=False)
    return [row.what for row in rows if row.part in parts and row.verdict is Verdict.FAILS]


def left_to_confirm(found: Truck) -> set[str]:
    rows = strength(found, solve(job()), SHOP).checks
    return {row.part for row in rows if row.verdict is Verdict.CONFIRM}


def test_no_part_stays_to_confirm_that_the_next_plate_or_tube_clears() -> None:
    """Every size of its own family larger than what was chosen, one at a time; one that clears a
    part and leaves as many others to confirm clears nothing, and one that takes over a fifth more
    steel is not taken for what is within its limit.
    """
    t, _ = truck()
    left = left_to_confirm(t)
    names, tried = dict(families()), 0
    rows = strength(t, solve(job()), SHOP).checks
    open_ = [row for row in rows if row.verdict is Verdict.CONFIRM]
    within = left - {row.part for row in open_ if row.utilisation > 1.0}
    assert left
    for name in {t.made_by[part] for part in left}:
        f = names[name]
        chosen = next(p.chosen for k, p in t.picks.items() if k.startswith(f"{f.code}."))
        own = {v.name: chosen[v.name] for v in f.variables}
        for var in (v for v in f.variables if v.unit in ("plate", "tube")):
            values = list(var.values(SHOP))
            for value in values[values.index(own[var.name]) + 1 :][:2]:
                sizes = {n: dict(pins) for n, pins in sized(t).items()}
                sizes[name] = {**own, var.name: value}
                other = made(sizes)
                tried += 1
                for part in (p for p in left if t.made_by[p] == name):
                    stays = other.failed or unsure(other, name, {part})
                    heavier = steel(other, name) > 1.2 * steel(t, name)
                    stays = stays or (part in within and heavier)
                    assert stays or len(left_to_confirm(other)) >= len(left), (part, value)
    assert tried > 3


def steel(t: Truck, family: str) -> float:
    return sum(part.mass for part in t.singles if t.made_by[part.member.code] == family)


def sized(t: Truck) -> dict[str, dict[str, Choice]]:
    return {
        name: {v.name: p.chosen[v.name] for v in f.variables}
        for name, f in families()
        for k, p in t.picks.items()
        if k.startswith(f"{f.code}.") and f.variables
    }


def test_a_pinned_size_stays_and_what_is_said_to_clear_it_clears_it() -> None:
    found = pinned()
    assert found.truck.picks["XP.C"].chosen["plate"] == LIGHT
    said = found.ways["XP1.C"]
    assert '[pin.transmission_pad] plate = "3/8 A36"' in said, said
    sizes = {name: dict(pins) for name, pins in found.sizes.items()}
    sizes["transmission_pad"] = {"plate": "3/8 A36"}
    bent = "transmission pad bent between its arms"
    assert bent in failing(found.truck, "transmission_pad", {"XP1.C"})
    assert bent not in failing(made(sizes), "transmission_pad", {"XP1.C"})


def test_what_stays_to_confirm_says_why() -> None:
    found = pinned()
    left = [row.part for row in found.strength.checks if row.verdict is Verdict.CONFIRM]
    assert left and set(left) <= set(found.ways)
    seat = found.ways["CM4.L"]
    assert "coil mount cannot be made" in seat, seat
    back = seat.partition('back = "')[2].partition('"')[0]
    sizes = {n: dict(p) for n, p in found.sizes.items()}
    other = made({**sizes, "coil_mount": {**sizes.get("coil_mount", {}), "back": back}})
    assert any("coil mount" in why for why in other.failed)


def test_what_is_within_its_limit_is_not_made_a_quarter_heavier() -> None:
    """The stub of the crossmember: kept, with the size that would leave nothing to confirm."""
    found = pinned()
    said = found.ways["XT1.L"]
    assert "is within what is allowed and was kept" in said, said
    tube = said.partition('tube = "')[2].partition('"')[0]
    sizes = {n: dict(p) for n, p in found.sizes.items()}
    other = made({**sizes, "cross_tube": {**sizes.get("cross_tube", {}), "tube": tube}})
    assert not unsure(other, "cross_stub", {"XT1.L"})
    more = steel(other, "cross_tube") / steel(found.truck, "cross_tube")
    assert more > 1.2 and f"{100 * (more - 1):.0f} % more steel" in said


@pytest.mark.parametrize(("weld", "leg"), [(0, 0.25), (LARGEST, 5 / 16)])
def test_fillets_of_a_family_grow_to_what_their_edges_carry(weld: int, leg: float) -> None:
    """3/8 plate along an edge carries 5/16 (AISC 360-16 J2.2b: read)."""
    t = made({**job().pins, "link_tabs": {"plate": "3/8 A36", "weld": weld}})
    legs = [w.leg for w in t.assembly.welds if w.id.startswith("link.tab.out")]
    assert legs and legs == pytest.approx([leg * IN] * len(legs))
