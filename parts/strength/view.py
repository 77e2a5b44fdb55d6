"""The placed truck in its cases as a hold of one side sees it: names without a hand are its own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.forces import Forces
from ...layout.quantities import Key, Side
from .. import stock
from ..geometry import outline
from ..model.assembly import Bolt, Hole
from ..model.body import Plate, Tube
from ..model.codes import OTHER, far_named, is_far, near
from ..model.hold import BoltSize, HoleAt, PlateSize, TubeSize
from ..model.vectors import Vec2
from .named_loads import (
    AMOUNTS,
    AXLE_RATIO,
    ENGINE_MOUNTS,
    GEARBOX,
    OWN,
    UPRIGHT,
    VECTORS,
)
from .weld_pieces import pieces_of
from .work import Work


class SideUnderLoad:
    """``model.hold.UnderLoad`` of a hold's side; ``away``: the bolt its load comes from or goes
    to, by id; ``bolt_id``: the bolt it is at.
    """

    def __init__(
        self, work: Work, side: Side, rows: Sequence[Forces], *, bolt_id: str = "", away: str = ""
    ) -> None:
        self.work, self.side, self.rows = work, side, rows
        self.bolt_id, self.away = bolt_id, away

    def under(self, rows: Sequence[Forces]) -> SideUnderLoad:
        """The same in other cases."""
        return SideUnderLoad(self.work, self.side, rows, bolt_id=self.bolt_id, away=self.away)

    @property
    def index(self) -> int:
        """Left 0, right 1, as ``Forces`` counts them."""
        return 1 if self.side == "R" else 0

    @property
    def cases(self) -> int:
        """How many cases there are."""
        return len(self.rows)

    @property
    def weld_metal(self) -> float:
        """Tensile strength of the filler, MPa."""
        return self.work.made_of.filler.fexx

    @property
    def rail(self) -> PlateSize:
        """Least wall of the rail of this side, with its steel."""
        return self.work.rail(self.side)

    def named(self, name: str) -> str:
        """An id with its hand."""
        return far_named(name, self.side)

    def _key(self, name: str) -> Key:
        own = Key(name, self.side)
        return own if own in self.work.values else Key(name, "C")

    def has(self, *names: str) -> bool:
        """Whether every one of these solved numbers is there."""
        return all(self._key(name) in self.work.values for name in names)

    def there(self, code: str) -> bool:
        """Whether a member or bolt is placed."""
        return self.named(code) in self.work.members or self.named(code) in self.work.bolts

    def q(self, name: str) -> float:
        """A solved number of this side or of the center."""
        return self.work.values[self._key(name)]

    def point(self, name: str) -> Array:
        """A solved point, truck axes; a name that ends in ".far" is of the other side."""
        side: str = OTHER.get(self.side, "C") if is_far(name) else self.side
        base = near(name)
        keys = [Key(f"{base}.{axis}", side) for axis in "xyz"]  # type: ignore[arg-type]  # L, R, C
        if keys[0] not in self.work.values:
            keys = [Key(f"{base}.{axis}", "C") for axis in "xyz"]
            return np.array([self.work.values[key] for key in keys])
        found = np.array([self.work.values[key] for key in keys])
        return found * (1.0, -1.0, 1.0) if side == "R" else found

    def amount(self, load: str) -> Array:
        """A load without its direction, (cases,)."""
        if load == "shock":
            return np.full(len(self.rows), self.work.wheel)
        if load == "transmission":
            return np.full(len(self.rows), self._transmission())
        if load in UPRIGHT:
            return self.amount(UPRIGHT[load][0])
        return np.array([AMOUNTS[load](row, self.index) for row in self.rows], dtype=float)

    def _transmission(self) -> float:
        """Three times the transmission's weight, with what its torque adds on one side, twice."""
        apart = self.q("driveline.mount.bolt_dy")
        torque = self.work.basis.weight * self.work.basis.tire_radius / AXLE_RATIO
        share = apart**2 / (apart**2 + ENGINE_MOUNTS**2)
        rolled = 2 * share * torque / apart if apart else 0.0
        return GEARBOX * self.q("driveline.mount.weight") + rolled

    def force(self, load: str) -> Array:
        """A load as a vector, (cases, 3)."""
        if load in VECTORS:
            return np.array([VECTORS[load](row, self.index) for row in self.rows], dtype=float)
        return self.amount(load)[:, None] * self._way(load)

    def _way(self, load: str) -> Array:
        if load in UPRIGHT:
            return np.array((0.0, 0.0, UPRIGHT[load][1]))
        if load == "bar":
            return self.work.bar_way()
        ends = [np.array(self.work.bolts[name].at) for name in (self.bolt_id, self.away)]
        span = ends[1] - ends[0]
        return np.asarray(span / np.linalg.norm(span))

    def flips_at(self) -> Array:
        """Push in the upper arm that flips the radius arm about its own axis, (cases,) N."""
        return np.array([row.flips[self.index] for row in self.rows], dtype=float)

    def origin(self, code: str) -> Array:
        """Where a member's frame stands."""
        return np.array(self.work.members[self.named(code)].place.origin)

    def axis(self, code: str) -> Array:
        """A member's own x."""
        return np.array(self.work.members[self.named(code)].place.x)

    def tube(self, code: str) -> TubeSize:
        """A tube's sizes and steel."""
        found = self.work.tube(self.named(code))
        assert found is not None, code
        steel = stock.steel(found.steel)
        return TubeSize(found.od, found.wall, steel.fy, steel.fu)

    def length(self, code: str) -> float:
        """A tube's length, mm."""
        body = self.work.members[self.named(code)].body
        assert isinstance(body, Tube)
        return body.length

    def plate(self, code: str) -> PlateSize:
        """A plate's thickness and steel."""
        return self.work.plate(self.named(code))

    def _outline(self, code: str) -> Plate:
        body = self.work.members[self.named(code)].body
        assert isinstance(body, Plate)
        return body

    def box(self, code: str) -> tuple[float, float, float, float]:
        """A plate's bounds in its own axes."""
        return outline.bbox(self._outline(code).outline)

    def ends(self, code: str, edge: str) -> Array:
        """Both ends of every edge of this name of a plate's outline, (n, 2) in its own axes."""
        loop = outline.spans(self._outline(code).outline)
        found = [end for one, to in loop if one.name == edge for end in (one.start, to)]
        return np.array(found).reshape(-1, 2)

    def bolts(self, *starts: str) -> tuple[Bolt, ...]:
        """Bolts of this side whose id begins so, but no bare holes of another plate."""
        return tuple(
            bolt
            for bolt in self.work.bolts_of(*starts)
            if bolt.id.endswith(f".{self.side}") and bolt.id.count(".") == starts[0].count(".") + 1
        )

    def bolt(self, name: str) -> BoltSize:
        """A bolt's size and strength."""
        bolt = self.work.bolts[self.named(name)]
        made_of = self.work.made_of
        mark = made_of.dowel if bolt.grade == "dowel" else made_of.bolt(bolt)
        return BoltSize(stock.bolt(bolt.size).d, mark.fy, mark.fu)

    def bolt_at(self, name: str) -> Array:
        """The middle of a bolt's joint."""
        return self.work.middle(self.work.bolts[self.named(name)])

    def leg(self, weld: str) -> float:
        """A weld's leg, mm."""
        return self.work.welds[self.named(weld)].leg

    def holes(self, code: str) -> dict[str, Hole]:
        """Finished holes of a plate by their bolt."""
        return {hole.bolt: hole for hole in self.work.parts[self.named(code)].holes}

    def edge(self, code: str, hole: HoleAt) -> float:
        """From a hole's center to the plate's edge, mm."""
        return outline.distance(self._outline(code).outline, hole.at)

    def seams(self, code: str) -> Array:
        """Middles of the weld pieces on a plate or against it, lines on plates only."""
        own = self.named(code)
        return np.array(
            [
                (start + end) / 2
                for weld in self.work.welds_of(own)
                if isinstance(self.work.members[weld.on].body, Plate)
                for start, end in self.work.segments(weld)
            ]
        ).reshape(-1, 3)

    def carried(self, welds: Sequence[str], at: Array, load: str) -> list[tuple[Array, Array]]:
        """Welds as one rigid group under a load at a place: of each weld its pieces' middles and
        the force on each, (cases, n, 3) N.
        """
        found = [self.work.welds[self.named(name)] for name in welds]
        pieces = pieces_of(self.work, found)
        assert pieces is not None
        force = np.einsum("nij,cj->cni", pieces.unit(at), self.force(load))
        force *= pieces.lengths[:, None]
        ends = [np.array(self.work.segments(weld)) for weld in found]
        after = np.cumsum([len(each) for each in ends])[:-1]
        return list(zip(ends, np.split(force, after, axis=1), strict=True))

    def out(self, code: str, at: Vec2) -> Array:
        """A place of a plate's own plane in truck axes."""
        return np.array(self.work.members[self.named(code)].place.out((*at, 0.0)))


def own_rows(work: Work, load: str) -> Sequence[Forces]:
    """The cases a load is worked in: the standing one alone, under the load's own name, for what is
    no force of the linkage (``OWN``), else every case.
    """
    if load not in OWN:
        return work.rows
    standing = next(row for row in work.rows if row.case.name == "static")
    return (standing._replace(case=OWN[load]),)
