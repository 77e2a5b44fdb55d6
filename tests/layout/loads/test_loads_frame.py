"""Joint forces of every case against a general-purpose frame program (``space_frame``).

Source: PyNiteFEA (MIT), a public library for space frames.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.loads.basis import load_basis
from soapstone.layout.loads.cases import CASES, Case
from soapstone.layout.loads.forces import forces_in
from soapstone.layout.loads.mechanism import Mechanism
from soapstone.layout.setout import solve
from space_frame import FrameModel, worked
from trucks import job


@pytest.mark.parametrize(
    "push",
    [(-1.0, 0.0, 0.0), (0.0, -1.0, 0.2), (0.0, 0.0, 1.0)],
    ids=["braking", "side", "one wheel up"],
)
def test_joint_forces_against_a_frame_program(push: tuple[float, float, float]) -> None:
    f = load_basis(solve(job()).values)
    at = f.linkage.center + np.array((0.0, f.track / 2, -f.tire_radius))
    force = 100.0 * np.array(push)
    m = Mechanism(f)
    still = np.array(((0.0, 0.0, f.wheel), (0.0, 0.0, f.wheel)))

    def own(extra: np.ndarray) -> tuple[np.ndarray, float]:
        def ground(*_: object) -> np.ndarray:
            return still + np.array((extra, np.zeros(3)))

        r = forces_in(m, Case("probe", "often", 1.0, "", "", tires=ground))
        return r.joint, r.bar

    (a, bar_a), (b, bar_b) = own(np.zeros(3)), own(force)
    want, want_bar = FrameModel(f, at).pushed(force)
    scale = max(np.abs(want).max(), abs(want_bar))
    assert np.abs((b - a) - want).max() < 0.005 * scale, ((b - a) / 100, want / 100)
    assert math.isclose(abs(bar_b - bar_a), abs(want_bar), abs_tol=0.005 * scale)


@pytest.mark.parametrize("beside", [False, True], ids=["stop in the coil", "stop beside it"])
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_every_case_against_a_frame_program(case: Case, beside: bool) -> None:
    """Frame joints, track bar and what goes along the coils, stops and limiters in play: within
    half a percent of the largest force at a frame joint. A stop beside the coil pushes at a place
    of its own, four inches outboard and three ahead here.
    """
    truck = load_basis(solve(job()).values)
    if beside:
        pad = truck.coil_lower + np.array(((75.0, 100.0, 0.0), (75.0, -100.0, 0.0)))
        truck = truck._replace(stop_pad=pad)
    own = forces_in(Mechanism(truck), case)
    found = worked(truck, case)
    share = case.share
    scale = max(np.abs(found.joint).max(), abs(found.bar), np.abs(found.along).max())
    joint = np.abs(own.joint / share - found.joint).max() / scale
    bar = abs(abs(own.bar / share) - abs(found.bar)) / scale
    along = np.abs((own.coil - own.strap) / share - found.along).max() / scale
    stop = np.abs(own.stop / share - found.stop).max() / scale
    assert max(joint, bar, along, stop) < 0.005, (case.name, joint, bar, along, stop)
    assert own.residual < 1e-6 * truck.weight, "the axle stands in equilibrium"
