"""Two plates joined, step by step: what is tied to what, by rigid bodies; what presses, by brute
force and a bounded search (SciPy); the same plate whichever way round its lines were given.
"""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.sparse import csc_array
from soapstone.layout.arrays import Array
from soapstone.parts.geometry.contours import circle, mirrored, rectangle
from soapstone.parts.strength.elements import coil_seat_plate as seats
from soapstone.parts.strength.elements import contact, joined
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import Mesh, near
from soapstone.parts.strength.elements.plate import Peak

RNG = np.random.default_rng(9)


def upright(x: float, low: float, high: float) -> Array:
    return np.array(((x, low), (x, high)))


def joint() -> joined.PlateOnPlate:
    """200 x 150 under 100 x 90: held at both ends, joined along two lines, kept on two."""
    return joined.PlateOnPlate(
        outlines=(rectangle(0.0, 0.0, 200.0, 150.0), rectangle(50.0, 30.0, 150.0, 120.0)),
        openings=((), ()),
        thick=(5.0, 7.0),
        held=[upright(0.0, 0.0, 150.0), upright(200.0, 0.0, 150.0)],
        joined=[upright(60.0, 40.0, 110.0), upright(140.0, 40.0, 110.0)],
        kept=[np.array(((80.0, y), (120.0, y))) for y in (60.0, 90.0)],
        at=np.array((108.0, 66.0, 47.0)),
        push=np.array((0.3, -0.8, 0.5)),
        cut=(70.0, 120.0),
    )


def test_what_is_tied_moves_as_welds_and_rigid_bodies_say() -> None:
    """Any movement of the free unknowns: nothing moves where the lower plate is held; where both
    are joined the faces that meet move alike, a point off the middle of its plate by its turn; the
    outer face along what is kept moves as a rigid body about the place of the load.
    """
    own = joint()
    lower, upper = joined.meshes(own, 9.0, ())
    ties, load = joined._ties(own, lower, upper)
    free = RNG.normal(size=ties.shape[1])
    u = (ties @ free).reshape(-1, 5)
    low, top = u[: len(lower.nodes)], u[len(lower.nodes) :]

    def face(moves: Array, z: float) -> Array:
        """Movement of points z over the middle of a plate: turns are w,y and -w,x."""
        return np.column_stack(
            (moves[:, 0] + z * moves[:, 4], moves[:, 1] - z * moves[:, 3], moves[:, 2])
        )

    for line in own.held:
        assert not low[near(lower.nodes, line, 0.01), :3].any()
    away = ~near(lower.nodes, own.held[0], 0.01) & ~near(lower.nodes, own.held[1], 0.01)
    assert np.abs(low[away]).min() > 0.0 and np.abs(low[~away, 3:]).min() > 0.0
    seen = 0
    for line in own.joined:
        for node in np.flatnonzero(near(upper.nodes, line, 0.01)):
            (under,) = np.flatnonzero(
                np.linalg.norm(lower.nodes - upper.nodes[node], axis=1) < 1e-6
            )
            meets = face(low[[under]], 2.5) - face(top[[node]], -3.5)
            assert meets == pytest.approx(np.zeros((1, 3)), abs=1e-9)
            seen += 1
    assert seen > 14
    shift, turn = free[-6:-3], free[-3:]
    for line in own.kept:
        for node in np.flatnonzero(near(upper.nodes, line, 0.01)):
            arm = np.array((*upper.nodes[node], 12.0)) - own.at
            want = shift + np.cross(turn, arm)
            assert face(top[[node]], 3.5)[0] == pytest.approx(want)
    assert load[-6:].tolist() == [0.3, -0.8, 0.5, 0.0, 0.0, 0.0] and not load[:-6].any()


