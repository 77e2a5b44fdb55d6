"""The crossmember under load: its rail bolts and side plates, stubs, centre tube."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ..layout.loads import Forces
from ..layout.quantities import Key
from . import outline, stock
from .model import Bolt, Plate
from .rules import bolts, plates, tubes
from .sizing import Check, put_in
from .stock import IN

if TYPE_CHECKING:
    from .strength import Work

PSI = {"8": 1034.2, "5": 827.4, "10.9": 1040.0, "8.8": 830.0}
"""Tensile strength of bolt grades, MPa: SAE J429, ISO 898-1."""
GEARBOX = 3.0


def gearbox(w: Work) -> Iterator[Check]:
    """Centre tube of the crossmember between its side plates under three times the gearbox's weight (3 x as for the wheels in bump; its torque is not held)."""
    tube, ends = w.tube("XT3.C"), [w.members.get(f"XS1.{s}") for s in "LR"]
    weight, y = (w.v.get(Key(f"driveline.mount.{n}", "C")) for n in ("weight", "y"))
    if tube is None or weight is None or y is None or None in ends:
        return
    left, right = (float(m.place.origin[1]) for m in ends)  # type: ignore[union-attr]
    moment = GEARBOX * weight * (left - y) * (y - right) / (left - right)
    got = {"moment_Nmm": moment, "od_mm": tube.od, "wall_mm": tube.wall, "fy_MPa": stock.steel(tube.steel).fy}
    demand, capacity = (float(x) for x in tubes.bent_tube(**got))
    yield Check("XT3.C", "cross tube bent by three times the gearbox's weight", f"{tubes.bent_tube.ref} {tubes.bent_tube.edition}", demand, capacity, "N mm", True, "read", "gearbox 3 x (often)", tubes.bent_tube.formula, put_in(got))


def side_plate(w: Work, i: int, s: str) -> Iterator[Check]:
    """Rail bolts of the crossmember's side plate as a rigid group with the frame joint's force."""
    side: Any = s
    ids = [b for b in w.t.assembly.bolts if b.id.endswith(f".{s}") and b.id.split("#")[0] in ("cross.side", "cross.bottom") and "fish" not in b.id]
    if len(ids) < 2 or f"XS1.{s}" not in w.members:
        return
    at = np.array([w.v[Key(f"arm.joint.{a}", side)] for a in "xyz"]) * (1, 1 if s == "L" else -1, 1)
    points = np.array([b.at for b in ids])
    unit = np.stack([bolts.shares(points, np.ones(len(ids)), e, at) for e in np.eye(3)], axis=-1)
    along = np.array([b.along for b in ids])
    size, fu = stock.bolt(ids[0].size), PSI.get(ids[0].grade, 827.4)

    def split(f: Forces) -> tuple[Any, Any]:
        each = unit @ -f.joint[i]
        pull = np.abs((each * along).sum(1))
        return np.sqrt(np.maximum((each**2).sum(1) - pull**2, 0.0)), pull

    yield from w.worst(f"XS1.{s}", "rail bolts of the crossmember, shear of the most loaded", bolts.bolt_shear, lambda f: {"force_N": float(split(f)[0].max()), "fnv_MPa": 0.45 * fu, "d_mm": size.d, "planes": 1})

    def both(f: Forces) -> dict[str, Any]:
        shear, pull = split(f)
        n = int(np.argmax(pull + shear))
        return {"force_N": float(pull[n]), "shear_N": float(shear[n]), "fnt_MPa": 0.75 * fu, "fnv_MPa": 0.45 * fu, "d_mm": size.d}

    yield from w.worst(f"XS1.{s}", "rail bolts of the crossmember, pull with shear", bolts.bolt_combined, both)
    yield from tear(w, f"XS1.{s}", [b for b in ids if b.id.startswith("cross.side")], lambda f: -f.joint[i])
    wall, fu_rail = w.steel_of(f"rail1.{s}")
    plate, fu_plate = w.steel_of(f"XS1.{s}")
    t, strong = min((wall, fu_rail), (plate, fu_plate), key=lambda r: r[0] * r[1])
    yield from w.worst(f"XS1.{s}", "rail wall or plate at the crossmember's bolts, bearing", bolts.bearing, lambda f: {"force_N": float(split(f)[0].max()), "d_mm": size.d, "t_mm": t, "fu_MPa": strong, "clear_mm": 2 * size.d})


def tear(w: Work, code: str, row: Sequence[Bolt], force: Callable[[Forces], Any]) -> Iterator[Check]:
    """A plate torn out in one block along its row of bolts: sheared from the plate's edge to the last bolt, pulled across, all of the force in its plane along the row."""
    m = w.members[code]
    if len(row) < 2 or not isinstance(m.body, Plate):
        return
    holes = [h for h in w.parts[code].holes if h.bolt in {b.id for b in row}]
    if len(holes) < 2:
        return
    a, b = np.array(holes[0].at), np.array(holes[-1].at)
    run = float(np.linalg.norm(b - a))
    t, fu = w.steel_of(code)
    fy = stock.steel(w.shop.plate(m.body.stock).steel).fy
    edge = min(outline.distance(m.body.outline, h.at) for h in holes)
    wide = holes[0].diameter + IN / 16
    gross = t * (run + edge)
    along = np.array(m.place.x) * (b - a)[0] / run + np.array(m.place.y) * (b - a)[1] / run
    yield from w.worst(code, "side plate torn out along its row of rail bolts", plates.block_shear, lambda f: {"force_N": abs(float(np.asarray(force(f)) @ along)), "gross_shear_mm2": gross,
                          "net_shear_mm2": gross - (len(holes) - 0.5) * wide * t, "net_tension_mm2": t * (edge - wide / 2), "fy_MPa": fy, "fu_MPa": fu})


def cross_tube(w: Work, i: int, s: str) -> Iterator[Check]:
    """Stub between side plate and arm bracket: bent by the joint's force, twisted by its height below and behind the tube."""
    side: Any = s
    tube, m, plate = w.tube(f"XT1.{s}"), w.members.get(f"XT1.{s}"), w.members.get(f"XS1.{s}")
    if tube is None or m is None or plate is None:
        return
    fy = stock.steel(tube.steel).fy
    at = np.array([w.v[Key(f"arm.joint.{a}", side)] for a in "xyz"]) * (1, 1 if s == "L" else -1, 1)
    axis, start = np.array(m.place.x), np.array(m.place.origin)
    foot = start + axis * float((at - start) @ axis)
    arm = abs(float((np.array(plate.place.origin) - foot) @ axis))
    lever = at - foot

    def args(f: Forces) -> dict[str, Any]:
        r = -f.joint[i]
        torque = abs(float(np.cross(lever, r) @ axis))
        across = r - (r @ axis) * axis
        return {"moment_Nmm": float(np.linalg.norm(across)) * arm, "bending_Nmm": float(tubes.bending(tube.od, tube.wall, fy)), "torque_Nmm": torque, "torsion_Nmm": float(tubes.torsion(tube.od, tube.wall, fy))}

    yield from w.worst(f"XT1.{s}", "stub of the crossmember bent and twisted", tubes.bent_and_twisted, args)
