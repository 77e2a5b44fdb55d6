"""An ear in finite elements under the load cases: held along its welds, loaded at its pivot bolt
with the forces its rows are made from.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout import reader
from ...layout.arrays import Array
from ...layout.loads.forces import Forces
from .. import stock
from ..design.site import Refused
from ..design.sizing import Check
from ..geometry import contours, outline
from ..geometry.prism import into
from ..model.assembly import Hole, Part
from ..model.body import Plate
from ..model.clause import Clause
from ..placed.fit import weld_line
from ..rules import plates, welds
from ..words.names import part as named
from .elements import plate as fem
from .elements.mesh import Mesh, mesh, near
from .named_loads import case_of
from .work import Work

BIN = 20.0
"""mm of weld over which its force is averaged."""
WORST = 4
"""Cases looked at, those with most force on the plate's bolts."""
NONE = 1e-6
"""Force in the plane, N, or length of a line, mm, that counts as none."""
NODES = 2500
"""Nodes of a mesh, about, so that a plate takes about a second."""


class Loaded(NamedTuple):
    """Rows of the governing case, its case, the solved plate, lines left out about welds and holes,
    and force a millimeter along the welds: (middle, N/mm) each ``BIN``.
    """

    checks: tuple[Check, ...]
    case: Forces
    solved: fem.Solved
    lines: list[Array]
    seams: list[tuple[Array, float]]


def under_load(work: Work, code: str) -> Loaded:
    """One ear in finite elements, in the case that stresses it most.

    Held along its welds and loaded at its pivot bolt with the share its rows are made from; the
    ``WORST`` cases with most force there are solved. Its rows only warn: elastic stress peaks where
    the hand rules let a section yield.

    Parameters
    ----------
    work : Work
        Every hold worked (``evaluate.rows``).
    code : str
        The ear's, with its side: "LT1.L".

    Raises
    ------
    Refused
        No flat plate of this truck, no pivot bolt passes it, or nothing is welded to it.
    """
    part = work.parts.get(code)
    known = ", ".join(map(named, sorted({on for on, _ in work.at_hole})))
    if part is None or not isinstance(part.member.body, Plate) or part.member.body.bends:
        raise Refused(
            f"{named(code)} is not a flat plate of this truck that a pivot bolt passes; there are"
            f" {known}"
        )
    thick, _ = work.steel_of(code)
    holes = [hole for hole in part.holes if (code, hole.bolt) in work.at_hole]
    lines = [line for line in _seams(work, code, thick) if len(line) > 1]
    if not holes or not lines:
        raise Refused(
            f"no pivot bolt passes {named(code)}, or nothing is welded to it; elements work for"
            f" {known}"
        )
    setup = _setup(work, part, thick, holes, lines)
    left_out = [*lines, *setup.rounds]
    peak, forces, solved = _governing(work, setup, [(code, hole.bolt) for hole in holes], left_out)
    seams = _force_along(solved, lines, setup.held)
    rows = [_stress_row(work, code, part.member.body.stock, peak, case_of(forces))]
    if seams:
        rows.append(_seam_row(work, code, max(force for _, force in seams), case_of(forces)))
    return Loaded(tuple(rows), forces, solved, left_out, seams)


def _governing(
    work: Work, setup: _Setup, holes: Sequence[tuple[str, str]], left_out: list[Array]
) -> tuple[float, Forces, fem.Solved]:
    """Of the cases with most force at ``holes`` (member, bolt) the one with the largest stress away
    from ``left_out``: that stress, MPa, the case, the solved plate.
    """

    def force(forces: Forces) -> float:
        return sum(float(np.linalg.norm(work.at_hole[hole](forces))) for hole in holes)

    found = []
    for forces in sorted(work.rows, key=force, reverse=True)[:WORST]:
        solved = setup.solve(forces)
        found.append((fem.fair(solved, left_out, setup.t), forces, solved))
    return max(found, key=lambda case: case[0])


def _stress_row(work: Work, code: str, on_hand: str, peak: float, case: str) -> Check:
    """Largest stress of the plate, MPa, against the yield of what it is cut from."""
    return _row(
        code,
        "finite elements: largest elastic stress one thickness off welds and bolts",
        plates.bent,
        {"stress_MPa": peak, "fy_MPa": stock.steel(work.shop.plate(on_hand).steel).fy},
        case,
    )


def _seam_row(work: Work, code: str, force: float, case: str) -> Check:
    """Most force along the welds, N/mm, against the plate's least leg, on both its faces if one of
    its welds is.
    """
    found = work.welds_of(code)
    both = any(weld.on == code and weld.face == "both" for weld in found)
    return _row(
        code,
        f"finite elements: most force on {reader.length(BIN)} of weld",
        welds.weld_line,
        {
            "force_N_mm": force,
            "leg_mm": min(weld.leg for weld in found) * (2 if both else 1),
            "fexx_MPa": work.made_of.filler.fexx,
        },
        case,
    )


