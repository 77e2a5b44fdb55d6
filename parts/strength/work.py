"""The placed truck's members, bolts and welds by name, with the thickness and steel of each."""

from __future__ import annotations

import copy
import itertools
import math
from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.basis import load_basis
from ...layout.loads.forces import Forces
from ...layout.quantities import Key
from .. import stock
from ..design import drilling
from ..model.assembly import Bolt, Weld
from ..model.body import Plate, Tube
from ..model.codes import is_rail, side_of
from ..model.hold import PlateSize
from ..placed.fit import weld_line
from ..stock import Shop, TubeOnHand
from ..stock.materials import Materials, materials
from ..truck import roles
from ..truck.truck import Truck
from .asked import Asked
from .recorded import GroupWorked, Meshed, Ranged, Root, WeldGroup

RING = 16
"""Straight pieces a weld round a tube is worked in."""
SHORTEST, LONGEST = 1e-6, 40.0
"""Pieces of a weld line that count, mm: what is longer is the step from one face to the other."""


class Work:
    """The truck under its loads: what holds are worked from, and what working them recorded.

    ``rows``: the forces of each case; ``explains``: rows say where their numbers come from.
    ``groups``, ``roots``: weld groups and ears, for the everyday and tack sets; ``grouped``: weld
    groups as they were worked; ``welded``: part, words of its rows and the welds those rows hold;
    ``at_hole``: an ear's share of a load by ear and bolt; ``meshed``: plates in elements;
    ``ranged``: tubes beside their welds; ``worked``: ids of the holds that gave a row;
    ``waiting``: member -> readings a row of it waits for.
    """

    def __init__(
        self,
        truck: Truck,
        shop: Shop,
        values: Mapping[Key, float],
        rows: Sequence[Forces],
        made_of: Materials | None = None,
        *,
        explains: bool = False,
    ) -> None:
        self.explains = explains
        self.truck, self.shop, self.values, self.rows = truck, shop, values, rows
        self.made_of = made_of or materials(truck.words, shop, roles.steel_fields())
        self.asked = Asked()
        table = self.asked.table
        self.members = table("member", {m.code: m for m in truck.assembly.members})
        self.parts = table("part", {part.id: part for part in truck.singles})
        self.bolts = table("bolt", {bolt.id: bolt for bolt in truck.assembly.bolts})
        self.welds = table("weld", {weld.id: weld for weld in truck.assembly.welds})
        self._welds_of = table("welds of", _welds_of(truck.assembly.welds))
        self._bolts_of = table("bolts of", _bolts_of(truck.assembly.bolts))
        self._rails: dict[str, PlateSize] = {}
        self.basis = load_basis(values)
        self.wheel = self.basis.wheel
        self._forget()

    def _forget(self) -> None:
        self.groups: list[WeldGroup] = []
        self.roots: list[Root] = []
        self.grouped: list[GroupWorked] = []
        self.meshed: dict[str, Meshed] = {}
        self.ranged: list[Ranged] = []
        self.worked: set[str] = set()
        self.waiting: dict[str, tuple[Key, ...]] = {}
        self.welded: list[tuple[str, str, tuple[str, ...]]] = []
        self.at_hole: dict[tuple[str, str], Callable[[Forces], Array]] = {}

    def alone(self) -> Work:
        """The same truck in the same cases with nothing recorded yet."""
        other = copy.copy(self)
        other._forget()
        return other

    def welds_of(self, *codes: str) -> list[Weld]:
        """Welds on or against any of these members, in the order of the truck."""
        found = {weld.id for code in codes for weld in self._welds_of.get(code, ())}
        return [weld for weld in self.truck.assembly.welds if weld.id in found]

    def bolts_of(self, *starts: str) -> list[Bolt]:
        """Bolts whose id is one of these up to its number, in the order of the truck."""
        found = {bolt.id for start in starts for bolt in self._bolts_of.get(start, ())}
        return [bolt for bolt in self.truck.assembly.bolts if bolt.id in found]

    def tube(self, code: str) -> TubeOnHand | None:
        """A tube as it is on hand, its steel as read; None where there is none."""
        member = self.members.get(code)
        if member is None or not isinstance(member.body, Tube):
            return None
        got = self.shop.tube(member.body.stock)
        return got._replace(steel=self.made_of.tube(code, got).name)

    def plate(self, code: str) -> PlateSize:
        """Smaller of nominal and measured thickness, mm, and yield and tensile strength, MPa, of a
        plate by its code with its side.
        """
        body = self.members[code].body
        assert isinstance(body, Plate)
        found = self.shop.plate(body.stock)
        steel = stock.steel(found.steel)
        return PlateSize(min(found.thickness, found.measured), steel.fy, steel.fu)

    def rail(self, side: str) -> PlateSize:
        """Least wall read of a side's rail, mm, 0 where none was, with the strength of its steel,
        MPa.
        """
        if side not in self._rails:
            walls = [
                value
                for key, value in self.values.items()
                if key.side == side
                and key.name.startswith("frame.station.")
                and key.name.endswith(".wall")
            ]
            steel = self.made_of.rail
            self._rails[side] = PlateSize(min(walls, default=0.0), steel.fy, steel.fu)
        return self._rails[side]

    def steel_of(self, code: str) -> tuple[float, float]:
        """Thickness, mm, and tensile strength, MPa, of what a weld or bolt meets, by its code:
        plate, tube, rail or axle; zeros where they are not known.
        """
        member = self.members.get(code)
        if member is None:
            return 0.0, 0.0
        if isinstance(member.body, Plate):
            size = self.plate(code)
            return size.thick, size.fu
        if isinstance(member.body, Tube):
            tube = self.tube(code)
            assert tube is not None
            return tube.wall, stock.steel(tube.steel).fu
        if is_rail(member):
            rail = self.rail(side_of(code))
            return rail.thick, rail.fu
        if code == "axle.C":
            return self.values.get(Key("axle.tube_wall", "C"), 0.0), self.made_of.axle.fu
        return 0.0, 0.0

    def wall(self, weld: Weld) -> tuple[float, float]:
        """Thickness, mm, and tensile strength, MPa, of the weaker of what a weld joins, by their
        product; no end of thickness where neither is known, so that the weld itself governs.
        """
        return min(
            (
                (thick, strength)
                for code in (weld.on, weld.to)
                for thick, strength in [self.steel_of(code)]
                if thick
            ),
            key=lambda row: row[0] * row[1],
            default=(math.inf, self.made_of.rail.fu),
        )

    def segments(self, weld: Weld) -> list[tuple[Array, Array]]:
        """A weld's line as straight pieces, each its two ends (3,), mm, truck axes; round a tube's
        end a ring of ``RING``, square across the tube even where it is coped. None for what is not
        placed.
        """
        member = self.members.get(weld.on)
        if member is None:
            return []
        if isinstance(member.body, Tube):
            return self._ring(weld)
        if not isinstance(member.body, Plate):
            return []
        thick = self.shop.plate(member.body.stock).thickness
        faces = ("bottom", "top") if weld.face == "both" else (weld.face,)
        lines = [
            weld_line(member, edge, thick, face, weld.stop) for edge in weld.edges for face in faces
        ]
        return [
            (start, end)
            for line in lines
            for start, end in itertools.pairwise(line)
            if SHORTEST < np.linalg.norm(end - start) < LONGEST
        ]

    def _ring(self, weld: Weld) -> list[tuple[Array, Array]]:
        """Square across the tube, also where its end is coped."""
        member, tube = self.members[weld.on], self.tube(weld.on)
        assert tube is not None and isinstance(member.body, Tube)
        along = np.array(member.place.x)
        across = np.array(member.place.z)
        third = np.cross(across, along)
        found: list[tuple[Array, Array]] = []
        for end in weld.edges:
            middle = np.array(member.place.origin) + along * (
                member.body.length if end == "end1" else 0.0
            )
            turn = np.linspace(0.0, math.tau, RING + 1)[:, None]
            points = middle + tube.od / 2 * (np.cos(turn) * across + np.sin(turn) * third)
            found += itertools.pairwise(points)
        return found

    def bar_way(self) -> Array:
        """Direction of the track bar from axle to frame, (3,), one long, truck axes."""
        span = np.array(
            [
                self.values[Key(f"bar.frame.{axis}", "C")]
                - self.values[Key(f"bar.axle.{axis}", "C")]
                for axis in "xyz"
            ]
        )
        return np.asarray(span / np.linalg.norm(span))

    def middle(self, bolt: Bolt) -> Array:
        """Where a bolt's joint has its middle, (3,) mm, truck axes: half of what its ears span, the
        bolt's own place where it passes none.

        What it clamps between them, a sleeve or a joint, has no say in it.
        """
        at, along = np.array(bolt.at), np.array(bolt.along)
        ends: list[float] = []
        for code in bolt.through:
            if code in self.parts and isinstance(self.members[code].body, Plate):
                thick = self.plate(code).thick
                face = drilling.face(self.members[code], bolt, thick)
                normal = np.array(face.z)
                start = float((np.array(face.origin) - at) @ normal / (along @ normal))
                ends += [start, start + float(thick / (along @ normal))]
        return np.asarray(at + along * ((min(ends) + max(ends)) / 2 if ends else 0.0))


def _welds_of(welds: Iterable[Weld]) -> Mapping[str, tuple[Weld, ...]]:
    """Welds by the member they are on or against."""
    found: dict[str, list[Weld]] = {}
    for weld in welds:
        for code in {weld.on, weld.to}:
            found.setdefault(code, []).append(weld)
    return {code: tuple(each) for code, each in found.items()}


def _bolts_of(bolts: Iterable[Bolt]) -> Mapping[str, tuple[Bolt, ...]]:
    """Bolts by their id up to its number."""
    found: dict[str, list[Bolt]] = {}
    for bolt in bolts:
        found.setdefault(bolt.id.partition("#")[0], []).append(bolt)
    return {start: tuple(each) for start, each in found.items()}
