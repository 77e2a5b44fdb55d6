"""Design held against its loads: what fails under load, or is only to be confirmed for its size, is
made again with the next size that passes, its own or one of what it stands on, until all do or
nothing in stock serves.

Sizes and loads settle together: every trial is worked with its own arms' stiffness (``result``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from ...layout.graph import Graph
from ..design.heavier import steel_of
from ..design.sizing import Check
from ..model.family import Family
from ..model.verdict import Verdict
from ..stock import Shop
from ..truck.truck import Truck, families
from ..words.names import part as part_name
from ..words.numbers import worded
from .enlarged import Enlarged, enlarged, in_the_end
from .result import Strength, strength
from .search import CLEAR, PASSES, Growth, GrowthSearch, PinsByFamily, Sought, unsure
from .would_pass import passing, walls_read

MORE_STEEL = 1.2
"""Times its steel a family may weigh for what would only be confirmed (judgment): past that what is
within its limit is kept, and said.
"""
ROUNDING = 0.005
"""Share of the steel that makes no difference."""
TURNS = 24
"""Families made larger, one after another, before the search ends unsettled."""


class Held(NamedTuple):
    """The truck as designed for its loads.

    ``grown``: what the loads made larger; ``ways``: part that fails or is to be
    confirmed for its size -> what would pass, or that nothing does;
    ``sizes``: the pins with what was made larger, with which the same truck is designed at once.
    """

    truck: Truck
    strength: Strength
    grown: tuple[Enlarged, ...]
    ways: Mapping[str, str]
    sizes: PinsByFamily


class Grown(NamedTuple):
    """A truck under its loads, and what made it so; ``now``: its rows alone."""

    truck: Truck
    now: Strength
    sizes: PinsByFamily
    grown: tuple[Enlarged, ...] = ()
    ways: Mapping[str, str] = {}


def held(
    solved: Graph, words: Mapping[str, str], pins: PinsByFamily, chassis: str, shop: Shop
) -> Held:
    """Design a truck, hold it against the loads, and make larger what fails.

    Then until nothing is left to confirm that a larger size cures. Sizes the job pins are never
    changed: what fails there says with which size it would pass.

    Parameters
    ----------
    solved : Graph
        The layout; where readings wait for the loads, nothing is held and nothing grows.
    pins : mapping
        Sizes the job pins, by family and variable.

    Returns
    -------
    Held
        The truck as it ends, its rows, what was made larger and why, and what else would help.
    """
    search = GrowthSearch(solved, words, pins, chassis, shop)
    truck = search.made(pins)
    settled = _passing(search, Grown(truck, search.rows.every(truck), search.pins))
    done = _clear(search, settled)
    search.pins = done.sizes
    finished = search.finished()
    return Held(
        finished, strength(finished, solved, shop), in_the_end(done.grown), done.ways, done.sizes
    )


def _larger(search: GrowthSearch, state: Grown, way: Growth, said: Enlarged) -> Grown:
    """The truck with a way's sizes."""
    search.take(way)
    truck = search.made(search.pins)
    now = search.rows.every(truck)
    return Grown(truck, now, search.pins, (*state.grown, said), state.ways)


def _passing(search: GrowthSearch, state: Grown) -> Grown:
    """Larger until nothing fails, or nothing in stock passes: ``ways`` says of every part that
    fails what would.
    """
    while True:
        ways: dict[str, str] = {}
        step: tuple[Growth, Enlarged] | None = None
        fails = state.now.fails
        for family, f, parts in _families_of(state.truck, fails):
            way = search.way(state.truck, Sought(family, f, PASSES))
            if way is None:
                other = f.otherwise(state.truck.assembly)
                ways |= {
                    part: _nothing(f, fails[part], search, family) + (f"; {other}" if other else "")
                    for part in parts
                }
            elif search.pinned(way) or len(state.grown) >= TURNS:
                ways |= dict.fromkeys(parts, f"with {way.pin} it passes ({way.use:.2f} used)")
            else:
                step = way, enlarged(way.changes, parts[0], fails[parts[0]][0])
                break
        if step is None:
            return state._replace(ways=ways)
        state = _larger(search, state, *step)


def _clear(search: GrowthSearch, state: Grown) -> Grown:
    """Larger until nothing is left to confirm that a larger size cures, each only where nothing
    fails for it; ``ways`` says of the rest why it stays.
    """
    stays: dict[str, str] = {}
    looked: set[tuple[str, ...]] = set()
    while len(state.grown) < TURNS:
        open_ = _open(state.now)
        rows = [row for row in _alike(state.truck, open_) if row.parts not in looked]
        if not rows:
            break
        asked = rows[0]
        looked.add(asked.parts)
        way = search.way(state.truck, asked)
        if way is None:
            said = _stays(asked, search, open_[asked.parts[0]])
        elif search.pinned(way):
            said = f"with {way.pin} nothing would be left to confirm of it"
        else:
            before, worst = search.pins, open_[asked.parts[0]][0]
            step = enlarged(way.changes, asked.parts[0], worst)
            after = _passing(search, _larger(search, state, way, step))
            spoilt = set(after.now.fails) - set(state.now.fails)
            was, is_ = (_steel(way, each.truck, search.shop) for each in (state, after))
            within = all(row.utilisation <= 1.0 for p in asked.parts for row in open_.get(p, ()))
            heavy = within and is_ > (MORE_STEEL + ROUNDING) * was
            if not heavy and not spoilt and len(_open(after.now)) < len(open_):
                state = after
                looked.clear()
                continue
            search.pins = before
            said = _too_heavy(way, worst, is_ / was) if heavy else _spoils(way, spoilt, after.now)
        stays |= dict.fromkeys(asked.parts, said)
    still = _open(state.now)
    kept = {part: said for part, said in stays.items() if part in still}
    return state._replace(ways={**kept, **state.ways})


