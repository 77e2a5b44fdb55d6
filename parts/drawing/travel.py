"""The travel sheets: one page that says how far it goes, what touches first and what to read again;
plots over heave; plan and side view to scale; every close pair and every plus-minus.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.quantities import Key
from ...layout.reader import measure, metric, unit, valued
from ...layout.travel import Travel
from ...layout.travel.outputs import moved
from ...layout.travel.turning import Array
from ..model.vectors import Vec2
from .display import PAGE, Kind, Sheet, pdf, wrap
from .pages import INNER, listing, page
from .sheet import IN, MARGIN

SAY = (
    "Rigid arms, axle and frame, linear bushings. Cycle the truck by hand before anything is"
    " welded. Calculations, not an approval; local law decides."
)


class Words(NamedTuple):
    """What the sheets say, made by the command: the table, then lists of lines under headings."""

    table: Sequence[Sequence[str]]
    lists: Sequence[tuple[str, Sequence[str]]]
    more: Sequence[tuple[str, Sequence[str]]]


def travel_pdf(
    chassis: str,
    date: str,
    t: Travel,
    v: Mapping[Key, float],
    words: Words,
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
    return [_plots(chassis, date, t, v), _views(chassis, date, t, v)] if t.pose is not None else []


def _page(chassis: str, date: str, what: str) -> Sheet:
    return page(chassis, date, "Travel", what, SAY)


def _front(chassis: str, date: str, words: Words) -> Sheet:
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


class Curve(NamedTuple):
    """One line of a plot; ``kind`` tells left from right in black and white."""

    values: Array
    kind: Kind
    label: str


def _plots(chassis: str, date: str, t: Travel, v: Mapping[Key, float]) -> Sheet:
    s = _page(
        chassis, date, "over heave, wheels level; left solid, right dashed; limits as thin lines"
    )
    rows = sorted(
        (p.heave, i)
        for i, p in enumerate(t.places)
        if p.roll == 0.0 and t.pose is not None and t.pose.settled[i]
    )
    at = [i for _, i in rows]
    one, short = 1 / valued(1.0, "length"), unit("length")
    heave = np.array([h for h, _ in rows]) / one

    def curve(name: str, side: str, kind: Kind, scale: float, label: str = "") -> list[Curve]:
        a = t.found.get(Key(name, side))  # type: ignore[arg-type]
        return [] if a is None else [Curve(a[at] / scale, kind, label)]

    deg = math.pi / 180
    both = lambda n, k: [*curve(n, "L", "wide", k, "left"), *curve(n, "R", "dashed", k, "right")]
    limit = lambda n, k, w=1.0: [w * v[Key(n, "C")] / k] if Key(n, "C") in v else []
    solid = (
        [v[Key("spring.solid", "L")] / one + v.get(Key("spring.bind_margin", "C"), 0) / one]
        if Key("spring.solid", "L") in v
        else []
    )
    plots = (
        (
            "caster, deg",
            both("caster", deg),
            [*limit("wanted.caster_low", deg), *limit("wanted.caster_high", deg)],
        ),
        ("pinion nose up, deg", curve("pinion.up", "C", "wide", deg), []),
        (f"axle sideways, {short}, left +", curve("lateral", "C", "wide", one), []),
        ("wheel heading, deg, left +", both("wheel.heading", deg), []),
        (
            f"coil length, {short}",
            both("coil.length", one),
            [*solid, *limit("spring.free_length", one)],
        ),
        (
            "shaft joints, deg",
            [
                *curve("pinion.joint", "C", "wide", deg, "pinion"),
                *curve("transfer.joint", "C", "dashed", deg, "transfer case"),
            ],
            [],
        ),
        (
            f"shaft longer, {short}",
            curve("slip", "C", "wide", one),
            [*limit("driveline.slip_compress", one, -1.0), *limit("driveline.slip_extend", one)],
        ),
        (
            "track bar and drag link, deg",
            [
                *curve("bar.angle", "C", "wide", deg, "track bar"),
                *curve("drag.angle", "C", "dashed", deg, "drag link"),
            ],
            [],
        ),
        (
            f"instant center above ground, {short}",
            [Curve((t.found[Key("ic.z", "C")][at] - heave * one) / one, "wide", "")],
            [],
        ),
    )
    wide, high = (INNER - 30) / 3, (PAGE[1] - 2 * MARGIN - 70) / 3
    for n, (title, curves, lines) in enumerate(plots):
        if curves:
            _plot(
                s,
                (
                    MARGIN + 10 + (n % 3) * (wide + 5),
                    PAGE[1] - MARGIN - 44 - (n // 3 + 1) * high + 12,
                ),
                (wide, high - 16),
                title,
                heave,
                curves,
                lines,
            )
    return s


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers that span low..high."""
    raw = max(high - low, 1e-9) / most
    step = 10 ** math.floor(math.log10(raw))
    step *= next(k for k in (1, 2, 5, 10) if k * step >= raw)
    return [
        round(k * step, 9)
        for k in range(math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9) + 1)
    ]


