"""Free bodies: axle, radius arm, frame bracket, crossmember, coil tower, each in the case that
governs it, with every force on it by number, drawn in two views, and what they sum to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.basis import LoadBasis, load_basis
from ...layout.loads.forces import Forces
from ...layout.quantities import SIDES, Key
from ..drawing.display import Sheet, width_of
from ..drawing.pages import INNER
from ..model.assembly import Bolt
from ..model.terms import Role
from ..model.vectors import Vec2
from ..rules.bolts import bolt_combined, shares
from ..strength.named_loads import case_of
from ..strength.result import Strength
from ..truck import roles
from ..truck.truck import Truck
from . import figures
from .groups import arrow
from .paper import LEFT, LINE, Column, Paper

LOW, HIGH = 165.0, 275.0
FEW = 4
"""Height of a sketch, points, with few forces and with more."""
VIEW = (INNER - 24) / 2
LONGEST = 34.0
"""Of the longest arrow, points."""
SMALL = 0.02
"""Of the largest force: one smaller has no arrow."""
HANDS = ("left", "right")
NONE = np.zeros(3)
VIEWS = ((0, 2, "side view, ahead to the right"), (1, 2, "from behind, left to the left"))
NUMBER = (30.0, 7.5)
"""Room a number takes, points."""
ON_A_LINE = 40.0
"""Points a number is moved to stand on no line."""


class Push(NamedTuple):
    """A force on a body: what it is, where (3,), mm, the force (3,), N, a couple (3,), N mm."""

    what: str
    at: Array
    force: Array
    couple: Array = NONE


class FreeBody(NamedTuple):
    """A free body in a case: lines that show its shape (n, 2, 3), mm, and every force on it.

    ``rest``: what its moments may come to besides nothing, in words.
    """

    title: str
    case: str
    shape: Sequence[tuple[Array, Array]]
    pushes: Sequence[Push]
    rest: str = ""


class BodiesFrom(NamedTuple):
    """What bodies are cut from: the truck, its weights and places, forces of every case."""

    truck: Truck
    basis: LoadBasis
    values: Mapping[Key, float]
    found: Strength

    def governing(self, codes: Sequence[str]) -> tuple[Forces, int]:
        """The case, and side, of the most used row of these members or their welds, no everyday
        one; the first case where none has one.
        """
        by_case = {case_of(forces): forces for forces in self.found.forces}
        for check in self.found.checks:
            if check.case in by_case and any(check.part.startswith(code) for code in codes):
                return by_case[check.case], 1 if check.part.endswith(".R") else 0
        return self.found.forces[0], 0

    def point(self, name: str, side: int) -> Array:
        """A solved point of a side, truck axes, mm."""
        own = [self.values[Key(f"{name}.{axis}", SIDES[side])] for axis in "xyz"]
        return np.array(own) * ((1, 1, 1) if side == 0 else (1, -1, 1))


def write(pages: Paper, truck: Truck, values: Mapping[Key, float], found: Strength) -> None:
    """Every body that the truck has; ``values``: solved, with the arms as they are made."""
    pages.chapter("free bodies")
    pages.line(
        "Each cut free in the case of its most used row. Forces on the body, factored, truck axes;"
        " lengths of arrows as the forces, those under a fiftieth of the largest without one."
        " Moments about the first place of the table. Bushings carry couples besides forces."
    )
    scene = BodiesFrom(truck, load_basis(values), values, found)
    for body in (axle(scene), arm(scene), bracket(scene), crossmember(scene), tower(scene)):
        if body is not None:
            _draw(pages, body)


def axle(scene: BodiesFrom) -> FreeBody:
    """The axle between tires, arms, upper arms, track bar, coils and stops."""
    forces, _ = scene.governing([*roles.codes(Role.UPPER_ARM), *roles.codes(Role.ARM)])
    basis, links = scene.basis, scene.basis.linkage
    hubs = [links.center + np.array((0.0, way * basis.track / 2, 0.0)) for way in (1, -1)]
    ground = forces.case.at(basis)
    share = forces.case.share
    along = basis.coil_upper - basis.coil_lower
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    bar = links.bar_frame - links.bar_axle
    pushes = [
        Push(f"ground, {HANDS[n]}", hubs[n] + ground[n], share * forces.tire[n]) for n in (0, 1)
    ]
    pushes.append(Push("weight", links.center, np.array((0.0, 0.0, -share * basis.unsprung))))
    for n in (0, 1):
        lower, upper = f"radius arm, {HANDS[n]}", f"upper arm, {HANDS[n]}"
        pushes.append(Push(lower, links.bolt[n], forces.lower[n], forces.couple[n]))
        pushes.append(Push(upper, links.mount[n], forces.upper_vec[n]))
        spring = -float(forces.seat[n] - forces.strap[n])
        named = "coil and stop" if forces.stop_inside else "coil"
        pushes.append(Push(f"{named}, {HANDS[n]}", basis.coil_lower[n], spring * along[n]))
        if basis.stop_pad is not None:
            down = np.array((0.0, 0.0, -float(forces.stop[n])))
            pushes.append(Push(f"stop, {HANDS[n]}", basis.stop_pad[n], down))
    way = bar / np.linalg.norm(bar)
    pushes.append(Push("track bar", links.bar_axle, forces.bar * way))
    shape = [(hubs[0], hubs[1])]
    shape += [(links.center * (1, 0, 1) + (0, at[1], 0), at) for at in (*links.bolt, *links.mount)]
    shape += [(hub, hub + place) for hub, place in zip(hubs, ground, strict=True)]
    rest = "upper arms' bushings carry couples too, not in this table"
    return FreeBody("Axle", case_of(forces), shape, pushes, rest)


def arm(scene: BodiesFrom) -> FreeBody:
    """The radius arm between frame joint, upper arm and lower bolt."""
    forces, side = scene.governing(roles.codes(Role.ARM))
    links = scene.basis.linkage
    pushes = [
        Push("frame joint", links.joint[side], forces.joint[side]),
        Push("axle at the lower bolt", links.bolt[side], -forces.lower[side], -forces.couple[side]),
        Push("upper arm at its joint", links.upper[side], -forces.upper_vec[side]),
    ]
    shape = [(links.joint[side], links.bolt[side]), (links.upper[side], links.bolt[side])]
    title = f"Radius arm, {HANDS[side]}"
    rest = "the upper arm's own bushing turns it by the rest"
    return FreeBody(title, case_of(forces), shape, pushes, rest)


def bracket(scene: BodiesFrom) -> FreeBody | None:
    """The frame bracket between the joint's bolt and its welds."""
    codes = roles.codes(Role.ARM_BRACKET)
    forces, side = scene.governing(codes)
    group = next(
        (
            each
            for each in scene.found.groups
            if each.part.startswith(codes) and each.part.endswith(SIDES[side])
        ),
        None,
    )
    if group is None:
        return None
    at = scene.point("arm.joint", side)
    force = forces.jack[side] - forces.joint[side]
    weights = group.pieces.lengths * group.pieces.legs
    middle = (weights[:, None] * group.pieces.middles).sum(axis=0) / weights.sum()
    pushes = [
        Push("arm at the frame joint", at, force),
        Push("stub at the weld's centroid", middle, -force, -np.cross(at - middle, force)),
    ]
    shape = [(at, middle), *((ends[0], ends[1]) for ends in group.pieces.ends)]
    return FreeBody(f"Frame bracket, {HANDS[side]}", case_of(forces), shape, pushes)


