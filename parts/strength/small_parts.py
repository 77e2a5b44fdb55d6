"""Small parts under load: limit straps and shocks at their tabs, bump stops, the transmission pad,
the track bar's brace.
"""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from ...layout.loads.cases import Case
from ...layout.quantities import Key
from .. import stock
from ..design.sizing import Check, put_in
from ..geometry import outline
from ..model.assembly import Weld
from ..model.body import Plate
from ..placed import fit
from ..rules import plates, tubes, welds
from .crossmember import GEARBOX

if TYPE_CHECKING:
    from .rows import Work

SHOCK = Case(
    "shock at one wheel's load",
    "often",
    1.0,
    "a shock pushes or pulls with the standing load of one wheel",
    "judgment, no source",
)
PAD = Case(
    "transmission 3 x",
    "often",
    GEARBOX,
    "three times the transmission's weight on its pad",
    "as the wheels in bump: judgment",
)


def under(w: Work, case: Case) -> Work:
    """The same truck with nothing but one case of its own; what it records is dropped, since tacks
    and life count standing load only.
    """
    one = copy.copy(w)
    one.groups, one.roots, one.at_hole = [], [], {}
    one.rows = (next(f for f in w.rows if f.case.name == "static")._replace(case=case),)
    return one


def side(w: Work, i: int, s: str) -> Iterator[Check]:
    """Straps, shocks and stops of one side; the brace on the track bar's."""
    from .rows import Pivot

    for name, says in (("strap", "limit strap's bolt"), ("shock", "shock's bolt")):
        pair = [w.bolts.get(f"{name}.{end}#1.{s}") for end in ("upper", "lower")]
        if None in pair:
            continue
        up, low = (np.array(b.at) for b in pair)  # type: ignore[union-attr]
        way = (low - up) / np.linalg.norm(low - up)
        work = w if name == "strap" else under(w, SHOCK)
        load = (lambda f, i: float(f.strap[i])) if name == "strap" else (lambda f, i: w.wheel)
        for b, k in zip(pair, (1.0, -1.0), strict=True):
            assert b is not None
            yield from work.pivot(
                Pivot(
                    b.id.rpartition(".")[0],
                    lambda f, i, k=k, load=load: k * load(f, i) * way,
                    says + (" at the frame" if k > 0 else " at the axle"),
                ),
                b,
                i,
            )  # type: ignore[misc]
    yield from stop(w, i, s)
    yield from brace(w, s)


def stop(w: Work, i: int, s: str) -> Iterator[Check]:
    """Spacer tube as a column free at its lower end; the pad's two legs pushed."""
    tube, m = w.tube(f"BP1.{s}"), w.members.get(f"BP1.{s}")
    if tube is not None and m is not None:
        a = float(tubes.area(tube.od, tube.wall))
        slender = 2.1 * m.body.length / math.sqrt(float(tubes.inertia(tube.od, tube.wall)) / a)  # type: ignore[union-attr]
        fy = stock.steel(tube.steel).fy
        yield from w.worst(
            f"BP1.{s}",
            "bump stop's spacer pushed",
            tubes.column,
            lambda f: {
                "force_N": float(f.stop[i]),
                "area_mm2": a,
                "slender": slender,
                "fy_MPa": fy,
            },
        )
    for code in (f"BP4.{s}", f"BP5.{s}"):
        leg = w.members.get(code)
        if leg is not None and isinstance(leg.body, Plate):
            x0, y0, x1, y1 = outline.bbox(leg.body.outline)
            t, _ = w.steel_of(code)
            fy = stock.steel(w.shop.plate(leg.body.stock).steel).fy
            yield from w.worst(
                code,
                "bump pad's leg pushed by its half of the stop",
                plates.plate_push,
                lambda f, t=t, wide=x1 - x0, tall=y1 - y0, fy=fy: {  # type: ignore[misc]
                    "push_N": float(f.stop[i]) / 2,
                    "width_mm": wide,
                    "t_mm": t,
                    "tall_mm": tall,
                    "k": 1.2,
                    "fy_MPa": fy,
                },
            )


