"""Where the numbers of seats', gussets', legs' and bolted groups' rows come from."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...layout.arrays import Array
from ..model.hold import Step, Steps, UnderLoad
from ._holds_bolted import TENSION, THREADS_IN, Shared, side_bolts
from ._holds_flange import FOUR, joint
from ._lengths import IN
from ._steps_links import BENDING, PUT, SHEARED, TORSION, xyz

COIL = "coil, and a stop inside it, of the tables of forces"
RIGID = (
    "on that bolt, Fa its part along it: a rigid group, F/n + q x r as for welds with w L = 1, see"
    " the crossmember's free body"
)
COMBINED = "max(0, min(1.3 Fnt - 2.00 Fnt frv / Fnv, Fnt)) Ab / 2.00; frv = V / Ab; Ab = pi d^2 / 4"


def flow(closed: bool) -> Steps:
    """Shear, torque and section of the rail along a weld that closes it."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        width, height, wall, outer = (
            seen.q(f"rail.coil.{name}") for name in ("width", "height", "wall", "outer")
        )
        webs = 2 if closed else 1
        size: PUT = {"W": (width, "mm"), "H": (height, "mm"), "tw": (wall, "mm")}
        push: PUT = {"N": (seen.amount("coil"), "N")}
        lever = seen.q("seat.upper.y") - (outer - width / 2)
        found = [
            Step("V", "N", push, COIL),
            Step("Q", f"W / {webs} tw (H - tw) / 2", size, "the rail"),
            Step("I", f"(W H^3 - (W - {webs} tw) (H - 2 tw)^3) / 12", size, ""),
            Step("Am", "(W - tw) (H - tw)", size, ""),
        ]
        if closed:
            turn: PUT = {**push, "l": (lever, "mm")}
            found.append(Step("T", "N l", turn, "from the rail's middle to the seat's"))
        return found

    return steps


def half(load: str, letter: str) -> Steps:
    """Half of a load."""
    return lambda seen: (
        Step(letter, "N / 2", {"N": (seen.amount(load), "N")}, "of the tables of forces"),
    )


def gusset(seen: UnderLoad) -> Sequence[Step]:
    """Half of the coil's load at the coil's middle."""
    lever = abs(float(seen.point("seat.upper")[1] - seen.origin("CM1")[1]))
    push: PUT = {"N": (seen.amount("coil"), "N")}
    return (
        Step("M", "N l / 2", {**push, "l": (lever, "mm")}, f"{COIL}, to the back plate"),
        Step("V", "N / 2", push, ""),
    )


