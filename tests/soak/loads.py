"""Job and shop files spoilt at random, read and solved: each ends in sentences or in numbers.

    python tests/soak/loads.py --seconds 1200 --seed 1 --count 100000

Seven in ten are tables of a job, read, pinned, solved and diagnosed; one in ten a settings file's
tables; one a job file and one a settings file with bytes of it changed, read from the disk; one a
job file written from spoilt tables. ``--skip`` goes on where another run stopped. Prints what
became of them and every find with its number; ends with 1 if there is one.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import slips
import spoilt
from soapstone.parts.stock.settings import settings_text
from trucks import DATA, NAMES


def one(seed: int, number: int, folder: Path) -> tuple[str, spoilt.Read]:
    """What file number ``number`` of a seed is, and what became of it."""
    draw = random.Random(f"{seed} {number}")
    job, shop = folder / "job.toml", folder / "shop.toml"
    shop.unlink(missing_ok=True)
    kind = draw.randrange(10)
    if kind < 6:
        return "job", spoilt.job_read(spoilt.spoilt_job(draw))
    if kind == 6:
        return "shop", spoilt.shop_read(spoilt.spoilt_shop(draw))
    text = (DATA / f"{draw.choice(NAMES)}.toml").read_text()
    if kind == 7:
        job.write_bytes(spoilt.spoilt_text(draw, text))
    elif kind == 8:
        job.write_text(spoilt.file_of(spoilt.spoilt_job(draw)))
    else:
        job.write_text(text)
        shop.write_bytes(spoilt.spoilt_text(draw, settings_text()))
    return "file", spoilt.file_read(job)


def tried(seed: int, number: int, folder: Path) -> tuple[str, str]:
    """What became of a file, and what must not be, the place of it if it raised."""
    try:
        what, got = one(seed, number, folder)
    except Exception as e:
        return slips.told(e)
    return f"{what} {got.kind}", "; ".join(got.wrong[:4])


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--count", type=int, default=100_000)
    p.add_argument("--skip", type=int, default=0)
    a = p.parse_args()
    end, counts, told, finds = time.monotonic() + a.seconds, Counter[str](), set[str](), 0
    number = a.skip
    with tempfile.TemporaryDirectory() as folder:
        while number < a.count and time.monotonic() < end:
            kind, wrong = tried(a.seed, number, Path(folder))
            counts[kind] += 1
            if wrong:
                finds += 1
                mark = wrong.split(": ")[0][:80]
                if mark not in told:
                    told.add(mark)
                    print(f"number {number}, {kind}: {wrong[:600]}", flush=True)
            number += 1
            if number % 2000 == 0:
                print(f"{number}: {dict(counts)}, {finds} finds", flush=True)
    print(
        f"{number - a.skip} files of seed {a.seed} from {a.skip}: {dict(counts.most_common())},"
        f" {finds} finds"
    )
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main())
