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


class FrameModel:
    """Axle, arms, coils and track bar as members of the frame program; ``at``: where the load
    acts.
    """

    def __init__(self, truck: LoadBasis, at: np.ndarray) -> None:
        from Pynite import FEModel3D

        self.truck, self.links = truck, truck.linkage
        self.model = FEModel3D()
        self.model.add_material("steel", E_STEEL, E_STEEL / 2.6, 0.3, 0.0)
        self.model.add_section("stiff", STIFF / 1e3, STIFF, STIFF, STIFF)
        inertia, area = truck.arm_inertia, truck.arm_area
        self.model.add_section("arm", area, inertia, inertia, 2 * inertia)
        self.node("C", self.links.centre)
        self.node("tire", at)
        self.member("hub", "C", "tire")
        for side, letter in enumerate("LR"):
            self.arm(side, letter)
            self.coil(side, letter)
        self.bar()

    def node(self, name: str, place: np.ndarray) -> str:
        self.model.add_node(name, *map(float, place))
        return name

    def member(self, name: str, start: str, end: str, section: str = "stiff") -> None:
        self.model.add_member(name, start, end, "steel", section)

    def pin(self, name: str) -> None:
        """Held in place, free to turn."""
        self.model.def_support(name, True, True, True, False, False, False)

    def bushing(self, name: str, own: str, other: str, at: np.ndarray, row: int) -> None:
        """Radial, axial, torsional and conical rates; ends are tied to the two bodies at ``own``
        and ``other``.
        """
        axis = (self.links.axis_lower if row < 2 else self.links.axis_upper)[row % 2]
        radial, axial, torsion, cone = map(float, self.links.rates[row])
        long = math.sqrt(12 * cone / radial)
        half = axis * long / 2
        self.model.add_section(
            name,
            axial * long / E_STEEL,
            cone * long / E_STEEL,
            cone * long / E_STEEL,
            torsion * long * 2.6 / E_STEEL,
        )
        self.member(f"{name} in", own, self.node(f"{name} a", at - half))
        self.member(f"{name} out", other, self.node(f"{name} b", at + half))
        self.member(name, f"{name} a", f"{name} b", name)

    def arm(self, side: int, letter: str) -> None:
        """Radius arm and upper arm, hung on the axle by their bushings."""
        links = self.links
        # a tenth of a millimeter off: the program joins a member to every node on its line
        off = np.array((0.0, 0.0, 0.1))
        self.node(f"bolt{letter}", links.bolt[side] + off)
        self.node(f"joint{letter}", links.joint[side])
        self.node(f"bracket{letter}", links.upper[side])
        self.node(f"link{letter}", links.mount[side] + off)
        self.bushing(f"low{letter}", "C", f"bolt{letter}", links.bolt[side], side)
        self.bushing(f"up{letter}", "C", f"link{letter}", links.mount[side], 2 + side)
        self.member(f"arm{letter}", f"bolt{letter}", f"joint{letter}", "arm")
        self.member(f"stand{letter}", f"bolt{letter}", f"bracket{letter}")
        self.member(f"upper{letter}", f"bracket{letter}", f"link{letter}")
        self.model.def_releases(f"upper{letter}", Rxi=True, Ryi=True, Rzi=True)
        self.pin(f"joint{letter}")

    def coil(self, side: int, letter: str) -> None:
        """A coil between its seats, the upper one held."""
        truck = self.truck
        low, high = truck.coil_lower[side], truck.coil_upper[side]
        self.node(f"seat{letter}", low)
        self.node(f"top{letter}", high)
        self.member(f"perch{letter}", "C", f"seat{letter}")
        area = truck.coil_rate * float(np.linalg.norm(high - low)) / E_STEEL
        self.model.add_section(f"coil{letter}", area, 1.0, 1.0, 1.0)
        self.member(f"coil{letter}", f"seat{letter}", f"top{letter}", f"coil{letter}")
        self.pin(f"top{letter}")

    def bar(self) -> None:
        """The track bar from axle to frame."""
        self.node("bar axle", self.links.bar_axle)
        self.node("bar frame", self.links.bar_frame)
        self.member("lug", "C", "bar axle")
        self.model.add_section("bar", self.truck.bar_area, 1.0, 1.0, 1.0)
        self.member("bar", "bar axle", "bar frame", "bar")
        self.pin("bar frame")

    def pushed(self, force: np.ndarray) -> tuple[np.ndarray, float]:
        """Reactions at both frame joints and the bar's pull for a force at ``at``."""
        for way, x in zip(("FX", "FY", "FZ"), force, strict=True):
            self.model.add_node_load("tire", way, float(x))
        self.model.analyze_linear(check_stability=False)
        nodes = self.model.nodes
        found = np.array(
            [
                [getattr(nodes[f"joint{s}"], k)["Combo 1"] for k in ("RxnFX", "RxnFY", "RxnFZ")]
                for s in "LR"
            ]
        )
        return found, -float(self.model.members["bar"].axial(0.0, "Combo 1"))


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
    want, want_bar = FrameModel(f, at).pushed(force)
    scale = max(np.abs(want).max(), abs(want_bar))
    assert np.abs((b - a) - want).max() < 0.005 * scale, ((b - a) / 100, want / 100)
    assert math.isclose(abs(bar_b - bar_a), abs(want_bar), abs_tol=0.005 * scale)
