"""The rail along the coil-seat plate: what its section carries at each station."""

from __future__ import annotations

from typing import NamedTuple

from ...layout.quantities import Key, Side
from ..geometry import outline, rail_section
from ..model.assembly import Member
from ..model.body import Bar, Existing, Plate
from ..model.terms import Role
from ..truck import roles
from .work import Work


class Station(NamedTuple):
    """A place along the rail: ahead of the coil, mm; section against the rail as measured
    (vertical, held, lateral, torsion).
    """

    ahead: float
    what: str
    ratio: dict[str, float]


def _rail(work: Work, side: Side) -> tuple[rail_section.RailSection, dict[str, float]] | None:
    """The rail under the coil, and the cut in it: nothing if it is whole."""
    sizes = [Key(f"rail.coil.{n}", side) for n in ("width", "height", "wall")]
    cut = {n: Key(f"frame.notch.{n}", side) for n in ("z_low", "z_high", "x_first", "x_last")}
    if work.truck.words.get("frame.cut") == "no":
        cut = {}
    if any(k not in work.values for k in (*sizes, *cut.values())) or not _made(
        work, Role.COIL_PLATE, side
    ):
        return None
    width, height, wall = (work.values[k] for k in sizes)
    rail = rail_section.RailSection(
        width=width,
        height=height,
        wall=wall,
        shape=_shape(work.members[f"rail1.{side}"]),
        radius=next(
            (value for key, value in work.values.items() if key.name == "frame.corner_radius"), 0.0
        ),
    )
    return rail, {n: work.values[k] for n, k in cut.items()}


def _made(work: Work, role: Role, side: Side) -> list[str]:
    """Members of a role that were made on this side."""
    return [code for code in roles.placed(role, side) if code in work.members]


def _shape(rail: Member) -> str:
    """A boxed rail has a room inside; a channel has none of its own."""
    assert isinstance(rail.body, Existing) and isinstance(rail.body.solid, Bar)
    return "boxed" if rail.body.solid.openings else "channel"


def _lies(work: Work, code: str) -> tuple[float, float]:
    """A strip as it is made: its thickness, and how far it reaches inboard of the rail's side, mm,
    which is more than its thickness asks where the rail's corner is round.
    """
    body = work.members[code].body
    assert isinstance(body, Plate)
    inner = max(abs(edge.start[1]) for edge in body.outline if edge.name == "inner")
    return work.steel_of(code)[0], inner


def stations(work: Work, side: Side) -> list[Station]:
    """How strong the rail is again along the coil plate, from the plate's front end to its rear.

    Bare rail, plate on sound wall and, where the rail is cut, the cut: at each how far ahead of the
    coil, mm, and by what it is multiplied against the bare rail in bending, upright and lateral,
    and in torsion. ``side``: "L" or "R"; none where the rail was not read.
    """
    known = _rail(work, side)
    if known is None:
        return []
    rail, at_cut = known
    member = work.members[roles.placed(Role.COIL_PLATE, side)[0]]
    assert isinstance(member.body, Plate)
    thick = work.steel_of(member.code)[0]
    x0, bottom, x1, top = outline.bbox(member.body.outline)
    at = work.values[Key("seat.upper.x", side)]
    low = _made(work, Role.LOW_STRIP, side)
    lies = _lies(work, low[0]) if low else (0.0, 0.0)
    bare = dict.fromkeys(("vertical", "held", "lateral"), 1.0)
    if rail.shape == "boxed":
        bare["torsion"] = 1.0
    mid = rail.height / 2
    whole = rail_section.restored(rail, (mid, mid), thick, (bottom, top), strip=lies)
    ends = [Station(-x0, "plate's front end", bare), Station(-x1, "plate's rear end", bare)]
    if not at_cut:
        return [ends[0], Station(0.0, "plate on the sound wall, under the coil", whole), ends[1]]
    cut = rail_section.restored(
        rail,
        (at_cut["z_low"], at_cut["z_high"]),
        thick,
        (bottom, top),
        strip=lies,
        both=bool(_made(work, Role.HIGH_STRIP, side)),
    )
    front, rear = (pick(at_cut["x_first"], at_cut["x_last"]) - at for pick in (max, min))
    found = [
        *ends,
        Station((front - x0) / 2, "plate on the sound wall, ahead of the cut", whole),
        Station(front, "front of the cut", cut),
        Station(0.0, "under the coil, in the cut", cut),
        Station(rear, "rear of the cut", cut),
        Station((rear - x1) / 2, "plate on the sound wall, behind the cut", whole),
    ]
    return sorted(found, key=lambda q: -q.ahead)
