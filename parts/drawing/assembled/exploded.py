"""Exploded views: what a bolt clamps drawn apart along it, what is welded together in one piece."""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ....layout.arrays import Array
from ...model.assembly import Bolt, Member
from ...model.body import Existing
from ...model.vectors import Vec3
from ..hidden import Solids
from ..placed import PlacedStroke
from .directions import Direction
from .groups import Placed, SheetGroup
from .marks import REACH, Sights, Spot, bolt_ends, unseen
from .pictures import Picture, picture, scene

APART = 70.0
"""mm between what lies one on the other, drawn apart."""
OUT = 140.0
"""mm that what stands between two ears is drawn away from them."""
BESIDE = 1.0
"""mm two pieces are apart along a bolt at least to lie one on the other, not one in the other."""


class Pictorial(NamedTuple):
    """A group seen aslant, drawn apart where bolts clamp pieces of it.

    ``placed``, ``group``: its members where they are drawn; ``picture``: as seen; ``axes``: the
    ways the bolts go, as seen, mm; ``spots``: where welds that no other view shows can be pointed
    at on it; ``apart``: whether anything is drawn away from its place.
    """

    placed: Placed
    group: SheetGroup
    picture: Picture
    axes: tuple[PlacedStroke, ...]
    spots: Mapping[str, Spot]
    apart: bool


class Aslant:
    """A group to be seen aslant; ``looked``: its scene as it stands, taken where nothing of it is
    drawn from its place.
    """

    def __init__(self, placed: Placed, group: SheetGroup, looked: Solids) -> None:
        self.away = moves(placed, group)
        self.bolted = group
        self.placed, self.group = _moved(placed, group, self.away)
        self.looked = scene(self.placed, self.group) if self.away else looked
        self._pictures: dict[str, Picture] = {}

    def seen(self, ways: Sequence[Direction], hidden: Sequence[str] = ()) -> Pictorial:
        """From that of several ways that shows most of the welds ``hidden``, then most of what is
        drawn apart; from the first where all do.
        """
        moved, own = self.placed, self.group
        welds = {key: own.welds[key] for key in hidden}
        sights = Sights(moved, own._replace(welds=welds, bolts={}), self.looked)
        found = [sights.welds([way]) for way in ways]
        best = self._best(ways, [len(unseen(spots)) for spots in found])
        spots = {key: spot for key, spot in found[best].items() if spot.seen}
        seen = self._picture(ways[best])
        axes = tuple(_axes(moved, self.bolted, self.away, seen)) if self.away else ()
        return Pictorial(moved, own, seen, axes, spots, bool(self.away))

    def _best(self, ways: Sequence[Direction], lost: Sequence[int]) -> int:
        """Of the ways that lose least the one that hides least of what is drawn apart."""
        least = [index for index, count in enumerate(lost) if count == min(lost)]
        if not self.away or len(least) == 1:
            return least[0]
        rows = [self.placed.shapes[code].corners for code in sorted(self._held())]
        corners = np.vstack([np.zeros((0, 3)), *rows])
        best, dark = least[0], len(corners) + 1
        for index in least:
            count = int(self.looked.hides(ways[index].view, corners, dark).sum())
            if count < dark:
                best, dark = index, count
            if not dark:
                break
        return best

    def _held(self) -> set[str]:
        """What is drawn from its place and a bolt passes."""
        bolts = self.bolted.bolts.values()
        return {code for bolt in bolts for code in bolt.through if code in self.away}

    def _picture(self, way: Direction) -> Picture:
        if way.words not in self._pictures:
            words = f"exploded, {way.words}" if self.away else way.words
            held = self._held()
            also = [member for member in self.group.near if member.code in held]
            self._pictures[way.words] = picture(
                self.placed, self.group, self.looked, way._replace(words=words), False, also
            )
        return self._pictures[way.words]


def moves(placed: Placed, group: SheetGroup) -> dict[str, Array]:
    """Code -> how far it is drawn from its place, (3,) mm, of what moves at all."""
    there = {member.code: member for member in (*group.members, *group.near)}
    piece = _pieces(placed, there)
    away: dict[str, Array] = {}
    for bolt in group.bolts.values():
        first, *others = _stack(placed, bolt, there, piece)
        base = away.setdefault(first[0], np.zeros(3))
        for number, (name, depth) in enumerate(others, 1):
            if name not in away:
                way = np.array(bolt.along) * np.sign(depth - first[1]) * APART * number
                between = abs(depth - first[1]) < BESIDE
                members = [code for code in there if piece[code] == name]
                away[name] = base + (_outward(placed, bolt, members) if between else way)
    return {
        code: away[piece[code]]
        for code in there
        if piece[code] in away and np.any(away[piece[code]])
    }


