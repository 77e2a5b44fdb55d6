"""A few sheets of parts made up by hand, as pictures: what stands where on them, how wide their
lines are and how large their letters. They hang on no truck, so that only a change of the drawing
itself changes them.

    python tests/helpers/pictures.py        stores them anew, to be looked at before they are kept
"""

from __future__ import annotations

import io
import math
import shutil
import subprocess
import tempfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np
from PIL import Image
from soapstone.layout.arrays import Array
from soapstone.parts import drawing
from soapstone.parts.design import finish
from soapstone.parts.documents.engine import Doc, Fill, Table, Ticks, Words, render
from soapstone.parts.documents.heads import PageHead
from soapstone.parts.drawing.nest import nest_sheets
from soapstone.parts.drawing.part_sheet import TitleHead
from soapstone.parts.export import nest
from soapstone.parts.geometry import contours
from soapstone.parts.model.assembly import Assembly, Bolt, Member, Weld
from soapstone.parts.model.body import Bend, Loop, Plate, Tube, TubeEnd
from soapstone.parts.model.terms import Level
from soapstone.parts.model.vectors import Frame
from soapstone.parts.stock import SheetOnHand, default_shop

STORED = Path(__file__).resolve().parent.parent / "samples" / "pictures"
DPI = 72
CELL = 6
"""Pixels of a cell each way: a twelfth of an inch on paper."""
OFF = 12.0
"""Levels of 255 by which the gray of a cell may differ: how a rasterizer smooths an edge."""
FEW = 0.0015
"""Share of the inked cells that may differ by more."""
INK = 0.01
"""Share by which all ink together may differ: a width of lines that is off by a quarter is more."""
SHOP = default_shop()
HEAD = TitleHead("T1", "d123456", "2026-01-15", "DRAFT - not released")
FLAT = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
IN = 25.4


def _named(loop: Loop) -> Loop:
    """Straight edges of a rectangle by their words, in turn from the lowest; corners by number."""
    words = iter(("bottom", "rear", "top", "front"))
    return tuple(
        edge._replace(name=f"corner {at}" if edge.bulge else next(words))
        for at, edge in enumerate(loop)
    )


def _bolt(name: str, at: tuple[float, float], duty: str, **more: object) -> Bolt:
    row: dict[str, object] = {"along": (0.0, 0.0, 1.0), "size": "1/2-13", "grade": "grade 8"}
    row |= {"through": ("ZZ1.L",), "duty": duty, "hole": "close", **more}
    return Bolt(name, (*at, 0.0), **row)  # type: ignore[arg-type]  # the row of a bolt


def plate() -> bytes:
    """An opening, a cut, a drilled and a slotted hole, rounded corners, a fillet along an edge."""
    opening = contours.rectangle(2.0 * IN, 1.0 * IN, 3.5 * IN, 2.25 * IN, 0.25 * IN)
    outline = _named(contours.rectangle(0.0, 0.0, 8.0 * IN, 5.0 * IN, 0.75 * IN))
    body = Plate("1/4 A36", outline, (opening,))
    member = Member("ZZ1.L", "made-up plate", "ZZ", body, FLAT, datum=("bottom", "front"))
    bolts = (
        _bolt("a#1", (1.0 * IN, 4.0 * IN), "mount"),
        _bolt("a#2", (5.0 * IN, 4.0 * IN), "frame"),
        _bolt("a#3", (6.0 * IN, 1.5 * IN), "pivot", slots={"ZZ1.L": (0.75 * IN, (1.0, 0.0, 0.0))}),
    )
    weld = Weld("w", "ZZ1.L", ("bottom",), "ZZ2.L", "fillet", 0.25 * IN)
    made = Assembly((member,), bolts, (weld,))
    (part,) = finish.finish(made, SHOP, "T1")
    return drawing.pdf([drawing.sheet(part, made.welds, HEAD, SHOP, {"w": "W1"})])


def bent() -> bytes:
    """A tab bent up square from a base."""
    body = Plate(
        "3/16 A36",
        _named(contours.rectangle(0.0, 0.0, 6.0 * IN, 2.5 * IN)),
        bends=(Bend("up", (4.0 * IN, 0.0), (4.0 * IN, 2.5 * IN), math.pi / 2, 0.375 * IN),),
    )
    member = Member("ZZ2.C", "made-up tab", "ZZ", body, FLAT, datum=("bottom", "front"))
    (part,) = finish.finish(Assembly((member,)), SHOP, "T1")
    return drawing.pdf([drawing.sheet(part, (), HEAD, SHOP)])


