"""The page of a chassis: one file that opens on a phone without a network.

The placed truck to turn and step through its travel, plan, side view and plots, every part with its
picture, status and files, checks by margin, cautions. Its content policy allows its own style and
script by hash and nothing else.
"""

from __future__ import annotations

import base64
import hashlib
import html
import json
import math
from collections.abc import Callable, Mapping, Sequence
from importlib.resources import files
from typing import Any, NamedTuple

import numpy as np

from ..design.part_numbers import places_in_words
from ..documents.levels import LAID
from ..drawing.display import Sheet
from ..drawing.picture import LEFT_AHEAD, draw, faces
from ..drawing.plate import hand_words
from ..drawing.sheet import saw_length, with_unit
from ..drawing.tube import length_words
from ..model.assembly import Member, Part
from ..model.body import Bought, Existing, Helix, Plate, Tube
from ..model.verdict import Verdict
from ..stock import Shop
from ..strength.rows import Strength
from ..truck.truck import Truck
from ..verdict.findings import Judged
from ..words import names
from ..words import numbers as shown
from ..words.cautions import BATTERY, FIRE

ROUND = 18
CHORD = 0.8
MOST_ROWS = 60
HANDS = {"L": "left hand", "R": "right hand", "E": "fits both sides"}


class Shown(NamedTuple):
    """What the page tells beside the truck itself: title, date, level; riding groups and their
    moves by position (names, group -> (n, 12)); sheets drawn in; a part's files; lines of words;
    what waits.
    """

    chassis: str
    date: str
    level: str
    groups: Mapping[str, str]
    places: Sequence[str]
    moves: Mapping[str, Sequence[Sequence[float]]]
    sheets: Sequence[Sheet]
    links: Mapping[str, Sequence[tuple[str, str]]]
    documents: Sequence[tuple[str, str]]
    setout: Sequence[tuple[str, str, str]]
    gaps: Sequence[str]
    assumed: Sequence[str]


def page(t: Truck, shop: Shop, held: Strength, judged: Judged, s: Shown) -> bytes:
    """The HTML."""
    model = _model(t, shop, judged, s)
    style, script = (
        files(__package__).joinpath(n).read_text(encoding="utf-8") for n in ("page.css", "page.js")
    )
    policy = (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; connect-src"
        " 'self'; img-src data:; base-uri 'none'; form-action 'none'"
    )
    data = json.dumps(model, separators=(",", ":")).replace("<", "\\u003c")
    return f"""<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="{policy}"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>{_e(s.chassis)}: solid front axle</title><style>{style}</style></head>
<body>{_body(t, shop, held, judged, s)}
<script type="application/json" id="model">{data}</script><script>{script}</script></body></html>
""".encode()


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _e(words: object) -> str:
    return html.escape(str(words))


def _model(t: Truck, shop: Shop, judged: Judged, s: Shown) -> dict[str, Any]:
    parts = {p.id: p for p in t.singles}
    bodies, every = [], []
    barred = judged.barred()
    for m in t.assembly.members:
        if m.fixed_after == "tool" or m.code.startswith("tyre"):
            continue
        pts, tris = solid_mesh(m, parts.get(m.code), shop)
        if len(tris):
            kind = (
                "bad"
                if m.code in barred
                else (
                    "truck"
                    if m.fixed_after == "existing"
                    else "bought"
                    if isinstance(m.body, Bought)
                    else "made"
                )
            )
            bodies.append(
                {
                    "id": m.code,
                    "c": names.part(m.code),
                    "n": m.title,
                    "g": s.groups.get(m.code, "frame"),
                    "k": kind,
                    "p": [round(float(v) * 10) for v in pts.ravel()],
                    "t": [int(i) for i in tris.ravel()],
                }
            )
            if kind != "truck":
                every.append(pts)
    cloud = np.vstack(every) if every else np.zeros((1, 3))
    low, high = cloud.min(axis=0), cloud.max(axis=0)
    return {
        "bodies": bodies,
        "middle": [round(float(x), 1) for x in (low + high) / 2],
        "size": round(float(np.linalg.norm(high - low)), 1),
        "rides": {k: [[round(float(x), 5) for x in row] for row in v] for k, v in s.moves.items()},
    }