def _plot(
    s: Sheet,
    corner: Vec2,
    size: Vec2,
    title: str,
    x: Array,
    curves: Sequence[Curve],
    limits: Sequence[float],
) -> None:
    left, bottom, wide, high = corner[0] + 30, corner[1] + 16, size[0] - 40, size[1] - 32
    every = np.concatenate([*(c.values for c in curves), np.array(limits)])
    ys = ticks(float(every.min()), float(every.max()))
    ys = ys if len(ys) > 1 else [ys[0] - 1, ys[0], ys[0] + 1]
    xs = ticks(float(x.min()), float(x.max()))
    px = lambda a: left + wide * (a - xs[0]) / (xs[-1] - xs[0])
    py = lambda b: bottom + high * (b - ys[0]) / (ys[-1] - ys[0])
    s.text(left, bottom + high + 6, title, 8, True)
    s.box(left, bottom, wide, high, "narrow")
    for a in xs:
        s.line((px(a), bottom), (px(a), bottom + 3))
        s.text(px(a), bottom - 8, f"{a:g}", 6.5, anchor="middle")
    for b in ys:
        s.line((left, py(b)), (left + 3, py(b)))
        s.text(left - 3, py(b) - 2, f"{b:g}", 6.5, anchor="end")
    s.text(left + wide, bottom - 15, f"heave, {unit('length')}, bump +", 6.5, anchor="end")
    for b in limits:
        s.line((left, py(b)), (left + wide, py(b)))
        s.text(left + wide - 2, py(b) + 2, "limit", 6, anchor="end")
    for n, c in enumerate(curves):
        s.poly([(px(a), py(b)) for a, b in zip(x, c.values, strict=True)], c.kind, False)
        if c.label and len(curves) > 1 and c.label not in ("left", "right"):
            s.text(
                left + wide - 6,
                bottom + high - 9 - 8 * n,
                f"{'solid' if c.kind == 'wide' else 'dashed'}: {c.label}",
                6.5,
                anchor="end",
            )


def _views(chassis: str, date: str, t: Travel, v: Mapping[Key, float]) -> Sheet:
    """Plan and side view at ride height; in the side view full bump and full droop dashed."""
    s = _page(chassis, date, "plan and side view to scale, ride height; full bump and droop dashed")
    lk = t.linkage
    assert lk is not None
    shapes = _shapes(t, v, t.at("ride height"))
    xs, ys = ([p[n] for _, pts, _ in shapes for p in pts] for n in (0, 1))
    scale = min((INNER - 40) / (max(xs) - min(xs)), 230 / (max(ys) - min(ys)))
    x0, mid, floor = (min(xs) + max(xs)) / 2, 420.0, 90.0
    plan = lambda p: (PAGE[0] / 2 + scale * (p[0] - x0), mid + scale * p[1])
    side = lambda p: (PAGE[0] / 2 + scale * (p[0] - x0), floor + scale * p[2])
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


Shape = tuple[str, list[tuple[float, float, float]], Kind]


def _shapes(t: Travel, v: Mapping[Key, float], i: int, lower: bool = False) -> list[Shape]:
    """Centre lines in truck coordinates at position ``i``; ``lower``: only what moves."""
    lk, q, g = t.linkage, t.pose, t.gear
    assert lk is not None and q is not None
    tup = lambda p: tuple(float(x) for x in p)
    on = lambda p: tup(moved(lk, q, p)[i])
    rows: list[Shape] = []
    for n in (0, 1):
        f, m = lk.joint[n], q.m[i, n]
        hang = f + m @ (lk.upper[n] - f)
        rows.append(("radius arm" if n == 0 else "", [on(lk.bolt[n]), tup(f)], "wide"))
        rows.append(("", [tup(hang), on(lk.mount[n])], "wide"))
        if g.coils:
            rows.append(
                ("coil" if n == 0 else "", [on(g.coils.lower[n]), tup(g.coils.upper[n])], "narrow")
            )
    half = v.get(Key("axle.wheel_track", "C"), 60 * IN) / 2
    ends = [on(lk.centre + np.array((0.0, w * half, 0.0))) for w in (-1, 1)]
    rows.append(("axle", ends, "wide"))
    rows.append(("track bar", [on(lk.bar_axle), tup(lk.bar_frame)], "wide"))
    if g.steering:
        rows.append(("drag link", [on(g.steering.ball), tup(g.steering.pitman)], "narrow"))
    if g.shaft:
        rows.append(("shaft", [tup(g.shaft.output), on(g.shaft.pinion)], "narrow"))
    r = v.get(Key("axle.tire_diameter", "C"), 0.0) / 2
    for e in ends[:1] if r else ():
        rows.append(
            (
                "",
                [
                    (e[0] + r * math.cos(a), e[1], e[2] + r * math.sin(a))
                    for a in np.linspace(0, math.tau, 49)
                ],
                "narrow",
            )
        )
    return rows if lower else rows + _rails(v)


def _rails(v: Mapping[Key, float]) -> list[Shape]:
    rows: list[Shape] = []
    for side, way in (("L", 1), ("R", -1)):
        try:
            keys = [
                [v[Key(f"frame.station.{n}.{w}", s)] for n in (1, 2)]
                for w, s in (
                    ("x", "C"),
                    ("outer", side),
                    ("width", side),
                    ("bottom", side),
                    ("height", side),
                )
            ]  # type: ignore[arg-type]
        except KeyError:
            continue
        (x1, x2), (o1, o2), (w1, w2), (b1, b2), (h1, h2) = keys
        rows.append(
            (
                "frame rail" if side == "L" else "",
                [
                    (x1, way * o1, b1),
                    (x2, way * o2, b2),
                    (x2, way * o2, b2 + h2),
                    (x1, way * o1, b1 + h1),
                    (x1, way * o1, b1),
                ],
                "narrow",
            )
        )
        rows.append(("", [(x1, way * (o1 - w1), b1), (x2, way * (o2 - w2), b2)], "narrow"))
    return rows


__all__ = ["Words", "travel_pdf"]
