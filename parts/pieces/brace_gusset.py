"""Gussets of the track-bar brace: two plates level beside the tube, between it and its pad on the
far rail.

They meet two faces, the pad's and the tube's side, at the angle the far rail stands to the tube;
their feet run along the rail.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ..geometry.outline import Corner, rounded
from ..model.assembly import Assembly, Member, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Site, Variable
from ..model.vectors import Frame, Vec3
from ..rules.welds import leg_for
from ._from_stock import STEEL, plate_keys_over
from ._lengths import IN, round_down
from ._rail_places import from_datum
from ._room_rules import room_rule

CLIP = 3 * IN / 8
NOSE = 3 * IN / 8


def legs(s: Site) -> tuple[float, float]:
    """Leg along the pad, to a weld's width from its end; leg along the tube, half as long again."""
    size = s.port("bar.pad").size
    a = round_down(size["half"] - size["od"] / 2 - IN / 4)
    return a, round_down(1.5 * a)


def loop(s: Site, lean: float) -> Loop:
    """Gusset in axes on the tube's middle line: x away from the pad, y away from the tube; the
    pad's face leans ``lean`` in x per y.
    """
    r, (a, b) = s.port("bar.pad").size["od"] / 2, legs(s)
    pts = (
        ("clip", lean * (r + CLIP), r + CLIP),
        ("tube", lean * r + CLIP, r),
        ("end", lean * r + b, r),
        ("slope", lean * r + b, r + NOSE),
        ("nose", lean * (r + a) + NOSE, r + a),
        ("pad", lean * (r + a), r + a),
    )
    return rounded([Corner(n, x, y) for n, x, y in pts])


def build(d: Mapping[str, Any], s: Site) -> Assembly:
    """Gussets GU1 behind the tube and GU2 ahead of it."""
    pad, t = s.port("bar.pad"), d["plate.t"]
    lean = -pad.frame.x[1] / pad.frame.x[0]
    members, welds = [], []
    for code, up, name in (("GU1", 1.0, "rear"), ("GU2", -1.0, "front")):
        z: Vec3 = (0.0, 0.0, up)
        x, y, height = pad.frame.origin
        place = Frame((x, y, height - up * t / 2), (0.0, 1.0, 0.0), z)
        members.append(
            Member(
                code,
                f"track-bar brace gusset, {name}",
                "GU",
                Plate(d["plate"], loop(s, lean * up)),
                place,
                ("tube", "pad"),
                fixed_after="set-down",
                ref=(
                    "level with the brace's middle, between it and the pad on the far rail;"
                    f" {from_datum(s, pad.frame.origin)}"
                ),
            )
        )
        welds += [
            Weld(
                f"brace.gusset.{name}.pad",
                code,
                ("pad",),
                pad.member,
                "fillet",
                leg_for(s.shop.legs, t),
                face="both",
                stop=IN / 4,
                order=14,
            ),
            Weld(
                f"brace.gusset.{name}.tube",
                code,
                ("tube",),
                "TB16",
                "fillet",
                leg_for(s.shop.legs, t),
                face="both",
                stop=IN / 4,
                order=14,
            ),
        ]
    return Assembly(tuple(members), (), tuple(welds))


def mass(v: Grid, s: Site) -> Any:
    """Two triangles, kg."""
    a, b = legs(s)
    return a * b * v["plate.t"] * STEEL


def thick(v: Grid, s: Site) -> tuple[Any, Any]:
    """Free edge over 32 against the plate, so that the gusset's sloped edge does not fold
    (practice).
    """
    a, b = legs(s)
    return (a * a + b * b) ** 0.5 / 32 + 0 * v["plate.t"], v["plate.t"]


FAMILY = Family(
    code="GU",
    title="brace gussets",
    where="one side",
    needs=("bar.pad",),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(0.1875 * IN)),),
    rules=(
        room_rule("gusset.edge", thick, "free edge of the gusset at most 32 plate thicknesses"),
    ),
    mass=mass,
    build=build,
    side_of="bar.frame.y",
)
