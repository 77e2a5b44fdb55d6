"""Plus-minus of the answers: root sum of squares, Monte Carlo, slopes against solving again.

Source: NIST/SEMATECH e-Handbook 2.5.4, and random readings drawn within their plus-minus.
"""

from __future__ import annotations

import math
import random

import pytest
from soapstone.layout import units
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.quantities import Key, Reading, Side
from soapstone.layout.setout import solve, surety
from trucks import given

IN = units.IN


def test_plus_minus_of_a_sum_of_tapes(job: Job, solved: Graph) -> None:
    # root sum of squares with u = a / sqrt 3 [NIST/SEMATECH e-Handbook 2.5.4]
    leaves = [job.readings[k].half_width for k in solved.rests_on(Key("axle.z_bump", "C"))]
    assert solved.half_width(Key("axle.z_bump", "C")) == pytest.approx(
        math.sqrt(sum(a * a / 3 for a in leaves)), rel=1e-6
    )


def roughly(job: Job) -> Job:
    """Every length within 1/16 in, every angle within 0.25 deg, rate 3 %, axle load 1 %, unsprung 3
    %.
    """
    shares = {"spring.rate": 0.03, "spring.axle_load": 0.01, "spring.unsprung": 0.03}

    def half(k: Key, r: Reading) -> float:
        return (
            shares[k.name] * r.value
            if k.name in shares
            else {"length": IN / 16, "angle": math.radians(0.25)}.get(_kind(k), 0.0)
        )

    return job._replace(
        readings={k: r._replace(half_width=half(k, r)) for k, r in job.readings.items()}
    )


def _kind(k: Key) -> str:
    from soapstone.layout.job.fields import field_of

    return "" if k.name.startswith("wanted.") else field_of(k.name).kind


def test_stated_uncertainty_of_the_demo(job: Job) -> None:
    """Standard uncertainty u stated with the reference chassis.

    Arm tube 0.07 in; joint spacing 0.21 in, 88 % of it from the slant read as an angle; upper tube
    0.08 in; coil seat 0.15 in.
    """
    g = solve(roughly(job))

    def u(name: str, side: Side = "L") -> float:
        return g.half_width(Key(name, side)) / IN

    assert u("arm.tube") == pytest.approx(0.07, abs=0.01)
    assert u("joint.spacing", "C") == pytest.approx(0.21, abs=0.02)
    slopes = g.gradient(Key("joint.spacing", "C"))
    slant = (
        sum(slopes[k] * g.readings[k].half_width for k in slopes if k.name == "arms.plan_slant")
        ** 2
        / 3
    )
    assert slant / g.half_width(Key("joint.spacing", "C")) ** 2 == pytest.approx(0.88, abs=0.05)
    assert u("upper.tube") == pytest.approx(0.08, abs=0.01)
    assert u("seat.upper.z") == pytest.approx(0.15, abs=0.02)


def test_plus_minus_by_monte_carlo(job: Job) -> None:
    """u by the Jacobian against the spread of 400 solved trucks, readings drawn evenly in their
    half-widths (standard error 3.5 %).
    """
    job = roughly(job)
    g = solve(job)
    draw = random.Random(7)
    watched = [
        Key("arm.tube", "L"),
        Key("upper.tube", "R"),
        Key("joint.spacing", "C"),
        Key("seat.upper.z", "L"),
        Key("bar.length", "C"),
        Key("shaft.length", "C"),
        Key("caster.ride", "C"),
    ]
    rows = []
    for _ in range(400):
        errors: dict[object, float] = {}
        drawn = {
            k: r._replace(
                value=r.value
                + r.half_width
                * errors.setdefault(k.name if k.name in job.both else k, draw.uniform(-1, 1))
            )
            for k, r in job.readings.items()
        }
        one = solve(job._replace(readings=drawn))
        rows.append([one.value(k) for k in watched])
    for k, column in zip(watched, zip(*rows, strict=True), strict=True):
        mean = sum(column) / len(column)
        spread = math.sqrt(sum((x - mean) ** 2 for x in column) / (len(column) - 1))
        assert g.half_width(k) == pytest.approx(spread, rel=0.15), k


