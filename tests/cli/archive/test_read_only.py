"""One page to look at: drawings and sheets in it, nothing to cut from, no prices, no link out."""

from __future__ import annotations

import base64
import re

from soapstone.cli.archive.read_only import read_only

FILES = {
    "index.html": (
        b'<main><a href="#parts">parts</a><a href="cut/now/0p250in/a.dxf">cut file</a>'
        b'<a href="drawing/a.pdf">drawing</a><ul><li><a href="sheet/welds.pdf">welds</a></li>'
        b'<li><a href="sheet/material.pdf">material</a></li>'
        b'<li><a href="sheet/stage-2.pdf">stage 2</a></li></ul></main>'
    ),
    "cut/now/0p250in/a.dxf": b"0",
    "drawing/a.pdf": b"%PDF drawing",
    "sheet/welds.pdf": b"%PDF welds",
    "sheet/material.pdf": b"%PDF 1.37 a pound",
    "sheet/stage-2.pdf": b"%PDF stage",
    "log/welds.pdf": b"%PDF log",
}


def test_drawings_sheets_and_logs_go_along_and_nothing_else() -> None:
    page = read_only(FILES, "to <look> at").decode()
    links = re.findall(r'href="([^"]*)"', page)
    inside = [base64.b64decode(link.partition(",")[2]) for link in links if link != "#parts"]
    assert inside == [b"%PDF drawing", b"%PDF welds", b"%PDF log"]
    assert all(link == "#parts" or link.startswith("data:application/pdf") for link in links)
    assert "cut file" in page and "material" not in page and "stage 2" not in page
    assert "to &lt;look&gt; at" in page
