"""Why a part, bolt, weld or hole is as it is: what decides its size, which rule it meets with how
much to spare, and which readings it rests on.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from ...layout import reader
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import Key
from ..design.part_numbers import in_order
from ..design.sizing import Check, Pick
from ..model.assembly import Bolt, Hole, Part, Weld
from ..model.family import Choice, Family
from ..model.numbering import numbered_bolts, numbered_welds, stage_of
from ..stock import Shop
from ..strength.result import Strength
from ..truck import fasteners
from ..truck.pins import good
from ..truck.truck import Truck, design, families
from ..words import names
from ..words.numbers import ruled, tape, worded

MOST = 6
"""Rows of one thing that are told, the most used first."""
STOCK = ("plate", "tube", "bolt")
"""Kinds of sizes that are bought."""
PART = re.compile(r"([A-Za-z]{2}\d+)(?:[. ]([lrcLRC]|left|right|center))?(?::[hH](\d+))?")
JOINT = re.compile(r"[wWbB]\d+")


class Grounds(NamedTuple):
    """What is explained from: a job, its layout, the truck designed for its loads."""

    job: Job
    solved: Graph
    truck: Truck
    strength: Strength
    shop: Shop

    @property
    def rows(self) -> tuple[Check, ...]:
        """Every row, of sizes and of loads."""
        return (*self.truck.checks, *self.strength.checks)


def is_asked(name: str) -> bool:
    """Whether a typed name is a part, a hole of one, a weld or a bolt.

    >>> [is_asked(name) for name in ("CM2", "cm2 left", "CS1:H2", "W12", "axle.kpi")]
    [True, True, True, True, False]
    """
    return bool(PART.fullmatch(name) or JOINT.fullmatch(name))


def known(truck: Truck) -> list[str]:
    """Every name that can be asked."""
    parts = [part.id.partition(".")[0] for part in truck.singles]
    joints = (*numbered_welds(truck.assembly), *numbered_bolts(truck.assembly))
    return list(dict.fromkeys((*parts, *joints)))


def holes_of(truck: Truck, name: str) -> int | None:
    """How many holes the part of a typed name has; None where there is no such part."""
    code = name.upper().partition(":")[0].replace(" ", ".").partition(".")[0]
    found = [len(part.holes) for part in truck.singles if part.id.partition(".")[0] == code]
    return max(found, default=None)


def family(truck: Truck, letters: str) -> list[list[str]]:
    """Under the two letters their parts begin with, a line for each part: what it is and of what,
    how often, and how it is asked why; nothing where no part begins so.
    """
    found: dict[str, list[Part]] = {}
    for part in truck.singles:
        if in_order(part.id)[0] == letters.upper():
            found.setdefault(part.id.partition(".")[0], []).append(part)
    if not found:
        return []
    lines = [
        f"{letters.upper()}: {len(found)} parts; soapstone explain {next(iter(found))} says why"
    ]
    for code, parts in found.items():
        stock = getattr(parts[0].member.body, "stock", "") or "bought"
        places = ", ".join(names.part(part.id).partition(" ")[2] or "center" for part in parts)
        lines.append(f"  {code} {parts[0].member.title}: {stock}; {places}")
    return [lines]


def because(asked: Grounds, name: str) -> list[list[str]]:
    """Lines for every place that a typed name means; none for a name nobody has."""
    if JOINT.fullmatch(name):
        weld = numbered_welds(asked.truck.assembly).get(name.upper())
        bolt = numbered_bolts(asked.truck.assembly).get(name.upper())
        if weld is not None:
            return [list(_weld(asked, name.upper(), weld))]
        return [] if bolt is None else [list(_bolt(asked, name.upper(), bolt))]
    found = PART.fullmatch(name)
    assert found, "as is_asked says"
    code, side, hole = found[1].upper(), (found[2] or "")[:1].upper(), found[3]
    parts = [
        part
        for part in asked.truck.singles
        if part.id.partition(".")[0] == code and (not side or part.id.endswith(f".{side}"))
    ]
    if hole is None:
        told = [list(_part(asked, part)) for part in parts[:1]]
        for other in parts[1:]:
            told[0].append(f'  for its own numbers: soapstone explain "{names.part(other.id)}"')
        return told
    return [
        list(_hole(asked, part, int(hole), part.holes[int(hole) - 1]))
        for part in parts
        if 1 <= int(hole) <= len(part.holes)
    ]


def _part(asked: Grounds, part: Part) -> Iterator[str]:
    """A part: its stock and why no lighter one, its rows, its readings."""
    truck = asked.truck
    stock = getattr(part.member.body, "stock", "")
    yield f"{names.called(part.member.title, part.id)}: {stock or 'bought'}"
    name = truck.made_by[part.id]
    family = dict(families())[name]
    who = f"{family.code}.{part.id[-1]}"
    pick = truck.picks.get(who)
    if pick is not None and stock:
        yield from (f"  {line}" for line in _sizes(asked, name, family, who, pick))
    ids = {part.id, who}
    yield from _told(asked, (row for row in asked.rows if row.part in ids))
    yield from _aside(asked, frozenset({part.id}))
    yield f"  fixed: {stage_of(part.member)}; {part.member.ref}"
    yield from _rests(asked, truck.reads.get(part.id, frozenset()))


def _sizes(asked: Grounds, name: str, family: Family, who: str, pick: Pick) -> Iterator[str]:
    """Every size of a family that is bought: who says it, or why the next lighter does not do."""
    pins = good(asked.job.pins, asked.shop).get(name, {})
    for variable in family.variables:
        if variable.unit not in STOCK or variable.name not in pick.chosen:
            continue
        own = pick.chosen[variable.name]
        lead = f"{variable.name} {own}"
        values = list(variable.values(asked.shop))
        if variable.name in pins:
            yield f"{lead}: pinned, [pin.{name}] {variable.name}"
            continue
        grown = [one for one in asked.strength.grown if one.sets(name, variable.name)]
        place = values.index(own) if own in values else 0
        if grown:
            why = names.sentence(worded(grown[0].reason))
            yield f"{lead}: made larger for its loads, for {why}"
        elif place == 0:
            yield f"{lead}: the lightest in stock that this part may be made of"
        else:
            yield f"{lead}: {_lighter(asked, name, who, pick, {variable.name: values[place - 1]})}"


def _lighter(asked: Grounds, name: str, who: str, pick: Pick, lighter: Mapping[str, Choice]) -> str:
    """Why a family is not made with a lighter size."""
    truck, job = asked.truck, asked.job
    by_name = dict(families())

    def own_sizes(made: str, chosen: Mapping[str, Choice]) -> dict[str, Choice]:
        return {v.name: chosen[v.name] for v in by_name[made].variables if v.name in chosen}

    all_pins = {
        made: own_sizes(made, own.chosen)
        for made, family in by_name.items()
        for own in (truck.picks.get(f"{family.code}.{who[-1]}"),)
        if own is not None and made != name
    }
    held = own_sizes(name, pick.chosen)
    tried = design(
        asked.solved, job.words, {**all_pins, name: {**held, **lighter}}, job.chassis, asked.shop
    )
    said = " and ".join(map(str, lighter.values()))
    found = tried.picks.get(who)
    if found is None or not found.broken:
        return f"{said} meets its family's rules; the loads, or the other side, ask for more"
    return f"{said}, the next lighter, does not do: {'; '.join(map(worded, found.broken))}"


def _bolt(asked: Grounds, number: str, bolt: Bolt) -> Iterator[str]:
    """A bolt: its stack, where its size comes from, its rows."""
    made = next(
        (own for own in fasteners.every(asked.truck, asked.shop) if own.bolt.id == bolt.id), None
    )
    through = " and ".join(map(names.part, bolt.through))
    yield f"{number}: {made.name if made else bolt.size}, through {through}"
    if made is not None and made.grip:
        yield f"  clamps {reader.fine(made.grip)}; {made.call}" + (
            f"; length waits for {made.owed}" if made.owed else ""
        )
    typed = [key for key, word in asked.job.words.items() if word == bolt.size]
    reads = {key for code in bolt.through for key in asked.truck.reads.get(code, ())}
    own = [key for key in typed if any(str(read) == key for read in reads)] or typed
    grown = [
        one
        for one in asked.strength.grown
        if any(change.value == bolt.size for change in one.changes)
    ]
    if bolt.duty != "frame" and own:
        yield f"  size as typed: {', '.join(own)}"
    elif grown:
        yield f"  made larger for its loads: {names.sentence(worded(str(grown[0])))}"
    else:
        yield "  size: the smallest in stock that meets the rows below"
    yield from _told(asked, (row for row in asked.rows if row.part == bolt.id))
    yield from _aside(asked, frozenset({bolt.id}))


def _weld(asked: Grounds, number: str, weld: Weld) -> Iterator[str]:
    """A weld: its size and what decides it, its rows."""
    run = f", {reader.fine(weld.run)} every {reader.fine(weld.pitch)}" if weld.pitch else ""
    yield (
        f"{number}: {weld.kind} {tape(weld.leg)}{run}, {names.part(weld.on)} to"
        f" {names.part(weld.to)}, edges {', '.join(weld.edges)}"
    )
    if weld.kind == "fillet":
        legs = ", ".join(tape(leg) for leg in asked.shop.legs)
        yield (
            f"  leg: the least of {legs} that the plates it joins ask for (AISC 360-16 table J2.4),"
            " larger only where a row below asks for it"
        )
    holds = {(part, what) for part, what, welds in asked.strength.welded if weld.id in welds}
    yield from _told(
        asked,
        (
            row
            for row in asked.rows
            if row.part == weld.id
            or (row.part, row.what.removeprefix("steel beside the ")) in holds
        ),
    )
    yield from _aside(asked, frozenset({weld.id}))
    if weld.care:
        yield f"  care: {', '.join(sorted(weld.care))}"


def _hole(asked: Grounds, part: Part, number: int, hole: Hole) -> Iterator[str]:
    """A hole: how it is made and why so, the bolt it is for, its rows."""
    called = {bolt.id: own for own, bolt in numbered_bolts(asked.truck.assembly).items()}
    slot = f" slot, {reader.fine(hole.length)} long" if hole.length else ""
    yield (
        f"{names.called(part.member.title, part.id)} H{number}: {reader.fine(hole.diameter)}{slot},"
        f" {hole.how}" + (f", pilot {reader.fine(hole.pilot)}" if hole.pilot else "")
    )
    own = next((bolt for bolt in asked.truck.assembly.bolts if bolt.id == hole.bolt), None)
    if hole.how != "cut":
        yield (
            "  not cut to size: pivot, frame and steering holes, and holes under the shop's least"
            f" ({reader.fine(asked.shop.hole_least)}, or {asked.shop.hole_factor:g} x the plate)"
        )
    if own is not None:
        yield f"  for {called.get(own.id, 'a hole without a bolt')}, {own.size}, {own.hole} fit"
    ids = {part.id, hole.bolt, f"{part.id[:2]}.{part.id[-1]}"}
    words = ("edge", "hole", "bearing", "spac")
    yield from _told(
        asked,
        (row for row in asked.rows if row.part in ids and any(w in row.what for w in words)),
    )


def _told(asked: Grounds, rows: Iterable[Check]) -> Iterator[str]:
    """Rows, the most used first."""
    known_by = names.numbers(asked.truck.assembly)
    found = sorted(rows, key=lambda row: -row.utilisation)
    for row in found[:MOST]:
        case = f", {row.case}" if row.case else ""
        yield (
            f"  {row.verdict} {row.utilisation:.2f}  {names.sentence(worded(row.what), known_by)}:"
            f" {ruled(row.demand, row.unit)} of {ruled(row.capacity, row.unit)}{case}"
            f"  [{row.clause}]"
        )
    if len(found) > MOST:
        yield f"  and {len(found) - MOST} rows that are used less: soapstone check --all"
    if asked.strength.waits and not any(row.case for row in found):
        waits = ", ".join(map(str, asked.strength.waits[:MOST]))
        yield f"  no load case is worked yet: waits for {waits}"


def _aside(asked: Grounds, ids: frozenset[str]) -> Iterator[str]:
    """Why no load case is worked for it, where that is said."""
    for entry in asked.truck.assembly.not_held:
        if ids & set(entry.ids):
            yield f"  held against no load ({entry.whose}): {names.sentence(entry.why)}"


def _rests(asked: Grounds, reads: Iterable[Key]) -> Iterator[str]:
    """The readings under everything it was made from."""
    leaves: set[str] = set()
    for key in reads:
        inside = key in asked.solved.values or key in asked.solved.equations
        own = asked.solved.rests_on(key) if inside else ()
        leaves |= {str(leaf) for leaf in own} or {str(key)}
    yield f"  rests on {len(leaves)} readings: {', '.join(sorted(leaves))}"
