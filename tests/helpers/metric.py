"""The demo as a shop in millimeters types it: every reading in mm, N, kg, metric bolts, channel
rails on request, and that shop's own stock. Invented, as the demo is.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from soapstone.layout.job.load import Job
from soapstone.layout.reader import System, reading_in
from soapstone.layout.setout import solve
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.strength.growth import held
from soapstone.parts.verdict.assumptions import assumptions
from trucks import job

BOLTS = {"3/4-10": "M20x2.5", "5/8-11": "M16x2", "1/2-13": "M12x1.75"}
PLATES = (3, 4, 5, 6, 8, 10, 12)
TUBES = tuple(dict.fromkeys((t.od, t.wall) for t in default_shop().tubes))
"""The tubes of the job are the inch job's: a mill's sizes have no other name in mm."""
DRILLS = [x / 2 for x in range(6, 81)]


def shop_text() -> str:
    """A shop.toml in millimeters."""
    plates = "".join(
        f'\n[[plate]]\nkey = "{t} mm A36"\nthickness = {t}\nsteel = "A36"\n' for t in PLATES
    )
    tubes = "".join(
        f'\n[[tube]]\nkey = "{od:g} x {wall:g} mm DOM"\nod = {od}\nwall = {wall}\nsteel = "A513'
        ' 1020 DOM"\n'
        for od, wall in TUBES
    )
    return f"""
[shop]
name = "invented shop"
[units]
length = "mm"
[cut]
unit = "mm"
smallest_hole = 10
bed = [1500, 3000]
inner_radius = 3
mark_margin = 3
[weld]
process = "GMAW"
[nest]
spacing = 10
margin = 12
[paper]
size = "A4"
[bolts]
friction = "dry"
[drills]
sizes = {DRILLS}
{plates}{tubes}
"""


def metric_shop(folder: Path) -> Shop:
    """The shop of ``shop_text``."""
    path = folder / "shop.toml"
    path.write_text(shop_text())
    return load_shop(path)


@cache
def metric_job() -> Job:
    """The demo with metric bolts, units in mm: the readings are the same lengths."""
    j = job()
    words = {
        k: BOLTS.get(v, "class 8.8" if v == "grade 8" else v)
        for k, v in j.words.items()
        if not k.startswith("units.")
    }
    units = {"length": "mm", "force": "N", "rate": "N/mm", "torsion": "N*m/deg", "angle": "deg"}
    return j._replace(words={**words, **{f"units.{k}": v for k, v in units.items()}})


def built(j: Job, shop: Shop, system: System) -> dict[str, bytes]:
    """Every file of a build but the solids, as that reader gets them."""
    from soapstone.cli.building.build import Build
    from soapstone.cli.building.design import Designed
    from soapstone.cli.building.every_file import files

    with reading_in(system):
        solved = solve(j)
        h = held(solved, j.words, j.pins, j.chassis, shop)
        strength = h.strength._replace(
            grown=h.grown, ways=h.ways, assumed=assumptions(j, solved, h.truck, h.strength, shop)
        )
        d = Designed(j, solved, h.truck, shop, strength)
        return files(Build(d, d.looked(), with_solids=False))