def gusset_edge(code: str) -> Steps:
    """Stress at a gusset's free edge."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        _, low, _, high = seen.box(code)
        lever = abs(float(seen.point("seat.upper")[1] - seen.origin("CM1")[1]))
        put: PUT = {
            "N": (seen.amount("coil"), "N"),
            "l": (lever, "mm"),
            "t": (seen.plate(code).thick, "mm"),
            "b": (high - low, "mm"),
        }
        says = f"{COIL}, to the back plate; b the gusset's height there; half of it to each gusset"
        return (Step("S", "3 l N / (t b^2)", put, says),)

    return steps


def _bolt(got: Shared, worst: Array) -> tuple[PUT, PUT]:
    """Parts of the force on a bolt a case with its part along it; that part alone."""
    cases = np.arange(len(worst))
    along: PUT = {"Fa": (got.pull[cases, worst], "N")}
    return {**xyz(got.force[cases, worst]), **along}, along


SHEAR = "sqrt(max(0, Fx^2 + Fy^2 + Fz^2 - Fa^2))"


def sheared(seen: UnderLoad) -> Sequence[Step]:
    """The most sheared rail bolt."""
    got = side_bolts(seen)
    if got is None:
        return ()
    parts, _ = _bolt(got, np.argmax(got.shear, axis=1))
    return (Step("F", SHEAR, parts, RIGID),)


def pulled(seen: UnderLoad) -> Sequence[Step]:
    """The rail bolt with most pull and shear together."""
    got = side_bolts(seen)
    if got is None:
        return ()
    parts, along = _bolt(got, np.argmax(got.pull + got.shear, axis=1))
    return (Step("V", SHEAR, parts, RIGID), Step("F", "Fa", along, ""))


def pried(code: str) -> Steps:
    """Pull and shear of the bolt that pries a plate most, and its own allowable pull."""

    def steps(seen: UnderLoad) -> Sequence[Step]:
        whole = side_bolts(seen)
        if whole is None:
            return ()
        got = whole.of(f"{code}.{seen.side}")
        made, seams = seen.holes(code), seen.seams(code)
        levers = np.array(
            [
                np.linalg.norm(seams - seen.out(code, made[bolt.id].at), axis=1).min()
                for bolt in got.bolts
            ]
        )
        worst = np.argmax(got.pull * levers, axis=1)
        parts, along = _bolt(got, worst)
        size = seen.bolt(got.bolts[0].id)
        own: PUT = {
            "V": (got.shear[np.arange(len(worst)), worst], "N"),
            "Fnt": (TENSION * size.fu, "MPa"),
            "Fnv": (THREADS_IN * size.fu, "MPa"),
            "d": (size.diameter, "mm"),
        }
        return (
            Step("F", "Fa", along, "the bolt's pull"),
            Step("B", COMBINED, own, "V its shear"),
            Step("V", SHEAR, parts, RIGID),
        )

    return steps


def torn_out(seen: UnderLoad) -> Sequence[Step]:
    """Force along the row of bolts, and the areas of the block."""
    row = {bolt.id for bolt in seen.bolts("cross.side")}
    holes = [hole for hole in seen.holes("XS1").values() if hole.bolt in row]
    first, last = (seen.out("XS1", holes[n].at) for n in (0, -1))
    run = float(np.linalg.norm(last - first))
    way = (last - first) / run
    edge = min(seen.edge("XS1", hole) for hole in holes)
    size: PUT = {
        "t": (seen.plate("XS1").thick, "mm"),
        "s": (run, "mm"),
        "e": (edge, "mm"),
        "dw": (holes[0].diameter + IN / 16, "mm"),
    }
    net = {name: size[name] for name in ("t", "e", "dw")}
    gross = {name: size[name] for name in ("t", "s", "e")}
    force: PUT = {**xyz(seen.force("bracket"))}
    ways: PUT = {f"r{axis}": (float(way[n]), "ratio") for n, axis in enumerate("xyz")}
    many = f"{len(holes) - 0.5:g}"
    return (
        Step("F", "|Fx rx + Fy ry + Fz rz|", {**force, **ways}, "force along the row, way r"),
        Step("Agv", "t (s + e)", gross, "first to last hole, edge beyond, hole counted dw wide"),
        Step("Anv", f"t (s + e) - {many} dw t", size, ""),
        Step("Ant", "t (e - dw/2)", net, ""),
    )


def _flange(seen: UnderLoad) -> tuple[PUT, str]:
    """Pull of a flange bolt: its letters and formula."""
    got = joint(seen)
    if got is None:
        return {}, ""
    middle = seen.origin("XT1")
    lever = float(np.mean([abs(bolt.at[0] - middle[0]) for bolt in seen.bolts("cross.flange")]))
    put: PUT = {
        "Mx": (np.abs(got.about_x), "N mm"),
        "Mz": (np.abs(got.about_z), "N mm"),
        "Fy": (FOUR * got.along, "N"),
        "l": (lever, "mm"),
    }
    return put, "(Mx + Mz) / (4 l) + Fy / 4"


BEAM = (
    "the center section as a beam on both side plates under both frame joints; l from its axis to a"
    " bolt"
)


def flange_pulled(seen: UnderLoad) -> Sequence[Step]:
    """Pull of a flange bolt."""
    put, formula = _flange(seen)
    return (Step("F", formula, put, BEAM),) if put else ()


def dowels(seen: UnderLoad) -> Sequence[Step]:
    """Shear of a dowel from twist and half of the joints' force."""
    got, row = joint(seen), seen.bolts("cross.dowel")
    if got is None:
        return ()
    apart = float(np.linalg.norm(np.array(row[0].at) - np.array(row[1].at)))
    put: PUT = {"T": (got.twist, "N mm"), "a": (apart, "mm"), "H": (FOUR * got.across, "N")}
    says = "twist between the joints over the dowels' distance, and both joints' force across"
    return (Step("F", "T / a + H / 4", put, says),)


def ring(seen: UnderLoad) -> Sequence[Step]:
    """Most force on the ring of weld of a flange."""
    got = joint(seen)
    if got is None:
        return ()
    put: PUT = {
        "Mx": (got.about_x, "N mm"),
        "Mz": (got.about_z, "N mm"),
        "T": (got.twist, "N mm"),
        "Fy": (FOUR * got.along, "N"),
        "H": (FOUR * got.across, "N"),
        "r": (seen.tube("XT1").od / 2, "mm"),
    }
    formula = (
        "sqrt(a^2 + b^2); a = sqrt(Mx^2 + Mz^2) / (pi r^2) + Fy / (2 pi r);"
        " b = T / (2 pi r^2) + H / (2 pi r)"
    )
    return (Step("f", formula, put, BEAM.partition(";")[0]),)


def center_joints(seen: UnderLoad) -> Sequence[Step]:
    """Moment, shear and torque of the center tube at its flange under both frame joints."""
    got = joint(seen)
    if got is None:
        return ()
    tube = seen.tube("XT3.C")
    steel: PUT = {"Fy": (tube.fy, "MPa"), "D": (tube.od, "mm"), "tw": (tube.wall, "mm")}
    bent: PUT = {"Mx": (got.about_x, "N mm"), "Mz": (got.about_z, "N mm")}
    says = f"{BEAM.partition(';')[0]}; H their force across it"
    return (
        Step("M", "sqrt(Mx^2 + Mz^2)", bent, says),
        Step("Mc", BENDING, steel, ""),
        Step("V", "H / 2", {"H": (FOUR * got.across, "N")}, ""),
        Step("Vc", SHEARED, steel, ""),
        Step("Tc", TORSION, steel, ""),
    )


def coil_alone(seen: UnderLoad) -> Sequence[Step]:
    """The coil's force without that of a stop inside it."""
    put: PUT = {"N": (seen.amount("coil"), "N"), "Ns": (seen.amount("coil.stop"), "N")}
    return (Step("Fc", "N - Ns", put, f"{COIL}, and the stop alone"),)


def back_lifted(seen: UnderLoad) -> Sequence[Step]:
    """Coil and stop about the coil mount's back plate."""
    lever = abs(float(seen.point("seat.upper")[1] - seen.origin("CM1")[1]))
    put: PUT = {"N": (seen.amount("coil"), "N"), "l": (lever, "mm")}
    return (Step("M", "N l", put, f"{COIL}, to the back plate"),)
