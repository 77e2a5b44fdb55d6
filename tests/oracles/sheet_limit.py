"""How much flat plates carry before they collapse, each in its plane and bent at once, from below:
stresses and moments in equilibrium that nowhere pass yield (lower bound theorem of plasticity, any
text), the most by linear programming (SciPy's HiGHS).

In its plane: stress that runs straight across every triangle, tractions that go on from one to the
next (Lysmer 1970, Sloan 1988: from memory). Bent: moments constant in every triangle, as in
`plate_limit`. Yield is von Mises', by polygons inside it. What lies within ``c`` of the middle of
the thickness takes what acts in the plane, the rest the bending, so that together M / Mp is at most
1 - c^2 where N / Np is c. Plates that meet push each other along a line, and bend each other where
the weld does; half a thickness between a weld and the middle of a plate is left out.

Units as given; forces and places of one system.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

ROUND, BEND = 16, 4
"""Directions of a whole turn, and chords of a quarter, in which yield is looked at."""
EACH = 18
"""Columns of a triangle: stress at its corners, moments, shares of thickness, radii of shear."""
Pair = tuple[int, int]
Terms = dict[int, float]


class Sheet(NamedTuple):
    """A plate: corners (n, 2) and triangles (m, 3), counter-clockwise; its thickness and yield;
    origin (3,) and axes (3, 3) of its plane.

    ``held``: edges that may not move in its plane; ``up``: corners (n,) that may not move out of
    it, of which ``backed`` (n,) are only pushed, up its normal (1) or down (-1); ``fast``: edges
    that do not turn; ``smooth``: edges that slide along themselves, as where a half mirrors the
    other; ``load`` (n,): pushes up its normal.
    """

    nodes: np.ndarray
    triangles: np.ndarray
    thick: float
    fy: float
    origin: np.ndarray = np.zeros(3)
    turn: np.ndarray = np.eye(3)
    held: frozenset[Pair] = frozenset()
    up: np.ndarray = np.zeros(0, dtype=bool)
    backed: np.ndarray = np.zeros(0)
    fast: frozenset[Pair] = frozenset()
    smooth: frozenset[Pair] = frozenset()
    load: np.ndarray = np.zeros(0)


class Stiff(NamedTuple):
    """A pin, bolt or tube in rims of sheets, that does not give: of each its sheet and edges.

    ``bears``: only pushes the rim, without friction; else it is one piece with it. ``square``: it
    bends the rim, which cannot tilt on it. ``force``, ``moment`` (3,): what goes through it at
    ``at`` (3,), None where it stands still; ``turns`` (k, 3): about which ways the moment is asked
    for, all if not said, the others go elsewhere.
    """

    rims: Sequence[tuple[int, frozenset[Pair]]]
    bears: bool
    square: bool
    at: np.ndarray = np.zeros(3)
    force: np.ndarray | None = None
    moment: np.ndarray = np.zeros(3)
    turns: np.ndarray = np.eye(3)


class Joint(NamedTuple):
    """A sheet's edge on another's, ends in the same order; ``square``: one bends the other."""

    first: int
    one: Pair
    second: int
    other: Pair
    square: bool


class _Rows:
    """Rows of a program, written down one by one."""

    def __init__(self) -> None:
        self.entries: list[tuple[int, int, float]] = []
        self.count = 0

    def add(self, terms: Terms) -> None:
        self.entries += [(self.count, column, value) for column, value in terms.items()]
        self.count += 1

    def matrix(self, columns: int) -> coo_matrix:
        rows, cols, values = zip(*self.entries, strict=True)
        return coo_matrix((values, (rows, cols)), shape=(self.count, columns)).tocsr()


class _Numbered(NamedTuple):
    """A sheet in the program: where its columns begin; edges with their triangles, each with the
    ends in turn and the way out.
    """

    sheet: Sheet
    first: int
    edges: dict[Pair, list[tuple[int, int, int]]]

    def stress(self, triangle: int, corner: int) -> int:
        return self.first + EACH * triangle + 3 * corner

    def traction(self, edge: Pair, end: int) -> tuple[Terms, Terms]:
        """Force a length from outside on an edge at a corner, both ways of the sheet's plane."""
        found: tuple[Terms, Terms] = ({}, {})
        for t, i, j in self.edges[edge]:
            out, _ = _ways(self.sheet.nodes, i, j)
            corner = list(self.sheet.triangles[t]).index(end)
            for way, parts in enumerate(((0, 2), (2, 1))):
                for n, part in enumerate(parts):
                    found[way][self.stress(t, corner) + part] = float(out[n]) * self.sheet.thick
        return found

    def turned(self, edge: Pair) -> Terms:
        """Moment across an edge times its length, of all its triangles, as seen from the first."""
        found: Terms = {}
        for t, i, j in self.edges[edge]:
            out, _ = _ways(self.sheet.nodes, i, j)
            long = float(np.hypot(*(self.sheet.nodes[j] - self.sheet.nodes[i])))
            sign = 1.0 if (i, j) == edge else -1.0
            for part, value in enumerate((out[0] ** 2, out[1] ** 2, 2 * out[0] * out[1])):
                found[self.stress(t, 3) + part] = sign * long * float(value)
        return found

    def lifted(self) -> list[Terms]:
        """Force out of the plane from outside at every corner."""
        found: list[Terms] = [{} for _ in self.sheet.nodes]
        for sides in self.edges.values():
            for t, i, j in sides:
                out, s = _ways(self.sheet.nodes, i, j)
                twist = (out[0] * s[0], out[1] * s[1], out[0] * s[1] + out[1] * s[0])
                for part, value in enumerate(twist):
                    _put(found[j], self.stress(t, 3) + part, float(value))
                    _put(found[i], self.stress(t, 3) + part, -float(value))
        return found

    def place(self, at: np.ndarray) -> np.ndarray:
        return self.sheet.origin + at @ self.sheet.turn[:2]


