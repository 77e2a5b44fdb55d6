"""What a family sees of a shop: the plates, tubes, bolts and legs it may choose from.

``stock.Shop`` is one; here stands only what families ask, since stock is built on this room.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol


class PlateRow(Protocol):
    """One plate on hand. Lengths in mm."""

    @property
    def key(self) -> str:
        """As the job and the sheets call it."""

    @property
    def thickness(self) -> float:
        """Nominal."""

    @property
    def measured(self) -> float:
        """As the shop measured it, else nominal."""

    @property
    def steel(self) -> str:
        """Key of the steel table."""


class TubeRow(Protocol):
    """One round tube on hand. Lengths in mm."""

    @property
    def key(self) -> str:
        """As the job and the sheets call it."""

    @property
    def od(self) -> float:
        """Outside diameter."""

    @property
    def wall(self) -> float:
        """Thickness of the wall."""

    @property
    def steel(self) -> str:
        """Key of the steel table."""


class OnHand(Protocol):
    """A shop, as a family asks it. Lengths in mm."""

    @property
    def plates(self) -> Sequence[PlateRow]:
        """Thinnest first."""

    @property
    def tubes(self) -> Sequence[TubeRow]:
        """Every round tube."""

    @property
    def frame_bolts(self) -> tuple[str, ...]:
        """Stock keys of the bolts that may hold a crossmember, smallest first."""

    @property
    def legs(self) -> tuple[float, ...]:
        """Of fillet welds, smallest first."""

    @property
    def inner_radius(self) -> float:
        """Least radius of an inner corner of a plate."""

    @property
    def unit(self) -> str:
        """What the shop cuts in, "in" or "mm"."""

    @property
    def classes(self) -> Mapping[str, str]:
        """Marks of bolts by their use."""

    def plate(self, key: str) -> PlateRow:
        """One plate by its key. KeyError lists the known ones."""

    def tube(self, key: str) -> TubeRow:
        """One tube by its key. KeyError lists the known ones."""
