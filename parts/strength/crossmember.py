"""The crossmember under load: its rail bolts and side plates, stubs, center tube."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from ...layout.loads.forces import Forces
from ...layout.quantities import Key
from .. import stock
from ..design.sizing import Check, put_in
from ..geometry import outline
from ..model.assembly import Bolt
from ..model.body import Plate
from ..rules import bolts, plates, tubes
from ..stock import IN

if TYPE_CHECKING:
    from .rows import Work

GEARBOX = 3.0


def gearbox(w: Work) -> Iterator[Check]:
    """Center tube of the crossmember between its side plates under three times the transmission's
    weight (3 x as for the wheels in bump; its torque is not held).
    """
    tube, ends = w.tube("XT3.C"), [w.members.get(f"XS1.{s}") for s in "LR"]
    weight, y = (w.v.get(Key(f"driveline.mount.{n}", "C")) for n in ("weight", "y"))
    if tube is None or weight is None or y is None or None in ends:
        return
    left, right = (float(m.place.origin[1]) for m in ends)  # type: ignore[union-attr]
    moment = GEARBOX * weight * (left - y) * (y - right) / (left - right)
    got = {
        "moment_Nmm": moment,
        "od_mm": tube.od,
        "wall_mm": tube.wall,
        "fy_MPa": stock.steel(tube.steel).fy,
    }
    demand, capacity = (float(x) for x in tubes.bent_tube(**got))
    yield Check(
        "XT3.C",
        "cross tube bent by three times the transmission's weight",
        f"{tubes.bent_tube.ref} {tubes.bent_tube.edition}",
        demand,
        capacity,
        "N mm",
        True,
        "read",
        "transmission 3 x (often)",
        tubes.bent_tube.formula,
        put_in(got),
    )


def side_plate(w: Work, i: int, s: str) -> Iterator[Check]:
    """Rail bolts of the crossmember's side plate as a rigid group with the frame joint's force."""
    side: Any = s
    ids = [
        b
        for b in w.t.assembly.bolts
        if b.id.endswith(f".{s}")
        and b.id.split("#")[0] in ("cross.side", "cross.bottom")
        and "fish" not in b.id
    ]
    if len(ids) < 2 or f"XS1.{s}" not in w.members:
        return
    at = np.array([w.v[Key(f"arm.joint.{a}", side)] for a in "xyz"]) * (1, 1 if s == "L" else -1, 1)
    points = np.array([b.at for b in ids])
    unit = np.stack([bolts.shares(points, np.ones(len(ids)), e, at) for e in np.eye(3)], axis=-1)
    along = np.array([b.along for b in ids])
    size, fu = stock.bolt(ids[0].size), w.made_of.bolt(ids[0]).fu

    def split(f: Forces) -> tuple[Any, Any]:
        each = unit @ -f.joint[i]
        pull = np.abs((each * along).sum(1))
        return np.sqrt(np.maximum((each**2).sum(1) - pull**2, 0.0)), pull

    yield from w.worst(
        f"XS1.{s}",
        "rail bolts of the crossmember, shear of the most loaded",
        bolts.bolt_shear,
        lambda f: {
            "force_N": float(split(f)[0].max()),
            "fnv_MPa": 0.45 * fu,
            "d_mm": size.d,
            "planes": 1,
        },
    )

    def both(f: Forces) -> dict[str, Any]:
        shear, pull = split(f)
        n = int(np.argmax(pull + shear))
        return {
            "force_N": float(pull[n]),
            "shear_N": float(shear[n]),
            "fnt_MPa": 0.75 * fu,
            "fnv_MPa": 0.45 * fu,
            "d_mm": size.d,
        }

    yield from w.worst(
        f"XS1.{s}", "rail bolts of the crossmember, pull with shear", bolts.bolt_combined, both
    )
    for code in (f"XS1.{s}", f"XS2.{s}"):
        own = [n for n, b in enumerate(ids) if code in b.through]
        if len(own) > 1:
            yield from pried(
                w, code, [ids[n] for n in own], lambda f, own=own: tuple(x[own] for x in split(f))
            )  # type: ignore[misc]
    yield from tear(
        w, f"XS1.{s}", [b for b in ids if b.id.startswith("cross.side")], lambda f: -f.joint[i]
    )
    wall, fu_rail = w.steel_of(f"rail1.{s}")
    plate, fu_plate = w.steel_of(f"XS1.{s}")
    t, strong = min((wall, fu_rail), (plate, fu_plate), key=lambda r: r[0] * r[1])
    yield from w.worst(
        f"XS1.{s}",
        "rail wall or plate at the crossmember's bolts, bearing",
        bolts.bearing,
        lambda f: {
            "force_N": float(split(f)[0].max()),
            "d_mm": size.d,
            "t_mm": t,
            "fu_MPa": strong,
            "clear_mm": 2 * size.d,
        },
    )


def pried(
    w: Work, code: str, row: Sequence[Bolt], split: Callable[[Forces], tuple[Any, Any]]
) -> Iterator[Check]:
    """A plate bent between its bolts and the nearest weld on it, with the prying that its bolts can
    still take. ``split``: shear and pull of each bolt, N.
    """
    m, part = w.members[code], w.parts[code]
    lines = [seg for x in w.t.assembly.welds if code in (x.on, x.to) for seg in w.segments(x)]
    holes = [next((h for h in part.holes if h.bolt == b.id), None) for b in row]
    if not lines or None in holes:
        return
    assert isinstance(m.body, Plate)
    mids = np.array([(a + b) / 2 for a, b in lines])
    levers = [
        float(np.linalg.norm(mids - np.array(m.place.out((*h.at, 0.0))), axis=1).min())
        for h in holes
    ]  # type: ignore[union-attr]
    others = [
        min(float(np.hypot(h.at[0] - o.at[0], h.at[1] - o.at[1])) for o in holes if o is not h)
        for h in holes
    ]  # type: ignore[union-attr]
    edges = [outline.distance(m.body.outline, h.at) for h in holes]  # type: ignore[union-attr]
    size, fub = stock.bolt(row[0].size), w.made_of.bolt(row[0]).fu
    t, fu = w.steel_of(code)

    def args(f: Forces) -> dict[str, Any]:
        shear, pull = split(f)
        n = int(np.argmax(pull * levers))
        own = bolts.bolt_combined(
            force_N=pull[n], shear_N=shear[n], fnt_MPa=0.75 * fub, fnv_MPa=0.45 * fub, d_mm=size.d
        )[1]
        return {
            "force_N": float(pull[n]),
            "bolt_N": float(own),
            "lever_mm": levers[n],
            "edge_mm": edges[n],
            "tributary_mm": min(others[n], 2 * levers[n]),
            "d_mm": size.d,
            "fu_MPa": fu,
            "t_mm": t,
        }

    yield from w.worst(code, "plate bent at its bolts, with prying", bolts.prying, args)


def flange(w: Work, i: int, s: str) -> Iterator[Check]:
    """Bolts of the joint between stub and center section: bent as a beam on both side plates under
    both frame joints and, alone, three times the transmission's weight; twisted by the joints'
    levers. Upper bound: the side plates hold nothing but force.
    """
    ids = [
        b for b in w.t.assembly.bolts if b.id.startswith("cross.flange#") and b.id.endswith(f".{s}")
    ]
    plates_ = [w.members.get(f"XS1.{k}") for k in "LR"]
    stub = w.members.get(f"XT1.{s}")
    if len(ids) != 4 or None in plates_ or stub is None:
        return
    left, right = (float(m.place.origin[1]) for m in plates_)  # type: ignore[union-attr]
    at = [
        np.array([w.v[Key(f"arm.joint.{a}", k)] for a in "xyz"]) * (1, way, 1)
        for k, way in (("L", 1), ("R", -1))
    ]  # type: ignore[arg-type]
    y, centre = float(ids[0].at[1]), np.array(stub.place.origin)
    arm = float(np.mean([abs(b.at[0] - centre[0]) for b in ids]))
    size, fu = stock.bolt(ids[0].size), w.made_of.bolt(ids[0]).fu

    def pull(f: Forces) -> float:
        moment = np.zeros(3)
        for k in range(2):
            r, there = -f.joint[k], float(at[k][1])
            moment += (
                np.array((r[0], 0.0, r[2]))
                * (left - max(y, there))
                * (min(y, there) - right)
                / (left - right)
            )
        side = abs(float(f.joint[i][1])) / 4
        return float((abs(moment[0]) + abs(moment[2])) / (4 * arm)) + side

    yield from w.worst(
        f"XT2.{s}",
        "flange bolts of the crossmember pulled",
        bolts.bolt_tension,
        lambda f: {"force_N": pull(f), "fnt_MPa": 0.75 * fu, "d_mm": size.d},
    )
    yield from pried(w, f"XT2.{s}", ids, lambda f: (np.zeros(4), np.full(4, pull(f))))

    def twist(f: Forces) -> float:
        turn = [float(np.cross(at[k] - centre, -f.joint[k])[1]) for k in range(2)]
        return abs(turn[0] - turn[1]) / 2

    dowels = [
        b for b in w.t.assembly.bolts if b.id.startswith("cross.dowel#") and b.id.endswith(f".{s}")
    ]
    if len(dowels) == 2:
        apart = float(np.linalg.norm(np.array(dowels[0].at) - np.array(dowels[1].at)))
        d = stock.bolt(dowels[0].size).d
        yield from w.worst(
            f"XT2.{s}",
            "dowels of the crossmember's flanges sheared by twist and by half of the joints' force",
            bolts.bolt_shear,
            lambda f: {
                "force_N": (
                    twist(f) / apart + float(np.linalg.norm((f.joint[0] + f.joint[1])[[0, 2]])) / 4
                ),
                "fnv_MPa": 0.45 * w.made_of.dowel.fu,
                "d_mm": d,
                "planes": 1,
            },
        )


def tear(
    w: Work, code: str, row: Sequence[Bolt], force: Callable[[Forces], Any]
) -> Iterator[Check]:
    """A plate torn out in one block along its row of bolts: sheared from the plate's edge to the
    last bolt, pulled across, all of the force in its plane along the row.
    """
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
    yield from w.worst(
        code,
        "side plate torn out along its row of rail bolts",
        plates.block_shear,
        lambda f: {
            "force_N": abs(float(np.asarray(force(f)) @ along)),
            "gross_shear_mm2": gross,
            "net_shear_mm2": gross - (len(holes) - 0.5) * wide * t,
            "net_tension_mm2": t * (edge - wide / 2),
            "fy_MPa": fy,
            "fu_MPa": fu,
        },
    )


def cross_tube(w: Work, i: int, s: str) -> Iterator[Check]:
    """Stub between side plate and arm bracket: bent by the joint's force, twisted by its height
    below and behind the tube.
    """
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
        return {
            "moment_Nmm": float(np.linalg.norm(across)) * arm,
            "bending_Nmm": float(tubes.bending(tube.od, tube.wall, fy)),
            "torque_Nmm": torque,
            "torsion_Nmm": float(tubes.torsion(tube.od, tube.wall, fy)),
        }

    yield from w.worst(
        f"XT1.{s}", "stub of the crossmember bent and twisted", tubes.bent_and_twisted, args
    )