def test_gradient_equals_solving_again(job: Job) -> None:
    """Implicit derivatives against differences of whole solutions, forward and with a tube
    given.
    """
    for fixed in ({}, given("arm.tube", "L", 35 * IN)):
        g = solve(job, fixed)
        for name, side in (
            ("upper.cc", "L"),
            ("seat.upper.z", "R"),
            ("arm.tube", "R"),
            ("bar.frame.z", "C"),
        ):
            slopes = g.gradient(Key(name, side))
            for k in sorted(slopes)[::3]:
                if k in fixed:
                    continue
                h = 1e-4 * max(1.0, abs(g.readings[k].value))
                ends = [
                    solve(
                        job._replace(
                            readings={
                                **job.readings,
                                k: job.readings[k]._replace(value=job.readings[k].value + s * h),
                            }
                        ),
                        fixed,
                    ).value(Key(name, side))
                    for s in (1, -1)
                ]
                assert slopes[k] == pytest.approx(
                    (ends[0] - ends[1]) / (2 * h), rel=2e-4, abs=1e-6
                ), (name, k)


def test_a_plus_minus_is_never_printed_smaller_than_it_is(job: Job) -> None:
    """To the next sixteenth, a sixteenth as it is; each answer once a side, or once."""
    for sixteenths, said in (
        (0.0, "1/16"),
        (0.2, "1/16"),
        (1, "1/16"),
        (1.1, "1/8"),
        (2, "1/8"),
        (2.9, "3/16"),
    ):
        assert surety.doubt(sixteenths * IN / 16, "length") == f"{said} in"
    found = surety.answers(solve(job))
    sides: dict[str, list[Side]] = {}
    for a in found:
        sides.setdefault(a.key.name, []).append(a.key.side)
    once = {"joint.spacing", "pinion.up", "caster.ride", "bar.length", "bar.frame.z"}
    once |= {"shaft.length"}
    assert sides == {name: ["C"] if name in once else ["L", "R"] for name in sides}
    assert once < sides.keys() and {"arm.tube", "upper.tube", "arm.joint.y"} < sides.keys()


def test_caster_has_one_plus_minus_wherever_it_is_printed(job: Job) -> None:
    """The layout's rows, the answers and explain: as the truck is built, the upper arms' length and
    the axle's own caster reading together.
    """
    from soapstone.layout.explain import explained
    from soapstone.layout.setout import given_and_solved

    g = solve(job)
    for name in ("caster.ride", "pinion.up"):
        k = Key(name, "C")
        x = next(a.plus_minus for a in surety.answers(g) if a.key == k)
        assert next(r.plus_minus for r in given_and_solved(g) if r.key == k) == x
        assert f"±{surety.doubt(x, 'angle')}" in explained(g, k)[0]
    arm = g.values[Key("upper.pinion_rate", "L")] * g.half_width(Key("upper.cc", "L"))
    own = g.half_width(Key("axle.caster_at_level_pinion", "C"))
    assert surety.plus_minus(g, Key("caster.ride", "C")) == pytest.approx(2 * math.hypot(arm, own))


