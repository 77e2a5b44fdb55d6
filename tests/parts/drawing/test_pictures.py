"""Pictures of a few sheets against stored ones that were looked at: where things stand, how wide
lines are and how large letters, within what a rasterizer smooths. ``helpers/pictures.py`` stores
them anew.
"""

from __future__ import annotations

import numpy as np
import pytest
from pictures import CELL, FEW, INK, PICTURES, can_be_made, gray, off, stored

needs = pytest.mark.skipif(not can_be_made(), reason="no pdftoppm (poppler-utils) on this desk")


@needs
@pytest.mark.parametrize("name", PICTURES)
def test_a_sheet_looks_as_it_was_looked_at(name: str) -> None:
    found = off(gray(PICTURES[name]()), stored(name))
    assert found.keys() == {"cells", "ink"}, "another paper"
    assert found["cells"] <= FEW and found["ink"] <= INK, found


@pytest.mark.parametrize("name", PICTURES)
def test_another_sheet_or_one_that_is_moved_or_bolder_is_told(name: str) -> None:
    """By two pixels (1/36 in), by 5 % more ink, by one cell that is empty."""
    want = stored(name)
    assert off(want, want) == {"cells": 0.0, "ink": 0.0}
    assert off(np.roll(want, 2, axis=1), want)["cells"] > FEW
    assert off(np.roll(want, 2, axis=0), want)["cells"] > FEW
    assert off(255.0 - 1.05 * (255.0 - want), want)["ink"] > INK
    others = [off(stored(other), want) for other in PICTURES if other != name]
    assert all("size" in found or found["cells"] > FEW for found in others)
    assert want.shape[0] > 100 * CELL
