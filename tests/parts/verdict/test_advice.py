"""Advice where two bodies come too close: what it may name, and that each way out does what it says
on the placed truck.
"""

from __future__ import annotations

import re
from functools import cache

import numpy as np
import pytest
from soapstone.layout import units
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts.geometry.closest import from_round
from soapstone.parts.model.body import Plate
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.placed.clearance import Gap, hits, positions
from soapstone.parts.placed.motion import rounds
from soapstone.parts.stock import default_shop
from soapstone.parts.verdict.advice import WayOut, advise, cures
from soapstone.parts.verdict.give_way import FINE, WAYS, Giving
from soapstone.parts.words import names
from trucks import changed, job, truck

IN, DEG = units.IN, units.DEG
VERBS = re.compile(
    r"\b(cut|trim|grind|ground|notch|bend|bent|heat|saw|drill|file)\w*\b", re.IGNORECASE
)
ALLOWED = ("the rail's notch readings, if the rail has a notch or is to get one",)
"""The rail is notched only where the job's notch readings say so."""


@cache
def giving(name: str = "demo") -> Giving:
    t, g = truck(name)
    return Giving(t, job(name), g, default_shop())


def closed(at: Giving) -> set[str]:
    """Everything nobody cuts: all bodies but flat plates the tool made on frame or axle, and what
    the shop listed.
    """
    names = {b.name for b in at.bodies} | {
        r.name for r in rounds(at.now.t, at.truck, at.job, at.v, 0)
    }
    made = {
        m.code
        for m in at.truck.assembly.members
        if isinstance(m.body, Plate) and at.rides(m.code) in ("frame", "axle")
    }
    return names - made - at.obstacles


def check(c: WayOut, at: Giving) -> None:
    """One way out names nothing of the closed list where it says to take steel off or to move
    something.
    """
    shut = closed(at)
    if c.kind == "trim":
        assert c.what not in shut and c.what not in at.obstacles
        assert f"Trim plate {names.part(c.what)} (" in c.says
    elif c.kind == "move":
        assert c.what in at.obstacles and c.what not in shut
    else:
        text = c.says
        for phrase in ALLOWED:
            text = text.replace(phrase, "")
        assert not VERBS.search(text), c.says
        assert "move or" not in text.lower()
    if c.kind in ("trim", "move"):
        titles = {b.title for b in at.bodies if b.name in shut} | {
            "drag link",
            "tie rod",
            "front shaft",
        }
        for word in (*shut, *titles):
            assert not re.search(rf"\b{re.escape(word)}\b", c.says), (word, c.says)


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_no_advice_names_cutting_anything_of_the_closed_list(name: str) -> None:
    """Random pairs of everything that is on the truck, at random places, with so much room wanted
    that something has to give.
    """
    at = giving(name)
    rng = np.random.default_rng(12)
    names = sorted({b.name for b in at.bodies} | closed(at))
    title = {b.name: b.title for b in at.bodies}
    places = [p.name for p, _ in positions(at.v)]
    kinds = set()
    for _ in range(40):
        one, two = rng.choice(names, 2, replace=False)
        g = Gap(
            str(one),
            str(two),
            (title.get(str(one), str(one)), title.get(str(two), str(two))),
            float(rng.uniform(-1, 1) * IN),
            str(rng.choice(places)),
            (0.0, 300.0, 500.0),
            float(rng.uniform(1, 12) * IN),
        )
        for c in cures(g, at):
            check(c, at)
            kinds.add(c.kind)
    assert "choose" in kinds


def test_pairs_of_the_closed_list_are_cured_by_a_choice_only() -> None:
    at = giving()
    shut = sorted(closed(at))
    rng = np.random.default_rng(3)
    for _ in range(40):
        one, two = (str(n) for n in rng.choice(shut, 2, replace=False))
        g = Gap(one, two, (one, two), -IN, "ride height", (0.0, 1.0, 1.0), 2 * IN)
        found = list(cures(g, at))
        assert {c.kind for c in found} == {"choose"} and "build again" in found[-1].says


