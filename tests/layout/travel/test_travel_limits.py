"""Margins over the envelope and gaps between round bars and boxes against the reference chassis;
uncertainty against Monte Carlo; arm spin against a numeric buckling; limits and clearance that move
as the reading moves.

Sources: reference margins and gaps of the invented chassis (tolerance 0.001 in, 0.003 deg, gaps
0.003 in); NIST/SEMATECH e-Handbook 2.5.4; virtual work.
"""

from __future__ import annotations

import csv
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from linkages import DEG, IN, of_job
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, envelope, rates_of, study
from soapstone.layout.travel.gear import gear, on_axle
from soapstone.layout.travel.joint_line import candidates
from soapstone.layout.travel.limits import limits
from soapstone.layout.travel.linkage import Linkage, linkage
from soapstone.layout.travel.outputs import outputs
from soapstone.layout.travel.pose import Pose, frames, pose
from soapstone.layout.travel.spin import critical
from soapstone.layout.travel.sure import sure
from soapstone.layout.travel.turning import Array, turn
from soapstone.parts.geometry.outline import rectangle
from soapstone.parts.geometry.solid import Prism
from soapstone.parts.model.vectors import Frame
from soapstone.parts.placed.clearance import Hits, from_axis, hits, positions, segments
from soapstone.parts.placed.motion import Round
from soapstone.parts.stock import default_shop
from trucks import job, reference_job, truck

MARGINS = {
    "coil.length": (min, 9.503744, max, 19.707276),
    "coil.seat": (max, 8.690558),
    "frame_joint": (max, 7.468017),
    "upper.radial": (max, 0.107314),
    "lower.cone": (max, 2.517828),
    "slip": (min, -0.390939, max, 0.402111),
    "pinion.joint": (max, 2.369891),
    "transfer.joint": (max, 7.349421),
}
GAPS = list(csv.DictReader((Path(__file__).parents[2] / "published" / "demo_gaps.csv").open()))


@pytest.mark.parametrize("name", MARGINS)
def test_margin_over_the_envelope_of_fifteen(name: str) -> None:
    j = reference_job()
    g = solve(j)
    t = study(j, g)
    assert len(t.places) == 15
    both = np.concatenate([a for k, a in t.found.items() if k.name == name])
    scale = IN if name in ("coil.length", "slip", "upper.radial") else DEG
    row = MARGINS[name]
    for pick, want in zip(row[::2], row[1::2], strict=True):
        assert pick(both) / scale == pytest.approx(
            want,
            abs=0.01 if name in ("frame_joint", "lower.cone") else 0.003 if scale == DEG else 0.001,
        )


@cache
def bodies() -> tuple[list[dict[str, object]], None]:
    """Round bars and boxes of the reference at its nine positions."""
    j = reference_job()
    g = solve(j)
    v = g.values
    places = [
        Place(str(i), float(r["heave"]) * IN, float(r["roll"]) * DEG) for i, r in enumerate(GAPS)
    ]
    t = study(j, g, places)
    lk, q, gg = t.linkage, t.pose, t.gear
    assert lk is not None and q is not None and gg.coils and gg.steering and gg.shaft

    def c(name: str) -> float:
        return v[Key(name, "C")]

    rows = []
    for i in range(len(places)):

        def on(p: Array, i: int = i) -> Array:
            return q.d[i] @ (p - lk.centre) + q.p[i]

        def knuckle(n: int, p: Array, i: int = i) -> Array:
            steered = turn(gg.steering.kingpin[n] * t.found[Key("drag.steer", "C")][i])
            return (
                q.d[i] @ (gg.steering.at[n] + steered @ (p - gg.steering.at[n]) - lk.centre)
                + q.p[i]
            )

        b: dict[str, object] = {
            "track_bar": Round("", "", on(lk.bar_axle), lk.bar_frame, c("track_bar.od") / 2),
            "axle_tube": Round(
                "",
                "",
                on(lk.centre + np.array((0, 27 * IN, 0))),
                on(lk.centre - (0, 27 * IN, 0)),
                c("axle.tube_diameter") / 2,
            ),
            "diff": Round(
                "",
                "",
                *(
                    on(
                        on_axle(
                            v,
                            np.array(
                                (c(f"axle.diff.x{n}"), c("axle.diff.y"), c(f"axle.diff.z{n}"))
                            ),
                        )
                    )
                    for n in "12"
                ),
                c("axle.diff.radius"),
            ),
            "drag_link": Round(
                "",
                "",
                knuckle(1, gg.steering.ball),
                gg.steering.pitman,
                c("steering.drag_link_od") / 2,
            ),
            "tie_rod": Round(
                "",
                "",
                knuckle(0, gg.steering.tie[0]),
                knuckle(1, gg.steering.tie[1]),
                c("steering.tie_rod_od") / 2,
            ),  # type: ignore[index]
            "shaft": Round(
                "", "", on(gg.shaft.pinion), gg.shaft.output, c("driveline.shaft_od") / 2
            ),
        }
        for n, s in enumerate("LR"):
            hang = lk.joint[n] + q.m[i, n] @ (lk.upper[n] - lk.joint[n])
            b[f"upper_{s}"] = Round(
                "", "", hang, hang + q.g[i, n] @ (lk.mount[n] - lk.upper[n]), 0.625 * IN
            )
            b[f"coil_{s}"] = Round(
                "", "", on(gg.coils.lower[n]), gg.coils.upper[n], gg.coils.radius
            )
            b[f"arm_{s}"] = Round("", "", on(lk.bolt[n]), lk.joint[n], 1.0 * IN)
            b[f"rail_{s}"] = box(
                (-20.0, (1 if s == "L" else -1) * 16.125, 28.125), (40.0, 1.375, 2.875)
            )
        b["oil_pan"], b["crossmember"] = (
            box((-6.0, 0.0, 30.75), (9.0, 5.5, 5.0)),
            box((-43.5, 0.0, 17.0), (1.5, 14.75, 1.5)),
        )
        rows.append(b)
    return rows, None


