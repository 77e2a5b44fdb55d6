"""Axle and brackets as very stiff members of a general-purpose frame program, arms with their own
bending, each bushing as a beam whose middle stands at the bushing's: of length l it moves there
with 12 EI/l^3 and turns with EI/l, uncoupled, so that l = sqrt(12 cone/radial) gives both rates
exactly.

Source: PyNiteFEA (MIT), a public library for space frames.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from soapstone.layout.loads.basis import E_STEEL, LoadBasis
from soapstone.layout.loads.cases import Case, tire_forces
from soapstone.layout.loads.mechanism import SOLID_AT, SOLID_STOP, STRAP

STIFF = 1e10
STOP_LONG = 1000.0
MOVES = ("DX", "DY", "DZ")


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
        self.node("C", self.links.center)
        self.node("tire", at)
        self.member("hub", "C", "tire")
        for side, letter in enumerate("LR"):
            self.arm(side, letter)
            self.coil(side, letter)
            self.stop(side, letter)
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

    def stop(self, side: int, letter: str) -> None:
        """A stop of its own place, upright, a meter of it held; its rate is set as it touches."""
        if self.truck.stop_pad is None:
            return
        at = self.truck.stop_pad[side]
        self.node(f"pad{letter}", at)
        self.node(f"hung{letter}", at + np.array((0.0, 0.0, STOP_LONG)))
        self.member(f"leg{letter}", "C", f"pad{letter}")
        self.model.add_section(f"stop{letter}", 1e-9, 1.0, 1.0, 1.0)
        self.member(f"stop{letter}", f"pad{letter}", f"hung{letter}", f"stop{letter}")
        self.pin(f"hung{letter}")

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
        self.push("tire", force)
        return self.joints_and_bar()

    def push(self, name: str, force: np.ndarray) -> None:
        """A force at a node."""
        for way, x in zip(("FX", "FY", "FZ"), force, strict=True):
            self.model.add_node_load(name, way, float(x))

    def joints_and_bar(self) -> tuple[np.ndarray, float]:
        """Reactions at both frame joints and the bar's pull under what is applied."""
        self.model.analyze_linear(check_stability=False)
        nodes = self.model.nodes
        found = np.array(
            [
                [getattr(nodes[f"joint{s}"], k)["Combo 1"] for k in ("RxnFX", "RxnFY", "RxnFZ")]
                for s in "LR"
            ]
        )
        return found, -float(self.model.members["bar"].axial(0.0, "Combo 1"))


class Worked(NamedTuple):
    """``joint`` (2, 3), ``bar``, what goes along each coil's axis into the axle without the stop
    (2,) and each stop's push (2,), N.
    """

    joint: np.ndarray
    bar: float
    along: np.ndarray
    stop: np.ndarray


def worked(truck: LoadBasis, case: Case) -> Worked:
    """One case in the frame program: coils begin at their preload; stops and limiters are springs
    that are added where what they touch has moved so far, until none is missing and none too many.
    """
    gaps = (truck.stop_gap, truck.stop_gap + truck.stop_squash, -truck.strap_gap)
    rates = (truck.wheel * SOLID_AT / truck.stop_squash, SOLID_STOP, STRAP)
    on = np.zeros((2, 4), dtype=bool)
    on[:, 0] = True
    for _ in range(12):
        below = np.array((0.0, 0.0, -truck.tire_radius))
        frame = FrameModel(truck, truck.linkage.center + below)
        ways = _applied(frame, case)
        for side, letter in enumerate("LR"):
            push = truck.preload[side] * on[side, 0] * -ways[side]
            springs = list(zip(on[side, 1:], rates, gaps, strict=True))
            if truck.stop_pad is not None:
                _set_stop(frame, letter, springs[:2])
                springs = springs[2:]
            rate = truck.coil_rate * on[side, 0]
            for there, stiff, gap in springs:
                rate += stiff * there
                push = push + there * stiff * gap * ways[side]
            long = float(np.linalg.norm(truck.coil_upper[side] - truck.coil_lower[side]))
            frame.model.sections[f"coil{letter}"].A = max(rate, 1e-6) * long / E_STEEL
            frame.push(f"seat{letter}", push)
        joint, bar = frame.joints_and_bar()
        moved = [_moved(frame, f"seat{letter}") for letter in "LR"]
        lift = np.array([ways[side] @ moved[side] for side in (0, 1)])
        into = lift
        if truck.stop_pad is not None:
            into = np.array([_moved(frame, f"pad{letter}")[2] for letter in "LR"])
        now = np.column_stack(
            (
                lift > -truck.preload / truck.coil_rate,
                into > gaps[0],
                into > gaps[1],
                lift < gaps[2],
            )
        )
        if (now == on).all():
            coil = on[:, 0] * (truck.preload + truck.coil_rate * lift)
            stop = on[:, 1] * rates[0] * (into - gaps[0]) + on[:, 2] * rates[1] * (into - gaps[1])
            return Worked(joint, bar, coil + on[:, 3] * rates[2] * (lift - gaps[2]), stop)
        on = now
    raise AssertionError("stops and limiters do not settle")


def _moved(frame: FrameModel, node: str) -> np.ndarray:
    """How far a node has moved (3,), mm."""
    return np.array([getattr(frame.model.nodes[node], way)["Combo 1"] for way in MOVES])


def _set_stop(frame: FrameModel, letter: str, springs: list[tuple[bool, float, float]]) -> None:
    """A stop beside the coil as stiff as what of it touches, pushed down by what is left of its
    way.
    """
    rate = sum(stiff * there for there, stiff, _ in springs)
    frame.model.sections[f"stop{letter}"].A = max(rate, 1e-6) * STOP_LONG / E_STEEL
    push = sum(there * stiff * gap for there, stiff, gap in springs)
    frame.push(f"pad{letter}", np.array((0.0, 0.0, push)))


def _applied(frame: FrameModel, case: Case) -> np.ndarray:
    """Ground on both tires and the axle's weight put on; the coils' directions, upward."""
    truck = frame.truck
    ground, places = tire_forces(truck, case), case.at(truck)
    for side, (letter, way) in enumerate(zip("LR", (1, -1), strict=True)):
        hub = truck.linkage.center + np.array((0.0, way * truck.track / 2, 0.0))
        frame.node(f"ground{letter}", hub + places[side])
        frame.member(f"wheel{letter}", "C", f"ground{letter}")
        frame.push(f"ground{letter}", ground[side])
    frame.push("C", np.array((0.0, 0.0, -truck.unsprung)))
    coils = truck.coil_upper - truck.coil_lower
    return np.asarray(coils / np.linalg.norm(coils, axis=1, keepdims=True))