@pytest.mark.parametrize(
    ("field", "by"),
    [("axle.tire_diameter", 2 * IN), ("travel.bump", 1.5 * IN), ("steering.drag_link_od", IN / 2)],
)
def test_trucks_that_touch_get_advice_that_cuts_nothing_of_the_closed_list(
    field: str, by: float
) -> None:
    t, g = changed(field, by)
    j = job()
    key = Key(field, "C")
    j = j._replace(
        readings={**j.readings, key: j.readings[key]._replace(value=j.readings[key].value + by)}
    )
    at = Giving(t, j, g, default_shop())
    found = advise(hits(t, j, g, default_shop()), j, g, t, default_shop())
    assert found
    for a in found:
        assert a.cures and not VERBS.search(a.where)
        for c in a.cures:
            check(c, at)


def test_a_trimmed_edge_opens_the_gap_at_every_position() -> None:
    """The tire at lock against the coil seat: with the strip taken off, no point of the plate is
    nearer than was wanted.
    """
    at = giving()
    t = at.trim("CM4.L", "tire.L", 0.5 * IN)
    assert t is not None and t.edge == "outboard" and 0 < t.depth <= IN / 2
    body = next(b for b in at.bodies if b.name == "CM4.L")
    cloud = body.solid.skin(FINE / 2)
    outward = cloud[:, 1]
    keep = cloud[outward < outward.max() - t.depth]
    worst = min(
        float(from_round(keep, r).min())
        for i, lock in enumerate(at.now.locks)
        for r in rounds(at.now.t, at.truck, at.job, at.v, i, lock)
        if r.name == "tire.L"
    )
    before = min(
        float(from_round(cloud, r).min())
        for i, lock in enumerate(at.now.locks)
        for r in rounds(at.now.t, at.truck, at.job, at.v, i, lock)
        if r.name == "tire.L"
    )
    assert before < 0.45 * IN and worst >= 0.5 * IN - 0.01


def test_what_the_shop_listed_moves_to_where_it_is_clear_of_everything() -> None:
    """The oil pan too low for the differential: moved as said, no pair of it is left; the casting
    is not named.
    """
    t, _g = truck()
    shop = default_shop()

    def pan(by: dict[str, float]) -> Job:
        j = job()
        keys = {a: Key(f"travel.obstacle.1.center.{a}", "C") for a in by}
        rows = {
            k: j.readings[k]._replace(value=j.readings[k].value + by[a]) for a, k in keys.items()
        }
        return j._replace(readings={**j.readings, **rows})

    def pairs(j: Job) -> list[Gap]:
        return [
            x
            for x in hits(t, j, solve(j), shop)
            if "oil pan" in (x.one, x.two) and x.verdict is not Verdict.OK
        ]

    for down in (2 * IN, 2.75 * IN):
        low = pan({"z": -down})
        bad = pairs(low)
        says = [
            c.says
            for a in advise(bad, low, solve(low), t, shop)
            for c in a.cures
            if c.kind == "move"
        ]
        assert len(says) == len(bad) > 0 and not any("diff" in x or "casting" in x for x in says)
        by, way = re.search(r"oil pan (.+? in) (.+?), or", says[0]).groups()
        far = units.parse(by, "length", "in")
        moved = {a: far * d for a, d in zip("xyz", WAYS[way], strict=True)}
        moved["z"] -= down
        assert pairs(pan(moved)) == []


def test_less_lock_keeps_the_pair_apart() -> None:
    t, g = truck()
    j = job()
    bad = next(x for x in hits(t, j, g, default_shop()) if x.place.endswith("lock"))
    less = giving().less(bad)
    assert less is not None and less.what == "lock"
    key = Key("steering.lock", "C")
    earlier = j._replace(readings={**j.readings, key: j.readings[key]._replace(value=less.left)})
    left = [
        x
        for x in hits(t, earlier, solve(earlier), default_shop())
        if {x.one, x.two} == {bad.one, bad.two} and x.verdict is not Verdict.OK
    ]
    assert left == []


def test_the_rail_is_notched_only_by_its_readings() -> None:
    t, g = truck()
    rail = [
        a
        for a in advise(hits(t, job(), g, default_shop()), job(), g, t, default_shop())
        if "rail1" in a.gap.one + a.gap.two
    ]
    assert rail
    for a in rail:
        assert "notch" not in str(a).replace(ALLOWED[0], "")
        assert ALLOWED[0] in str(a)
