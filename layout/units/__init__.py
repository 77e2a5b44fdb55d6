"""The only module that knows units: what was typed to internal floats, and back.

Inside: mm, N, rad, N/mm, N*mm/rad, kg. ``table`` holds the common units and their factors,
``typed`` reads, ``printed`` writes. Nothing comes in but the reader's choice.
"""

from .factors import HeaderError, UnitError, factor
from .printed import exact, fraction, readers, show, tape, tape_and_decimal, to
from .spelling import clean, spell
from .table import DEG, EXAMPLES, FT, GRAVITY, IN, INTERNAL, KIND_WORDS, LB, LBF, SHORT, TABLE
from .typed import MAX_TEXT, parse

__all__ = [
    "DEG",
    "EXAMPLES",
    "FT",
    "GRAVITY",
    "IN",
    "INTERNAL",
    "KIND_WORDS",
    "LB",
    "LBF",
    "MAX_TEXT",
    "SHORT",
    "TABLE",
    "HeaderError",
    "UnitError",
    "clean",
    "exact",
    "factor",
    "fraction",
    "parse",
    "readers",
    "show",
    "spell",
    "tape",
    "tape_and_decimal",
    "to",
]
