"""Loads: what the tires do in each case, and from it the force at every joint, bolt, seat and stop.

Statics of the axle on two clamped arms, exact: axle, arms and upper arms are bodies, bushings and
the arms' own bending are springs, the track bar is a bar, coils push, stops and limiters act one
way. Linear at ride-height geometry; every spring force follows from one set of displacements, so
that all bodies are in equilibrium to rounding. Two levels: *often* (allowable strength) and *rare*
(forces over 1.5 before the same comparison, mapping by AISC 360 B3 logic: project judgment).

No published table of wheel forces of light off-road trucks was found: the multipliers are from
truck and vehicle-structures texts, or judgment, as each row says.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from . import units
from .quantities import Key
from .travel import rates_of
from .travel.bushing import derivatives
from .travel.gear import ASSUMED_CG, gear
from .travel.linkage import Linkage, linkage
from .travel.pose import frames
from .travel.turning import Array, hat

E_STEEL = 200_000.0
RARE = 1.5
HARD = 20_000.0
STRAP = 4_000.0
SIDES = ("L", "R")
SHARE_FRONT = (0.45, 0.6)
"""Front axle's share of the whole weight where it is not read, heaviest truck first (judgment, no
source).
"""
LEAST_BAR_WALL = 0.12 * units.IN
"""Wall of a track bar where it is not read: the least in common use (common practice, no source)."""


class Case(NamedTuple):
    """One load case: ``factor`` as used in the words of ``says``; ``level`` "often" or "rare";
    ``hand`` which wheel it is about, "" for both.
    """

    name: str
    level: str
    factor: float
    says: str
    source: str
    hand: str = ""

    @property
    def share(self) -> float:
        """What its forces are multiplied with to stand on the allowable-strength scale."""
        return 1 / RARE if self.level == "rare" else 1.0


CASES: tuple[Case, ...] = (
    Case("static", "often", 1.0, "standing on level ground", "weights as read"),
    Case(
        "bump",
        "often",
        3.0,
        "both wheels at 3 x static",
        "judgment at the upper end of 2 to 3 x for dynamic loads: Fieldhouse and Barton, Automotive"
        " Chassis Engineering, p. 225",
    ),
    Case("bump off-road", "rare", 4.0, "both wheels at 4 x static", "judgment, no source"),
    Case(
        "twist",
        "often",
        1.8,
        "axle load x 1.8 on one wheel, none on the other",
        "judgment, no source; torsion as a case of its own: Brown, Robertson and Serpento, Motor"
        " Vehicle Structures, p. 20",
        "L",
    ),
    Case(
        "braking",
        "often",
        1.1,
        "braking at 1.1 g with load transfer",
        "0.75 to 1.84 g by author: Brown, Robertson and Serpento, Motor Vehicle Structures, p. 20"
        " table 2.4",
    ),
    Case("reverse braking", "often", 0.6, "braking backwards at 0.6 g", "judgment, no source"),
    Case(
        "pothole",
        "rare",
        4.5,
        "one wheel against a step of a tenth of its radius, 3 x static up",
        "Brown, Robertson and Serpento, Motor Vehicle Structures, p. 22 (Garrett K = 4.5)",
        "L",
    ),
    Case(
        "cornering",
        "often",
        1.0,
        "side force 1 x load, load transfer to the outer wheel",
        "judgment, no source: 1 g, as much as tires grip",
        "L",
    ),
    Case(
        "curb",
        "rare",
        1.75,
        "one wheel against a curb until the truck would tip",
        "Brown, Robertson and Serpento, Motor Vehicle Structures, p. 24 (Garrett K = 1.75)",
        "L",
    ),
    Case(
        "low-range pull",
        "often",
        2.0,
        "one wheel pulls and carries 2 x static",
        "judgment; 1.5 for towing: Brown, Robertson and Serpento, Motor Vehicle Structures, p. 20",
        "L",
    ),
    Case(
        "recovery",
        "rare",
        0.5,
        "half the truck's weight pulls at the frame, held by the tires",
        "half the greatest laden mass at a tow point: Commission Regulation (EU) 1005/2010",
    ),
)
EVERYDAY: tuple[Case, ...] = (
    CASES[0],
    Case("bump", "everyday", 1.5, "both wheels at 1.5 x static", "judgment, no source"),
    Case(
        "road twist",
        "everyday",
        0.3,
        "three tenths of a wheel's load from one side to the other",
        "judgment, no source",
        "L",
    ),
    Case("braking", "everyday", 0.3, "braking at 0.3 g", "judgment, no source"),
    Case("cornering", "everyday", 0.3, "side force of 0.3 x load", "judgment, no source", "L"),
)
"""What happens every day: the range of stress between any two of these is held against fatigue
strength, not against a limit.
"""
STEP = 0.1


class Facts(NamedTuple):
    """What the loads rest on.

    ``wheel`` static load of a front wheel, ``weight`` whole truck, N; ``cg`` mm.
    """

    lk: Linkage
    wheel: float
    weight: float
    unsprung: float
    cg: float
    wheelbase: float
    track: float
    radius: float
    lower: Array
    upper: Array
    coil: float
    preload: Array
    gap_stop: float
    squash: float
    gap_strap: float
    arm: tuple[float, float]
    bar: float


class Forces(NamedTuple):
    """One case.

    Forces of the frame or the next part on the part named, N, truck axes; left [0], right [1].
    Already on the allowable scale (``case.share``).

    ``joint`` frame on arm at the frame joint; ``lower`` arm on axle at the lower bolt, ``couple``
    with it (N mm); ``upper`` push + in each upper arm and ``upper_vec`` upper arm on axle; ``bar``
    track bar pulled +; ``coil``, ``stop`` push, ``strap`` pull; ``bend`` arm's bending moment at
    the upper joint (N mm); ``axial`` arm pulled +; ``tyre`` ground on tire; ``residual`` largest
    force left over, N.
    """

    case: Case
    joint: Array
    lower: Array
    couple: Array
    upper: Array
    upper_vec: Array
    bar: float
    coil: Array
    stop: Array
    strap: Array
    bend: Array
    axial: Array
    tyre: Array
    residual: float


def needs(v: Mapping[Key, float]) -> tuple[Key, ...]:
    """Keys without which there are no loads."""
    names = (
        "spring.axle_load",
        "spring.unsprung",
        "spring.rate",
        "axle.wheel_track",
        "frame.wheelbase",
        "axle.tire_loaded_radius",
        "travel.bump",
        "travel.droop",
        "travel.stop_free",
        "travel.stop_compressed",
        "arms.tube_od",
        "arms.tube_wall",
        "track_bar.od",
    )
    sided = [
        Key(n, s) for n in ("spring.load", "seat.upper.z", "arm.cc", "upper.cc") for s in SIDES
    ]  # type: ignore[arg-type]
    return tuple(k for k in (*(Key(n, "C") for n in names), *sided) if k not in v)


def facts(v: Mapping[Key, float]) -> Facts:
    """KeyError for what waits; ``needs`` lists it."""
    c = lambda n: v[Key(n, "C")]
    (lower, upper), _ = rates_of(v)
    lk, g = linkage(v, lower, upper), gear(v)
    if g.coils is None:
        raise KeyError("spring.rate")
    front = c("spring.axle_load")
    cg = v.get(Key("travel.cg_height", "C"), ASSUMED_CG[1])
    weight = v.get(Key("spring.truck_weight", "C"), front / SHARE_FRONT[0])
    wall = v.get(Key("track_bar.wall", "C"), LEAST_BAR_WALL)
    bar = c("track_bar.od")
    od, wall = c("arms.tube_od"), c("arms.tube_wall")
    inertia = math.pi / 64 * (od**4 - (od - 2 * wall) ** 4)
    return Facts(
        lk,
        front / 2,
        weight,
        c("spring.unsprung"),
        cg,
        c("frame.wheelbase"),
        c("axle.wheel_track"),
        c("axle.tire_loaded_radius"),
        g.coils.lower,
        g.coils.upper,
        g.coils.rate,
        np.array([v[Key("spring.load", s)] for s in SIDES]),
        c("travel.bump") - (c("travel.stop_free") - c("travel.stop_compressed")),
        c("travel.stop_free") - c("travel.stop_compressed"),  # type: ignore[arg-type]
        c("travel.droop"),
        (inertia, math.pi * (od - wall) * wall),
        math.pi / 4 * (bar**2 - max(bar - 2 * wall, 0.0) ** 2),
    )


def tyres(f: Facts, case: Case) -> Array:
    """Ground on both tires, (2, 3), N, at the contact patches; ``case.hand`` says which wheel."""
    w, k, h = f.wheel, case.factor, f.cg
    out = np.array(((0.0, 0.0, w), (0.0, 0.0, w)))
    one = 0 if case.hand != "R" else 1
    if case.name.startswith("bump"):
        out[:, 2] = k * w
    elif case.name == "twist":
        out[:, 2] = 0.0
        out[one, 2] = k * 2 * w
    elif case.name == "road twist":
        out[one, 2], out[1 - one, 2] = (1 + k) * w, (1 - k) * w
    elif case.name in ("braking", "reverse braking"):
        way = -1 if case.name == "braking" else 1
        shift = f.weight * k * h / f.wheelbase / 2
        out[:, 2] = max(w - way * shift, 0.0)
        out[:, 0] = way * k * out[:, 2]
    elif case.name == "pothole":
        out[one] = (-k * w * math.tan(math.acos(1 - STEP)), 0.0, 3 * w)
    elif case.name == "cornering":
        shift = min(k * 2 * w * h / f.track, w)
        out[one, 2], out[1 - one, 2] = w + shift, w - shift
        out[:, 1] = (-1 if one == 0 else 1) * k * out[:, 2]
    elif case.name == "curb":
        out[one, 1] = (-1 if one == 0 else 1) * k * 2 * w * f.track / (2 * h)
    elif case.name == "low-range pull":
        out[one] = (k * w, 0.0, k * w)
    elif case.name == "recovery":
        out[:, 0] = k * f.weight / 2
    return out


def adjusted(factors: Mapping[str, float]) -> tuple[Case, ...]:
    """The cases with the shop's own factors, both hands."""
    return both_hands(
        tuple(
            (
                c._replace(factor=factors[c.name], source=f"{c.source}; factor set by the shop")
                if c.name in factors
                else c
            )
            for c in CASES
        )
    )


