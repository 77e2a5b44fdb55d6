"""Refusals: every field of the two invented trucks over its stated range; of every part that cannot
be made, what is said to do instead is typed in, and must make it with sound shapes.

    python tests/soak/refusals.py --seconds 1200 --seed 1 --values 9

Prints how many refusals there were, how many named what works at once, how many only after a longer
search (``--long``; without it they are counted), and every find. Ends with 1 if there is one.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

from anyjob import Change, apply, demo, shapes
from instead import changes
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, design
from soapstone.parts.verdict.nearest_size import told, ways
from sweep import cases


def truck_of(table: dict[str, Any]) -> Truck:
    """The truck of some tables, drilled and not numbered."""
    job = of_table(table)
    return design(solve(job), job.words, {}, job.chassis, default_shop(), tried=True)


def wrong(base: str, typed: list[Change], who: str, said: str) -> list[str]:
    """What is wrong with a sentence: each of its ways typed in."""
    found = []
    for change in changes(said):
        table = demo(base)
        for one in (*typed, *change):
            apply(table, one)
        try:
            if who in truck_of(table).failed:
                found.append("it is refused again")
            found += shapes(table).wrong[:2]
        except SoapstoneError as e:
            found.append(str(e))
    return found


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--values", type=int, default=9)
    p.add_argument("--skip", type=int, default=0)
    p.add_argument("--long", action="store_true")
    a = p.parse_args()
    end, counts, finds, done = time.monotonic() + a.seconds, Counter[str](), 0, 0
    every = cases(a.seed, a.values, 0)
    for base, typed in every[a.skip :]:
        if time.monotonic() > end:
            break
        done += 1
        table = demo(base)
        for one in typed:
            apply(table, one)
        try:
            job = of_table(table)
        except SoapstoneError:
            continue
        truck = truck_of(table)
        for who, said in told(job, default_shop(), truck).items():
            counts["refused"] += 1
            if said.startswith("soapstone explain"):
                near = ways(job, default_shop(), truck, who) if a.long else []
                counts["after a longer search" if near else "nothing named"] += 1
                if not near:
                    print(f"{base} {[tuple(c) for c in typed]} {who}: {truck.failed[who][:160]}")
                continue
            counts["named at once"] += 1
            for fault in wrong(base, typed, who, said):
                finds += 1
                print(f"FIND {base} {[tuple(c) for c in typed]} {who}: {said}: {fault}", flush=True)
    print(
        f"{done} of {len(every)} jobs of seed {a.seed} from {a.skip}: {dict(counts)}, {finds} finds"
    )
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
