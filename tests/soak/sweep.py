"""Sweep: every field of the two invented trucks over its stated range, then two or three fields at
once, each designed and every shape that is made looked at by other means, before any load.

    python tests/soak/sweep.py --seconds 1200 --seed 1 --values 9
    python tests/soak/sweep.py --seconds 1200 --seed 1 --several 3000

Every word and every row of a list is swept too, both sides alike. The seed says in which order, so
that a part of the time is a fair sample; ``--skip`` goes on where another run stopped. Prints what
became of the jobs and every find with the fewest changes that show it. Ends with 1 if there is one.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import slips
from anyjob import Change, apply, demo, paths_of, shapes, shrunk, typed
from soapstone.layout.job.fields import FIELDS
from trucks import NAMES

Case = tuple[str, list[Change]]


def at_values(base: str, many: int) -> list[Change]:
    """Every field of a truck at ``many`` values evenly over its range, ends included."""
    found = []
    for f in FIELDS.values():
        if not (f.words or f.low < f.high) or (f.is_word and not f.words):
            continue
        slack = 1e-6 * (f.high - f.low) if f.kind != "count" else 0.0
        step = (f.high - f.low - 2 * slack) / (many - 1)
        values = f.words or [typed(f.kind, f.low + slack + n * step) for n in range(many)]
        side = "both" if f.sided else ""
        found += [Change(path, side, v) for path in paths_of(demo(base), f) for v in values]
    return found


def cases(seed: int, many: int, several: int) -> list[Case]:
    """Every case of a run, in its order."""
    of = {base: at_values(base, many) for base in NAMES}
    draw = random.Random(seed)
    if several:
        return [
            (base, draw.sample(of[base], draw.choice([2, 3])))
            for base in draw.choices(NAMES, k=several)
        ]
    every = [(base, [c]) for base, found in of.items() for c in found]
    draw.shuffle(every)
    return every


def tried(table: dict[str, Any]) -> tuple[str, str]:
    """What became of a job, and what must not be, the place of it if it raised."""
    try:
        got = shapes(table)
    except Exception as e:
        return slips.told(e)
    return got.kind, "; ".join(got.wrong[:6])


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--values", type=int, default=9)
    p.add_argument("--several", type=int, default=0)
    p.add_argument("--skip", type=int, default=0)
    a = p.parse_args()
    every = cases(a.seed, a.values, a.several)
    end, counts, told, finds, done = time.monotonic() + a.seconds, Counter[str](), set[str](), 0, 0
    for base, changes in every[a.skip :]:
        if time.monotonic() > end:
            break
        table = demo(base)
        for c in changes:
            apply(table, c)
        kind, wrong = tried(table)
        counts[kind] += 1
        done += 1
        if wrong:
            finds += 1
            mark = wrong.split(":")[0] if kind == slips.SLIP else wrong.split(";")[0][:50]
            if mark not in told:
                told.add(mark)
                least = shrunk(base, changes, lambda table: bool(tried(table)[1]))
                print(f"{base} {[tuple(c) for c in least]}\n   {kind}: {wrong}", flush=True)
        if done % 200 == 0:
            print(f"{done} jobs: {dict(counts)}, {finds} finds", flush=True)
    print(
        f"{done} of {len(every)} jobs of seed {a.seed} from {a.skip}:"
        f" {dict(counts.most_common())}, {finds} finds"
    )
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
