"""Plates of the placed truck that are welded to each other, as sheets of `sheet_limit`: outlines
with their holes, joined and held along the welds the assembly declares. A bent plate is its flats,
met in the sharp corner of their middles.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from scipy.spatial import cKDTree
from sheet_limit import Joint, Pair, Sheet, edges_of
from soapstone.parts.geometry import bend, outline
from soapstone.parts.geometry.contours import circle
from soapstone.parts.geometry.prism import Flat, into, out
from soapstone.parts.model.assembly import Member, Weld
from soapstone.parts.model.body import Loop, Plate
from soapstone.parts.model.vectors import Frame
from soapstone.parts.placed.fit import weld_line
from soapstone.parts.strength.elements.mesh import dense, mesh, near
from soapstone.parts.strength.work import Work

CHORD = 1.0115
"""Times a hole's diameter, in chords of 0.3 rad."""
ARC, GROWS = 0.3, 0.7
"""Chords of a rim, rad, and how much larger edges are a millimeter off it."""
ON = 0.1
"""Corners this near a line are on it, mm."""
OFF = 1.0
"""From one point of a weld line to the next this far off its plate's edges, mm, a piece ends."""
SHORT = 1.5
"""Edges over a short edge of an outline beside it."""
LAPS = 0.9
"""Cosine of what is parallel."""


class Face(NamedTuple):
    """A flat of a plate: outline and openings in its frame, its thickness and yield."""

    code: str
    loop: Loop
    openings: tuple[Loop, ...]
    place: Frame
    thick: float
    fy: float


class Line(NamedTuple):
    """Where a face is joined to another, None where it is held by something else: points (n, 3),
    both faces by their number; whether it takes bending.
    """

    points: np.ndarray
    on: int
    to: int | None
    square: bool


class Group(NamedTuple):
    """Faces, their sheets and joints, and by plate and hole in it the rims."""

    faces: Sequence[Face]
    sheets: list[Sheet]
    joints: list[Joint]
    rims: Mapping[str, list[tuple[int, frozenset[Pair]]]]

    def sheet(self, code: str) -> int:
        """Number of a flat plate's sheet."""
        return next(n for n, face in enumerate(self.faces) if face.code == code)


def plate(member: Member | None) -> bool:
    """Whether a member is a plate."""
    return member is not None and isinstance(member.body, Plate)


def lapped(work: Work, weld: Weld) -> bool:
    """Whether a weld's two plates lie on each other."""
    one, other = (work.members[code].place.z for code in (weld.on, weld.to))
    return abs(float(np.dot(one, other))) > LAPS


def welded_to(work: Work, codes: Iterable[str]) -> tuple[str, ...]:
    """Plates and all that are welded to them, edge to face, and to those, in the truck's order."""
    found = set(codes)
    while True:
        more = {
            code
            for weld in work.truck.assembly.welds
            if {weld.on, weld.to} & found
            and plate(work.members.get(weld.on))
            and plate(work.members.get(weld.to))
            and not lapped(work, weld)
            for code in (weld.on, weld.to)
        }
        if more <= found:
            return tuple(code for code in work.members if code in found)
        found |= more


def faces_of(work: Work, code: str) -> list[Face]:
    """A plate, or the flats of a bent one, each out to the corner of their middles."""
    member, size = work.members[code], work.plate(code)
    body = member.body
    assert isinstance(body, Plate)
    if not body.bends:
        return [Face(code, body.outline, body.openings, member.place, size.thick, size.fy)]
    past = (body.bends[0].radius + size.thick / 2) * np.tan(abs(body.bends[0].angle) / 2)
    panels, _ = bend.fold(body, size.thick)
    return [
        Face(
            code,
            _past_bend(panel.outline, float(past)),
            panel.openings,
            bend.joined(member.place, panel.place),
            size.thick,
            size.fy,
        )
        for panel in panels
    ]


def _past_bend(loop: Loop, past: float) -> Loop:
    """An outline with the edge that a bend cut moved out."""
    found = list(loop)
    for n, (edge, end) in enumerate(outline.spans(loop)):
        if edge.name == "bend":
            along = np.subtract(end, edge.start) / np.hypot(*np.subtract(end, edge.start))
            off = past * np.array((along[1], -along[0]))
            for k in (n, (n + 1) % len(loop)):
                x, y = np.add(found[k].start, off)
                found[k] = found[k]._replace(start=(float(x), float(y)))
    return tuple(found)


