"""The tube cut list."""

from __future__ import annotations

from ...layout.reader import metric, number, unit
from ..stock import IN
from ..words import names
from ..words import numbers as shown
from . import schedules
from .engine import Doc, Table
from .facts import Facts

KERF = IN / 8
"""Steel a saw cut takes: judgment, no source."""


def tube_sheet(f: Facts) -> Doc:
    """Tube cut list with the ends of each."""
    named = {p.id: names.made(p) for p in f.truck.parts}
    rows = [
        (
            named[r["part"]],
            r["name"],
            r["stock"],
            r["length"],
            r["between"],
            r["end_a"],
            r["end_b"],
            str(r["quantity"] * f.trucks),
            number(r["mass_kg"], "mass", 1),
            "",
        )
        for r in schedules.tubes(f.truck, f.shop).rows
    ]
    total: dict[str, float] = {}
    for r in schedules.tubes(f.truck, f.shop).rows:
        total[r["stock"]] = (
            total.get(r["stock"], 0.0) + (r["length_mm"] + KERF) * r["quantity"] * f.trucks
        )
    bars = [
        (
            k,
            f"{v / 1000:.2f}" if metric() else f"{v / IN / 12:.1f}",
            number(v, "length", 0 if metric() else 1),
        )
        for k, v in sorted(total.items())
    ]
    return Doc(
        "tubes",
        "Tube cut list",
        "Stage 2, cut",
        "whoever cuts tube",
        (
            (
                "Saw every blank square to its length: a coped end is then cut back from its wrap's"
                " zero line, so the length stays, long point to long point. Pin to pin is another"
                " length. Arm tubes are cut last, when both arms hang at full bump: check the"
                " length on the truck first."
            ),
        ),
        [
            Table(
                "",
                (
                    ("part", 0.08),
                    ("name", 0.15),
                    ("stock", 0.19),
                    (f"length, {unit('length')}", 0.1),
                    ("between", 0.14),
                    ("end a", 0.11),
                    ("end b", 0.1),
                    ("qty", 0.05),
                    (unit("mass"), 0.06),
                    ("cut by", 0.08),
                ),
                rows,
            ),
            Table(
                f"Stock needed, {shown.room(KERF)} a cut",
                (
                    ("tube", 0.5),
                    ("meters" if metric() else "feet", 0.25),
                    ("millimeters" if metric() else "inches", 0.25),
                ),
                bars,
            ),
        ],
    )
