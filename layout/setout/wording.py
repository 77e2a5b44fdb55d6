"""How a diagnosis says its numbers: lengths as the tape shows them, cures rounded up so that they
cure.
"""

from __future__ import annotations

import math

from .. import reader, units


def inch(x: float) -> str:
    """Length as the reader's tape shows it: ``23 7/16 in``, ``595.5 mm``; one under half a step in
    decimals.
    """
    if 0 < abs(x) < reader.step() / 2:
        return reader.fine(x)
    return units.show(x, "length")


def up(x: float) -> str:
    """A length to add or take away, rounded up to the tape's next step so that it cures.

    ``x`` mm; its sign stays, the size grows.
    """
    step = reader.step()
    return units.show(math.copysign(math.ceil(abs(x) / step - 1e-6) * step, x), "length")


def degrees(x: float, places: int = 1) -> str:
    """Angle in degrees, as printed; ``x`` rad.

    >>> degrees(math.pi / 6), degrees(math.pi / 6, 0)
    ('30.0 deg', '30 deg')
    """
    return f"{math.degrees(x):.{places}f} deg"


def degrees_up(x: float) -> str:
    """A turn, rounded up to the next 0.1 deg so that it cures; ``x`` rad, printed without sign.

    >>> degrees_up(math.radians(-2.31))
    '2.4 deg'
    """
    return f"{math.ceil(abs(math.degrees(x)) * 10 - 1e-6) / 10:.1f} deg"
