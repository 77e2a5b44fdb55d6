"""The same truck otherwise: random jobs seen in a mirror, typed in millimeters, and designed by a
process that hashes otherwise; each must come out the same.

    python tests/soak/likeness.py --seconds 1200 --seed 1

Of the mirror: every solved value but for its sign, every part's mass and what is refused, left for
right (not where a result of the center line is given, whose sign nobody knows here). Of millimeters
and of the other process: every part's fingerprint as well, which is of its shape to 0.01 mm. Ends
with 1 if there is a find.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

from anyjob import Change, apply, demo, shrunk, typed_in_mm
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.layout.units import IN
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck, design
from trucks import mirrored
from whole_designs import one

OTHER = {"L": "R", "R": "L"}
ACROSS = {
    f"{a} C": f"{b} C"
    for pair in (
        ("axle.casting_from", "axle.casting_to"),
        ("track_bar.frame_y_low", "track_bar.frame_y_high"),
    )
    for a, b in (pair, pair[::-1])
}
"""What changes places in a mirror, see ``trucks.mirrored``."""
NEAR = 1e-6
"""Share by which two numbers of one truck may differ: rounding of what was typed."""
BATCH = 20


def made(job: Job) -> tuple[dict[str, float], Truck]:
    """Every solved value by name and side, and the truck."""
    solved = solve(job)
    truck = design(solved, job.words, job.pins, job.chassis, default_shop())
    return {f"{k.name} {k.side}": v for k, v in solved.values.items()}, truck


def swapped(code: str) -> str:
    """A part's or a family's name with its side changed."""
    base, _, side = code.rpartition(".")
    return f"{base}.{OTHER.get(side, side)}" if base else code


def differs(table: dict[str, Any], how: str) -> str:
    """What of a truck comes out otherwise in a mirror ("mirror") or in millimeters ("mm")."""
    job = of_table(table)
    values, truck = made(job)
    if how == "mirror":
        others, other = made(mirrored(job))
        names = {ACROSS.get(k, k)[:-1] + OTHER.get(k[-1], k[-1]): abs(v) for k, v in others.items()}
        values = {k: abs(v) for k, v in values.items()}
        turn = swapped
    else:
        names, other = made(of_table(typed_in_mm(table)))
        turn = str
    for k in sorted(values.keys() | names.keys()):
        here, there = values.get(k), names.get(k)
        if here is None or there is None or abs(here - there) > NEAR * max(1.0, abs(here)) * IN:
            return f"{k}: {here} and {there}"
    parts = {p.id: p for p in truck.singles}
    twins = {turn(p.id): p for p in other.singles}
    if parts.keys() != twins.keys():
        return f"parts {sorted(parts.keys() ^ twins.keys())[:4]}"
    if set(truck.failed) != set(map(turn, other.failed)):
        return f"refused {sorted(truck.failed)} and {sorted(other.failed)}"
    for code, p in sorted(parts.items()):
        if abs(p.mass - twins[code].mass) > 1e-4 * p.mass:
            return f"{code} weighs {p.mass} and {twins[code].mass}"
        if how == "mm" and p.cut_fingerprint != twins[code].cut_fingerprint:
            return f"{code} is another shape"
    return ""


def table_of(seed: int) -> tuple[str, list[Change], dict[str, Any]]:
    """The job of a seed."""
    base, changes = one(seed)
    table = demo(base)
    for c in changes:
        apply(table, c)
    return base, changes, table


def printed(seed: int) -> str:
    """A job's truck in a line: fingerprint of every part, and what is refused."""
    try:
        _, truck = made(of_table(table_of(seed)[2]))
    except SoapstoneError as e:
        return str([str(f) for f in e.faults])
    return json.dumps([[p.id, p.fingerprint] for p in truck.singles] + sorted(truck.failed.items()))


def elsewhere(seeds: range) -> list[str]:
    """The same of a process that hashes otherwise."""
    env = {**os.environ, "PYTHONHASHSEED": str(seeds.start % 1000 + 1)}
    command = [sys.executable, __file__, "--print", str(seeds.start), str(seeds.stop)]
    ended = subprocess.run(command, capture_output=True, text=True, check=True, env=env)
    return ended.stdout.splitlines()


def found(seed: int) -> list[str]:
    """What of a seed's job differs, with the fewest changes that show it."""
    base, changes, table = table_of(seed)
    try:
        of_table(table)
    except SoapstoneError:
        return []
    said = []
    given = any(c.path.startswith("fixed.") and not c.side for c in changes)
    for how in ("mm",) if given else ("mirror", "mm"):
        if what := differs(table, how):
            least = shrunk(base, changes, lambda t, how=how: bool(_differs(t, how)))
            said.append(f"{how}: {base} {[tuple(c) for c in least]}\n   {what}")
    return said


def _differs(table: dict[str, Any], how: str) -> str:
    try:
        return differs(table, how)
    except SoapstoneError:
        return ""


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--print", type=int, nargs=2, default=())
    a = p.parse_args()
    if a.print:
        for seed in range(*a.print):
            print(printed(seed))
        return 0
    end, counts, seed = time.monotonic() + a.seconds, Counter[str](), a.seed
    while time.monotonic() < end:
        seeds = range(seed, seed + BATCH)
        there = elsewhere(seeds)
        for number, own in enumerate(seeds):
            said = found(own)
            if there[number] != printed(own):
                said.append(f"repeat: seed {own} comes out otherwise in another process")
            counts["jobs"] += 1
            for words in said:
                counts[words.split(":")[0]] += 1
                print(f"seed {own} {words}"[:600], flush=True)
        seed += BATCH
    print(f"{counts['jobs']} jobs from seed {a.seed}: finds {dict(counts - Counter(jobs=10**9))}")
    return 1 if len(counts) > 1 else 0


if __name__ == "__main__":
    sys.exit(main())