def _put(terms: Terms, column: int, value: float) -> None:
    terms[column] = terms.get(column, 0.0) + value


def _ways(nodes: np.ndarray, i: int, j: int) -> tuple[np.ndarray, np.ndarray]:
    along = (nodes[j] - nodes[i]) / np.hypot(*(nodes[j] - nodes[i]))
    return np.array((along[1], -along[0])), along


def edges_of(triangles: np.ndarray) -> dict[Pair, list[tuple[int, int, int]]]:
    """Edges by their corners in order, each with its triangles and their ends in turn."""
    found: dict[Pair, list[tuple[int, int, int]]] = {}
    for t, corners in enumerate(triangles):
        for n in range(3):
            i, j = int(corners[n]), int(corners[(n + 1) % 3])
            found.setdefault((min(i, j), max(i, j)), []).append((t, i, j))
    return found


def carried(sheets: Sequence[Sheet], stiff: Sequence[Stiff], joints: Sequence[Joint] = ()) -> float:
    """Times the forces of ``stiff`` that sheets carry at least; 0 where nothing balances them."""
    made, first = [], 1
    for sheet in sheets:
        made.append(_Numbered(sheet, first, edges_of(sheet.triangles)))
        first += EACH * len(sheet.triangles)
    equal, less, limits = _Rows(), _Rows(), []
    columns = first + 7 * len(joints)
    lifts = [each.lifted() for each in made]
    given, bent = _joined(made, joints, first, lifts)
    for n, each in enumerate(made):
        own = [one for one in stiff for at, _ in one.rims if at == n]
        _balance(each, n, own, given, equal, less)
        _upright(each, lifts[n], bent, own, n, equal, less)
        limits += [0.0] * (less.count - len(limits))
        _yield(each, less, limits)
    for one in stiff:
        _resultant(made, lifts, one, equal)
    found = linprog(
        -np.eye(1, columns)[0],
        A_ub=less.matrix(columns),
        b_ub=np.array(limits),
        A_eq=equal.matrix(columns),
        b_eq=np.zeros(equal.count),
        bounds=[(None, None)] * columns,
        method="highs-ipm",
    )
    assert found.success, found.message
    return float(found.x[0])