def _lines(
    work: Work,
    faces: Sequence[Face],
    left_out: Sequence[str],
    bears: Sequence[str],
) -> list[Line]:
    """Welds and bends that join faces, and welds that hold them by something else."""
    codes = [face.code for face in faces]
    found = []
    for weld in work.truck.assembly.welds:
        if weld.on not in codes or weld.id in left_out:
            continue
        to = codes.index(weld.to) if weld.to in codes and not lapped(work, weld) else None
        half = work.plate(weld.on).thick / 2
        for edge in weld.edges:
            stop = 0.0 if weld.id in bears else weld.stop
            points = weld_line(work.members[weld.on], edge, half, "top", stop)
            on = next(
                n for n, face in enumerate(faces) if face.code == weld.on and _has(face, edge)
            )
            square = weld.face == "both" or weld.kind == "groove"
            found += [Line(piece, on, to, square) for piece in _pieces(faces[on], points)]
    for one, other in itertools.combinations(range(len(faces)), 2):
        if codes[one] == codes[other]:
            ends = [
                e
                for cut, to in outline.spans(faces[one].loop)
                if cut.name == "bend"
                for e in (cut.start, to)
            ]
            flat = np.column_stack((np.array(ends), np.full(2, faces[one].thick / 2)))
            found.append(Line(out(faces[one].place, flat), one, other, True))
    return found


def _pieces(face: Face, points: np.ndarray) -> list[np.ndarray]:
    """A weld line without the points along its straights, in pieces where a tab interrupts it."""
    points = points[np.append(True, np.linalg.norm(np.diff(points, axis=0), axis=1) > ON)]
    middles = _flat(face, (points[1:] + points[:-1]) / 2)
    away = [Flat(loop).away(middles) for loop in (face.loop, *face.openings)]
    found = np.split(points, 1 + np.flatnonzero(np.min(away, axis=0) > OFF))
    return [_straightened(piece) for piece in found if len(piece) > 1]


def _straightened(points: np.ndarray) -> np.ndarray:
    ways = np.diff(points, axis=0)
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    bends = np.linalg.norm(np.cross(ways[:-1], ways[1:]), axis=1) > 1e-3
    return points[np.concatenate(((True,), bends, (True,)))]


def _has(face: Face, edge: str) -> bool:
    return any(each.name == edge for loop in (face.loop, *face.openings) for each in loop)


def group(
    work: Work,
    codes: Sequence[str],
    size: float,
    holes: Mapping[str, Sequence[Loop]] = {},
    left_out: Sequence[str] = (),
    more: Mapping[str, Sequence[np.ndarray]] = {},
    bears: Sequence[str] = (),
    step: float = np.inf,
) -> Group:
    """Sheets of these plates with these holes by code, their edges about ``size`` mm, along joints
    at most ``step``.

    ``left_out``: welds that do not hold; ``bears``: welds whose plates stand on each other, out to
    the ends of their edge; ``more``: lines (n, 2) in a plate's own plane that get corners.
    """
    faces = [face for code in codes for face in faces_of(work, code)]
    lines = _lines(work, faces, left_out, bears)
    step = min(step, size)
    sheets, rims = [], {}
    for n, face in enumerate(faces):
        joined = [
            _flat(face, dense(line.points, step))
            for line in lines
            if line.to is not None and n in (line.on, line.to)
        ]
        held = [_flat(face, line.points) for line in lines if line.on == n and line.to is None]
        own = [
            loop
            for loop in holes.get(face.code, ())
            if outline.contains(face.loop, outline.centroid(loop))
        ]
        sheet = _sheet(face, (size, step), own, joined, [*held, *more.get(face.code, ())])
        for line in (each for each in lines if each.on == n and each.to is None):
            sheet = _held(sheet, on_line(sheet, _flat(face, line.points)), line.square)
        for loop in own:
            rims.setdefault(face.code, []).append((n, rim(sheet, loop)))
        sheets.append(sheet)
    joints = [
        joint
        for line in lines
        if line.to is not None
        for joint in _joints(faces, sheets, line, step)
    ]
    return Group(faces, sheets, joints, rims)


def _flat(face: Face, points: np.ndarray) -> np.ndarray:
    return into(face.place, points)[:, :2]


