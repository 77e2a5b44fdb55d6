"""Travel as rows for people and for JSON: positions, limits, gaps, arm spin, plus-minus, what to
read again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, Key
from ...layout.setout import surety
from ...parts.model.verdict import Verdict
from ...parts.verdict.findings import Judged
from ...parts.words import names
from ...parts.words import numbers as shown
from .travel_ends import ends_words, in_shop, limit_rows, rest_words, unit_of

if TYPE_CHECKING:
    from ...layout.assumed import Assumed
    from ...layout.travel import Travel
    from ...layout.travel.limits import Limit
    from ...layout.travel.spin import Spin
    from ...layout.travel.sure import Sure
    from ...parts.placed.clearance import Gap
    from ...parts.stock import Shop
    from ...parts.truck.truck import Truck

MAIN = {
    "caster": "caster",
    "pinion.up": "pinion, nose up",
    "lateral": "axle sideways, left +",
    "fore_aft": "axle forward",
    "wheel.heading": "wheel heading, left +",
    "toe_in": "toe-in",
    "coil.length": "coil length",
    "coil.seat": "coil seats, angle",
    "slip": "shaft longer",
    "pinion.joint": "pinion joint",
    "transfer.joint": "transfer-case joint",
    "frame_joint": "frame joint",
    "upper.radial": "upper bushing squeezed",
    "lower.cone": "lower bushing cone",
    "bar.angle": "track bar, rising",
    "drag.angle": "drag link, rising",
}


class Cycle(NamedTuple):
    """Everything about the travel of one truck."""

    travel: Travel
    limits: tuple[Limit, ...]
    gaps: tuple[Gap, ...]
    trims: tuple[str, ...]
    spins: tuple[Spin, ...]
    sure: Sure
    two: Mapping[str, str] = {}
    assumed: tuple[str, ...] = ()


TRAVELS = ("arms.", "travel.", "plus_minus")
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
    from ...layout.travel.sure import Sure, sure
    from ...parts.placed.clearance import hits, touching
    from ...parts.verdict.advice import advise

    say("travel: positions and limits")
    t, kept = study(job, solved), tuple(about(found, *TRAVELS))
    if t.linkage is None:
        return Cycle(t, (), (), (), (), Sure({}, {}), {}, kept)
    say("travel: what hits what")
    gaps = hits(truck, job, solved, shop)
    ends = limits(job, solved, touching(truck, job, solved.values, shop, gaps))
    say("travel: how sure")
    return Cycle(
        t,
        ends,
        gaps,
        tuple(map(str, advise(gaps, job, solved, truck, shop))),
        spins(t.linkage, solved.values),
        sure(solved, t.places, lambda k: k.name in MAIN),
        second_rests(t),
        kept,
    )


def position_rows(c: Cycle) -> list[dict[str, Any]]:
    """One row a position and quantity."""
    from ...layout.travel import KINDS

    rows = []
    t = c.travel
    for i, p in enumerate(t.places) if t.pose is not None else ():
        for k, a in t.found.items():
            kind = KINDS[k.name][0]
            if not math.isfinite(a[i]):
                continue
            row: dict[str, Any] = {
                "place": p.name,
                "heave": in_shop(p.heave, "length"),
                "roll": in_shop(p.roll, "angle"),
                "key": str(k),
                "value": in_shop(float(a[i]), kind),
                "unit": unit_of(kind),
                "settled": bool(t.pose.settled[i]),
            }  # type: ignore[union-attr]
            if k in c.sure.u:
                row["plus_minus"] = in_shop(2 * float(c.sure.u[k][i]), kind)
                row["from"] = [str(leaf) for leaf, _ in c.sure.dominating(k, i)]
            if t.low and t.high:
                row["low"], row["high"] = (
                    in_shop(float(t.low[k][i]), kind),
                    in_shop(float(t.high[k][i]), kind),
                )
            rows.append(row)
    return rows


def gap_rows(c: Cycle) -> list[dict[str, Any]]:
    """One row a pair, tightest first."""
    return [
        {
            "one": g.one,
            "two": g.two,
            "says": " and ".join(g.titles),
            "gap": in_shop(g.gap, "length"),
            "plus_minus": in_shop(g.plus_minus, "length"),
            "wanted": in_shop(g.allowed, "length"),
            "unit": reader.unit("length"),
            "place": g.place,
            "verdict": g.verdict.value,
            "x": in_shop(g.at[0], "length"),
            "y": in_shop(g.at[1], "length"),
            "z": in_shop(g.at[2], "length"),
        }
        for g in c.gaps
    ]


def answer_rows(solved: Graph) -> list[dict[str, Any]]:
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


def as_json(c: Cycle, solved: Graph, judged: Judged) -> dict[str, Any]:
    """travel.json: the truck's verdict first."""
    t = c.travel
    return {
        "verdict": judged.worst.value,
        "headline": judged.headline,
        "positions": position_rows(c),
        "limits": limit_rows(c),
        "gaps": gap_rows(c),
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


def unlooked(c: Cycle, solved: Graph) -> list[str]:
    """What could not be looked at for want of a reading, one line each; nothing while the travel
    itself waits.
    """
    said: list[str] = []
    if c.travel.pose is None:
        return said
    for n, key in (("tire width", "axle.tire_width"), ("wheel lock", "steering.lock")):
        if Key(key, "C") not in solved.values:
            said.append(f"tires at lock, {n} is not read ({key})")
    return said


def cells(c: Cycle) -> list[list[str]]:
    """The main quantities over the envelope, left and right, first row the positions; least .. most
    where bracketed.
    """
    from ...layout.travel import KINDS

    t = c.travel
    if t.pose is None:
        return []
    names = (
        "full bump",
        "ride height",
        "full droop",
        "roll, left up",
        "roll, right up",
        "left on its stop",
        "right on its stop",
    )
    at = [t.at(n) for n in names if n in [p.name for p in t.places]]
    rows = [
        ["", *(t.places[i].name.replace("roll, ", "").replace(" on its stop", " stop") for i in at)]
    ]
    order = list(MAIN)
    for k in sorted(
        (k for k in t.found if k.name in MAIN), key=lambda k: (order.index(k.name), k.side)
    ):
        kind = KINDS[k.name][0]
        places = 2 if kind == "length" else 1
        row = [f"{MAIN[k.name]}{' ' + SIDE_WORD[k.side] if k.side != 'C' else ''}, {unit_of(kind)}"]
        for i in at:
            low, high = (
                in_shop(float((found or t.found)[k][i]), kind) for found in (t.low, t.high)
            )
            wide = high - low > (0.02 if kind == "length" else 0.1)
            fixed = lambda x, n=places: f"{round(x, n) + 0.0:.{n}f}"
            text = (
                f"{fixed(low)}..{fixed(high)}"
                if wide
                else fixed(in_shop(float(t.found[k][i]), kind))
            )
            row.append(text if t.pose.settled[i] else "no rest")
        rows.append(row)
    return rows


def table(c: Cycle) -> list[str]:
    """The same for a screen."""
    return [f"{r[0]:34}" + "".join(f"{x:>15}" for x in r[1:]) for r in cells(c)]


def gap_words(g: Gap) -> str:
    """One pair."""
    return (
        f"{g.verdict} {reader.length(g.gap)} ± {reader.length(g.plus_minus)},"
        f" {names.called(g.titles[0], g.one)} to"
        f" {names.called(g.titles[1], g.two)}, {g.place}"
    )


def spin_words(c: Cycle) -> list[str]:
    """Arm spin, one line a side."""
    from ...layout.travel.spin import WARN

    return [
        f"{'WARNING: ' if s.ratio > WARN else ''}arm {SIDE_WORD[s.side]}: braking backwards pushes"
        f" its upper arm with {reader.measure(s.push, 'force')}; it would flip about its own axis"
        f" at {reader.measure(s.critical, 'force') if math.isfinite(s.critical) else 'no force'}"
        f" ({s.ratio:.2f})"
        for s in c.spins
    ]


def pivot_words(solved: Graph) -> list[str]:
    """Solved points as the fitter tapes them."""
    from ...parts.drawing.setout import points

    said = []
    for p in points(solved):
        hole = solved.values.get(
            Key("frame.datum_hole", p.side if p.side != "C" else ("L" if p.at[1] >= 0 else "R"))
        )  # type: ignore[arg-type]
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


def sheet_words(c: Cycle, solved: Graph) -> Any:
    """What the travel sheets say."""
    from ...parts.drawing.travel import TravelWords

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
        (f"Every pair within {shown.room(units.IN)}", [gap_words(g) for g in c.gaps]),
        ("Every limit", ends_words(c, 99)),
        ("How sure", [surety.sentence(a) for a in surety.answers(solved)]),
    ]
    return TravelWords(cells(c), first, more)


