"""suppose: what one changed reading changes."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from ...layout import units
from ...layout.faults import Exit
from ..building.design import Designed, designed
from ..options import AsJson, ShopFile, job_and_words

if TYPE_CHECKING:
    from ...layout.explain import LayoutChange
    from ...layout.graph import Graph
    from ...layout.quantities import Key
    from ...layout.travel.limits import Limit
    from ...parts.design.sizing import Check
    from ...parts.placed.clearance import Gap
    from ...parts.verdict.suppose import Differs, Pairwise, Whole

PLACE = 70
MOST = 12
"""Rows of one kind that are printed; all of them stand in the JSON."""
T = TypeVar("T")


def suppose(
    words: Annotated[
        list[str],
        typer.Argument(
            metavar="[JOB] FIELD=VALUE...",
            help=(
                'as many as needed: axle.kpi=8.25 or "travel.bump=4 1/2"; before them the job file,'
                " if there is more than one in the folder"
            ),
        ),
    ],
    shop: ShopFile = None,
    as_json: AsJson = False,
) -> None:
    """Suppose a reading were another: what changes of layout, travel, limits, gaps, strength and
    parts. Nothing is written.
    """
    from ...layout.explain import parse_changes, solve, supposed
    from ...layout.setout import diagnoses
    from ...parts.strength.growth import held
    from ...parts.truck import pins
    from ...parts.verdict.suppose import differs, whole

    job, changes = job_and_words(words)
    found = designed(job, shop)
    typed = parse_changes(found.job, changes)
    changed = supposed(found.job, typed)
    solved = solve(changed)
    grown = held(
        solved, changed.words, pins.good(changed.pins, found.shop), changed.chassis, found.shop
    )
    strength = grown.strength._replace(grown=grown.grown)
    was = _whole(found)
    now = whole(changed, solved, grown.truck, strength, found.shop)
    rows = differs(was, now, typed)
    before = diagnoses.diagnose(found.job, found.solved)
    new = [row for row in diagnoses.diagnose(changed, solved) if row not in before]
    if as_json:
        facts = _as_json(was, now, rows) | {"diagnoses": [row.sentence for row in new]}
        print(json.dumps(facts, indent=1))
    else:
        print("\n".join(_lines(was, now, rows)))
        for row in new:
            print(f"{row.severity}: {row.sentence} {row.cure}".rstrip())
    if any(row.severity == "conflict" for row in new):
        raise typer.Exit(Exit.NO_SOLUTION)


def _whole(found: Designed) -> Whole:
    from ...parts.verdict.suppose import whole

    return whole(found.job, found.solved, found.truck, found.strength, found.shop)


def _as_json(was: Whole, now: Whole, found: Differs) -> dict[str, object]:
    def values(rows: Sequence[LayoutChange]) -> list[dict[str, str]]:
        return [
            {
                "key": str(change.key),
                "was": _cell(was.graph, change.key),
                "now": _cell(now.graph, change.key),
            }
            for change in rows
        ]

    return {
        "values": values(found.values),
        "travel": values(found.travel),
        "limits": [
            {"path": own.path, "name": own.name, **_pair(pair, _end)}
            for pair, own in _either(found.limits)
        ],
        "gaps": [
            {"one": own.one, "two": own.two, **_pair(pair, _gap)}
            for pair, own in _either(found.gaps)
        ],
        "margins": [
            {"part": own.part, "what": own.what, **_pair(pair, _use)}
            for pair, own in _either(found.margins)
        ],
        "parts": {
            "change": [
                {
                    "part": part.part,
                    "word": part.word,
                    "what": part.why,
                    "because": found.why[part.part],
                }
                for part in found.parts
            ],
            "go": found.go,
            "come": found.come,
        },
        "no_rest": found.lost,
    }


def _either(pairs: Sequence[Pairwise[T]]) -> Iterator[tuple[Pairwise[T], T]]:
    """Each pair with the one of it that is there, as it is now before as it was."""
    for pair in pairs:
        own = pair.was if pair.now is None else pair.now
        if own is not None:
            yield pair, own


def _lines(was: Whole, now: Whole, found: Differs) -> list[str]:
    """Everything `suppose` prints."""
    if found.nothing:
        return ["Nothing changes: no value, no travel, no limit, no gap, no margin, no part."]
    from ...parts.words.names import called, numbers, sentence
    from ...parts.words.numbers import worded

    known = numbers(now.truck.assembly)
    out = _value_lines(was, now, found)
    out += _block(
        "limits",
        [
            f"{own.path}, {own.name}: {_end(pair.was)} -> {_end(pair.now)}"
            for pair, own in _either(found.limits)
        ],
    )
    out += _block(
        "gaps under what is needed",
        [
            f"{called(own.titles[0], own.one)} to {called(own.titles[1], own.two)}:"
            f" {_gap(pair.was)} -> {_gap(pair.now)}"
            for pair, own in _either(found.gaps)
        ],
    )
    out += _block(
        "margins",
        [
            f"{sentence(f'{own.part}: {worded(own.what)}', known)}:"
            f" {_use(pair.was)} -> {_use(pair.now)}"
            for pair, own in _either(found.margins)
        ],
    )
    return [*out, *_parts(was, found)]


def _value_lines(was: Whole, now: Whole, found: Differs) -> list[str]:
    from ...parts.placed.cycle import MAIN

    out = []
    for title, rows in (("layout", found.values), ("travel", found.travel)):
        out.append(f"{title}: {len(rows)} values change")
        out += [
            f"  {change.key!s:28} {_cell(was.graph, change.key):>14} ->"
            f" {_cell(now.graph, change.key):>14}   {now.graph.title(change.key)}"
            for change in rows
            if title == "layout" or change.key.name.partition(".")[2] in MAIN
        ]
    return out + [f"no rest any more at {place}" for place in found.lost]


def _block(title: str, rows: Sequence[str]) -> list[str]:
    """A heading with the number of rows, and the first of them."""
    out = [f"{title}: {len(rows)} change", *(f"  {row}" for row in rows[:MOST])]
    if len(rows) > MOST:
        out.append(f"  and {len(rows) - MOST} more, all of them with --json")
    return out


def _parts(was: Whole, found: Differs) -> list[str]:
    from ...parts.truck.likeness import counted
    from ...parts.words.names import part, sentence

    stay = len(was.truck.singles) - len(found.parts) - len(found.go)
    out = [f"parts, each place counted: {stay} the same"]
    for word, rows in counted(found.parts).items():
        out.append(f"{word}: {len(rows)}")
        out += [
            f"  {part(row.part)}: {sentence(row.why)}, because of {found.why[row.part]}"
            for row in rows
        ]
    if found.go:
        out.append(f"no longer made: {', '.join(map(part, found.go))}")
    if found.come:
        new = ", ".join(f"{part(name)} ({found.why[name]})" for name in found.come)
        out.append(f"new: {new}")
    return out


def _pair(pair: Pairwise[T], show: Callable[[T | None], str]) -> dict[str, str]:
    return {"was": show(pair.was), "now": show(pair.now)}


def _end(limit: Limit | None) -> str:
    from ...parts.placed.travel_ends import limit_words

    return "none" if limit is None else limit_words(limit).removeprefix(limit.name).lstrip(": ")


def _gap(gap: Gap | None) -> str:
    from ...parts.words.numbers import room

    if gap is None:
        return f"over {room(units.IN)}"
    return f"{gap.verdict} {gap.told} at {gap.place}"


def _use(check: Check | None) -> str:
    if check is None:
        return "none"
    return f"{check.verdict} {check.utilisation:.2f} used, {check.case}".removesuffix(", ")


def _cell(graph: Graph, key: Key) -> str:
    from ...layout.explain import shown

    return shown(graph, key) if key in graph.values else "none"
