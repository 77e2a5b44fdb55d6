"""Free text in the cells of a table program, which works out what begins like a formula: written so
that it is shown, and read back as it was meant.
"""

from __future__ import annotations

import re

REACTS = re.compile(r"[=@\t\r]|[+-](?![\d\s./]*[A-Za-z]{0,8}$)")
"""Text that a table program would work out as a formula instead of showing it: a name may begin so,
a number with its sign is none.
"""
MARK = "'"


def as_shown(text: str) -> str:
    """A text as it goes into a cell.

    >>> as_shown("=1+1"), as_shown("-1/4")
    ("'=1+1", '-1/4')
    """
    return MARK + text if REACTS.match(text) else text


def as_meant(cell: str) -> str:
    """A cell as its text was typed.

    >>> as_meant("'=1+1"), as_meant("'quoted'"), as_meant("-1/4")
    ('=1+1', "'quoted'", '-1/4')
    """
    own = cell.removeprefix(MARK)
    return own if REACTS.match(own) else cell
