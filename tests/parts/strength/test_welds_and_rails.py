"""Welds from everyday ranges to tacks, and the plated rail along its plate.

Sources: the clauses' own (tests/published); a channel's section by its closed form.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from soapstone.layout.units import IN
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.evaluate import rows
from soapstone.parts.strength.result import strength
from trucks import truck


def test_everyday_ranges_are_differences_of_everyday_states() -> None:
    """Nothing moves between two equal states; twice the range, twice the stress; categories and
    thresholds as in the standard (published tests).
    """
    from soapstone.layout.loads.cases import EVERYDAY, both_hands
    from soapstone.layout.loads.forces import forces
    from soapstone.parts.strength import everyday as life
    from soapstone.parts.strength.work import Work

    t, g = truck()
    s = strength(t, g, default_shop())
    w = Work(t, default_shop(), g.values, s.forces)
    list(rows(w))
    still = forces(g.values, (EVERYDAY[0], EVERYDAY[0]))
    assert all(c.demand == 0 for c in life.rows(w, still))
    ranges = [c for c in s.checks if "every day" in c.what]
    assert (
        len(ranges) > 20
        and not any(c.must for c in ranges)
        and all(c.case.startswith("everyday") for c in ranges)
    )
    tired = {c.part for c in ranges if c.verdict != "ok"}
    assert not tired, "sizes grow until what is used every day lasts"
    small = forces(
        g.values,
        tuple(
            c._replace(factor=c.factor / 2)
            for c in both_hands(EVERYDAY)
            if c.name in ("road twist",)
        ),
    )
    large = forces(g.values, tuple(c for c in both_hands(EVERYDAY) if c.name in ("road twist",)))
    for a, b in zip(life.rows(w, small), life.rows(w, large), strict=True):
        if b.demand > 1:
            assert b.demand == pytest.approx(2 * a.demand, rel=0.02), b.what


def test_tacks_hold_twice_the_standing_load() -> None:
    t, g = truck()
    rows = [c for c in strength(t, g, default_shop()).checks if c.what.startswith("tacks for")]
    assert len(rows) > 10 and all(0 < c.utilisation < 1 for c in rows)
    assert any(c.part == "CM1.L" and "8 of 1 in" in c.what for c in rows)


@pytest.mark.parametrize("name", ["demo", "demo_uneven"])
def test_rail_stations_along_the_plate(name: str) -> None:
    """The section is never less than the bare rail, and plate on sound wall is never less than over
    the cut.
    """
    from soapstone.parts.strength import rail_stations
    from soapstone.parts.strength.work import Work

    t, g = truck(name)
    w = Work(t, default_shop(), g.values, strength(t, g, default_shop()).forces)
    for s in "LR":
        rows = rail_stations.stations(w, s)
        assert [r.ahead for r in rows] == sorted((r.ahead for r in rows), reverse=True) and len(
            rows
        ) == 7
        assert all(
            r.ratio[k] >= 0.999 for r in rows for k in ("vertical", "held", "lateral", "torsion")
        )
        sound = next(r for r in rows if "sound wall" in r.what).ratio
        cut = next(r for r in rows if "under the coil" in r.what).ratio
        assert all(sound[k] >= cut[k] - 1e-9 for k in cut if not k.startswith("cut "))


def test_every_bracket_has_tacks_and_a_ring_has_them_opposite() -> None:
    t, g = truck()
    s = strength(t, g, default_shop())
    plates = {
        w.on
        for w in t.assembly.welds
        if isinstance(next(m for m in t.assembly.members if m.code == w.on).body, Plate)
    }
    assert plates == {k.weld.on for k in s.tacks} and len({k.weld.id for k in s.tacks}) == len(
        s.tacks
    )
    assert all(k.pieces == 2 for k in s.tacks if k.weld.edges in (("rim",), ("bore",)))


def test_a_stitch_too_short_or_a_fillet_too_small_fails() -> None:
    """AISC 360-16 J2.2b: a stitch is at least 1 1/2 in; table J2.4 note for cyclic loads (AWS
    D1.1): 3/16 in on 3/16 to 1/4 in steel.
    """
    from soapstone.parts.strength.fillets import limits
    from soapstone.parts.strength.work import Work

    t, g = truck()
    fine = list(limits(Work(t, default_shop(), g.values, ())))
    assert len(fine) > 80 and all(c.verdict in ("ok", "confirm") for c in fine)
    spoilt = {"coil.ring.L": {"run": IN}, "coil.mount.back.L": {"leg": IN / 8}}
    welds = tuple(w._replace(**spoilt.get(w.id, {})) for w in t.assembly.welds)
    bad = {
        c.part: c
        for c in limits(
            Work(
                t._replace(assembly=t.assembly._replace(welds=welds)), default_shop(), g.values, ()
            )
        )
        if c.utilisation > 1 + 1e-9
    }
    assert set(bad) == {"CM5.L", "CM1.L"}
    assert bad["CM5.L"].demand == pytest.approx(1.5 * IN) and bad["CM1.L"].demand == pytest.approx(
        3 / 16 * IN, rel=1e-3
    )


def test_the_stations_of_a_channel_are_those_of_a_channel(tmp_path: Path) -> None:
    """An open channel with a bend of 0.3 in: no closed cell is printed, the section at the cut is
    that of the channel held in test_section against sectionproperties, and what would be welded to
    an inner side it has not got is refused by name.
    """
    from soapstone.layout.job_file import load
    from soapstone.parts.geometry.rail_section import RailSection, restored
    from trucks import DATA, truck_of

    text = (DATA / "demo.toml").read_text()
    job = tmp_path / "j.toml"
    job.write_text(
        text.replace('section = "boxed"', 'section = "channel"\nopen_side = "inboard"').replace(
            "wall = { both = 0.1575 }", "wall = { both = 0.1575 }"
        )
    )
    t, g = truck_of(load(job))
    s = strength(t, g, default_shop())
    rail = RailSection(
        width=2.75 * 25.4, height=5.75 * 25.4, wall=4.0005, shape="channel", radius=0.3 * 25.4
    )
    assert len(s.stations["L"]) == 7
    for q in s.stations["L"]:
        assert "torsion" not in q.ratio and "cut torsion" not in q.ratio
    at = next(q for q in s.stations["L"] if "under the coil" in q.what)
    plate = next(p for p in t.singles if p.id == "CS1.L").member.body
    thick = default_shop().plate(plate.stock).thickness
    low, high = (f(e.start[1] for e in plate.outline) for f in (min, max))
    want = restored(rail, (0.0, rail.height), thick, (low, high))
    assert at.ratio["cut vertical"] == pytest.approx(want["cut vertical"], rel=1e-3)
    assert at.ratio["vertical"] == pytest.approx(want["vertical"], rel=1e-3)
    boxed = restored(replace(rail, shape="boxed"), (0.0, rail.height), thick, (low, high))
    assert abs(want["cut vertical"] - boxed["cut vertical"]) > 0.02
    refused = {
        who.partition(" TB")[0].partition(" ST")[0]
        for who, why in t.failed.items()
        if "channel open" in why
    }
    assert refused == {"track-bar frame bracket", "shock and strap tabs"}


def test_a_strip_counts_at_the_stations_as_wide_as_it_is_made(tmp_path: Path) -> None:
    """Past a corner of 1/2 in by 1/2 in (practice): 1 in inboard of the rail's side, where four
    thicknesses of 3/16 are 3/4 in. The section is that of test_section.
    """
    from soapstone.layout.job_file import load
    from soapstone.parts.geometry.rail_section import restored
    from soapstone.parts.strength import rail_stations
    from soapstone.parts.strength.work import Work
    from trucks import DATA, shaped

    path, shop = tmp_path / "j.toml", default_shop()
    text = (DATA / "demo.toml").read_text()
    path.write_text(text.replace('corner_radius = "0.3"', 'corner_radius = "0.5"'))
    t, g = shaped(load(path))
    work = Work(t, shop, g.values, ())
    for side in "LR":
        known = rail_stations._rail(work, side)
        assert known is not None
        rail, cut = known
        plate = next(p for p in t.singles if p.id == f"CS1.{side}").member.body
        strip = next(p for p in t.singles if p.id == f"RS1.{side}").member.body
        assert isinstance(plate, Plate) and isinstance(strip, Plate)
        thick = shop.plate(plate.stock).thickness
        wide = max(e.start[1] for e in strip.outline) - min(e.start[1] for e in strip.outline)
        assert wide - thick == pytest.approx(max(4 * thick, IN)) == pytest.approx(IN)
        low, high = (f(e.start[1] for e in plate.outline) for f in (min, max))
        lies = {"strip": (thick, IN), "both": True}
        want = restored(rail, (cut["z_low"], cut["z_high"]), thick, (low, high), **lies)
        rows = rail_stations.stations(work, side)
        at = next(q for q in rows if "under the coil" in q.what)
        assert at.ratio == pytest.approx(want, rel=1e-6)