def both_hands(cases: tuple[Case, ...] = CASES) -> tuple[Case, ...]:
    """Every case, those about one wheel for either."""
    return tuple(c._replace(hand=s) for c in cases for s in ((c.hand,) if not c.hand else SIDES))


class _Model:
    """Stiffness of the whole: axle 6, arm turns 3 each, upper-arm turns 3 each, frame joints 3
    each; what acts one way is added as it touches.
    """

    def __init__(self, f: Facts) -> None:
        self.f = f
        lk = f.lk
        one = Linkage(*(a[None] for a in lk))
        eye = np.eye(3)[None]
        pair = np.broadcast_to(np.eye(3), (1, 2, 3, 3))
        self.frames = frames(one)
        _, hess = derivatives(self.frames, lk.centre[None], eye, pair, pair)
        k = np.zeros((24, 24))
        for i in range(2):
            rows = np.r_[
                0:6, 6 + 3 * i : 9 + 3 * i, 12 + 3 * i : 15 + 3 * i, 18 + 3 * i : 21 + 3 * i
            ]
            h = hess[0, i]
            whole = np.zeros((15, 15))
            whole[:12, :12] = h
            whole[12:, :12], whole[:12, 12:], whole[12:, 12:] = -h[:3], -h[:3].T, h[:3, :3]
            k[np.ix_(rows, rows)] += whole
            arm = lk.bolt[i] - lk.joint[i]
            long = float(np.linalg.norm(arm))
            u = arm / long
            bend, stretch = 3 * E_STEEL * f.arm[0] / long**3, E_STEEL * f.arm[1] / long
            spring = bend * (np.eye(3) - np.outer(u, u)) + stretch * np.outer(u, u)
            at = slice(18 + 3 * i, 21 + 3 * i)
            k[at, at] += spring
        self.k = k
        self.bar_u = (lk.bar_frame - lk.bar_axle) / np.linalg.norm(lk.bar_frame - lk.bar_axle)
        self.bar_k = E_STEEL * f.bar / float(np.linalg.norm(lk.bar_frame - lk.bar_axle))
        self.bar_row = self.row(self.bar_u, lk.bar_axle)
        self.k[:6, :6] += self.bar_k * np.outer(self.bar_row, self.bar_row)
        span = f.upper - f.lower
        self.coil_u = span / np.linalg.norm(span, axis=1, keepdims=True)
        self.coil_rows = np.array([self.row(self.coil_u[i], f.lower[i]) for i in range(2)])

    def row(self, u: Array, at: Array) -> Array:
        """How far a point of the axle moves along ``u`` per unit of the axle's six."""
        return np.concatenate((u, np.cross(at - self.f.lk.centre, u)))

    def solve(self, tyre: Array) -> tuple[Array, Array, Array, Array]:
        """Displacements, coil and stop push, strap pull; what acts one way is settled in turns."""
        f = self.f
        stiff = f.wheel * 2.5 / f.squash
        load = np.zeros(24)
        for i, way in enumerate((1, -1)):
            at = f.lk.centre + np.array((0.0, way * f.track / 2, -f.radius))
            load[:3] += tyre[i]
            load[3:6] += np.cross(at - f.lk.centre, tyre[i])
        load[2] -= f.unsprung
        state: tuple[tuple[bool, ...], ...] = ()
        seen: set[tuple[tuple[bool, ...], ...]] = set()
        on = [[True, True], [False, False], [False, False], [False, False]]
        q = np.zeros(24)
        for _ in range(30):
            k, r = self.k.copy(), load.copy()
            for i in range(2):
                row = self.coil_rows[i]
                for there, rate, gap in (
                    (on[0][i], f.coil, -f.preload[i] / f.coil),
                    (on[1][i], stiff, f.gap_stop),
                    (on[2][i], HARD, f.gap_stop + f.squash),
                    (on[3][i], STRAP, -f.gap_strap),
                ):
                    if there:
                        k[:6, :6] += rate * np.outer(row, row)
                        r[:6] += rate * gap * row
            q = np.linalg.solve(k, r)
            h = self.coil_rows @ q[:6]
            now = [
                list(h > -f.preload / f.coil),
                list(h > f.gap_stop),
                list(h > f.gap_stop + f.squash),
                list(h < -f.gap_strap),
            ]
            state = tuple(tuple(map(bool, n)) for n in now)
            if now == on or state in seen:
                break
            seen.add(state)
            on = [list(map(bool, n)) for n in now]
        h = self.coil_rows @ q[:6]
        coil = np.array(on[0]) * (f.preload + f.coil * h)
        stop = np.array(on[1]) * stiff * (h - f.gap_stop) + np.array(on[2]) * HARD * (
            h - f.gap_stop - f.squash
        )
        strap = np.array(on[3]) * STRAP * (-f.gap_strap - h)
        return q, coil, stop, strap