def test_where_plates_press_and_how_stiff_it_is() -> None:
    """The wall's opening is the lower plate's own rise, between both plates what one rises over the
    other; twenty times as stiff as steel pressed through its thickness, the area about each node.
    """
    own = joint()
    lower, upper = joined.meshes(own, 9.0, ())
    made, spots = joined._contact(own, lower, upper)
    rise = RNG.normal(size=(len(lower.nodes) + len(upper.nodes), 5))
    opening = made.gap @ rise.ravel()
    nodes = np.vstack((lower.nodes, upper.nodes))
    for row, (x, y, kind) in enumerate(spots):
        at = np.flatnonzero(np.linalg.norm(nodes - (x, y), axis=1) < 1e-9)
        if kind == 0.0:
            assert opening[row] == pytest.approx(rise[at[0], 2])
        else:
            assert opening[row] == pytest.approx(rise[at[1], 2] - rise[at[0], 2])
    assert not made.pressed.any() and not made.guessed
    about = joined._area(lower)
    assert about.sum() == pytest.approx(200.0 * 150.0)
    third = sum(a for a, tri in zip(lower.areas, lower.tris, strict=True) if 7 in tri) / 3
    assert about[7] == pytest.approx(third)
    wall = spots[:, 2] == 0.0
    per = 20.0 * 200_000.0
    here = {tuple(p): a for p, a in zip(lower.nodes, about, strict=True)}
    want = [per * here[x, y] / 5.0 for x, y, _ in spots[wall]]
    assert made.stiff[wall] == pytest.approx(want)
    over = {tuple(p): a for p, a in zip(upper.nodes, joined._area(upper), strict=True)}
    want = [per * over[x, y] / 12.0 for x, y, _ in spots[~wall]]
    assert made.stiff[~wall] == pytest.approx(want)


def test_both_plates_have_nodes_where_they_meet() -> None:
    """What lies under a node of the upper plate; nothing where it sticks out over the lower one."""
    own = joint()
    wide = own._replace(outlines=(own.outlines[0], rectangle(50.0, 30.0, 150.0, 190.0)))
    out = joined.meshes(wide, 9.0, ())
    beyond = out[1].nodes[:, 1] > 150.01
    assert beyond.any() and (joined._under(*out)[beyond] == -1).all()
    lower, upper = joined.meshes(own, 9.0, ())
    under = joined._under(lower, upper)
    for node, low in enumerate(under):
        away = np.linalg.norm(lower.nodes - upper.nodes[node], axis=1)
        assert low == (int(np.argmin(away)) if away.min() < 1e-6 else -1)
    assert (under >= 0).mean() > 0.8
    assert joined.meshes(own, 9.0, ())[0] is lower, "kept"
    assert joined.meshes(own._replace(thick=(9.0, 9.0)), 9.0, ())[0] is lower
    assert joined.meshes(own, 8.0, ())[0] is not lower


def test_both_ends_of_every_weld_are_fine() -> None:
    """4 mm within 4 mm of any end, growing by 0.3 a millimeter past that."""
    field = joined._field(joint(), 4.0, ())
    for x in (60.0, 140.0):
        for end, way in ((40.0, -1.0), (110.0, 1.0)):
            off = np.array([(x, end + way * d) for d in (0.0, 3.9, 10.0)])
            assert field(off) == pytest.approx([4.0, 4.0, 4.0 + 0.3 * 6.0])


def test_what_pressed_on_another_mesh_is_thought_to_press() -> None:
    """By the nearest place of its own kind."""
    last = np.column_stack((RNG.uniform(0, 100, (80, 2)), RNG.integers(0, 2, 80)))
    pressed = RNG.random(80) < 0.5
    spots = np.column_stack((RNG.uniform(0, 100, (50, 2)), RNG.integers(0, 2, 50)))
    got = joined._as_before(spots, joined.Pressing(last, pressed))
    for spot, own in zip(spots, got, strict=True):
        alike = np.flatnonzero(last[:, 2] == spot[2])
        nearest = alike[np.argmin(np.hypot(*(last[alike, :2] - spot[:2]).T))]
        assert own == pressed[nearest]


