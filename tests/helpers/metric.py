"""The demo as a shop in millimeters types it: every reading in mm, N, kg, metric bolts, channel
rails on request, and that shop's own stock. Invented, as the demo is.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from designs import designed_of, written
from soapstone.layout.job.load import Job
from soapstone.layout.reader import System, reading_in
from soapstone.parts.stock import Shop
from soapstone.parts.stock.shop_file import load_shop
from trucks import job

BOLTS = {"3/4-10": "M20x2.5", "5/8-11": "M16x2", "1/2-13": "M12x1.75"}
OTHERS = {"grade 8": "class 10.9"}
"""Marks of like strength: SAE J429 grade 8, 150 ksi; ISO 898-1 class 10.9, 1040 MPa (read)."""
PLATES = (3, 4, 5, 6, 8, 10, 12)
TUBES = (
    (25, 5),
    (31.8, 7.1),
    (35, 7),
    (38, 7.1),
    (40, 8),
    (42.4, 10),
    (48.3, 10),
    (51, 10),
    (57, 8),
    (63.5, 14.2),
    (70, 8),
    (70, 14.2),
    (73, 10),
    (76.1, 8),
    (76.1, 10),
    (76.1, 12.5),
    (76.1, 14.2),
)
"""Outside diameter and wall, mm: of EN 10305-1 and EN 10220, which EN 10297-1 takes (from
memory). The arm of the job is read as 2 1/2 x 1/2 in: 63.5 x 14.2 is the next that is made.
"""
STEEL = "E355"
"""Of tubes and of the dowels' bar."""
DRILLS = [x / 2 for x in range(6, 81)]


def shop_text() -> str:
    """A shop.toml in millimeters."""
    plates = "".join(
        f'\n[[plate]]\nkey = "{t} mm A36"\nthickness = {t}\nsteel = "A36"\n' for t in PLATES
    )
    tubes = "".join(
        f'\n[[tube]]\nkey = "{od:g} x {wall:g} mm {STEEL}"\nod = {od}\nwall = {wall}\nsteel ='
        f' "{STEEL}"\n'
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
pivot_metric = "class 10.9"
steering_metric = "class 10.9"
frame_metric = "class 10.9"
dowel = "{STEEL}"
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
        k: BOLTS.get(v, OTHERS.get(v, v)) for k, v in j.words.items() if not k.startswith("units.")
    }
    words |= dict.fromkeys(("arms.tube_steel", "arms.upper_tube_steel"), STEEL)
    units = {"length": "mm", "force": "N", "rate": "N/mm", "torsion": "N*m/deg", "angle": "deg"}
    return j._replace(words={**words, **{f"units.{k}": v for k, v in units.items()}})


def built(j: Job, shop: Shop, system: System) -> dict[str, bytes]:
    """Every file of a build but the solids, as that reader gets them."""
    with reading_in(system):
        return written(designed_of(j, shop), with_solids=False)
