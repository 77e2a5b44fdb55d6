"""The last measuring sheet: a line for each old hole of the rails and each thing that may be hit,
as many as there may be, numbered on from those that are read already.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ...layout.job.field import Field
from ...layout.job.fields import FIELDS
from .display import PAGE, Sheet, wrap
from .sheet import MARGIN

SIZE, SMALL = 10.0, 8.0
LINE, HIGH = 9.5, 22.0
"""From line to line of a heading, and the height of a row, points."""
WIDE = PAGE[0] - 2 * MARGIN
NUMBER = 26.0
"""Width of the column of numbers, points."""


class Listed(NamedTuple):
    """A list of the job file to write down in lines: its name there, its heading, blank lines, and
    shares of the width by the last word of a column.
    """

    name: str
    title: str
    blank: int
    shares: Mapping[str, float]


LISTS = (
    Listed(
        "frame.hole",
        "Old holes of the rails, by the crossmember, the coils and the track bar",
        9,
        {"from_edge": 2.2, "x": 1.4, "diameter": 1.2, "use": 1.3},
    ),
    Listed(
        "travel.obstacle",
        "What may be hit: oil pan, exhaust, starter, lines, whatever is near axle, arms and shaft",
        6,
        {"name": 2.0, "shape": 1.5, "x": 1.3, "y": 1.3, "z": 1.3},
    ),
)


def line_sheet(chassis: str, counts: Mapping[str, int], unit: str) -> Sheet:
    """The sheet, of one page.

    ``counts``: rows there are of each list, by its name; ``unit``: of lengths on the sheet.
    """
    sheet = Sheet(f"{chassis} measuring sheet")
    head = f"{chassis}: measuring sheet, old holes and what may be hit, a line each"
    sheet.text(MARGIN, PAGE[1] - MARGIN - 10, head, 12, True)
    by = "by ______________   date ______________   tape no. ________"
    sheet.text(PAGE[0] - MARGIN, PAGE[1] - MARGIN - 10, by, SIZE, anchor="end")
    y = PAGE[1] - MARGIN - 30.0
    for listed in LISTS:
        y = _table(sheet, listed, counts.get(listed.name, 0), unit, y) - 16.0
    return sheet


def _table(sheet: Sheet, listed: Listed, before: int, unit: str, y: float) -> float:
    """One list from ``y`` down; its lower edge."""
    own = [field for name, field in FIELDS.items() if name.startswith(f"{listed.name}.*.")]
    fields = [field for field in own if field.at_truck]
    shares = [listed.shares.get(field.name.rpartition(".")[2], 1.0) for field in fields]
    wide = [(WIDE - NUMBER) * share / sum(shares) for share in shares]
    edges = [MARGIN, MARGIN + NUMBER]
    for each in wide:
        edges.append(edges[-1] + each)
    sheet.text(MARGIN, y - SIZE, listed.title, SIZE, True)
    y -= SIZE + 6
    heads = [
        wrap(_says(field, unit), SMALL, each - 6) for field, each in zip(fields, wide, strict=True)
    ]
    sheet.text(MARGIN + 4, y - LINE, "no", SMALL, True)
    for lines, x in zip(heads, edges[1:], strict=False):
        for row, words in enumerate(lines, 1):
            sheet.text(x + 3, y - LINE * row, words, SMALL)
    low = y - LINE * max(map(len, heads)) - 4
    for row in range(listed.blank):
        sheet.line((MARGIN, low), (MARGIN + WIDE, low), kind="narrow" if row else "wide")
        low -= HIGH
        sheet.text(MARGIN + 4, low + 7, str(before + row + 1), SIZE)
    sheet.line((MARGIN, low), (MARGIN + WIDE, low))
    for edge in edges:
        sheet.line((edge, low), (edge, y))
    return low


def _says(field: Field, unit: str) -> str:
    """A column's heading: number on the sheet, what, and the words or the unit it is said in."""
    said = " / ".join(field.words) or (unit if field.kind == "length" else "")
    return f"{field.sheet_code} {field.how}" + f" ({said})" * bool(said)


def counted(paths: Sequence[str]) -> dict[str, int]:
    """Rows of each list among readings by their paths.

    >>> counted(["frame.hole.1.x", "frame.hole.2.x", "axle.kpi"])
    {'frame.hole': 2, 'travel.obstacle': 0}
    """
    return {
        listed.name: len(
            {
                path[len(listed.name) + 1 :].partition(".")[0]
                for path in paths
                if path.startswith(f"{listed.name}.")
            }
        )
        for listed in LISTS
    }
