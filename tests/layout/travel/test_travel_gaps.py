"""Gaps between round bars and boxes against the reference chassis; clearance that moves as what it
measures moves.

Source: reference gaps of the invented chassis (tolerance 0.003 in).
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from linkages import DEG, IN
from soapstone.layout.arrays import Array
from soapstone.layout.quantities import Key
from soapstone.layout.setout import solve
from soapstone.layout.travel import Place, study
from soapstone.layout.travel.gear import on_axle
from soapstone.layout.travel.limits import limits
from soapstone.layout.travel.turning import turn
from soapstone.parts.geometry.contours import rectangle
from soapstone.parts.geometry.prism import Prism
from soapstone.parts.model.vectors import Frame
from soapstone.parts.placed.clearance import Hits, from_axis, hits, positions, segments
from soapstone.parts.placed.motion import RoundBar
from soapstone.parts.stock import default_shop
from trucks import job, reference_job, truck

GAPS = list(csv.DictReader((Path(__file__).parents[2] / "published" / "demo_gaps.csv").open()))


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
            return q.d[i] @ (p - lk.center) + q.p[i]

        def knuckle(n: int, p: Array, i: int = i) -> Array:
            steered = turn(gg.steering.kingpin[n] * t.found[Key("drag.steer", "C")][i])
            return (
                q.d[i] @ (gg.steering.at[n] + steered @ (p - gg.steering.at[n]) - lk.center)
                + q.p[i]
            )

        b: dict[str, object] = {
            "track_bar": RoundBar("", "", on(lk.bar_axle), lk.bar_frame, c("track_bar.od") / 2),
            "axle_tube": RoundBar(
                "",
                "",
                on(lk.center + np.array((0, 27 * IN, 0))),
                on(lk.center - (0, 27 * IN, 0)),
                c("axle.tube_diameter") / 2,
            ),
            "diff": RoundBar(
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
            "drag_link": RoundBar(
                "",
                "",
                knuckle(1, gg.steering.ball),
                gg.steering.pitman,
                c("steering.drag_link_od") / 2,
            ),
            "tie_rod": RoundBar(
                "",
                "",
                knuckle(0, gg.steering.tie[0]),
                knuckle(1, gg.steering.tie[1]),
                c("steering.tie_rod_od") / 2,
            ),
            "shaft": RoundBar(
                "", "", on(gg.shaft.pinion), gg.shaft.output, c("driveline.shaft_od") / 2
            ),
        }
        for n, s in enumerate("LR"):
            hang = lk.joint[n] + q.m[i, n] @ (lk.upper[n] - lk.joint[n])
            b[f"upper_{s}"] = RoundBar(
                "", "", hang, hang + q.g[i, n] @ (lk.mount[n] - lk.upper[n]), 0.625 * IN
            )
            b[f"coil_{s}"] = RoundBar(
                "", "", on(gg.coils.lower[n]), gg.coils.upper[n], gg.coils.radius
            )
            b[f"arm_{s}"] = RoundBar("", "", on(lk.bolt[n]), lk.joint[n], 1.0 * IN)
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
    )


@pytest.mark.parametrize("pair", [c for c in GAPS[0] if "|" in c])
def test_gap_of_round_bars_and_boxes(pair: str) -> None:
    one, two = pair.split("|")
    for row, b in zip(GAPS, bodies()[0], strict=True):
        r, s = b[one], b[two]
        assert isinstance(r, RoundBar)
        gap = (
            from_axis(r, s.signed)[0]
            if isinstance(s, Prism)
            else segments(r.a, r.b, s.a, s.b)[0] - r.radius - s.radius
        )
        assert gap / IN == pytest.approx(float(row[pair]), abs=0.003), row


def test_an_obstacle_moved_an_inch_changes_its_gap_by_an_inch() -> None:
    t, _g = truck()
    j = job()
    shop = default_shop()

    def gap(dz: float) -> float:
        # a lid wider than the diff, so that the nearest way is straight up
        to = {
            "travel.obstacle.1.center.z": 33 * IN + dz,
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
    key = Key("travel.obstacle.1.center.z", "C")
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
    key = Key("travel.obstacle.1.center.z", "C")
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