def _alike(t: Truck, rows: Mapping[str, Sequence[Check]]) -> list[Sought]:
    """What is open of each family, one part and its twins at a time."""
    found: list[Sought] = []
    for family, f, parts in _families_of(t, rows):
        twins: dict[str, list[str]] = {}
        for part in parts:
            twins.setdefault(part.rpartition(".")[0], []).append(part)
        found += [Sought(family, f, CLEAR, tuple(each)) for each in twins.values()]
    return found


def _open(found: Strength) -> dict[str, tuple[Check, ...]]:
    """Part -> its rows that are to be confirmed, of parts that fail none."""
    rows: dict[str, tuple[Check, ...]] = {}
    for check in found.checks:
        if check.verdict is Verdict.CONFIRM and check.part not in found.fails:
            rows[check.part] = (*rows.get(check.part, ()), check)
    return rows


def _nothing(f: Family, failing: Sequence[Check], search: GrowthSearch, family: str) -> str:
    """What is left where no size in stock serves: what comes nearest of it, and with what it
    passes.
    """
    asked = (
        " with every rate the arms' bushings may have: read their rates off the maker's sheet"
        if any("bushings" in row.case for row in failing)
        else ""
    )
    start = f"nothing else in stock for {f.title} passes{asked}{_barred(search, family)}"
    near, walls = search.nearest.get(family), walls_read(search.solved.values, search.shop)
    if near is None or near.row is None:
        worst = max(failing, key=lambda row: row.utilisation)
        ways = passing(worst, walls=walls, legs=search.shop.legs)
        return f"{start}; it passes {ways}" if ways else f"{start}, and no other size comes nearer"
    ways = passing(near.row, walls=walls, legs=search.shop.legs)
    return (
        f"{start}; nearest is {near.pin}, {near.row.utilisation:.2f} of what is allowed for"
        f" {worded(near.row.what)}" + (f": then it passes {ways}" if ways else "")
    )


def _barred(search: GrowthSearch, family: str) -> str:
    """A larger size that would do, and what cannot be made with it; else the next that cannot be
    made itself.
    """
    if family in search.barred:
        way = search.barred[family]
        return f": {way.pin} would do, but then {way.bar}"
    way_ = search.refused.get(family)
    return "" if way_ is None else f": with {way_.pin} {way_.bar}"


def _stays(asked: Sought, search: GrowthSearch, rows: Sequence[Check]) -> str:
    """Why a part stays to be confirmed where no size in stock cures it, and what would."""
    start = (
        f"no larger size in stock for {asked.f.title} leaves nothing to confirm of it"
        f"{_barred(search, asked.family)}"
    )
    near = search.nearest.get(asked.family)
    if near is not None and near.row is not None:
        return (
            f"{start}; nearest is {near.pin}, {near.row.utilisation:.2f} of what is allowed for"
            f" {worded(near.row.what)}"
        )
    worst = max(rows, key=unsure)
    ways = passing(
        worst,
        worst.utilisation / unsure(worst),
        walls_read(search.solved.values, search.shop),
        search.shop.legs,
    )
    return f"{start}; nothing would be left of it {ways}" if ways else start


def _steel(way: Growth, t: Truck, shop: Shop) -> float:
    """What the families weigh that a way changes, kg."""
    changed = {change.family for change in way.changes}
    return sum(
        steel_of(member, shop)
        for member in t.assembly.members
        if t.made_by.get(member.code) in changed
    )


def _too_heavy(way: Growth, row: Check, steel: float) -> str:
    """Why a larger size that would do was not taken for what is within its limit."""
    return (
        f"{row.utilisation:.2f} used is within what is allowed and was kept: with {way.pin} nothing"
        f" would be left to confirm of it, for {100 * (steel - 1):.0f} % more steel"
    )


def _spoils(way: Growth, spoilt: Iterable[str], after: Strength) -> str:
    """Why a larger size that would do was not taken."""
    worst = [after.fails[part][0] for part in spoilt]
    if not worst:
        return f"with {way.pin} as much is left to confirm elsewhere"
    row = max(worst, key=lambda each: each.utilisation)
    return (
        f"with {way.pin} it is within it, but then {part_name(row.part)} fails: {worded(row.what)},"
        f" {row.utilisation:.2f} of what is allowed"
    )


def _families_of(
    t: Truck, rows: Mapping[str, Sequence[Check]]
) -> list[tuple[str, Family, list[str]]]:
    """Families with a part among these: their file, the family, the parts; a bolt's row is its
    first plate's.
    """
    bolts = {b.id: next((c for c in b.through if c in t.made_by), b.id) for b in t.assembly.bolts}
    found: dict[str, list[str]] = {}
    for part in rows:
        found.setdefault(t.made_by.get(bolts.get(part, part), ""), []).append(part)
    return [
        (name, f, found[name])
        for name, f in families()
        if name in found and f.variables and any(k.startswith(f"{f.code}.") for k in t.picks)
    ]
