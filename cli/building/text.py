"""Data and tables as text files: JSON keeps every digit, CSV is for people."""

from __future__ import annotations

import csv
import io
import json
from typing import Any


def cell(value: Any) -> Any:
    """A number for a person: three decimals at most; JSON keeps them all."""
    return (
        f"{round(value + 1e-9, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
        if isinstance(value, float)
        else value
    )


def json_bytes(data: Any) -> bytes:
    """Indented, keys in order."""
    return (json.dumps(data, indent=1, sort_keys=True) + "\n").encode()


def csv_bytes(rows: list[dict[str, Any]], columns: tuple[str, ...]) -> bytes:
    """Rows under a heading, the columns named."""
    out = io.StringIO()
    w = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    w.writeheader()
    w.writerows({k: cell(v) for k, v in r.items()} for r in rows)
    return out.getvalue().encode()
