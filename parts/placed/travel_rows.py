"""Travel as rows and words: positions, gaps, arm spin, lines of frame joints."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ...layout import reader
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.quantities import SIDE_WORD, SIDES, Key
from ..words import names
from .cycle import MAIN, POSITIONS, Cycle
from .travel_ends import TravelRow, in_shop, unit_of

if TYPE_CHECKING:
    from .gap import Gap

SAME = 0.01
"""Lines of frame joints closer than this are one, mm."""


def position_rows(cycle: Cycle) -> list[TravelRow]:
    """One row a position and quantity."""
    from ...layout.travel import KINDS

    rows: list[TravelRow] = []
    travel = cycle.travel
    if travel.pose is None:
        return []
    for number, place in enumerate(travel.places):
        for key, values in travel.found.items():
            kind = KINDS[key.name][0]
            if not math.isfinite(values[number]):
                continue
            row: TravelRow = {
                "place": place.name,
                "heave": in_shop(place.heave, "length"),
                "roll": in_shop(place.roll, "angle"),
                "key": str(key),
                "value": in_shop(float(values[number]), kind),
                "unit": unit_of(kind),
                "settled": bool(travel.pose.settled[number]),
            }
            if key in cycle.sure.u:
                row["plus_minus"] = in_shop(2 * float(cycle.sure.u[key][number]), kind)
                row["from"] = [str(leaf) for leaf, _ in cycle.sure.dominating(key, number)]
            if travel.low and travel.high:
                row["low"], row["high"] = (
                    in_shop(float(travel.low[key][number]), kind),
                    in_shop(float(travel.high[key][number]), kind),
                )
            rows.append(row)
    return rows


def gap_rows(cycle: Cycle) -> list[TravelRow]:
    """One row a pair, tightest first."""
    return [
        {
            "one": gap.one,
            "two": gap.two,
            "says": " and ".join(gap.titles),
            "gap": in_shop(gap.gap, "length"),
            "plus_minus": in_shop(gap.plus_minus, "length"),
            "wanted": in_shop(gap.allowed, "length"),
            "unit": reader.unit("length"),
            "place": gap.place,
            "verdict": gap.verdict.value,
            "x": in_shop(gap.at[0], "length"),
            "y": in_shop(gap.at[1], "length"),
            "z": in_shop(gap.at[2], "length"),
        }
        for gap in cycle.gaps
    ]


def unlooked(cycle: Cycle, solved: Graph) -> list[str]:
    """What could not be looked at for want of a reading, one line each; nothing while the travel
    itself waits.
    """
    said: list[str] = []
    if cycle.travel.pose is None:
        return said
    for title, key in (("tire width", "axle.tire_width"), ("wheel lock", "steering.lock")):
        if Key(key, "C") not in solved.values:
            said.append(f"tires at lock, {title} is not read ({key})")
    return said


def cells(cycle: Cycle) -> list[list[str]]:
    """The main quantities over the envelope, left and right, first row the positions; least .. most
    where bracketed.
    """
    from ...layout.travel import KINDS

    travel = cycle.travel
    if travel.pose is None:
        return []
    shown = [
        travel.at(name) for name in POSITIONS if name in [place.name for place in travel.places]
    ]
    rows = [
        [
            "",
            *(
                travel.places[number].name.replace("roll, ", "").replace(" on its stop", " stop")
                for number in shown
            ),
        ]
    ]
    order = list(MAIN)
    for key in sorted(
        (key for key in travel.found if key.name in MAIN),
        key=lambda key: (order.index(key.name), key.side),
    ):
        kind = KINDS[key.name][0]
        places = 2 if kind == "length" else 1
        row = [
            f"{MAIN[key.name]}{' ' + SIDE_WORD[key.side] if key.side != 'C' else ''},"
            f" {unit_of(kind)}".rstrip(", ")
        ]
        for number in shown:
            low, high = (
                in_shop(float((found or travel.found)[key][number]), kind)
                for found in (travel.low, travel.high)
            )
            wide = high - low > (0.02 if kind == "length" else 0.1)
            text = (
                f"{_fixed(low, places)}..{_fixed(high, places)}"
                if wide
                else _fixed(in_shop(float(travel.found[key][number]), kind), places)
            )
            row.append(text if travel.pose.settled[number] else "no rest")
        rows.append(row)
    return rows


def _fixed(value: float, places: int) -> str:
    """A number with so many decimals, never minus nought."""
    return f"{round(value, places) + 0.0:.{places}f}"


def table(cycle: Cycle) -> list[str]:
    """The same for a screen."""
    return [f"{row[0]:34}" + "".join(f"{cell:>15}" for cell in row[1:]) for row in cells(cycle)]


def gap_words(gap: Gap) -> str:
    """One pair."""
    return (
        f"{gap.verdict} {gap.told} ± {reader.length(gap.plus_minus)},"
        f" {names.called(gap.titles[0], gap.one)} to"
        f" {names.called(gap.titles[1], gap.two)}, {gap.place}"
    )


def spin_words(cycle: Cycle) -> list[str]:
    """Arm spin, one line a side."""
    from ...layout.travel.spin import WARN

    return [
        f"{'WARNING: ' if spin.ratio > WARN else ''}arm {SIDE_WORD[spin.side]}:"
        f" braking backwards pushes its upper arm with {reader.measure(spin.push, 'force')};"
        " it would flip about its own axis at"
        f" {reader.measure(spin.critical, 'force') if math.isfinite(spin.critical) else 'no force'}"
        f" ({spin.ratio:.2f})"
        for spin in cycle.spins
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
    level = sum(solved.values[Key("arms.joint_height", side)] for side in SIDES) / len(SIDES)
    mine = [
        number
        for number, row in enumerate(rows)
        if abs(row.behind - chosen) < SAME and abs(row.height - level) < SAME
    ]
    for number in [*range(min(most, len(rows))), *(row for row in mine if row >= most)]:
        line = rows[number]
        plan = [
            reader.valued(value, "length")
            for value in (line.behind, line.height, line.arm, line.spacing)
        ]
        over = reader.number(line.shaft, "length", 1) if math.isfinite(line.shaft) else "clear"
        out.append(
            f"{number + 1:>4} {plan[0]:7.1f} {plan[1]:7.1f} {plan[2]:7.2f} {plan[3]:8.2f}"
            f" {reader.valued(line.caster, 'angle per length'):9.3f} {line.dive:8.0f}%"
            f" {'/'.join(reader.number(value, 'length') for value in line.slip):>12}"
            f" {math.degrees(line.joint):8.1f} {over:>10}"
            f" {reader.valued(line.ahead, 'length'):9.1f}"
            f" {reader.valued(line.mount, 'length'):8.1f}"
            f" {reader.valued(line.below, 'length'):10.1f} "
            f" {'; '.join(line.reasons) or 'nothing against it'}"
            f"{'   <- chosen' if number in mine else ''}"
        )
    return out