def _joined(
    made: Sequence[_Numbered], joints: Sequence[Joint], first: int, lifts: list[list[Terms]]
) -> tuple[dict[tuple[int, Pair, int], tuple[Terms, Terms]], dict[tuple[int, Pair], Terms]]:
    """What one sheet pushes another with: by sheet, edge and corner, both ways of its plane; bends
    it with: by sheet and edge; out of it goes to ``lifts``.
    """
    found: dict[tuple[int, Pair, int], tuple[Terms, Terms]] = {}
    bent: dict[tuple[int, Pair], Terms] = {}
    for k, joint in enumerate(joints):
        column = first + 7 * k
        sides = ((joint.first, joint.one, 1.0), (joint.second, joint.other, -1.0))
        for n, edge, sign in sides:
            sheet, key = made[n].sheet, (min(edge), max(edge))
            long = float(np.hypot(*(sheet.nodes[edge[1]] - sheet.nodes[edge[0]])))
            if joint.square:
                turn = sign if key == edge else -sign
                _put(bent.setdefault((n, key), {}), column + 6, turn)
            for end, axis in itertools.product((0, 1), range(3)):
                at = column + 3 * end + axis
                ways = found.setdefault((n, key, edge[end]), ({}, {}))
                for way in (0, 1):
                    _put(ways[way], at, -sign * float(sheet.turn[way, axis]))
                for node, share in ((edge[end], long / 3), (edge[1 - end], long / 6)):
                    _put(lifts[n][node], at, -sign * float(sheet.turn[2, axis]) * share)
    return found, bent


def _balance(
    each: _Numbered,
    n: int,
    own: Sequence[Stiff],
    given: dict[tuple[int, Pair, int], tuple[Terms, Terms]],
    equal: _Rows,
    less: _Rows,
) -> None:
    """In its plane within every triangle and across every edge."""
    nodes = each.sheet.nodes
    for t, corners in enumerate(each.sheet.triangles):
        slopes = np.linalg.inv(np.column_stack((np.ones(3), nodes[corners])))[1:]
        scale = 1 / np.abs(slopes).max()
        for parts in ((0, 2), (2, 1)):
            equal.add(
                {
                    each.stress(t, corner) + part: float(slopes[way, corner] * scale)
                    for way, part in enumerate(parts)
                    for corner in range(3)
                }
            )
    bears = _rim_edges(own, n, bears=True)
    glued = _rim_edges(own, n, bears=False) | each.sheet.held
    for edge, sides in each.edges.items():
        if edge in glued:
            continue
        out, along = _ways(nodes, *sides[0][1:])
        for end in edge:
            x, y = each.traction(edge, end)
            if edge in bears or edge in each.sheet.smooth:
                equal.add(_sum(along, (x, y)))
                if edge in bears:
                    less.add(_sum(out, (x, y)))
                continue
            for terms, more in zip((x, y), given.get((n, edge, end), ({}, {})), strict=True):
                equal.add({**terms, **more})


def _sum(shares: np.ndarray, of: Sequence[Terms]) -> Terms:
    found: Terms = {}
    for share, terms in zip(shares, of, strict=True):
        for column, value in terms.items():
            _put(found, column, float(share) * value)
    return found


def _rim_edges(own: Sequence[Stiff], n: int, **like: bool) -> set[Pair]:
    return {
        edge
        for one in own
        if all(getattr(one, name) == value for name, value in like.items())
        for at, edges in one.rims
        if at == n
        for edge in edges
    }


def _upright(
    each: _Numbered,
    lifted: list[Terms],
    bent: dict[tuple[int, Pair], Terms],
    own: Sequence[Stiff],
    n: int,
    equal: _Rows,
    less: _Rows,
) -> None:
    """Out of its plane at every corner, and moments across every edge that may turn."""
    sheet = each.sheet
    rim = {node for edge in _rim_edges(own, n) for node in edge}
    held = sheet.up if len(sheet.up) else np.zeros(len(sheet.nodes), dtype=bool)
    for node in np.flatnonzero(sheet.load) if len(sheet.load) else ():
        _put(lifted[node], 0, -float(sheet.load[node]))
    for node, terms in enumerate(lifted):
        if node in rim or not terms:
            continue
        if not held[node]:
            equal.add(terms)
        elif len(sheet.backed) and sheet.backed[node]:
            less.add({column: -float(sheet.backed[node]) * v for column, v in terms.items()})
    level = _rim_edges(own, n, square=True) | sheet.fast
    for edge in each.edges:
        if edge not in level:
            equal.add({**each.turned(edge), **bent.get((n, edge), {})})


