"""What each family rests on is kept in a file: it says what the designed trucks say."""

from __future__ import annotations

from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.walk import STOPS, stop_of, walked
from soapstone.parts.truck.needs import kept, worked
from trucks import truck


def test_the_kept_needs_are_those_of_the_designed_trucks() -> None:
    now = worked(truck(name) for name in ("demo", "demo_uneven"))
    assert kept() == now, "run python -m soapstone.parts.truck.needs, which writes needs.csv again"


def test_every_field_has_a_stop_of_its_own_and_the_wishes_come_first() -> None:
    places = {name: walked(name) for name in FIELDS}
    assert len(set(places.values())) == len(FIELDS)
    assert {stop_of(name) for name in FIELDS} == set(range(len(STOPS)))
    first = min(places, key=lambda name: places[name])
    assert first.startswith("job.") and stop_of("wanted.caster_low") == 0
    assert stop_of("travel.bump") == 0 and stop_of("frame.station.2.outer") == 2
