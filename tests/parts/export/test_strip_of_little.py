"""A strip hardly longer than the spacing: one weld washer on a whole sheet, or one left over."""

from __future__ import annotations

from functools import partial

import pytest
from soapstone.parts.export.nest import fill
from soapstone.parts.export.packing import Piece, strip
from soapstone.parts.stock import SheetOnHand, default_shop

SHOP = default_shop()._replace(spacing=9.5, margin=10.0)
WIDE = SheetOnHand("1/4 A36", "s", 1219.0, 2438.0)


def square(size: float, copies: int = 1) -> Piece:
    corners = ((0.0, 0.0), (size, 0.0), (size, size), (0.0, size))
    return Piece("WW1", "1/4 A36", corners, size * size, copies)


@pytest.mark.parametrize("size", [5.0, 20.0, 60.0, 110.0, 124.0, 140.0, 300.0])
@pytest.mark.parametrize("copies", [1, 2])
def test_however_little_it_is_all_of_it_is_laid(size: float, copies: int) -> None:
    """Every one within the margins; nothing a library ends with reaches whoever nests."""
    found = strip([square(size, copies)], WIDE, SHOP, 1)
    assert len(found) == copies
    for lie in found:
        assert lie.x >= 10.0 - 0.01 and lie.y >= 10.0 - 0.01


def test_what_is_left_for_the_next_sheet_is_laid_there() -> None:
    """Sheets of one row: whatever is over lies on the next, the last piece alone too."""
    row = WIDE._replace(length=64.0, quantity=4)
    for copies in (1, 2, 25):
        sheets, lost = fill([square(40.0, copies)], SHOP, partial(strip, seconds=1), [row], 0)
        assert not lost
        assert sum(lie.name == "WW1" for sheet in sheets for lie in sheet.placed) == copies
