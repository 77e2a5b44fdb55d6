"""The invented demo truck as a fake site, for the crossmember families' tests: numbers of the
layout, no solver.
"""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, ClassVar

import numpy as np
from soapstone.parts.geometry.outline import bbox, edge_points, named
from soapstone.parts.model.assembly import Member, Port
from soapstone.parts.model.family import Sizes
from soapstone.parts.model.vectors import Frame
from soapstone.parts.pieces import (
    arm_bracket,
    cross_sides,
    cross_stub,
    cross_tube,
    drill_templates,
    existing,
    transmission_pad,
)
from soapstone.parts.rules.welds import INCH_LEGS
from soapstone.parts.stock.on_hand import INCH_FRAME_BOLTS

IN = 25.4
CENTRE = {
    "frame.corner_radius": 0.3,
    "wanted.belly_limit": 10.0,
    "arms.joint_width": 2.0,
    "arms.joint_housing": 2.25,
    "axle.wheel_track": 68.5,
    "driveline.output.x": -47.5,
    "driveline.output.y": 10.375,
    "driveline.output.z": 21.5,
    "driveline.shaft_od": 2.5,
    "driveline.mount.x": -52.0,
    "driveline.mount.y": 0.0,
    "driveline.mount.z": 20.5,
    "driveline.mount.bolt_dx": 0.0,
    "driveline.mount.bolt_dy": 4.0,
    "driveline.mount.slot": 1.0,
    "driveline.mount.isolator": 1.5,
    "frame.station.1.x": -60.0,
    "frame.station.2.x": -38.0,
    "frame.station.3.x": 20.0,
}
SIDED = {
    "rail.cross.x": -43.5,
    "rail.cross.outer": 17.5,
    "rail.cross.width": 2.75,
    "rail.cross.height": 5.75,
    "rail.cross.wall": 0.1575,
    "rail.cross.bottom": 25.25,
    "load.wheel": 8229.2 / 25.4,
    "arm.joint.x": -40.0,
    "arm.joint.y": 13.618,
    "arm.joint.z": 17.5,
    "frame.datum_hole": -18.0,
    **{
        f"frame.station.{i}.{k}": v
        for i in (1, 2, 3)
        for k, v in (
            ("outer", 17.5),
            ("width", 2.75),
            ("height", 5.75),
            ("wall", 0.1575),
            ("bottom", 25.25),
        )
    },
}
PLAIN = {
    "arm.slant": math.radians(6),
    "arms.max_joint_angle": math.radians(22),
    "rail.cross.slope_side": 0.0,
    "rail.cross.slope_bottom": 0.0,
    "driveline.mount.weight": 900.0,
}
WORDS = {
    "frame.section": "boxed",
    "arms.joint_bolt": "3/4-10",
    "driveline.mount.bolt": "1/2-13",
    "frame.bolt_class": "grade 8",
    "arms.joint_bolt_class": "grade 8",
    "driveline.mount.bolt_class": "grade 8",
}
HOLES = [("left", -45.5), ("left", -41.5), ("right", -45.5), ("right", -41.5)]
SHOP = SimpleNamespace(
    inner_radius=IN / 8,
    legs=INCH_LEGS,
    classes={},
    frame_bolts=INCH_FRAME_BOLTS,
    unit="in",
    plates=tuple(
        SimpleNamespace(key=f"{n} A36", thickness=t * IN, measured=t * IN, steel="A36")
        for n, t in (
            ("11 ga", 0.1196),
            ("3/16", 0.1875),
            ("1/4", 0.25),
            ("3/8", 0.375),
            ("1/2", 0.5),
        )
    ),
    tubes=tuple(
        SimpleNamespace(key=f"{od:.3f} x {w:.3f} DOM", od=od * IN, wall=w * IN, steel="DOM")
        for od, w in ((1.0, 0.1875), (2.0, 0.25), (3.0, 0.25))
    ),
)


