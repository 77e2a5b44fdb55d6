"""The coil-seat plate under the coil mount, in finite elements: no hand rule covers an outline with
slots over a cut. Held along its welds, backed by the rail's sound wall, doubled where the mount's
back plate is welded on it, loaded where that plate's welds are.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...geometry.solid import Flat, into
from ...model.assembly import Member, Weld
from ...model.body import Plate
from ...rules.bolts import shares
from . import plate as fem

MESH = 11.0
CROSSED = 2
"""Edges of a triangle a contour crosses."""
KEPT = 8
"""Plates whose result is kept: while other sizes are tried against the loads, the same two plates
come again and again.
"""
_DONE: dict[str, Seat] = {}


class Seat(NamedTuple):
    """Result for one newton of coil and stop: stress one thickness off the welds, MPa/N; the solved
    mesh; weld lines in the plate's own axes.
    """

    per_newton: float
    solved: fem.Solved
    lines: list[fem.Array]


def seat(
    plate: Member,
    back: Member,
    thick: tuple[float, float],
    welds: Sequence[Weld],
    line: Callable[[Weld, str], fem.Array],
    at: fem.Array,
    cut: tuple[float, float],
) -> Seat:
    """``thick``: plate and back plate, mm.

    ``welds``: of both; ``line`` gives a weld edge's points in truck axes. ``at``: coil's place
    under the mount, truck axes. ``cut``: front and rear of the cut in the plate's own x.
    """
    key = repr(
        (plate.body, plate.place, back.body, back.place, thick, tuple(welds), at.tolist(), cut)
    )
    if key not in _DONE:
        while len(_DONE) >= KEPT:
            del _DONE[next(iter(_DONE))]
        _DONE[key] = _seat(plate, back, thick, welds, line, at, cut)
    return _DONE[key]


def _seat(
    plate: Member,
    back: Member,
    thick: tuple[float, float],
    welds: Sequence[Weld],
    line: Callable[[Weld, str], fem.Array],
    at: fem.Array,
    cut: tuple[float, float],
) -> Seat:
    assert isinstance(plate.body, Plate) and isinstance(back.body, Plate)
    m = fem.mesh(plate.body.outline, plate.body.openings, MESH)

    def own(points: fem.Array) -> fem.Array:
        return into(plate.place, np.asarray(points))[:, :2]

    held_lines = [own(line(w, e)) for w in welds if w.on == plate.code for e in w.edges]
    load_lines = [
        own(line(w, e)) for w in welds if w.on == back.code and w.to == plate.code for e in w.edges
    ]
    held = np.zeros((len(m.nodes), 5), dtype=bool)
    for x in held_lines:
        held[fem.near(m, x, 0.55 * MESH), :3] = True
    pushed = np.zeros(len(m.nodes), dtype=bool)
    for x in load_lines:
        pushed |= fem.near(m, x, 0.55 * MESH)
    pushed &= ~held[:, 2]
    turn = np.array((plate.place.x, plate.place.y, plate.place.z))
    there = into(plate.place, at[None])[0]
    points = np.column_stack((m.nodes[pushed], np.full(int(pushed.sum()), thick[0])))
    load = np.zeros((len(m.nodes), 5))
    load[pushed, :3] = shares(points, np.ones(len(points)), turn @ np.array((0.0, 0.0, 1.0)), there)
    mid = m.nodes[m.tris].mean(axis=1)
    under = into(plate.place, np.array(back.place.origin)[None])[0]
    covered = Flat(back.body.outline, 0.2).inside(mid - under[:2])
    t = np.where(covered, thick[0] + thick[1], thick[0])
    backed = (m.nodes[:, 0] < min(cut)) | (m.nodes[:, 0] > max(cut))
    s = fem.solve(m, t, held, load, backed)
    return Seat(
        fem.fair(s, [*held_lines, *load_lines], max(thick[0], 0.8 * MESH)),
        s,
        [*held_lines, *load_lines],
    )


def contours(
    s: fem.Solved, levels: Sequence[float]
) -> Mapping[float, list[tuple[fem.Array, fem.Array]]]:
    """Line pieces of equal stress, by level, from stress averaged at the nodes."""
    total, count = np.zeros(len(s.mesh.nodes)), np.zeros(len(s.mesh.nodes))
    for i in range(3):
        np.add.at(total, s.mesh.tris[:, i], s.stress)
        np.add.at(count, s.mesh.tris[:, i], 1.0)
    at = total / np.maximum(count, 1)
    found: dict[float, list[tuple[fem.Array, fem.Array]]] = {}
    for level in levels:
        rows = found.setdefault(level, [])
        for tri in s.mesh.tris:
            pts = []
            for a, b in ((0, 1), (1, 2), (2, 0)):
                x, y = at[tri[a]], at[tri[b]]
                if (x - level) * (y - level) < 0:
                    k = (level - x) / (y - x)
                    pts.append(
                        s.mesh.nodes[tri[a]] + k * (s.mesh.nodes[tri[b]] - s.mesh.nodes[tri[a]])
                    )
            if len(pts) == CROSSED:
                rows.append((pts[0], pts[1]))
    return found
