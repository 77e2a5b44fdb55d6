"""The soak: all that tries to make the tool lie, lose or crash, for as long as there is time.

    python tests/soak --seconds 3600 --seed 1

Spoilt files (``loads.py``), every field over its range and several at once (``sweep.py``), the same
truck in a mirror, in millimeters and in another process (``likeness.py``), whole designs under
their loads (``whole_designs.py``), whole builds read back (``builds.py``), commands killed
(``kills.py``): each has its share of the time, a process of its own, and may be run alone with
options of its own. Another seed tries others. Ends with 1 if any of them has a find.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

SHARES = (
    (0.15, "loads.py"),
    (0.15, "sweep.py --values 9"),
    (0.10, "sweep.py --several 3000"),
    (0.10, "refusals.py --values 9"),
    (0.05, "likeness.py"),
    (0.10, "whole_designs.py"),
    (0.05, "thicker.py"),
    (0.20, "builds.py"),
    (0.10, "kills.py"),
)


def main() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=3600.0)
    p.add_argument("--seed", type=int, default=1)
    a = p.parse_args()
    finds = False
    for share, words in SHARES:
        script, *options = words.split()
        print(f"{script} {' '.join(options)}", flush=True)
        options += ["--seconds", str(share * a.seconds), "--seed", str(a.seed)]
        command = [sys.executable, str(Path(__file__).with_name(script)), *options]
        finds |= subprocess.run(command, check=False).returncode != 0
    return int(finds)


if __name__ == "__main__":
    sys.exit(main())
