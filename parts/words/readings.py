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
SETTING = re.compile(r"(\w+) under \[+(\w+)\]+ of the shop file|\[+(\w+)\]+ (\w+)")
"""A setting as it is typed: its table and its name."""
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


def settings_in_words(text: str) -> str:
    """A text with every setting of the shop file said in words, as it is called there.

    >>> settings_in_words("frame_metric under [bolts] of the shop file")
    "frame metric under bolts in the shop's settings"
    >>> settings_in_words("set [weld] filler")
    "set filler under weld in the shop's settings"
    """

    def said(found: re.Match[str]) -> str:
        name = (found[1] or found[4]).replace("_", " ")
        return f"{name} under {(found[2] or found[3]).replace('_', ' ')} in the shop's settings"

    return SETTING.sub(said, text)


def in_words(text: str, solved: Graph) -> str:
    """A text with every name of a reading, a result or a setting said in words; the rest of it as
    it is.
    """

    def said(found: re.Match[str]) -> str:
        key = key_of(found[0])
        if pattern(key.name) in FIELDS:
            return reading(key)
        title = solved.title(key)
        return f"{title[:1].lower()}{title[1:]}{_SIDE.get(key.side, '')}" if title else found[0]

    return settings_in_words(NAME.sub(said, text))
