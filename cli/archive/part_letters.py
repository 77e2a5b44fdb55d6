"""Which revision letter each part carries, and the chassis whose number it keeps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...parts.truck.likeness import Compared, compare_rows
from .record import Record

if TYPE_CHECKING:
    from ..building.manifest import PartRow


def revise(
    parts: Sequence[PartRow], last: Record | None, letter: str
) -> tuple[dict[str, str], Compared]:
    """Letter of each part (the one at which its plate or tube last changed: another place is a
    change of the assembly only), and what became of each since ``last``.
    """
    found = compare_rows(last.data["parts"] if last else [], parts)
    letters: Mapping[str, str] = last.revisions() if last else {}
    new = {*found.shape, *found.come}
    own = {row["part"]: letter if row["part"] in new else letters[row["part"]] for row in parts}
    return own, found


def firsts_of(
    parts: Sequence[PartRow], master: Record | None, last: Record | None
) -> tuple[dict[str, str], dict[str, str]]:
    """Letter and first chassis of every part that is cut from a released part's file and so keeps
    its number: from this chassis' last revision, else from the master.
    """
    letters: dict[str, str] = {}
    firsts: dict[str, str] = {}
    for record in (master, last):
        if record is None:
            continue
        rows = {row["part"]: row for row in record.data["parts"]}
        found = compare_rows(record.data["parts"], parts)
        for part in (*found.same, *found.moved):
            letters[part] = rows[part]["revision"]
            firsts[part] = rows[part].get("first", record.chassis)
    return letters, firsts
