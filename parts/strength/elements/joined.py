"""Two plates one on the other, joined along weld lines only: each bends on its own, they press on
each other and the lower one on the wall behind it. The upper is kept straight along the welds of
what stands on it. mm, N, MPa.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....layout.arrays import Array
from ...model.body import Loop
from . import plate as fem
from .contact import Contact
from .mesh import ON_LINE, Mesh, Size, clipped, dense, inside, mesh, near
from .sparse import Sparse
from .triangles import E

SAME = 1e-6
"""Nodes of both plates in one place, mm."""
ACROSS, LEAST = 2.0, 1.5
"""Elements across a strip between two welds, and the least size that is asked for there, mm."""
COARSE = 11.0
"""Size of the mesh about the joint, mm."""
NEAR, GROWS = 10.0, 0.3
"""Millimeters about the joint that keep its size, and how it grows beyond them."""
END, AT_END = 2.0, 4.0
"""Least size at the ends of a weld, where most of a force goes over, mm, and how far it is kept."""
FINE = 10.0
"""Millimeters about a place that keep the size asked for there."""
RIGID = 20.0
"""What stands behind is this much stiffer than the plate's own steel pressed through its thickness:
as good as rigid.
"""
LEVERS = 6
"""Movements and turns of what is kept straight."""
KEPT = 16
"""Meshes of two plates kept: plates of other thickness and the same outlines begin with the same
two.
"""
_MESHED: dict[object, tuple[Mesh, Mesh]] = {}


class PlateOnPlate(NamedTuple):
    """Both plates in one plane's axes, x rearward, y up, z outward from the lower one's back.

    ``outlines``, ``openings``, ``thick``: lower and upper plate. Lines (n, 2): ``held`` of the
    lower one, ``joined`` between both, ``kept`` straight on the upper one. ``push`` (3,): direction
    of one newton at ``at`` (3,). ``cut``: between these x nothing stands behind the lower plate;
    None where the wall is whole.
    """

    outlines: tuple[Loop, Loop]
    openings: tuple[tuple[Loop, ...], tuple[Loop, ...]]
    thick: tuple[float, float]
    held: list[Array]
    joined: list[Array]
    kept: list[Array]
    at: Array
    push: Array
    cut: tuple[float, float] | None

    @property
    def shape(self) -> tuple[object, ...]:
        """All that a mesh of it hangs on, to be compared: what is no thickness, load or wall."""
        lines = (self.held, self.joined, self.kept)
        return self.outlines, self.openings, *(tuple(map(_told, each)) for each in lines)

    @property
    def content(self) -> tuple[object, ...]:
        """All of it, to be compared."""
        return *self.shape, self.thick, _told(self.at), _told(self.push), self.cut


def _told(line: Array) -> tuple[object, ...]:
    return line.shape, line.tobytes()


class Pressing(NamedTuple):
    """``spots`` (n, 3): places of contact, by x, y and 0 for the wall or 1 for the upper plate;
    ``pressed`` (n,): which of them press; ``guessed``: not found for these very plates.
    """

    spots: Array
    pressed: NDArray[np.bool_]
    guessed: bool = False


class Pair(NamedTuple):
    """Both plates solved, and where they press."""

    lower: fem.Solved
    upper: fem.Solved
    pressing: Pressing


def pair(
    joint: PlateOnPlate, size: float, about: Sequence[Array] = (), last: Pressing | None = None
) -> Pair:
    """Both plates solved, each bending on its own, where they press found turn by turn.

    Parameters
    ----------
    size : float
        Of the elements, mm, ``about`` some places (n, 2), coarser elsewhere.
    last : Pressing, optional
        Found before, on another mesh or of plates like these: where the search for what presses
        begins, which is quicker. The answer does not hang on what was guessed.

    Raises
    ------
    Refused
        An outline does not mesh, the plates are not held enough, or the contact does not settle.
    """
    lower, upper = meshes(joint, size, about)
    many = len(lower.nodes)
    both = Mesh(np.vstack((lower.nodes, upper.nodes)), np.vstack((lower.tris, upper.tris + many)))
    t = np.repeat(np.array(joint.thick), (len(lower.tris), len(upper.tris)))
    ties, load = _ties(joint, lower, upper)
    contact, spots = _contact(joint, lower, upper)
    if last is not None:
        contact = contact._replace(pressed=_as_before(spots, last), guessed=last.guessed)
    s = fem.solve_tied(both, t, ties, load, contact)

    def part(made: Mesh, nodes: slice) -> fem.Solved:
        held = _on(made.nodes, joint.held, ON_LINE) & (made is lower)
        reaction = np.where(held[:, None], s.reaction[nodes], 0.0)
        return fem.Solved(made, s.u[nodes], s.flat[nodes], s.skin[nodes], reaction)

    pressing = Pressing(spots, s.pressed)
    return Pair(part(lower, slice(many)), part(upper, slice(many, None)), pressing)


def _as_before(spots: Array, last: Pressing) -> NDArray[np.bool_]:
    """Whether the nearest place of contact of another mesh pressed."""
    from scipy.spatial import cKDTree

    far = np.array((1.0, 1.0, 1e4))
    _, which = cKDTree(last.spots * far).query(spots * far)
    return np.asarray(last.pressed[which])


def meshes(joint: PlateOnPlate, size: float, about: Sequence[Array]) -> tuple[Mesh, Mesh]:
    """Meshes of the lower and the upper plate, in that order, with nodes of both in one place where
    they are joined or held: the upper one has nodes over what holds the lower one, and the lower
    one has all of the upper one's that lie on it. ``size``, ``about``: as ``pair`` takes them.
    """
    key = joint.shape, size, tuple(map(_told, about))
    if key not in _MESHED:
        while len(_MESHED) >= KEPT:
            del _MESHED[next(iter(_MESHED))]
        _MESHED[key] = _meshed(joint, size, about)
    return _MESHED[key]


def _meshed(joint: PlateOnPlate, size: float, about: Sequence[Array]) -> tuple[Mesh, Mesh]:
    field = _field(joint, size, about)
    top = joint.outlines[1], joint.openings[1]
    over_welds = [piece for line in joint.held for piece in clipped(line, *top)]
    upper = mesh(*top, field, [*joint.joined, *joint.kept, *over_welds])
    over = upper.nodes[inside(upper.nodes, joint.outlines[0], joint.openings[0])]
    crowded = np.zeros(len(over), dtype=bool)
    for line in joint.held:
        crowded |= near(over, line, 0.45 * float(field(over).min()))
    clear = ~crowded | _on(over, [*joint.joined, *joint.held], ON_LINE)
    return mesh(joint.outlines[0], joint.openings[0], field, joint.held, over[clear]), upper


def _field(joint: PlateOnPlate, size: float, about: Sequence[Array]) -> Size:
    """Coarse about the joint, finer between welds of both plates that stand close, at the ends of
    welds and about some places.
    """
    from scipy.spatial import cKDTree

    ends = cKDTree(np.vstack([line[[0, -1]] for line in joint.joined]))
    tree = cKDTree(np.vstack([dense(line, 1.0) for line in joint.joined]))
    held = cKDTree(np.vstack([dense(line, 1.0) for line in joint.held]))
    kept = cKDTree(np.vstack([dense(line, 3.0) for line in joint.kept]))

    def field(points: Array) -> Array:
        joined = tree.query(points)[0]
        found = np.full(len(points), COARSE)
        far, close = joined > NEAR, joined < ACROSS * COARSE
        away = np.minimum(joined[far], kept.query(points[far])[0]) - NEAR
        found[far] += GROWS * np.maximum(away, 0.0)
        wide = held.query(points[close], distance_upper_bound=ACROSS * COARSE)[0]
        between = (joined[close] + wide) / ACROSS
        found[close] = np.minimum(found[close], np.maximum(between, max(LEAST, size / 3)))
        # farther from the ends they ask for more than is asked for already
        reach = AT_END + max(0.0, float(found.max(initial=0.0)) - max(size, END)) / GROWS + 1.0
        away = np.maximum(ends.query(points, distance_upper_bound=reach)[0] - AT_END, 0.0)
        found = np.minimum(found, max(size, END) + GROWS * away)
        for place in about:
            away = np.maximum(np.hypot(*(points - place).T) - FINE, 0.0)
            found = np.minimum(found, size + GROWS * away)
        return np.asarray(found)

    return field


def _on(points: Array, lines: list[Array], within: float) -> NDArray[np.bool_]:
    found = np.zeros(len(points), dtype=bool)
    for line in lines:
        found |= near(points, line, within)
    return found


def _under(lower: Mesh, upper: Mesh) -> NDArray[np.int64]:
    """For each node of the upper plate the one under it; -1 where there is none."""
    from scipy.spatial import cKDTree

    away, which = cKDTree(lower.nodes).query(upper.nodes)
    return np.where(away < SAME, which, -1)


class _GrowingMatrix:
    """A sparse matrix as it grows."""

    def __init__(self) -> None:
        self.rows: list[int] = []
        self.cols: list[int] = []
        self.values: list[float] = []

    def add(self, row: int, *terms: tuple[int, float]) -> None:
        for col, value in terms:
            self.rows.append(row)
            self.cols.append(col)
            self.values.append(value)

    def matrix(self, rows: int, cols: int) -> Sparse:
        from scipy.sparse import coo_array

        whole = coo_array((self.values, (self.rows, self.cols)), shape=(rows, cols))
        found: Sparse = whole.tocsc()
        return found


def _ties(joint: PlateOnPlate, lower: Mesh, upper: Mesh) -> tuple[Sparse, Array]:
    """All unknowns from the free ones, the last six those of what is kept straight; the load."""
    from scipy.sparse import csc_array

    many = len(lower.nodes)
    total = fem.PER_NODE * (many + len(upper.nodes))
    fixed = np.zeros(total, dtype=bool)
    held = _on(lower.nodes, joint.held, ON_LINE)
    for way in range(3):
        fixed[fem.PER_NODE * np.flatnonzero(held) + way] = True
    found = _GrowingMatrix()
    under = _under(lower, upper)
    welded = (under >= 0) & _on(upper.nodes, joint.joined, ON_LINE)
    kept = _on(upper.nodes, joint.kept, ON_LINE) & ~welded
    t1, t2 = joint.thick
    for i in np.flatnonzero(welded | kept):
        u = fem.PER_NODE * (many + int(i))
        fixed[u : u + 3] = True
        if welded[i]:
            v = fem.PER_NODE * int(under[i])
            found.add(u, (v, 1.0), (v + 4, t1 / 2), (u + 4, t2 / 2))
            found.add(u + 1, (v + 1, 1.0), (v + 3, -t1 / 2), (u + 3, -t2 / 2))
            found.add(u + 2, (v + 2, 1.0))
        else:
            x, y = upper.nodes[i] - joint.at[:2]
            z = t1 + t2 - joint.at[2]
            found.add(u, (total, 1.0), (total + 4, z), (total + 5, -y), (u + 4, -t2 / 2))
            found.add(u + 1, (total + 1, 1.0), (total + 3, -z), (total + 5, x), (u + 3, t2 / 2))
            found.add(u + 2, (total + 2, 1.0), (total + 3, y), (total + 4, -x))
    own = np.flatnonzero(~fixed)
    ones = csc_array((np.ones(len(own)), (own, own)), shape=(total, total + LEVERS))
    ties = found.matrix(total, total + LEVERS) + ones
    keep = np.concatenate((~fixed, np.ones(LEVERS, dtype=bool)))
    load = np.zeros(total + LEVERS)
    load[total : total + 3] = joint.push
    return ties[:, keep], load[keep]


def _contact(joint: PlateOnPlate, lower: Mesh, upper: Mesh) -> tuple[Contact, Array]:
    """The upper plate on the lower one, the lower one on the sound wall, and where."""
    many = len(lower.nodes)
    held = _on(lower.nodes, joint.held, ON_LINE)
    x = lower.nodes[:, 0]
    away = (x < joint.cut[0]) | (x > joint.cut[1]) if joint.cut else np.ones(many, dtype=bool)
    wall = np.flatnonzero(away & ~held)
    under = _under(lower, upper)
    pressing = np.flatnonzero((under >= 0) & ~_on(upper.nodes, joint.joined, ON_LINE))
    found = _GrowingMatrix()
    for row, i in enumerate(wall):
        found.add(row, (fem.PER_NODE * int(i) + 2, 1.0))
    for row, i in enumerate(pressing, len(wall)):
        above = fem.PER_NODE * (many + int(i)) + 2
        found.add(row, (above, 1.0), (fem.PER_NODE * int(under[i]) + 2, -1.0))
    stiff = np.concatenate(
        (_area(lower)[wall] / joint.thick[0], _area(upper)[pressing] / sum(joint.thick))
    )
    spots = np.vstack((lower.nodes[wall], upper.nodes[pressing]))
    kinds = np.repeat((0.0, 1.0), (len(wall), len(pressing)))
    gap = found.matrix(len(stiff), fem.PER_NODE * (many + len(upper.nodes)))
    contact = Contact(gap, RIGID * E * stiff, np.zeros(len(stiff), dtype=bool))
    return contact, np.column_stack((spots, kinds))


def _area(m: Mesh) -> Array:
    """Of the plate about each node, mm2."""
    found = np.zeros(len(m.nodes))
    for corner in range(3):
        np.add.at(found, m.tris[:, corner], m.areas / 3)
    return found
