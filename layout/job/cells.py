"""The cells of a table program, as they are written and as they come back: free text that would be
worked out as a formula, and the separators and decimals of the country it is set to.
"""

from __future__ import annotations

import csv
import io
import re

REACTS = re.compile(r"[=@\t\r]|[+-](?![\d\s./]*[A-Za-z]{0,8}$)")
"""Text that a table program would work out as a formula instead of showing it: a name may begin so,
a number with its sign is none.
"""
MARK = "'"


def as_shown(text: str) -> str:
    """A text as it goes into a cell.

    >>> as_shown("=1+1"), as_shown("-1/4")
    ("'=1+1", '-1/4')
    """
    return MARK + text if REACTS.match(text) else text


def as_meant(cell: str) -> str:
    """A cell as its text was typed.

    >>> as_meant("'=1+1"), as_meant("'quoted'"), as_meant("-1/4")
    ('=1+1', "'quoted'", '-1/4')
    """
    own = cell.removeprefix(MARK)
    return own if REACTS.match(own) else cell


SEPARATORS = (",", ";", "\t")
"""What table programs put between cells, by the country they are set to."""
_DECIMAL = re.compile(r"([+-]?\d+),(\d+)((?:\s*[A-Za-z°\"'][^,]*)?)")
_PAST = "\0"
"""Under which the cells past the last column are kept: no column is called so."""
_THOUSANDS = 3
"""Digits after a comma that may be thousands as well."""


class ShiftedError(ValueError):
    """A line with more cells than the file has columns; its text is the line's number."""


def lines_of(text: str) -> list[dict[str, str]]:
    """Lines of a CSV by column, missing cells empty, by the separator its first line is written
    with. Where that is none of the comma's, "12,5" is 12.5; "1,234" stays as it is, since it may be
    either, and whoever reads it as a number says so.

    Raises ShiftedError for a line with more cells than columns, as a decimal comma makes one;
    csv.Error as ``csv`` does.

    >>> lines_of("reading;value\\naxle.kpi;8,25 deg\\n")
    [{'reading': 'axle.kpi', 'value': '8.25 deg'}]
    """
    first, _, rest = text.partition("\n")
    if re.fullmatch(r'"?sep=.\s*"?', first.strip("\r"), re.I):  # Excel's own line
        text, first = rest, rest.partition("\n")[0]
    between = max(SEPARATORS, key=lambda sign: len(next(csv.reader([first], delimiter=sign), [])))
    found = []
    reader = csv.DictReader(io.StringIO(text), restkey=_PAST, delimiter=between)
    for row in reader:
        if any(map(str.strip, row.pop(_PAST, ()))):
            raise ShiftedError(str(reader.line_num))
        cells = {str(column).strip(): str(cell or "").strip() for column, cell in row.items()}
        if between != ",":
            cells = {column: _pointed(cell) for column, cell in cells.items()}
        found.append({column: as_meant(cell) for column, cell in cells.items()})
    return found


def _pointed(cell: str) -> str:
    """A number with a decimal comma, its unit after it, with a point; anything else as it is."""
    number = _DECIMAL.fullmatch(cell)
    if number is None or len(number[2]) == _THOUSANDS:
        return cell
    return f"{number[1]}.{number[2]}{number[3]}"
