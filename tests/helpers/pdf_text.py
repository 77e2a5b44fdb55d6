"""Text of a PDF through an independent reader, read once a run of the tests: of the same sheets
many things are asked.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Sequence

from pypdf import PageObject, PdfReader
from shared import sharing
from soapstone.cli.building.cache import Cache, key_of

LEVEL = 1e-6
"""Of a matrix that turns nothing."""
_READ: dict[str, tuple[str, ...]] = {}


def pages(data: bytes) -> tuple[str, ...]:
    """Text of every page."""
    own = hashlib.sha256(data).hexdigest()

    def read() -> tuple[str, ...]:
        return tuple(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)

    if own not in _READ:
        with sharing():
            _READ[own] = Cache().value(key_of("text of a sheet of the tests", own), read)
    return _READ[own]


def heights(page: PageObject) -> list[float]:
    """How high each piece of level lettering of a page stands, points from its lower edge."""
    found: list[float] = []

    def met(words: str, to_page: Sequence[float], place: Sequence[float], *_: object) -> None:
        if words.strip() and abs(to_page[1]) + abs(place[1]) < LEVEL:
            found.append(to_page[3] * place[5] + to_page[5])

    page.extract_text(visitor_text=met)
    return found