def crossmember(scene: BodiesFrom) -> FreeBody | None:
    """The crossmember between both frame joints and its bolts in the rails."""
    bolts = _rail_bolts(scene)
    if not all(bolts):
        return None
    codes = sorted({bolt.through[0].partition(".")[0] for own in bolts for bolt in own})
    forces, _ = scene.governing(codes)
    pushes: list[Push] = []
    shape: list[tuple[Array, Array]] = []
    joints = [scene.point("arm.joint", side) for side in (0, 1)]
    for side in (0, 1):
        force = forces.jack[side] - forces.joint[side]
        places = np.array([bolt.at for bolt in bolts[side]])
        pushes.append(Push(f"arm at the frame joint, {HANDS[side]}", joints[side], force))
        each = shares(places, np.ones(len(places)), force, joints[side])
        pushes += [
            Push(f"rail at a bolt, {HANDS[side]}", at, -own)
            for at, own in zip(places, each, strict=True)
        ]
        shape += [(joints[side], at) for at in places]
    shape.append((joints[0], joints[1]))
    return FreeBody("Crossmember", case_of(forces), shape, pushes)


def _rail_bolts(scene: BodiesFrom) -> tuple[Sequence[Bolt], Sequence[Bolt]]:
    """Bolts left and right that hold the frame joint's force at the rails, pulled and sheared."""
    held = {
        bolt
        for hold in scene.truck.assembly.holds
        if hold.load == "bracket" and hold.clause is bolt_combined
        for bolt in hold.bolts
    }
    own = [bolt for bolt in scene.truck.assembly.bolts if bolt.id in held]
    left, right = ([bolt for bolt in own if bolt.id.endswith(side)] for side in "LR")
    return left, right


