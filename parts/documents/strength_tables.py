"""Schedules of the loads: what the plated rail carries, tacks."""

from __future__ import annotations

from ...layout.reader import unit
from ..model.numbering import numbered_welds
from ..rules.welds import leg_text
from ..strength.result import Strength
from ..truck.truck import Truck
from .schedule import Schedule, long_in


def rail(held: Strength) -> Schedule:
    """Each rail along its coil-seat plate: section as a share of the rail as measured."""
    kinds = ("vertical", "held", "lateral", "torsion")
    rows = [
        {
            "rail": {"L": "left", "R": "right"}[s],
            "ahead_of_coil": long_in(q.ahead),
            "unit": unit("length"),
            "station": q.what,
            **{k: round(q.ratio[k], 3) if k in q.ratio else "" for k in kinds},
        }
        for s, found in held.stations.items()
        for q in found
    ]
    return Schedule("rail", ("rail", "ahead_of_coil", "unit", "station", *kinds), tuple(rows))


def tacks(truck: Truck, held: Strength) -> Schedule:
    """Tacks that hold each weld until it is laid: twice the standing load, see the checks."""
    back = {w.id: n for n, w in numbered_welds(truck.assembly).items()}
    rows = [
        {
            "weld": back[k.weld.id],
            "id": k.weld.id,
            "on": k.weld.on,
            "to": k.weld.to,
            "edges": " ".join(k.weld.edges),
            "tacks": k.pieces,
            "length": long_in(k.length),
            "leg": leg_text(k.leg),
            "unit": unit("length"),
        }
        for k in sorted(held.tacks, key=lambda k: int(back[k.weld.id][1:]))
    ]
    return Schedule(
        "tacks", ("weld", "id", "on", "to", "edges", "tacks", "length", "leg", "unit"), tuple(rows)
    )
