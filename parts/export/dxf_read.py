"""Entities of a cut file read back as a table reads them: group code by group code, by nothing that
wrote them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

Tag = tuple[int, str]


class ReadError(ValueError):
    """A file that is no whole DXF; its words say why."""


class ReadEntity(NamedTuple):
    """One entity as a table's controller would see it, in the file's unit.

    Attributes
    ----------
    kind, layer : str
        As they stand in the file.
    rows : tuple of (x, y, bulge)
        Corners of a line; the middle of a circle.
    closed : bool
        Whether the last corner joins the first.
    radius : float
        Of a circle.
    """

    kind: str
    layer: str
    rows: tuple[tuple[float, float, float], ...]
    closed: bool
    radius: float


def entities(text: str) -> list[ReadEntity]:
    """Every entity of model space; a line of R12 with its corners is one.

    Raises
    ------
    ReadError
        A file that is cut off, a code or a number that is none, a corner without its y, handles
        that stand twice or are not below the seed.
    """
    found = list[ReadEntity]()
    seen = set[int]()
    tags = _tags(text)
    for kind, own in _apart(_section(tags, "ENTITIES")):
        handle = int(_first(own, 5, "-1"), 16)
        if handle in seen or handle <= 0:
            raise ReadError(f"handle {handle:X} twice or none")
        seen.add(handle)
        if kind == "VERTEX":
            if not found or found[-1].kind != "POLYLINE":
                raise ReadError("a corner of no line")
            rows = (*found[-1].rows, *_rows(own))
            found[-1] = found[-1]._replace(rows=rows)
        elif kind != "SEQEND":
            found.append(_read(kind, own))
    seed = _seed(tags)
    if any(handle >= seed for handle in seen):
        raise ReadError("a handle that is not below the seed")
    return found


def _read(kind: str, own: list[Tag]) -> ReadEntity:
    rows = () if kind == "POLYLINE" else _rows(own)
    if kind == "LWPOLYLINE" and len(rows) != int(_first(own, 90, "-1")):
        raise ReadError("a line that has not as many corners as it says")
    radius = float(_first(own, 40, "0")) if kind == "CIRCLE" else 0.0
    return ReadEntity(kind, _first(own, 8, ""), rows, bool(int(_first(own, 70, "0")) & 1), radius)


def _tags(text: str) -> list[Tag]:
    lines = text.splitlines()
    try:
        tags = [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]
    except ValueError as e:
        raise ReadError("lines that are no pairs of code and value") from e
    if not tags or tags[-1] != (0, "EOF"):
        raise ReadError("no end of file")
    return tags


def _seed(tags: list[Tag]) -> int:
    return int(tags[tags.index((9, "$HANDSEED")) + 1][1], 16)


def _section(tags: list[Tag], name: str) -> list[Tag]:
    """A section from its name to its end."""
    try:
        start = tags.index((2, name))
        return tags[start : tags.index((0, "ENDSEC"), start)]
    except ValueError as e:
        raise ReadError(f"no section {name}") from e


def _apart(tags: list[Tag]) -> Iterator[tuple[str, list[Tag]]]:
    """Entities: kind, and their tags."""
    starts = [index for index, (code, _) in enumerate(tags) if code == 0]
    for start, end in zip(starts, [*starts[1:], len(tags)], strict=True):
        yield tags[start][1], tags[start:end]


def _first(tags: list[Tag], code: int, otherwise: str) -> str:
    return next((value for tag, value in tags if tag == code), otherwise)


def _rows(tags: list[Tag]) -> tuple[tuple[float, float, float], ...]:
    """Corners: 10 begins one, 20 and 42 belong to the one before."""
    rows = list[list[float]]()
    at = {10: 0, 20: 1, 42: 2}
    try:
        for code, value in tags:
            place = at.get(code)
            if place == 0:
                rows.append([float(value), math.nan, 0.0])
            elif place is not None:
                rows[-1][place] = float(value)
    except (ValueError, IndexError) as e:
        raise ReadError("a corner that is no number") from e
    if not all(math.isfinite(number) for row in rows for number in row):
        raise ReadError("a corner that has no place")
    return tuple((x, y, bulge) for x, y, bulge in rows)