def tower(scene: BodiesFrom) -> FreeBody | None:
    """The coil tower between its seat and the rail's side."""
    forces, side = scene.governing(roles.codes(Role.COIL_PLATE))
    outer = scene.values.get(Key("rail.coil.outer", SIDES[side]))
    if outer is None:
        return None
    at = scene.point("seat.upper", side)
    rail = np.array((at[0], outer if side == 0 else -outer, at[2]))
    force = np.array((0.0, 0.0, float(forces.seat[side])))
    named = "coil and stop" if forces.stop_inside else "coil"
    pushes = [
        Push(f"{named} at the seat", at, force),
        Push("rail's side at the plate", rail, -force, -np.cross(at - rail, force)),
    ]
    up = np.array((0.0, 0.0, 60.0))
    shape = [(at, rail), (rail - up, rail + up)]
    return FreeBody(f"Coil tower, {HANDS[side]}", case_of(forces), shape, pushes)


def _draw(pages: Paper, body: FreeBody) -> None:
    rows = list(_rows(body))
    high = LOW if len(body.pushes) <= FEW else HIGH
    deep = high + LINE * (len(rows) + 5)
    pages.room(deep)
    pages.heading(f"{body.title}: {body.case}", high)
    sheet, low = pages.sketch(high)
    for place, (first, second, says) in enumerate(VIEWS):
        _view(sheet, body, (LEFT + place * (VIEW + 8), low, high), (first, second))
        sheet.text(LEFT + place * (VIEW + 8) + 4, low + 4, says, 6)
    pages.space(10)
    force, moment, length = (figures.unit_of(unit)[0] for unit in ("N", "N mm", "mm"))
    pages.table(
        (
            Column("", 20),
            Column("force on the body", 160),
            Column(f"at x, y, z, {length}", 150),
            Column(f"force x, y, z, {force}", 150),
            Column(f"couple x, y, z, {moment}", 150),
        ),
        rows,
    )


def _rows(body: FreeBody) -> Iterator[tuple[str, str, str, str, str]]:
    about = body.pushes[0].at
    for place, push in enumerate(body.pushes, start=1):
        couple = figures.vector(push.couple, "N mm") if np.any(push.couple) else ""
        at, force = figures.vector(push.at, "mm"), figures.vector(push.force, "N")
        yield str(place), push.what, at, force, couple
    force = np.sum([push.force for push in body.pushes], axis=0)
    moment = np.sum(
        [np.cross(push.at - about, push.force) + push.couple for push in body.pushes], axis=0
    )
    most = max(float(np.abs(push.force).max()) for push in body.pushes)
    yield "", "sum", "", _sum(force, most, "N"), _sum(moment, most * 1000.0, "N mm")
    if body.rest and np.abs(moment).max() > SMALL * most:
        yield "", f"({body.rest})", "", "", ""


def _sum(values: Array, most: float, inside: str) -> str:
    """A sum to the digits of its largest member."""
    _, factor = figures.unit_of(inside)
    places = 3 if most / factor < figures.KIP else 0
    return "(" + ", ".join(figures.fixed(float(each), inside, places) for each in values) + ")"


