"""A revision to look at as one file: the page with every drawing and sheet in it, no cut files, no
prices; for whoever has neither the archive nor the tool.
"""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Mapping

SHOPS_OWN = ("sheet/material.pdf", "sheet/order.pdf")
"""Sheets with the shop's prices, or what only its suppliers need."""
LINK = re.compile(r'<a href="([^"#]+)">(.*?)</a>', re.DOTALL)
ITEM = re.compile(r'<li><a href="([^"#]+)">.*?</a></li>', re.DOTALL)


def goes_along(path: str) -> bool:
    """Whether a file goes into the page: drawings and sheets on paper, each once."""
    return (
        path.endswith(".pdf")
        and path.startswith(("drawing/", "sheet/", "log/"))
        and not path.startswith("sheet/stage-")
        and path not in SHOPS_OWN
    )


def read_only(files: Mapping[str, bytes], says: str) -> bytes:
    """The page of a revision with its drawings and sheets in it.

    ``files``: the revision's by path, with its page; ``says``: what stands above it, in words. What
    does not go along (cut files, solids, prices) is no link any more.
    """
    page = files["index.html"].decode()
    page = ITEM.sub(lambda found: found[0] if _kept(files, found[1]) else "", page)
    page = LINK.sub(lambda found: _link(files, found[1], found[2]), page)
    logs = "".join(
        f"<li>{_link(files, path, html.escape(path.removeprefix('log/')))}</li>"
        for path in sorted(files)
        if path.startswith("log/") and goes_along(path)
    )
    note = f'<div class="box" role="note"><b>{html.escape(says)}</b></div>'
    page = page.replace("<main>", f"{note}<main>", 1)
    if logs:
        page = page.replace("</main>", f"<h2>Log sheets</h2><ul>{logs}</ul></main>", 1)
    return page.encode()


def _kept(files: Mapping[str, bytes], href: str) -> bool:
    path = html.unescape(href)
    return path in files and goes_along(path)


def _link(files: Mapping[str, bytes], href: str, text: str) -> str:
    """A link to the file inside the page, which the reader saves or opens; its text alone where it
    does not go along.
    """
    if not _kept(files, href):
        return text
    path = html.unescape(href)
    data = base64.b64encode(files[path]).decode()
    name = html.escape(path.rpartition("/")[2])
    return f'<a href="data:application/pdf;base64,{data}" download="{name}">{text}</a>'
