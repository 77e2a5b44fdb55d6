"""Text of a PDF through an independent reader, read once a run of the tests: of the same sheets
many things are asked.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator
from contextlib import closing

import pypdfium2 as pdfium
from pypdfium2.raw import FPDF_PAGEOBJ_TEXT
from shared import sharing
from soapstone.cli.building.cache import Cache, key_of

LEVEL = 1e-4
"""Of a matrix that turns nothing; of a line's height, in letters' sizes."""
BESIDE = 0.3
"""How far apart, in letters' sizes, what stands in one line may be."""
_READ: dict[str, tuple[str, ...]] = {}


def pages(data: bytes) -> tuple[str, ...]:
    """Text of every page: each cell, label and line of a paragraph on a line of its own."""
    own = hashlib.sha256(data).hexdigest()
    if own not in _READ:
        with sharing():
            of = key_of("text of a sheet of the tests", own)
            _READ[own] = Cache().value(of, lambda: tuple(_texts(data)))
    return _READ[own]


def _texts(data: bytes) -> Iterator[str]:
    with closing(pdfium.PdfDocument(data)) as book:
        for page in book:
            with closing(page), closing(page.get_textpage()) as words:
                yield "\n".join(_lines(page.get_objects([FPDF_PAGEOBJ_TEXT], textpage=words)))


def _lines(pieces: Iterable[pdfium.PdfTextObj]) -> Iterator[str]:
    """What is lettered piece by piece; one that goes on where the last ended, as where a word is
    bold, stands on its line.
    """
    line, end, base = "", -math.inf, 0.0
    for piece in pieces:
        at, size = piece.get_matrix(), piece.get_font_size()
        gap = (at.e - end) / size
        if abs(at.f - base) > LEVEL * size or abs(at.b) > LEVEL or not -BESIDE < gap < BESIDE:
            yield from filter(None, (line.strip(),))
            line = ""
        line += piece.extract()
        end, base = piece.get_bounds()[2], at.f
    yield from filter(None, (line.strip(),))


def heights(data: bytes) -> list[list[float]]:
    """How high each piece of level lettering of every page stands, points from its lower edge."""
    with closing(pdfium.PdfDocument(data)) as book:
        found = []
        for page in book:
            with closing(page):
                each = [text.get_matrix() for text in page.get_objects([FPDF_PAGEOBJ_TEXT])]
                found.append([m.f for m in each if abs(m.b) < LEVEL])
        return found
