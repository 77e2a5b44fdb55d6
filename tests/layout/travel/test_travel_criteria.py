"""What may end the travel, of outputs made up: signs, sides and limits as they are read."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from soapstone.layout.quantities import Key
from soapstone.layout.travel import limits as limits_file
from soapstone.layout.travel.limits import MOST, Criterion, criteria
from soapstone.layout.travel.outputs import KINDS

SOFT, HARD = np.array((1.0, 2.0, 3.0)), np.array((4.0, 5.0, 6.0))


def found(*keys: Key, bracketed: bool = False, **values: float) -> dict[str, Criterion]:
    """Criteria of outputs that are ``SOFT``, between it and ``HARD`` where it is bracketed."""
    fields = {Key(name.replace("__", "."), "C"): value for name, value in values.items()}
    fields |= {Key("spring.solid", "L"): 200.0} if "spring__free_length" in values else {}
    travel: Any = SimpleNamespace(
        found=dict.fromkeys(keys, SOFT),
        low=dict.fromkeys(keys, SOFT) if bracketed else None,
        high=dict.fromkeys(keys, HARD) if bracketed else None,
        pose=None,
        linkage=None,
    )
    solved: Any = SimpleNamespace(values=fields)
    return {each.name: each for each in criteria(travel, solved)}


@pytest.mark.parametrize("name", MOST)
def test_a_most_of_the_job_is_a_limit_on_its_output(name: str) -> None:
    """Both sides by name; the harder of both where bushings are not read; none without its
    reading.
    """
    field, says = MOST[name]
    for side, words in (("L", ", left"), ("R", ", right"), ("C", "")):
        key = Key(name, side)  # type: ignore[arg-type]  # one of the three
        (own,) = found(key, **{field.replace(".", "__"): 0.5}).values()
        assert (own.name, own.most, own.key) == (says + words, 0.5, key)
        assert own.value is SOFT and own.unit == KINDS[name][0] and own.shown == 1
        (worse,) = found(key, bracketed=True, **{field.replace(".", "__"): 0.5}).values()
        assert worse.value is HARD
    assert found(Key(name, "L")) == {}


def test_a_shaft_runs_in_and_out() -> None:
    """Shorter is the negative of longer: the softest bushings let it run in furthest."""
    key = Key("slip", "C")
    rows = found(key, bracketed=True, driveline__slip_compress=30.0, driveline__slip_extend=40.0)
    bottoms, out = rows["shaft's slip bottoms"], rows["shaft's slip runs out"]
    assert bottoms.value.tolist() == (-SOFT).tolist() and bottoms.most == 30.0
    assert out.value is HARD and out.most == 40.0 and len(rows) == 2
    assert list(found(key, driveline__slip_compress=30.0)) == ["shaft's slip bottoms"]


@pytest.mark.parametrize("margin", [None, 12.0])
def test_a_coil_binds_and_comes_loose(margin: float | None) -> None:
    """As long as it is solid, and a margin where one is asked for; a least, shown as one; loose at
    its free length; a side whose solid length is not there does not bind.
    """
    more = {} if margin is None else {"spring__bind_margin": margin}
    left, right = Key("coil.length", "L"), Key("coil.length", "R")
    rows = found(left, right, bracketed=True, spring__free_length=400.0, **more)
    assert set(rows) == {"coil binds, left", "coil loose, left", "coil loose, right"}
    binds = rows["coil binds, left"]
    assert binds.value.tolist() == (-SOFT).tolist() and binds.shown == -1
    assert binds.most == -200.0 - (margin or 0.0)
    loose = rows["coil loose, right"]
    assert loose.value is HARD and loose.most == 400.0 and loose.shown == 1


def values() -> Any:
    """Four inches up, six down, a tenth of a radian."""
    fields = {"travel.bump": 100.0, "travel.droop": 150.0, "travel.roll": 0.1}
    return SimpleNamespace(values={Key(name, "C"): value for name, value in fields.items()})


@pytest.mark.parametrize("posed", [True, False])
def test_criteria_of_ones_own_end_the_travel_too(
    monkeypatch: pytest.MonkeyPatch, posed: bool
) -> None:
    """One that grows with heave and roll is met where it passes its most, by a straight line; it
    governs where it comes first. Where nothing comes to rest none is asked for.
    """
    key = Key("gap", "C")
    monkeypatch.setattr(
        limits_file,
        "study",
        lambda _job, _solved, places: SimpleNamespace(
            found={}, low=None, high=None, linkage=None, pose=1 if posed else None, places=places
        ),
    )

    def more(travel: Any) -> list[Criterion]:
        far = np.array([abs(p.heave) + 1000.0 * abs(p.roll) for p in travel.places])
        return [Criterion("gap", far, 80.0, "length", key)]

    job: Any = None
    rows = limits_file.limits(job, values(), more)
    own = {row.path: row for row in rows if row.name == "gap"}
    if not posed:
        assert own == {} and {row.name for row in rows} == {"bump stop", "limit strap"}
        return
    assert own["bump"].at == pytest.approx(80.0) and own["droop"].at == pytest.approx(-80.0)
    assert own["bump"].there == pytest.approx(100.0) and own["droop"].there == pytest.approx(150.0)
    assert own["roll, right up"].at == pytest.approx(-0.08)
    assert own["roll, left up"].there == pytest.approx(100.0) and own["bump"].short
    assert all(row.governs is (row.name == "gap") for row in rows)
    stop = next(row for row in rows if row.name == "bump stop")
    assert (stop.at, stop.asked, stop.there, stop.most) == (100.0, 100.0, 100.0, 100.0)
    strap = next(row for row in rows if row.name == "limit strap")
    assert (strap.at, strap.there, strap.most) == (-150.0, 150.0, 150.0)


def test_nothing_governs_before_limits_are_compared() -> None:
    (stop,) = limits_file._by_design("bump", 100.0)
    (strap,) = limits_file._by_design("droop", -150.0)
    assert not stop.governs and not strap.governs and stop.shown == strap.shown == 1
    assert not list(limits_file._by_design("roll, left up", 0.1))


def test_paths_begin_where_the_truck_stands() -> None:
    """Heave without roll, roll without heave; on a stop from full bump on."""
    rows = limits_file.paths(values())
    for name, places in rows.items():
        start = 100.0 if "stop" in name else 0.0
        assert (places[0].heave, places[0].roll) == (start, 0.0)
        if name in ("bump", "droop"):
            assert all(place.roll == 0.0 for place in places)
        elif "stop" not in name:
            assert all(place.heave == 0.0 for place in places)
        assert [place.name for place in places] == [f"{name} {n}" for n in range(len(places))]
