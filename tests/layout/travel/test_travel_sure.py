"""How sure travel is: against Monte Carlo, and as each reading is.

Source: NIST/SEMATECH e-Handbook 2.5.4.
"""

from __future__ import annotations

import numpy as np
import pytest
from linkages import IN
from soapstone.layout.graph import Graph
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.setout.surety import plus_minus
from soapstone.layout.travel import Place, envelope, rates_of, study
from soapstone.layout.travel.gear import gear
from soapstone.layout.travel.linkage import Linkage, linkage
from soapstone.layout.travel.outputs import outputs
from soapstone.layout.travel.pose import Pose, pose
from soapstone.layout.travel.sure import as_built, sure
from trucks import job


def test_uncertainty_of_travel_against_monte_carlo() -> None:
    """1200 trucks with every reading drawn within its plus-minus (NIST/SEMATECH e-Handbook 2.5.4:
    rectangular): within 5 per cent.
    """
    j = job()
    g = solve(j)
    by = {p.name: p for p in envelope(g.values)}
    places = [by["full bump"], by["full droop"]]
    got = sure(g, places)
    rng = np.random.default_rng(11)
    heave = np.array([p.heave for p in places])
    both = [k for k in j.readings if k.side == "L" and k.name in j.both]
    drawn: dict[Key, list[np.ndarray]] = {}
    lks, gears = [], []
    for _ in range(1200):
        readings = {
            k: r._replace(value=r.value + rng.uniform(-1, 1) * r.half_width) if r.half_width else r
            for k, r in j.readings.items()
        }
        for k in both:
            readings[Key(k.name, "R")] = readings[Key(k.name, "R")]._replace(
                value=readings[k].value
            )
        v = solve(j._replace(readings=readings)).values
        (lower, upper), _ = rates_of(v)
        lks.append(linkage(v, lower, upper))
        gears.append(gear(v))
    many = Linkage(*(np.repeat(np.stack(a), 2, axis=0) for a in zip(*lks, strict=True)))
    q = pose(many, np.tile(heave, 1200), np.zeros(2400))
    for i, gg in enumerate(gears):
        rows = slice(2 * i, 2 * i + 2)
        part = outputs(
            Linkage(*(a[rows] for a in many)),
            gg,
            Pose(*(a[rows] if isinstance(a, np.ndarray) else a for a in q)),
        )
        for k in (
            Key("caster", "L"),
            Key("coil.length", "L"),
            Key("lateral", "C"),
            Key("pinion.up", "C"),
            Key("slip", "C"),
        ):
            drawn.setdefault(k, []).append(part[k])
    for k, rows in drawn.items():
        spread = np.std(np.array(rows), axis=0)
        # near a floor the working angle leaves its band on one side only; the rest is linear within
        # 5 per cent
        assert np.allclose(got.u[k], spread, rtol=0.05), (k, got.u[k], spread)


def test_doubled_plus_minus_doubles_the_doubt() -> None:
    j = job()
    places = [Place("full bump", 4 * IN, 0.0)]
    one = sure(solve(j), places)
    two = sure(
        solve(
            j._replace(
                readings={k: r._replace(half_width=2 * r.half_width) for k, r in j.readings.items()}
            )
        ),
        places,
    )
    k = Key("caster", "L")
    assert two.u[k][0] / one.u[k][0] == pytest.approx(2.0, rel=0.02)


def test_the_reading_named_first_moves_the_result_as_said() -> None:
    j = job()
    g = solve(j)
    places = [Place("full droop", -6 * IN, 0.0)]
    s = sure(g, places)
    k = Key("lateral", "C")
    leaf, share = s.dominating(k, 0)[0]
    u = g.half_width(leaf)
    again = j._replace(
        readings={**j.readings, leaf: j.readings[leaf]._replace(value=j.readings[leaf].value + u)}
    )
    moved = study(again, solve(again), places).found[k][0] - study(j, g, places).found[k][0]
    assert moved == pytest.approx(s.parts[k][leaf][0], rel=0.02)
    assert share == pytest.approx((moved / s.u[k][0]) ** 2, rel=0.05)


def test_caster_and_pinion_at_ride_height_have_one_plus_minus() -> None:
    """That of the layout, and nothing less sure away from it."""
    g = solve(job())
    places = [Place("ride height", 0.0, 0.0), Place("full bump", 4 * IN, 0.0)]
    built = as_built(g, places)
    for key, laid_out in (
        (Key("caster", "L"), Key("caster.ride", "C")),
        (Key("caster", "R"), Key("caster.ride", "C")),
        (Key("pinion.up", "C"), Key("pinion.up", "C")),
    ):
        assert 2 * built.u[key][0] == pytest.approx(plus_minus(g, laid_out))
        assert built.u[key][1] > 0.8 * built.u[key][0]


def test_an_arm_cut_before_a_mount_was_read_again_turns_the_pinion_as_said() -> None:
    """The lower bolt at the axle further ahead by one u, the arms as they were cut: the axle stands
    where arm and upper arm of the old lengths meet it, found by closing the four-bar here.
    """
    g = solve(job())
    leaf = Key("axle.lower_mount.x", "L")
    u = g.half_width(leaf)
    got = as_built(g, [Place("ride height", 0.0, 0.0)], lambda key: key.name == "pinion.up")
    again = _closed(g, u) - _closed(g, 0.0)
    assert got.parts[Key("pinion.up", "C")][leaf][0] == pytest.approx(again, rel=0.03)


def _closed(g: Graph, moved: float) -> float:
    """Pinion, nose up, of the left side in side view: the axle turned about its center at its
    height until joint to bolt and joint to upper bolt are as long as they were cut.
    """
    v = {k.name: x for k, x in g.values.items() if k.side in "LC"}
    up = v["pinion.up"]

    def at(x: float, z: float, turn: float, fore: float) -> np.ndarray:
        c, s = np.cos(turn), np.sin(turn)
        return np.array([fore + x * c + z * s, v["axle.z_ride"] - x * s + z * c])

    joint = np.array([v["arm.joint.x"], v["arm.joint.z"]])
    lower = (v["axle.lower_mount.x"], v["axle.lower_mount.z"])
    upper = (v["axle.upper_mount.x"], v["axle.upper_mount.z"])
    bolt, top = at(*lower, up, v["axle.x_ride"]), at(*upper, up, v["axle.x_ride"])
    on_arm = np.array([v["upper.joint.x"], v["upper.joint.z"]])
    run, link = np.hypot(*(bolt - joint)), np.hypot(*(top - on_arm))
    along = (bolt - joint) / run
    fixed = np.array(
        [along @ (on_arm - joint), along[0] * (on_arm - joint)[1] - along[1] * (on_arm - joint)[0]]
    )

    def miss(x: np.ndarray) -> np.ndarray:
        turn, fore = x
        low, high = at(lower[0] + moved, lower[1], turn, fore), at(*upper, turn, fore)
        way = (low - joint) / np.hypot(*(low - joint))
        there = joint + fixed[0] * way + fixed[1] * np.array([-way[1], way[0]])
        return np.array([np.hypot(*(low - joint)) - run, np.hypot(*(high - there)) - link])

    x = np.array([up, v["axle.x_ride"]])
    for _ in range(20):
        slope = np.stack(
            [
                (miss(x + d) - miss(x - d)) / (2 * d.max())
                for d in (np.array([1e-5, 0]), np.array([0, 1e-3]))
            ],
            axis=1,
        )
        x = x - np.linalg.solve(slope, miss(x))
    return float(x[0])
