"""Where welds, bolts and items of a group can be pointed at, and from which of its views."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....layout.arrays import Array
from ...geometry import bend, outline
from ...geometry.cope import cope
from ...model.assembly import Bolt, Member, Weld
from ...model.body import Plate, Tube
from ...model.vectors import Vec2
from ..canvas import along
from ..hidden import Solids
from .directions import Direction
from .groups import Placed, SheetGroup
from .pictures import Picture

Sight = NDArray[np.bool_]
PictureLetters = Literal["WB", "W", "B"]
"""What is numbered beside items: welds, bolts, or both."""
DEPTH, LEAST_DEPTH = 0.35, 1.0
"""Of a weld's leg, how far into its bead it is pointed at; and at least, mm."""
END_ON = 0.99
"""Cosine from which a bolt is seen end on."""
REACH = 40.0
"""mm round a bolt's axis within which steel counts as what it clamps."""
MOST = 5
"""Places an arrow may stand on, at most."""
USUAL = 3
"""Views every sheet has; another must show half as much again."""
FLAT = 0.15
"""Share of its length below which a weld is seen end on."""


class Spot(NamedTuple):
    """Where to point: the view by its number, places as seen (mm), whether in sight."""

    view: int
    tips: tuple[Vec2, ...]
    seen: bool = True


def weld_points(placed: Placed, weld: Weld) -> Array:
    """Points within a weld's bead, (n, 4, 3) in truck axes: at places along its lines, to all four
    sides of the edge; those that lie in steel no view shows.
    """
    member = placed.members[weld.on]
    deep = max(DEPTH * weld.leg, LEAST_DEPTH)
    if isinstance(member.body, Tube):
        rims = [_rim(placed, member, edge, deep) for edge in weld.edges]
        return np.vstack(rims)
    if not isinstance(member.body, Plate):
        return np.zeros((0, 4, 3))
    thickness = placed.shop.plate(member.body.stock).thickness
    levels = {"bottom": (0.0,), "top": (thickness,), "both": (0.0, thickness)}[weld.face]
    found = []
    panels = bend.fold(member.body, thickness)[0] if member.body.bends else ()
    for (x, y), (nx, ny) in _along(member.body, weld.edges):
        place = member.place
        if panels:
            place = bend.joined(place, bend.panel_of(panels, (x, y)).place)
        for level in levels:
            found.append(
                [
                    place.out((x + out * deep * nx, y + out * deep * ny, level + share * deep))
                    for out in (1.0, -1.0)
                    for share in (1.0, -1.0)
                ]
            )
    return np.array(found) if found else np.zeros((0, 4, 3))


def _along(body: Plate, edges: Sequence[str]) -> Iterator[tuple[Vec2, Vec2]]:
    """Places along edges of a plate, the middles first, each with the way off the steel."""
    for share in (0.5, 0.3, 0.7, 0.12, 0.88):
        for index, loop in enumerate((body.outline, *body.openings)):
            out = 1.0 if (outline.signed_area(loop) > 0) == (index == 0) else -1.0
            for edge, end in outline.spans(loop):
                if edge.name not in edges:
                    continue
                points = [*outline.edge_points(edge, end, 0.5), end]
                lengths = np.hypot(*np.diff(np.array(points), axis=0).T)
                at, way = along(points, lengths, share * float(lengths.sum()))
                yield at, (out * math.sin(way), -out * math.cos(way))


def _rim(placed: Placed, member: Member, edge: str, deep: float) -> Array:
    """Points round the end of a tube, (n, 2, 3): just off it, and past its end within its rim,
    where an end that stands back in a bore is welded.
    """
    body = member.body
    assert isinstance(body, Tube)
    index = 0 if edge == "end0" else 1
    end, od = body.ends[index], placed.shop.tube(body.stock).od
    turn = np.arange(16) * math.tau / 16
    y, z = np.cos(turn) * od / 2, np.sin(turn) * od / 2
    way = 1.0 if index == 0 else -1.0
    back = (
        cope(end, index, od, od / 2, np.arctan2(-way * y, z))
        if end.kind == "cope"
        else np.zeros(len(turn))
    )
    found = []
    for past in (-deep, deep):
        x = back - past if index == 0 else body.length - back + past
        grow = 1 - past / (od / 2)
        rows = zip(x.tolist(), (grow * y).tolist(), (grow * z).tolist(), strict=True)
        found.append([member.place.out(row) for row in rows])
    return np.array(found).transpose(1, 0, 2)


