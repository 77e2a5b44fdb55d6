"""Text of a PDF through an independent reader, read once a run of the tests: of the same sheets
many things are asked.
"""

from __future__ import annotations

import hashlib
import io

from pypdf import PdfReader
from shared import sharing
from soapstone.cli.building.cache import Cache, key_of

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
