"""Whole commands in CPU and wall, as multiples of ``import cadquery``, with those of another
commit in the same run: ``python tests/benchmarks.py builds FOLDER``.
"""

from __future__ import annotations

import math
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
RUN = "from soapstone.cli.main import run; run()"
SPENT = (
    "import resource, subprocess, sys, time; t = time.perf_counter();"
    " c = subprocess.run(sys.argv[1:], capture_output=True).returncode;"
    " r = resource.getrusage(resource.RUSAGE_CHILDREN);"
    " print(r.ru_utime + r.ru_stime, time.perf_counter() - t, c)"
)
REFUSED = (1, 2, 3, 5)
"""Exits of a command that did not do its work: another tree may not know it yet."""


def spent(cache: str, *args: str, path: str = "") -> tuple[float, float]:
    """CPU seconds of a command and of all it started, and seconds by the wall, with this cache;
    infinite where it was refused. ``path``: where another tree's package is found.
    """
    own = {"SOAPSTONE_CACHE": cache, **({"PYTHONPATH": path} if path else {})}
    got = subprocess.run(
        [sys.executable, "-c", SPENT, sys.executable, "-c", *args],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **own},
    )
    cpu, wall, code = map(float, got.stdout.split())
    return (math.inf, math.inf) if code in REFUSED else (cpu, wall)


GOALS = {
    "build, empty cache": 2.0,
    "build, nothing changed": 0.12,
    "build, another folder, warm": 1.2,
    "build, a note changed": 0.5,
    "build, caster band changed": 0.5,
    "build, one rail height moved": 1.0,
    "check, empty cache": 0.9,
    "check after a build": 0.25,
    "cycle, empty cache": 0.8,
    "cycle after a build": 0.25,
    "release after a build": 1.2,
}
"""Multiples of ``import cadquery``, by the wall on two free cores."""
CHANGES = (
    ("a note changed", 'by = "invented"', 'by = "invented too"'),
    ("caster band changed", "caster_high = 6.0", "caster_high = 6.5"),
    ("one rail height moved", "z_low = { both = 0 }", "z_low = { both = 0.1 }"),
)
"""What is typed otherwise in the demo: what, as it stands, as it is then."""


def builds(beside: str = "", rounds: int = 3) -> None:
    """Whole commands, each round with the base before every one of them; ``beside``: the folder of
    another commit, whose commands are run in the same rounds.
    """
    spans: dict[tuple[str, str], list[tuple[float, float, float, float]]] = {}
    with tempfile.TemporaryDirectory() as there:
        if beside:
            (Path(there) / "soapstone").symlink_to(Path(beside).resolve())
        for _ in range(rounds):
            for tree, path in (("this", ""), *((("other", there),) if beside else ())):
                for name, span in _round(path):
                    spans.setdefault((tree, name), []).append(span)
    for tree in dict.fromkeys(tree for tree, _ in spans):
        print(f"{tree + ' tree':30}    CPU s   x base   wall s   x base   least, most  goal (wall)")
        for name, goal in GOALS.items():
            every = spans[tree, name]
            base_cpu, base_wall, cpu, wall = map(statistics.median, zip(*every, strict=True))
            times = sorted(own / base for _, base, _, own in every)
            print(
                f"{name:30} {cpu:8.2f} {cpu / base_cpu:8.2f} {wall:8.2f} {wall / base_wall:8.2f}"
                f"   {times[0]:.2f}, {times[-1]:.2f}   {goal:g}, base {base_cpu:.2f} s CPU"
                f" {base_wall:.2f} s wall"
            )


def _round(path: str) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    """Every command once with empty caches and folders, the base before each: CPU and wall of the
    base, then its own.
    """
    demo = Path(path, "soapstone", "layout", "data", "demo.toml") if path else DEMO
    with tempfile.TemporaryDirectory() as tmp:
        job = Path(tmp) / "d.toml"
        text = demo.read_text(encoding="utf-8")
        job.write_text(text, encoding="utf-8")
        changed = {name: Path(tmp) / f"{name}.toml" for name, _, _ in CHANGES}
        for name, was, now in CHANGES:
            assert text.count(was) == 1, was
            changed[name].write_text(text.replace(was, now), encoding="utf-8")
        out, who = ("--out", f"{tmp}/o"), ("--note", "first", "--by", "nobody")
        commands = {
            "check, empty cache": (f"{tmp}/c1", "check", str(job)),
            "cycle, empty cache": (f"{tmp}/c2", "cycle", str(job)),
            "build, empty cache": (f"{tmp}/c", "build", str(job), *out),
            "build, nothing changed": (f"{tmp}/c", "build", str(job), *out),
            "check after a build": (f"{tmp}/c", "check", str(job)),
            "cycle after a build": (f"{tmp}/c", "cycle", str(job)),
            "build, another folder, warm": (f"{tmp}/c", "build", str(job), "--out", f"{tmp}/p"),
            "release after a build": (f"{tmp}/c", "release", str(job), *out, *who),
            **{
                f"build, {name}": (f"{tmp}/c", "build", str(path), *out)
                for name, path in changed.items()
            },
        }
        for name, (cache, *args) in commands.items():
            base = spent(cache, "import cadquery")
            yield name, (*base, *spent(cache, RUN, *args, path=path))
