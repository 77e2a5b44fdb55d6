"""The coil-seat plate under the coil mount, in finite elements: no hand rule covers an outline with
slots over a cut.

Two plates, joined along the mount's welds only and pressing on each other between them: the
coil-seat plate, held along its own welds and lying against the rail's sound wall, and the mount's
back plate, kept straight where gussets and seat are welded on it. Refined until the answer stands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ....layout.arrays import Array
from ...geometry.contours import flipped, mirrored, shifted
from ...geometry.kept import again
from ...geometry.prism import into
from ...model.assembly import Member, Weld
from ...model.body import Loop, Plate
from . import plate as fem
from .joined import PlateOnPlate, Pressing, pair
from .mesh import Mesh, straightened

SIZES = (11.0, 2.0, 1.4, 1.0, 0.7)
"""Meshes at the ends of welds and about the places of the answer so far, finer until it stands,
mm.
"""
STANDS = 0.03
"""Change of the answer from one mesh to the next at which it stands."""
BEYOND = 1.5
"""Thicknesses off the welds at which the mesh is made finer as well."""
CROSSED = 2
"""Edges of a triangle a contour crosses."""
KEPT = 48
"""Plates whose result is kept: while other sizes are tried against the loads, the same two plates
come again and again.
"""
_DONE: dict[object, Seat] = {}
_BEGUN: dict[object, Pressing] = {}
"""Where plates of a shape press, from one that was solved: others of it, of other thickness or
hand, begin there.
"""


class Seat(NamedTuple):
    """Result for one newton of the coil's load: stress one thickness off the welds, MPa/N; the
    solved mesh and weld lines in the plate's own axes; ``moved``: how far the answer moved with the
    last mesh, as a share; ``at``: where it is.
    """

    per_newton: float
    solved: fem.Solved
    lines: list[Array]
    moved: float
    at: Array


def seat(
    plate: Member,
    back: Member,
    thick: tuple[float, float],
    welds: Sequence[Weld],
    line: Callable[[Weld, str], Array],
    at: Array,
    cut: tuple[float, float] | None,
) -> Seat:
    """``thick``: plate and back plate, mm.

    ``welds``: of both, and of what is welded on the back plate; ``line`` gives a weld edge's points
    in truck axes. ``at``: coil's place under the mount, truck axes. ``cut``: front and rear of the
    cut, rearward of the coil; None where the rail is whole.
    """
    joint, signs = _joint(
        plate=plate, back=back, thick=thick, welds=welds, line=line, at=at, cut=cut
    )
    key = joint.content
    if key not in _DONE:
        while len(_DONE) >= KEPT:
            del _DONE[next(iter(_DONE))]
        _DONE[key] = again(lambda: _settled(joint), "coil-seat plate", SIZES, *key)
    return _turned(_DONE[key], signs)


def _loop(loop: Loop) -> Loop:
    """The same loop begun at its lowest corner, without the error of arithmetic: a mesh is made the
    same for both hands.
    """
    edges = [
        edge._replace(
            name="",
            start=(round(edge.start[0], 6), round(edge.start[1], 6)),
            bulge=round(edge.bulge, 9),
        )
        for edge in loop
    ]
    first = min(range(len(edges)), key=lambda at: edges[at].start)
    return tuple(edges[first:] + edges[:first])


def _line(points: Array) -> Array:
    """The same line begun at the same end whichever way it was given, or where it closes at its
    lowest point; rounded, each point once.
    """
    line = np.round(points, 6) + 0.0
    line = line[np.append(True, (np.diff(line, axis=0) != 0.0).any(axis=1))]
    line = straightened(line)
    if np.allclose(line[0], line[-1]):
        ring = line[:-1]
        ring = np.roll(ring, -int(np.lexsort((ring[:, 1], ring[:, 0]))[0]), axis=0)
        line = np.vstack((ring, ring[:1]))
    return line if tuple(line[1::-1].flat) < tuple(line[-2:].flat) else line[::-1].copy()


def _joint(
    plate: Member,
    back: Member,
    thick: tuple[float, float],
    welds: Sequence[Weld],
    line: Callable[[Weld, str], Array],
    at: Array,
    cut: tuple[float, float] | None,
) -> tuple[PlateOnPlate, Array]:
    """Both plates seen from outside with x rearward and y up, whichever side they are of: left and
    right of a symmetric truck are the same numbers. Slots that tabs fill count as plate.
    """
    assert isinstance(plate.body, Plate) and isinstance(back.body, Plate)
    signs = np.array((-np.sign(plate.place.x[0]), np.sign(plate.place.y[2]), 1.0))
    under = into(plate.place, np.array(back.place.origin)[None])[0]

    def own(points: Array) -> Array:
        return np.asarray((into(plate.place, np.asarray(points)) * signs)[:, :2])

    def seen(loop: Loop, dx: float = 0.0, dy: float = 0.0) -> Loop:
        moved = shifted(loop, dx, dy)
        upright = moved if signs[1] > 0 else flipped(moved)
        return _loop(upright if signs[0] > 0 else mirrored(upright))

    def lines(on: Callable[[Weld], bool]) -> list[Array]:
        found = [_line(own(line(weld, edge))) for weld in welds if on(weld) for edge in weld.edges]
        return sorted(found, key=lambda each: (*each.min(axis=0), *each.max(axis=0)))

    welded = {edge for weld in welds if weld.on == back.code for edge in weld.edges}
    joint = PlateOnPlate(
        outlines=(seen(plate.body.outline), seen(back.body.outline, under[0], under[1])),
        openings=(
            tuple(sorted(map(seen, plate.body.openings))),
            tuple(
                sorted(
                    seen(loop, under[0], under[1])
                    for loop in back.body.openings
                    if {edge.name for edge in loop} & welded
                )
            ),
        ),
        thick=thick,
        held=lines(lambda weld: weld.on == plate.code),
        joined=lines(lambda weld: weld.on == back.code and weld.to == plate.code),
        kept=[each[[0, -1]] for each in lines(lambda weld: weld.to == back.code)],
        at=np.round(into(plate.place, at[None])[0] * signs, 6) + 0.0,
        push=np.round((plate.place.x[2], plate.place.y[2], plate.place.z[2]) * signs, 9) + 0.0,
        cut=(round(min(cut), 6), round(max(cut), 6)) if cut else None,
    )
    return joint, signs


def _settled(joint: PlateOnPlate) -> Seat:
    """Finer meshes until the answer stands; the first only says where the plates press, and is
    not asked where plates like these did.
    """
    lines, away = [*joint.held, *joint.joined], joint.thick[0]
    spots: list[Array] = []
    press = _begun(joint)
    moved, last = 1.0, 0.0
    for size in SIZES[1:]:
        both = pair(joint, size, spots, press)
        press = both.pressing
        if size == SIZES[1]:
            _BEGUN[joint.shape] = press
        found = fem.peak(both.lower, lines, away)
        moved = abs(found.stress / last - 1) if last else 1.0
        last = found.stress
        if moved < STANDS:
            break
        spots += [found.at, fem.peak(both.lower, lines, BEYOND * away).at]
    return Seat(last, both.lower, lines, moved, found.at)


def _begun(joint: PlateOnPlate) -> Pressing:
    """Where the plates may press: where others of the shape do, else where the last that were
    solved do, else as the coarsest mesh says.
    """
    while len(_BEGUN) >= KEPT:
        del _BEGUN[next(iter(_BEGUN))]
    found = _BEGUN.get(joint.shape) or next(reversed(_BEGUN.values()), None)
    return (found or pair(joint, SIZES[0]).pressing)._replace(guessed=True)


def _turned(found: Seat, signs: Array) -> Seat:
    """The result in the plate's own axes."""
    two = signs[:2]
    s = found.solved
    five = np.array((two[0], two[1], 1.0, two[1], two[0]))
    three = np.array((1.0, 1.0, two[0] * two[1]))
    solved = fem.Solved(
        Mesh(s.mesh.nodes * two, s.mesh.tris),
        s.u * five,
        s.flat * three,
        s.skin * three,
        s.reaction * five,
    )
    return found._replace(
        solved=solved, lines=[line * two for line in found.lines], at=found.at * two
    )


ContourPiece = tuple[Array, Array]


def contours(s: fem.Solved, levels: Sequence[float]) -> Mapping[float, list[ContourPiece]]:
    """Lines of equal stress: by level, MPa, the pieces (start, end) of its line, one a triangle
    that it crosses, mm in the plate's axes. Stress is taken straight between nodes.
    """
    return {level: _contour(s.mesh, s.stress, level) for level in levels}


def _contour(mesh: Mesh, stress: Array, level: float) -> list[ContourPiece]:
    above: NDArray[np.bool_] = stress > level
    found = []
    for tri in mesh.tris[above[mesh.tris].any(axis=1) & ~above[mesh.tris].all(axis=1)]:
        ends = []
        for i, j in ((0, 1), (1, 2), (2, 0)):
            one, two = tri[i], tri[j]
            if above[one] != above[two]:
                share = (level - stress[one]) / (stress[two] - stress[one])
                ends.append(mesh.nodes[one] + share * (mesh.nodes[two] - mesh.nodes[one]))
        if len(ends) == CROSSED:
            found.append((ends[0], ends[1]))
    return found
