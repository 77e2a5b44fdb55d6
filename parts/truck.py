"""From the set-out to finished parts: choose the plate, build each side, mirror the right, check against the frame."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any, NamedTuple

from ..layout.faults import Exit, Fault, SoapstoneError
from ..layout.graph import Graph
from ..layout.quantities import Key, Side
from . import outline, section, stock, strokes
from .model import Assembly, Loop, Member, Part, Plate, Port, Scribe, Weld
from .pieces import coil_seat


TEXT = 12.7
"""Height of lettering, mm: at least 3/8 in where it is scribed (common practice, no source)."""


class Waiting(Exception):
    """A part needs a reading that is not there."""

    def __init__(self, keys: tuple[Key, ...]) -> None:
        self.keys = keys
        super().__init__(", ".join(map(str, keys)))


class SideView:
    """One side's facts shown as if it were the left. Implements ``model.Site``."""

    def __init__(self, solved: Graph, side: Side, words: dict[str, str]) -> None:
        self.solved, self.side, self.words, self.shop = solved, side, words, None
        self.read: set[Key] = set()

    def q(self, key: str) -> float:
        """Value at this side, or of the centre. Waiting names the readings owed."""
        for k in (Key(key, self.side), Key(key, "C")):
            if k in self.solved.values:
                self.read.add(k)
                value = self.solved.value(k)
                return -value if k.side == "C" and self.side == "R" and key.endswith(".y") else value
        raise Waiting(tuple(sorted(self.solved.rests_on(Key(key, self.side)))))

    def has(self, key: str) -> bool:
        """Whether it is there."""
        return any(k in self.solved.values for k in (Key(key, self.side), Key(key, "C")))

    def word(self, key: str) -> str:
        """A word of the job file, empty if not given."""
        return self.words.get(key, "")

    def force(self, joint: str) -> Any:
        """No load cases yet."""
        raise Waiting((Key(joint, self.side),))

    def port(self, name: str) -> Port:
        """No ports between families yet."""
        raise KeyError(name)


class Check(NamedTuple):
    """One row of ``check``: demand against capacity; utilisation and verdict are derived."""

    part: str
    what: str
    clause: str
    demand: float
    capacity: float
    unit: str
    must: bool = True

    @property
    def utilisation(self) -> float:
        return self.demand / self.capacity

    @property
    def verdict(self) -> str:
        return "ok" if self.utilisation <= 1.0 + 1e-9 else ("FAILS" if self.must else "warning")


class Truck(NamedTuple):
    """Everything designed: parts, welds by part, scribes by part, checks, what waits and what failed."""

    parts: tuple[Part, ...]
    welds: dict[str, tuple[Weld, ...]]
    scribes: dict[str, tuple[Scribe, ...]]
    checks: tuple[Check, ...]
    waiting: dict[str, tuple[Key, ...]]
    failed: dict[str, str]


def mirror(a: Assembly) -> Assembly:
    """Reflect an assembly of flat plates across the centre plane; every place stays a proper rotation, up stays up on the plate."""

    def flip(p: tuple[float, float, float]) -> tuple[float, float, float]:
        return (p[0], -p[1], p[2])

    def loop(edges: Loop) -> Loop:
        return outline.moved(outline.flipped(edges), lambda p: (-p[0], -p[1]))

    def member(m: Member) -> Member:
        assert isinstance(m.body, Plate)
        body = m.body._replace(outline=loop(m.body.outline), openings=tuple(map(loop, m.body.openings)))
        x, y, z = flip(m.place.x)
        return m._replace(body=body, place=m.place._replace(origin=flip(m.place.origin), x=(-x, -y, -z), z=flip(m.place.z)))

    scribes = tuple(s._replace(strokes=tuple(tuple((-x, y) for x, y in line) for line in s.strokes)) for s in a.scribes)
    return a._replace(members=tuple(map(member, a.members)), scribes=scribes)


