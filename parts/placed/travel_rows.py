"""Travel as rows and words: positions, gaps, arm spin, lines of frame joints."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from ...layout import reader
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, SIDES, Key
from ..words import names
from .cycle import MAIN, Cycle
from .travel_ends import in_shop, unit_of

if TYPE_CHECKING:
    from .gap import Gap

SAME = 0.01
"""Lines of frame joints closer than this are one, mm."""


def position_rows(c: Cycle) -> list[dict[str, Any]]:
    """One row a position and quantity."""
    from ...layout.travel import KINDS

    rows: list[dict[str, Any]] = []
    t = c.travel
    if t.pose is None:
        return []
    for i, p in enumerate(t.places):
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
            }
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
            text = (
                f"{_fixed(low, places)}..{_fixed(high, places)}"
                if wide
                else _fixed(in_shop(float(t.found[k][i]), kind), places)
            )
            row.append(text if t.pose.settled[i] else "no rest")
        rows.append(row)
    return rows


def _fixed(x: float, places: int) -> str:
    """A number with so many decimals, never minus nought."""
    return f"{round(x, places) + 0.0:.{places}f}"


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
    level = sum(solved.values[Key("arms.joint_height", s)] for s in SIDES) / len(SIDES)
    mine = [
        i
        for i, row in enumerate(rows)
        if abs(row.behind - chosen) < SAME and abs(row.height - level) < SAME
    ]
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