def lines(c: Cycle, solved: Graph) -> list[str]:
    """Everything `cycle` prints."""
    t = c.travel
    said = [f"{n} waits for {', '.join(map(str, keys))}" for n, keys in t.waits.items()]
    if t.pose is None:
        return said
    said += [*assumed(c, solved), *(f"not looked at: {w}" for w in unlooked(c, solved))]
    said += rest_words(c)
    said += ["", *table(c), "", "What ends the travel", *(f"  {x}" for x in ends_words(c, 3))]
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
    again = again_lines(solved)
    said += [
        "",
        (
            "Take again, best first: " + "; ".join(again)
            if again
            else "No reading needs taking again: adjusters cover what is in doubt."
        ),
    ]
    said.append(
        "Rigid arms, axle and frame, linear bushings. Calculations, not an approval; local law"
        " decides. Cycle the truck by hand before anything is welded."
    )
    return said


def line_words(job: Job, solved: Graph, most: int = 12) -> list[str]:
    """The best lines of the frame joints, with the one chosen marked."""
    from ...layout.travel.joint_line import candidates

    rows = candidates(job, solved)
    if not rows:
        return ["the line of the frame joints waits for the layout"]
    chosen = solved.values[Key("arms.joint_behind", "C")]
    out = [
        f"{'rank':>4} {'behind':>7} {'height':>7} {'arm':>7} {'spacing':>8} {'caster':>9}"
        f" {'anti-dive':>9} {'slip in/out':>12} {'shaft jt':>8} {'shaft over':>10} {'to output':>9}"
        f" {'to mount':>8} {'below rail':>10}  why"
    ]
    mine = [
        i
        for i, r in enumerate(rows)
        if abs(r.behind - chosen) < 0.01
        and abs(r.height - sum(solved.values[Key("arms.joint_height", s)] for s in ("L", "R")) / 2)
        < 0.01
    ]  # type: ignore[arg-type]
    for i in [*range(min(most, len(rows))), *(n for n in mine if n >= most)]:
        r = rows[i]
        n = [reader.valued(x, "length") for x in (r.behind, r.height, r.arm, r.spacing)]
        over = reader.number(r.shaft, "length", 1) if math.isfinite(r.shaft) else "clear"
        out.append(
            f"{i + 1:>4} {n[0]:7.1f} {n[1]:7.1f} {n[2]:7.2f} {n[3]:8.2f}"
            f" {reader.valued(r.caster, 'angle per length'):9.3f} {r.dive:8.0f}%"
            f" {'/'.join(reader.number(x, 'length') for x in r.slip):>12}"
            f" {math.degrees(r.joint):8.1f} {over:>10} {reader.valued(r.ahead, 'length'):9.1f}"
            f" {reader.valued(r.mount, 'length'):8.1f} {reader.valued(r.below, 'length'):10.1f} "
            f" {'; '.join(r.reasons) or 'nothing against it'}{'   <- chosen' if i in mine else ''}"
        )
    return out