def solid_mesh(m: Member, part: Part | None, shop: Shop) -> tuple[np.ndarray, np.ndarray]:
    """Corners (n, 3) in truck axes and triangles (m, 3) of a member; none for what has no simple
    shape.
    """
    body = m.body
    if isinstance(body, (Bought, Existing)) and isinstance(body.solid, Helix):
        return _helix(m, body.solid)
    if isinstance(body, Plate) and not body.bends:
        return _plate(m, body, part, shop)
    pts: list[Any] = []
    tris: list[tuple[int, int, int]] = []
    for f in faces(m, None, shop):
        base = sum(len(p) for p in pts)
        pts.append(f.points)
        tris += [(base, base + i, base + i + 1) for i in range(1, len(f.points) - 1)]
    return (
        (np.vstack(pts), np.array(tris)) if pts else (np.zeros((0, 3)), np.zeros((0, 3), dtype=int))
    )


def _plate(m: Member, body: Plate, part: Part | None, shop: Shop) -> tuple[np.ndarray, np.ndarray]:
    from shapely import constrained_delaunay_triangles
    from shapely.geometry import Polygon

    from ..geometry import outline

    t = shop.plate(body.stock).thickness
    rings = [
        outline.flatten(body.outline, CHORD),
        *(outline.flatten(o, CHORD) for o in body.openings),
    ]
    rings += [
        outline.flatten(outline.circle(h.at, h.diameter, "h"), CHORD)
        for h in (part.holes if part else ())
        if not h.length
    ]
    found: dict[tuple[float, float], int] = {}
    flat: list[tuple[float, float]] = []

    def index(p: Sequence[float]) -> int:
        k = (round(float(p[0]), 4), round(float(p[1]), 4))
        if k not in found:
            found[k] = len(flat)
            flat.append(k)
        return found[k]

    tris = []
    for g in constrained_delaunay_triangles(Polygon(rings[0], rings[1:])).geoms:
        a, b, c = (index(p) for p in list(g.exterior.coords)[:3])
        tris.append((a, b, c))
    sides = [
        (index(p), index(q))
        for ring in rings
        for p, q in zip(ring, (*ring[1:], ring[0]), strict=True)
    ]
    n = len(flat)
    tris += [(a + n, b + n, c + n) for a, b, c in tris]
    tris += [x for a, b in sides for x in ((a, b, b + n), (a, b + n, a + n))]
    pts = np.array([m.place.out((x, y, w)) for w in (0.0, t) for x, y in flat])
    return pts, np.array(tris)


def _helix(m: Member, h: Helix) -> tuple[np.ndarray, np.ndarray]:
    n, k, r = max(24, int(h.turns * 16)), 5, h.mean_diameter / 2
    pts, tris = [], []
    for i in range(n + 1):
        a = math.tau * h.turns * i / n
        x = h.wire / 2 + (h.length - h.wire) * i / n
        for j in range(k):
            b = math.tau * j / k
            rr = r + h.wire / 2 * math.cos(b)
            pts.append(
                m.place.out((x + h.wire / 2 * math.sin(b), rr * math.cos(a), rr * math.sin(a)))
            )
    for i in range(n):
        for j in range(k):
            a, b, c, d = i * k + j, i * k + (j + 1) % k, (i + 1) * k + j, (i + 1) * k + (j + 1) % k
            tris += [(a, b, c), (b, d, c)]
    return np.array(pts), np.array(tris)


