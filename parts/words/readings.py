"""Readings and results as paper names them: by the number they have on the measuring sheet and a
few words, never by their name in the job file.
"""

from __future__ import annotations

import re

from ...layout.graph import Graph
from ...layout.job.field import key_of
from ...layout.job.fields import FIELDS, field_of, pattern
from ...layout.quantities import Key

NAME = re.compile(r"(?<![\w./])[a-z]\w*(?:\.\w+)+")
"""What may be the name of a reading or a result."""
_SIDE = {"L": ", left", "R": ", right"}
_ENDS = re.compile(r"[:;]| if |, ")
"""Where the few words end that say which reading it is."""


def reading(key: Key) -> str:
    """A reading by its number on the measuring sheet.

    ``key``: one of a field of the job file, else KeyError.

    >>> reading(Key("axle.lower_mount.x", "L"))
    'reading A-20 (lower bolt of the radius arm, left)'
    """
    field = field_of(key.name)
    said = _ENDS.split(field.how, maxsplit=1)[0]
    return f"reading {field.sheet_code} ({said[:1].lower()}{said[1:]}{_SIDE.get(key.side, '')})"


def in_words(text: str, solved: Graph) -> str:
    """A text with every name of a reading or a result said in words; the rest of it as it is."""

    def said(found: re.Match[str]) -> str:
        key = key_of(found[0])
        if pattern(key.name) in FIELDS:
            return reading(key)
        title = solved.title(key)
        return f"{title[:1].lower()}{title[1:]}{_SIDE.get(key.side, '')}" if title else found[0]

    return NAME.sub(said, text)
