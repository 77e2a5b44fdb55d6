"""How many internal units one of a typed unit is; an uncommon one is asked of pint, which is loaded
only then.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING

from .spelling import clean, spell
from .table import EXAMPLES, INTERNAL, KIND_WORDS, SHORT, TABLE

if TYPE_CHECKING:
    import pint


class UnitError(ValueError):
    """What was typed cannot be read; ``allowed`` and ``remedy`` say what can."""

    def __init__(self, what: str, allowed: str, remedy: str) -> None:
        self.what, self.allowed, self.remedy = what, allowed, remedy
        super().__init__(f"{what}; allowed: {allowed}; {remedy}")


class HeaderError(UnitError):
    """A bare number rests on a unit under [units] that is none: said once, there."""


def fault(what: str, kind: str, remedy: str) -> UnitError:
    """What is wrong with something typed, with examples of its kind."""
    return UnitError(what, EXAMPLES.get(kind, ""), remedy)


def factor(unit: str, kind: str) -> float:
    """Internal units in one ``unit``. UnitError if it is unknown or measures something else."""
    own = spell(unit)
    if own in TABLE[kind]:
        return TABLE[kind][own]
    for other, table in TABLE.items():
        if own in table:
            raise fault(
                f"{unit.strip()} measures {KIND_WORDS[other]}, and this is {KIND_WORDS[kind]}",
                kind,
                _other_unit(own, kind),
            )
    return _by_pint(clean(unit), kind)


def _other_unit(own: str, kind: str) -> str:
    if kind == "force" and own == "kg":
        return "write kgf for what a scale in kilograms shows"
    return f"give it in {' or '.join(SHORT[kind])}"


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


def _by_pint(unit: str, kind: str) -> float:
    """Factor of an uncommon unit.

    Root units are compared, so that an angle is not taken for a bare ratio.
    """
    unknown = fault(
        f"unit {unit[:30]!r} is not known", kind, f"give it in {' or '.join(SHORT[kind])}"
    )
    if not re.fullmatch(r"[A-Za-zµμ°][A-Za-zµμ°_*/^() 0-9-]{0,39}", unit) or re.search(
        r"\d\d|\*\*\d\d", unit
    ):
        raise unknown
    registry = _registry()
    try:
        asked = registry.parse_units(unit.replace("^", "**"))
        wanted = registry.parse_units(INTERNAL[kind])
        got = registry.Quantity(1.0, asked).to_root_units()
        base = registry.Quantity(1.0, wanted).to_root_units()
    except Exception as e:  # pint raises many kinds for a unit it cannot read
        raise unknown from e
    if got.units != base.units:
        raise fault(
            f"{unit} does not measure {KIND_WORDS[kind]}",
            kind,
            f"give it in {' or '.join(SHORT[kind])}",
        )
    value = float(got.magnitude) / float(base.magnitude)
    if not math.isfinite(value) or value <= 0 or getattr(got, "_is_multiplicative", True) is False:
        raise unknown
    return value
