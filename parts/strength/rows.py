"""The placed truck under its load cases: pivot bolts, ears, arm tubes, weld groups, crossmember.

One row a part and rule: the case that governs.

Sizes are chosen before (by the families); here they are held against the forces of
``layout.loads``. What is not held is listed in ``NOT_CHECKED``.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from ...layout.assumed import Assumed
from ...layout.graph import Graph
from ...layout.loads.basis import load_basis
from ...layout.loads.cases import EVERYDAY, both_hands
from ...layout.loads.forces import Forces, forces
from ...layout.quantities import Key
from ...layout.travel.spin import critical
from .. import stock
from ..design.site import Waiting, forces_of
from ..design.sizing import Check, put_in
from ..geometry import outline
from ..model.assembly import Bolt, Member, Weld
from ..model.body import Plate, Tube
from ..model.verdict import Verdict
from ..placed.fit import weld_line
from ..rules import bolts, plates, tubes, welds
from ..stock import Shop
from ..stock.materials import Materials, materials
from ..truck.truck import Truck
from . import crossmember as strength_cross
from . import everyday as life
from . import rail_stations, tacks
from . import small_parts as strength_small
from .elements.coil_seat_plate import Seat, seat

NOT_CHECKED = (
    "knuckles, steering and brakes",
    "shocks and straps themselves",
    "threaded ends and joints themselves: their makers'",
    "the rail beyond its restored section",
    "transmission torque reaction at the crossmember",
    "jacking on a bracket",
)
GROOVE = 2**0.5
"""A groove weld's ``leg`` is its effective throat as printed, a fillet's throat 0.707 of its leg
(AISC 360 table J2.1, groove of 60 deg: unverified).
"""
Vec = Any


class Pivot(NamedTuple):
    """A pivot bolt: which force goes through it."""

    bolt: str
    force: Callable[[Forces, int], Vec]
    says: str


PIVOTS: tuple[Pivot, ...] = (
    Pivot("arm.bolt#1", lambda f, i: f.lower[i], "lower arm bolt at the axle"),
    Pivot("upper.mount#1", lambda f, i: f.upper_vec[i], "upper-arm bolt at the axle"),
    Pivot("upper.joint#1", lambda f, i: f.upper_vec[i], "upper joint's bolt"),
    Pivot("arm.joint#1", lambda f, i: f.joint[i], "frame joint's bolt"),
    Pivot("bar.axle#1", lambda f, i: f.bar, "track-bar bolt at the axle"),
    Pivot("bar.frame#1", lambda f, i: f.bar, "track-bar bolt at the frame"),
)


class Strength(NamedTuple):
    """Rows, the forces behind them, what waits; ``seats``: finite elements of the coil-seat plates,
    by part, with the coil's and stop's force they are shown at; ``assumed``: what nobody read
    (``parts.assumptions`` fills it in); ``notes``: load factors of the shop's own; ``grown``: what
    was made larger for its loads; ``stations``: each rail along its coil-seat plate; ``tacks``:
    what holds it until it is welded; ``welded``: part, words of its rows and the welds those rows
    hold; ``ways``: failing part -> what would pass.
    """

    checks: tuple[Check, ...]
    forces: tuple[Forces, ...]
    waits: tuple[Key, ...]
    assumed: tuple[Assumed, ...] = ()
    notes: tuple[str, ...] = ()
    seats: Mapping[str, tuple[Seat, float]] = {}
    grown: tuple[str, ...] = ()
    stations: Mapping[str, Sequence[rail_stations.Station]] = {}
    tacks: Sequence[tacks.Tack] = ()
    welded: Sequence[tuple[str, str, tuple[str, ...]]] = ()
    ways: Mapping[str, str] = {}

    @property
    def fails(self) -> Mapping[str, tuple[Check, ...]]:
        """Part -> the rows it fails."""
        found: dict[str, tuple[Check, ...]] = {}
        for c in self.checks:
            if c.verdict is Verdict.FAILS:
                found[c.part] = (*found.get(c.part, ()), c)
        return found


def strength(t: Truck, solved: Graph, shop: Shop) -> Strength:
    """Everything that can be held against the load cases, the coil-seat plates in finite elements.

    Where readings wait there are no rows, and they are named.
    """
    v = solved.values
    try:
        rows = forces_of(solved, tuple(sorted(shop.loads.items())))
    except Waiting as w:
        return Strength((), (), w.keys)
    work = Work(t, shop, v, rows)
    everyday = forces(v, both_hands(EVERYDAY))
    found, seats = list(work.all()), {}
    found += [*life.rows(work, everyday), *tacks.rows(work)]
    for i, s in enumerate("LR"):
        got = work.seat_plate(s)
        if got is not None:
            most = max(float(f.coil[i] + f.stop[i]) for f in rows)
            seats[f"CS1.{s}"] = (got, most)
            found += [*work.bent(i, s, got), *life.plate(work, everyday, i, s, got)]
    return Strength(
        tuple(sorted(found, key=lambda c: -c.utilisation)),
        rows,
        (),
        (),
        shop.load_notes,
        seats,
        (),
        {s: rail_stations.stations(work, s) for s in "LR"},
        tacks.every(work),
        tuple(work.welded),
    )


class Group(NamedTuple):
    """A rigid weld group: force per millimeter on each piece (n, 3, 3) for a force of one newton
    along x, y, z at ``at``; legs (n,), walls (n, 2).
    """

    part: str
    says: str
    welds: tuple[Weld, ...]
    at: Vec
    force: Callable[[Forces], Vec]
    unit: Vec
    legs: Vec
    walls: Vec


class Root(NamedTuple):
    """An ear at its weld line: directions along it, out of its plane and up to the bolt; from the
    line's middle to the bolt, mm; sizes in mm; its share of the joint's force.
    """

    part: str
    says: str
    run: Vec
    out: Vec
    up: Vec
    lever: Vec
    width: float
    t: float
    share: int
    force: Callable[[Forces], Vec]


class Work:
    """The truck's members, bolts and welds by name, and the rows made from them."""

    def __init__(
        self,
        t: Truck,
        shop: Shop,
        v: Mapping[Key, float],
        rows: Sequence[Forces],
        made_of: Materials | None = None,
    ) -> None:
        self.t, self.shop, self.v, self.rows = t, shop, v, rows
        self.made_of = made_of or materials(t.words, shop)
        self.members = {m.code: m for m in t.assembly.members}
        self.parts = {p.id: p for p in t.singles}
        self.bolts = {b.id: b for b in t.assembly.bolts}
        self.lk, self.wheel = (known := load_basis(v)).linkage, known.wheel
        self.groups, self.roots = list[Group](), list[Root]()
        self.welded: list[tuple[str, str, tuple[str, ...]]] = []
        self.at_hole: dict[tuple[str, str], Callable[[Forces], Vec]] = {}

    def all(self) -> Iterator[Check]:
        """Every row, the governing case of each."""
        for i, s in enumerate("LR"):
            yield from self.arm(i, s)
            for p in PIVOTS:
                b = self.bolts.get(f"{p.bolt}.{s}")
                if b is not None:
                    yield from self.pivot(p, b, i)
            yield from self.coil(i, s)
            yield from strength_cross.side_plate(self, i, s)
            yield from strength_cross.cross_tube(self, i, s)
            yield from strength_cross.flange(self, i, s)
            yield from rail_stations.rows(self, i, s)
            yield from strength_small.side(self, i, s)
        yield from strength_small.whole(self)
        yield from strength_cross.gearbox(self)

    def worst(
        self,
        part: str,
        says: str,
        clause: Any,
        args: Callable[[Forces], Mapping[str, Any] | None],
        tag: str = "",
    ) -> Iterator[Check]:
        """The case whose demand is most of its capacity.

        ``tag``: where what is put in is known less well than the clause.
        """
        best: Check | None = None
        for f, got in ((f, args(f)) for f in self.rows):
            if got is None:
                continue
            demand, capacity = (float(x) for x in clause(**got))
            case = (
                f.case.name
                + (f", {'left' if f.case.hand == 'L' else 'right'} wheel" if f.case.hand else "")
                + f" ({f.case.level})"
            )
            c = Check(
                part,
                says,
                f"{clause.ref} {clause.edition}".strip(),
                demand,
                capacity,
                clause.unit,
                clause.must,
                tag or clause.tag,
                case,
                clause.formula,
                put_in(got),
            )
            if best is None or c.utilisation > best.utilisation:
                best = c
        if best is not None and best.demand > 1e-6:
            yield best

    def tube(self, code: str) -> Any:
        """A tube as it is on hand, its steel as read; None where there is none."""
        m = self.members.get(code)
        if m is None or not isinstance(m.body, Tube):
            return None
        got = self.shop.tube(m.body.stock)
        return got._replace(steel=self.made_of.tube(code, got).name)

    def arm(self, i: int, s: str) -> Iterator[Check]:
        """Radius arm bent at the upper joint, pushed and pulled; upper arm pushed and pulled.

        Strength beside welds is the normalized steel's.
        """
        side: Any = s
        tube, upper = self.tube(f"AR1.{s}"), self.tube(f"UA1.{s}")
        if tube is not None:
            fy, a = stock.steel(tube.steel).fy, float(tubes.area(tube.od, tube.wall))
            slender = self.v[Key("arm.cc", side)] / math.sqrt(
                float(tubes.inertia(tube.od, tube.wall)) / a
            )
            push = float(tubes.column(force_N=0.0, area_mm2=a, slender=slender, fy_MPa=fy)[1])
            pull = float(tubes.tension(force_N=0.0, area_mm2=a, fy_MPa=fy)[1])
            yield from self.worst(
                f"AR1.{s}",
                "arm tube bent at the upper joint, with push or pull",
                tubes.combined,
                lambda f: {
                    "force_N": abs(f.axial[i]),
                    "capacity_N": push if f.axial[i] < 0 else pull,
                    "moment_Nmm": f.bend[i],
                    "capacity_Nmm": float(tubes.bending(tube.od, tube.wall, fy)),
                },
            )
        if upper is not None:
            fy, a = stock.steel(upper.steel).fy, float(tubes.area(upper.od, upper.wall))
            slender = self.v[Key("upper.cc", side)] / math.sqrt(
                float(tubes.inertia(upper.od, upper.wall)) / a
            )
            yield from self.worst(
                f"UA1.{s}",
                "upper-arm tube pushed",
                tubes.column,
                lambda f: {
                    "force_N": max(f.upper[i], 0.0),
                    "area_mm2": a,
                    "slender": slender,
                    "fy_MPa": fy,
                },
            )
            limit = critical(self.lk, i)
            if math.isfinite(limit):
                yield from self.worst(
                    f"UA1.{s}",
                    "upper arm's push against the push that flips the radius arm about its own"
                    " axis",
                    tubes.arm_spin,
                    lambda f: {"force_N": max(f.upper[i], 0.0), "critical_N": limit},
                )
            yield from self.worst(
                f"UA1.{s}",
                "upper-arm tube pulled",
                tubes.tension,
                lambda f: {"force_N": max(-f.upper[i], 0.0), "area_mm2": a, "fy_MPa": fy},
            )

    def pivot(self, p: Pivot, b: Bolt, i: int) -> Iterator[Check]:
        """The bolt in double shear and bending; every ear it passes in bearing and tear-out; the
        welds behind the cheeks.
        """
        size, mark = stock.bolt(b.size), self.made_of.bolt(b)
        one = lambda f: float(np.linalg.norm(p.force(f, i)))
        cheeks = [
            c for c in b.through if c in self.parts and isinstance(self.parts[c].member.body, Plate)
        ]
        n, of = max(1, len(cheeks)), "half of" if len(cheeks) == 2 else "all of"
        yield from self.worst(
            b.id,
            f"{p.says}: shear, threads out of the planes",
            bolts.bolt_shear,
            lambda f: {"force_N": one(f), "fnv_MPa": 0.563 * mark.fu, "d_mm": size.d, "planes": n},
        )
        for c in cheeks:
            part = self.parts[c]
            hole = next((h for h in part.holes if h.bolt == b.id), None)
            assert isinstance(part.member.body, Plate)
            plate = self.shop.plate(part.member.body.stock)
            steel = stock.steel(plate.steel)
            if hole is None:
                continue
            if hole.length:
                yield from self.ring(b, c, p.says, lambda f: one(f) / n)
                continue
            clear = outline.distance(part.member.body.outline, hole.at) - hole.diameter / 2
            t = min(plate.thickness, plate.measured)
            yield from self.worst(
                c,
                f"{of} the force at the {p.says}, bearing and tear-out",
                bolts.bearing,
                lambda f, t=t, c2=clear, fu2=steel.fu: {  # type: ignore[misc]
                    "force_N": one(f) / n,
                    "d_mm": size.d,
                    "t_mm": t,
                    "fu_MPa": fu2,
                    "clear_mm": c2,
                },
            )
        if len(cheeks) == 2:
            inner, outer = self.apart(b, cheeks), min(self.steel_of(c)[0] for c in cheeks)
            yield from self.worst(
                b.id,
                f"{p.says}: bent between its ears",
                bolts.pin_bending,
                lambda f: {
                    "force_N": one(f),
                    "inner_mm": inner,
                    "gap_mm": 0.8,
                    "outer_mm": outer,
                    "d_mm": size.d,
                    "fy_MPa": mark.fy,
                },
            )
        for c in cheeks:
            self.at_hole[c, b.id] = lambda f: self.vector(p, f, i) / len(cheeks)
            yield from self.root(
                c,
                np.array(b.at) + np.array(b.along) * self.middle(b),
                lambda f: self.vector(p, f, i),
                p.says,
                len(cheeks),
            )
        if cheeks:
            yield from self.behind(
                cheeks,
                np.array(b.at) + np.array(b.along) * self.middle(b),
                lambda f: self.vector(p, f, i),
                p.says,
            )

    def ring(
        self, b: Bolt, cheek: str, says: str, force: Callable[[Forces], float]
    ) -> Iterator[Check]:
        """A slot alone is never credited: the weld washer on it takes the ear's share in bearing
        and passes it on through its own fillet.
        """
        weld = next(
            (w for w in self.t.assembly.welds if w.to == cheek and w.on.startswith("WW")), None
        )
        if weld is None:
            yield Check(
                cheek,
                f"slotted hole at the {says} without a weld washer",
                "shop rule: a slot alone is never credited",
                1.0,
                0.0,
                "ratio",
            )
            return
        part = self.parts[weld.on]
        assert isinstance(part.member.body, Plate)
        plate, size, hole = (
            self.shop.plate(part.member.body.stock),
            stock.bolt(b.size),
            part.holes[0],
        )
        x0, _, x1, _ = outline.bbox(part.member.body.outline)
        t = min(plate.thickness, plate.measured)
        yield from self.worst(
            weld.on,
            f"half of the force at the {says}, bearing and tear-out of the washer",
            bolts.bearing,
            lambda f: {
                "force_N": force(f),
                "d_mm": size.d,
                "t_mm": t,
                "fu_MPa": stock.steel(plate.steel).fu,
                "clear_mm": (x1 - x0 - hole.diameter) / 2,
            },
        )
        yield from self.worst(
            weld.on,
            f"washer's ring of weld under half of the force at the {says}",
            welds.weld_line,
            lambda f: {
                "force_N_mm": force(f) / (math.pi * (x1 - x0)),
                "leg_mm": weld.leg,
                "fexx_MPa": self.made_of.filler.fexx,
            },
        )

    def vector(self, p: Pivot, f: Forces, i: int) -> Any:
        """The force of a pivot in truck axes; the track bar's along the bar."""
        got = p.force(f, i)
        return got if np.ndim(got) else float(got) * self.bar_way()

    def apart(self, b: Bolt, cheeks: Sequence[str]) -> float:
        """Clear distance between two ears along their bolt."""
        along, faces = np.array(b.along), []
        for c in cheeks:
            m = self.members[c]
            start = float(np.array(m.place.origin) @ along)
            faces.append(
                sorted((start, start + float(np.array(m.place.z) @ along) * self.steel_of(c)[0]))
            )
        first, second = sorted(faces)
        return float(second[0] - first[1])

    def root(
        self,
        cheek: str,
        at: Any,
        force: Callable[[Forces], Any],
        says: str,
        share: int,
        edges: Sequence[str] = (),
    ) -> Iterator[Check]:
        """An ear at its weld line under its share: bent in its plane by the arm to the bolt,
        sideways as a portal held by the sleeve (V h / 4), pulled, sheared.
        """
        m = self.members[cheek]
        line = [
            w
            for w in self.t.assembly.welds
            if w.on == cheek and w.to not in self.bolts and (not edges or w.edges == tuple(edges))
        ]
        pts = np.array([x for w in line for pair in self.segments(w) for x in pair])
        if len(pts) < 2 or not isinstance(m.body, Plate) or m.body.bends:
            return
        long = np.repeat([np.linalg.norm(b - a) for w in line for a, b in self.segments(w)], 2)
        mid = (long[:, None] * pts).sum(0) / long.sum()
        _, _, axes = np.linalg.svd(pts - mid)
        run, out = axes[0], np.array(m.place.z)
        run = run - (run @ out) * out
        run /= np.linalg.norm(run)
        width = float(np.ptp(pts @ run))
        up = np.cross(out, run)
        height = abs(float((at - mid) @ up))
        t, _ = self.steel_of(cheek)
        fy = stock.steel(self.shop.plate(m.body.stock).steel).fy
        self.roots.append(Root(cheek, says, run, out, up, at - mid, width, t, share, force))

        def args(f: Forces) -> dict[str, Any]:
            v = np.asarray(force(f), dtype=float) / share
            offset = abs(float((at - mid) @ run)) * abs(float(v @ up))
            return {
                "moment_Nmm": abs(float(v @ run)) * height + offset,
                "sideways_Nmm": abs(float(v @ out)) * height / (4 if share > 1 else 1),
                "pull_N": abs(float(v @ up)),
                "shear_N": abs(float(v @ run)),
                "width_mm": width,
                "t_mm": t,
                "fy_MPa": fy,
            }

        yield from self.worst(
            cheek, f"root of the ear under its share of the {says}", plates.plate_root, args
        )
        down = up if float((at - mid) @ up) < 0 else -up
        yield from self.worst(
            cheek,
            f"ear pushed toward its weld by its share of the {says}",
            plates.plate_push,
            lambda f: {
                "push_N": max(float(np.asarray(force(f), dtype=float) @ down) / share, 0.0),
                "width_mm": width,
                "t_mm": t,
                "tall_mm": height,
                "k": 1.2 if share > 1 else 2.1,
                "fy_MPa": fy,
            },
        )

    def middle(self, b: Bolt) -> float:
        """How far along a bolt its joint's middle is: half of what its ears span."""
        along = [
            float((np.array(self.members[c].place.origin) - np.array(b.at)) @ np.array(b.along))
            for c in b.through
            if c in self.members
        ]
        return sum(along) / len(along) if along else 0.0

    def bar_way(self) -> Any:
        """Direction of the track bar from axle to frame."""
        span = np.array(
            [self.v[Key(f"bar.frame.{x}", "C")] - self.v[Key(f"bar.axle.{x}", "C")] for x in "xyz"]
        )
        return span / np.linalg.norm(span)

    def behind(
        self, cheeks: Sequence[str], at: Any, force: Callable[[Forces], Any], says: str
    ) -> Iterator[Check]:
        """Welds that carry the ears, then those that carry what the ears stand on, each as a rigid
        group with the force at the joint.
        """
        on = [w for w in self.t.assembly.welds if w.on in cheeks and w.to not in cheeks]
        yield from self.group(
            on, at, force, f"welds of {' and '.join(sorted({w.on for w in on}))} under the {says}"
        )
        family = {
            c
            for c in self.members
            if c.rstrip("LRC.").rstrip("0123456789")
            == cheeks[0].rstrip("LRC.").rstrip("0123456789")
        }
        carriers = {
            w.to
            for w in on
            if w.to in family
            and w.to in self.parts
            and isinstance(self.parts[w.to].member.body, Plate)
        }
        if carriers:
            out = [
                w
                for w in self.t.assembly.welds
                if w.on in family and w.to not in family and w.to[-1] in (cheeks[0][-1], "C")
            ]
            yield from self.group(
                out,
                at,
                force,
                f"welds that carry {' and '.join(sorted(carriers))} under the {says}",
            )

    def group(
        self, found: Sequence[Weld], at: Any, force: Callable[[Forces], Any], says: str
    ) -> Iterator[Check]:
        """One weld group: the most loaded millimeter against the weld and against the thinner wall."""
        g = self.line_up(found, at, force, says)
        if g is None:
            return
        self.groups.append(g)
        unit, legs, walls, part = g.unit, g.legs, g.walls, g.part
        self.welded.append((part, says, tuple(w.id for w in found)))

        def worst_line(f: Forces, capacity: Any) -> int:
            per = np.linalg.norm(unit @ np.asarray(force(f), dtype=float), axis=1)
            return int(np.argmax(per / capacity))

        def weld(f: Forces) -> dict[str, Any]:
            n = worst_line(f, legs)
            return {
                "force_N_mm": float(np.linalg.norm(unit[n] @ np.asarray(force(f), dtype=float))),
                "leg_mm": float(legs[n]),
                "fexx_MPa": self.made_of.filler.fexx,
            }

        def beside(f: Forces) -> dict[str, Any] | None:
            n = worst_line(f, walls[:, 0] * walls[:, 1])
            if math.isinf(walls[n, 0]):  # nothing it joins is steel of known strength
                return None
            return {
                "force_N_mm": float(np.linalg.norm(unit[n] @ np.asarray(force(f), dtype=float))),
                "t_mm": float(walls[n, 0]),
                "fu_MPa": float(walls[n, 1]),
            }

        yield from self.worst(
            part,
            says,
            welds.weld_line,
            weld,
            (
                "memory"
                if any(w.kind == "groove" for w in found) or self.made_of.filler.tag == "memory"
                else ""
            ),
        )
        yield from self.worst(part, f"steel beside the {says}", welds.wall_beside, beside)

    def line_up(
        self, found: Sequence[Weld], at: Any, force: Callable[[Forces], Any], says: str
    ) -> Group | None:
        """A rigid weld group about ``at``; None where it has no length."""
        lines = [(w, seg) for w in found for seg in self.segments(w)]
        if len(lines) < 2:
            return None
        mids = np.array([(a + b) / 2 for _, (a, b) in lines])
        lengths = np.array([np.linalg.norm(b - a) for _, (a, b) in lines])
        legs = np.array(
            [
                w.leg
                * (GROOVE if w.kind == "groove" else 1.0)
                * (min(1.0, w.run / w.pitch) if w.run and w.pitch else 1.0)
                for w, _ in lines
            ]
        )
        unit = (
            np.stack([bolts.shares(mids, lengths * legs, e, at) for e in np.eye(3)], axis=-1)
            / lengths[:, None, None]
        )
        return Group(
            found[0].on,
            says,
            tuple(found),
            at,
            force,
            unit,
            legs,
            np.array([self.wall(w) for w, _ in lines]),
        )

    def segments(self, w: Weld) -> list[tuple[Any, Any]]:
        """Pieces of a weld line in truck axes."""
        m = self.members.get(w.on)
        if m is None or not isinstance(m.body, Plate):
            return []
        t = self.shop.plate(m.body.stock).thickness
        found = []
        for name in w.edges:
            for face in ("bottom", "top") if w.face == "both" else (w.face,):
                p = weld_line(m, name, t, face, w.stop)
                found += [
                    (a, b) for a, b in itertools.pairwise(p) if 1e-6 < np.linalg.norm(b - a) < 40.0
                ]
        return found

    def wall(self, w: Weld) -> tuple[float, float]:
        """Thickness and strength of the thinner of what a weld joins."""
        return min(
            ((t, fu) for c in (w.on, w.to) for t, fu in [self.steel_of(c)] if t),
            key=lambda r: r[0] * r[1],
            default=(math.inf, self.made_of.rail.fu),
        )

    def steel_of(self, code: str) -> tuple[float, float]:
        m: Member | None = self.members.get(code)
        if m is None:
            return 0.0, 0.0
        if isinstance(m.body, Plate):
            p = self.shop.plate(m.body.stock)
            return min(p.thickness, p.measured), stock.steel(p.steel).fu
        if isinstance(m.body, Tube):
            t = self.tube(code)
            return t.wall, stock.steel(t.steel).fu
        if m.title == "frame rail":
            side: Any = code[-1]
            return (
                min(
                    (
                        self.v[k]
                        for k in self.v
                        if k.name.startswith("frame.station.")
                        and k.name.endswith(".wall")
                        and k.side == side
                    ),
                    default=0.0,
                ),
                self.made_of.rail.fu,
            )
        if code == "axle.C":
            return self.v.get(Key("axle.tube_wall", "C"), 0.0), self.made_of.axle.fu
        return 0.0, 0.0

    def coil(self, i: int, s: str) -> Iterator[Check]:
        """Coil mount to its plate, lower seat to the axle, under coil and stop together."""
        side: Any = s
        way = 1 if s == "L" else -1
        for name, head, at_key in (
            ("CM", "coil mount", "seat.upper"),
            ("LS", "lower coil seat", "seat.lower"),
        ):
            family = {c for c in self.members if c.startswith(name) and c.endswith(f".{s}")}
            found = [w for w in self.t.assembly.welds if w.on in family and w.to not in family]
            if not found or Key(f"{at_key}.x", side) not in self.v:
                continue
            at = np.array([self.v[Key(f"{at_key}.{a}", side)] for a in "xyz"]) * (1, way, 1)
            up = 1.0 if name == "CM" else -1.0
            carried = lambda f, up=up: np.array((0.0, 0.0, up * (f.coil[i] + f.stop[i])))  # type: ignore[misc]
            yield from self.group(found, at, carried, f"welds of the {head} under coil and stop")
            inside = (
                [w for w in self.t.assembly.welds if w.on == f"CM4.{s}" and w.to in family]
                if name == "CM"
                else []
            )
            yield from self.group(
                inside,
                at,
                carried,
                "welds of the coil seat to its gussets and back plate under coil and stop",
            )

    def seat_plate(self, s: str) -> Seat | None:
        """Finite elements of the coil-seat plate under its mount; None where one of them is not
        there.
        """
        side: Any = s
        plate, back = self.members.get(f"CS1.{s}"), self.members.get(f"CM1.{s}")
        keys = [Key(f"seat.upper.{a}", side) for a in "xyz"] + [
            Key(f"frame.notch.x_{n}", side) for n in ("first", "last")
        ]
        if plate is None or back is None or any(k not in self.v for k in keys):
            return None
        x, y, z, first, last = (self.v[k] for k in keys)
        return seat(
            plate,
            back,
            (self.steel_of(plate.code)[0], self.steel_of(back.code)[0]),
            [w for w in self.t.assembly.welds if w.on in (plate.code, back.code)],
            lambda w, e: weld_line(self.members[w.on], e, self.steel_of(w.on)[0], "bottom", w.stop),
            np.array((x, y if s == "L" else -y, z)),
            (x - last, x - first),
        )

    def bent(self, i: int, s: str, got: Seat) -> Iterator[Check]:
        """The coil-seat plate bent under coil and stop: one plate alone, without the rail's flanges
        and the mount's own stiffness.
        """
        body = self.members[f"CS1.{s}"].body
        assert isinstance(body, Plate)
        fy = stock.steel(self.shop.plate(body.stock).steel).fy
        yield from self.worst(
            f"CS1.{s}",
            "coil-seat plate bent under coil and stop, one thickness off its welds",
            plates.bent,
            lambda f: {"stress_MPa": got.per_newton * float(f.coil[i] + f.stop[i]), "fy_MPa": fy},
        )
