"""Travel as rows for people and for JSON: positions, limits, gaps, arm spin, plus-minus, what to
read again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, Key
from ...layout.setout import surety
from ...parts.model.verdict import Verdict
from ...parts.placed.cycle import MAIN, Cycle
from ...parts.placed.travel_ends import ends_words, in_shop, limit_rows, rest_words
from ...parts.placed.travel_rows import (
    cells,
    gap_rows,
    gap_words,
    position_rows,
    spin_words,
    table,
    unlooked,
)
from ...parts.placed.twice import twice
from ...parts.verdict.findings import Judged
from ...parts.words import numbers as shown

if TYPE_CHECKING:
    from ...layout.assumed import Assumed
    from ...parts.drawing.travel import TravelWords
    from ...parts.stock import Shop
    from ...parts.truck.truck import Truck

OTHERS = 20
"""Pairs with room enough that the sheet still lists, the closest."""
TRAVELS = ("arms.", "travel.", "plus-minus")
"""What travel rests on, in the names of the readings that would take an assumption's place."""


def cycle_of(
    job: Job,
    solved: Graph,
    truck: Truck,
    shop: Shop,
    say: Callable[[str], None] = lambda s: None,
    found: Sequence[Assumed] = (),
) -> Cycle:
    """Solve the travel of a designed truck.

    ``found``: everything assumed, of which travel's is kept.
    """
    from ...layout.assumed import about
    from ...layout.travel import second_rests, study
    from ...layout.travel.limits import limits
    from ...layout.travel.spin import spins
    from ...layout.travel.sure import Sure, as_built
    from ...parts.placed.clearance import hits, touching
    from ...parts.verdict.advice import advise

    say("travel: positions and limits")
    t, kept = study(job, solved), tuple(about(found, *TRAVELS))
    if t.linkage is None:
        return Cycle(
            travel=t,
            limits=(),
            gaps=(),
            trims=(),
            spins=(),
            sure=Sure({}, {}),
            two={},
            assumed=kept,
        )
    say("travel: what hits what")
    gaps = hits(truck, job, solved, shop)
    ends = limits(job, solved, touching(truck, job, solved.values, shop, gaps))
    say("travel: how sure")
    return Cycle(
        travel=t,
        limits=ends,
        gaps=gaps,
        trims=tuple(map(str, advise(gaps, job, solved, truck, shop))),
        spins=spins(t.linkage, solved.values),
        sure=as_built(solved, t.places, lambda k: k.name in MAIN),
        two=second_rests(t),
        assumed=kept,
    )


def answer_rows(solved: Graph) -> list[dict[str, object]]:
    """One row an answer: value and plus-minus as they deserve, what is behind it, whether an
    adjuster covers it.
    """
    return [
        {
            "key": str(a.key),
            "title": a.title,
            "value": surety.rounded(a.value, a.unit),
            "plus_minus": surety.doubt(a.plus_minus, a.unit),
            "adjuster": a.adjuster,
            "covered": a.covered,
            "behind": [f"{k} {100 * s:.0f} %" for k, s in a.behind],
        }
        for a in surety.answers(solved)
    ]


def again_lines(solved: Graph) -> list[str]:
    """Readings to take again, best first, in words."""
    return [f"{k}: behind {', '.join(map(str, keys))}" for k, _, keys in surety.take_again(solved)]


def tables(c: Cycle) -> dict[str, Sequence[Mapping[str, object]]]:
    """The rows of travel.json that are a CSV too."""
    return {"positions": position_rows(c), "limits": limit_rows(c), "gaps": gap_rows(c)}


def as_json(c: Cycle, solved: Graph, judged: Judged) -> dict[str, object]:
    """travel.json: the truck's verdict first."""
    t = c.travel
    return {
        "verdict": judged.worst.value,
        "headline": judged.headline,
        **tables(c),
        "trims": list(c.trims),
        "spin": [
            {
                "side": SIDE_WORD[s.side],
                "push": in_shop(s.push, "force"),
                "flips_at": in_shop(s.critical, "force") if math.isfinite(s.critical) else None,
                "unit": reader.unit("force"),
            }
            for s in c.spins
        ],
        "answers": answer_rows(solved),
        "take_again": again_lines(solved),
        "waits": {n: list(map(str, k)) for n, k in t.waits.items()},
        "lost": dict(t.lost),
        "two_rests": dict(c.two),
        "assumed": assumed(c, solved),
        "not_looked_at": unlooked(c, solved),
    }


