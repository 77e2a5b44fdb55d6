"""What is kept of a plate is given for that plate alone."""

from __future__ import annotations

import pytest
from soapstone.parts.geometry.kept import Kept


def test_made_once_for_the_same_and_again_for_any_other() -> None:
    kept = Kept[list[object]](most=3)
    made: list[object] = []

    def of(x: object) -> list[object]:
        return kept.get(lambda: made.append(x) or [x], x)

    assert of(0.0) is of(0.0) and made == [0.0]
    of(-0.0)
    of(0)
    assert len(made) == 3, "equal, but printed otherwise"
    of("another")
    of(0.0)
    assert len(made) == 5, "the oldest went"


def test_a_refusal_is_not_kept() -> None:
    kept = Kept[int]()
    for _ in range(2):
        with pytest.raises(ZeroDivisionError):
            kept.get(lambda: 1 // 0, "x")
