"""What is kept of a truck serves every truck with the same readings."""

from __future__ import annotations

import pickle

import pytest
from designs import designed_of, looked_at, sizes_of
from shared import sharing
from soapstone.cli.building.cache import key_of
from soapstone.cli.building.design import sized, worked_from
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve
from soapstone.parts.design.later import Later
from soapstone.parts.design.site import SlipError
from soapstone.parts.stock import default_shop
from soapstone.parts.truck import truck as trucks
from trucks import job


def named(own: Job, **words: str) -> Job:
    """A job under other names: its [job] table."""
    table = {f"job.{word}": said for word, said in words.items()}
    return own._replace(words={**own.words, **table}, chassis=words["chassis"])


def test_a_truck_is_worked_once_under_whatever_name() -> None:
    """And another reading is another truck."""
    one = designed_of(job())
    other = named(one.job, chassis="T2", title="the second", by="another")
    assert key_of(*worked_from(other, one.shop)) == key_of(*worked_from(one.job, one.shop))
    words = {**one.job.words, "frame.heat_treated": "yes"}
    moved = one.job._replace(words=words)
    assert key_of(*worked_from(moved, one.shop)) != key_of(*worked_from(one.job, one.shop))


def test_nothing_kept_of_it_says_whose_it_is() -> None:
    """Whichever of the two was worked first."""
    other = named(job(), chassis="NAMEOFTRUCK", title="TITLEOFTRUCK", by="MEASUREDBY")
    made = designed_of(other)
    kept = pickle.dumps((made.strength, looked_at(made)))
    said = {own.words[f"job.{word}"] for own in (job(), other) for word in ("chassis", "title")}
    assert len(said) == 4 and not [name for name in said if name.encode() in kept]


def test_a_truck_from_the_cache_is_the_designed_one_and_has_its_holds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Its holds are made again once they are asked for; so is one of which only the name is
    another.
    """
    own, shop = job(), default_shop()
    solved, sizes = solve(own), sizes_of(own)
    fresh = trucks.design(solved, own.words, sizes, own.chassis, shop)
    calls: list[str] = []
    design = trucks.design
    monkeypatch.setattr(trucks, "design", lambda *now: calls.append(now[3]) or design(*now))
    with sharing():
        kept = sized(own, solved, shop).truck
        assert not calls
        other = sized(own._replace(chassis="T2"), solved, shop).truck
    bare = kept._replace(assembly=kept.assembly._replace(holds=()))
    assert bare == fresh._replace(assembly=fresh.assembly._replace(holds=()))
    assert [hold.id for hold in kept.assembly.holds] == [hold.id for hold in fresh.assembly.holds]
    assert [part.id for part in other.parts] == [part.id for part in fresh.parts]
    assert set(calls) <= {own.chassis, "T2"} and calls.count(own.chassis) == 1


def test_what_is_made_later_is_made_once_and_does_not_travel() -> None:
    asked: list[int] = []
    rows = Later(lambda: asked.append(1) or ("a", "b"))
    arrived = pickle.loads(pickle.dumps(rows))
    assert not asked
    assert (len(rows), rows[1], list(rows), bool(rows)) == (2, "b", ["a", "b"], True)
    assert asked == [1]
    with pytest.raises(SlipError, match="not sent along"):
        list(arrived)
