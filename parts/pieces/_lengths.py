"""Lengths as the shop cuts them: every free size is rounded here, once. All in mm."""

from __future__ import annotations

import math

from ..model.on_hand import OnHand

IN = 25.4


def round_up(x: float, step: float = IN / 16) -> float:
    """The next multiple of ``step`` at or above ``x`` (a free size to the shop's increment)."""
    return math.ceil(x / step - 1e-6) * step


def round_down(x: float, step: float = IN / 16) -> float:
    """The multiple of ``step`` at or below ``x``."""
    return math.floor(x / step + 1e-6) * step


def round_near(x: float, step: float = IN / 16) -> float:
    """The multiple of ``step`` nearest ``x``."""
    return math.floor(x / step + 0.5) * step


def tape_step(shop: OnHand) -> float:
    """What tube is cut to: 1/16 in, or 1 mm where the shop's files are cut in mm.

    A length is rounded here, once.
    """
    return 1.0 if shop.unit == "mm" else IN / 16
