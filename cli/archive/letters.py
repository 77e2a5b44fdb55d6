"""Revision letters, and which of them each part carries."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ...parts.truck.likeness import Compared, compare_rows

if TYPE_CHECKING:
    from .store import Record

LETTERS = "ABCDEFGHJKLMNPRTUVWY"


def letter_of(n: int) -> str:
    """Revision letter number ``n``, 0 = A; after Y: AA, AB ..."""
    low = LETTERS[n % len(LETTERS)]
    return low if n < len(LETTERS) else letter_of(n // len(LETTERS) - 1) + low


def revise(
    parts: list[dict[str, Any]], last: Record | None, letter: str
) -> tuple[dict[str, str], Compared]:
    """Letter of each part (the one at which its plate or tube last changed: another place is a
    change of the assembly only), and what became of each since ``last``.
    """
    found = compare_rows(last.data["parts"] if last else [], parts)
    letters: Mapping[str, str] = last.revisions() if last else {}
    new = {*found.shape, *found.come}
    return {p["part"]: letter if p["part"] in new else letters[p["part"]] for p in parts}, found
