"""What is kept of a truck serves every truck with the same readings."""

from __future__ import annotations

import pickle

from designs import designed_of, looked_at
from soapstone.cli.building.cache import key_of
from soapstone.cli.building.design import worked_from
from soapstone.layout.job.load import Job
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
