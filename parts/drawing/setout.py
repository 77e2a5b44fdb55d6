"""The layout sheet: every solved point as the fitter tapes it - from the datum hole, from the
centre line, from the floor at ride height - with check diagonals, then the lengths and angles, each
with its plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple

from ...layout.graph import Graph
from ...layout.quantities import Key
from ...layout.reader import number, unit
from ...layout.units import tape as fraction
from ..words import numbers as shown
from .display import PAGE, Sheet, fit_text, pdf
from .pages import listing
from .sheet import MARGIN

POINTS = (
    ("arm.bolt", "lower bolt at the axle"),
    ("arm.joint", "radius arm's frame joint"),
    ("upper.joint", "upper joint on the radius arm"),
    ("upper.mount", "upper bolt at the axle"),
    ("seat.lower", "lower coil seat, top face"),
    ("seat.upper", "upper coil seat, underside"),
    ("bar.axle", "track bar at the axle"),
    ("bar.frame", "track bar at the frame"),
)
ROW, TOP = 13.0, PAGE[1] - MARGIN - 40
SAY = (
    "Heights are with the frame blocked at ride height, truck level. Set no line from the tape"
    " alone: check the diagonals. Calculations, not an approval; local law decides."
)


class Point(NamedTuple):
    """A point on the truck: name, side, x, y outward, z (mm) and plus-minus of each (2u)."""

    name: str
    says: str
    side: str
    at: tuple[float, float, float]
    sure: tuple[float, float, float]


def points(g: Graph) -> tuple[Point, ...]:
    """Every point of the sheet that is solved."""
    found = []
    for name, says in POINTS:
        for side in ("L", "R", "C"):
            k = [_key(g, f"{name}.{a}", side) for a in "xyz"]
            if (
                all(v in g.values for v in k)
                and (side != "C" or not any(p.name == name for p in found))
                and any(v.side == side for v in k)
            ):
                found.append(
                    Point(
                        name,
                        says,
                        side,
                        tuple(g.values[v] for v in k),
                        tuple(2 * g.half_width(v) for v in k),
                    )
                )  # type: ignore[arg-type]
    return tuple(found)


def _key(g: Graph, name: str, side: str) -> Key:
    own = Key(name, side)  # type: ignore[arg-type]
    return own if own in g.values else Key(name, "C")


def sure_words(x: float) -> str:
    """A plus-minus in the row's unit; never 0.00 where there is some."""
    return "under 0.005" if 0 < x < 0.005 else f"{x:.2f}"


def under(mm: float) -> str:
    """A plus-minus without its unit; never 0.00 where there is some."""
    return (
        f"under {number(0.005 * 25.4, 'length', 3)}"
        if 0 < mm < 0.005 * 25.4
        else number(mm, "length")
    )


def diagonals(found: Sequence[Point]) -> list[tuple[str, float, float]]:
    """Plan distances left front to right rear and right front to left rear, between lower bolts and
    frame joints, and between the seats and the joints.
    """
    by, says = {(p.name, p.side): p.at for p in found}, dict(POINTS)
    rows = []
    for a, b in (("arm.bolt", "arm.joint"), ("seat.upper", "arm.joint")):
        if all((n, s) in by for n in (a, b) for s in "LR"):
            one, two = (
                math.hypot(by[a, s][0] - by[b, t][0], by[a, s][1] + by[b, t][1])
                for s, t in (("L", "R"), ("R", "L"))
            )
            rows.append((f"{says[a]} to {says[b]}", one, two))
    return rows


def setout_pdf(
    chassis: str,
    date: str,
    g: Graph,
    rows: Sequence[dict[str, Any]],
    paper: str = "letter",
    assumed: Sequence[str] = (),
    foot: str = "",
) -> bytes:
    """The sheets.

    ``rows``: the set-out's rows as printed by the commands; ``assumed``: what of them nobody
    measured.
    """
    found = points(g)
    datum = {s: g.values.get(Key("frame.datum_hole", s)) for s in ("L", "R")}
    s = _page(chassis, date, "points")
    cols = (0, 30, 190, 330, 470, 600)
    for dx, words in zip(
        cols,
        (
            "side",
            "point",
            "along, from the datum hole",
            "from the center line",
            "above the floor",
            f"±, {unit('length')}",
        ),
        strict=True,
    ):
        s.text(MARGIN + 8 + dx, TOP, words, 7.5, True)
    y = TOP
    for p in found:
        y -= ROW
        hole = datum.get(p.side) if p.side != "C" else datum.get("L" if p.at[1] >= 0 else "R")
        behind = (
            "no datum hole read"
            if hole is None
            else f"{fraction(abs(hole - p.at[0]))} {'behind' if hole >= p.at[0] else 'ahead'}"
        )
        out = abs(p.at[1])
        words = (
            {"L": "left", "R": "right", "C": "left" if p.at[1] >= 0 else "right"}[p.side],
            p.says,
            behind,
            fraction(out),
            fraction(p.at[2]),
            " / ".join(under(v) for v in p.sure),
        )
        for dx, w in zip(cols, words, strict=True):
            s.text(MARGIN + 8 + dx, y, fit_text(w, 8, 158), 8)
    y -= 1.6 * ROW
    s.text(
        MARGIN + 8,
        y,
        "Check diagonals in plan, left front to right rear and right front to left rear",
        8,
        True,
    )
    for name, one, two in diagonals(found):
        y -= ROW
        s.text(
            MARGIN + 8,
            y,
            f"{name}:  {fraction(one)}  and  {fraction(two)};  they differ by"
            f" {shown.fine(abs(one - two))}",
            8,
        )
    said = listing(
        (chassis, date, "Layout", "what nobody measured", SAY), [("ASSUMED", list(assumed))]
    )
    return pdf([s, *_lists(chassis, date, rows), *said], paper, foot)


def _page(chassis: str, date: str, what: str) -> Sheet:
    s = Sheet(f"{chassis} layout, {what}")
    s.box(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    s.text(MARGIN + 8, PAGE[1] - MARGIN - 18, f"Layout of chassis {chassis}: {what}", 12, True)
    s.text(PAGE[0] - MARGIN - 8, PAGE[1] - MARGIN - 18, date, 9, anchor="end")
    s.text(MARGIN + 8, MARGIN + 7, SAY, 7)
    return s


def _lists(chassis: str, date: str, rows: Sequence[dict[str, Any]]) -> list[Sheet]:
    """Everything else in two columns a page: what it is, value, plus-minus; what waits says for
    what.
    """
    named = tuple(f"{n}.{a}" for n, _ in POINTS for a in "xyz")
    kept = [r for r in rows if not r["key"].startswith(named)]
    each = int((TOP - MARGIN - 24) / ROW)
    sheets = []
    for start in range(0, len(kept), 2 * each):
        s = _page(chassis, date, "lengths, angles, forces")
        for i, r in enumerate(kept[start : start + 2 * each]):
            x, y = MARGIN + 8 + (i // each) * 360, TOP - (i % each) * ROW
            s.text(x, y, fit_text(r["title"], 7.5, 190), 7.5)
            s.text(
                x + 194,
                y,
                (
                    {"L": "left", "R": "right"}.get(r["key"].rpartition(".")[2][:1].upper(), "")
                    if r["key"].endswith((".left", ".right"))
                    else ""
                ),
                7,
            )
            value = (
                f"{r['shown']}  ±{sure_words(r['plus_minus'])}"
                if r["value"] is not None
                else "waits: see what is owed"
            )
            s.text(x + 218, y, fit_text(value, 7.5, 134), 7.5, r["value"] is not None)
        sheets.append(s)
    return sheets
