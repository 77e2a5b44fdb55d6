"""explain and suppose: why a number is what it is, and what one changed reading changes."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from ...layout import reader, units
from ...layout.faults import Exit
from ..building.designing import designed, loaded
from ..building.travel_report import MAIN
from ..options import JobFile, Json, ShopFile

if TYPE_CHECKING:
    from ...layout.explain import Change
    from ...layout.graph import Graph
    from ...layout.quantities import Key
    from ...layout.travel.limits import Limit
    from ...parts.design.sizing import Check
    from ...parts.placed.clearance import Gap
    from ...parts.verdict.suppose import Differs, Pairwise, Whole


def explain(
    job: JobFile,
    names: Annotated[
        list[str],
        typer.Argument(
            help="names as `solve` prints them, fields of the job file, or at_bump.caster.left"
        ),
    ],
    as_json: Json = False,
) -> None:
    """Explain a number: formula, the numbers put in, source, the readings under it and its
    plus-minus.
    """
    from ...layout import explain as e
    from ...layout.setout import solve

    got, _ = loaded(job)
    solved = solve(got)
    if any(n.startswith("at_") for n in names):
        from ...layout.travel import study
        from ...layout.travel.sure import sure

        t = study(got, solved)
        solved = e.with_travel(solved, t, sure(solved, t.places))
    rows = {str(k): e.explained(solved, k) for n in names for k in e.find(solved, n)}
    print(
        json.dumps(rows, indent=1)
        if as_json
        else "\n".join(line for lines in rows.values() for line in lines)
    )


def suppose(
    job: JobFile,
    changes: Annotated[
        list[str],
        typer.Argument(help='FIELD=VALUE, as many as needed: axle.kpi=8.25 or "travel.bump=4 1/2"'),
    ],
    shop: ShopFile = None,
    as_json: Json = False,
) -> None:
    """Suppose a reading were another: what changes of layout, travel, limits, gaps, strength and
    parts. Nothing is written.
    """
    from ...layout import explain as e
    from ...layout.setout import diagnoses
    from ...parts.strength.growth import held
    from ...parts.verdict.suppose import differs, whole

    d = designed(job, shop)
    typed = e.parse_changes(d.job, changes)
    changed = e.supposed(d.job, typed)
    solved = e.solve(changed)
    h = held(solved, changed.words, changed.pins, changed.chassis, d.shop)
    strength = h.strength._replace(grown=h.grown)
    a = whole(d.job, d.solved, d.truck, d.strength, d.shop)
    b = whole(changed, solved, h.truck, strength, d.shop)
    rows = differs(a, b, typed)
    before = diagnoses.diagnose(d.job, d.solved)
    found = [x for x in diagnoses.diagnose(changed, solved) if x not in before]
    if as_json:
        print(
            json.dumps(_as_json(a, b, rows) | {"diagnoses": [x.sentence for x in found]}, indent=1)
        )
    else:
        print("\n".join(_lines(a, b, rows)))
        for x in found:
            print(f"{x.severity}: {x.sentence} {x.cure}".rstrip())
    if any(x.severity == "conflict" for x in found):
        raise typer.Exit(Exit.NO_SOLUTION)


def _as_json(a: Whole, b: Whole, d: Differs) -> dict[str, Any]:
    def values(rows: list[Change]) -> list[dict[str, str]]:
        return [
            {"key": str(c.key), "was": _cell(a.graph, c.key), "now": _cell(b.graph, c.key)}
            for c in rows
        ]

    return {
        "values": values(d.values),
        "travel": values(d.travel),
        "limits": [
            {"path": (p.now or p.was).path, "name": (p.now or p.was).name, **_pair(p, _end)}  # type: ignore[union-attr]
            for p in d.limits
        ],
        "gaps": [
            {"one": (p.now or p.was).one, "two": (p.now or p.was).two, **_pair(p, _gap)}  # type: ignore[union-attr]
            for p in d.gaps
        ],
        "margins": [
            {"part": (p.now or p.was).part, "what": (p.now or p.was).what, **_pair(p, _use)}  # type: ignore[union-attr]
            for p in d.margins
        ],
        "parts": {
            "change": [
                {"part": p.part, "word": p.word, "what": p.why, "because": d.why[p.part]}
                for p in d.parts
            ],
            "go": d.go,
            "come": d.come,
        },
        "no_rest": d.lost,
    }


def _lines(a: Whole, b: Whole, d: Differs) -> list[str]:
    """Everything `suppose` prints."""
    if d.nothing:
        return ["Nothing changes: no value, no travel, no limit, no gap, no margin, no part."]
    from ...parts.words.names import called, numbers, sentence
    from ...parts.words.numbers import worded

    known = numbers(b.truck.assembly)
    out = []
    for title, rows in (("layout", d.values), ("travel", d.travel)):
        out.append(f"{title}: {len(rows)} values change")
        out += [
            f"  {c.key!s:28} {_cell(a.graph, c.key):>14} -> {_cell(b.graph, c.key):>14}  "
            f" {b.graph.title(c.key)}"
            for c in rows
            if title == "layout" or c.key.name.partition(".")[2] in MAIN
        ]
    out += [f"no rest any more at {x}" for x in d.lost]
    for title, pairs, show, name in (
        ("limits", d.limits, _end, lambda x: f"{x.path}, {x.name}"),
        (
            "gaps under what is needed",
            d.gaps,
            _gap,
            lambda x: f"{called(x.titles[0], x.one)} to {called(x.titles[1], x.two)}",
        ),
        ("margins", d.margins, _use, lambda x: sentence(f"{x.part}: {worded(x.what)}", known)),
    ):
        out.append(f"{title}: {len(pairs)} change")
        out += [
            f"  {name(p.now or p.was)}: {show(p.was)} -> {show(p.now)}"  # type: ignore[no-untyped-call, operator]
            for p in pairs[:MOST]  # type: ignore[index]
        ]
        if len(pairs) > MOST:
            out.append(f"  and {len(pairs) - MOST} more, all of them with --json")
    return [*out, *_parts(a, d)]


def _parts(a: Whole, d: Differs) -> list[str]:
    from ...parts.truck.likeness import counted
    from ...parts.words.names import part, sentence

    stay = len(a.truck.singles) - len(d.parts) - len(d.go)
    out = [f"parts, each place counted: {stay} the same"]
    for word, rows in counted(d.parts).items():
        out.append(f"{word}: {len(rows)}")
        out += [f"  {part(p.part)}: {sentence(p.why)}, because of {d.why[p.part]}" for p in rows]
    if d.go:
        out.append(f"no longer made: {', '.join(map(part, d.go))}")
    if d.come:
        out.append(f"new: {', '.join(f'{part(p)} ({d.why[p]})' for p in d.come)}")
    return out


def _pair(p: Pairwise[Any], show: Callable[[Any], str]) -> dict[str, str]:
    return {"was": show(p.was), "now": show(p.now)}


def _end(x: Limit | None) -> str:
    from ..building.travel_ends import limit_words

    return "none" if x is None else limit_words(x).removeprefix(x.name).lstrip(": ")


def _gap(g: Gap | None) -> str:
    from ...parts.words.numbers import room

    return (
        f"over {room(units.IN)}"
        if g is None
        else f"{g.verdict} {reader.length(g.gap)} at {g.place}"
    )


def _use(c: Check | None) -> str:
    return (
        "none"
        if c is None
        else f"{c.verdict} {c.utilisation:.2f} used, {c.case}".removesuffix(", ")
    )


def _cell(g: Graph, k: Key) -> str:
    from ...layout.explain import shown

    return shown(g, k) if k in g.values else "none"


MOST = 12