class FakeSite:
    """The demo's solved values, both sides alike unless changed; ports filled as families are
    built.
    """

    shop = SHOP
    words: ClassVar[dict[str, str]] = {}

    def __init__(
        self, side: str = "L", ports: dict[str, Port] | None = None, **change: float
    ) -> None:
        self.side, self.ports = side, {} if ports is None else ports
        self.values = {k: v * IN for k, v in (CENTRE | SIDED).items()} | PLAIN | change
        for i, (_, x) in enumerate(HOLES):
            self.values |= {
                f"frame.hole.{i + 1}.x": x * IN,
                f"frame.hole.{i + 1}.from_edge": 1.375 * IN,
                f"frame.hole.{i + 1}.diameter": 0.5625 * IN,
            }

    def q(self, key: str) -> float:
        return self.values[key]

    def pair(self, key: str) -> tuple[float, float]:
        return self.values[key], self.values[key]

    def word(self, key: str) -> str:
        if key.startswith("frame.hole."):
            n = int(key.split(".")[2])
            return {"side": HOLES[n - 1][0], "face": "bottom", "use": "crossmember"}[
                key.split(".")[3]
            ]
        return WORDS.get(key, "") if key.startswith("override.") else WORDS[key]

    def need(self, key: str) -> str:
        return self.word(key)

    def has(self, key: str) -> bool:
        return key in self.values

    there = has

    def open_face(self) -> str:
        return ""

    def force(self, joint: str) -> Any:
        return np.array([[20e3, 5e3, 15e3, 0, 0, 0]])

    def port(self, name: str) -> Port:
        return self.ports[name]


def plate(name: str, t: float) -> dict[str, Any]:
    return {
        name: next(p.key for p in SHOP.plates if abs(p.thickness - t * IN) < 0.1),
        f"{name}.t": t * IN,
    }


def choices() -> dict[str, dict[str, Any]]:
    tube = {"tube": "3.000 x 0.250 DOM", "tube.od": 3 * IN, "tube.wall": 0.25 * IN}
    bolt = {"bolt": "1/2-13", "bolt.d": 0.5 * IN}
    sleeve = {"sleeve": "1.000 x 0.188 DOM", "sleeve.od": IN, "sleeve.wall": 0.1875 * IN}
    return {
        "XT": tube,
        "XS": plate("plate", 0.25)
        | plate("strap", 0.25)
        | bolt
        | sleeve
        | {"rows": 2, "spread": 5 * IN},
        "XJ": plate("plate", 0.375) | bolt,
        "AB": plate("plate", 0.25) | {"slot": IN / 2},
        "XP": plate("plate", 0.25),
        "DT": plate("plate", 0.1196),
    }


def built(**change: float) -> tuple[dict[str, Any], FakeSite]:
    """Every family of this file on the fake truck, left side."""
    s, made = FakeSite(**change), {}
    for family in (
        existing.FAMILY,
        cross_tube.FAMILY,
        cross_sides.FAMILY,
        cross_stub.FAMILY,
        arm_bracket.FAMILY,
        transmission_pad.FAMILY,
        drill_templates.FAMILY,
    ):
        if family.code == "AB":
            s.ports["arm.joint"] = Port(
                Frame(
                    (s.q("arm.joint.x"), s.q("arm.joint.y"), s.q("arm.joint.z")),
                    (0.0, 1.0, 0.0),
                    (0.0, 0.0, 1.0),
                ),
                {},
                "AR3",
            )
        a = family.build(Sizes(choices().get(family.code, {})), s)
        assert set(a.ports) <= set(family.gives)
        s.ports |= a.ports
        made[family.code] = a
    return made, s


def member(made: dict[str, Any], code: str) -> Member:
    return next(m for a in made.values() for m in a.members if m.code == code)


def bolt(made: dict[str, Any], name: str) -> Any:
    return next(b for a in made.values() for b in a.bolts if b.id == name)


def thickness(m: Member) -> float:
    return next(p.thickness for p in SHOP.plates if p.key == m.body.stock)


def edge_in_truck(m: Member, name: str, w: float) -> list[tuple[float, float, float]]:
    """Points along a named edge of a plate at height w, truck axes."""
    return [
        m.place.out((*p, w))
        for e, q in named(m.body.outline, name)
        for p in (*edge_points(e, q), q)
    ]


def corners_in_truck(m: Member) -> np.ndarray:
    x0, y0, x1, y1 = bbox(m.body.outline)
    return np.array(
        [m.place.out((x, y, w)) for x in (x0, x1) for y in (y0, y1) for w in (0.0, thickness(m))]
    )