def box(mid: tuple[float, float, float], half: tuple[float, float, float]) -> Prism:
    x, y, z = (h * IN for h in half)
    return Prism(
        Frame(tuple(m * IN for m in mid), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
        -z,
        z,
        rectangle(-x, -y, x, y),
        (),
    )  # type: ignore[arg-type]


@pytest.mark.parametrize("pair", [c for c in GAPS[0] if "|" in c])
def test_gap_of_round_bars_and_boxes(pair: str) -> None:
    one, two = pair.split("|")
    for row, b in zip(GAPS, bodies()[0], strict=True):
        r, s = b[one], b[two]
        assert isinstance(r, Round)
        gap = (
            from_axis(r, s.signed)[0]
            if isinstance(s, Prism)
            else segments(r.a, r.b, s.a, s.b)[0] - r.radius - s.radius
        )  # type: ignore[attr-defined]
        assert gap / IN == pytest.approx(float(row[pair]), abs=0.003), row


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


def test_arm_spin_against_a_numeric_buckling() -> None:
    """The push at which the second derivative of cone energy less work of the push vanishes, the
    arm turned about its own axis by hand.
    """
    lk = of_job()
    f = frames(Linkage(*(a[None] for a in lk)))
    assert f.joint.shape == (1, 4, 3)
    i = 0
    axis = (lk.joint[i] - lk.bolt[i]) / np.linalg.norm(lk.joint[i] - lk.bolt[i])

    def state(a: float) -> tuple[float, float]:
        u = lk.bolt[i] + turn(axis * a) @ (lk.upper[i] - lk.bolt[i])
        link = lk.mount[i] - u
        was = lk.mount[i] - lk.upper[i]
        tilt = math.acos(min(1.0, float(link @ was) / (np.linalg.norm(link) * np.linalg.norm(was))))
        return (lk.rates[i, 3] * a * a + lk.rates[2 + i, 3] * tilt**2) / 2, float(
            np.linalg.norm(link)
        )

    e = 1e-3
    (e1, l1), (e0, l0), (e2, l2) = state(e), state(0.0), state(-e)
    push = ((e1 - 2 * e0 + e2) / e**2) / ((l1 - 2 * l0 + l2) / e**2)
    assert critical(lk, i) == pytest.approx(push, rel=0.02)


def test_limits_move_with_what_they_limit() -> None:
    j = job()
    g = solve(j)
    rows = {(x.path, x.name): x for x in limits(j, g)}
    assert [x.name for x in limits(j, g) if x.governs and x.path == "bump"] == ["bump stop"]
    assert (
        rows["droop", "limit strap"].governs
        and rows["roll, left up", "upper bushing's squeeze, left"].governs
    )
    key = Key("spring.free_length", "C")
    short = j._replace(
        readings={
            **j.readings,
            key: j.readings[key]._replace(value=j.readings[key].value),
            Key("travel.droop", "C"): j.readings[Key("travel.droop", "C")]._replace(value=7 * IN),
        }
    )
    gone = {(x.path, x.name): x for x in limits(short, solve(short))}
    loose = gone["droop", "coil loose, left"]
    assert loose.short and abs(loose.at) / IN == pytest.approx(6.04, abs=0.02)
    weak = j._replace(
        readings={
            **j.readings,
            Key("arms.bush_max_radial", "C"): (
                j.readings[Key("arms.bush_max_radial", "C")]._replace(value=0.09 * IN)
            ),
        }
    )
    assert any(
        x.short and x.name.startswith("upper bushing")
        for x in limits(weak, solve(weak))
        if x.path == "roll, left up"
    )


def test_an_obstacle_moved_an_inch_changes_its_gap_by_an_inch() -> None:
    t, _g = truck()
    j = job()
    shop = default_shop()

    def gap(dz: float) -> float:
        # a lid wider than the diff, so that the nearest way is straight up
        to = {
            "travel.obstacle.1.centre.z": 33 * IN + dz,
            "travel.obstacle.1.half.y": 20 * IN,
            "travel.obstacle.1.half.x": 20 * IN,
        }
        low = j._replace(
            readings={k: r._replace(value=to.get(k.name, r.value)) for k, r in j.readings.items()}
        )
        solved = solve(low)
        rows = positions(solved.values)
        at = study(low, solved, [rows[0][0]])
        h = Hits(t, low, solved.values, shop, at, [0.0])
        h.look = 400.0
        return next(
            x.gap for x in h.at(0, "full bump", lambda a, b: {a, b} == {"diff.C", "oil pan"})
        )

    assert gap(0.0) - gap(-IN) == pytest.approx(IN, abs=0.3) and gap(0.0) > 0


def test_every_hit_is_found_and_said() -> None:
    t, _g = truck()
    j = job()
    key = Key("travel.obstacle.1.centre.z", "C")
    low = j._replace(
        readings={**j.readings, key: j.readings[key]._replace(value=j.readings[key].value - 3 * IN)}
    )
    found = hits(t, low, solve(low), default_shop())
    assert (
        found[0].verdict == "touches"
        and {found[0].one, found[0].two} == {"diff.C", "oil pan"}
        and found[0].place.startswith("full bump")
    )
    assert found[0].gap < 0
    from soapstone.parts.verdict.advice import advise

    said = str(advise(found[:1], low, solve(low), t, default_shop())[0])
    assert (
        "oil pan" in said
        and "full bump" in said
        and "datum hole" in said
        and "oil pan" in said.partition("floor")[2]
        and "casting" not in said
    )


def test_a_pair_that_touches_ends_the_travel_there() -> None:
    """The oil pan lowered until the diff meets it before full bump: that pair governs, where the
    gap's own curve crosses zero.
    """
    from soapstone.parts.placed.clearance import touching

    t, g = truck()
    j = job()
    key = Key("travel.obstacle.1.centre.z", "C")
    low = j._replace(
        readings={
            **j.readings,
            key: j.readings[key]._replace(value=j.readings[key].value - 3.5 * IN),
        }
    )
    solved, shop = solve(low), default_shop()
    rows = limits(low, solved, touching(t, low, solved.values, shop, hits(t, low, solved, shop)))
    first = next(x for x in rows if x.path == "bump")
    assert first.governs and first.short and "oil pan" in first.name and 2 * IN < first.at < 4 * IN
    plain = next(
        x
        for x in limits(j, solve(j), touching(t, j, g.values, shop, hits(t, j, g, shop)))
        if x.path == "bump"
    )
    assert plain.name == "bump stop" and plain.governs


def test_the_demo_does_not_hit_itself() -> None:
    for name in ("demo", "demo_uneven"):
        t, g = truck(name)
        assert [x for x in hits(t, job(name), g, default_shop()) if x.verdict == "touches"] == []


def test_joint_lines_are_ranked_and_the_chosen_one_is_among_them() -> None:
    j = job()
    rows = candidates(j, solve(j))
    assert len(rows) > 40
    assert list(rows) == sorted(rows, key=lambda r: r.rank)
    mine = next(
        r for r in rows if abs(r.behind - 40 * IN) < 0.1 and abs(r.height - 17.5 * IN) < 0.1
    )
    assert mine.dive == pytest.approx(129.66, abs=0.2) and mine.arm / IN == pytest.approx(
        39.531, abs=0.001
    )
    # closed form: caster swings by 1/arm length per length of travel, a hair more on a sloping arm
    assert math.degrees(abs(mine.caster)) * IN == pytest.approx(
        math.degrees(IN / (39.3 * IN)), rel=0.03
    )
    steeper = next(r for r in rows if abs(r.behind - 40 * IN) < 0.1 and r.height > mine.height)
    assert steeper.dive > mine.dive


def test_no_bushing_rates_brackets_what_hangs_on_them() -> None:
    j = job()
    bare = j._replace(readings={k: r for k, r in j.readings.items() if "_bush_" not in k.name})
    g = solve(bare)
    t = study(bare, g)
    assert t.bracketed and t.low is not None and t.high is not None
    at = t.at("roll, left up")
    k = Key("frame_joint", "L")
    assert t.low[k][at] < t.found[k][at] < t.high[k][at]
    exact = study(j, solve(j)).found[k][at]
    assert t.low[k][at] < exact < t.high[k][at]


def test_a_position_out_of_reach_says_why_and_the_rest_still_comes() -> None:
    j = job()
    t = study(j, solve(j), [Place("ride height", 0.0, 0.0), Place("too far", 45 * IN, 0.0)])
    assert list(t.lost) == ["too far"] and "cannot reach" in t.lost["too far"]
    assert t.found[Key("caster", "L")][0] / DEG == pytest.approx(5.171, abs=0.003)


def test_what_waits_is_named() -> None:
    j = job()
    cut = j._replace(
        readings={
            k: r
            for k, r in j.readings.items()
            if k.name not in ("steering.pitman_ball.x", "spring.rate")
        }
    )
    t = study(cut, solve(cut))
    assert t.pose is None and any(k.name == "steering.pitman_ball.x" for k in t.waits["linkage"])
    assert any(k.name == "spring.rate" for k in t.waits["coils"])
