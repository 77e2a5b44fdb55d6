"""A DXF written entity by entity, as group codes, into a frame the library made once.

Group codes, their order and their defaults are those of the published DXF reference, R12 and R2010.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ..model.vectors import Vec2
from .dxf_frame import MODEL, PAPER, FileFrame

PolylinePoint = tuple[float, float, float]
"""x, y and the bulge of the edge that begins there."""
ALIGNED = {"start": 0, "middle": 1, "end": 2}
"""Group code 72 of a text."""


class DxfFile:
    """A file being written: model space, sheet, and blocks of dimensions."""

    def __init__(self, frame: FileFrame) -> None:
        self._frame, self._next = frame, frame.free
        self._blocks: list[tuple[str, Space, str]] = []
        self._records: list[str] = []
        self.model = Space(self, MODEL, frame.owners.get(MODEL, ""))
        self.paper = Space(self, PAPER, frame.owners.get(PAPER, ""))

    @property
    def light(self) -> bool:
        """Whether its release knows light polylines, subclasses and owners: all but R12."""
        return self._frame.release != "R12"

    def handle(self) -> str:
        """The next free handle."""
        self._next += 1
        return f"{self._next - 1:X}"

    def block(self) -> Space:
        """A new anonymous block for a dimension (not in R12)."""
        record, begin, end = self.handle(), self.handle(), self.handle()
        space = Space(self, f"*D{len(self._blocks) + 1}", record)
        self._records.append(
            f"  0\nBLOCK_RECORD\n  5\n{record}\n330\n{self._frame.table}\n"
            f"100\nAcDbSymbolTableRecord\n100\nAcDbBlockTableRecord\n  2\n{space.name}\n"
            "340\n0\n 70\n0\n280\n1\n281\n0\n"
        )
        head = (
            f"  0\nBLOCK\n  5\n{begin}\n330\n{record}\n100\nAcDbEntity\n  8\n0\n"
            f"100\nAcDbBlockBegin\n  2\n{space.name}\n 70\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n"
            f"  3\n{space.name}\n  1\n\n"
        )
        foot = (
            f"  0\nENDBLK\n  5\n{end}\n330\n{record}\n100\nAcDbEntity\n  8\n0\n100\nAcDbBlockEnd\n"
        )
        self._blocks.append((head, space, foot))
        return space

    def text(self) -> str:
        """The whole file."""
        head, tables, records, blocks, entities, rest = self._frame.pieces
        count = f"{len(self._frame.owners) + len(self._records)}" if self.light else ""
        drawn = (text for first, space, last in self._blocks for text in (first, *space.rows, last))
        before = (head, f"{self._next:X}", tables, count, records, *self._records, blocks, *drawn)
        return "".join((*before, entities, *self.model.rows, *self.paper.rows, rest))


class Dimension(NamedTuple):
    """What a dimension says to a reader of entities.

    Attributes
    ----------
    subclass: its marker: AcDbOrdinateDimension and the like.
    kind: group code 70.
    at: its point of definition, group code 10.
    points: its own points by their group code.
    angle: group code 50 of a rotated dimension, degrees.
    """

    subclass: str
    kind: int
    at: Vec2
    points: dict[int, Vec2]
    angle: float = 0.0


class Space:
    """Where entities stand: model space, the sheet or a block."""

    def __init__(self, file: DxfFile, name: str, owner: str) -> None:
        self.name, self.rows = name, list[str]()
        self._file, self._owner = file, owner

    def _head(self, kind: str, layer: str, marker: str, *, own: str = "") -> str:
        """What every entity begins with."""
        head = f"  0\n{kind}\n  5\n{own or self._file.handle()}\n"
        if not self._file.light:
            return f"{head}  8\n{layer}\n"
        paper = " 67\n1\n" if self.name == PAPER else ""
        return f"{head}330\n{self._owner}\n100\nAcDbEntity\n{paper}  8\n{layer}\n" + (
            f"100\n{marker}\n" if marker else ""
        )

    def polyline(self, rows: Sequence[PolylinePoint], layer: str, *, closed: bool = False) -> None:
        """Lines and arcs, end to end."""
        if not self._file.light:
            self._old_polyline(rows, layer, closed)
            return
        edges = "".join(
            f" 10\n{float(x)}\n 20\n{float(y)}\n" + (f" 42\n{float(bulge)}\n" if bulge else "")
            for x, y, bulge in rows
        )
        head = self._head("LWPOLYLINE", layer, "AcDbPolyline")
        self.rows.append(f"{head} 90\n{len(rows)}\n 70\n{int(closed)}\n{edges}")

    def _old_polyline(self, rows: Sequence[PolylinePoint], layer: str, closed: bool) -> None:
        """As R12 has it: a head, its corners and an end."""
        head, end = self._head("POLYLINE", layer, ""), self._file.handle()
        self.rows.append(f"{head} 66\n1\n{_point(10, (0.0, 0.0))} 70\n{int(closed)}\n")
        for x, y, bulge in rows:
            turn = f" 42\n{float(bulge)}\n" if bulge else ""
            corner = self._head("VERTEX", layer, "")
            self.rows.append(f"{corner}{_point(10, (x, y))}{turn} 70\n0\n")
        self.rows.append(self._head("SEQEND", layer, "", own=end))

    def circle(self, middle: Vec2, radius: float, layer: str) -> None:
        """A circle; ``middle`` and ``radius`` in the file's unit."""
        head = self._head("CIRCLE", layer, "AcDbCircle")
        self.rows.append(f"{head}{_point(10, middle)} 40\n{float(radius)}\n")

    def solid(self, corners: Sequence[Vec2], layer: str) -> None:
        """A filled triangle.

        ``corners``: three, in the file's unit; ValueError for more or fewer.
        """
        one, two, three = corners
        points = "".join(map(_point, (10, 11, 12, 13), (one, two, three, three)))
        self.rows.append(f"{self._head('SOLID', layer, 'AcDbTrace')}{points}")

    def lettering(self, words: str, at: Vec2, layer: str, look: Lettering) -> None:
        """One line of text.

        ``at``: where ``look.anchor`` holds it, in the file's unit, as is the height. ValueError for
        words that are more than one line, KeyError for an anchor nobody knows.
        """
        if "\n" in words or "\r" in words:
            raise ValueError(f"one line of text: {words!r}")
        aligned = ALIGNED[look.anchor]
        self.rows.append(
            f"{self._head('TEXT', layer, 'AcDbText')}{_point(10, at)} 40\n{float(look.height)}\n"
            f"  1\n{words}\n"
            + (f" 50\n{float(look.turn)}\n" if look.turn else "")
            + f"  7\n{look.style}\n 41\n{float(look.width)}\n"
            + (f" 72\n{aligned}\n" if aligned else "")
            + f"{_point(11, at)}100\nAcDbText\n"
        )

    def leader(self, points: Iterable[Vec2], layer: str, style: str) -> None:
        """A line with an arrowhead to what a note is about.

        ``points``: in the file's unit, the arrow's tip first; ``style``: the dimension style it
        takes its arrow from.
        """
        corners = [_point(10, point) for point in points]
        self.rows.append(
            f"{self._head('LEADER', layer, 'AcDbLeader')}  3\n{style}\n"
            f" 73\n3\n 76\n{len(corners)}\n{''.join(corners)}"
        )

    def dimension(
        self, found: Dimension, words: str, text_at: Vec2, block: Space, layer: str, style: str
    ) -> None:
        """A dimension that looks like its block.

        ``found``: what is measured and how; ``words``: what is lettered; ``text_at``: middle of the
        words, in the file's unit; ``block``: the lines and words as drawn; ``style``: its dimension
        style.
        """
        after = "".join(_point(code, value) for code, value in found.points.items())
        turned = f" 50\n{float(found.angle)}\n" if found.angle else ""
        kind = found.subclass
        if kind == "AcDbRotatedDimension":
            after, kind = f"{after}{turned}100\n{kind}\n", "AcDbAlignedDimension"
        self.rows.append(
            f"{self._head('DIMENSION', layer, 'AcDbDimension')}280\n0\n  2\n{block.name}\n"
            f"  3\n{style}\n{_point(10, found.at)}{_point(11, text_at)}"
            f" 70\n{found.kind}\n 71\n5\n  1\n{words}\n100\n{kind}\n{after}"
        )

    def viewport(self, middle: Vec2, size: Vec2, looks_at: Vec2, high: float, layer: str) -> None:
        """A window of the sheet onto the model.

        ``middle``, ``size``: the window on the paper, wide and high; ``looks_at``: the model's
        point in its middle; ``high``: how much of the model it shows from foot to top. All in the
        file's unit.
        """
        self.rows.append(
            f"{self._head('VIEWPORT', layer, 'AcDbViewport')}{_point(10, middle)}"
            f" 40\n{float(size[0])}\n 41\n{float(size[1])}\n 68\n2\n 69\n3\n"
            f" 12\n{float(looks_at[0])}\n 22\n{float(looks_at[1])}\n"
            f"{_AS_SEEN} 45\n{float(high)}\n{_PLAIN}"
        )