def test_a_joint_is_known_by_what_its_mesh_and_its_answer_hang_on() -> None:
    own = joint()
    for other in (
        own._replace(held=own.held[:1]),
        own._replace(joined=[own.joined[0], own.joined[1] + 1.0]),
        own._replace(kept=own.kept[::-1]),
        own._replace(openings=((circle((20.0, 20.0), 9.0),), ())),
    ):
        assert other.shape != own.shape and other.content != own.content
    for other in (
        own._replace(thick=(5.0, 8.0)),
        own._replace(at=own.at + 1.0),
        own._replace(push=-own.push),
        own._replace(cut=None),
    ):
        assert other.shape == own.shape and other.content != own.content
    assert joint().content == own.content


def springs(many: int = 30, places: int = 10) -> tuple[Array, Array, contact.Contact]:
    """A stiffness, a load and places that press or lift."""
    root = RNG.normal(size=(many, many)) + 3 * np.eye(many)
    gap = csc_array(RNG.normal(size=(places, many)))
    stiff = 10 ** RNG.uniform(0, 3, places)
    made = contact.Contact(gap, stiff, np.zeros(places, dtype=bool))
    return root.T @ root, RNG.normal(size=many), made


def test_a_step_takes_the_energy_lowest() -> None:
    """Of the plates, of the load and of what presses, along a step; by a bounded search (SciPy)."""
    for _ in range(30):
        stiff, load, made = springs()
        free, step = RNG.normal(size=30) * 0.3, RNG.normal(size=30)

        def energy(share: float, free=free, stiff=stiff, load=load, made=made) -> float:
            at = free + share * step  # noqa: B023  # whichever way it goes
            push = np.minimum(made.gap @ at, 0.0)
            return float(at @ stiff @ at / 2 - load @ at + made.stiff @ push**2 / 2)

        if energy(1e-6) > energy(0.0):
            step = -step
        got = contact._lowest(csc_array(stiff), load, made, free, step)
        want = minimize_scalar(energy, bounds=(-5.0, 50.0), method="bounded").fun
        assert energy(got) <= want + 1e-9 * abs(want) + 1e-12
        assert energy(got - 1e-3) > energy(got) < energy(got + 1e-3)


def test_places_that_change_are_answered_as_if_factored_anew() -> None:
    """The same movements from one factor, whatever places press; what lifts has no spring."""
    stiff, load, made = springs()
    sprung = contact._Sprung(csc_array(stiff), load, made, made.pressed)
    for _ in range(12):
        pressed = RNG.random(10) < 0.5
        rows = made.gap.toarray()[pressed]
        whole = stiff + rows.T @ np.diag(made.stiff[pressed]) @ rows
        assert sprung.asked(pressed) == pytest.approx(np.linalg.solve(whole, load))
    guess = made._replace(pressed=RNG.random(10) < 0.5, guessed=True)
    free, pressed = contact.settled(csc_array(stiff), load, guess)
    plain, same = contact.settled(csc_array(stiff), load, made._replace(guessed=True))
    assert (free == plain).all() and (pressed == same).all(), "to the last digit"


def test_a_loop_and_a_line_are_the_same_wherever_they_begin() -> None:
    """Any of its edges first, rounding in its last digits; a line from either end, a closed one
    from any place and either way round.
    """
    loop = rectangle(3.0, 1.0, 93.0, 61.0, 8.0)
    moved = tuple(e._replace(start=(e.start[0] + 2e-9, e.start[1] - 3e-9), name="x") for e in loop)
    for first in range(len(loop)):
        assert seats._loop(moved[first:] + moved[:first]) == seats._loop(loop)
    assert seats._loop(loop)[0].start == min(e.start for e in loop)
    assert seats._loop(mirrored(mirrored(loop))) == seats._loop(loop)
    line = np.array(((5.0, 9.0), (5.0, 9.0), (40.0, 9.0), (70.0, 9.0), (70.0, 50.0)))
    for other in (line, line + (RNG.random(line.shape) < 0.5) * 1e-9, line[:3]):
        want = seats._line(other).tolist()
        assert want == seats._line(other[::-1]).tolist()
    corners = {(5.0, 9.0), (70.0, 9.0), (70.0, 50.0)}
    assert {tuple(p) for p in seats._line(line)} == corners and len(seats._line(line)) == 3
    step = np.array(((0.0, 0.0), (1.0, 1.0), (1.0, 9.0), (30.0, 9.0)))
    assert len(seats._line(step)) == 4, "a short step is one too"
    longer = np.vstack((line, ((20.0, 80.0),)))
    assert seats._line(longer).tolist() == seats._line(longer[::-1]).tolist()
    ring = np.array(((4.0, 2.0), (30.0, 1.0), (35.0, 20.0), (2.0, 22.0)))
    closed = [
        np.vstack((np.roll(way, -k, axis=0), np.roll(way, -k, axis=0)[:1]))
        for way in (ring, ring[::-1])
        for k in range(4)
    ]
    first = seats._line(closed[0]).tolist()
    assert first[0] == first[-1] == [2.0, 22.0] and len(first) == 5
    assert all(seats._line(each).tolist() == first for each in closed)


