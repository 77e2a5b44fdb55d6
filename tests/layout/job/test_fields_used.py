"""Every field that is asked for is used: a field that no code reads fails, and those that changed
nothing before are held one by one.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import soapstone
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.graph import Graph
from soapstone.layout.job.fields import FIELDS, pattern
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.quantities import Key
from soapstone.layout.setout import diagnoses, pinion, solve
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck, design
from trucks import DATA, NAMES

IN, DEG = 25.4, math.pi / 180
ROOT = Path(str(soapstone.__path__[0]))

# read outside the layout and the parts of the two demos: the words that read it, and the file they
# stand in
ELSEWHERE = {
    "job.chassis": ("job.chassis", "layout/job/load.py"),
    "job.title": ("job.title", "parts/documents/survey.py"),
    "job.by": ("job.by", "parts/documents/survey.py"),
    "job.date": ("job.date", "cli/building/build.py"),
    "job.note": ("job.note", "parts/documents/survey.py"),
    "units.tape": ("units.tape", "layout/job/reading.py"),
    "units.finder": ("units.finder", "layout/job/reading.py"),
    "wanted.hub_to_lip": ("wanted.hub_to_lip", "layout/setout/datum.py"),
    "frame.rake": ("frame.rake", "layout/setdown/truck.py"),
    "frame.measuring_width": ("frame.measuring_width", "layout/setdown/truck.py"),
    "frame.lip_to_rail_bottom": ("frame.lip_to_rail_bottom", "layout/setout/datum.py"),
    "frame.diagonal_b": ("frame.diagonal_b", "layout/setout/diagnoses_frame.py"),
    "frame.station.*.inside": ("frame.station.*.inside", "layout/job/closures.py"),
    "frame.station.*.outside": ("frame.station.*.outside", "layout/job/closures.py"),
    "frame.open_side": ("frame.open_side", "parts/pieces/existing.py"),
    "arms.offset_front": ("arms.offset_front", "layout/setout/arms.py"),
    "arms.offset_rear": ("arms.offset_rear", "layout/setout/arms.py"),
    "arms.offset_run": ("arms.offset_run", "layout/setout/arms.py"),
    "arms.joint_housing_width": ("arms.joint_housing_width", "parts/pieces/_arm_bracket_rules.py"),
    "arms.tube_stock": ("arms.tube_stock", "layout/job/load.py"),
    "arms.upper_tube_stock": ("arms.upper_tube_stock", "layout/job/load.py"),
    "track_bar.length": ("track_bar.length", "layout/setout/bar.py"),
    "axle.tire_diameter": ("axle.tire_diameter", "parts/placed/motion.py"),
    "axle.tire_width": ("axle.tire_width", "parts/placed/motion.py"),
    "driveline.slip_compress": ("driveline.slip_compress", "layout/travel/limits.py"),
    "driveline.slip_extend": ("driveline.slip_extend", "layout/travel/limits.py"),
    "spring.loaded_length": ("spring.loaded_length", "layout/setout/spring.py"),
    "travel.stop_x": ("travel.stop_x", "parts/pieces/bump_stop.py"),
    "travel.stop_y": ("travel.stop_y", "parts/pieces/bump_stop.py"),
    "travel.obstacle.*.file": ('f"{row}.file"', "cli/building/obstacle_files.py"),
    "travel.obstacle.*.front": ('f"{row}.front"', "layout/job/solid_file.py"),
    "travel.obstacle.*.up": ('f"{row}.up"', "layout/job/solid_file.py"),
    **{
        f"units.{kind}": ("value, self.units", "layout/job/load.py")
        for kind in ("length", "angle", "force", "rate", "torsion", "mass")
    },
}
OTHERS = {"frame.steel", "arms.tube_steel"}
"""Waiting for the strengths that take them."""


class Noted(dict[Any, Any]):
    """A table that notes what is asked of it by name."""

    def __init__(self, rows: Any, read: set[str]) -> None:
        super().__init__(rows)
        self.noted = read

    def _note(self, k: Any) -> None:
        self.noted.add(k if isinstance(k, str) else k.name)

    def __getitem__(self, k: Any) -> Any:
        self._note(k)
        return super().__getitem__(k)

    def get(self, k: Any, default: Any = None) -> Any:
        self._note(k)
        return super().get(k, default)

    def __contains__(self, k: object) -> bool:
        self._note(k)
        return super().__contains__(k)


@cache
def read_in_the_demos() -> frozenset[str]:
    """Patterns of the names read while both demos are set out, made and held against their
    loads.
    """
    from soapstone.cli.building.travel_report import cycle_of

    read: set[str] = set()
    for name in NAMES:
        j = of_table(tomllib.loads((DATA / f"{name}.toml").read_text()))
        j = j._replace(words=Noted(j.words, read))
        g = solve(j)
        read |= {k.name for k in g.system.keys}
        g.values = Noted(g.values, read)
        noted = j._replace(readings=Noted(j.readings, read))
        diagnoses.diagnose(noted, g)
        truck = design(g, j.words, j.pins, j.chassis, default_shop())
        strength(truck, g, default_shop())
        cycle_of(noted, g, truck, default_shop())
    return frozenset(map(pattern, read))


@pytest.mark.parametrize("name", [n for n in FIELDS if n not in OTHERS])
def test_a_field_no_code_reads_is_not_asked_for(name: str) -> None:
    if name in read_in_the_demos():
        return
    assert name in ELSEWHERE, "nothing reads it: use it, or take it out of the job file"
    words, file = ELSEWHERE[name]
    assert words in (ROOT / file).read_text()


def table() -> dict[str, Any]:
    return tomllib.loads((DATA / "demo.toml").read_text())


def job(**change: Any) -> Job:
    """The demo with fields changed: ``spring__pigtail="none"``."""
    t = table()
    for path, value in change.items():
        *steps, last = path.split("__")
        at: Any = t
        for word in steps:
            at = at.setdefault(word, {})
        at[last] = value
    return of_table(t)


def made(j: Job) -> Truck:
    return design(solve(j), j.words, j.pins, j.chassis)


@pytest.mark.parametrize(("hand", "turn"), [("right hand", 1), ("left hand", -1), ("none", 0)])
def test_the_pig_tail_stands_at_the_rear_and_winds_as_the_coil_does(hand: str, turn: int) -> None:
    """Both sides take the same coil: going up, a right-hand helix turns counterclockwise seen from
    above (the right-hand rule).
    """
    t = made(job(spring__pigtail=hand))
    seats = [p for p in t.singles if p.member.code.startswith("LS1.")]
    assert sum(p.quantity for p in seats) == 2 or len(seats) == 2
    for p in seats:
        found = [s for m in p.marks if m.role == "pig-tail" for s in m.strokes]
        assert bool(found) == bool(turn)
        if not turn:
            assert "pig-tail" not in p.member.ref
            continue
        assert f"{hand} pig-tail" in p.member.ref
        line, arc = ([p.member.place.out((x, y, 0.0)) for x, y in s] for s in found)
        middle = p.member.place.out((0.0, 0.0, 0.0))
        assert all(q[0] < middle[0] for q in line) and line[0][1] == pytest.approx(middle[1])
        (x0, y0), (x1, y1) = ((q[0] - middle[0], q[1] - middle[1]) for q in (arc[0], arc[-1]))
        assert math.copysign(1, x0 * y1 - y0 * x1) == turn


def test_tubes_by_their_stock_key() -> None:
    known = [t.key for t in default_shop().tubes if 50 < t.od < 80]
    key = known[-1]
    j = job(arms__tube_stock=key)
    assert j.pins["arms"] == {"tube": key}
    assert job(arms__upper_tube_stock=key).pins["upper_arms"] == {"tube": key}
    with pytest.raises(SoapstoneError, match="name the tube in one place"):
        job(arms__tube_stock=key, pin={"arms": {"tube": "other"}})
    assert job(arms__tube_stock=key, pin={"arms": {"tube": key}}).pins["arms"] == {"tube": key}


def test_the_shop_s_own_tape_and_finder() -> None:
    """What was read with them takes their plus-minus; what was read with a caliper keeps its own,
    and a reading's own word goes first.
    """
    plain, own = job(), job(units__tape=0.125, units__finder=0.1)
    for k, r in own.readings.items():
        f, was = FIELDS[pattern(k.name)], plain.readings.get(k)
        if was is None:
            continue
        want = {"tape": 0.125 * IN, "finder": 0.1 * DEG}.get(f.tool, was.half_width)
        assert r.half_width == pytest.approx(want), k
    assert {f.tool for f in FIELDS.values()} == {"", "tape", "finder"}
    k = Key("spring.free_length", "C")
    said = job(units__tape=0.125, spring__free_length={"value": "19 3/4", "plus_minus": "1/32"})
    assert said.readings[k].half_width == pytest.approx(IN / 32)
    z = Key("seat.upper.z", "L")
    assert solve(own).half_width(z) > solve(plain).half_width(z)
    fixed = job(units__tape=0.125, fixed={"arm.tube": {"left": "35 3/8"}}).fixed
    assert fixed[Key("arm.tube", "L")].half_width == pytest.approx(0.125 * IN)


def test_a_channel_has_no_part_on_its_open_face() -> None:
    """Where the web stands the parts are made; on the open face they are refused by name; without
    the word everything waits.
    """
    for side, stops, stands in (("inboard", "TB", "CS"), ("outboard", "CS", "TB")):
        t = made(job(frame__section="channel", frame__open_side=side))
        codes = {
            w.rpartition(" ")[2].partition(".")[0]
            for w, why in t.failed.items()
            if "channel open" in why
        }
        assert stops in codes and stands not in codes, t.failed
        rails = [m for m in t.assembly.members if m.code.startswith("rail1.")]
        assert rails
        for m in rails:
            ys = [e.start[0] for e in m.body.solid.outline if e.name.startswith("in_")]
            whole = [e.start[0] for e in m.body.solid.outline]
            web = max(whole) if side == "inboard" else min(whole)
            assert min(abs(y - web) for y in ys) < 5 < max(abs(y - web) for y in ys)
    t = made(job(frame__section="channel"))
    assert any(Key("frame.open_side", "C") in keys for keys in t.waiting.values())
    assert not any(m.code.startswith("CS") for m in t.assembly.members)


def axes(j: Job) -> tuple[float, float, float, float]:
    g = solve(j)

    def v(name: str) -> float:
        return g.values[Key(name, "C")]

    return v("pinion.up"), v("driveline.output_axis_down"), v("pinion.working"), v("shaft.transfer")


def test_single_joints_stand_the_pinion_parallel_to_the_output() -> None:
    """Two joints cancel at equal angles with their end shafts parallel (Fischer and Paul, ASME):
    equal here to 1e-9 of a turn.
    """
    wide = {"wanted__caster_low": 0, "wanted__caster_high": 12}
    up, down, one, two = axes(job(driveline__type="single", **wide))
    assert up == pytest.approx(down, abs=1e-9) and one == pytest.approx(two, abs=1e-9)
    up, down, one, two = axes(
        job(driveline__type="single", driveline__output_axis_down=1.5, **wide)
    )
    assert up == pytest.approx(1.5 * DEG, abs=1e-9) and one == pytest.approx(two, abs=1e-9)
    # speed of the pinion over that of the output through a whole turn (single-joint law twice):
    # constant only if the angles are equal
    turn = [math.tan(a) for a in (0.3, 0.9, 1.4)]
    for t in turn:
        middle = math.atan(t / math.cos(two))
        assert math.tan(middle) * math.cos(one) == pytest.approx(t, rel=1e-9)


def test_single_joints_and_the_caster_window() -> None:
    """The window is met within a degree of parallel, a joint maker's rule; beyond that the pinion
    stays parallel and the miss is said.
    """
    level = 9.75
    j = job(driveline__type="single", wanted__caster_low=4, wanted__caster_high=6)
    up, down, one, two = axes(j)
    assert math.degrees(level * DEG - up) == pytest.approx(6, abs=1e-6)
    assert abs(one - two) <= pinion.APART
    j = job(driveline__type="single", wanted__caster_low=7.5, wanted__caster_high=9)
    up, down, *_ = axes(j)
    assert up == pytest.approx(down, abs=1e-9)
    (d,) = [d for d in diagnoses.diagnose(j, solve(j)) if d.code == "pinion_caster"]
    assert "6.2 deg" in d.sentence and "7.5 deg" in d.sentence and "1.3 deg" in d.cure
    codes = {d.code for d in diagnoses.diagnose(j, solve(j))}
    assert "pinion_wish_unused" in codes and "pinion_working" not in codes


def test_the_bulge_ends_where_the_cut_does() -> None:
    t = table()
    t["frame"]["notch"]["x_last"] = {"both": 2}
    j = of_table(t)
    found = [d for d in diagnoses.diagnose(j, solve(j)) if d.code == "bulge_beyond_cut"]
    assert len(found) == 2 and "1/2 in proud at 3 in" in found[0].sentence
    assert "1 1/16 in further" in found[0].cure
    j = job()
    assert not [d for d in diagnoses.diagnose(j, solve(j)) if d.code == "bulge_beyond_cut"]


@cache
def solved_demo() -> Graph:
    return solve(job())


def fixed_names() -> Iterator[tuple[str, bool]]:
    from soapstone.layout.setout import names

    for name, (_, sided) in names().items():
        yield name, sided


VALUES = (0, -1, "59 in", "3 deg", 1e308, "1e-9", 8, "200 lbf")


@pytest.mark.parametrize(("name", "sided"), list(fixed_names()))
def test_any_result_may_be_given_and_nothing_breaks(name: str, sided: bool) -> None:
    """A fault in words, or a layout in which the value moves something, holds as measured, or is
    named as a conflict.
    """
    from soapstone.layout.setout import given_and_solved, surety

    for value in VALUES:
        try:
            j = job(fixed={name: {"both": value} if sided else value})
        except SoapstoneError as e:
            assert all(f.field.startswith("fixed.") and f.remedy for f in e.faults)
            continue
        g = solve(j)
        said = diagnoses.diagnose(j, g)
        given_and_solved(g)
        [surety.sentence(a) for a in surety.answers(g)]
        surety.take_again(g)
        k = Key(name, "L" if sided else "C")
        free = solved_demo().values.get(k)
        if free is None or g.role(k) == "waiting" or not g.got.dropped:
            continue
        if abs(free - j.fixed[k].value) > 2 * solved_demo().half_width(k) + j.fixed[k].half_width:
            assert g.gave_way() or any(d.severity == "conflict" for d in said), (name, value)


@pytest.mark.parametrize(
    "name", ["seat.above_rail", "stop.spacer", "rail.coil.slope_side", "spring.wedge"]
)
def test_a_leaf_given_off_its_value_is_never_silent(name: str) -> None:
    """Nothing follows from these: given further off than their own plus-minus nothing would move,
    so it is a conflict in words.
    """
    k = Key(name, "L")
    g = solve(job())
    half = {"length": IN / 16, "angle": 0.25 * DEG}.get(g.unit(k), 0.0)
    off = 1.9 * half or 0.01
    value = g.values[k] + off
    typed = f"{value} mm" if g.unit(k) == "length" else f"{value} rad" if half else value
    j = job(fixed={name: {"left": typed}})
    g = solve(j)
    assert g.gave_way() or [
        d for d in diagnoses.diagnose(j, g) if d.severity == "conflict" and k in d.keys
    ]
