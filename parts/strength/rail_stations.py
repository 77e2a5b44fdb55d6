"""The rail along the coil-seat plate: what its section carries at each station, plate ends, and the
welds along its edges under the rail's shear and torque.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from ...layout.loads.forces import Forces
from ...layout.quantities import Key
from ..design.sizing import Check, put_in
from ..geometry import outline, section
from ..model.assembly import Member
from ..model.body import Bar, Existing, Plate
from ..rules import frame

if TYPE_CHECKING:
    from .rows import Work


class Station(NamedTuple):
    """A place along the rail: ahead of the coil, mm; section against the rail as measured
    (vertical, held, lateral, torsion).
    """

    ahead: float
    what: str
    ratio: dict[str, float]


def _rail(w: Work, s: str) -> tuple[section.RailSection, dict[str, float]] | None:
    """The rail under the coil, and the cut in it."""
    side: Any = s
    sizes = [Key(f"rail.coil.{n}", side) for n in ("width", "height", "wall")]
    cut = {n: Key(f"frame.notch.{n}", side) for n in ("z_low", "z_high", "x_first", "x_last")}
    if any(k not in w.v for k in (*sizes, *cut.values())) or f"CS1.{s}" not in w.members:
        return None
    width, height, wall = (w.v[k] for k in sizes)
    rail = section.RailSection(
        width=width,
        height=height,
        wall=wall,
        shape=_shape(w.members[f"rail1.{s}"]),
        radius=next((x for k, x in w.v.items() if k.name == "frame.corner_radius"), 0.0),
    )
    return rail, {n: w.v[k] for n, k in cut.items()}


def _shape(rail: Member) -> str:
    """A boxed rail has a room inside; a channel has none of its own."""
    assert isinstance(rail.body, Existing) and isinstance(rail.body.solid, Bar)
    return "boxed" if rail.body.solid.openings else "channel"


def stations(w: Work, s: str) -> list[Station]:
    """From the plate's front end to its rear: bare rail, plate on sound wall, a slot through the
    plate, the cut.
    """
    known = _rail(w, s)
    if known is None:
        return []
    rail, at_cut = known
    side: Any = s
    m = w.members[f"CS1.{s}"]
    assert isinstance(m.body, Plate)
    t = w.steel_of(m.code)[0]
    x0, low, x1, high = outline.bbox(m.body.outline)
    at = w.v[Key("seat.upper.x", side)]
    strip = next((w.steel_of(c)[0] for c in (f"RS1.{s}",) if c in w.members), 0.0)
    lies = (strip, 4 * strip) if strip else (0.0, 0.0)
    bare = dict.fromkeys(("vertical", "held", "lateral"), 1.0)
    if rail.shape == "boxed":
        bare["torsion"] = 1.0
    mid = rail.height / 2
    whole = section.restored(rail, (mid, mid), t, (low, high), strip=lies)
    cut = section.restored(
        rail,
        (at_cut["z_low"], at_cut["z_high"]),
        t,
        (low, high),
        strip=lies,
        both=f"RS2.{s}" in w.members,
    )
    front, rear = (pick(at_cut["x_first"], at_cut["x_last"]) - at for pick in (max, min))
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
    """The plate's ends, and its edge welds where they close the cut cell: the rail carries the
    whole of coil and stop one way, and their couple about its middle. An open channel has no cell:
    how it carries the couple is not worked, and the row says so.
    """
    known = _rail(w, s)
    if known is None:
        return
    rail, _ = known
    side: Any = s
    code = f"CS1.{s}"
    t = w.steel_of(code)[0]
    got = {"t_mm": t, "wall_mm": rail.wall}
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
    b, h, wall = rail.width, rail.height, rail.wall
    inertia = (b * h**3 - (b - rail.webs() * wall) * (h - 2 * wall) ** 3) / 12
    first, cell = b / rail.webs() * wall * (h - wall) / 2, (b - wall) * (h - wall)
    closed = rail.shape == "boxed"
    y = w.v[Key("seat.upper.y", side)] - (w.v[Key("rail.coil.outer", side)] - b / 2)
    for weld in w.t.assembly.welds:
        # where a strip closes the cell, the same flow goes on through the strip's weld to the rail
        strip = weld.id in (f"strip.bottom.rail.{side}", f"strip.top.rail.{side}")
        plate = weld.on == code and weld.edges in (("bottom",), ("top",))
        if (plate or strip) and not weld.run:
            says = (
                f"weld along the {'strip' if strip else 'plate'}'s {weld.edges[0]} edge: shear flow"
                " of coil and stop "
                + ("in the closed cell" if closed else "in the channel, without its twist")
            )
            w.welded.append((weld.on, says, (weld.id,)))

            def args(f: Forces, leg: float = weld.leg) -> dict[str, float]:
                push = float(f.coil[i] + f.stop[i])
                return {
                    "shear_N": push,
                    "torque_Nmm": push * y if closed else 0.0,
                    "first_mm3": first,
                    "inertia_mm4": inertia,
                    "cell_mm2": cell,
                    "leg_mm": leg,
                    "fexx_MPa": w.made_of.filler.fexx,
                }

            yield from w.worst(
                weld.on,
                says,
                frame.shear_flow,
                args,
                tag="" if closed else "memory",
            )
