"""An independent reader of a part drawing: rebuilds the plate from the DXF's dimensions.

Every size comes from the words of DIMENSION and LEADER entities, as someone at a bench reads them.
The picture says only what follows what: its coordinates are spoilt first (rounded to 1/100 in) and
each corner then takes the nearest distance that is lettered, or the end of a fillet that follows
from a lettered distance and radius. Nothing of the drawing's own code is used.
"""

from __future__ import annotations

import io
import math
import re
from typing import NamedTuple

import ezdxf

IN = 25.4
SPOILT = 0.01 * IN
"""mm the picture's coordinates are rounded to."""
NEAR = 0.012 * IN
"""mm a lettered distance may be from the spoilt picture."""
VISIBLE, DIMENSION, BEND = "01.2-VISIBLE", "01.1-DIMENSION", "05.1-BEND"


class MissingError(AssertionError):
    """A corner, hole or bend no dimension gives."""


class Corner(NamedTuple):
    """A corner or tangent point, mm from the datum, and the radius to the next (0: straight) with
    the sign of its turn.
    """

    x: float
    y: float
    radius: float


class Arrow(NamedTuple):
    """A lettered radius: mm, where its arrow points, how many arcs it is said to be of."""

    radius: float
    tip: tuple[float, float]
    count: int


class Rebuilt(NamedTuple):
    """A plate as its drawing says."""

    loops: tuple[tuple[Corner, ...], ...]
    circles: tuple[tuple[float, float, float], ...]
    slots: tuple[tuple[float, float, float, float], ...]
    bends: tuple[tuple[float, bool, float], ...]
    bend_lines: tuple[tuple[str, float], ...]


def number(words: str, mm: float) -> float:
    """A lettered size: "-1 11/16", ".394", "12.5"."""
    found = re.match(r"\s*(-?)(\d+/\d+|\d*\.\d+|\d+(?: \d+/\d+)?)", words)
    assert found, words
    total = 0.0
    for part in found[2].split():
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return (-total if found[1] else total) * mm


class _Lettered(NamedTuple):
    """Every size a drawing gives, mm: distances across and up, radii, diameters, slots."""

    across: list[float]
    up: list[float]
    radii: list[Arrow]
    diameters: list[float]
    slots: list[tuple[float, float]]
    bends: list[tuple[float, bool, float]]


def read(data: bytes) -> Rebuilt:
    """The plate of a drawing file."""
    doc = ezdxf.read(io.StringIO(data.decode()))
    space = doc.modelspace()
    mm = IN if doc.units == 1 else 1.0
    given = _lettered(space, mm)
    loops, slots = [], []
    for line in space.query("LWPOLYLINE"):
        if line.dxf.layer != VISIBLE or not line.closed:
            continue
        rows = [(_spoil(x * mm), _spoil(y * mm), b) for x, y, b in line.get_points("xyb")]
        slot = _slot(rows, given) if _is_slot(rows) else None
        if slot:
            slots.append(slot)
        elif not _folded(line, space):
            loops.append(_loop(rows, given))
    circles = []
    centered = not given.across and not given.up
    for entity in space.query("CIRCLE"):
        x, y = _spoil(entity.dxf.center.x * mm), _spoil(entity.dxf.center.y * mm)
        circles.append(
            (
                0.0 if centered else _nearest(x, given.across, "x"),
                0.0 if centered else _nearest(y, given.up, "y"),
                _nearest(2 * entity.dxf.radius * mm, given.diameters, "diameter"),
            )
        )
    bends = _bend_lines(space, given, mm)
    return Rebuilt(tuple(loops), tuple(circles), tuple(slots), tuple(given.bends), bends)


def _lettered(space, mm: float) -> _Lettered:
    """The words of every dimension and note."""
    given = _Lettered([], [], [], [], [], [])
    for entity in space.query("DIMENSION"):
        words, kind = entity.dxf.text, entity.dimtype
        if kind == 6:
            (given.across if entity.dxf.dimtype & 64 else given.up).append(number(words, mm))
        elif kind == 4:
            tip = entity.dxf.defpoint4
            count = int(found[1]) if (found := re.match(r"(\d+)x ", words)) else 1
            radius = number(words.partition("R ")[2], mm)
            given.radii.append(Arrow(radius, (tip.x * mm, tip.y * mm), count))
        elif kind == 3:
            given.diameters.append(number(words.partition("Ø ")[2], mm))
    for note in (e.dxf.text for e in space.query("TEXT") if e.dxf.layer == DIMENSION):
        if "slot " in note:
            wide, long = re.split(r"slot | x | at ", note)[1:3]
            given.slots.append((number(wide, mm), number(long, mm)))
        bend = re.search(r"bend (up|down) ([\d.]+)°, inside R (.+)", note)
        if bend:
            given.bends.append((float(bend[2]), bend[1] == "up", number(bend[3], mm)))
    return given


