"""The travel sheets: one page that says how far it goes, what touches first and what to read again;
plots over heave; plan and side view to scale; every close pair and every plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.quantities import Key, Side
from ...layout.reader import measure, metric
from ...layout.travel import Travel
from ...layout.travel.outputs import moved
from ...layout.travel.turning import Array
from ..model.vectors import Vec2, Vec3
from .display import PAGE, Sheet, pdf, wrap
from .entities import Kind
from .pages import INNER, listing, page
from .sheet import IN, MARGIN
from .travel_plots import plots

SAY = (
    "Rigid arms, axle and frame, linear bushings. Cycle the truck by hand before anything is"
    " welded. Calculations, not an approval; local law decides."
)


class TravelWords(NamedTuple):
    """What the sheets say, made by the command: the table, then lists of lines under headings."""

    table: Sequence[Sequence[str]]
    lists: Sequence[tuple[str, Sequence[str]]]
    more: Sequence[tuple[str, Sequence[str]]]


def travel_pdf(
    chassis: str,
    date: str,
    t: Travel,
    v: Mapping[Key, float],
    words: TravelWords,
    paper: str = "letter",
    foot: str = "",
) -> bytes:
    """The sheets of one chassis; what waits is said, not drawn."""
    sheets = [_front(chassis, date, words)]
    sheets += views(chassis, date, t, v)
    return pdf(
        [
            *sheets,
            *listing(
                (chassis, date, "Travel", "every close pair, every plus-minus", SAY), words.more
            ),
        ],
        paper,
        foot,
    )


def views(chassis: str, date: str, t: Travel, v: Mapping[Key, float]) -> list[Sheet]:
    """Plots, then plan and side view; none while the linkage waits."""
    if t.pose is None:
        return []
    say = "over heave, wheels level; left solid, right dashed; limits as thin lines"
    plotted = _page(chassis, date, say)
    plots(plotted, t, v)
    return [plotted, _views(chassis, date, t, v)]


def _page(chassis: str, date: str, what: str) -> Sheet:
    return page(chassis, date, "Travel", what, SAY)


def _front(chassis: str, date: str, words: TravelWords) -> Sheet:
    s = _page(chassis, date, "how far, what touches, what to read again")
    y = PAGE[1] - MARGIN - 36
    for n, row in enumerate(words.table):
        s.text(MARGIN + 8, y, row[0], 7.5, n == 0)
        for i, cell in enumerate(row[1:]):
            s.text(MARGIN + 196 + 76 * i, y, cell, 7.5, n == 0, "end")
        y -= 9.6
    y -= 8
    columns = ((MARGIN + 8, INNER / 2 - 16), (MARGIN + INNER / 2 + 4, INNER / 2 - 14))
    tops = [y, y]
    for n, (head, rows) in enumerate((h, r) for h, r in words.lists if r):
        x, room = columns[n % 2]
        at = tops[n % 2]
        s.text(x, at, head, 8.5, True)
        at -= 10.5
        for row in rows:
            for i, part in enumerate(wrap(row, 7.5, room)):
                if at < MARGIN + 20:
                    break
                s.text(x + (6 if i else 0), at, part, 7.5)
                at -= 9.2
        tops[n % 2] = at - 6
    return s


def _views(chassis: str, date: str, t: Travel, v: Mapping[Key, float]) -> Sheet:
    """Plan and side view at ride height; in the side view full bump and full droop dashed."""
    s = _page(chassis, date, "plan and side view to scale, ride height; full bump and droop dashed")
    lk = t.linkage
    assert lk is not None
    shapes = _shapes(t, v, t.at("ride height"))
    xs, ys = ([p[n] for _, pts, _ in shapes for p in pts] for n in (0, 1))
    scale = min((INNER - 40) / (max(xs) - min(xs)), 230 / (max(ys) - min(ys)))
    x0, mid, floor = (min(xs) + max(xs)) / 2, 420.0, 90.0

    def plan(p: Vec3) -> Vec2:
        return PAGE[0] / 2 + scale * (p[0] - x0), mid + scale * p[1]

    def side(p: Vec3) -> Vec2:
        return PAGE[0] / 2 + scale * (p[0] - x0), floor + scale * p[2]

    for n, (name, pts, kind) in enumerate(shapes):
        s.poly([plan(p) for p in pts], kind, False)
        if name:
            (xa, ya), (xb, yb) = plan(pts[0]), plan(pts[-1])
            along = 0.5 if name != "drag link" else 0.2
            s.text(
                xa + along * (xb - xa) + 4, ya + along * (yb - ya) + (5 if n % 2 else -8), name, 6.5
            )
    for place in ("ride height", "full bump", "full droop"):
        if place in [p.name for p in t.places]:
            moving = place != "ride height"
            for _, pts, kind in _shapes(t, v, t.at(place), lower=moving):
                s.poly([side(p) for p in pts], "dashed" if moving else kind, False)
    s.line((MARGIN + 10, floor), (PAGE[0] - MARGIN - 10, floor))
    s.text(MARGIN + 12, floor + 3, "floor", 6.5)
    s.line((MARGIN + 12, mid), (PAGE[0] - MARGIN - 12, mid), kind="dashed")
    s.text(MARGIN + 12, mid + 3, "center line", 6.5)
    real = 300.0 if metric() else 12 * IN
    bar = real * scale
    s.line((MARGIN + 12, 62), (MARGIN + 12 + bar, 62), kind="wide")
    s.text(MARGIN + 16 + bar, 59, f"{measure(real, 'length', 0)} on the truck", 7)
    s.text(MARGIN + 12, 280, "side view, front to the right", 7.5, True)
    s.text(MARGIN + 12, 545, "plan, left side up, front to the right", 7.5, True)
    return s


class Track(NamedTuple):
    """A center line of the plan and side view: its name, points and kind of line."""

    name: str
    points: list[Vec3]
    kind: Kind


def _shapes(t: Travel, v: Mapping[Key, float], i: int, lower: bool = False) -> list[Track]:
    """Centre lines in truck coordinates at position ``i``; ``lower``: only what moves."""
    linkage, pose, gear = t.linkage, t.pose, t.gear
    assert linkage is not None and pose is not None

    def fixed(point: Array) -> Vec3:
        x, y, z = (float(a) for a in point)
        return x, y, z

    def carried(point: Array) -> Vec3:
        return fixed(moved(linkage, pose, point)[i])

    rows: list[Track] = []
    for n in (0, 1):
        joint, turn = linkage.joint[n], pose.m[i, n]
        hang = joint + turn @ (linkage.upper[n] - joint)
        name = "radius arm" if n == 0 else ""
        rows.append(Track(name, [carried(linkage.bolt[n]), fixed(joint)], "wide"))
        rows.append(Track("", [fixed(hang), carried(linkage.mount[n])], "wide"))
        if gear.coils:
            seats = [carried(gear.coils.lower[n]), fixed(gear.coils.upper[n])]
            rows.append(Track("coil" if n == 0 else "", seats, "narrow"))
    half = v.get(Key("axle.wheel_track", "C"), 60 * IN) / 2
    ends = [carried(linkage.centre + np.array((0.0, way * half, 0.0))) for way in (-1, 1)]
    rows.append(Track("axle", ends, "wide"))
    bar = [carried(linkage.bar_axle), fixed(linkage.bar_frame)]
    rows.append(Track("track bar", bar, "wide"))
    if gear.steering:
        link = [carried(gear.steering.ball), fixed(gear.steering.pitman)]
        rows.append(Track("drag link", link, "narrow"))
    if gear.shaft:
        shaft = [fixed(gear.shaft.output), carried(gear.shaft.pinion)]
        rows.append(Track("shaft", shaft, "narrow"))
    radius = v.get(Key("axle.tire_diameter", "C"), 0.0) / 2
    if radius:
        rows.append(Track("", _wheel(ends[0], radius), "narrow"))
    return rows if lower else rows + _rails(v)


def _wheel(hub: Vec3, radius: float) -> list[Vec3]:
    """A tire's circle in side view."""
    turns = np.linspace(0, math.tau, 49)
    return [(hub[0] + radius * math.cos(a), hub[1], hub[2] + radius * math.sin(a)) for a in turns]


def _rails(v: Mapping[Key, float]) -> list[Track]:
    rows: list[Track] = []
    sides: tuple[tuple[Side, int], ...] = (("L", 1), ("R", -1))
    for side, way in sides:

        def read(name: str, side: Side) -> Vec2:
            return (
                v[Key(f"frame.station.1.{name}", side)],
                v[Key(f"frame.station.2.{name}", side)],
            )

        try:
            x1, x2 = read("x", "C")
            (o1, o2), (w1, w2) = read("outer", side), read("width", side)
            (b1, b2), (h1, h2) = read("bottom", side), read("height", side)
        except KeyError:
            continue
        outer = [
            (x1, way * o1, b1),
            (x2, way * o2, b2),
            (x2, way * o2, b2 + h2),
            (x1, way * o1, b1 + h1),
            (x1, way * o1, b1),
        ]
        rows.append(Track("frame rail" if side == "L" else "", outer, "narrow"))
        inner = [(x1, way * (o1 - w1), b1), (x2, way * (o2 - w2), b2)]
        rows.append(Track("", inner, "narrow"))
    return rows


__all__ = ["TravelWords", "travel_pdf"]
