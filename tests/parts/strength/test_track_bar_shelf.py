"""The track bar's bracket at the axle as its rows work it, against plates in a space-frame program
(PyNite's quadrilaterals; clamped where the tube is foremost, the ears' forces at their feet).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest
from Pynite import FEModel3D
from soapstone.layout.units import IN
from soapstone.parts.design.sizing import Check
from soapstone.parts.geometry import outline
from soapstone.parts.model.assembly import Member
from soapstone.parts.model.body import Plate
from soapstone.parts.model.vectors import Vec2
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from trucks import truck

E_STEEL, POISSON = 200_000.0, 0.3
COMBO = "Combo 1"


class Shape(NamedTuple):
    """The bracket from the axle tube's middle, mm, as the finished parts lie."""

    tube: float
    shelf: float
    web: float
    begins: float
    ends: float
    tip: float
    under: Callable[[float], float]
    apart: float
    bolt: tuple[float, float]
    ears: tuple[float, float]
    rib: float
    plate: float


def part(code: str) -> Member:
    return next(m for m in truck()[0].assembly.members if m.code == code)


def places(code: str, edge: str = "") -> list[tuple[float, float]]:
    """Corners of a plate ahead of and over the tube's middle."""
    member, tube = part(code), part("TB9.R").place.origin
    assert isinstance(member.body, Plate)
    corners: list[Vec2] = [
        end
        for one, to in outline.spans(member.body.outline)
        if edge in ("", one.name)
        for end in (one.start, to)
    ]
    found = [member.place.out((*corner, 0.0)) for corner in corners]
    return sorted((x - tube[0], z - tube[2]) for x, _, z in found)


@cache
def shape() -> Shape:
    made, solved = truck()
    shop = default_shop()

    def thick(code: str) -> float:
        body = part(code).body
        assert isinstance(body, Plate)
        return shop.plate(body.stock).thickness

    ribs = [part(code).place.origin for code in ("TB9.R", "TB10.R")]
    bolt = next(b for b in made.assembly.bolts if b.id == "bar.axle#1.R").at
    middles = [part(code).place.out((0.0, 0.0, thick(code) / 2))[0] for code in ("TB6.R", "TB5.R")]
    ears = [middle - ribs[0][0] for middle in middles]
    rib, plate, under = thick("TB9.R"), thick("TB4.R"), places("TB9.R", "under")
    return Shape(
        next(v for k, v in solved.values.items() if k.name == "axle.tube_diameter") / 2,
        places("TB4.R")[0][1] + plate / 2,
        places("TB11.R")[0][1] + plate / 2,
        places("TB4.R")[0][0],
        places("TB11.R")[-1][0],
        under[-1][0],
        lambda x: float(np.interp(x, *zip(*under, strict=True))),
        abs(ribs[0][1] - ribs[1][1]) + rib,
        ((ears[0] + ears[1]) / 2, bolt[2] - ribs[0][2]),
        (ears[0] - plate / 2, ears[1] + plate / 2),
        rib,
        plate,
    )


