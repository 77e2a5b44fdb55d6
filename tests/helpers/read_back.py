"""A whole build of each reader, and what a person reads in its files."""

from __future__ import annotations

import html
import re
from collections.abc import Mapping

from built_jobs import made
from pdf_text import pages
from soapstone.layout.reader import System


def words_of(path: str, data: bytes) -> str:
    """What a person reads in a file; "" for what nobody reads."""
    if path.endswith(".pdf"):
        return " ".join(" ".join(page.split()) for page in pages(data))
    if path.endswith(".html"):
        text = re.sub(r"<(script|style)\b.*?</\1>", " ", data.decode(), flags=re.S)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
    return ""


def build(system: System) -> Mapping[str, bytes]:
    return made("demo" if system is System.INCH else "typed mm").files