def svg(s: Sheet, size: tuple[float, float], label: str) -> str:
    """A sheet as SVG, without any style of its own."""
    w, h = size
    out = [
        f'<svg viewBox="0 0 {w:.0f} {h:.0f}" role="img" aria-label="{_e(label)}" fill="none"'
        ' stroke="#111">'
    ]
    for ln in s.lines:
        pts = " ".join(f"{x:.1f},{h - y:.1f}" for x, y in ln.points)
        look = (
            f'stroke-width="{1.4 if ln.kind == "wide" else 0.6}"'
            + (' stroke-dasharray="5 3"' if ln.kind == "dashed" else "")
            + (' fill="#fff"' if ln.white else "")
            + ("" if ln.edge else ' stroke="none"')
        )
        out.append(f'<{"polygon" if ln.closed else "polyline"} points="{pts}" {look}/>')
    for t in s.texts:
        turn = f' transform="rotate({-t.turn:g} {t.at[0]:.1f} {h - t.at[1]:.1f})"' if t.turn else ""
        out.append(
            f'<text x="{t.at[0]:.1f}" y="{h - t.at[1]:.1f}" font-size="{t.size:g}"'
            f' text-anchor="{t.anchor}" fill="#111"'
            f' stroke="none"{" font-weight=" + chr(34) + "bold" + chr(34) if t.bold else ""}{turn}>{_e(t.words)}</text>'
        )
    return "".join(out) + "</svg>"


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    return (
        "<div"
        f' class="wide"><table><thead><tr>{"".join(f"<th>{_e(c)}</th>" for c in columns)}</tr></thead><tbody>'
        + "".join(f"<tr>{''.join(f'<td>{c}</td>' for c in r)}</tr>" for r in rows)
        + "</tbody></table></div>"
    )


def look_of(v: Verdict) -> str:
    """Style of a verdict: ok, warn, or bad for what is not for cutting."""
    return "ok" if v is Verdict.OK else "bad" if v.bars else "warn"


def _status(judged: Judged, say: Callable[[str], str]) -> str:
    """The headline, and what is not for cutting with the reason."""
    held = [f for f in judged.findings if f.kind == "part" and f.verdict.bars]
    why: dict[str, list[str]] = {}
    for f in held:
        why.setdefault(f"{f.verdict}: {f.reason}", []).append(f.id)
    rows = "".join(
        f"<li>{_e(', '.join(map(names.part, ids)))}: {_e(say(w))}</li>" for w, ids in why.items()
    )
    said = f'<p class="{look_of(judged.worst)}" id="verdict">{_e(say(judged.headline))}</p>'
    return said + (
        f"<details><summary>{len(held)} not for cutting</summary><ul>{rows}</ul></details>"
        if held
        else ""
    )


