"""Whole builds of random jobs, read back: every fact that stands in two files stands there as one,
nothing of the program is on paper, what is cut is what may be cut, and what was taken from the
cache is to the byte what is made without it.

    python tests/soak/builds.py --seconds 3600 --seed 1 --solids 10

One to three fields of an invented truck are changed at a time, most of them a little, so that most
of the trucks can be built; a third is read in millimeters, by a shop in millimeters. They share a
cache, as the builds of a shop do. ``--solids N``: every Nth with its solids, read back by the
kernel. Prints every find with its seed and the fewest changes that show it. Ends with 1 if there is
one.
"""

from __future__ import annotations

import argparse
import io
import os
import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import ezdxf
import pytest
import slips
from anyjob import PROGRAM_WORDS, Change, alone, apply, demo, shrunk, typed
from built_jobs import Made, whole
from pdf_text import pages
from soapstone.cli.building.cache import OFF
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.fields import FIELDS, Field, field_of
from soapstone.layout.job_file import of_table
from soapstone.layout.reader import System
from soapstone.parts.stock import default_shop
from told_by_all import told_by_all
from trucks import NAMES

SHARED = "SOAPSTONE_TESTS_CACHE"
LITTLE = 0.06
"""Share of a field's range by which a reading is moved a little."""
METRIC, AGAIN = 3, 7
"""Every third is read in millimeters, every seventh built once more without the cache."""


def one(seed: int) -> tuple[str, list[Change]]:
    """The invented truck and the changes of a seed."""
    draw = random.Random(seed)
    base = draw.choice(NAMES)
    job = of_table(demo(base))
    read = [key for key, reading in job.readings.items() if not reading.assumed]
    changes = []
    for _ in range(draw.choice((1, 2, 2, 3))):
        key = draw.choice(read)
        f = field_of(key.name)
        side = {"L": "left", "R": "right"}.get(key.side, "") if f.sided else ""
        if side and draw.random() < 0.7:
            side = "both"
        changes.append(Change(key.name, side, typed(f.kind, _value(draw, f, job.readings[key]))))
    if draw.random() < 0.25:
        f = draw.choice([f for f in FIELDS.values() if f.words and "*" not in f.name])
        side = "both" if f.sided else ""
        changes.append(Change(f.name, side, draw.choice(list(f.words))))
    return base, changes


def _value(draw: random.Random, f: Field, now: Any) -> float:
    if f.kind == "count":
        return draw.randint(int(f.low), int(f.high))
    wide = f.high - f.low
    near = now.value + draw.uniform(-LITTLE, LITTLE) * wide
    value = near if draw.random() < 0.8 else draw.uniform(f.low, f.high)
    return min(max(value, f.low + 1e-6 * wide), f.high - 1e-6 * wide)


def built(table: dict[str, Any], metric: bool, solids: bool) -> Made:
    shop = default_shop()
    if metric:
        shop = shop._replace(unit="mm", paper="A4")
    return whole(of_table(table), shop, System.METRIC if metric else System.INCH, solids)


def wrong(m: Made, solids: bool) -> Iterator[str]:
    """All that must not be in the files of a build."""
    yield from told_by_all(m, solids).apart()
    for path, data in m.files.items():
        if path.endswith(".pdf"):
            yield from _words(path, "\n".join(pages(data)))
        elif path.endswith((".csv", ".json")):
            yield from _words(path, data.decode())
        elif path.endswith(".html"):
            shown = re.sub(r"(?s)<(script|style|svg)\b.*?</\1>|<[^>]*>", " ", data.decode())
            yield from _words(path, shown)
    yield from _cut(m)


def _words(path: str, said: str) -> Iterator[str]:
    for word in PROGRAM_WORDS:
        if word in said and alone(word, said):
            at = said.index(word)
            yield f"{path}: {said[max(0, at - 40) : at + 40]!r}"


def _cut(m: Made) -> Iterator[str]:
    """A cut file for each plate that may be cut and for no other, read by ezdxf, no error in it."""
    cut = {path.rpartition("/")[2]: path for path in m.files if path.startswith("cut/")}
    may = {
        p.number
        for p in m.truck.parts
        if m.judged.cut(p.id)[0] and hasattr(p.member.body, "outline")
    }
    have = {name.split("-")[1] for name in cut if name.endswith(".dxf")}
    yield from (f"{number} may be cut and has no file" for number in sorted(may - have))
    yield from (f"{number} has a cut file and may not be cut" for number in sorted(have - may))
    for name, path in cut.items():
        if name.endswith(".dxf"):
            audit = ezdxf.read(io.StringIO(m.files[path].decode())).audit()
            yield from (f"{path}: {fault.message}" for fault in audit.errors)


def tried(table: dict[str, Any], seed: int, solids: bool) -> tuple[str, str]:
    """What became of a job, and what must not be, the trace if it raised."""
    metric = seed % METRIC == 0
    try:
        m = built(table, metric, solids)
        found = list(wrong(m, solids))
        if seed % AGAIN == 0:
            found += _as_without_cache(m, table, metric, solids)
    except SoapstoneError:
        return "refused", ""
    except Exception as e:
        return slips.told(e)
    kind = f"exit {int(m.judged.exit_code)}" + (", a part refused" if m.truck.failed else "")
    return kind, "; ".join(found[:4])


def _as_without_cache(m: Made, table: dict[str, Any], metric: bool, solids: bool) -> Iterator[str]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv(SHARED, OFF)
        fresh = built(table, metric, solids).files
    for path in sorted({*fresh, *m.files}):
        if fresh.get(path) != m.files.get(path):
            yield f"{path} is not what is made without the cache"


def table_of(base: str, changes: list[Change]) -> dict[str, Any]:
    table = demo(base)
    for c in changes:
        apply(table, c)
    return table


def goes_wrong(table: dict[str, Any], seed: int, solids: bool) -> bool:
    return bool(tried(table, seed, solids)[1])


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--solids", type=int, default=10)
    p.add_argument("--builds", type=int, default=100_000)
    a = p.parse_args()
    with tempfile.TemporaryDirectory(prefix="soapstone-builds-") as folder:
        return searched(a, Path(folder))


def searched(a: argparse.Namespace, folder: Path) -> int:
    """1 if there is a find. Builds with solids have a cache of their own: others take from it what
    solids there are.
    """
    end, counts, finds = time.monotonic() + a.seconds, Counter[str](), 0
    told: set[str] = set()
    seed = a.seed
    while seed < a.seed + a.builds and time.monotonic() < end:
        base, changes = one(seed)
        solids = a.solids > 0 and seed % a.solids == 0
        os.environ[SHARED] = str(folder / ("with" if solids else "without"))
        kind, said = tried(table_of(base, changes), seed, solids)
        counts[kind] += 1
        if said:
            finds += 1
            mark = re.sub(r"\d+", "0", said)[:50]
            if mark not in told:
                told.add(mark)
                least = shrunk(base, changes, partial(goes_wrong, seed=seed, solids=solids))
                print(
                    f"seed {seed} {base} {[tuple(c) for c in least]}\n   {kind}: {said}", flush=True
                )
        seed += 1
    done = seed - a.seed
    print(f"{done} builds from seed {a.seed}: {dict(counts.most_common())}, {finds} finds")
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
