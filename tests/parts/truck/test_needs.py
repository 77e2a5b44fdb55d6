"""What each family rests on is kept in a file beside it: it says what is made of trucks that have
only that, and what is not made of trucks that lack one of it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from again import once
from soapstone.layout.job.fields import FIELDS, is_second_way
from soapstone.layout.job.walk import STOPS, stop_of, walked
from soapstone.parts.model.terms import Role
from soapstone.parts.truck import needs
from soapstone.parts.truck.needs import (
    INVENTED,
    Cut,
    Needs,
    first_fields,
    kept,
    made,
    only,
    places,
    tables,
    without,
)
from soapstone.parts.truck.roles import families_of
from soapstone.parts.truck.truck import families

ROWS = kept()


@cache
def whole(name: str) -> dict[str, int]:
    return dict(places(made(tables(name))[0]))


def names(code: str) -> list[str]:
    return [name for name, family in families() if family.code == code]


def test_every_family_has_its_row_and_says_when_it_is_cut() -> None:
    assert [(row.code, row.title) for row in ROWS] == [
        (family.code, family.title) for _, family in sorted(families())
    ], "run python -m soapstone.parts.truck.needs, which writes the file beside each family again"
    assert {row.code for row in ROWS if row.cut is Cut.FIRST} == families_of(Role.FIRST_CUT)
    assert {row.code for row in ROWS if row.cut is Cut.NEVER} == families_of(Role.TRUCK)
    assert all(row.fields <= set(FIELDS) for row in ROWS)


def test_what_is_written_is_read_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(needs, "BESIDE", tmp_path)
    (tmp_path / "gone.needs.csv").write_text("GO,gone,then\n")
    needs.write({f"family_{number:02}": row for number, row in enumerate(ROWS)})
    assert needs.kept.__wrapped__() == ROWS


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.code}-{row.title}")
def test_what_a_part_needs_makes_it(row: Needs) -> None:
    """A truck of which only that was read has the part at every place of the whole truck, and its
    loads unless it is cut before them.
    """
    for name in INVENTED:
        truck, loads = made(only(tables(name), row.fields))
        found = places(truck)
        assert all(found.get(own, 0) >= whole(name).get(own, 0) for own in names(row.code)) or (
            row.cut is Cut.NEVER
        ), {who: list(map(str, keys)) for who, keys in truck.waiting.items() if row.code in who}
        assert loads or row.cut is not Cut.THEN


def typed(field: str) -> bool:
    """Whether an invented truck says it at all; what is asked of a channel alone is not."""
    return any(without(tables(name), field) != tables(name) for name in INVENTED)


@pytest.mark.parametrize("turn", once(range(6)))
def test_without_one_of_it_a_part_is_not_made(turn: int) -> None:
    """One field of every family, another at each turn, taken out of the truck with the choices that
    ask for it; the same field is tried once for all the families it is asked of.
    """
    told = [sorted(filter(typed, row.fields)) for row in ROWS if row.fields]
    mine = {fields[(turn * 7) % len(fields)] for fields in told}
    for field in list(mine)[:4]:
        lost = set()
        for name in INVENTED:
            if (left := without(tables(name), field)) == tables(name):
                continue
            truck, loads = made(left)
            found = places(truck)
            lost |= {
                row.code
                for row in ROWS
                for own in names(row.code)
                if found.get(own, 0) < whole(name).get(own, 0)
                or (row.cut is Cut.THEN and not loads)
            }
        asked = {row.code for row in ROWS if field in row.fields}
        assert asked == lost | (asked & {"RS"}), field


def test_a_channel_is_asked_which_way_it_opens() -> None:
    """Nothing is welded to the open face, so no part on the rail is made without."""
    open_side = {row.code for row in ROWS if "frame.open_side" in row.fields}
    assert open_side >= families_of(Role.FIRST_CUT)
    assert all("frame.open_side" in row.fields for row in ROWS if "frame.section" in row.fields)


def test_the_short_form_is_about_thirty_readings_with_the_tape() -> None:
    """Wishes, choices and words cost no tape; holes are rows of which a frame may have none."""
    own = [FIELDS[name] for name in first_fields() if not is_second_way(name)]
    taped = [f for f in own if f.role == "measured" and not f.is_word and ".hole." not in f.name]
    assert len(taped) <= 30, sorted(f.name for f in taped)
    assert len([f for f in own if ".hole." not in f.name]) <= 36


def test_every_field_has_a_stop_of_its_own_and_the_wishes_come_first() -> None:
    places = {name: walked(name) for name in FIELDS}
    assert len(set(places.values())) == len(FIELDS)
    assert {stop_of(name) for name in FIELDS} == set(range(len(STOPS)))
    first = min(places, key=lambda name: places[name])
    assert first.startswith("job.") and stop_of("wanted.caster_low") == 0
    assert stop_of("travel.bump") == 0 and stop_of("frame.station.2.outer") == 2
