"""Load cases: equilibrium, sums by hand, the same truck in a multibody library, sources that stand
beside every case.

Sources: statics of rigid bodies; MuJoCo as an independent model of the same linkage; strength of
what follows in test_strength.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from rig import Rig
from soapstone.layout.loads.basis import load_basis, missing_for_loads
from soapstone.layout.loads.cases import (
    CASES,
    Case,
    adjusted,
    both_hands,
    jack_forces,
    tire_forces,
)
from soapstone.layout.loads.forces import Forces, forces, forces_in
from soapstone.layout.loads.mechanism import Mechanism
from soapstone.layout.loads.tires import at_ground, slope
from soapstone.layout.quantities import Key, Reading
from soapstone.layout.setout import solve
from soapstone.layout.travel.gear import gear
from soapstone.layout.units import IN
from trucks import job


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_every_case_is_in_equilibrium(name: str) -> None:
    rows = forces(solve(job(name)).values)
    assert len(rows) == sum(2 if c.hand else 1 for c in CASES)
    assert max(f.residual for f in rows) < 1e-6


def test_sums_by_hand() -> None:
    """Fore-aft force goes through the frame joints (the bar stands across); coils and stops
    together by moments about the frame-joint line.
    """
    g = solve(job())
    f = load_basis(g.values)
    m = Mechanism(f)
    for case in both_hands():
        r = forces_in(m, case._replace(level="often"))
        fx = (
            r.tire[:, 0].sum()
            + r.bar * m.bar_along[0]
            + ((-(r.coil + r.stop - r.strap))[:, None] * m.coil_along).sum(0)[0]
        )
        assert r.joint[:, 0].sum() == pytest.approx(-fx, abs=1e-6)
        # moments about the line of the frame joints, lateral axis
        joint = f.linkage.joint.mean(axis=0)
        total = 0.0
        for i, way in enumerate((1, -1)):
            hub = f.linkage.center + np.array((0, way * f.track / 2, 0.0))
            at = hub + case.at(f)[i] - joint
            total += np.cross(at, r.tire[i])[1]
            total += np.cross(
                f.coil_lower[i] - joint, -(r.coil[i] + r.stop[i] - r.strap[i]) * m.coil_along[i]
            )[1]
        total += (
            np.cross(f.linkage.center - joint, (0, 0, -f.unsprung))[1]
            + np.cross(f.linkage.bar_axle - joint, r.bar * m.bar_along)[1]
        )
        assert abs(total) < 1e-3


def test_standing_still_carries_what_was_weighed() -> None:
    g = solve(job())
    r = forces(g.values, (CASES[0],))[0]
    assert r.coil == pytest.approx([g.values[Key("spring.load", s)] for s in "LR"], rel=0.01)
    assert abs(r.bar) < 50 and r.stop.max() == 0 and r.strap.max() == 0


def test_one_wheel_against_a_step_loads_its_own_joint_with_more_than_half() -> None:
    """1/2 + track / (4 b_F) of the force, joints that take it fore-aft alone (statics); bushings
    along their bolts take a little.
    """
    f = load_basis(solve(job()).values)
    m = Mechanism(f)
    r = forces_in(m, next(c for c in both_hands() if c.name == "pothole" and c.hand == "L"))
    share = r.joint[0, 0] / -(r.tire[0, 0] * r.case.share)
    # side forces in the bushings and the slanted arms take part of the turn, so it is below what
    # two joints alone would carry, and far above one half
    assert 1.2 < share < 0.5 + f.track / (4 * f.linkage.joint[0, 1])


def test_tire_forces_of_the_texts() -> None:
    f = load_basis(solve(job()).values)
    by = {(c.name, c.hand): c for c in both_hands()}
    assert tire_forces(f, by["bump", ""])[:, 2] == pytest.approx(3 * f.wheel)
    assert (
        tire_forces(f, by["twist", "R"])[1, 2] == pytest.approx(1.8 * 2 * f.wheel)
        and tire_forces(f, by["twist", "R"])[0, 2] == 0
    )
    # Brown, Robertson and Serpento p. 22: H/R 0.1 gives 0.48 W before K = 4.5
    assert -tire_forces(f, by["pothole", "L"])[0, 0] == pytest.approx(
        4.5 * 0.484 * f.wheel, rel=2e-3
    )
    assert -tire_forces(f, by["curb", "L"])[0, 1] == pytest.approx(
        1.75 * 2 * f.wheel * f.track / (2 * f.cg_height)
    )
    assert all(c.source for c in CASES)


def test_tire_forces_of_the_cases_that_are_judgment() -> None:
    """Each by its own words: what pulls, what carries, where; the way of the force at an obstacle
    of H/R 0.1 to 0.5 by Brown, Robertson and Serpento p. 22 (0.48, 0.88, 1.73).
    """
    f = load_basis(solve(job()).values)
    by = {(c.name, c.hand): c for c in both_hands()}
    w = f.wheel
    assert [slope(h) for h in (0.1, 0.25, 0.5)] == pytest.approx([0.484, 0.882, 1.732], abs=1e-3)
    want = {
        ("low-range pull back", "L"): ((-2 * w, 0, 2 * w), (0, 0, w)),
        ("pull, both wheels", ""): ((1.5 * w, 0, 1.5 * w),) * 2,
        ("twist with pull", "L"): ((2 * w, 0, 2 * w), (0, 0, 0)),
        ("twist with pull back", "R"): ((0, 0, 0), (-2 * w, 0, 2 * w)),
        ("deep pothole", "L"): ((-4.5 * 0.8819 * w, 0, 3 * w), (0, 0, w)),
        ("ledge", "L"): ((-2 * 1.7321 * w, 0, 2 * w), (0, 0, w)),
        ("jack at the axle", "R"): ((0, 0, w), (0, 0, 1.5 * w)),
        ("jack at the bracket", "L"): ((0, 0, 0), (0, 0, w)),
        ("winch", ""): ((-f.weight / 2, 0, w),) * 2,
        ("recovery, pushed", ""): ((-f.weight / 4, 0, w),) * 2,
    }
    for name, forces_of_it in want.items():
        assert tire_forces(f, by[name]) == pytest.approx(np.array(forces_of_it), rel=1e-4), name
    for name in want:
        got = jack_forces(f, by[name])
        assert got.sum() == pytest.approx(1.5 * w if name[0] == "jack at the bracket" else 0.0)


def test_the_ledge_pushes_through_the_hub_and_the_jack_under_the_coil() -> None:
    """A rolling wheel takes no couple about its hub (statics); a jack stands under the coil."""
    f = load_basis(solve(job()).values)
    by = {(c.name, c.hand): c for c in both_hands()}
    ledge = by["ledge", "L"]
    couple = np.cross(ledge.at(f)[0], tire_forces(f, ledge)[0])
    assert np.abs(couple).max() < 1e-9 * f.wheel * f.tire_radius
    assert np.linalg.norm(ledge.at(f)[0]) == pytest.approx(f.tire_radius)
    under = by["jack at the axle", "L"].at(f)[0] + np.array((0, f.track / 2, 0))
    assert under[1] == pytest.approx(f.coil_lower[0, 1] - f.linkage.center[1])


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_every_case_against_the_multibody_rig(case: Case) -> None:
    """The same linkage, bushings and coils in MuJoCo; the ground pushes on both wheels as in the
    case, but so softly that no stop or strap acts: frame-joint and track-bar forces within 0.5 per
    cent. Rigid arms there, so here too.
    """
    g = solve(job())
    f = load_basis(g.values)
    f = f._replace(
        arm_inertia=f.arm_inertia * 1e6,
        arm_area=f.arm_area * 1e6,
        bar_area=f.bar_area * 1e6,
        linkage=f.linkage._replace(up=np.array(0.0)),
    )
    c = gear(g.values).coils
    assert c is not None
    lk, hard = f.linkage, 1e-5
    still = np.array(((0.0, 0.0, f.wheel), (0.0, 0.0, f.wheel)))

    class Standing(Mechanism):
        """It stands on the ground; what a case says comes beside that."""

        def load(self, tires: np.ndarray, at: np.ndarray) -> np.ndarray:
            stands = super().load(still, at_ground(f))
            return stands + super().load(tires, at) - super().load(0 * tires, at)

    m = Standing(f)

    def own(share: float) -> tuple[np.ndarray, float]:
        def ground(*_: object) -> np.ndarray:
            return share * tire_forces(f, case)

        r = forces_in(m, Case("probe", "often", 1.0, "", "", tires=ground, at=case.at))
        return r.joint, r.bar

    rig = Rig(
        lk.center,
        lk.joint,
        lk.bolt,
        lk.upper,
        lk.mount,
        (lk.bar_axle, lk.bar_frame),
        lk.rates,
        free=True,
        coils=(c.lower, c.upper, np.full(2, c.rate), np.linalg.norm(c.upper - c.lower, axis=1)),
    )
    # small loads from rest, nothing preloaded: the load cases leave out the stiffness that preload
    # adds or takes
    hubs = np.array(((0.0, f.track / 2, 0.0), (0.0, -f.track / 2, 0.0)))
    rig.pushes = list(zip(hard * tire_forces(f, case), hubs + case.at(f), strict=True))
    rig.settle(np.zeros(rig.m.nq), 1e-11)
    got = rig.pull
    (a, bar_a), (b, bar_b) = own(0.0), own(hard)
    want = b - a
    # loop multipliers: left arm end (3), left upper (3), right arm end, right upper, bar
    rig_joint = -np.array((got[0:3], got[6:9]))
    largest = np.abs(want).max()
    assert np.abs(rig_joint - want).max() < 0.005 * largest, (rig_joint, want)
    assert abs(abs(got[12]) - abs(bar_b - bar_a)) < 0.005 * max(largest, abs(bar_b - bar_a))


def test_the_shops_own_factor_is_used_and_said() -> None:
    v = solve(job()).values
    more = forces(v, adjusted({"twist": 2.4}))
    usual = forces(v)

    def pick(rows: tuple[Forces, ...]) -> Forces:
        return next(f for f in rows if f.case.name == "twist" and f.case.hand == "L")

    assert pick(more).case.factor == 2.4 and "set by the shop" in pick(more).case.source
    assert pick(more).bend.max() > pick(usual).bend.max()


def test_what_waits_is_named() -> None:
    j = job()
    cut = solve(
        j._replace(readings={k: r for k, r in j.readings.items() if k.name != "spring.axle_load"})
    )
    assert Key("spring.axle_load", "C") in missing_for_loads(cut.values)


def test_the_loads_wait_for_the_place_of_the_stop() -> None:
    """Seats and plates carry coil and stop together only where the stop is inside the coil."""
    j = job()
    owed = solve(j._replace(words={k: v for k, v in j.words.items() if k != "travel.stop_place"}))
    missing = missing_for_loads(owed.values)
    assert missing == tuple(Key("rail.stop.x", side) for side in "LR")
    assert all("travel.stop_place" in map(str, owed.rests_on(key)) for key in missing)


def test_a_stop_beside_the_coil_pushes_at_its_own_place() -> None:
    """By the readings of its place alone: on the axle tube, where the bump brings it under the
    stop; the coil's seats carry the coil alone.
    """
    j = job()
    words = {**j.words, "travel.stop_place": "beside"}
    owed = solve(j._replace(words=words))
    assert {key.name for key in missing_for_loads(owed.values)} == {
        "rail.stop.x",
        "stop.pad.x",
        "stop.pad.y",
    }
    places = {"travel.stop_x": ("C", 2 * IN), "travel.stop_y": ("LR", 16 * IN)}
    given = {
        Key(name, side): Reading(Key(name, side), (), value, 0.0)
        for name, (sides, value) in places.items()
        for side in sides
    }
    solved = solve(j._replace(words=words, readings={**j.readings, **given}))
    truck = load_basis(solved.values)
    assert truck.stop_pad is not None
    half = solved.values[Key("axle.tube_diameter", "C")] / 2
    back = solved.values[Key("axle.x_ride", "C")] - solved.values[Key("axle.x_bump", "C")]
    top = solved.values[Key("axle.z_ride", "C")] + half
    assert truck.stop_pad[0] == pytest.approx((2 * IN + back, 16 * IN, top))
    assert truck.stop_pad[1] == pytest.approx((2 * IN + back, -16 * IN, top))
    pushed = [own for own in forces(solved.values) if own.stop.max() > 0]
    assert pushed, "no case reaches the stops"
    assert all((own.seat == own.coil).all() and not own.seat_stop.any() for own in pushed)
    inside = [own for own in forces(solve(j).values) if own.stop.max() > 0]
    assert all((own.seat == own.coil + own.stop).all() for own in inside)


def test_softer_arms_carry_less_roll() -> None:
    """The share of roll the arms take falls with the arm's own bending (series springs): never more
    than with rigid arms.
    """
    f = load_basis(solve(job()).values)
    case = next(c for c in both_hands() if c.name == "twist" and c.hand == "L")
    thin = forces_in(Mechanism(f._replace(arm_inertia=f.arm_inertia / 4)), case)
    thick = forces_in(Mechanism(f._replace(arm_inertia=f.arm_inertia * 1e4)), case)
    assert thin.bend.max() < forces_in(Mechanism(f), case).bend.max() < thick.bend.max()


def test_the_track_bars_own_wall_makes_its_area() -> None:
    """Area of a tube, pi/4 (D^2 - d^2); the arm's wall has no part in it."""
    values = solve(job()).values
    outside = values[Key("track_bar.od", "C")]
    for wall in (0.12 * IN, 0.25 * IN):
        truck = load_basis({**values, Key("track_bar.wall", "C"): wall})
        inside = outside - 2 * wall
        assert truck.bar_area == pytest.approx(math.pi / 4 * (outside**2 - inside**2))
    solid = load_basis({**values, Key("track_bar.wall", "C"): outside})
    assert solid.bar_area == pytest.approx(math.pi / 4 * outside**2), "a solid bar"
