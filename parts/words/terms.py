"""Words of the trade as Australia and Britain say them: one table, put in where a text is measured,
drawn or written on a sheet or a page, and nowhere before.

Everything up to there is said in US words, keys and names of the job file too; numbers are never
touched. What the shop or the customer typed (title, note, names) stays as it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from ...layout.reader import speech

AU: dict[str, str] = {
    "aluminum": "aluminium",
    "beveled": "bevelled",
    "bushing": "bush",
    "bushing's": "bush's",
    "bushings": "bushes",
    "bushings'": "bushes'",
    "caster": "castor",
    "casters": "castors",
    "center": "centre",
    "centered": "centred",
    "centerline": "centreline",
    "centers": "centres",
    "color": "colour",
    "curb": "kerb",
    "driveshaft": "prop shaft",
    "frame rail": "chassis rail",
    "frame rails": "chassis rails",
    "front shaft": "front prop shaft",
    "gage": "gauge",
    "galvanized": "galvanised",
    "gray": "grey",
    "judgment": "judgement",
    "layout": "set-out",
    "leveled": "levelled",
    "limit strap": "check strap",
    "limit straps": "check straps",
    "limit-strap": "check-strap",
    "millimeters": "millimetres",
    "tire": "tyre",
    "tire's": "tyre's",
    "tires": "tyres",
    "transfer case": "transfer box",
    "transfer-case": "transfer-box",
    "transmission": "gearbox",
    "traveler": "traveller",
    "wrench": "spanner",
    "wrenches": "spanners",
}
"""US word -> Australian and British, small letters (the trade reference's glossary; spelling by
common practice, no source).
"""
TERMS: dict[str, dict[str, str]] = {"US": {}, "AU": AU}
"""Tables by what a shop's settings call them."""


def spoken(words: str) -> str:
    """A text as the reader says it; said twice it is the same.

    Names with dots or underscores in them, which are typed back, stay as they are.
    """
    terms, kept = speech()
    table = TERMS[terms]
    return _words(terms, kept).sub(lambda found: _said(found, table), words) if table else words


@lru_cache(maxsize=8)
def _words(terms: str, kept: Sequence[str]) -> re.Pattern[str]:
    """What is looked for: first what stays, then the table's words, the longest first."""
    typed = "|".join(re.escape(each) for each in sorted(kept, key=len, reverse=True)) or "(?!)"
    said = "|".join(re.escape(each) for each in sorted(TERMS[terms], key=len, reverse=True))
    return re.compile(rf"(?P<kept>{typed})|(?<![\w./\[])(?:{said})(?![\w/]|\.\w)", re.IGNORECASE)


def _said(found: re.Match[str], table: dict[str, str]) -> str:
    word = found[0]
    if found["kept"]:
        return word
    said = table[word.lower()]
    if word.isupper():
        return said.upper()
    return said[0].upper() + said[1:] if word[0].isupper() else said
