"""Thicker: each plate of each family of the two invented trucks in the next thickness of the shop,
the whole truck designed again and held. A row may be more used only where its clause stands in the
table below, with the reason, and not by more than it says.

    python tests/soak/thicker.py --seconds 300

What a clause alone does with a thickness is held in
``tests/parts/strength/test_thicker_is_never_worse.py``. Ends with 1 if there is a find.
"""

from __future__ import annotations

import argparse
import math
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

from anyjob import demo
from designs import designed_of, sizes_of
from soapstone.cli.building.design import Designed
from soapstone.layout.job_file import of_table
from soapstone.parts.model.family import Choice
from soapstone.parts.strength.result import strength
from soapstone.parts.truck.truck import Truck, design, families
from trucks import NAMES

MOVED, FREE = 1.2, math.inf
MAY_WORSEN = {
    "pin_bending": (MOVED, "thicker ears take hold of the bolt further from the joint's middle"),
    "bolt_tension": (MOVED, "a thicker flange moves the joint away from the bolts' middle"),
    "bent_and_twisted": (MOVED, "the tube between thicker flanges is another length"),
    "plate_root": (MOVED, "a rib beside a thicker shelf stands further out"),
    "plate_sheared": (MOVED, "a web between thicker ribs is narrower"),
    "strip_bent": (MOVED, "a rib beside a thicker shelf stands further out"),
    "life_root": (MOVED, "as plate_root, every day"),
    "life_throat": (MOVED, "as weld_line, every day"),
    "weld_line": (MOVED, "welds round a thicker plate lie elsewhere"),
    "wall_beside": (MOVED, "as weld_line, in the steel beside"),
    "room": (FREE, "what is thicker leaves less room beside it"),
    "reinforcement": (FREE, "the clause is about the plate being no thicker than the rail"),
    "reinforcement_most": (FREE, "the clause is about the plate being no thicker than the rail"),
    "bend_radius": (FREE, "a thicker plate wants a larger radius"),
    "fillet_least": (FREE, "the least leg grows with the plate"),
    "fillet_most": (FREE, "from 1/4 in on the leg keeps off the edge"),
    "plate_end": (FREE, "a stiff plate's end makes a hard spot in the rail"),
}
"""Clause: by how much its row may be more used, as a factor, and why."""
ROUNDING = 5e-4


def rows(found: Designed, truck: Truck) -> dict[tuple[str, str, str], float]:
    """How much each row is used, by part, what it says and clause."""
    held = strength(truck, found.solved, found.shop)
    return {
        (row.part, row.what, row.rule): row.utilisation for row in (*truck.checks, *held.checks)
    }


def thicker(found: Designed, sizes: dict[str, dict[str, Choice]]) -> Iterator[tuple[str, Truck]]:
    """The truck with one plate in the next thickness of its steel, and which."""
    for name, family in families():
        for own in family.variables:
            if own.unit != "plate" or own.name not in sizes.get(name, {}):
                continue
            now = found.shop.plate(str(sizes[name][own.name]))
            more = [
                plate
                for plate in found.shop.plates
                if plate.thickness > now.thickness and plate.steel == now.steel
            ]
            for plate in more[:1]:
                pinned = {**sizes, name: {**sizes[name], own.name: plate.key}}
                yield f"{name} {own.name} {plate.key}", made(found, pinned)


def made(found: Designed, sizes: dict[str, dict[str, Choice]]) -> Truck:
    job = found.job
    return design(found.solved, job.words, sizes, job.chassis, found.shop, tried=True)


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=300.0)
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    end, counts, finds = time.monotonic() + a.seconds, Counter[str](), 0
    for base in NAMES:
        job = of_table(demo(base))
        found = designed_of(job)
        sizes = {name: dict(own) for name, own in sizes_of(job).items()}
        was = rows(found, made(found, sizes))
        for what, truck in thicker(found, sizes):
            if time.monotonic() > end:
                break
            counts["refused" if truck.failed else "designed"] += 1
            for row, used in rows(found, truck).items() if not truck.failed else ():
                most = MAY_WORSEN.get(row[2], (1.0, ""))[0]
                if row in was and most < FREE and used > most * was[row] + ROUNDING:
                    finds += 1
                    print(f"{base} {what}: {row} {was[row]:.3f} to {used:.3f}", flush=True)
    print(f"{dict(counts)}, {finds} finds")
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
