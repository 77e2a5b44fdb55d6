"""Which parts of two trucks, or of two revisions of one, are the same; the same plate at another
place; a new shape.

What is cut is one thing, where it sits another: a plate that only sits elsewhere is cut from the
same file. Designed parts are held against each other number by number (``changes``), stored ones by
their fingerprints (``compare_rows``); the answers are one closed list.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import NamedTuple, NotRequired, TypedDict

from ...layout import reader, units
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Loop, Plate, Tube


class Likeness(StrEnum):
    """The answers, as they are called on screen and paper; "plate" covers tubes, which are cut to
    the same length.
    """

    SAME = "the same"
    MOVED = "same plate, another place"
    SHAPE = "new shape"
    GONE = "no longer there"
    COME = "new"


LAID, CUT, TURNED = units.IN / 64, 0.01 * units.IN, 0.1 * units.DEG
"""Nearer than this a place is laid out the same, a corner is cut the same, a plate stands the same
(common practice, no source: a plasma cut holds about 0.02 in, a tape 1/32).
"""
PER = 100.0
"""Angles and bulges count by this many mm each in a shape."""


class Changed(NamedTuple):
    """One part that is not the same: which answer, and what of it differs, in words."""

    part: str
    word: Likeness
    why: str


def shape_of(part: Part) -> object:
    """What is cut, drilled, bent and scribed: stock and numbers in mm, without place, name and
    lettering.
    """
    body = part.member.body
    if isinstance(body, Plate):
        return (body.stock, _plate(part, body))
    return (body.stock, _tube(body)) if isinstance(body, Tube) else ("", ())


def _plate(part: Part, body: Plate) -> object:
    loops = [_loop(loop) for loop in (body.outline, *body.openings, *part.slots)]
    bends = [(*x.start, *x.end, PER * x.angle, x.radius) for x in body.bends]
    lines = [
        [list(line) for line in mark.strokes]
        for mark in part.marks
        if mark.role in ("center", "mate", "ride", "scale", "pig-tail")
    ]
    return (loops, _holes(part), bends, lines)


def _loop(loop: Loop) -> list[tuple[float, float, float]]:
    return [(*e.start, PER * e.bulge) for e in loop]


def _holes(part: Part) -> list[tuple[object, ...]]:
    return sorted(
        (*(round(x, 2) + 0.0 for x in h.at), h.diameter, h.length, PER * h.angle, h.how)
        for h in part.holes
    )


def _tube(body: Tube) -> object:
    ends = [
        (e.kind, e.onto, PER * e.angle, e.offset, e.depth, PER * e.clock, e.item) for e in body.ends
    ]
    return (body.length, ends)


def near(a: object, b: object) -> bool:
    """Whether two shapes are cut the same: every number within ``CUT``, everything else equal."""
    if isinstance(a, list | tuple) and isinstance(b, list | tuple):
        return len(a) == len(b) and all(map(near, a, b))
    if isinstance(a, int | float) and isinstance(b, int | float):
        return abs(a - b) <= CUT
    return a == b


def changes(was: Iterable[Part], now: Iterable[Part]) -> tuple[Changed, ...]:
    """Every part of both that a shop would cut or place otherwise, by its id.

    ``was`` and ``now`` hold one part for every place (``Truck.singles``): of parts that share a row
    the second place may move alone. Parts only of one truck are not listed.
    """
    before = {part.id: part for part in was}
    rows = []
    for part in now:
        old = before.get(part.id)
        if old is None or old.fingerprint == part.fingerprint:
            continue
        if not near(shape_of(old), shape_of(part)):
            rows.append(Changed(part.id, Likeness.SHAPE, _differs(old, part)))
        elif moved := _moved(old, part):
            rows.append(Changed(part.id, Likeness.MOVED, moved))
    return tuple(sorted(rows))


def _moved(old: Part, part: Part) -> str:
    """Which way its own origin went and how far it turned; empty if less than can be laid out."""
    before, after = old.member.place, part.member.place
    words = []
    for d, (more, less) in zip(
        (q - r for q, r in zip(after.origin, before.origin, strict=True)),
        (("forward", "rearward"), ("left", "right"), ("up", "down")),
        strict=True,
    ):
        if abs(d) > LAID:
            words.append(f"{reader.fine(abs(d))} {more if d > 0 else less}")
    turn = max(
        math.acos(max(-1.0, min(1.0, sum(u * v for u, v in zip(x, y, strict=True)))))
        for x, y in ((before.x, after.x), (before.z, after.z))
    )
    if turn > TURNED:
        words.append(f"turned {math.degrees(turn):.2f} deg")
    return ", ".join(words)


def _differs(old: Part, part: Part) -> str:
    """What of a part's shape is another."""
    was, now = old.member.body, part.member.body
    stocks = [getattr(body, "stock", "") for body in (was, now)]
    if stocks[0] != stocks[1]:
        return f"stock {stocks[0]}, now {stocks[1]}"
    if isinstance(was, Tube) and isinstance(now, Tube):
        more = now.length - was.length
        if abs(more) <= CUT:
            return "its ends"
        return f"{reader.fine(abs(more))} {'longer' if more > 0 else 'shorter'}"
    if not (isinstance(was, Plate) and isinstance(now, Plate)):
        return "another kind of body"
    said = _outlines(was.outline, now.outline)
    if not near(_holes(old), _holes(part)):
        before, after = len(old.holes), len(part.holes)
        said.append("holes" if before == after else f"{before} holes, now {after}")
    return ", ".join(said) or "openings, bends or scribed lines"


