"""The rail along the coil-seat plate: what its section carries at each station, plate ends, and the welds along its edges under the rail's shear and torque."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ..layout.loads import Forces
from ..layout.quantities import Key
from . import outline, section
from .model import Plate
from .rules import frame
from .sizing import Check, put_in

if TYPE_CHECKING:
    from .strength import Work


class Station(NamedTuple):
    """A place along the rail: ahead of the coil, mm; section against the rail as measured (vertical, held, lateral, torsion)."""

    ahead: float
    what: str
    ratio: dict[str, float]


def _rail(w: Work, s: str) -> dict[str, float] | None:
    side: Any = s
    names = ("width", "height", "wall")
    keys = [Key(f"rail.coil.{n}", side) for n in names] + [
        Key(f"frame.notch.{n}", side) for n in ("z_low", "z_high", "x_first", "x_last")
    ]
    if any(k not in w.v for k in keys) or f"CS1.{s}" not in w.members:
        return None
    return dict(zip((*names, "low", "high", "first", "last"), (w.v[k] for k in keys), strict=True))


def stations(w: Work, s: str) -> list[Station]:
    """From the plate's front end to its rear: bare rail, plate on sound wall, a slot through the plate, the cut."""
    r = _rail(w, s)
    if r is None:
        return []
    side: Any = s
    m = w.members[f"CS1.{s}"]
    assert isinstance(m.body, Plate)
    t = w.steel_of(m.code)[0]
    x0, low, x1, high = outline.bbox(m.body.outline)
    at = w.v[Key("seat.upper.x", side)]
    strip = next((w.steel_of(c)[0] for c in (f"RS1.{s}",) if c in w.members), 0.0)
    lies = (strip, 4 * strip) if strip else (0.0, 0.0)
    size = (r["width"], r["height"], r["wall"])
    bare = {"vertical": 1.0, "held": 1.0, "lateral": 1.0, "torsion": 1.0}
    mid = r["height"] / 2
    whole = section.restored(*size, (mid, mid), t, (low, high), lies)
    cut = section.restored(
        *size, (r["low"], r["high"]), t, (low, high), lies, f"RS2.{s}" in w.members
    )
    front, rear = max(r["first"], r["last"]) - at, min(r["first"], r["last"]) - at
    found = [
        Station(-x0, "plate's front end", bare),
        Station((front - x0) / 2, "plate on the sound wall, ahead of the cut", whole),
        Station(front, "front of the cut", cut),
        Station(0.0, "under the coil, in the cut", cut),
        Station(rear, "rear of the cut", cut),
        Station((rear - x1) / 2, "plate on the sound wall, behind the cut", whole),
        Station(-x1, "plate's rear end", bare),
    ]
    return sorted(found, key=lambda q: -q.ahead)


def rows(w: Work, i: int, s: str) -> Iterator[Check]:
    """The plate's ends, and its edge welds where they close the cut cell: the rail carries the whole of coil and stop one way, and their couple about its middle."""
    r = _rail(w, s)
    if r is None:
        return
    side: Any = s
    code = f"CS1.{s}"
    t = w.steel_of(code)[0]
    got = {"t_mm": t, "wall_mm": r["wall"]}
    demand, capacity = (float(x) for x in frame.plate_end(**got))
    c = frame.plate_end
    yield Check(
        code,
        "rail's stress at the plate's round ends over its own edge stress",
        c.ref,
        demand,
        capacity,
        c.unit,
        c.must,
        c.tag,
        "any",
        c.formula,
        put_in(got),
    )
    b, h, wall = r["width"], r["height"], r["wall"]
    inertia = (b * h**3 - (b - 2 * wall) * (h - 2 * wall) ** 3) / 12
    first, cell = b / 2 * wall * (h - wall) / 2, (b - wall) * (h - wall)
    y = w.v[Key("seat.upper.y", side)] - (w.v[Key("rail.coil.outer", side)] - b / 2)
    for weld in w.t.assembly.welds:
        if weld.on == code and weld.edges in (("bottom",), ("top",)) and not weld.run:
            says = f"weld along the plate's {weld.edges[0]} edge: shear flow of coil and stop in the closed cell"
            w.welded.append((code, says, (weld.id,)))

            def args(f: Forces, leg: float = weld.leg) -> dict[str, float]:
                push = float(f.coil[i] + f.stop[i])
                return {
                    "shear_N": push,
                    "torque_Nmm": push * y,
                    "first_mm3": first,
                    "inertia_mm4": inertia,
                    "cell_mm2": cell,
                    "leg_mm": leg,
                }

            yield from w.worst(
                code,
                says,
                frame.shear_flow,
                args,
            )