def small() -> fem.Solved:
    nodes = np.array(((0.0, 0.0), (10.0, 0.0), (0.0, 10.0)))
    five, three = RNG.normal(size=(3, 5)), RNG.normal(size=(3, 3))
    return fem.Solved(Mesh(nodes, np.array(((0, 1, 2),))), five, three, 2 * three, -five)


@pytest.mark.parametrize("signs", [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)])
def test_a_result_is_turned_into_the_plates_own_axes(signs: tuple[float, float]) -> None:
    """Movements along an axis that is turned round change their sign; turns are slopes of the rise
    (about x along y, about y along x); shear changes where one axis is turned.
    """
    s = small()
    found = seats.Seat(1.0, s, [s.mesh.nodes], 0.01, np.array((3.0, 4.0)))
    got = seats._turned(found, np.array((*signs, 1.0)))
    x, y = signs
    for own, was in ((got.solved.u, s.u), (got.solved.reaction, s.reaction)):
        assert own == pytest.approx(was * np.array((x, y, 1.0, y, x)))
    for own, was in ((got.solved.flat, s.flat), (got.solved.skin, s.skin)):
        assert own == pytest.approx(was * np.array((1.0, 1.0, x * y)))
    assert got.solved.stress == pytest.approx(s.stress), "as strong either way"
    assert got.solved.mesh.nodes == pytest.approx(s.mesh.nodes * signs)
    assert got.lines[0] == pytest.approx(s.mesh.nodes * signs)
    assert got.at.tolist() == [3.0 * x, 4.0 * y] and got.per_newton == 1.0


def test_meshes_are_made_finer_until_the_answer_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    """10, 12, 12.3: the last moved by 2.5 %, less than three; the first of all is asked coarsest
    where nothing like it was solved, and only for what presses.
    """
    own, sizes, answers = joint(), [], iter((10.0, 10.0, 12.0, 12.0, 12.3))
    pressing = joined.Pressing(np.zeros((1, 3)), np.zeros(1, dtype=bool))

    def pair(_joint: object, size: float, spots: object = (), last: object = None) -> object:
        sizes.append((size, len(spots), getattr(last, "guessed", None)))  # type: ignore[arg-type]
        return SimpleNamespace(lower=small(), pressing=pressing)

    monkeypatch.setattr(seats, "pair", pair)
    monkeypatch.setattr(seats, "_BEGUN", {})
    monkeypatch.setattr(
        seats.fem, "peak", lambda _s, _l, away: Peak(next(answers), np.full(2, away))
    )
    found = seats._settled(own)
    assert found.per_newton == 12.3 and found.moved == pytest.approx(0.025)
    assert [n for _, n, _ in sizes] == [0, 0, 2, 4]
    assert [size for size, *_ in sizes] == sorted((size for size, *_ in sizes), reverse=True)
    assert len({size for size, *_ in sizes}) == len(sizes), "each finer than the one before"
    assert sizes[1][2] is True and found.at.tolist() == [5.0, 5.0]
    assert seats._begun(own) == pressing._replace(guessed=True), "others of it begin there"
    assert math.isclose(found.moved, 12.3 / 12.0 - 1)