def _outlines(was: Loop, now: Loop) -> list[str]:
    """How an outline is another: its size over all, or its course; nothing if it is the same."""
    boxes = [outline.bbox(loop) for loop in (was, now)]
    sizes = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]
    if any(abs(u - v) > CUT for u, v in zip(*sizes, strict=True)):
        before, after = (f"{reader.number(w, 'length')} x {reader.length(h)}" for w, h in sizes)
        return [f"{before}, now {after}"]
    return [] if near(_loop(was), _loop(now)) else ["outline"]


def counted(rows: Iterable[Changed]) -> Mapping[Likeness, list[Changed]]:
    """Changed parts by their answer."""
    found: dict[Likeness, list[Changed]] = {Likeness.MOVED: [], Likeness.SHAPE: []}
    for row in rows:
        found[row.word].append(row)
    return found


class Compared(NamedTuple):
    """Part ids, sorted, each in exactly one of these; the fields in the order of ``Likeness``."""

    same: tuple[str, ...] = ()
    moved: tuple[str, ...] = ()
    shape: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    come: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether anything at all does."""
        return any(self[1:])

    def by_likeness(self) -> dict[Likeness, tuple[str, ...]]:
        """Part ids by answer."""
        return dict(zip(Likeness, self, strict=True))


class CutRow(TypedDict):
    """What of a stored part says whether it is cut alike.

    Attributes
    ----------
    part: its id.
    fingerprint: hash of what is cut and of its place.
    cut: hash of what is cut: outline, holes, bends, marks less revision text, stock.
    places: fingerprint at every place the part goes to, by the place's code.
    """

    part: str
    fingerprint: str
    cut: NotRequired[str]
    places: NotRequired[Mapping[str, str]]


def compare_rows(old: Iterable[CutRow], new: Iterable[CutRow]) -> Compared:
    """Stored parts of two revisions against each other.

    A row of an earlier format has no ``cut``: where its fingerprint differs it counts as a new
    shape. KeyError for a row without part or fingerprint.

    >>> was = [{"part": "CS1.L", "fingerprint": "1", "cut": "a"}]
    >>> now = [{"part": "CS1.L", "fingerprint": "2", "cut": "a"}]
    >>> compare_rows(was, now).moved
    ('CS1.L',)
    """
    was, now = ({row["part"]: row for row in rows} for rows in (old, new))
    found: dict[Likeness, list[str]] = {word: [] for word in Likeness}
    for part in sorted(was.keys() | now.keys()):
        if part not in now:
            found[Likeness.GONE].append(part)
        elif part not in was:
            found[Likeness.COME].append(part)
        else:
            found[_stored(part, was[part], now[part])].append(part)
    return Compared(*map(tuple, found.values()))


def _stored(part: str, was: CutRow, now: CutRow) -> Likeness:
    """The answer for a part both revisions have: every place of it that both know counts."""
    before, after = (row.get("places") or {part: row["fingerprint"]} for row in (was, now))
    if was["fingerprint"] == now["fingerprint"] and all(
        before[place] == after[place] for place in before.keys() & after.keys()
    ):
        return Likeness.SAME
    return Likeness.MOVED if was.get("cut") and was["cut"] == now.get("cut") else Likeness.SHAPE
