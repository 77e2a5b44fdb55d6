"""A pocket calculator for formulas as they are printed. It imports nothing of ours.

Numbers and letters side by side are multiplied, ``^`` is a power, ``|x|`` a size, "a if b else c" a
choice; definitions stand after semicolons, each in letters known or defined after it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping

KNOWN = {
    "pi": math.pi,
    "sqrt": math.sqrt,
    "sin": math.sin,
    "min": min,
    "max": max,
    "abs": abs,
}


def typed(text: str) -> str:
    """An expression as it is keyed in."""
    text = re.sub(r"\|([^|]+)\|", r"abs(\1)", text.replace("'", "_")).replace("^", "**")
    text = re.sub(r"(?<=[\w)])\s+(?=[\w(])", "*", text)
    return re.sub(r"\*(if|else)\*", r" \1 ", text)


def value(text: str, letters: Mapping[str, object]) -> float:
    """An expression worked out with the numbers its letters stand for."""
    return float(eval(typed(text.strip()), {"__builtins__": {}}, dict(letters)))


def found(formula: str, put: Mapping[str, float]) -> float:
    """An expression with definitions after semicolons, with numbers put in."""
    return worked(f"0 <= {formula}", put)[1]


def worked(formula: str, put: Mapping[str, float]) -> tuple[float, float]:
    """Demand and capacity of a formula with numbers put in: of "a <= b" a and b, of "a >= b" b and
    a.
    """
    main, *definitions = (part.strip() for part in formula.split(";"))
    letters: dict[str, object] = {
        **KNOWN,
        **{letter.replace("'", "_"): number for letter, number in put.items()},
    }
    for definition in reversed(definitions):
        letter, _, says = definition.partition(" = ")
        letters[letter.strip().replace("'", "_")] = value(says, letters)
    found = re.fullmatch(r"([^<>]*?) (<=|>=) (.*)", main)
    assert found, formula
    first, second = value(found[1], letters), value(found[3], letters)
    return (first, second) if found[2] == "<=" else (second, first)