def assumed(c: Cycle, solved: Graph) -> list[str]:
    """What was not read and is bracketed or assumed, one line each."""
    return list(c.assumed)


def pivot_words(solved: Graph) -> list[str]:
    """Solved points as the fitter tapes them."""
    from ...parts.drawing.setout import points

    said = []
    for p in points(solved):
        hole = solved.values.get(
            Key("frame.datum_hole", p.side if p.side != "C" else ("L" if p.at[1] >= 0 else "R"))
        )
        along = (
            ""
            if hole is None
            else (
                f"{units.show(abs(p.at[0] - hole), 'length')}"
                f" {'ahead of' if p.at[0] > hole else 'behind'} the datum hole, "
            )
        )
        side = {"L": "left", "R": "right"}.get(p.side, "left" if p.at[1] >= 0 else "right")
        said.append(
            f"{p.says}, {side}: {along}{units.show(abs(p.at[1]), 'length')} out,"
            f" {units.show(p.at[2], 'length')} up"
        )
    return said


def sheet_words(c: Cycle, solved: Graph) -> TravelWords:
    """What the travel sheets say."""
    from ...parts.drawing.travel import TravelWords
    from ...parts.words.readings import in_words

    waits = [f"{n} waits for {', '.join(map(str, keys))}" for n, keys in c.travel.waits.items()]
    close = [g for g in c.gaps if g.verdict is not Verdict.OK]
    first = [
        ("Where the pivots go", pivot_words(solved)),
        ("What ends the travel", ends_words(c, 2)),
        (
            f"What comes closest: three tightest of {len(close)} below the gap needed",
            [gap_words(g) for g in c.gaps[:3]],
        ),
        ("Read again, best first", again_lines(solved)),
        ("Upper arm pushed", spin_words(c)),
        (
            "Not known",
            [
                *waits,
                f"{len(c.assumed)} assumptions, listed behind the views" if c.assumed else "",
                *(f"not looked at: {w}" for w in unlooked(c, solved)),
                *rest_words(c),
            ],
        ),
    ]
    more = [
        ("ASSUMED, nobody measured it", assumed(c, solved)),
        ("What may give way", list(c.trims)),
        (
            f"Pairs below the gap needed, and the {OTHERS} next; all within"
            f" {shown.room(units.IN)} stand in the table of gaps",
            [gap_words(g) for g in c.gaps if g.verdict is not Verdict.OK]
            + [gap_words(g) for g in c.gaps if g.verdict is Verdict.OK][:OTHERS],
        ),
        ("Every limit", ends_words(c, 99)),
        ("How sure", [surety.sentence(a) for a in surety.answers(solved)]),
        ("Worked twice", list(map(str, twice(c, solved)))),
    ]
    return TravelWords(
        cells(c),
        *(
            [(head, [in_words(line, solved) for line in said]) for head, said in lists]
            for lists in (first, more)
        ),
    )


def lines(c: Cycle, solved: Graph) -> list[str]:
    """Everything `cycle` prints."""
    t = c.travel
    said = [f"{n} waits for {', '.join(map(str, keys))}" for n, keys in t.waits.items()]
    if t.pose is None:
        return said
    said += [*table(c), "", "What ends the travel", *(f"  {x}" for x in ends_words(c, 3))]
    said += [
        "",
        "What comes closest",
        *(
            [f"  {gap_words(g)}" for g in c.gaps[:3]]
            or [f"  nothing within {shown.room(units.IN)}"]
        ),
    ]
    said += [f"  {s}" for s in c.trims]
    said += spin_words(c)
    said += ["", "How sure"] + [f"  {surety.sentence(a)}" for a in surety.answers(solved)]
    said += ["", "Worked twice", *(f"  {pair}" for pair in twice(c, solved))]
    again = again_lines(solved)
    said += [
        "",
        (
            "Take again, best first: " + "; ".join(again)
            if again
            else "No reading needs taking again: adjusters cover what is in doubt."
        ),
    ]
    said += ["", *(f"not looked at: {w}" for w in unlooked(c, solved)), *rest_words(c)]
    said += assumed(c, solved)
    said.append(
        "Rigid arms, axle and frame, linear bushings. Calculations, not an approval; local law"
        " decides. Cycle the truck by hand before anything is welded."
    )
    return said