def _pieces(placed: Placed, there: Mapping[str, Member]) -> dict[str, str]:
    """Code -> name of the piece it is welded into; what was on the truck already is one."""
    name = {code: code for code in there}
    old = [code for code, member in there.items() if isinstance(member.body, Existing)]
    joins = [(weld.on, weld.to) for weld in placed.welds.values()]
    for one, two in (*joins, *((old[0], code) for code in old[1:])):
        if one in name and two in name:
            was, now = name[two], name[one]
            name = {code: now if each == was else each for code, each in name.items()}
    return name


def _stack(
    placed: Placed, bolt: Bolt, there: Mapping[str, Member], piece: Mapping[str, str]
) -> list[tuple[str, float]]:
    """The pieces a bolt clamps with their middles along it, the one that stays first: what was
    there already, else that of most members.
    """
    depths: dict[str, list[float]] = {}
    for code in bolt.through:
        shape = placed.shapes.get(code)
        if code in there and shape is not None and len(shape.corners):
            rel = shape.corners - np.array(bolt.at)
            down = rel @ np.array(bolt.along)
            off = np.linalg.norm(rel - down[:, None] * np.array(bolt.along), axis=1)
            depths.setdefault(piece[code], []).extend(down[off < REACH].tolist())
    found = [(name, (min(each) + max(each)) / 2) for name, each in depths.items() if each]
    sizes = list(piece.values())
    old = {piece[code] for code, member in there.items() if isinstance(member.body, Existing)}
    found.sort(key=lambda row: (row[0] not in old, -sizes.count(row[0]), row[0]))
    if not found:
        return [("", 0.0)]
    first = found[0]
    return [first, *sorted(found[1:], key=lambda row: abs(row[1] - first[1]))]


def _outward(placed: Placed, bolt: Bolt, codes: Sequence[str]) -> Array:
    """Away from the bolt toward where most of a piece is, square to the bolt."""
    along = np.array(bolt.along)
    corners = np.vstack([placed.shapes[code].corners for code in codes])
    way = (corners.min(axis=0) + corners.max(axis=0)) / 2 - np.array(bolt.at)
    way = way - along * float(way @ along)
    long = float(np.linalg.norm(way))
    if long < BESIDE:
        way, long = along, 1.0
    out: Array = way / long * OUT
    return out


def _moved(
    placed: Placed, group: SheetGroup, away: Mapping[str, Array]
) -> tuple[Placed, SheetGroup]:
    """Copies in which members stand where they are drawn."""

    def shifted(member: Member) -> Member:
        by = away.get(member.code)
        if by is None:
            return member
        x, y, z = (float(value) for value in np.array(member.place.origin) + by)
        return member._replace(place=member.place._replace(origin=(x, y, z)))

    moved = copy.copy(placed)
    moved.members = {code: shifted(member) for code, member in placed.members.items()}
    moved.shapes = {
        code: shape._replace(corners=shape.corners + away[code]) if code in away else shape
        for code, shape in placed.shapes.items()
    }
    own = group._replace(
        members=tuple(map(shifted, group.members)), near=tuple(map(shifted, group.near))
    )
    return moved, own


def _axes(
    moved: Placed, group: SheetGroup, away: Mapping[str, Array], seen: Picture
) -> Iterator[PlacedStroke]:
    """The line each bolt goes along, and from its place to where the piece it holds is drawn."""
    for bolt in group.bolts.values():
        one, two = bolt_ends(moved, bolt, bolt.through)
        yield (seen.to(one), seen.to(two)), "center"
        for by in {tuple(away[code].tolist()) for code in bolt.through if code in away}:
            square = np.array(by) - np.array(bolt.along) * float(np.dot(by, bolt.along))
            if float(np.linalg.norm(square)) > BESIDE:
                at: Vec3 = bolt.at
                yield (seen.to(at), seen.to(np.array(at) + square)), "center"
