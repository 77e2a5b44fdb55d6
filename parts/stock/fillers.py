"""Strength of weld metal by the filler's designation: AWS in ksi and in MPa, ISO 2560 and ISO
14341.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from .tables import rows

USUAL = "ER70S-6"
"""Wire taken where the shop file names no filler (common practice, no source)."""
LEAST = "E6011"
"""The weakest filler in common use (common practice, no source)."""
_LONG_MARK, _METRIC_MARK = 4, 2
"""Digits of an AWS number whose last two are position and covering; of one in ten MPa."""
_MARK = re.compile(r"(?:^|[^A-Za-z0-9])(ER|[EGTWS])\s?(\d{2,5})(?!\d)")


class Filler(NamedTuple):
    """Weld metal.

    Attributes
    ----------
    name : str
        Designation.
    fexx : float
        Least tensile strength, MPa.
    tag, source : str
        How the value was seen, and where.
    """

    name: str
    fexx: float
    tag: str
    source: str


def filler_of(text: str) -> Filler | None:
    """The filler a text names, such as "E6011 1/8", "ER70S-6 .035", "E71T-1", "ISO 14341-A G 42 4
    M21 3Si1"; None where it names none of known strength.
    """
    known = {row["number"]: row for row in rows("fillers")}
    for _, digits in _MARK.findall(text):
        number = digits[:-2] if len(digits) >= _LONG_MARK else digits
        if number not in known and len(number) == _METRIC_MARK and number[1] == "1":
            number = f"{number[0]}0"
        if number in known:
            r = known[number]
            return Filler(text, float(r["fu_MPa"]), r["tag"], r["source"])
    return None


def allowed() -> str:
    """What may be typed, in words."""
    return (
        "a filler of 60 to 80 ksi weld metal by its AWS or ISO designation, such as E6011, E7018,"
        " ER70S-6, E71T-1, G 42 4 M21 3Si1"
    )
