"""Joint forces against a general-purpose frame program: axle and brackets as very stiff members,
arms with their own bending, each bushing as a beam whose middle stands at the bushing's: of length
l it moves there with 12 EI/l^3 and turns with EI/l, uncoupled, so that l = sqrt(12 cone/radial)
gives both rates exactly.

Source: PyNiteFEA (MIT), a public library for space frames.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from soapstone.layout.loads.basis import E_STEEL, LoadBasis, load_basis
from soapstone.layout.loads.cases import Case
from soapstone.layout.loads.forces import forces_in
from soapstone.layout.loads.mechanism import Mechanism
from soapstone.layout.setout import solve
from trucks import job

STIFF = 1e10


def frame(f: LoadBasis, force: np.ndarray, at: np.ndarray) -> tuple[np.ndarray, float]:
    """Reactions at both frame joints and the bar's pull for a force on the axle, in the frame
    program.
    """
    from Pynite import FEModel3D

    m = FEModel3D()
    m.add_material("steel", E_STEEL, E_STEEL / 2.6, 0.3, 0.0)
    m.add_section("stiff", STIFF / 1e3, STIFF, STIFF, STIFF)
    lk = f.linkage

    def node(name: str, p: np.ndarray) -> str:
        m.add_node(name, *map(float, p))
        return name

    def member(name: str, a: str, b: str, section: str = "stiff") -> None:
        m.add_member(name, a, b, "steel", section)

    def bushing(
        name: str, own: str, other: str, p: np.ndarray, axis: np.ndarray, rates: np.ndarray
    ) -> None:
        """Radial, axial, torsional and conical rates; ends are tied to the two bodies at ``own``
        and ``other``.
        """
        radial, axial, torsion, cone = map(float, rates)
        long = math.sqrt(12 * cone / radial)
        half = axis * long / 2
        m.add_section(
            name,
            axial * long / E_STEEL,
            cone * long / E_STEEL,
            cone * long / E_STEEL,
            torsion * long * 2.6 / E_STEEL,
        )
        member(f"{name} in", own, node(f"{name} a", p - half))
        member(f"{name} out", other, node(f"{name} b", p + half))
        member(name, f"{name} a", f"{name} b", name)

    node("C", lk.centre)
    node("tyre", at)
    member("hub", "C", "tyre")
    inertia, area = f.arm_inertia, f.arm_area
    m.add_section("arm", area, inertia, inertia, 2 * inertia)
    for i, s in enumerate("LR"):
        # a tenth of a millimeter off: the program joins a member to every node on its line
        node(f"bolt{s}", lk.bolt[i] + (0.0, 0.0, 0.1))
        node(f"joint{s}", lk.joint[i])
        node(f"bracket{s}", lk.upper[i])
        node(f"link{s}", lk.mount[i] + (0.0, 0.0, 0.1))
        bushing(f"low{s}", "C", f"bolt{s}", lk.bolt[i], lk.axis_lower[i], lk.rates[i])
        bushing(f"up{s}", "C", f"link{s}", lk.mount[i], lk.axis_upper[i], lk.rates[2 + i])
        member(f"arm{s}", f"bolt{s}", f"joint{s}", "arm")
        member(f"stand{s}", f"bolt{s}", f"bracket{s}")
        member(f"upper{s}", f"bracket{s}", f"link{s}")
        m.def_releases(f"upper{s}", Rxi=True, Ryi=True, Rzi=True)
        m.def_support(f"joint{s}", True, True, True, False, False, False)
        node(f"seat{s}", f.coil_lower[i])
        node(f"top{s}", f.coil_upper[i])
        member(f"perch{s}", "C", f"seat{s}")
        m.add_section(
            f"coil{s}",
            f.coil_rate * float(np.linalg.norm(f.coil_upper[i] - f.coil_lower[i])) / E_STEEL,
            1.0,
            1.0,
            1.0,
        )
        member(f"coil{s}", f"seat{s}", f"top{s}", f"coil{s}")
        m.def_support(f"top{s}", True, True, True, False, False, False)
    node("bar axle", lk.bar_axle)
    node("bar frame", lk.bar_frame)
    member("lug", "C", "bar axle")
    m.add_section("bar", f.bar_area, 1.0, 1.0, 1.0)
    member("bar", "bar axle", "bar frame", "bar")
    m.def_support("bar frame", True, True, True, False, False, False)
    for way, x in zip(("FX", "FY", "FZ"), force, strict=True):
        m.add_node_load("tyre", way, float(x))
    m.analyze_linear(check_stability=False)
    got = np.array(
        [
            [getattr(m.nodes[f"joint{s}"], k)["Combo 1"] for k in ("RxnFX", "RxnFY", "RxnFZ")]
            for s in "LR"
        ]
    )
    return got, -float(m.members["bar"].axial(0.0, "Combo 1"))


@pytest.mark.parametrize(
    "push",
    [(-1.0, 0.0, 0.0), (0.0, -1.0, 0.2), (0.0, 0.0, 1.0)],
    ids=["braking", "side", "one wheel up"],
)
def test_joint_forces_against_a_frame_program(push: tuple[float, float, float]) -> None:
    f = load_basis(solve(job()).values)
    at = f.linkage.centre + np.array((0.0, f.track / 2, -f.tire_radius))
    force = 100.0 * np.array(push)
    m = Mechanism(f)
    still = np.array(((0.0, 0.0, f.wheel), (0.0, 0.0, f.wheel)))

    def own(extra: np.ndarray) -> tuple[np.ndarray, float]:
        def ground(*_: object) -> np.ndarray:
            return still + np.array((extra, np.zeros(3)))

        r = forces_in(m, Case("probe", "often", 1.0, "", "", tires=ground))
        return r.joint, r.bar

    (a, bar_a), (b, bar_b) = own(np.zeros(3)), own(force)
    want, want_bar = frame(f, force, at)
    scale = max(np.abs(want).max(), abs(want_bar))
    assert np.abs((b - a) - want).max() < 0.005 * scale, ((b - a) / 100, want / 100)
    assert math.isclose(abs(bar_b - bar_a), abs(want_bar), abs_tol=0.005 * scale)