def forces(v: Mapping[Key, float], cases: tuple[Case, ...] | None = None) -> tuple[Forces, ...]:
    """Forces in every case, both hands. KeyError for what waits."""
    f = facts(v)
    m = _Model(f)
    return tuple(_one(f, m, c) for c in cases or both_hands())


def _one(f: Facts, m: _Model, case: Case) -> Forces:
    tyre = tyres(f, case)
    q, coil, stop, strap = m.solve(tyre)
    lk, fr = f.lk, m.frames
    joint, lower, couple, upper_vec = (np.zeros((2, 3)) for _ in range(4))
    bend, axial, upper = np.zeros(2), np.zeros(2), np.zeros(2)
    left = (
        tyre.sum(0)
        + np.array((0, 0, -f.unsprung))
        - m.bar_k * (m.bar_row @ q[:6]) * m.bar_u
        - ((coil + stop - strap)[:, None] * m.coil_u).sum(0)
    )
    for i in range(2):
        a, g, fj = q[6 + 3 * i : 9 + 3 * i], q[12 + 3 * i : 15 + 3 * i], q[18 + 3 * i : 21 + 3 * i]
        got = []
        for n, at in ((i, lk.bolt[i]), (2 + i, lk.mount[i])):
            e = (
                fj
                - hat(fr.arm_m[0, n]) @ a
                - hat(fr.arm_g[0, n]) @ g
                - q[:3]
                + hat(at - lk.centre) @ q[3:6]
            )
            n0 = fr.n0[0, n]
            kr, ka = lk.rates[n, 0], lk.rates[n, 1]
            got.append(kr * e + (ka - kr) * (n0 @ e) * n0)
        turn = a - q[3:6]
        n0 = fr.n0[0, i]
        couple[i] = lk.rates[i, 3] * turn + (lk.rates[i, 2] - lk.rates[i, 3]) * (n0 @ turn) * n0
        lower[i], upper_vec[i] = got
        joint[i] = lower[i] + upper_vec[i]
        left = left + joint[i]
        link = (lk.mount[i] - lk.upper[i]) / np.linalg.norm(lk.mount[i] - lk.upper[i])
        upper[i] = upper_vec[i] @ link
        along = (lk.joint[i] - lk.bolt[i]) / np.linalg.norm(lk.joint[i] - lk.bolt[i])
        axial[i] = joint[i] @ along
        moment = np.cross(lk.joint[i] - lk.upper[i], joint[i])
        bend[i] = float(np.linalg.norm(moment - (moment @ along) * along))
    s = case.share
    return Forces(
        case,
        s * joint,
        s * lower,
        s * couple,
        s * upper,
        s * upper_vec,
        float(s * m.bar_k * (m.bar_row @ q[:6]) * -1),
        s * coil,
        s * stop,
        s * strap,
        s * bend,
        s * axial,
        tyre,
        float(np.abs(left).max()),
    )
