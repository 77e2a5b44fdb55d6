"""Revision letters.

They skip I O Q S X Z [US Navy drafting course; ASME Y14.35 by web copy]; after Y comes AA (from
memory).
"""

from __future__ import annotations

LETTERS = "ABCDEFGHJKLMNPRTUVWY"


def letter_of(number: int) -> str:
    """Revision letter by its number.

    >>> [letter_of(number) for number in (0, 8, 19, 20)]
    ['A', 'J', 'Y', 'AA']
    """
    low = LETTERS[number % len(LETTERS)]
    return low if number < len(LETTERS) else letter_of(number // len(LETTERS) - 1) + low
