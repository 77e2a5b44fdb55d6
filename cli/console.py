"""What is printed on a console that cannot show every sign: some desks have no ± on theirs."""

from __future__ import annotations

import codecs
import io
import os
import sys
import unicodedata

SPELLED = {
    "±": "+/-",
    "×": "x",
    "°": " deg",
    "⌀": "dia. ",
    "−": "-",
    "–": "-",
    "—": "-",
    "≤": "<=",
    "≥": ">=",
    "·": "*",
    "→": "->",
    "²": "^2",
    "³": "^3",
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
}
"""How a sign is written in plain letters."""


def _spelled(error: UnicodeError) -> tuple[str, int]:
    """What stands in for signs that an encoding lacks: their spelling, else the bare letter."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(map(plain, error.object[error.start : error.end])), error.end


def plain(sign: str) -> str:
    """A sign in plain letters; a question mark where there is no such spelling.

    >>> plain("±"), plain("é"), plain("中")
    ('+/-', 'e', '?')
    """
    bare = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode()
    return SPELLED.get(sign) or bare or "?"


def ready() -> None:
    """Let nothing that is printed stop a command, whatever the console's encoding, and whether
    there is one or not.
    """
    # whoever closes a stream, or starts us without a console, has none in its place
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    codecs.register_error("spelled", _spelled)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="spelled")
