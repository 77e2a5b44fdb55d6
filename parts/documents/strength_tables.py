"""Schedules of the loads: what the plated rail carries, tacks."""

from __future__ import annotations

from ...layout.reader import unit
from ..model.numbering import numbered_welds
from ..rules.welds import leg_text
from ..strength.result import Strength
from ..truck.truck import Truck
from .schedule import Schedule, ScheduleRow, long_in


def rail(held: Strength) -> Schedule:
    """Each rail along its coil-seat plate: section as a share of the rail as measured."""
    kinds = ("vertical", "held", "lateral", "torsion")
    rows: list[ScheduleRow] = [
        {
            "rail": {"L": "left", "R": "right"}[key],
            "ahead_of_coil": long_in(station.ahead),
            "unit": unit("length"),
            "station": station.what,
            **{
                kind: round(station.ratio[kind], 3) if kind in station.ratio else ""
                for kind in kinds
            },
        }
        for key, found in held.stations.items()
        for station in found
    ]
    return Schedule("rail", ("rail", "ahead_of_coil", "unit", "station", *kinds), tuple(rows))


def tacks(truck: Truck, held: Strength) -> Schedule:
    """Tacks that hold each weld until it is laid: twice the standing load, see the checks."""
    back = {weld.id: number for number, weld in numbered_welds(truck.assembly).items()}
    rows: list[ScheduleRow] = [
        {
            "weld": back[tack.weld.id],
            "id": tack.weld.id,
            "on": tack.weld.on,
            "to": tack.weld.to,
            "edges": " ".join(tack.weld.edges),
            "tacks": tack.pieces,
            "length": long_in(tack.length),
            "leg": leg_text(tack.leg),
            "unit": unit("length"),
        }
        for tack in sorted(held.tacks, key=lambda tack: int(back[tack.weld.id][1:]))
    ]
    return Schedule(
        "tacks", ("weld", "id", "on", "to", "edges", "tacks", "length", "leg", "unit"), tuple(rows)
    )