class Sights:
    """Which points of a group's welds and bolts are in sight from where; each view once."""

    def __init__(self, placed: Placed, group: SheetGroup, looked: Solids) -> None:
        beads = {number: weld_points(placed, weld) for number, weld in group.welds.items()}
        self.beads = {number: points for number, points in beads.items() if len(points)}
        self.bolts = {number: _outside(placed, bolt) for number, bolt in group.bolts.items()}
        self.along = {number: np.array(bolt.along) for number, bolt in group.bolts.items()}
        rows = [points.reshape(-1, 3) for points in (*self.beads.values(), *self.bolts.values())]
        self.every = np.vstack(rows) if rows else np.zeros((0, 3))
        self.looked, self.known = looked, dict[str, Sight]()

    def _seen(self, direction: Direction) -> Sight:
        if direction.words not in self.known:
            self.known[direction.words] = ~self.looked.hides(direction.view, self.every)
        return self.known[direction.words]

    def spots(self, views: Sequence[Direction], letters: PictureLetters = "WB") -> dict[str, Spot]:
        """Every weld and bolt, or either alone, in the view it is best seen in."""
        welds = self.welds(views) if "W" in letters else {}
        return welds | (self._bolts(views) if "B" in letters else {})

    def welds(self, views: Sequence[Direction]) -> dict[str, Spot]:
        """Every weld, in the view it is best seen in."""
        sights = [self._seen(direction) for direction in views] if self.beads else []
        found, start = {}, 0
        for number, points in self.beads.items():
            count = points.shape[0] * points.shape[1]
            own = [sight[start : start + count].reshape(points.shape[:2]) for sight in sights]
            found[number] = _best(points, own, views)
            start += count
        return found

    def _bolts(self, views: Sequence[Direction]) -> dict[str, Spot]:
        """Every bolt, in the view it is best seen in, end on before lengthwise."""
        start = sum(points.shape[0] * points.shape[1] for points in self.beads.values())
        found = {}
        for number, out in self.bolts.items():
            best, most = Spot(0, (_flat(out[0], views[0]),), False), 0.0
            for index, direction in enumerate(views):
                seen = self._seen(direction)[start : start + len(out)]
                end_on = abs(float(self.along[number] @ direction.view.eye)) > END_ON
                worth = (2.0 if end_on else 1.0) * float(seen.any()) - 0.02 * index
                if worth > most and seen.any():
                    most = worth
                    best = Spot(index, (_flat(out[seen][0], direction),))
            found[number] = best
            start += len(out)
        return found


def _outside(placed: Placed, bolt: Bolt) -> Array:
    """A point off either end of what a bolt passes."""
    one, two = bolt_ends(placed, bolt, bolt.through)
    along = 3.0 * np.array(bolt.along)
    return np.vstack((one - along, two + along))


def _best(points: Array, sights: Sequence[Sight], views: Sequence[Direction]) -> Spot:
    middle = points.mean(axis=1)
    best, most = Spot(0, (_flat(middle[0], views[0]),), False), 0.0
    long = float(np.linalg.norm(np.ptp(middle, axis=0)))
    for index, (direction, sight) in enumerate(zip(views, sights, strict=True)):
        seen = sight.any(axis=1)
        if not seen.any():
            continue
        flat = [
            _flat(points[place, int(np.argmax(sight[place]))], direction)
            for place in np.flatnonzero(seen)
        ]
        spread = math.dist(*_ends(flat))
        worth = float(seen.mean()) * (1.0 if spread > FLAT * long else 0.2) - 0.02 * index
        if worth > most:
            most = worth
            best = Spot(index, tuple(flat[:MOST]))
    return best


def _ends(flat: Sequence[Vec2]) -> tuple[Vec2, Vec2]:
    every = np.array(flat)
    low, high = every.min(axis=0), every.max(axis=0)
    return (float(low[0]), float(low[1])), (float(high[0]), float(high[1]))


def _flat(point: Array, direction: Direction) -> Vec2:
    return float(point @ direction.view.right), float(point @ direction.view.up)


def bolt_ends(placed: Placed, bolt: Bolt, members: Iterable[str]) -> tuple[Array, Array]:
    """Both ends of what a bolt passes.

    ``members``: codes; one without a shape, or out of the bolt's reach, counts for nothing. Gives
    two points, (3,) each, mm, truck axes: 10 mm to either side of its place where nothing is in
    reach.
    """
    at, along = np.array(bolt.at), np.array(bolt.along)
    reach = []
    for code in members:
        shape = placed.shapes.get(code)
        if shape is not None and len(shape.corners):
            rel = shape.corners - at
            down = rel @ along
            off = np.linalg.norm(rel - down[:, None] * along, axis=1)
            reach += [float(depth) for depth in down[off < REACH]]
    low, high = (min(reach), max(reach)) if reach else (-10.0, 10.0)
    return at + low * along, at + high * along


def item_spots(pictures: Sequence[Picture], codes: Sequence[str]) -> Spot | None:
    """Where an item, made of several members alike, can be pointed at: on the view that shows most
    of one of them.
    """
    best: Spot | None = None
    most = 0.0
    for index, picture in enumerate(pictures):
        for code in codes:
            lines = picture.own.get(code, [])
            long = sum(_length(line) for line in lines)
            if long > most * (1.0 if index < USUAL else 1.5):
                most = long
                lines = sorted(lines, key=_length, reverse=True)[:4]
                best = Spot(index, tuple(tip for line in lines for tip in _middles(line)))
    return best


def _length(line: Sequence[Vec2]) -> float:
    return sum(math.dist(start, end) for start, end in itertools.pairwise(line))


def _middles(line: Sequence[Vec2]) -> list[Vec2]:
    """The middle of the longest stretch of a line, and a point to either side of it."""
    start, end = max(itertools.pairwise(line), key=lambda ends: math.dist(*ends))
    return [
        (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
        for share in (0.5, 0.25, 0.75)
    ]


def unseen(spots: Mapping[str, Spot]) -> list[str]:
    """Numbers of what no view shows."""
    return [number for number, spot in spots.items() if not spot.seen]
