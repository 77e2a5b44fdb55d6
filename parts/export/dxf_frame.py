"""Header, tables, blocks and objects of a DXF as ezdxf writes them, made once for every kind of
file and cut where entities go in.
"""

from __future__ import annotations

import io
import re
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_SEED = re.compile(r"\$HANDSEED\n  5\n([0-9A-F]+)\n")
_TABLE = re.compile(r"  2\nBLOCK_RECORD\n  5\n([0-9A-F]+)\n330\n0\n100\nAcDbSymbolTable\n 70\n")
_ENDTAB, _ENDSEC = "  0\nENDTAB\n", "  0\nENDSEC\n"
MODEL, PAPER = "*Model_Space", "*Paper_Space"


class FileFrame(NamedTuple):
    """A document without entities, in the pieces between which they are written.

    Attributes
    ----------
    release: R12 or R2010.
    pieces: text up to the first free handle; up to the count of block records; through these;
        through the blocks; through the head of the entities; the rest. The first two cuts are the
        same place in R12, which has no block records.
    free: the first handle nothing in it has.
    owners: handle of the block record of each space; none in R12.
    table: handle of the table of block records; "" in R12.
    """

    release: str
    pieces: tuple[str, str, str, str, str, str]
    free: int
    owners: dict[str, str]
    table: str


def frame_of(doc: Drawing, release: str) -> FileFrame:
    """The frame of a document that has no entities, read back and audited by ezdxf."""
    from ezdxf.filemanagement import read

    text = text_of(doc)
    audit = read(io.StringIO(text)).audit()
    assert not audit.errors and not audit.fixes, [
        str(fault) for fault in (*audit.errors, *audit.fixes)
    ]
    seed = _SEED.search(text)
    assert seed is not None, "every release has a seed of handles"
    table = _TABLE.search(text)
    count = records = seed.end(1)
    after = seed.end(1)
    owners = dict[str, str]()
    if table:
        count, after = table.end(), text.index("\n", table.end())
        records = text.index(_ENDTAB, after)
        owners = {name: doc.block_records.get(name).dxf.handle for name in (MODEL, PAPER)}
    blocks = text.index(_ENDSEC, text.index("  2\nBLOCKS\n"))
    entities = text.index(_ENDSEC, text.index("  2\nENTITIES\n"))
    pieces = (
        text[: seed.start(1)],
        text[seed.end(1) : count],
        text[after:records],
        text[records:blocks],
        text[blocks:entities],
        text[entities:],
    )
    return FileFrame(release, pieces, int(seed[1], 16), owners, table[1] if table else "")


def text_of(doc: Drawing) -> str:
    """A DXF document as text without the layer the library adds and nothing is on, its classes in
    one order: the library's own depends on what the process did before.
    """
    if "Defpoints" in doc.layers:
        doc.layers.remove("Defpoints")
    doc.classes.add_required_classes(doc.dxfversion)
    doc.classes.classes = dict(sorted(doc.classes.classes.items()))
    out = io.StringIO()
    doc.write(out)
    return out.getvalue()
