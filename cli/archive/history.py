"""The revision blocks of a chassis' drawings: which release changed what, when and by whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from .record import Record

if TYPE_CHECKING:
    from ...parts.drawing.revisions import Revision


class Released(NamedTuple):
    """One release: letter, who signed it when and why, and the letter of each part by id."""

    letter: str
    by: str
    date: str
    note: str
    parts: Mapping[str, str]


def of_record(record: Record) -> Released:
    """A stored release."""
    by, date, note = (str(record.data.get(key, "")) for key in ("by", "date", "note"))
    return Released(record.letter, by, date, note, record.revisions())


def blocks(
    releases: Sequence[Released], firsts: Mapping[str, str]
) -> tuple[tuple[Revision, ...], dict[str, tuple[Revision, ...]]]:
    """Rows of the whole, and of each part by its id: of those releases that gave it its letter.

    ``releases``: in order, the one being drawn last; ``firsts``: the other chassis a part was first
    released with.
    """
    whole = tuple(_row(each, each.letter, each.note) for each in releases)
    own: dict[str, tuple[Revision, ...]] = {}
    for part, letter in releases[-1].parts.items():
        if part in firsts:
            came = next(each for each in releases if part in each.parts)
            own[part] = (_row(came, letter, f"as released with chassis {firsts[part]}"),)
        else:
            own[part] = tuple(
                _row(each, each.letter, each.note)
                for each in releases
                if each.parts.get(part) == each.letter
            )
    return whole, own


def _row(released: Released, letter: str, changed: str) -> Revision:
    from ...parts.drawing.revisions import Revision

    return Revision(letter, changed, released.date, released.by)
