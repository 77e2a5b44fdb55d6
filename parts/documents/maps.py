"""Maps: pictures of the placed truck, a place at a time, with a numbered ring for every weld and
every bolt.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ..drawing.display import Sheet
from ..drawing.picture import LEFT_AHEAD, RIGHT_AHEAD, View, balloons, draw, of_members, spot, view
from ..model.assembly import Member
from ..model.terms import MapPlace
from ..truck.truck import Truck
from .engine import Drawn, Words
from .facts import Facts

SIZE = (532.0, 298.0)
MOST = 26


class Place(NamedTuple):
    """A part of the truck on one picture: title, the families' own word for it, which side, seen
    from where.
    """

    title: str
    word: MapPlace
    side: str
    view: View


ON_A_SIDE: tuple[tuple[str, MapPlace], ...] = (
    ("coil seat and frame", "coil"),
    ("axle brackets", "axle"),
    ("shocks, straps, stops", "shocks and stops"),
    ("arm and link tabs", "arms"),
    ("crossmember side", "crossmember"),
    ("arm bracket and washers", "bracket"),
)
PLACES: tuple[Place, ...] = (
    *(Place(f"{what}, left", word, "L", LEFT_AHEAD) for what, word in ON_A_SIDE),
    *(Place(f"{what}, right", word, "R", RIGHT_AHEAD) for what, word in ON_A_SIDE),
    Place("crossmember center", "crossmember", "C", view(35, 35)),
    Place("track bar", "track bar", "", view(30, 25)),
)


def place_of(truck: Truck, code: str) -> Place | None:
    """The picture a member is on: its family's, on its own side."""
    family = truck.family_of(code)
    side = code.rpartition(".")[2]
    word = family.place if family else ""
    return next(
        (place for place in PLACES if place.word == word and place.side in ("", side)), None
    )


def maps(
    facts: Facts, points: dict[str, tuple[str, Sequence[float]]]
) -> Iterator[tuple[str, Drawn]]:
    """A picture for every place that has points.

    ``points``: number -> member it sits on, truck point.
    """
    for place in PLACES:
        here = {
            key: at for key, (code, at) in points.items() if place_of(facts.truck, code) is place
        }
        members = [
            member
            for member in facts.truck.assembly.members
            if place_of(facts.truck, member.code) is place and member.fixed_after != "tool"
        ]
        if here and members:
            names = list(here)
            for start in range(0, len(names), MOST):
                part = {name: here[name] for name in names[start : start + MOST]}
                yield (
                    place.title + (f" ({start // MOST + 1})" if len(names) > MOST else ""),
                    Drawn(_map(facts, place, members, part), SIZE),
                )


def mapped(facts: Facts, points: dict[str, tuple[str, Sequence[float]]]) -> list[Words | Drawn]:
    """The pictures of ``maps`` as blocks of a sheet, each under its heading."""
    return [
        block
        for title, picture in maps(facts, points)
        for block in (Words(f"Map: {title}", []), picture)
    ]


def _map(
    facts: Facts, place: Place, members: Sequence[Member], here: dict[str, Sequence[float]]
) -> Sheet:
    sheet = Sheet(place.title)
    scale, origin = draw(
        sheet,
        of_members(members, facts.parts, facts.shop),
        place.view,
        (70.0, 12.0, SIZE[0] - 140, SIZE[1] - 24),
    )
    balloons(
        sheet,
        {key: spot(at, place.view, scale, origin) for key, at in here.items()},
        (4.0, 4.0, SIZE[0] - 8, SIZE[1] - 8),
    )
    return sheet


def weld_points(facts: Facts) -> dict[str, tuple[str, Sequence[float]]]:
    """Every weld's number with the member it is on and a point in the middle of its first line."""
    found: dict[str, tuple[str, Sequence[float]]] = {}
    for number, weld in facts.welds().items():
        lines = facts.line(weld)
        if lines:
            found[number] = (weld.on, tuple(map(float, lines[0][len(lines[0]) // 2])))
    return found


def bolt_points(facts: Facts) -> dict[str, tuple[str, Sequence[float]]]:
    """Every bolt's number with the first made member it passes and its place."""
    found: dict[str, tuple[str, Sequence[float]]] = {}
    for number, bolt in facts.bolts().items():
        on = next((code for code in bolt.through if place_of(facts.truck, code) is not None), None)
        if on:
            at = facts.members[on].place.origin
            seat, along = np.array(bolt.at), np.array(bolt.along)
            found[number] = (
                on,
                tuple(map(float, seat + along * float((np.array(at) - seat) @ along))),
            )
    return found
