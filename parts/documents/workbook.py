"""Every table of the sheets as one workbook."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Mapping, Sequence

from ..words.terms import spoken
from .engine import Doc, Table

LONGEST_NAME = 31
"""Characters a tab's name may have."""
NUMBER = re.compile(r"-?(0|[1-9]\d*)(\.\d+)?")
"""A number a sheet prints without fraction, sign of doubt or unit."""
LISTS = ("no", "part", "item")
"""First column of a sheet's table that lists what the schedule of its name lists."""
NARROWEST, WIDEST = 9, 48
"""Width of a column, characters."""


def decimals(name: str) -> str:
    """A name with its fractions as decimals, since a tab's name takes no stroke.

    >>> decimals("1/4 A36")
    '0.250 A36'
    """
    return re.sub(
        r"(?:(\d+)[ -])?(\d+)/(\d+)",
        lambda found: f"{int(found[1] or 0) + int(found[2]) / int(found[3]) + 1e-9:.3f}",
        name,
    )


def valued(cell: str) -> str | int | float:
    """A cell of a sheet as its table holds it: a plain number as a number, all else as its words.

    >>> valued("7"), valued("-0.35"), valued("1/4"), valued("W7"), valued("3 1/2")
    (7, -0.35, '1/4', 'W7', '3 1/2')
    """
    if not NUMBER.fullmatch(cell):
        return cell
    return float(cell) if "." in cell else int(cell)


def workbook(
    docs: Sequence[Doc], more: Mapping[str, tuple[Sequence[str], Sequence[Sequence[object]]]]
) -> bytes:
    """Every table of the documents, and ``more`` (name -> columns, rows), one a sheet, as an XLSX;
    what a sheet lists again from one of ``more`` stands there once. Same tables, same bytes.
    """
    import datetime

    import xlsxwriter

    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True})
    book.set_properties({"created": datetime.datetime(2020, 1, 1)})
    bold = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
    wrap = book.add_format({"text_wrap": True, "valign": "top"})
    used: set[str] = set()
    for name, columns, rows in _tables(docs, more):
        tab = book.add_worksheet(_free(name, used))
        tab.freeze_panes(1, 0)
        for index, column in enumerate(columns):
            tab.write_string(0, index, spoken(str(column)), bold)
            longest = max((len(str(row[index])) for row in rows), default=NARROWEST)
            tab.set_column(index, index, max(NARROWEST, min(WIDEST, longest)))
        for number, row in enumerate(rows, 1):
            for index, value in enumerate(row):
                if isinstance(value, (int, float)) and not isinstance(value, bool):
                    tab.write_number(number, index, value, wrap)
                else:
                    tab.write_string(number, index, spoken(str(value)), wrap)
    book.close()
    return out.getvalue()


def _tables(
    docs: Sequence[Doc], more: Mapping[str, tuple[Sequence[str], Sequence[Sequence[object]]]]
) -> Iterable[tuple[str, Sequence[str], Sequence[Sequence[object]]]]:
    """Name, columns and rows of every table that has any."""
    for doc in docs:
        for block in doc.blocks:
            if isinstance(block, Table) and block.rows:
                told = [column for column, _ in block.columns]
                if doc.name in more and told[0] in LISTS:
                    continue
                name = f"{doc.name} {block.title.partition(':')[0]}"
                cells = [[valued(cell) for cell in row] for row in block.rows]
                yield name, told, cells
    for name, (columns, rows) in more.items():
        if rows:
            yield name, columns, rows


def _free(name: str, used: set[str]) -> str:
    """A tab's name that no other has yet; it is noted as used."""
    title = "".join(decimal for decimal in decimals(spoken(name)) if decimal not in "[]:*?/\\'")[
        :LONGEST_NAME
    ].strip()
    count = 2
    while title.lower() in used:
        title = f"{title[:28]} {count}"
        count += 1
    used.add(title.lower())
    return title
