"""The only module that knows units: what was typed to internal floats, and back.

Inside: mm, N, rad, N/mm, N*mm/rad, kg. Common units stand in ``TABLE``; any other unit is asked of
pint, which is loaded only then. Exact factors: inch 25.4 mm, pound 0.45359237 kg (international
yard and pound, 1959), standard gravity 9.80665 m/s2 (3rd CGPM, 1901).
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

from .reader import metric

IN = 25.4
FT = 304.8
DEG = math.pi / 180
LB = 0.45359237
GRAVITY = 9.80665
LBF = LB * GRAVITY
MAX_TEXT = 200

INTERNAL = {
    "length": "mm",
    "angle": "rad",
    "force": "N",
    "rate": "N/mm",
    "torsion": "N*mm/rad",
    "mass": "kg",
}
KIND_WORDS = {
    "length": "a length",
    "angle": "an angle",
    "force": "a force",
    "rate": "a spring rate",
    "torsion": "a torsion rate",
    "mass": "a mass",
    "count": "a plain number",
}
EXAMPLES = {
    "length": "23 7/16 in, 1' 11 1/2\", 595.3 mm",
    "angle": "6 deg, 3° 30', 0.1 rad",
    "force": "860 lbf, 3.8 kN, 390 kgf",
    "rate": "225 lbf/in, 39.4 N/mm",
    "torsion": "40 in*lbf/deg, 4.5 N*m/deg",
    "mass": "12 lb, 5.4 kg",
    "count": "8.75",
}


class UnitError(ValueError):
    """What was typed cannot be read; ``allowed`` and ``remedy`` say what can."""

    def __init__(self, what: str, allowed: str, remedy: str) -> None:
        self.what, self.allowed, self.remedy = what, allowed, remedy
        super().__init__(f"{what}; allowed: {allowed}; {remedy}")


def _names(factor: float, *names: str) -> dict[str, float]:
    return {n: factor for n in names}


TABLE: dict[str, dict[str, float]] = {
    "length": {
        **_names(1.0, "mm", "millimetre", "millimeter", "millimetres", "millimeters"),
        **_names(10.0, "cm"),
        **_names(1000.0, "m"),
        **_names(IN, "in", '"', "inch", "inches"),
        **_names(FT, "ft", "'", "foot", "feet"),
    },
    "angle": {
        **_names(DEG, "deg", "degree", "degrees", "°"),
        **_names(1.0, "rad", "radian", "radians"),
    },
    "force": {
        **_names(LBF, "lbf", "lb", "lbs", "pound", "pounds"),
        **_names(1.0, "n", "newton", "newtons"),
        **_names(1000.0, "kn"),
        **_names(GRAVITY, "kgf", "kp"),
        **_names(1000 * LBF, "kip"),
    },
    "rate": {
        **_names(LBF / IN, "lbf/in", "lb/in", "lbs/in", "lbf/inch", "lb/inch"),
        **_names(1.0, "n/mm", "kn/m"),
        **_names(GRAVITY, "kgf/mm"),
        **_names(0.001, "n/m"),
    },
    "torsion": {
        **_names(IN * LBF / DEG, "in*lbf/deg", "lbf*in/deg", "in*lb/deg", "lb*in/deg"),
        **_names(FT * LBF / DEG, "ft*lbf/deg", "lbf*ft/deg", "ft*lb/deg", "lb*ft/deg"),
        **_names(1000.0 / DEG, "n*m/deg", "nm/deg"),
        **_names(1.0 / DEG, "n*mm/deg", "nmm/deg"),
        **_names(1000.0, "n*m/rad", "nm/rad"),
        **_names(1.0, "n*mm/rad", "nmm/rad"),
        **_names(IN * LBF, "in*lbf/rad"),
    },
    "mass": {
        **_names(LB, "lb", "lbs", "lbm", "pound", "pounds"),
        **_names(1.0, "kg"),
        **_names(0.001, "g"),
        **_names(LB / 16, "oz"),
    },
}
SHORT = {
    "length": ("in", "mm"),
    "angle": ("deg", "rad"),
    "force": ("lbf", "N"),
    "rate": ("lbf/in", "N/mm"),
    "torsion": ("in*lbf/deg", "N*m/deg"),
    "mass": ("lb", "kg"),
}

_VULGAR = {
    "¼": "1/4",
    "½": "1/2",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅙": "1/6",
    "⅚": "5/6",
}
_SIGNS = str.maketrans(
    {
        "′": "'",
        "’": "'",
        "‘": "'",
        "ʹ": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "ʺ": '"',
        "−": "-",
        "–": "-",
        "‐": "-",
        "‑": "-",
        "⁄": "/",
        "∕": "/",
        "·": "*",
        "⋅": "*",
        "×": "*",
        "º": "°",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)
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


def clean(text: str) -> str:
    """Typed text with primes, dashes, fraction signs and spaces brought to one spelling each."""
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, " " + plain)
    text = text.translate(_SIGNS).strip()
    return re.sub(r"[ \t]+", " ", text)


def spell(unit: str) -> str:
    """One spelling of a unit: lower case, ``*`` between factors, no spaces, no final point."""
    u = clean(unit).lower().rstrip(".").replace("''", '"').replace(" per ", "/")
    u = re.sub(r" */ *", "/", u)
    return re.sub(r"(?<=[a-z]) *[-* ] *(?=[a-z])", "*", u)


def _fault(what: str, kind: str, remedy: str) -> UnitError:
    return UnitError(what, EXAMPLES.get(kind, ""), remedy)


def _number(text: str, kind: str) -> float:
    """Unsigned number, fraction or whole and fraction, to a float."""
    if "/" not in text:
        return float(text)
    whole, numerator, denominator = re.fullmatch(
        r"(?:(\d+)(?: +|-))?(\d+) */ *(\d+)", text
    ).groups()  # type: ignore[union-attr]
    if len(whole or "") > 9 or len(numerator) > 4 or len(denominator) > 4:
        raise _fault("too many digits in the fraction", kind, "write it as a decimal")
    n, d = int(numerator), int(denominator)
    if d not in _DENOMINATORS:
        raise _fault(
            f"no tape is divided in parts of 1/{d}",
            kind,
            "read the fraction again, or write a decimal",
        )
    if whole is not None and n >= d:
        raise _fault(
            f"{n}/{d} after a whole number is not less than one", kind, "read the fraction again"
        )
    return int(whole or 0) + n / d


def factor(unit: str, kind: str) -> float:
    """Internal units in one ``unit``. UnitError if it is unknown or measures something else."""
    u = spell(unit)
    if u in TABLE[kind]:
        return TABLE[kind][u]
    for other, table in TABLE.items():
        if u in table:
            raise _fault(
                f"{unit.strip()} measures {KIND_WORDS[other]}, and this is {KIND_WORDS[kind]}",
                kind,
                _other_unit(u, kind),
            )
    return _by_pint(clean(unit), kind)


def _other_unit(u: str, kind: str) -> str:
    if kind == "force" and u == "kg":
        return "write kgf for what a scale in kilograms shows"
    return f"give it in {' or '.join(SHORT[kind])}"


@lru_cache(maxsize=1)
def _registry() -> object:
    import pint

    return pint.UnitRegistry()


def _by_pint(unit: str, kind: str) -> float:
    """Factor of an uncommon unit.

    Root units are compared, so that an angle is not taken for a bare ratio.
    """
    unknown = _fault(
        f"unit {unit[:30]!r} is not known", kind, f"give it in {' or '.join(SHORT[kind])}"
    )
    if not re.fullmatch(r"[A-Za-zµμ°][A-Za-zµμ°_*/^() 0-9-]{0,39}", unit) or re.search(
        r"\d\d|\*\*\d\d", unit
    ):
        raise unknown
    registry = _registry()
    try:
        asked = registry.parse_units(unit.replace("^", "**"))  # type: ignore[attr-defined]
        wanted = registry.parse_units(INTERNAL[kind])  # type: ignore[attr-defined]
        got = registry.Quantity(1.0, asked).to_root_units()  # type: ignore[attr-defined]
        base = registry.Quantity(1.0, wanted).to_root_units()  # type: ignore[attr-defined]
    except Exception as e:  # pint raises many kinds for a unit it cannot read
        raise unknown from e
    if got.units != base.units:
        raise _fault(
            f"{unit} does not measure {KIND_WORDS[kind]}",
            kind,
            f"give it in {' or '.join(SHORT[kind])}",
        )
    value = float(got.magnitude) / float(base.magnitude)
    if not math.isfinite(value) or value <= 0 or getattr(got, "_is_multiplicative", True) is False:
        raise unknown
    return value


def parse(typed: str | int | float, kind: str, header: str | None = None) -> float:
    """Value in internal units of what was typed.

    ``header`` is the unit a bare number takes (the file's [units]); without it a bare number is
    refused. Raises UnitError, whose parts make a sentence.

    >>> parse("1' 11 1/2\\"", "length"), parse("-3 1/4", "length", "in")
    (596.9, -82.55)
    """
    if isinstance(typed, bool) or not isinstance(typed, (str, int, float)):
        raise _fault("this is not a reading", kind, "type a number, or text in quotes")
    if not isinstance(typed, str):
        return _finite(_bare(_as_float(typed, kind), kind, header), kind)
    if len(typed) > MAX_TEXT:
        raise _fault(
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
        raise _fault("this number is too large", kind, "read it again") from e


def _unsigned(text: str, kind: str, header: str | None) -> float:
    if kind == "length" and (m := _FEET.fullmatch(text)):
        inches = _number(m[2], kind)
        if inches >= 12:
            raise _fault("inches after feet are 12 or more", kind, "read the tape again")
        return float(m[1]) * FT + inches * IN
    if kind == "angle" and (m := _DMS.fullmatch(text)):
        minutes, seconds = _number(m[2], kind), _number(m[3], kind) if m[3] else 0.0
        if minutes >= 60 or seconds >= 60:
            raise _fault("minutes or seconds of 60 or more", kind, "read the finder again")
        return (float(m[1]) + minutes / 60 + seconds / 3600) * DEG
    m = _PLAIN.fullmatch(text)
    if m is None:
        raise _fault("this is not a number", kind, "type a finite number with its unit")
    unit = m[2].strip()
    if not unit:
        return _bare(_number(m[1], kind), kind, header)
    if unit[0] in ",.;+-0123456789":
        raise _fault(
            "this does not read as one number",
            kind,
            "use a decimal point, or a fraction after a space",
        )
    if kind == "count":
        raise _fault(f"unit {unit[:20]!r} on a plain number", kind, "leave the unit out")
    return _number(m[1], kind) * factor(unit, kind)


def _bare(value: float, kind: str, header: str | None) -> float:
    if kind == "count":
        return value
    if not header:
        raise _fault(
            "a number without a unit",
            kind,
            f'add the unit, or put {kind} = "{SHORT[kind][0]}" under [units]',
        )
    return value * factor(header, kind)


def _finite(value: float, kind: str) -> float:
    if not math.isfinite(value):
        raise _fault("not a finite number", kind, "read it again and type the number")
    return value


def fraction(value: float, denominator: int = 16) -> str:
    """mm as inches to the nearest 1/denominator: ``23 7/16``, ``-1/8``, ``0``."""
    n = round(abs(value) / IN * denominator)
    whole, rest = divmod(n, denominator)
    sign = "-" if value < 0 and n else ""
    if not rest:
        return f"{sign}{whole}"
    common = math.gcd(rest, denominator)
    part = f"{rest // common}/{denominator // common}"
    return f"{sign}{whole} {part}" if whole else f"{sign}{part}"


def to(value: float, kind: str, unit: str) -> float:
    """Internal value as a number in ``unit``."""
    return value if kind == "count" else value / factor(unit, kind)


def _fixed(number: float, places: int) -> str:
    text = f"{number:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


_PLACES = {
    "mm": 1,
    "cm": 2,
    "m": 4,
    "ft": 3,
    "deg": 1,
    "rad": 4,
    "lbf": 0,
    "n": 0,
    "kn": 2,
    "kgf": 1,
    "lbf/in": 0,
    "n/mm": 1,
    "in*lbf/deg": 1,
    "n*m/deg": 2,
    "lb": 1,
    "kg": 2,
}


def readers(kind: str) -> str:
    """Unit in which the reader (``layout.reader``) is told a kind of reading; empty for a count."""
    both = SHORT.get(kind, ("",))
    return both[1] if metric() and len(both) > 1 and kind != "angle" else both[0]


def tape(mm: float, denominator: int = 16) -> str:
    """A length as the reader's tape shows it, without its unit: sixteenths, or mm to 0.5."""
    return (
        f"{_fixed(round(2 * mm) / 2, 1).removesuffix('.0')}"
        if metric()
        else fraction(mm, denominator)
    )


def tape_and_decimal(mm: float) -> str:
    """A length for tape and caliper, without its unit: sixteenths with the decimal beside, or mm to
    0.1.
    """
    return _fixed(mm, 1) if metric() else f"{fraction(mm)} ({mm / IN:.3f})"


def show(value: float, kind: str, unit: str = "", denominator: int = 16) -> str:
    """Internal value as printed, unit included: inches in fractions, mm to 0.1, degrees to 0.1.

    Without ``unit`` in the reader's.
    """
    unit = unit or readers(kind)
    if kind == "count":
        return f"{value:.6g}"
    if spell(unit) in ("in", '"', "inch", "inches"):
        return f"{fraction(value, denominator)} in"
    return f"{_fixed(to(value, kind, unit), _PLACES.get(spell(unit), 3))} {unit}"


def exact(value: float, kind: str, unit: str = "") -> str:
    """Internal value with every digit that matters, so that ``parse`` gives it back (within 1e-11
    of it).
    """
    unit = unit or SHORT.get(kind, ("",))[0]
    number = f"{to(value, kind, unit):.12g}"
    return number if kind == "count" else f"{number} {unit}"
