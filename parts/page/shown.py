"""What the page tells beside the truck itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from ...layout.graph import Graph
from ...layout.quantities import Key, Reading
from ..drawing.display import Sheet


class PageContents(NamedTuple):
    """What the page tells beside the truck itself.

    Attributes
    ----------
    groups: what each member moves with, by its code.
    places: names of the positions.
    moves: rotation and shift of each group at every position, (positions, 12).
    sheets: drawings to stand in the page.
    links: files of each part, their kind and path.
    documents: title and path of everything printed.
    setout: results: what, value, plus-minus.
    readings: every reading of the job.
    gaps: what comes closest, in words.
    assumed: what nobody measured, in words.
    solved: the layout, by which readings and results are named.
    """

    chassis: str
    date: str
    level: str
    groups: Mapping[str, str]
    places: Sequence[str]
    moves: Mapping[str, Sequence[Sequence[float]]]
    sheets: Sequence[Sheet]
    links: Mapping[str, Sequence[tuple[str, str]]]
    documents: Sequence[tuple[str, str]]
    setout: Sequence[tuple[str, str, str]]
    readings: Mapping[Key, Reading]
    gaps: Sequence[str]
    assumed: Sequence[str]
    solved: Graph
