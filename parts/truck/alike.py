"""Two trucks' parts against each other: the same; the same plate at another place; a new shape.

What is cut is one thing, where it sits another.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

from ...layout import reader, units
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Loop, Plate, Tube

Word = Literal["the same", "same plate, another place", "new shape"]
SAME: Word = "the same"
PLACE: Word = "same plate, another place"
SHAPE: Word = "new shape"
LAID, CUT, TURNED = units.IN / 64, 0.01 * units.IN, 0.1 * units.DEG
"""Nearer than this a place is laid out the same, a corner is cut the same, a plate stands the same
(common practice, no source: a plasma cut holds about 0.02 in, a tape 1/32).
"""
PER = 100.0
"""Angles and bulges count by this many mm each in a shape."""


class Changed(NamedTuple):
    """One part that is not the same: which of the three words, and what of it differs, in words."""

    part: str
    word: Word
    why: str


def shape_of(p: Part) -> object:
    """What is cut, drilled, bent and scribed: stock and numbers in mm, without place, name and
    lettering.
    """
    b = p.member.body
    rows = _plate(p, b) if isinstance(b, Plate) else _tube(b) if isinstance(b, Tube) else ()
    return (getattr(b, "stock", ""), rows)


def cut_of(p: Part) -> str:
    """Fingerprint of ``shape_of``, to 0.01 mm."""
    return hashlib.sha256(repr(_rounded(shape_of(p))).encode()).hexdigest()


def _plate(p: Part, b: Plate) -> object:
    loops = [_loop(lp) for lp in (b.outline, *b.openings, *p.slots)]
    bends = [(*x.start, *x.end, PER * x.angle, x.radius) for x in b.bends]
    lines = [
        [list(line) for line in m.strokes]
        for m in p.marks
        if m.role in ("centre", "mate", "ride", "scale", "pig-tail")
    ]
    return (loops, _holes(p), bends, lines)


def _loop(loop: Loop) -> list[tuple[float, float, float]]:
    return [(*e.start, PER * e.bulge) for e in loop]


def _holes(p: Part) -> list[tuple[object, ...]]:
    return sorted(
        (*(round(x, 2) + 0.0 for x in h.at), h.diameter, h.length, PER * h.angle, h.how)
        for h in p.holes
    )


def _tube(b: Tube) -> object:
    ends = [
        (e.kind, e.onto, PER * e.angle, e.offset, e.depth, PER * e.clock, e.item) for e in b.ends
    ]
    return (b.length, ends)


def _rounded(x: object) -> object:
    if isinstance(x, float):
        return round(x, 2) + 0.0
    return tuple(map(_rounded, x)) if isinstance(x, list | tuple) else x


def near(a: object, b: object) -> bool:
    """Whether two shapes are cut the same: every number within ``CUT``, everything else equal."""
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(map(near, a, b))
    if isinstance(a, int | float) and isinstance(b, int | float):
        return abs(a - b) <= CUT
    return a == b


def word(was: tuple[str, str], now: tuple[str, str]) -> Word:
    """The word for a part of fingerprint and cut ``was`` that is ``now``: (fingerprint of
    everything, fingerprint of what is cut).
    """
    return SAME if was[0] == now[0] else PLACE if was[1] == now[1] else SHAPE


def compare(was: Iterable[Part], now: Iterable[Part]) -> tuple[Changed, ...]:
    """Every part of both that a shop would cut or place otherwise, by its number.

    Parts only of one are not listed.
    """
    old = {p.id: p for p in was}
    rows = []
    for p in now:
        o = old.get(p.id)
        if o is None or o.fingerprint == p.fingerprint:
            continue
        if not near(shape_of(o), shape_of(p)):
            rows.append(Changed(p.id, SHAPE, _differs(o, p)))
        elif moved := _moved(o, p):
            rows.append(Changed(p.id, PLACE, moved))
    return tuple(sorted(rows))


def _moved(o: Part, p: Part) -> str:
    """Which way its own origin went and how far it turned; empty if less than can be laid out."""
    a, b = o.member.place, p.member.place
    words = []
    for d, (more, less) in zip(
        (q - r for q, r in zip(b.origin, a.origin, strict=True)),
        (("forward", "rearward"), ("left", "right"), ("up", "down")),
        strict=True,
    ):
        if abs(d) > LAID:
            words.append(f"{_inches(abs(d))} {more if d > 0 else less}")
    turn = max(
        math.acos(max(-1.0, min(1.0, sum(u * v for u, v in zip(x, y, strict=True)))))
        for x, y in ((a.x, b.x), (a.z, b.z))
    )
    if turn > TURNED:
        words.append(f"turned {math.degrees(turn):.2f} deg")
    return ", ".join(words)


def _inches(mm: float) -> str:
    return reader.fine(mm)


def _differs(o: Part, p: Part) -> str:
    """What of a part's shape is another."""
    a, b = o.member.body, p.member.body
    if getattr(a, "stock", "") != getattr(b, "stock", ""):
        return f"stock {getattr(a, 'stock', '')}, now {getattr(b, 'stock', '')}"
    if isinstance(a, Tube) and isinstance(b, Tube):
        d = b.length - a.length
        return (
            f"{_inches(abs(d))} {'longer' if d > 0 else 'shorter'}" if abs(d) > CUT else "its ends"
        )
    if not (isinstance(a, Plate) and isinstance(b, Plate)):
        return "another kind of body"
    said = []
    size = [(x[2] - x[0], x[3] - x[1]) for x in (outline.bbox(a.outline), outline.bbox(b.outline))]
    if any(abs(u - v) > CUT for u, v in zip(*size, strict=True)):
        was, now = (f"{reader.number(w, 'length')} x {reader.length(h)}" for w, h in size)
        said.append(f"{was}, now {now}")
    elif not near(_loop(a.outline), _loop(b.outline)):
        said.append("outline")
    if not near(_holes(o), _holes(p)):
        n, k = len(o.holes), len(p.holes)
        said.append("holes" if n == k else f"{n} holes, now {k}")
    return ", ".join(said) or "openings, bends or scribed lines"


def counted(rows: Iterable[Changed]) -> Mapping[Word, list[Changed]]:
    """Changed parts by their word."""
    found: dict[Word, list[Changed]] = {PLACE: [], SHAPE: []}
    for r in rows:
        found[r.word].append(r)
    return found
