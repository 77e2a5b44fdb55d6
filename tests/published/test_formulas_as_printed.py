"""The formula printed beside a row is what its clause works: every clause, in letters with a
meaning, reworked by a calculator that reads the formula as a person does.
"""

from __future__ import annotations

import inspect

import numpy as np
import pytest
from hand_calculator import worked
from soapstone.parts.pieces._room_rules import ROOM
from soapstone.parts.rules import all_clauses
from soapstone.parts.rules.clause import described
from soapstone.parts.rules.symbols import SYMBOLS, put_into

CLAUSES = {**all_clauses(), "room": ROOM}
RANGES = {
    "MPa": (100.0, 500.0),
    "N_mm": (50.0, 500.0),
    "Nmm": (1e4, 1e7),
    "N": (1e3, 2e4),
    "mm": (20.0, 50.0),
    "d_mm": (8.0, 20.0),
    "t_mm": (3.0, 19.0),
    "slender": (1.0, 300.0),
    "angle_rad": (0.0, 1.5),
    "span_mm": (90.0, 200.0),
    "deep_mm": (90.0, 200.0),
}
FLAGS = ("cyclic", "stitched")


def drawn(name: str, random: np.random.Generator) -> float:
    """A number for an argument, as its name or its unit has it."""
    if name in FLAGS:
        return float(random.integers(2))
    ends = [name, *(end for end in RANGES if name.endswith("_" + end))]
    low, high = next((RANGES[end] for end in ends if end in RANGES), (0.5, 3.0))
    return float(random.uniform(low, high))


@pytest.mark.parametrize("name", sorted(CLAUSES))
def test_the_formula_gives_what_the_clause_gives(name: str) -> None:
    clause, random = CLAUSES[name], np.random.default_rng(1)
    for _ in range(40):
        given = {arg: drawn(arg, random) for arg in inspect.signature(clause).parameters}
        put = put_into(clause, given)
        letters = {each.letter: each.value for each in put}
        assert len(letters) == len(put), "a letter stands twice"
        assert all(each.says for each in put)
        wanted = tuple(float(each) for each in clause(**given))
        assert worked(clause.formula, letters) == pytest.approx(wanted, rel=2e-5)


def test_every_letter_explained_is_used() -> None:
    used = {name for clause in CLAUSES.values() for name in inspect.signature(clause).parameters}
    used |= {name for clause in CLAUSES.values() for name in clause.also}
    own = {
        name
        for clause in CLAUSES.values()
        for name, letter in clause.letters.items()
        if isinstance(letter, tuple)
    }
    assert used - set(FLAGS) - own == set(SYMBOLS) - own
    assert not own & set(SYMBOLS), "explained in two places"


def test_a_clause_may_explain_a_letter_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Which no list has; without it the letter is nobody's."""

    def pressed(*, force_N: float, pressed_mm: float) -> tuple[float, float]:
        return force_N, 2.0 * pressed_mm

    entered = described(pressed, "none", formula="F <= 2 lb", tag="practice")
    given = {"force_N": 3.0, "pressed_mm": 4.0}
    with pytest.raises(KeyError, match="pressed_mm"):
        put_into(entered, given)
    monkeypatch.setattr(
        entered, "letters", {"pressed_mm": ("lb", "length pressed"), "force_N": "R"}
    )
    assert put_into(entered, given) == (
        ("R", "force", 3.0, "N"),
        ("lb", "length pressed", 4.0, "mm"),
    )