def _view(
    sheet: Sheet, body: FreeBody, corner: tuple[float, float, float], axes: tuple[int, int]
) -> None:
    """One view: its lines, an arrow for each force, numbered as in the table; ``corner``: lower
    left, and its height.
    """
    own = list(axes)
    turn = np.array((-1.0 if axes[0] == 1 else 1.0, 1.0))
    points = np.array([point for line in body.shape for point in line])
    seen = np.array([*points, *(push.at for push in body.pushes)])[:, own] * turn
    low, wide = seen.min(axis=0), np.ptp(seen, axis=0)
    room = np.array((VIEW - 2 * LONGEST - 20, corner[2] - 2 * LONGEST - 20))
    scale = float(np.min(room / np.maximum(wide, 1.0)))
    start = np.array(corner[:2]) + LONGEST + 10 + (room - scale * wide) / 2

    def at(point: Array) -> tuple[float, float]:
        x, y = start + scale * (np.asarray(point)[own] * turn - low)
        return float(x), float(y)

    sheet.box(corner[0], corner[1], VIEW, corner[2] - 2, kind="narrow")
    drawn = [(at(one), at(other)) for one, other in body.shape]
    for one, other in drawn:
        sheet.line(one, other, kind="wide")
    most = max(float(np.linalg.norm(push.force)) for push in body.pushes)
    tips = []
    for push in body.pushes:
        flat = push.force[own] * turn
        size = float(np.linalg.norm(flat))
        tip = at(push.at)
        if size > SMALL * most:
            tip = arrow(sheet, tip, (float(flat[0]), float(flat[1])), 8 + LONGEST * size / most)
            drawn.append((at(push.at), tip))
        tips.append(tip)
    _number(sheet, body, tips, _inked(drawn), corner)


def _inked(lines: Sequence[tuple[Vec2, Vec2]]) -> Array:
    """Points along lines, (n, 2), near enough to each other that no number slips between them."""
    shares = np.linspace(0.0, 1.0, 1 + int(max(map(math.dist, *zip(*lines, strict=True))) / 2))
    ends = np.array(lines)
    return np.vstack([ends[:, 0] + share * (ends[:, 1] - ends[:, 0]) for share in shares])


def _number(
    sheet: Sheet,
    body: FreeBody,
    tips: Sequence[Vec2],
    inked: Array,
    corner: tuple[float, float, float],
) -> None:
    """The number and size of each force beside its arrow's tip."""
    taken: list[Vec2] = []
    for place, (push, tip) in enumerate(zip(body.pushes, tips, strict=True), start=1):
        whole = float(np.linalg.norm(push.force)) / figures.unit_of("N")[1]
        told = f"{place}: {figures.digits(whole, 3)}"
        wide = width_of(told, 6.5, bold=True)
        x, y = _clear(tip, taken, inked, wide, corner)
        if np.hypot(x - tip[0], y - tip[1]) > 2 * NUMBER[1]:
            sheet.line(tip, (x, y + 2), kind="dashed")
        back = [(x, y - 1.5), (x + wide, y - 1.5), (x + wide, y + 5.5), (x, y + 5.5)]
        sheet.face(back, edge=False)
        sheet.text(x, y, told, 6.5, bold=True)


def _clear(
    tip: Vec2,
    taken: list[Vec2],
    inked: Array,
    wide: float,
    low: tuple[float, float, float],
) -> Vec2:
    """The nearest place to an arrow's tip that no other number stands on, and neither a line nor an
    arrow where one is near; within the view whose lower left corner and height are ``low``.
    """
    spots = [
        (tip[0] + 3 + NUMBER[0] * across, tip[1] + 2 + NUMBER[1] * up)
        for across in (0.0, -1.2, 0.6, -1.8)
        for up in range(-6, 7)
    ]
    free = [
        spot
        for spot in spots
        if low[0] < spot[0] < low[0] + VIEW - NUMBER[0]
        and low[1] + 10 < spot[1] < low[1] + low[2] - 10
        and all(abs(spot[0] - x) >= NUMBER[0] or abs(spot[1] - y) >= NUMBER[1] for x, y in taken)
    ]

    def worth(spot: Vec2) -> float:
        x, y = inked.T
        on = (spot[0] - 1 < x) & (x < spot[0] + wide + 1)
        on &= (spot[1] - 2 < y) & (y < spot[1] + 6)
        return float(np.hypot(spot[0] - tip[0], spot[1] - tip[1])) + ON_A_LINE * bool(on.any())

    best = min(free or spots, key=worth)
    taken.append(best)
    return best
