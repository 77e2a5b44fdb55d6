"""Nothing is defaulted that was to be measured: each field taken out alone is owed, and every part
that uses it waits uncut.
"""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from soapstone.layout.job.fields import FIELDS, LISTS, Field
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.parts.model.body import Bought, Existing
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck, design
from trucks import DATA, shaped

SIDES = {"left": "L", "right": "R"}


@cache
def table() -> dict[str, Any]:
    """The demo's tables, every sided field written as left and right, so that one side can be taken
    out.
    """
    return apart(tomllib.loads((DATA / "demo.toml").read_text()))


def apart(at: Any) -> Any:
    if isinstance(at, list):
        return [apart(row) for row in at]
    if not isinstance(at, dict):
        return at
    if set(at) == {"both"}:
        return {"left": at["both"], "right": at["both"]}
    return {k: apart(v) for k, v in at.items()}


def places() -> Iterator[tuple[Field, str, str]]:
    """Every needed field of the demo: the field, its name with the number of its row, its side
    ("left", "right" or "").
    """
    for f in FIELDS.values():
        if not f.needed or (f.default is not None and not f.safety):
            continue
        names = [f.name]
        if "*" in f.name:
            base = next(n for n in LISTS if f.name.startswith(f"{n}.*"))
            rows = find(base)
            names = [f.name.replace("*", str(i + 1)) for i in range(len(rows))]
        for name in names:
            for side in ("left", "right") if f.sided else ("",):
                if there(name, side):
                    yield f, name, side


def find(path: str) -> Any:
    at: Any = table()
    for word in path.split("."):
        at = at[int(word) - 1] if word.isdigit() else at[word]
    return at


def there(name: str, side: str) -> bool:
    try:
        return not side or side in find(name) if name and find(name) is not None else False
    except KeyError:
        return False


def without(name: str, side: str) -> Job:
    t = copy.deepcopy(table())
    at: Any = t
    *steps, last = [*name.split("."), *([side] if side else [])]
    for word in steps:
        at = at[int(word) - 1] if word.isdigit() else at[word]
    del at[last]
    if side and not at:
        parent: Any = t
        for word in steps[:-1]:
            parent = parent[int(word) - 1] if word.isdigit() else parent[word]
        del parent[steps[-1]]
    return of_table(t)


def key(name: str, side: str) -> Key:
    return Key(name, SIDES.get(side, "C"))


def made(j: Job) -> Truck:
    return design(solve(j), j.words, j.pins, j.chassis)


@cache
def whole() -> tuple[Job, Truck, dict[Key, float]]:
    j = of_table(table())
    return j, made(j), dict(solve(j).values)


EVERY = list(places())
UNDER_LOADS = ("axle.upper_sleeve", "travel.stop_place")
"""Taken out in every run of the tests: what came to be said of the truck was false once."""
SAFETY = [p for p in EVERY if p[0].safety or p[0].is_word]


def test_the_demo_gives_everything_that_is_asked() -> None:
    """Else the sweeps below would miss fields: those of the other choice (a channel, a stop beside
    the coil) apart.
    """
    assert not whole()[0].owed
    seen = {f.name for f, _, _ in EVERY}
    left = {
        f.name
        for f in FIELDS.values()
        if f.needed and not (f.default is not None and not f.safety) and f.name not in seen
    }
    assert all(FIELDS[n].when or FIELDS[n].instead for n in left), left
    assert len(SAFETY) > 60


@pytest.mark.parametrize(
    ("f", "name", "side"), EVERY, ids=lambda p: str(p) if isinstance(p, str) else ""
)
def test_a_field_taken_out_is_owed(f: Field, name: str, side: str) -> None:
    if name == "job.chassis":
        return  # without it there is no job: a fault of the file
    assert without(name, side).owed == (
        (key(name, side),)
        if not f.instead
        else (
            key(name, side),
            *(key(n, side) for n in f.instead),
        )
    )


def cut(t: Truck) -> dict[str, Any]:
    return {p.id: p for p in t.singles if not isinstance(p.member.body, Existing)}


def named(x: Any) -> str:
    return x if isinstance(x, str) else ""


@pytest.mark.parametrize(
    ("f", "name", "side"),
    [pytest.param(*p, marks=[] if p in SAFETY else pytest.mark.slow) for p in EVERY],
    ids=named,
)
def test_every_part_that_uses_it_waits(f: Field, name: str, side: str) -> None:
    """Whatever read it in the whole demo, itself or by a result that now waits, is not made from a
    default.
    """
    if name == "job.chassis":
        return
    _, full, values = whole()
    j = without(name, side)
    solved = solve(j)
    t = design(solved, j.words, j.pins, j.chassis, tried=True)
    gone = {k for k in values if k not in solved.values} | {key(name, side)}
    users = {code for code, read in full.reads.items() if read & gone}
    bodies = {m.code for m in full.assembly.members if not isinstance(m.body, Existing | Bought)}
    assert not (users & bodies) & {p.member.code for p in cut(t).values()}
    assert not t.failed, t.failed
    if users & bodies:
        owed = {k for keys in t.waiting.values() for k in keys}
        assert owed & {key(name, side), *(key(n, side) for n in f.instead)}, t.waiting


FIRSTS = list({f.name: (f, name, side) for f, name, side in reversed(EVERY)}.values())


@pytest.mark.parametrize(
    ("f", "name", "side"),
    [
        pytest.param(*p, marks=[] if p[1] in UNDER_LOADS else pytest.mark.long)
        for p in FIRSTS
        if p[1] != "job.chassis"
    ],
    ids=named,
)
def test_nothing_fails_under_load_for_what_is_owed(f: Field, name: str, side: str) -> None:
    """What is held with a part that waits does wait too: a missing reading is no failure."""
    j = without(name, side)
    t, solved = shaped(j)
    assert not strength(t, solved, default_shop()).fails


def test_what_is_asked_only_with_another_word() -> None:
    """A stop beside the coil asks for its place, a channel for its open side; without that word
    they are not asked for.
    """
    t = copy.deepcopy(table())
    t["travel"]["stop_place"] = "beside"
    j = of_table(t)
    assert set(map(str, j.owed)) == {"travel.stop_x", "travel.stop_y.left", "travel.stop_y.right"}
    stop = {k for w, keys in made(j).waiting.items() if "BP" in w for k in keys}
    assert stop and stop <= set(j.owed)
    t = copy.deepcopy(table())
    t["frame"]["section"] = "channel"
    assert [str(k) for k in of_table(t).owed] == ["frame.open_side"]


def test_one_side_s_other_way_does_not_serve_the_other_side() -> None:
    """The left arm's plan angle by two tape offsets: the right one's angle is still owed when it is
    taken out.
    """
    t = copy.deepcopy(table())
    t["arms"]["plan_slant"] = {"left": t["arms"]["plan_slant"]["left"]}
    owed = set(map(str, of_table(t).owed))
    assert "arms.plan_slant.right" in owed and not any(k.endswith(".left") for k in owed)
    t["arms"] |= {
        f"offset_{n}": {"right": v} for n, v in (("front", 18), ("rear", 16), ("run", 20))
    }
    assert of_table(t).owed == ()
