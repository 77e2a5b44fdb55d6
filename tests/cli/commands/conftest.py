"""Builds with solids and sheets as bare names, which have a cache of their own."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from shared import shared
from typed import DEMO, run

SHOPS: dict[str, Path] = {}
"""Shops of this process, for whatever file of tests asks first."""


def one_page(words: str) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(792, 612), invariant=1)
    canvas.drawString(9, 9, words)
    canvas.save()
    return out.getvalue()


@pytest.fixture(scope="module")
def quick() -> Iterator[None]:
    """The whole tree is built by the tests of the files; here only what the archive keeps of it.
    The bare files have a cache of their own, which all tests that ask for them share.
    """
    from soapstone.cli.building import every_file, witnessed
    from soapstone.cli.building.worker import Spares, nothing_beside
    from soapstone.parts import documents, drawing
    from soapstone.parts.export import cut, step, witness
    from soapstone.parts.placed import fit

    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOAPSTONE_CACHE", str(Path(shared()["SOAPSTONE_CACHE"]) / "bare"))
        patch.setattr(step, "part_text", lambda part, shop: part.id.encode())
        patch.setattr(step, "assembly_text", lambda members, parts, shop, name: name.encode())
        patch.setattr(drawing, "pdf", lambda sheets, *_: one_page(sheets[0].title))
        patch.setattr(documents, "files", lambda *a, **k: ({}, {}))
        patch.setattr(every_file, "packet_files", lambda *a: {})
        patch.setattr(Spares, "begin", lambda self, *loads: None)
        patch.setattr(Spares, "working", lambda self, act, given, loads: nothing_beside(act, given))
        patch.setattr(witnessed, "working", nothing_beside)
        patch.setattr(witness, "read_back", lambda solids: {})
        patch.setattr(drawing, "dxf", lambda sheet, *_: sheet.title.encode())
        patch.setattr(
            drawing,
            "sheet",
            lambda part, welds, head, *_, **__: drawing.Sheet(f"{part.id} {head.level}"),
        )
        patch.setattr(every_file, "page_file", lambda *a: b"page")
        patch.setattr(fit, "fit", lambda *a, **k: ())
        patch.setattr(cut, "read_back", lambda *a: [])
        yield


@pytest.fixture(scope="module")
def two_revisions(quick: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo's chassis released as A for tack and as B, its coil a little softer,
    for mock-up. To be copied: it is the same for every file of tests.
    """
    if "two" in SHOPS:
        return SHOPS["two"]
    folder = tmp_path_factory.mktemp("shop")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        job = folder / "d.toml"
        job.write_bytes(DEMO.read_bytes())
        run("build", "d.toml")
        run("release", "d.toml", "--note", "first set", "--by", "the owner")
        job.write_text(job.read_text().replace("rate = 225", "rate = 224"))
        run("build", "d.toml")
        softer = ("--note", "softer coil", "--by", "the owner", "--level", "mock-up")
        run("release", "d.toml", *softer)
    SHOPS["two"] = folder
    return folder


@pytest.fixture(scope="module")
def set_down_out(quick: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo's chassis built and released as A for tack, set down with two readings
    of which one is out.
    """
    folder = tmp_path_factory.mktemp("shop")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        (folder / "d.toml").write_bytes(DEMO.read_bytes())
        down = '[[down]]\nheight = { left = "24 5/8", right = "25" }\n'
        (folder / "d.down.toml").write_text(down)
        run("correct", "d.toml", code=6)
        run("build", "d.toml")
        run("release", "d.toml", "--note", "tacked", "--by", "the owner")
    return folder