def choose_plate(s: SideView, pinned: str = "") -> tuple[str, tuple[Check, ...]]:
    """Thinnest stock that brings the cut rail back to W as measured; a pinned plate is taken and checked.

    Frame rules: VSB 6 Section H clause 5 (no thicker than the rail, here a warning); 1.5 x rail, common practice.
    """
    width, height, wall = (s.q(f"rail.coil.{k}") for k in ("width", "height", "wall"))
    leg = coil_seat.leg(wall)
    notch = (s.q("frame.notch.z_low"), s.q("frame.notch.z_high"))
    tried: list[tuple[str, tuple[Check, ...]]] = []
    options = [stock.plate(pinned)] if pinned else list(stock.plates())
    for p in options:
        ratio = section.restored(width, height, wall, notch, p.t, (leg, height - leg))
        name = f"CS1.{s.side}"
        rows = (Check(name, f"vertical bending, {p.key}", "W plated / W as measured >= 1", 1.0, ratio["vertical"], "ratio"),
                Check(name, f"lateral bending, {p.key}", "W plated / W as measured >= 1", 1.0, ratio["lateral"], "ratio"),
                Check(name, f"plate against rail wall, {p.key}", "t <= 1.5 x rail wall (common practice, no source)", p.t, 1.5 * wall, "mm"),
                Check(name, f"plate thicker than the rail, {p.key}", "t <= rail wall (VSB 6 Section H clause 5)", p.t, wall, "mm", False))
        tried.append((p.key, rows))
        if all(r.verdict != "FAILS" for r in rows):
            return p.key, rows
    if pinned:
        return pinned, tried[0][1]
    raise SoapstoneError(Exit.CHECK_FAILS, [Fault("coil-seat plate", "", "a stock plate that restores the rail and is no thicker than 1.5 x its wall",
                                                  "none does: add a bottom strip, cut less of the rail, or stock another plate")])


def _part(m: Member, hand: Side, chassis: str) -> Part:
    assert isinstance(m.body, Plate)
    holes = sum(outline.area(o) for o in m.body.openings)
    area = outline.area(m.body.outline) - holes
    t = stock.plate(m.body.stock).t
    text = repr([(e.name, *(round(v, 2) + 0.0 for v in (*e.start, e.bulge))) for loop in (m.body.outline, *m.body.openings) for e in loop])
    place = repr([tuple(round(v, 2) + 0.0 for v in p) for p in m.place])
    mark = hashlib.sha256(f"{m.code}|{m.body.stock}|{text}|{place}".encode()).hexdigest()
    return Part(f"{m.code}.{hand}", m, hand, 1, (), (), (), area, area, area * t * stock.STEEL_DENSITY, mark)  # type: ignore[arg-type]


def _lettering(part: Part, chassis: str) -> Scribe:
    """Chassis, part, revision, hand, thickness and top face, lettered on the wider free end of the plate."""
    body = part.member.body
    assert isinstance(body, Plate)
    x0, y0, x1, y1 = outline.bbox(body.outline)
    hand = {"L": "LEFT", "R": "RIGHT", "E": ""}[part.hand]
    lines = (f"{chassis} {part.member.code} {hand}", f"D{part.fingerprint[:6]}", f"{body.stock} THIS FACE OUT")
    free = [outline.bbox(o)[0] for o in body.openings]
    room = (min(free) if free else x1) - x0 - (y1 - y0) / 2
    height = min(TEXT, *(TEXT * room / strokes.width(t, TEXT) for t in lines))
    left, mid = x0 + (y1 - y0) / 4, (y0 + y1) / 2
    marks = [s for i, t in enumerate(lines) for s in strokes.letter(t, (left, mid + (0.75 - 1.75 * i) * height), height)]
    return Scribe(part.id, "text", tuple(marks), " / ".join(lines))


def design(solved: Graph, words: dict[str, str], pins: dict[str, dict[str, Any]], chassis: str) -> Truck:
    """Every part that can be made from what is solved; the rest says what it waits for."""
    parts: list[Part] = []
    truck = Truck((), {}, {}, (), {}, {})
    checks: list[Check] = []
    if words.get("frame.heat_treated", "unknown") != "no":
        fault = "the rail may be heat-treated: welding on it is refused; find the body-builder guide or a label that says it is not"
        return truck._replace(failed={"CS1.L": fault, "CS1.R": fault})
    for side in _sides():
        view = SideView(solved, side, words)
        try:
            key, rows = choose_plate(view, str(pins.get("coil_seat", {}).get("plate", "")))
            checks += rows
            if any(r.verdict == "FAILS" for r in rows):
                truck.failed[f"CS1.{side}"] = "; ".join(f"{r.what}: {r.utilisation:.2f} of what is allowed" for r in rows if r.verdict == "FAILS")
                continue
            made = coil_seat.build({"plate": key}, view)
        except Waiting as w:
            truck.waiting[f"CS1.{side}"] = w.keys
            continue
        except SoapstoneError as e:
            truck.failed[f"CS1.{side}"] = str(e.faults[0])
            continue
        except (outline.OutlineError, KeyError) as e:
            truck.failed[f"CS1.{side}"] = str(e).strip("'\"")
            continue
        if side == "R":
            made = mirror(made)
        for m in made.members:
            parts.append(_part(m, side, chassis))
            truck.welds[f"{m.code}.{side}"] = made.welds
            truck.scribes[f"{m.code}.{side}"] = (*made.scribes, _lettering(parts[-1], chassis))
    return truck._replace(parts=tuple(parts), checks=tuple(checks))


def _sides() -> Iterator[Side]:
    yield "L"
    yield "R"