class Plates:
    """The bracket in quadrilaterals under one force across the truck."""

    def __init__(self, of: Shape, force: float, *, with_web: bool) -> None:
        self.of, self.model, self.nodes = of, FEModel3D(), dict[tuple[float, ...], str]()
        shear = E_STEEL / 2 / (1 + POISSON)
        self.model.add_material("steel", E_STEEL, shear, POISSON, 0.0)
        stops = (of.tube, of.begins, of.ears[0], of.ends, of.ears[1], of.tip)
        self.along = np.unique(
            np.concatenate(
                [np.linspace(a, b, max(2, int((b - a) / 9))) for a, b in pairwise(stops)]
            ).round(6)
        )
        self.across = np.linspace(-of.apart / 2, of.apart / 2, 8)
        for side in (0, -1):
            self.sheet(lambda x, n, y=self.across[side]: (x, y, self.rows(x)[n]), of.rib, of.tube)
        self.sheet(lambda x, n: (x, self.across[n], of.shelf), of.plate, of.begins)
        if with_web:
            self.sheet(lambda x, n: (x, self.across[n], of.web), of.plate, of.tube, of.ends)
        for place, node in self.nodes.items():
            if place[0] == round(of.tube, 4):
                self.model.def_support(node, *[True] * 6)
        self.pull(force)
        self.model.analyze_linear(sparse=True)

    def rows(self, x: float) -> np.ndarray:
        below = np.linspace(self.of.under(x), self.of.web, 5)
        return np.concatenate([below, np.linspace(self.of.web, self.of.shelf, 4)[1:]])

    def node(self, place: tuple[float, ...]) -> str:
        key = tuple(round(float(each), 4) for each in place)
        if key not in self.nodes:
            self.nodes[key] = f"N{len(self.nodes)}"
            self.model.add_node(self.nodes[key], *key)
        return self.nodes[key]

    def sheet(
        self,
        at: Callable[[float, int], tuple[float, ...]],
        thick: float,
        start: float,
        stop: float = np.inf,
    ) -> None:
        within = [x for x in self.along if start - 1e-6 <= x <= stop + 1e-6]
        for one, other in pairwise(within):
            for n in range(7):
                corners = [at(one, n), at(other, n), at(other, n + 1), at(one, n + 1)]
                name = f"Q{len(self.model.quads)}"
                self.model.add_quad(name, *(self.node(c) for c in corners), thick, "steel")

    def pull(self, force: float) -> None:
        of = self.of
        lift = force / 2 * (of.bolt[1] - of.shelf) / of.apart
        for ear in of.ears:
            row = [self.node((ear, y, of.shelf)) for y in self.across]
            for node in row:
                self.model.add_node_load(node, "FY", force / 2 / len(row))
            self.model.add_node_load(row[0], "FZ", lift)
            self.model.add_node_load(row[-1], "FZ", -lift)

    def rib(self) -> Mapping[str, float]:
        """What one rib brings to the tube, and its moment over its own thickness."""
        of = self.of
        middle = (of.under(of.tube) + of.shelf - of.plate / 2) / 2
        found = dict.fromkeys(("along", "upright", "moment", "sideways", "across"), 0.0)
        for place, name in self.nodes.items():
            if place[0] == round(of.tube, 4) and place[1] == round(float(self.across[-1]), 4):
                node = self.model.nodes[name]
                found["along"] += node.RxnFX[COMBO]
                found["upright"] += node.RxnFZ[COMBO]
                found["across"] += node.RxnFY[COMBO]
                found["moment"] += node.RxnFX[COMBO] * (place[2] - middle) + node.RxnMY[COMBO]
                found["sideways"] += node.RxnMZ[COMBO]
        return {name: abs(value) for name, value in found.items()}


@cache
def rows() -> tuple[Check, ...]:
    return tuple(
        row for row in strength(*truck(), default_shop()).checks if row.part[:2] in ("TB",)
    )


def given(says: str) -> Mapping[str, float]:
    return dict(next(row for row in rows() if says in row.what).given)


def test_a_rib_at_the_tube_against_plates() -> None:
    """Push or pull no less than the plates' and at most a tenth more, since the clamped end of the
    web takes some of theirs; shear and moment in its plane no less than theirs, the moment at most
    two and a half times it: the row gives the web all that goes across the truck, of which elastic
    plates leave the ribs a quarter.
    """
    row = given("bent and pulled in its plane at the tube")
    plates = Plates(shape(), given("web between the ribs sheared")["force_N"], with_web=True).rib()
    assert plates["along"] <= row["pull_N"] <= 1.1 * plates["along"]
    assert plates["upright"] <= row["shear_N"] <= 1.25 * plates["upright"]
    assert plates["moment"] <= row["moment_Nmm"] <= 2.5 * plates["moment"]


def test_the_web_takes_what_bent_the_ribs_sideways() -> None:
    """Without it each rib carries half of the pull over its thickness, past what it may (Fy b t^2 /
    4 over 1.67 of its whole depth); with it a tenth of that moment is left at most.
    """
    force = given("web between the ribs sheared")["force_N"]
    with_it, without = (Plates(shape(), force, with_web=web).rib() for web in (True, False))
    assert without["across"] == pytest.approx(force / 2, rel=1e-3)
    assert with_it["sideways"] <= 0.1 * without["sideways"]
    of = shape()
    deep = of.shelf - of.plate / 2 - of.under(of.tube)
    assert without["sideways"] > 250.0 * deep * (IN / 4) ** 2 / 4 / 1.67
    assert with_it["sideways"] < 0.2 * 250.0 * deep * of.rib**2 / 4 / 1.67