def brace(w: Work, s: str) -> Iterator[Check]:
    """The track bar's brace pushed with all of the bar's force, an upper bound; its welds to pad
    and far rail.
    """
    tube, m = w.tube(f"TB16.{s}"), w.members.get(f"TB16.{s}")
    if tube is None or m is None:
        return
    a = float(tubes.area(tube.od, tube.wall))
    slender = m.body.length / math.sqrt(float(tubes.inertia(tube.od, tube.wall)) / a)  # type: ignore[union-attr]
    fy = stock.steel(tube.steel).fy
    yield from w.worst(
        f"TB16.{s}",
        "track-bar brace pushed with the bar's whole force",
        tubes.column,
        lambda f: {"force_N": abs(f.bar), "area_mm2": a, "slender": slender, "fy_MPa": fy},
    )
    yield from w.worst(
        f"TB16.{s}",
        "track-bar brace pulled with the bar's whole force",
        tubes.tension,
        lambda f: {"force_N": abs(f.bar), "area_mm2": a, "fy_MPa": fy},
    )
    pad = [x for x in w.t.assembly.welds if x.on == f"TB17.{s}"]
    at = np.array(w.members[f"TB17.{s}"].place.origin) if f"TB17.{s}" in w.members else np.zeros(3)
    yield from w.group(
        pad,
        at,
        lambda f: np.array((0.0, float(f.bar), 0.0)),
        "welds of the brace's pad to the far rail",
    )


def whole(w: Work) -> Iterator[Check]:
    """What belongs to no side."""
    yield from pad(w)
    yield from (c for c in limits(w) if c.demand > c.capacity * (1 + 1e-9))


def pad(w: Work) -> Iterator[Check]:
    """The transmission pad's arms as cantilevers from the cross tube, and their welds."""
    keys = [Key(f"driveline.mount.{n}", "C") for n in ("x", "y", "z", "weight")]
    arms = [c for c in ("XP2.C", "XP3.C") if c in w.members]
    if any(k not in w.v for k in keys) or len(arms) != 2:
        return
    x, y, z, weight = (w.v[k] for k in keys)
    one, at = under(w, PAD), np.array((x, y, z))
    down: Any = lambda f: np.array((0.0, 0.0, -GEARBOX * weight))
    for c in arms:
        yield from one.root(c, at, down, "transmission's weight", 2, ("saddle",))
    yield from one.group(
        [x for x in w.t.assembly.welds if x.on in arms and x.edges == ("saddle",)],
        at,
        down,
        "welds of the transmission pad's arms to the cross tube",
    )


def thinner(w: Work, x: Weld) -> float:
    """Thickness of the thinner of what a weld joins, as it is called in the rack, mm: a leg is
    chosen from it. What is not known is left out.
    """
    found = []
    for code in (x.on, x.to):
        m = w.members.get(code)
        body = m.body if m else None
        if isinstance(body, Plate):
            found.append(w.shop.plate(body.stock).thickness)
        elif t := w.steel_of(code)[0]:
            found.append(t)
    return min(found, default=1e3)


def limits(w: Work) -> Iterator[Check]:
    """Every fillet against the walls it joins, its least leg and its least length: one row a part
    and clause, the weld nearest its limit. Most are drawn at the limit, so the truck lists only
    those past it.
    """
    found: dict[tuple[str, str], Check] = {}
    for x in w.t.assembly.welds:
        m = w.members.get(x.on)
        if x.kind != "fillet" or m is None:
            continue
        t = thinner(w, x)
        most = float(welds.leg_within(w.shop.legs, welds.most_leg(t)))
        asked: list[tuple[Any, dict[str, Any]]] = [
            (
                welds.fillet_least,
                {"t_mm": t, "leg_mm": x.leg, "cyclic": True, "most_mm": most},
            ),
            (
                # an edge that carries no leg of the list fails by name, a plate that stands on
                # another only past its wall
                welds.fillet_wall if most <= welds.most_leg(t) + 1e-6 else welds.fillet_most,
                {"t_mm": t, "leg_mm": x.leg},
            ),
        ]
        if isinstance(m.body, Plate):
            thick = w.shop.plate(m.body.stock).thickness
            face = "top" if x.face == "top" else "bottom"
            run = [fit.weld_line(m, e, thick, face, x.stop) for e in x.edges]
            length = x.run or min(
                float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()) for p in run
            )
            put = {"leg_mm": x.leg, "length_mm": length, "stitched": bool(x.run)}
            asked.append((welds.fillet_length, put))
        for clause, put in asked:
            need, have = (float(k) for k in clause(**put))
            c = Check(
                x.on,
                f"{clause.__doc__.partition('.')[0].lower()}: {x.id.rpartition('.')[0]}",
                f"{clause.ref} {clause.edition}",
                need,
                have,
                clause.unit,
                clause.must,
                clause.tag,
                "as drawn",
                clause.formula,
                put_in(put),
            )
            best = found.get((x.on, clause.__name__))
            if best is None or c.utilisation > best.utilisation:
                found[x.on, clause.__name__] = c
    yield from found.values()
