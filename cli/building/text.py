"""Data and tables as text files: JSON keeps every digit, CSV is for people."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping

from ...layout.job.cells import as_shown


def cell(value: object) -> object:
    """A number for a person: three decimals at most; JSON keeps them all.

    >>> cell(2.50004), cell("A36"), cell(None), cell("-1/4"), cell("=1+1")
    ('2.5', 'A36', None, '-1/4', "'=1+1")
    """
    if isinstance(value, float):
        return f"{round(value + 1e-9, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
    return as_shown(value) if isinstance(value, str) else value


def json_bytes(data: object) -> bytes:
    """Indented, keys in order, a newline at the end: the same data is the same bytes.

    TypeError for what JSON has no word for.
    """
    return (json.dumps(data, indent=1, sort_keys=True) + "\n").encode()


def csv_bytes(rows: Iterable[Mapping[str, object]], columns: tuple[str, ...]) -> bytes:
    """Rows under a heading: the columns named, in their order.

    What a row has beside them is left out, a column it has not stays empty; floats as ``cell``
    shows them. Lines end with a newline alone.
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows({column: cell(value) for column, value in row.items()} for row in rows)
    return out.getvalue().encode()