def _resultant(
    made: Sequence[_Numbered], lifts: list[list[Terms]], one: Stiff, equal: _Rows
) -> None:
    """What goes into rims is what goes through a stiff piece, with its moment."""
    if one.force is None:
        return
    force: list[Terms] = [{}, {}, {}]
    moment: list[Terms] = [{}, {}, {}]
    for n, edges in one.rims:
        for edge in edges:
            _on_rim(made[n], edge, one.at, force, moment)
        turn = made[n].sheet.turn
        for node in sorted({node for edge in edges for node in edge}):
            lever = made[n].place(made[n].sheet.nodes[node]) - one.at
            _act(force, moment, lifts[n][node], turn[2], lever)
    for terms, value in zip(force, one.force, strict=True):
        _put(terms, 0, -float(value))
        equal.add(terms)
    # a round that bears without friction turns nothing about its axis; its chords would a little
    for way in made[one.rims[0][0]].sheet.turn[:2] if one.bears else one.turns:
        terms = _sum(way, moment)
        _put(terms, 0, -float(one.moment @ way))
        equal.add(terms)


def _on_rim(
    each: _Numbered, edge: Pair, about: np.ndarray, force: list[Terms], moment: list[Terms]
) -> None:
    """What acts on an edge in its sheet's plane, and bends it."""
    nodes, turn = each.sheet.nodes, each.sheet.turn
    a, b = each.place(nodes[edge[0]]), each.place(nodes[edge[1]])
    half = float(np.linalg.norm(b - a)) / 2
    for end, lever in ((0, (2 * a + b) / 3), (1, (a + 2 * b) / 3)):
        for way, terms in enumerate(each.traction(edge, edge[end])):
            _act(force, moment, terms, half * turn[way], lever - about)
    # a couple about the edge, as its own triangle runs along it
    _, i, j = each.edges[edge][0]
    along = _ways(nodes, i, j)[1] @ turn[:2] * (1.0 if (i, j) == edge else -1.0)
    for axis in range(3):
        for column, share in each.turned(edge).items():
            _put(moment[axis], column, -float(along[axis]) * share)


def _act(
    force: list[Terms], moment: list[Terms], terms: Terms, way: np.ndarray, lever: np.ndarray
) -> None:
    for into, ways in ((force, way), (moment, np.cross(lever, way))):
        for axis, column in itertools.product(np.flatnonzero(ways), terms):
            _put(into[axis], column, float(ways[axis]) * terms[column])


def _cone(parts: Sequence[int], whole: int, radius: int, scale: float) -> Iterator[Terms]:
    """von Mises at a place, a polygon inside: stress parts / ``scale`` within column ``whole``;
    ``radius`` is the column of what shears.
    """
    inside = np.cos(np.pi / ROUND) * scale
    for turn in 2 * np.pi * np.arange(ROUND) / ROUND:
        c, s = float(np.cos(turn)) / inside, float(np.sin(turn)) / inside
        yield {parts[0]: c / 2, parts[1]: -c / 2, parts[2]: s, radius: -1.0}
    turns = np.linspace(0.0, np.pi / 2, BEND + 1)
    even, shear = np.cos(turns), np.sin(turns) / np.sqrt(3.0)
    for n in range(BEND):
        a, b = shear[n + 1] - shear[n], even[n] - even[n + 1]
        rim = float(a * even[n] + b * shear[n])
        for sign in (1.0, -1.0):
            half = sign * float(a) / 2 / scale
            yield {parts[0]: half, parts[1]: half, radius: float(b), whole: -rim}


def _yield(each: _Numbered, less: _Rows, limits: list[float]) -> None:
    """At every corner of every triangle in its plane, and in every triangle bent."""
    sheet = each.sheet
    full = sheet.fy * sheet.thick**2 / 4
    for t in range(len(sheet.triangles)):
        core, rest, radius = (each.first + EACH * t + n for n in (12, 13, 14))
        places = [
            ([each.stress(t, n) + part for part in range(3)], core, radius + n, sheet.fy)
            for n in range(3)
        ]
        places.append(([each.stress(t, 3) + part for part in range(3)], rest, radius + 3, full))
        for place in places:
            for terms in _cone(*place):
                less.add(terms)
        limits += [0.0] * (less.count - len(limits))
        # chords of 1 - c^2 at 0, 1/2 and 1
        less.add({core: 0.5, rest: 1.0})
        less.add({core: 1.5, rest: 1.0})
        limits += [1.0, 1.5]
