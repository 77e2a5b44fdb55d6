"""The coil-seat plate in elements is kept from one run for the next: the same to the last digit."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from soapstone.cli.building.cache import SETTING, Cache
from soapstone.parts.geometry.kept import keeping
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.elements import coil_seat_plate
from soapstone.parts.strength.result import Strength, strength
from trucks import truck


def _fresh() -> Strength:
    """The demo's rows as a new process works them."""
    made, solved = truck()
    coil_seat_plate._DONE.clear()
    coil_seat_plate._BEGUN.clear()
    with keeping(Cache().again):
        return strength(made, solved, default_shop())


def test_another_run_takes_the_plate_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SETTING, str(tmp_path / "cache"))
    first = _fresh()
    asked = []

    def never(joint: object) -> coil_seat_plate.Seat:
        asked.append(joint)
        raise AssertionError("it was solved before")

    with monkeypatch.context() as patch:
        patch.setattr(coil_seat_plate, "_settled", never)
        again = _fresh()
    assert not asked and set(again.seats) == set(first.seats) == {"CS1.L", "CS1.R"}
    for part, (own, most) in first.seats.items():
        kept, as_much = again.seats[part]
        assert (kept.per_newton, kept.moved, as_much) == (own.per_newton, own.moved, most)
        for field in ("u", "flat", "skin", "reaction"):
            assert np.array_equal(getattr(kept.solved, field), getattr(own.solved, field)), field
    assert str(again.checks) == str(first.checks)
    coil_seat_plate._DONE.clear()


def test_another_mesh_is_another_plate(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing of coarser sizes is given where finer ones are asked for."""
    monkeypatch.setenv(SETTING, str(tmp_path / "cache"))
    own = _fresh()
    monkeypatch.setattr(coil_seat_plate, "SIZES", (11.0, 1.7, 1.1, 0.8))
    other = _fresh()
    assert other.seats["CS1.L"][0].per_newton != own.seats["CS1.L"][0].per_newton
    assert other.seats["CS1.L"][0].per_newton == pytest.approx(
        own.seats["CS1.L"][0].per_newton, rel=0.03
    )
    coil_seat_plate._DONE.clear()