class Lettering(NamedTuple):
    """How a line of text looks.

    Attributes
    ----------
    height : float
        Of capitals, in the file's unit.
    anchor : str
        Where it is held: a corner or middle of its box.
    turn : float
        Degrees, counter-clockwise.
    style : str
        Name of the text style.
    width : float
        Width over height of a letter.
    """

    height: float
    anchor: str
    turn: float
    style: str
    width: float


def _point(code: int, at: Vec2) -> str:
    """A point of the plane, with its third coordinate."""
    x, y = at
    return f"{code:>3}\n{float(x)}\n{code + 10:>3}\n{float(y)}\n{code + 20:>3}\n0.0\n"


_AS_SEEN = (
    " 13\n0.0\n 23\n0.0\n 14\n10.0\n 24\n10.0\n 15\n10.0\n 25\n10.0\n 16\n0.0\n 26\n0.0\n 36\n1.0\n"
    " 17\n0.0\n 27\n0.0\n 37\n0.0\n 42\n50.0\n 43\n0.0\n 44\n0.0\n"
)
_PLAIN = (
    " 50\n0.0\n 51\n0.0\n 72\n100\n 90\n0\n  1\n\n281\n0\n 71\n0\n 74\n0\n110\n0.0\n120\n0.0\n"
    "130\n0.0\n111\n1.0\n121\n0.0\n131\n0.0\n112\n0.0\n122\n1.0\n132\n0.0\n 79\n0\n146\n0.0\n"
    "282\n0\n"
)
"""A viewport seen from above, its other properties as the reference gives them by default."""