def _bend_lines(space, given: _Lettered, mm: float) -> tuple[tuple[str, float], ...]:
    """Where each bend is: along x where its line is upright, along y where it is level."""
    found = []
    for line in space.query("LWPOLYLINE"):
        if line.dxf.layer == BEND:
            one, two = [(x * mm, y * mm) for x, y in line.get_points("xy")]
            dx, dy = abs(one[0] - two[0]), abs(one[1] - two[1])
            if dx < 1e-3 or dy > 1e-3:
                found.append(("x", _nearest(_spoil(one[0]), given.across, "bend")))
            if dx > 1e-3:
                found.append(("y", _nearest(_spoil(one[1]), given.up, "bend")))
    return tuple(found)


def _folded(line, space) -> bool:
    """Whether an outline is that of the folded view: it stands apart from every ordinate."""
    xs = [p[0] for p in line.get_points("xy")]
    ys = [p[1] for p in line.get_points("xy")]
    features = [
        (d.dxf.defpoint2.x, d.dxf.defpoint2.y) for d in space.query("DIMENSION") if d.dimtype == 6
    ]
    return not any(
        min(xs) - 1e-3 <= x <= max(xs) + 1e-3 and min(ys) - 1e-3 <= y <= max(ys) + 1e-3
        for x, y in features
    )


def _spoil(mm: float) -> float:
    return round(mm / SPOILT) * SPOILT


def _nearest(spoilt: float, lettered: list[float], what: str) -> float:
    best = min(lettered, key=lambda each: abs(each - spoilt), default=math.inf)
    if abs(best - spoilt) > NEAR:
        raise MissingError(
            f"no dimension gives {what} {spoilt / IN:.3f} in; nearest {best / IN:.3f} in"
        )
    return best


def _radius(one, two, bulge: float, radii: list[Arrow]) -> float:
    """The lettered radius of an arc whose spoilt ends and turn are seen: that whose arrow is on it,
    else one that is of several.
    """
    chord = math.dist(one[:2], two[:2])
    rough = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    k = (1 - bulge * bulge) / (4 * bulge)
    dx, dy = two[0] - one[0], two[1] - one[1]
    center = (one[0] + dx / 2 - dy * k, one[1] + dy / 2 + dx * k)
    middle = (one[0] + dx / 2 + dy * bulge / 2, one[1] + dy / 2 - dx * bulge / 2)
    reach = max(math.dist(middle, one[:2]), 2 * SPOILT) + SPOILT
    own = [
        arrow.radius
        for arrow in radii
        if math.dist(arrow.tip, middle) < reach
        and abs(math.dist(arrow.tip, center) - rough) < 4 * SPOILT
        and abs(math.log(arrow.radius / rough)) < 0.12 + 4 * SPOILT / chord
    ]
    if len(own) == 1:
        return own[0]
    of = [arrow.radius for arrow in radii if arrow.count > 1]
    best = min(own or of, key=lambda each: abs(math.log(each / rough)), default=0.0)
    if not best or abs(math.log(best / rough)) > 0.12 + 2 * SPOILT / chord:
        raise MissingError(f"no dimension gives a radius of about {rough / IN:.3f} in")
    return best


def _loop(rows, given: _Lettered) -> tuple[Corner, ...]:
    found = []
    count = len(rows)
    for i, (x, y, bulge) in enumerate(rows):
        after = rows[(i + 1) % count]
        before = rows[i - 1]
        own = math.copysign(_radius(rows[i], after, bulge, given.radii), bulge) if bulge else 0.0
        ends = [abs(own)] if own else []
        if before[2]:
            ends.append(_radius(before, rows[i], before[2], given.radii))
        shifts = [0.0] + [way * r for r in ends for way in (1, -1)]
        found.append(
            Corner(_either(x, given.across, shifts, "x"), _either(y, given.up, shifts, "y"), own)
        )
    return tuple(found)


def _either(spoilt: float, lettered: list[float], shifts: list[float], what: str) -> float:
    """A lettered distance, else the end of a fillet that begins at one."""
    try:
        return _nearest(spoilt, lettered, what)
    except MissingError:
        return _nearest(spoilt, [v + s for v in lettered for s in shifts[1:]], what)


def _is_slot(rows) -> bool:
    return len(rows) == 4 and sorted(round(abs(b), 3) for _, _, b in rows) == [0, 0, 1, 1]


def _slot(rows, given: _Lettered):
    """Middle, width and length; None where no note speaks of a slot of that size."""
    x = sum(r[0] for r in rows) / 4
    y = sum(r[1] for r in rows) / 4
    round_ = next(i for i, r in enumerate(rows) if abs(abs(r[2]) - 1) < 1e-3)
    wide = math.dist(rows[round_][:2], rows[(round_ + 1) % 4][:2])
    long = wide + math.dist(rows[round_ - 1][:2], rows[round_][:2])
    size = min(given.slots, key=lambda s: abs(s[0] - wide) + abs(s[1] - long), default=None)
    if size is None or abs(size[0] - wide) + abs(size[1] - long) > 6 * SPOILT:
        return None
    return _nearest(x, given.across, "x"), _nearest(y, given.up, "y"), size[0], size[1]