def _body(t: Truck, shop: Shop, held: Strength, judged: Judged, s: Shown) -> str:
    known = names.numbers(t.assembly)
    say = lambda text: shown.worded(names.sentence(str(text), known))
    status = _status(judged, say)
    places = "".join(f'<option value="{i}">{_e(n)}</option>' for i, n in enumerate(s.places))
    rows = [
        c for c in sorted((*held.checks, *t.checks), key=lambda c: -c.utilisation) if c.capacity > 0
    ]
    checks = [
        [
            _e(say(c.part)),
            f'<span class="{look_of(c.verdict)}">{_e(c.verdict)}</span>',
            f"{c.utilisation:.2f}",
            _e(say(c.what)),
            _e(c.case or "any"),
            _e(c.clause),
        ]
        for c in rows[:MOST_ROWS]
    ]
    words = lambda xs: "".join(f"<li>{_e(say(x))}</li>" for x in xs)
    return f"""<header><h1>Chassis {_e(s.chassis)}</h1><p>{_e(s.level)}. Dated {_e(s.date or "not dated")}.</p>{status}
<div class="box" role="note"><b>Calculations, not an approval.</b> Local law decides, and whoever may sign must sign. {_e(LAID)} Never work on a jack alone (29 CFR 1910.244(a)(2)); {_e(" ".join((BATTERY(), FIRE())))} Steering and brakes are never passed by a tool.</div>
<nav aria-label="on this page"><a href="#see">truck</a><a href="#views">views and plots</a><a href="#gaps">what comes closest</a><a href="#parts">parts</a><a href="#findings">what is not ok</a><a href="#checks">checks</a><a href="#setout">layout</a><a href="#sheets">sheets</a></nav></header>
<main><h2 id="see">The truck</h2><div id="stage"><canvas id="truck" tabindex="0" role="img" aria-label="the placed parts in three dimensions; the list of parts below says the same in words"></canvas><div id="said" aria-live="polite"></div></div>
<div class="tools"><label>Position <select id="place">{places}</select></label><button data-act="left">from left</button><button data-act="ahead">from ahead</button><button data-act="above">from above</button><button data-act="next">next part</button><button data-act="hide">hide it</button><button data-act="alone">alone</button><button data-act="truck">truck on, off</button><button data-act="all">all again</button></div>
<h2 id="views">Views and plots</h2>{"".join(f'<div class="figure">{svg(x, (792.0, 612.0), x.title)}</div>' for x in s.sheets)}
<h2 id="gaps">What comes closest</h2><ul>{words(s.gaps) or "<li>nothing within reach</li>"}</ul>
<h2 id="parts">Parts</h2><div class="cards">{"".join(_card(p, judged, shop, s, say) for p in t.parts)}</div>
<h2 id="findings">What is not ok, worst first</h2><ul>{words(judged.lines(10**6)) or "<li>nothing</li>"}</ul>
<h2 id="checks">Checks, least margin first</h2><p>{len(rows)} rows; all of them are in the strength sheets.</p>{_table(("part", "", "used", "what", "case", "by"), checks)}
{"<h3>ASSUMED, nobody measured it</h3><ul>" + words(s.assumed) + "</ul>" if s.assumed else ""}
<h2 id="setout">Layout</h2>{_table(("what", "value", "±"), [[_e(c) for c in r] for r in s.setout])}
<h2 id="sheets">Sheets and files</h2><ul>{"".join(f'<li><a href="{_e(path)}">{_e(title)}</a></li>' for title, path in s.documents)}</ul></main>
<footer><p>Invented or measured, the readings decide: a wrong reading makes a wrong part. Calculations, not an approval.</p></footer>"""


def _card(p: Part, judged: Judged, shop: Shop, s: Shown, say: Callable[[str], str]) -> str:
    picture = Sheet(p.id)
    draw(picture, faces(p.member, p, shop), LEFT_AHEAD, (4.0, 4.0, 172.0, 102.0))
    f = judged.of(p.id)
    barred = "not for cutting, " if f.verdict.bars else ""
    why = f": {f.reason}" if f.reason else ""
    size = getattr(p.member.body, "stock", "")
    extra = ""
    if isinstance(p.member.body, Tube):
        length = saw_length(p.member.body.length)
        extra = f", {with_unit(length)} {length_words(p.member.body)}"
    links = " ".join(f'<a href="{_e(path)}">{_e(n)}</a>' for n, path in s.links.get(p.id, ()))
    places = [names.part(i) for i in p.places]
    buttons = " ".join(
        f'<button data-show="{_e(i)}">show {_e(n if len(p.places) > 1 else "it")}</button>'
        for i, n in zip(p.places, places, strict=True)
    )
    return (
        f'<div class="card">{svg(picture, (180.0, 110.0), p.member.title)}<h3>{_e(p.number)}'
        f" {_e(p.member.title)}</h3><p>{_e(size)}{_e(extra)}; quantity {p.quantity};"
        f" {_e(hand_words(p))}; goes to {_e(', '.join(places_in_words(p.places)))}</p>"
        + f'<p class="{look_of(f.verdict)}">{_e(say(f"{barred}{f.verdict}{why}"))}</p>'
        + f"<p>{links} {buttons}</p></div>"
    )