def test_what_takes_up_a_doubt_is_half_the_thread_that_may_be_turned(job: Job) -> None:
    """A joint at mid-thread goes half of thread less engagement each way; a slip joint as far as
    its nearer end; the mount an inch and a half (judgment); a bar bolt to bolt goes nowhere.
    """
    g = solve(roughly(job))
    by = {a.key: a for a in surety.answers(g)}

    def read(name: str) -> float:
        return g.value(Key(name, "C"))

    lower = (read("arms.joint_thread") - read("arms.joint_engagement")) / 2
    upper = (read("arms.upper_joint_thread") - read("arms.upper_joint_engagement")) / 2
    more = solve(job, given("pinion.up", "C", g.value(Key("pinion.up", "C")) + 1e-3, 0.0))
    slope = 1e-3 / (more.value(Key("upper.cc", "L")) - g.value(Key("upper.cc", "L")))
    want = {
        "arm.tube": lower,
        "upper.tube": upper,
        "pinion.up": upper * abs(slope),
        "caster.ride": upper * abs(slope),
        "shaft.length": min(read("driveline.slip_compress"), read("driveline.slip_extend")),
        "seat.upper.z": 1.5 * IN,
    }
    for key, a in by.items():
        assert ("; mostly from " in surety.sentence(a)) is bool(a.behind)
        assert "mostly" not in surety.sentence(a._replace(behind=()))
        if key.name in want:
            assert a.room == pytest.approx(want[key.name], rel=0.03), key  # of a truck set out anew
            ends = (a.room, math.nextafter(a.room, math.inf))
            assert [a._replace(plus_minus=x).covered for x in ends] == [True, False]
            assert "covered" in surety.sentence(a) and (a.adjuster in surety.sentence(a))
            assert "NOT covered" in surety.sentence(a._replace(plus_minus=2 * a.room))
            assert "NOT" not in surety.sentence(a._replace(plus_minus=a.room / 2))
        else:
            assert math.isnan(a.room) and a.covered is None and "covered" not in surety.sentence(a)
    assert want.keys() <= {key.name for key in by}


@pytest.mark.parametrize("times", [0.5, 1.0, 1.6, 2.5, 4.0])
def test_what_is_worth_taking_again_by_its_definition(job: Job, times: float) -> None:
    """Shares of u squared (NIST/SEMATECH 2.5.4), the three largest over a fiftieth of each answer
    that is not small and not covered with half its room to spare, added up a reading.
    """
    rough = roughly(job)
    rows = {k: r._replace(half_width=times * r.half_width) for k, r in rough.readings.items()}
    g = solve(rough._replace(readings=rows))
    carried: dict[Key, float] = {}
    answers: dict[Key, set[Key]] = {}
    for a in surety.answers(g):
        least = IN / 8 if a.unit == "length" else math.radians(0.25)
        if a.plus_minus < least or a.plus_minus < a.room / 2:
            continue
        slopes = g.gradient(surety.cause(a.key))
        squares = {k: (s * g.readings[k].half_width) ** 2 / 3 for k, s in slopes.items()}
        for k in sorted(squares, key=lambda k: -squares[k])[:3]:
            if squares[k] > sum(squares.values()) / 50:
                carried[k] = carried.get(k, 0.0) + squares[k] / sum(squares.values())
                answers.setdefault(k, set()).add(a.key)
    found = surety.take_again(g)
    assert len(found) == min(4, len(carried)) and (times < 1.0 or len(carried) > 4)
    assert sorted(carried.values(), reverse=True)[:4] == pytest.approx([x for _, x, _ in found])
    for k, x, keys in found:
        assert carried[k] == pytest.approx(x) and answers[k] == set(keys)
    exact = job._replace(readings={k: r._replace(half_width=0.0) for k, r in job.readings.items()})
    assert surety.take_again(solve(exact)) == ()
    assert surety.behind(solve(exact), Key("arm.tube", "L")) == ()


def test_what_a_reading_twice_as_doubtful_would_do(job: Job) -> None:
    """As if it had been read within twice as much: solved again."""
    own = roughly(job)
    g = solve(own)
    for names in (("arms.joint_behind",), ("spring.rate", "spring.axle_load")):
        rows = [r for k, r in own.readings.items() if k.name in names]
        wider = {k: r._replace(half_width=2 * r.half_width) for k, r in own.readings.items()}
        kept = {k: wider[k] if k.name in names else r for k, r in own.readings.items()}
        again = solve(own._replace(readings=kept))
        for name, side in (("arm.tube", "L"), ("seat.upper.z", "L"), ("caster.ride", "C")):
            key = Key(name, side)
            told = surety.plus_minus(g, key, rows)
            assert told == pytest.approx(surety.plus_minus(again, key), rel=1e-6)
    assert surety.plus_minus(g, Key("seat.upper.z", "L"), rows) > 1.01 * surety.plus_minus(
        g, Key("seat.upper.z", "L")
    )
