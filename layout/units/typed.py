"""What was typed to internal floats: numbers, fractions, feet and inches, degrees and minutes."""

from __future__ import annotations

import math
import re

from .factors import HeaderError, UnitError, factor, fault
from .spelling import clean
from .table import DEG, FT, IN, SHORT

MAX_TEXT = 200
INCHES_OF_A_FOOT = 12
MINUTES_OF_A_DEGREE = 60
MOST_WHOLE, MOST_PART = 9, 4
"""Digits of a whole number and of a numerator or denominator beside it."""
_NUM = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3}(?![\d.]))?"
_MIXED = r"(?:\d+(?: +|-))?\d+ *\/ *\d+"
_VALUE = rf"(?:{_MIXED}|{_NUM})"
_FEET = re.compile(
    rf"(\d+) *(?:'(?!')|ft\b|feet\b|foot\b) *-? *({_VALUE}) *(?:\"|''|in|inch|inches)?", re.I
)
_DMS = re.compile(
    rf"(\d+) *(?:°|deg(?:rees?)?\b) *({_VALUE}) *(?:'(?!')|min\b) *(?:({_VALUE}) *(?:\"|''|sec))?",
    re.I,
)
_PLAIN = re.compile(rf"({_VALUE}) *(.*)")
_DENOMINATORS = {2, 3, 4, 6, 8, 10, 12, 16, 32, 64, 100, 128}


def _number(text: str, kind: str) -> float:
    """Unsigned number, fraction or whole and fraction, to a float."""
    if "/" not in text:
        return float(text)
    parts = re.fullmatch(r"(?:(\d+)(?: +|-))?(\d+) */ *(\d+)", text)
    if parts is None:
        raise fault("this is not a fraction", kind, "write it as 23 7/16 or as a decimal")
    whole, numerator, denominator = parts.groups()
    if len(whole or "") > MOST_WHOLE or max(len(numerator), len(denominator)) > MOST_PART:
        raise fault("too many digits in the fraction", kind, "write it as a decimal")
    n, d = int(numerator), int(denominator)
    if d not in _DENOMINATORS:
        raise fault(
            f"no tape is divided in parts of 1/{d}",
            kind,
            "read the fraction again, or write a decimal",
        )
    if whole is not None and n >= d:
        raise fault(
            f"{n}/{d} after a whole number is not less than one", kind, "read the fraction again"
        )
    return int(whole or 0) + n / d


def parse(typed: object, kind: str, header: str | None = None) -> float:
    """Value in internal units of what was typed.

    ``header`` is the unit a bare number takes (the file's [units]); without it a bare number is
    refused. Raises UnitError, whose parts make a sentence.

    >>> parse("1' 11 1/2\\"", "length"), parse("-3 1/4", "length", "in")
    (596.9, -82.55)
    """
    if isinstance(typed, bool) or not isinstance(typed, (str, int, float)):
        raise fault("this is not a reading", kind, "type a number, or text in quotes")
    if not isinstance(typed, str):
        return _finite(_bare(_as_float(typed, kind), kind, header), kind)
    if len(typed) > MAX_TEXT:
        raise fault(
            f"{len(typed)} characters of text", kind, f"a reading has at most {MAX_TEXT} characters"
        )
    text = clean(typed)
    sign = -1.0 if text.startswith("-") else 1.0
    return _finite(
        sign * _unsigned(text[1:].strip() if text[:1] in ("+", "-") else text, kind, header), kind
    )


def _as_float(typed: float, kind: str) -> float:
    try:
        return float(typed)
    except OverflowError as e:
        raise fault("this number is too large", kind, "read it again") from e


def _unsigned(text: str, kind: str, header: str | None) -> float:
    if kind == "length" and (m := _FEET.fullmatch(text)):
        inches = _number(m[2], kind)
        if inches >= INCHES_OF_A_FOOT:
            raise fault("inches after feet are 12 or more", kind, "read the tape again")
        return float(m[1]) * FT + inches * IN
    if kind == "angle" and (m := _DMS.fullmatch(text)):
        minutes, seconds = _number(m[2], kind), _number(m[3], kind) if m[3] else 0.0
        if max(minutes, seconds) >= MINUTES_OF_A_DEGREE:
            raise fault("minutes or seconds of 60 or more", kind, "read the finder again")
        return (float(m[1]) + minutes / 60 + seconds / 3600) * DEG
    m = _PLAIN.fullmatch(text)
    if m is None:
        raise fault("this is not a number", kind, "type a finite number with its unit")
    unit = m[2].strip()
    if not unit:
        return _bare(_number(m[1], kind), kind, header)
    if unit[0] in ",.;+-0123456789":
        raise fault(
            "this does not read as one number",
            kind,
            "use a decimal point, or a fraction after a space",
        )
    if kind == "count":
        raise fault(f"unit {unit[:20]!r} on a plain number", kind, "leave the unit out")
    return _number(m[1], kind) * factor(unit, kind)


def _bare(value: float, kind: str, header: str | None) -> float:
    if kind == "count":
        return value
    if not header:
        raise fault(
            "a number without a unit",
            kind,
            f'add the unit, or put {kind} = "{SHORT[kind][0]}" under [units]',
        )
    try:
        return value * factor(header, kind)
    except UnitError as e:
        raise HeaderError(e.what, e.allowed, e.remedy) from None


def _finite(value: float, kind: str) -> float:
    if not math.isfinite(value):
        raise fault("not a finite number", kind, "read it again and type the number")
    return value
