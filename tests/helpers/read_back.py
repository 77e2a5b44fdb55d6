"""A whole build of each reader, and what a person reads in its files."""

from __future__ import annotations

import html
import re
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from metric import built, metric_job, metric_shop
from pdf_text import pages
from soapstone.layout.reader import System
from soapstone.parts.stock import default_shop
from trucks import job


def words_of(path: str, data: bytes) -> str:
    """What a person reads in a file; "" for what nobody reads."""
    if path.endswith(".pdf"):
        return " ".join(" ".join(page.split()) for page in pages(data))
    if path.endswith(".html"):
        text = re.sub(r"<(script|style)\b.*?</\1>", " ", data.decode(), flags=re.S)
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
    return ""


@cache
def build(system: System) -> dict[str, bytes]:
    if system is System.INCH:
        return built(job(), default_shop(), system)
    return built(metric_job(), metric_shop(Path(mkdtemp())), system)
