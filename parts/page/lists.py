"""What the page lists: parts, welds and bolts by stage, findings and checks by what matters,
readings and results.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from ..calculations.given import reading_rows
from ..design.part_numbers import places_in_words
from ..design.sizing import Check
from ..documents.schedules import NO_TORQUE
from ..documents.steps import LAID_IN
from ..documents.welding import words_of
from ..model.assembly import Part
from ..model.numbering import STAGES, bolt_stage, numbered_welds, stage_of, weld_stage
from ..model.verdict import Verdict
from ..stock import Shop
from ..stock.torque import torque
from ..strength.result import Strength
from ..truck import fasteners
from ..truck.truck import Truck
from ..verdict.findings import Finding, Judged
from ..words import names
from .blocks import ListRow, Say, fold, group, items, listed, safe
from .card import look_of
from .shown import PageContents

Staged = TypeVar("Staged")
MOST_ROWS = 60
"""Checks that hold which the page lists; those that do not are all listed."""
ALL = 10**6
TOOLS = "Templates"
"""What is cut for the work itself and stays on no truck."""
BANDS = ((0.9, "0.9 and more used"), (0.75, "0.75 to 0.9 used"), (0.0, "less used"))
"""Least used of what is allowed by a check that holds, and how such checks are called."""
HEAD = "ASSUMED: "
"""How a line of what nobody read begins (``layout.assumed``)."""
TITLES = {Verdict.TIGHT: "Tighter than needed", Verdict.ASSUMED: "Rests on what is assumed"}
"""Verdicts in a heading, where that is not their own word."""


def findings(judged: Judged, shown: PageContents, say: Say) -> str:
    """Everything that is not ok by its verdict, worst first; open are the worst, what nobody can
    sign for and what waits.
    """
    found: list[str] = []
    for verdict in judged.counts:
        if verdict is Verdict.OK:
            continue
        own = [finding for finding in judged.findings if finding.verdict is verdict]
        body = _resting(own, shown, say) if verdict is Verdict.ASSUMED else _by_reason(own, say)
        opened = verdict.bars or not found
        found.append(group(_called(verdict), body, count=len(own), shown=opened))
    return "".join(found) or "<p>nothing</p>"


def _by_reason(own: Iterable[Finding], say: Say) -> str:
    """Findings of one verdict, what shares a reason together."""
    lines = Judged(own).lines(ALL, ALL)
    return items([line.partition(": ")[2] for line in lines], say)


def _resting(own: Sequence[Finding], shown: PageContents, say: Say) -> str:
    """Each assumption once, with what takes its place, what it moves and the parts that rest on
    it; then what rests on none of them.
    """
    parts = [finding for finding in own if finding.kind == "part"]
    said, told = [], set()
    for line in shown.assumed:
        if not line.startswith(HEAD):
            continue
        words = line.removeprefix(HEAD)
        mine = [part.id for part in parts if words in part.reason]
        told |= {words, *mine}
        said.append(_assumption(words, mine, say))
    rest = _by_reason([one for one in own if one.id not in told], say)
    return f"<ul>{''.join(said)}</ul>{rest}"


def _assumption(words: str, parts: Sequence[str], say: Say) -> str:
    """One assumption; ``parts``: ids of those that rest on it."""
    what, _, after = words.partition(", instead of ")
    instead, _, moves = after.partition("; moves ")
    on = ", ".join(places_in_words(parts)) or "no part by itself"
    rows = (f"Instead of {say(instead)}", f"Moves {say(moves)}", f"Parts that rest on it: {on}")
    return f"<li><b>{safe(say(what))}</b>{''.join(f'<p>{safe(row)}</p>' for row in rows)}</li>"


def _called(verdict: Verdict) -> str:
    return TITLES.get(verdict, str(verdict).capitalize())


def _staged(rows: Iterable[tuple[str, Staged]], shown: Callable[[Sequence[Staged]], str]) -> str:
    """Groups in the order of the stages; ``rows``: things, each with its stage."""
    found: dict[str, list[Staged]] = {stage: [] for stage in (*STAGES, TOOLS)}
    for stage, thing in rows:
        found[stage].append(thing)
    return "".join(
        group(_stage_title(stage), shown(own), count=len(own))
        for stage, own in found.items()
        if own
    )


def _stage_title(stage: str) -> str:
    """A stage by its number in the traveler and its own word."""
    laid = {str(own): title.partition(",")[0] for own, title in LAID_IN.items()}
    return f"{laid[stage]}, {stage}" if stage in laid else stage


def parts(truck: Truck, card: Callable[[Part], str]) -> str:
    """Every part by the stage it is put in; ``card``: a part's HTML."""
    rows = (
        (TOOLS if part.member.fixed_after == "tool" else str(stage_of(part.member)), card(part))
        for part in truck.parts
    )
    body = _staged(rows, lambda cards: f'<div class="cards">{"".join(cards)}</div>')
    return fold("Parts", body, count=len(truck.parts), name="parts")


