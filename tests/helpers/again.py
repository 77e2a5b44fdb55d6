"""What the suite shows on one truck and CI, after it, on the others."""

from __future__ import annotations

from collections.abc import Sequence

import pytest


def once(names: Sequence[str]) -> list[object]:
    """The first of them for the suite, the others with ``-m again`` only."""
    return [names[0], *(pytest.param(name, marks=pytest.mark.again) for name in names[1:])]