def _row(code: str, says: str, clause: Clause, got: dict[str, float], case: str) -> Check:
    """A warning at most: elastic stress of one plate, where the hand rules let a whole section
    yield (half as much again in a flat bar's own plane).
    """
    return Check.of(clause, got, part=code, what=says, case=case, must=False)


class _Setup(NamedTuple):
    """A meshed plate, what holds it and its load for a case."""

    mesh: Mesh
    t: float
    held: NDArray[np.bool_]
    rounds: list[Array]
    load: Callable[[Forces], Array]

    def solve(self, f: Forces) -> fem.Solved:
        return fem.solve(self.mesh, self.t, self.held, self.load(f))


def _setup(w: Work, part: Part, t: float, holes: list[Hole], lines: list[Array]) -> _Setup:
    m, body = part.member, part.member.body
    assert isinstance(body, Plate)
    openings = (
        *body.openings,
        *(contours.circle(h.at, h.diameter, "hole") for h in part.holes if not h.length),
    )
    size = max(
        2.5,
        min(0.6 * t, min(h.diameter for h in holes) / 4),
        math.sqrt(abs(outline.signed_area(body.outline)) / NODES),
    )
    made = mesh(body.outline, openings, size, lines)
    rims = [np.abs(np.hypot(*(made.nodes - h.at).T) - h.diameter / 2) < 0.3 * size for h in holes]
    rounds = [
        np.array(
            [
                (h.at[0] + h.diameter / 2 * math.cos(a), h.at[1] + h.diameter / 2 * math.sin(a))
                for a in np.linspace(0, math.tau, 40)
            ]
        )
        for h in holes
    ]
    on_weld = np.zeros(len(made.nodes), dtype=bool)
    for x in lines:
        on_weld |= near(made.nodes, x, 0.3 * size)
    turn = np.array((m.place.x, m.place.y, m.place.z))
    held = np.zeros((len(made.nodes), 5), dtype=bool)
    held[on_weld] = True
    if any(len([1 for _, b in w.at_hole if b == h.bolt]) > 1 for h in holes):
        for r in rims:
            held[r, 3:] = True  # the sleeve between two ears keeps the eye square

    def pushed(f: Forces) -> Array:
        load = np.zeros((len(made.nodes), 5))
        for h, rim in zip(holes, rims, strict=True):
            force = turn @ np.asarray(w.at_hole[part.id, h.bolt](f), dtype=float)
            bear = (
                np.maximum((made.nodes[rim] - h.at) @ force[:2], 0.0)
                if np.hypot(*force[:2]) > NONE
                else np.ones(int(rim.sum()))
            )
            load[rim, :3] += np.outer(bear / max(bear.sum(), 1e-12), force)
        return load

    return _Setup(made, t, held, rounds, pushed)


def _seams(w: Work, code: str, t: float) -> list[Array]:
    """Weld lines on the plate's own plane: its own, and those of what is welded to it."""
    m = w.members[code]
    found = []
    for x in w.welds_of(code):
        if x.on == code and x.to in w.members:
            found += [
                into(m.place, weld_line(m, e, t, "top" if x.face == "top" else "bottom", x.stop))[
                    :, :2
                ]
                for e in x.edges
            ]
        elif x.to == code and x.on in w.members and isinstance(w.members[x.on].body, Plate):
            on = w.members[x.on]
            for e in x.edges:
                line = into(m.place, weld_line(on, e, w.steel_of(x.on)[0], "bottom", x.stop))
                if len(line) and (np.abs(line[:, 2] - t / 2) < t).all():
                    found.append(line[:, :2])
    return found


def _force_along(
    s: fem.Solved, lines: list[Array], held: NDArray[np.bool_]
) -> list[tuple[Array, float]]:
    """Reaction averaged over every ``BIN`` mm of weld."""
    found = []
    for line in lines:
        step = np.hypot(*np.diff(line, axis=0).T)
        along = np.concatenate(([0.0], np.cumsum(step)))
        on = near(s.mesh.nodes, line, 4.0) & held[:, 0]
        if along[-1] < NONE or not on.any():
            continue
        dense = np.linspace(0.0, along[-1], max(8, int(along[-1])))
        pts = np.column_stack([np.interp(dense, along, line[:, k]) for k in (0, 1)])
        at = dense[
            np.argmin(
                np.hypot(
                    s.mesh.nodes[on][:, None, 0] - pts[:, 0],
                    s.mesh.nodes[on][:, None, 1] - pts[:, 1],
                ),
                axis=1,
            )
        ]
        n = max(1, round(along[-1] / BIN))
        each = along[-1] / n
        which = np.minimum((at / each).astype(int), n - 1)
        for k in range(n):
            middle = np.array([np.interp((k + 0.5) * each, along, line[:, i]) for i in (0, 1)])
            total = (
                np.linalg.norm(s.reaction[on][which == k, :3].sum(axis=0))
                if (which == k).any()
                else 0.0
            )
            found.append((middle, float(total / each)))
    return found
