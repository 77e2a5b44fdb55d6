"""Pieces of welds anywhere, for what must hold of any group."""

from __future__ import annotations

import numpy as np
from soapstone.parts.strength.recorded import Pieces


def pieces_anywhere(draw: np.random.Generator, many: int = 5) -> Pieces:
    """Pieces of a weld anywhere, of any length and leg."""
    ends = draw.normal(size=(many, 2, 3)) * 60.0
    return Pieces(
        ends.mean(axis=1),
        np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1),
        draw.uniform(3.0, 9.0, many),
        np.tile((6.0, 400.0), (many, 1)),
        ends,
        np.arange(many),
    )