def welds(truck: Truck) -> str:
    """Every weld by the stage it is laid in."""
    titles = _titles(truck)
    found = numbered_welds(truck.assembly)
    rows = (
        (
            str(weld_stage(truck.assembly, weld)),
            ListRow(
                number,
                (
                    safe(f"{titles[weld.on]} to {titles.get(weld.to, names.part(weld.to))}"),
                    safe("; ".join((words_of(weld), *sorted(weld.care)))),
                ),
                f"{weld.on} {weld.to}",
            ),
        )
        for number, weld in found.items()
    )
    return fold("Welds", _staged(rows, listed), count=len(found), name="welds")


def bolts(truck: Truck, shop: Shop) -> str:
    """Every bolt, dowel and stud by the stage it goes in, with what it passes and its torque."""
    titles = _titles(truck)
    found = fasteners.every(truck, shop)
    rows = (
        (
            str(bolt_stage(truck.assembly, one.bolt)),
            ListRow(
                one.number,
                (
                    safe(", ".join(titles.get(x, names.part(x)) for x in one.stack)),
                    safe("; ".join(_bolt_words(one, shop))),
                ),
                " ".join(one.stack),
            ),
        )
        for one in found
    )
    return fold("Bolts", _staged(rows, listed), count=len(found), name="bolts")


def _bolt_words(one: fasteners.Fastener, shop: Shop) -> list[str]:
    """Size, nut, torque and when it is tightened, and what it waits for."""
    tight, when = torque(one.bolt, shop), fasteners.tightened_at(one.bolt)
    words = [one.name, f"nut: {one.nut}" if one.nut else ""]
    words.append(f"torque {tight}" if tight != "-" else f"torque {NO_TORQUE}")
    words.append("" if when == "any" else f"tightened at {when}")
    return [each for each in (*words, one.owed) if each]


def _titles(truck: Truck) -> Mapping[str, str]:
    """Title and printed name of every member by its code."""
    return {
        member.code: names.called(member.title, member.code) for member in truck.assembly.members
    }


def checks(truck: Truck, held: Strength, say: Say) -> str:
    """What does not hold and what is to be confirmed, all of it; then what holds, most used
    first.
    """
    every = sorted((*held.checks, *truck.checks), key=lambda check: -check.utilisation)
    rows = [check for check in every if check.capacity > 0]
    holding = [check for check in rows if check.verdict is Verdict.OK][:MOST_ROWS]
    found: dict[str, list[ListRow]] = {}
    for check in sorted(rows, key=lambda check: check.verdict.rank):
        if check.verdict is not Verdict.OK:
            found.setdefault(_called(check.verdict), []).append(_check_row(check, say))
    for check in holding:
        band = next(title for least, title in BANDS if check.utilisation >= least)
        found.setdefault(f"Holds, {band}", []).append(_check_row(check, say))
    said = (
        f"<p>{len(rows)} checks in all, here what does not hold and the most used; the calculations"
        " have every one.</p>"
    )
    body = "".join(group(title, listed(own), count=len(own)) for title, own in found.items())
    return fold("Checks, what matters first", said + body, name="checks")


def _check_row(check: Check, say: Say) -> ListRow:
    """How much of what is allowed a check uses, of what, in which case and by what rule."""
    look = "" if check.verdict is Verdict.OK else f' class="{look_of(check.verdict)}"'
    what = f"<span{look}>{safe(say(check.part))}: {safe(say(check.what))}</span>"
    by = "; ".join(filter(None, (check.case, check.clause)))
    return ListRow(f"{check.utilisation:.2f}", (what, safe(by)))


def readings(judged: Judged, shown: PageContents, say: Say) -> str:
    """Every reading as taken; first what is said of some: still needed, assumed."""
    owed = [
        ListRow(
            "needed" if finding.verdict is Verdict.WAITS else finding.verdict.value,
            (safe(say(finding.title)), safe(say(finding.reason))),
        )
        for finding in judged.findings
        if finding.kind == "reading" and finding.verdict is not Verdict.OK
    ]
    taken = []
    for said, left, right in reading_rows(shown.readings):
        code, _, what = said.partition(" ")
        value = f"left {left}, right {right}" if left and right else left or right
        taken.append(ListRow(code, (safe(what), safe(value))))
    note = "<p>* assumed: nobody read it. ~ nobody gave a plus-minus: it is the usual one.</p>"
    return fold("Readings", note + listed([*owed, *taken]), count=len(taken), name="readings")


def results(shown: PageContents) -> str:
    """Every result of the layout with its plus-minus."""
    rows = [
        ListRow(value, (safe(what), safe(f"±{doubt}" if doubt else "")))
        for what, value, doubt in shown.setout
    ]
    return fold("Layout", listed(rows, wide=True), count=len(rows), name="setout")
