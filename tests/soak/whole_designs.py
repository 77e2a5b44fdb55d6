"""Whole designs: random jobs within the stated ranges, each loaded, solved, designed and held
against its loads, for as long as there is time.

    python tests/soak/whole_designs.py --seconds 1200 --seed 1 --designs 2000 --deep 25

One field at a time, evenly over its range: ``sweep.py``.

``--deep N``: every Nth job is grown for its loads and its travel, gaps and fit are looked at too
(about ten times the work). Prints what became of them, and every find with its seed, the fewest
changes that show it and the trace. Ends with 1 if there is a find.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import slips
from anyjob import Change, a_change, apply, demo, outcome, shrunk
from trucks import NAMES


class Seeded:
    """Choices of a seeded generator."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def choice(self, rows: list[Any]) -> Any:
        return self.random.choice(rows)

    def number(self, low: float, high: float) -> float:
        return self.random.uniform(low, high)


def one(seed: int) -> tuple[str, list[Change]]:
    """The invented truck and the changes of a seed: half of them one, the rest two to four."""
    draw = Seeded(seed)
    base = draw.choice(list(NAMES))
    table = demo(base)
    changes = []
    for _ in range(draw.choice([1, 1, 1, 2, 3, 4])):
        c = a_change(draw, table)
        apply(table, c)
        changes.append(c)
    return base, changes


def table_of(base: str, changes: list[Change]) -> dict[str, Any]:
    """The tables of a truck with its changes."""
    table = demo(base)
    for c in changes:
        apply(table, c)
    return table


def tried(table: dict[str, Any], deep: bool) -> tuple[str, str]:
    """What became of a job, and what must not be, the trace if it raised."""
    try:
        got = outcome(table, deep)
    except Exception as e:
        return slips.told(e)
    return got.kind, "; ".join(got.wrong[:6])


def goes_wrong(table: dict[str, Any], deep: bool) -> bool:
    """Whether anything is wrong with what became of a job."""
    return bool(tried(table, deep)[1])


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--designs", type=int, default=2000)
    p.add_argument("--deep", type=int, default=25)
    a = p.parse_args()
    end, counts, finds = time.monotonic() + a.seconds, Counter[str](), 0
    told: set[str] = set()
    seed = a.seed
    while seed < a.seed + a.designs and time.monotonic() < end:
        base, changes = one(seed)
        deep = a.deep > 0 and seed % a.deep == 0
        kind, wrong = tried(table_of(base, changes), deep)
        counts[kind] += 1
        if wrong:
            finds += 1
            mark = wrong.split(":")[0] if kind == slips.SLIP else wrong.split(";")[0][:60]
            if mark not in told:
                told.add(mark)
                least = shrunk(base, changes, partial(goes_wrong, deep=deep))
                print(
                    f"seed {seed} {base} {[tuple(c) for c in least]}\n   {kind}: {wrong}",
                    flush=True,
                )
        seed += 1
        if (seed - a.seed) % 100 == 0:
            print(f"{seed - a.seed} designs: {dict(counts)}, {finds} finds", flush=True)
    print(
        f"{seed - a.seed} designs from seed {a.seed}: {dict(counts.most_common())}, {finds} finds"
    )
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
