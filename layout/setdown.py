"""Set down, measure, correct: the tacked truck stands on its wheels; what was taped says where it differs, and which moves cure it.

The truck is the travel model with springs, weight and the rear's roll rate: it stands where their energy is least. What is not known (spring
rate, load, seats, pivots, arm lengths, rear roll rate) gets the value that explains every round's readings best, each within the doubt it
had before (least squares with priors). Then moves are chosen one by one, the one that cures most first, in sixteenths and quarter turns."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from . import units
from .graph import Graph
from .quantities import Key
from .travel import rates_of
from .travel.gear import Gear, gear
from .travel.linkage import Linkage, linkage, stack
from .travel.outputs import Found, outputs
from .travel.pose import Pose, Start, pose
from .travel.turning import Array, apply, cross, dot

IN, DEG = units.IN, math.radians(1.0)


class Unknown(NamedTuple):
    """What may differ on the real truck: how much, before anything is read (one standard deviation)."""

    name: str
    doubt: float
    says: str


class Move(NamedTuple):
    """Something a person can move: the step it is made in, what it is called, how far at most; ``usual``: as much as is done without a second thought, mm."""

    name: str
    step: float
    says: str
    unit: str
    most: float
    usual: float


UNKNOWNS: tuple[Unknown, ...] = (
    Unknown("rate", 0.06, "spring rate, share"),
    Unknown("load", 0.04, "weight on the front springs, share"),
    Unknown("rear", 1.0, "rear roll rate, log"),
    Unknown("lean", 0.4 * DEG, "lean the rear makes"),
    Unknown("seat.L", 0.3 * IN, "left seat high"),
    Unknown("seat.R", 0.3 * IN, "right seat high"),
    *(
        Unknown(f"joint.{a}.{s}", d * IN, f"{w} frame joint off in {a}")
        for s, w in (("L", "left"), ("R", "right"))
        for a, d in (("x", 0.15), ("z", 0.2))
    ),
    *(Unknown(f"arm.{s}", 0.06 * IN, f"{w} arm long") for s, w in (("L", "left"), ("R", "right"))),
    *(
        Unknown(f"upper.{s}", 0.06 * IN, f"{w} upper arm long")
        for s, w in (("L", "left"), ("R", "right"))
    ),
    Unknown("bar.z", 0.2 * IN, "track bar's frame mount high"),
    Unknown("tail", 0.5 * IN, "rear of the frame high"),
)
REAR = 8.0e6
"""N mm per rad (about 100 lbf ft per deg): a rear roll rate to start from; its doubt is a factor of e either way (judgement, no source)."""
READINGS: dict[str, tuple[str, float]] = {
    "height.left": ("length", IN / 16),
    "height.right": ("length", IN / 16),
    "wheelbase.left": ("length", IN / 8),
    "wheelbase.right": ("length", IN / 8),
    "caster.left": ("angle", 0.2 * DEG),
    "caster.right": ("angle", 0.2 * DEG),
    "pinion": ("angle", 0.2 * DEG),
    "bar": ("angle", 0.25 * DEG),
    "drag": ("angle", 0.25 * DEG),
    "coil.left": ("length", IN / 8),
    "coil.right": ("length", IN / 8),
    "rake": ("angle", 0.2 * DEG),
}
SAYS = {
    "height": "rail bottom above the floor beside the coil",
    "wheelbase": "rear hub centre to front hub centre",
    "caster": "caster against the floor",
    "coil": "coil, seat to seat",
    "pinion": "pinion against the floor, nose up +",
    "bar": "track bar against the floor, rising to the frame +",
    "drag": "drag link against the floor, rising to the pitman arm +",
    "rake": "rail bottom against the floor, front down +",
}
AIMS = {
    "height.left": IN / 16,
    "height.right": IN / 16,
    "wheelbase.left": IN / 16,
    "wheelbase.right": IN / 16,
    "pinion": 0.15 * DEG,
    "bar": 0.5 * DEG,
}
CLOSE = {"length": IN / 8 + IN / 32, "angle": 0.25 * DEG}
"""Within 1/8 in and 0.25 deg. A tape is read to 1/16, so half of that is no reason to cut a tack loose (judgement, no source)."""


class Truck(NamedTuple):
    """The job as the set-down sees it."""

    lk: Linkage
    g: Gear
    load: float
    width: float
    track: float
    wheelbase: float
    targets: Mapping[str, float]
    rake: float
    threads: tuple[float, float]


class Round(NamedTuple):
    """One set-down: readings (internal units, by name of ``READINGS``) and the moves made since the first set-down, before it."""

    readings: Mapping[str, float]
    moved: Mapping[str, float]


class Step(NamedTuple):
    """One move advised: steps of its unit, what it does to every reading (internal units)."""

    move: Move
    amount: float
    effect: Mapping[str, float]

    @property
    def words(self) -> str:
        """In sixteenths or quarter turns."""
        n = abs(self.amount)
        if self.move.unit == "turn":
            turns = round(n / self.move.step) / 4
            return f"{self.move.says}: {turns:g} turn{'s' if turns > 1 else ''} {'longer' if self.amount > 0 else 'shorter'}"
        return f"{self.move.says}: {units.show(n, 'length')} {'up' if self.amount > 0 else 'down'}"


class Advice(NamedTuple):
    """What the readings say and what to do. ``errors``: reading less target as read; ``after``: what is left by the model once all is moved;
    ``found``: what differs, by unknown; ``unexplained``: readings that no likely difference explains, to be taken again."""

    errors: Mapping[str, float]
    steps: tuple[Step, ...]
    after: Mapping[str, float]
    found: Mapping[str, float]
    unexplained: tuple[str, ...]

    @property
    def done(self) -> bool:
        """Whether every error is within 1/8 in and 0.25 deg."""
        return all(abs(e) <= CLOSE[READINGS[n][0]] for n, e in self.errors.items() if n in AIMS)


def truck_of(solved: Graph) -> Truck:
    """KeyError names what waits."""
    v = solved.values
    (lower, upper), _ = rates_of(v)
    lk, g = linkage(v, lower, upper), gear(v)
    if g.coils is None or g.steering is None:
        raise KeyError(", ".join(str(k) for n in ("coils", "steering") for k in g.waits.get(n, ())))
    load = v[Key("spring.axle_load", "C")] - v[Key("spring.unsprung", "C")]
    height = {s: v[Key("rail.coil.bottom", k)] for s, k in (("left", "L"), ("right", "R"))}  # type: ignore[arg-type]
    flat = outputs(lk, g, pose(lk, np.zeros(1), np.zeros(1)))
    one = lambda n, s="C": float(flat[Key(n, s)][0])  # noqa: E731
    base = v[Key("frame.wheelbase", "C")]
    targets = {
        "height.left": height["left"],
        "height.right": height["right"],
        "wheelbase.left": base,
        "wheelbase.right": base,
        "caster.left": one("caster", "L"),
        "caster.right": one("caster", "R"),
        "pinion": one("pinion.up"),
        "bar": one("bar.angle"),
        "drag": one("drag.angle"),
        "coil.left": one("coil.length", "L"),
        "coil.right": one("coil.length", "R"),
    }
    rake = sum(v.get(Key("frame.rake", s), 0.0) for s in ("L", "R")) / 2  # type: ignore[arg-type]
    targets["rake"] = rake
    tpi = [
        IN / v.get(Key(f"arms.{n}_tpi", "C"), d)
        for n, d in (("joint", 12.0), ("upper_joint", 16.0))
    ]
    return Truck(
        lk,
        g,
        load,
        v[Key("frame.measuring_width", "C")],
        v[Key("axle.wheel_track", "C")],
        base,
        targets,
        rake,
        (tpi[0], tpi[1]),
    )


def moves(t: Truck) -> tuple[Move, ...]:
    """Everything a person can move. Both arms alike keep the bushings free; one alone winds them up, so less of it is usual."""
    word = (("L", "left", 1.0), ("R", "right", 1.0), ("both", "both", 3.0))
    arm, upper = t.threads
    return (
        *(
            Move(f"seat.{s}", IN / 16, f"{w} upper coil seat", "in", 2 * IN, IN)
            for s, w, _ in word[:2]
        ),
        *(
            Move(
                f"upper.{s}",
                upper / 4,
                f"{w} upper arm{'s' if s == 'both' else ''}",
                "turn",
                0.5 * IN,
                k * upper / 3,
            )
            for s, w, k in word
        ),
        *(
            Move(
                f"arm.{s}",
                arm / 4,
                f"{w} radius arm{'s' if s == 'both' else ''}",
                "turn",
                0.75 * IN,
                2 * k * arm,
            )
            for s, w, k in word
        ),
        Move("bar.z", IN / 16, "track bar's frame bracket", "in", 1.5 * IN, IN),
    )


def of_both(moved: Mapping[str, float], name: str) -> float:
    """What was moved at one side: its own, and what was done to both."""
    return moved.get(name, 0.0) + moved.get(f"{name.partition('.')[0]}.both", 0.0)


class _State(NamedTuple):
    lk: Linkage
    seat: Array
    rate: Array
    load: Array
    rear: Array
    lean: Array


def _built(
    t: Truck, x: Mapping[str, float], moved: Mapping[str, float]
) -> tuple[Linkage, tuple[float, ...]]:
    """One variant: the linkage as built and moved; seat heights, rate, load, rear roll rate and lean."""
    both = lambda n: x.get(n, 0.0) + of_both(moved, n)  # noqa: E731
    off = np.array([[x.get(f"joint.x.{s}", 0.0), 0.0, x.get(f"joint.z.{s}", 0.0)] for s in "LR"])
    lk = t.lk._replace(
        joint_off=off,
        arm_more=np.array([both(f"arm.{s}") for s in "LR"]),
        upper_more=np.array([both(f"upper.{s}") for s in "LR"]),
        bar_off=np.array((0.0, 0.0, both("bar.z"))),
    )
    assert t.g.coils is not None
    return lk, (
        both("seat.L"),
        both("seat.R"),
        t.g.coils.rate * (1 + x.get("rate", 0.0)),
        t.load * (1 + x.get("load", 0.0)),
        REAR * math.exp(x.get("rear", 0.0)),
        x.get("lean", 0.0),
    )


def _stand(
    t: Truck,
    variants: Sequence[tuple[Linkage, tuple[float, ...]]],
    start: tuple[Array, Array] | None = None,
) -> tuple[Pose, Found, Linkage]:
    """Where each variant stands: heave and roll of least energy, by Newton with differences of the exact forces."""
    lk = stack([a for a, _ in variants])
    lk = lk._replace(
        **{
            f: np.broadcast_to(getattr(lk, f), (len(variants), *getattr(lk, f).shape[1:]))
            for f in lk._fields
        }
    )
    s = _State(
        lk,
        *(
            np.array(c)
            for c in (
                [b[:2] for _, b in variants],
                *([b[n] for _, b in variants] for n in (2, 3, 4, 5)),
            )
        ),
    )
    h, r = start or (np.zeros(len(variants)), np.zeros(len(variants)))
    dh, dr = 0.05, 1e-4
    triple = _State(
        Linkage(*(np.concatenate([a] * 3) for a in lk)), *(np.concatenate([a] * 3) for a in s[1:])
    )
    last: Start | None = None
    n = len(variants)
    for _ in range(8):
        q = pose(triple.lk, np.concatenate((h, h + dh, h)), np.concatenate((r, r, r + dr)), last)
        last = Start(q.p, q.d, q.m, q.g, q.force)
        f = _force(t, triple, q)
        f0 = f[:n]
        jac = np.stack(((f[n : 2 * n] - f0) / dh, (f[2 * n :] - f0) / dr), axis=-1)
        step = np.linalg.solve(jac, -f0[..., None])[..., 0]
        h, r = h + step[:, 0], r + step[:, 1]
        if np.abs(step[:, 0]).max() < 1e-6 and np.abs(step[:, 1]).max() < 1e-9:
            break
    q = pose(lk, h, r)
    return q, outputs(lk, t.g, q), lk


def _force(t: Truck, s: _State, q: Pose) -> Array:
    """Slope of the energy in heave (N) and roll (N mm): bushings, coils, weight, rear."""
    c = t.g.coils
    assert c is not None
    arm = apply(q.d[:, None], c.lower - s.lk.centre[:, None])
    low = q.p[:, None] + arm
    upper = c.upper + s.seat[..., None] * np.array((0.0, 0.0, 1.0))
    span = upper - low
    long = np.linalg.norm(span, axis=-1)
    push = s.rate[:, None] * np.maximum(c.free - long, 0.0)
    u = span / long[..., None]
    out = []
    for v in (q.v_heave, q.v_roll):
        speed = v[:, None, :3] + cross(np.broadcast_to(v[:, None, 3:], arm.shape), arm)
        out.append((push * dot(u, speed)).sum(1))
    return np.stack(
        (
            -q.force[:, 1] + out[0] - s.load,
            -q.force[:, 2] * np.cos(q.roll) + out[1] + s.rear * (q.roll - s.lean),
        ),
        axis=-1,
    )


def _read(
    t: Truck, q: Pose, found: Found, lk: Linkage, seat: Array, tail: Array
) -> dict[str, Array]:
    """What tape and finder would read of each variant: heights of the rail above the floor, angles against the floor."""
    sink = q.heave
    nose = (sink + tail) / t.wheelbase
    half = apply(q.d, np.array((0.0, t.track / 2, 0.0)))
    rows = {}
    for n, side, way in ((0, "left", 1), (1, "right", -1)):
        key = "LR"[n]
        rows[f"height.{side}"] = (
            t.targets[f"height.{side}"] - sink - way * t.width / 2 * np.tan(q.roll)
        )
        rows[f"wheelbase.{side}"] = t.wheelbase + (q.p[:, 0] - lk.centre[:, 0]) + way * half[:, 0]
        rows[f"caster.{side}"] = found[Key("caster", key)] - nose  # type: ignore[arg-type]
        rows[f"coil.{side}"] = found[Key("coil.length", key)] + seat[:, n]  # type: ignore[arg-type]
    rows["rake"] = t.rake + nose
    rows["pinion"] = found[Key("pinion.up", "C")] + nose
    span = lk.bar_frame + lk.bar_off - (q.p + apply(q.d, lk.bar_axle - lk.centre))
    bar = np.arctan2(span[:, 2], np.hypot(span[:, 0], span[:, 1]))
    rows["bar"], rows["drag"] = (
        bar - q.roll * np.sign(span[:, 1]),
        found[Key("drag.angle", "C")] - q.roll * np.sign(span[:, 1]),
    )
    return rows


def read(
    t: Truck, many: Sequence[tuple[Mapping[str, float], Mapping[str, float]]]
) -> dict[str, Array]:
    """Readings of each (unknowns, moves)."""
    built = [_built(t, x, m) for x, m in many]
    q, found, lk = _stand(t, built)
    return _read(
        t,
        q,
        found,
        lk,
        np.array([b[:2] for _, b in built]),
        np.array([x.get("tail", 0.0) for x, _ in many]),
    )


WILD = 4.0


def explain_rounds(
    t: Truck, rounds: Sequence[Round], steps: int = 6
) -> tuple[dict[str, float], dict[str, float]]:
    """The differences that explain every round's readings best, each held by the doubt it had before (Gauss-Newton on the least squares);
    and for each reading of the last round how far it stands from what all others say, in its own doubt (deleted residual)."""
    x = np.zeros(len(UNKNOWNS))
    doubt = np.array([u.doubt for u in UNKNOWNS])
    names = [u.name for u in UNKNOWNS]
    j, e, last = np.zeros((0, 0)), np.zeros(0), len(rounds[-1].readings)
    for _ in range(steps):
        trials = [x, *(x + 0.05 * d * np.eye(len(x))[i] for i, d in enumerate(doubt))]
        got = read(
            t, [(dict(zip(names, tr, strict=True)), r.moved) for r in rounds for tr in trials]
        )
        rows, miss = [], []
        for k, r in enumerate(rounds):
            part = slice(k * len(trials), (k + 1) * len(trials))
            for n, value in r.readings.items():
                a = got[n][part]
                sigma = READINGS[n][1]
                rows.append((a[1:] - a[0]) / (0.05 * doubt) * doubt / sigma)
                miss.append((value - a[0]) / sigma)
        j, e = np.vstack([*rows, np.eye(len(x))]), np.concatenate((miss, -x / doubt))
        step = np.linalg.lstsq(j, e, rcond=None)[0] * doubt
        x = x + step
        if np.abs(step / doubt).max() < 1e-3:
            break
    count = len(j) - len(x)
    inner = np.linalg.inv(j.T @ j)
    lever = np.einsum("ij,jk,ik->i", j, inner, j)[:count]
    far = ((e - j @ (step / doubt))[:count] / np.sqrt(np.maximum(1 - lever, 1e-9)))[-last:]
    return dict(zip(names, map(float, x), strict=True)), dict(
        zip(rounds[-1].readings, map(float, far), strict=True)
    )


def _trusted(
    t: Truck, rounds: Sequence[Round]
) -> tuple[dict[str, float], list[Round], tuple[str, ...]]:
    """Differences found without the readings of the last round that nothing likely explains, at most two of them."""
    kept, odd = list(rounds), []
    for _ in range(3):
        x, far = explain_rounds(t, kept)
        worst = max(far, key=lambda n: abs(far[n]), default="")
        if not worst or abs(far[worst]) < WILD or len(odd) == 2 or len(far) < 4:
            break
        odd.append(worst)
        kept[-1] = kept[-1]._replace(
            readings={n: v for n, v in kept[-1].readings.items() if n != worst}
        )
    return x, kept, tuple(odd)


def advise(t: Truck, rounds: Sequence[Round], most: int = 6) -> Advice:
    """What the last set-down needs. Moves are chosen one by one; each must cure a fair part of what is left, and is rounded to its step."""
    x, kept, odd = _trusted(t, rounds)
    last = kept[-1]
    can = moves(t)
    before = dict(last.moved)
    base, *tried = _columns(
        read(
            t,
            [
                (x, before),
                *((x, {**before, m.name: before.get(m.name, 0.0) + 4 * m.step}) for m in can),
            ],
        ),
        1 + len(can),
    )
    effect = {
        m.name: {n: (tr[n] - base[n]) / (4 * m.step) for n in base}
        for m, tr in zip(can, tried, strict=True)
    }
    # what is read counts, not what the model thinks: the model gives the slopes
    now = {n: last.readings.get(n, base[n]) - t.targets[n] for n in AIMS}
    chosen = _choose(can, effect, now, most)
    total = {m.name: before.get(m.name, 0.0) + a for m, a in chosen}
    end = _columns(read(t, [(x, {**before, **total})]), 1)[0]
    after = {n: now[n] + end[n] - base[n] for n in AIMS}
    steps = tuple(Step(m, a, {n: a * e for n, e in effect[m.name].items()}) for m, a in chosen)
    errors = {n: v - t.targets[n] for n, v in rounds[-1].readings.items()}
    return Advice(errors, steps, after, x, odd)


def _columns(got: Mapping[str, Array], n: int) -> list[dict[str, float]]:
    return [{k: float(a[i]) for k, a in got.items()} for i in range(n)]


def _choose(
    can: Sequence[Move],
    effect: Mapping[str, Mapping[str, float]],
    errors: Mapping[str, float],
    most: int,
) -> list[tuple[Move, float]]:
    """Forward selection: each time the move whose addition, all amounts fitted again, leaves least; stops when it cures too little to be worth cutting loose."""
    names = list(errors)
    weight = np.array([1 / AIMS[n] for n in names])
    e = np.array([errors[n] for n in names]) * weight
    columns = {m.name: np.array([effect[m.name][n] for n in names]) * weight for m in can}
    picked: list[Move] = []
    cost = float(e @ e)
    while len(picked) < most:
        trials = []
        for m in can:
            if m in picked:
                continue
            rows = [*picked, m]
            amounts = _fit(rows, columns, e)
            left = e + sum(columns[r.name] * a for r, a in zip(rows, amounts, strict=True))
            effort = sum((a / r.usual) ** 2 for r, a in zip(rows, amounts, strict=True))
            trials.append((float(left @ left) + effort, len(trials), m))
        best = min(trials, default=None)
        if best is None or cost - best[0] < max(1.0, 0.1 * cost):
            break
        picked, cost = [*picked, best[2]], best[0]
    return (
        [(m, a) for m, a in zip(picked, _fit(picked, columns, e), strict=True) if a]
        if picked
        else []
    )


def _fit(rows: Sequence[Move], columns: Mapping[str, Array], e: Array) -> list[float]:
    """Amounts by least squares of what is left and of the effort, rounded to steps one by one, the rest fitted again after each."""
    amounts: dict[str, float] = {}
    left = e.copy()
    todo = list(rows)
    while todo:
        a = np.vstack(
            (
                np.stack([columns[m.name] for m in todo], axis=1),
                np.diag([1 / m.usual for m in todo]),
            )
        )
        got = np.linalg.lstsq(a, -np.concatenate((left, np.zeros(len(todo)))), rcond=None)[0]
        i = int(np.argmax([abs(g) / m.step for g, m in zip(got, todo, strict=True)]))
        m = todo.pop(i)
        amount = max(-m.most, min(m.most, round(got[i] / m.step) * m.step))
        amounts[m.name] = amount
        left = left + columns[m.name] * amount
    return [amounts[m.name] for m in rows]
