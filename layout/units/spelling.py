"""Typed text brought to one spelling: primes, dashes, fraction signs, spaces, names of units."""

from __future__ import annotations

import re

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