def _sheet(
    face: Face,
    sizes: tuple[float, float],
    holes: Sequence[Loop],
    joined: Sequence[np.ndarray],
    along: Sequence[np.ndarray],
) -> Sheet:
    size, step = sizes
    ends = cKDTree(np.vstack(joined)) if joined and step < size else None
    rims = [(Flat(hole), float(np.sqrt(outline.area(hole)))) for hole in holes]
    short = _short(face, joined, size)

    def asked(points: np.ndarray) -> np.ndarray:
        found = np.full(len(points), size)
        for hole, across in rims:
            found = np.minimum(found, across * ARC / 2 + GROWS * hole.away(points))
        for at, long in short:
            away = np.maximum(np.hypot(*(points - at).T) - long, 0.0)
            found = np.minimum(found, SHORT * long + GROWS * away)
        if ends:
            found = np.minimum(found, step + GROWS * ends.query(points)[0])
        for line in joined:
            found[near(points, line, step / 2)] = step
        # a corner beside the end of a joint stays a corner
        for at, long in short:
            on = np.hypot(*(points - at).T) < ON
            found[on] = np.minimum(found[on], SHORT * long)
        return found

    fixed = np.vstack(joined) if joined else None
    made = mesh(face.loop, (*face.openings, *holes), asked, [*joined, *along], fixed)
    turn = np.array((face.place.x, face.place.y, face.place.z))
    middle = np.array(face.place.origin) + turn[2] * face.thick / 2
    none = np.zeros(len(made.nodes), dtype=bool)
    return Sheet(made.nodes, made.tris, face.thick, face.fy, middle, turn, up=none)


def _short(face: Face, joined: Sequence[np.ndarray], size: float) -> list[tuple[np.ndarray, float]]:
    """Corners of a face that edges of this size would leave out, each with how near the next corner
    or the end of a joint is.
    """
    found = []
    for loop in (face.loop, *face.openings):
        for edge, end in outline.spans(loop):
            found += [(np.array(at), outline.edge_length(edge, end)) for at in (edge.start, end)]
    for line, (corner, _) in itertools.product(joined, tuple(found)):
        found += [(corner, float(np.hypot(*(line[n] - corner)))) for n in (0, -1)]
    return [(at, long) for at, long in found if ON < long < size / SHORT]


def on_line(sheet: Sheet, line: np.ndarray) -> frozenset[Pair]:
    """Edges of a sheet along a line (n, 2)."""
    on = near(sheet.nodes, line, ON)
    found = [pair for pair in edges_of(sheet.triangles) if on[list(pair)].all()]
    if not found:
        return frozenset()
    ends = sheet.nodes[np.array(found)]
    long = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    # chords of an arc stand off it by a little
    kept = [
        bool(near(middle[None], line, max(ON, chord / 8))[0])
        for middle, chord in zip(ends.mean(axis=1), long, strict=True)
    ]
    return frozenset(itertools.compress(found, kept))


def hole(at: tuple[float, float], across: float) -> Loop:
    """A round hole, a little large, so that chords cut no steel off in it."""
    return circle(at, CHORD * across, "hole")


def rim(sheet: Sheet, loop: Loop) -> frozenset[Pair]:
    """Edges of a hole's rim."""
    on = Flat(loop).away(sheet.nodes) < ON
    every = edges_of(sheet.triangles)
    return frozenset(p for p, sides in every.items() if len(sides) == 1 and on[list(p)].all())


def _held(sheet: Sheet, edges: frozenset[Pair], square: bool) -> Sheet:
    up = sheet.up.copy()
    up[[node for pair in edges for node in pair]] = True
    fast = sheet.fast | edges if square else sheet.fast
    return sheet._replace(held=sheet.held | edges, up=up, fast=fast)


def _joints(faces: Sequence[Face], sheets: Sequence[Sheet], line: Line, size: float) -> list[Joint]:
    """Of a line the pieces whose ends are corners of both sheets; any other joins nothing."""
    assert line.to is not None
    both = (line.on, line.to)
    ends = []
    for n in both:
        at = _flat(faces[n], dense(line.points, size))
        away = np.hypot(*(sheets[n].nodes[:, None] - at[None]).transpose(2, 0, 1))
        ends.append(np.where(away.min(axis=0) < ON, away.argmin(axis=0), -1))
    known = [edges_of(sheets[n].triangles) for n in both]
    found = []
    for (a, c), (b, d) in itertools.pairwise(zip(*ends, strict=True)):
        one, other = (int(a), int(b)), (int(c), int(d))
        if min(*one, *other) < 0:
            continue
        if (min(one), max(one)) in known[0] and (min(other), max(other)) in known[1]:
            found.append(Joint(line.on, one, line.to, other, line.square))
    return found


def span(work: Work, codes: Sequence[str]) -> float:
    """Root of the plates' area, mm."""
    faces = [face for code in codes for face in faces_of(work, code)]
    return float(np.sqrt(sum(outline.area(face.loop) for face in faces)))