def tube() -> bytes:
    """One end coped onto a round, one with an insert."""
    stock = next(t for t in SHOP.tubes if t.od > 1.9 * IN)
    ends = (
        TubeEnd("cope", 2.5 * IN, math.radians(70.0), 0.0, 0.0, 0.0, "bushing shell"),
        TubeEnd("insert", depth=1.5 * IN, item="threaded insert"),
    )
    member = Member("ZZ3.C", "made-up link", "ZZ", Tube(stock.key, 30.0 * IN, ends), FLAT)
    (part,) = finish.finish(Assembly((member,)), SHOP, "T1")
    return drawing.pdf([drawing.sheet(part, (), HEAD, SHOP)])


def sheet() -> bytes:
    """Three of one plate and a square on a sheet."""
    corners = ((0.0, 0.0), (9.0 * IN, 0.0), (9.0 * IN, 3.0 * IN), (0.0, 5.0 * IN))
    group = [nest.Piece("ZZ1.L", "1/4 A36", corners, 36.0 * IN**2, 3)]
    sheets = [SheetOnHand("1/4 A36", "full", 24.0 * IN, 48.0 * IN, 1)]
    found, _ = nest.fill(group, SHOP, nest.boxes, sheets, 0)
    by = {piece.name: piece for piece in (*group, nest.check_square(SHOP, "1/4 A36"))}
    return drawing.pdf(nest_sheets("T1", "2026-01-15", found, by, {}, "in"))


def document() -> bytes:
    """A page of a shop document with one of each block."""
    blocks = (
        Words("What this is", ["Made up to see how a page is set. " * 4, "A second paragraph."]),
        Table(
            "Sizes",
            [("part", 0.2), ("what", 0.5), ("in", 0.3)],
            [["ZZ1", "made-up plate, cut from what is on hand", "1/4"]] * 4,
        ),
        Ticks("In order", ["Lay it on the table.", "Square it to the datum and clamp it."]),
        Fill("To write down", [("length", "30 in", "1/16 in")]),
    )
    doc = Doc("made-up", "Made up", "cut", "who cuts", ["Wear a face shield."], blocks)
    return render(
        [doc], PageHead("T1", "2026-01-15", Level.DRAFT, "DRAFT - not released", "letter")
    )


PICTURES = {"plate": plate, "bent": bent, "tube": tube, "nest": sheet, "document": document}


def can_be_made() -> bool:
    """Whether there is a rasterizer on this desk: poppler's."""
    return shutil.which("pdftoppm") is not None


def gray(pdf: bytes) -> Array:
    """The first page as levels of gray, 0 black to 255, by a reader unrelated to the writer."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "page.pdf"
        path.write_bytes(pdf)
        options = ["-gray", "-png", "-singlefile", "-r", str(DPI)]
        subprocess.run(["pdftoppm", *options, path, path.with_suffix("")], check=True)
        with Image.open(path.with_suffix(".png")) as found:
            return np.asarray(found.convert("L"), dtype=float)


def stored(name: str) -> Array:
    with Image.open(STORED / f"{name}.png") as found:
        return np.asarray(found.convert("L"), dtype=float)


def off(got: Array, want: Array) -> Mapping[str, float]:
    """How two pictures differ: share of the inked cells whose gray is another, and of all ink."""
    if got.shape != want.shape:
        return {"size": 1.0}
    one, two = (_cells(255.0 - picture) for picture in (got, want))
    inked = np.maximum(one, two) > OFF
    other = (np.abs(one - two) > OFF).sum() / max(1, inked.sum())
    return {"cells": float(other), "ink": float(abs(one.sum() - two.sum()) / two.sum())}


def _cells(ink: Array) -> Array:
    rows, columns = (size // CELL for size in ink.shape)
    return ink[: rows * CELL, : columns * CELL].reshape(rows, CELL, columns, CELL).mean((1, 3))


def _store() -> None:
    STORED.mkdir(exist_ok=True)
    for name, make in PICTURES.items():
        out = io.BytesIO()
        Image.fromarray(gray(make()).astype(np.uint8)).quantize(16).save(out, "PNG", optimize=True)
        (STORED / f"{name}.png").write_bytes(out.getvalue())


if __name__ == "__main__":
    _store()
