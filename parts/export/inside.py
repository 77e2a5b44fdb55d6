"""Pieces that lie in the openings of others: steel that would fall out as a slug. Lengths mm,
angles degrees.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely

from ..stock import Shop
from .packing import Piece, PlacedPiece, moved

if TYPE_CHECKING:
    from shapely.geometry import Polygon
    from shapely.geometry.base import BaseGeometry

TURNS = (0.0, 90.0, 180.0, 270.0)
SPOTS = 7
"""Places looked at across the room a piece has, each way."""
HAIR = 0.01
"""mm kept beside the spacing for roundings."""


class Guests(NamedTuple):
    """What lies in one piece: places from the lower-left corner of the piece as it is drawn."""

    host: str
    places: tuple[PlacedPiece, ...]


def guests(group: Sequence[Piece], shop: Shop) -> list[Guests]:
    """What of one plate's pieces lies in openings of its others, a row a copy of a piece that has
    some; the largest first, each copy at most once, none in one that lies in another.

    The same answer every time. The shop's spacing is kept to every edge.
    """
    left = {piece.name: piece.copies for piece in group}
    found = []
    for host in sorted(group, key=lambda piece: (-piece.area, piece.name)):
        small = [each for each in group if each.area < host.area and not _hosts(each, group, shop)]
        for _ in range(host.copies):
            places = tuple(_lying(host, small, left, shop))
            if not places:
                break
            for place in places:
                left[place.name] -= 1
            found.append(Guests(host.name, places))
    return found


def lay_inside(placed: Sequence[PlacedPiece], rows: Sequence[Guests]) -> list[PlacedPiece]:
    """Pieces of a sheet with what lies in them, each guest before its host, as they are cut."""
    waiting = list(rows)
    found = []
    for put in placed:
        own = next((row for row in waiting if row.host == put.name), None)
        if own is not None:
            waiting.remove(own)
            for guest in own.places:
                (corner,) = moved([(guest.x, guest.y)], put)
                found.append(PlacedPiece(guest.name, (guest.angle + put.angle) % 360, *corner))
        found.append(put)
    return found


def first_cut(placed: Sequence[PlacedPiece], by: Mapping[str, Piece]) -> list[tuple[str, str]]:
    """Which pieces of a sheet lie in an opening of which, by their names, each pair once."""
    own = [(put.name, steel(by[put.name], put)) for put in placed]
    hosts = [(name, shape, shapely.Polygon(shape.exterior)) for name, shape in own]
    found = [
        (name, host)
        for name, shape in own
        for host, whole, outline in hosts
        if whole.interiors and whole is not shape and outline.contains(shape)
    ]
    return list(dict.fromkeys(found))


def _hosts(piece: Piece, group: Sequence[Piece], shop: Shop) -> bool:
    """Whether something of the group lies in a piece, so that it goes into no other itself."""
    small = [each for each in group if each.area < piece.area]
    return next(_lying(piece, small, {each.name: 1 for each in small}, shop), None) is not None


def _lying(
    host: Piece, small: Sequence[Piece], left: Mapping[str, int], shop: Shop
) -> Iterator[PlacedPiece]:
    """Places of what lies in one copy, the largest that goes in first."""
    todo = {piece.name: left[piece.name] for piece in small}
    order = sorted(small, key=lambda piece: (-piece.area, piece.name))
    for loop in sorted(host.openings, key=lambda loop: shapely.Polygon(loop).area):
        room: BaseGeometry = shapely.Polygon(loop).buffer(-shop.spacing - HAIR)
        for piece in order:
            while todo[piece.name] > 0 and (place := _place(piece, room)):
                todo[piece.name] -= 1
                yield place
                taken = shapely.Polygon(moved(piece.points, place)).buffer(shop.spacing + HAIR)
                room = room.difference(taken)


def _place(piece: Piece, room: BaseGeometry) -> PlacedPiece | None:
    """Where a piece goes in a room: a corner of it if there is one, else the middle of its box."""
    if room.is_empty or room.area < piece.area:
        return None
    shapely.prepare(room)
    low_x, low_y, high_x, high_y = room.bounds
    for angle in TURNS:
        turned = np.array(moved(piece.points, PlacedPiece(piece.name, angle, 0.0, 0.0)))
        low, size = turned.min(axis=0), np.ptp(turned, axis=0)
        slack = np.array((high_x - low_x, high_y - low_y)) - size
        if slack.min() < 0:
            continue
        for share_x in np.linspace(0.0, 1.0, SPOTS):
            for share_y in np.linspace(0.0, 1.0, SPOTS):
                shift = np.array((low_x, low_y)) + slack * (share_x, share_y) - low
                if room.contains(shapely.Polygon(turned + shift)):
                    return PlacedPiece(piece.name, angle, float(shift[0]), float(shift[1]))
    return None


def steel(piece: Piece, put: PlacedPiece) -> Polygon:
    """A piece with its openings gone, where it lies, mm."""
    return shapely.Polygon(
        moved(piece.points, put), [moved(opening, put) for opening in piece.openings]
    )
