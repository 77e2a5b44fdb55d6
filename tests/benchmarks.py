"""Figures beside their baselines, in one run: ``python tests/benchmarks.py``; whole commands alone,
in CPU and wall, as multiples of ``import cadquery``: ``python tests/benchmarks.py builds``, with
the folder of another commit behind it those of that one in the same run; an archive of 500 trucks
alone: ``python tests/benchmarks.py archive``.

Not part of pass or fail.

Baselines: ``python -c "import typer"`` for the quick commands, ``python -c "import cadquery"`` for
the build. Each pair is run base, own, base, own; first runs are reported too, since the page cache
flatters whoever runs second.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent / room) for room in ("helpers", "oracles")]

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
RUN = "from soapstone.cli.main import run; run()"
MEASURE = (
    "import resource, subprocess, sys; c = subprocess.run(sys.argv[1:],"
    " capture_output=True).returncode;"
    " print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
)


def process(*args: str) -> tuple[float, float]:
    """Seconds and MB of a whole process."""
    start = time.perf_counter()
    got = subprocess.run(
        [sys.executable, "-c", MEASURE, sys.executable, *args],
        capture_output=True,
        text=True,
        check=True,
    )
    return time.perf_counter() - start, int(got.stdout) / 1024


def against(
    name: str, base: tuple[str, ...], own: tuple[str, ...], goal: float, rounds: int = 2
) -> None:
    """Own over base, run in turn."""
    pairs = [(process(*base), process(*own)) for _ in range(rounds)]
    b, o = (statistics.median(p[i][0] for p in pairs) for i in (0, 1))
    print(
        f"{name:34} {o:7.2f} s {max(p[1][1] for p in pairs):6.0f} MB   {o / b:5.2f} x base {b:.2f}"
        f" s   goal {goal:.1f} x   first runs {pairs[0][1][0]:.2f} / {pairs[0][0][0]:.2f} s"
    )


def inside(name: str, act: Callable[[], object], goal_ms: float, rounds: int = 20) -> None:
    """Milliseconds of one call in a warm process."""
    act()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(1e3 * (time.perf_counter() - start))
    print(
        f"{name:34} {statistics.median(times):7.2f} ms              goal {goal_ms:g} ms   worst"
        f" {max(times):.2f} ms"
    )


def travel() -> None:
    """Positions a second, cold and warm, beside the LAPACK floor of the same formulation and a
    settling multibody model, in one run.
    """
    import numpy as np
    from soapstone.layout.job_file import load
    from soapstone.layout.setout import solve
    from soapstone.layout.travel import rates_of, study
    from soapstone.layout.travel.linkage import linkage
    from soapstone.layout.travel.pose import Start, pose

    job = load(DEMO)
    solved = solve(job)
    lk = linkage(solved.values, *rates_of(solved.values)[0])
    n = 600
    rng = np.random.default_rng(3)
    heave, roll = rng.uniform(-150, 100, n), rng.uniform(-0.09, 0.09, n)
    q = pose(lk, heave, roll)
    start = Start(q.p, q.d, q.m, q.g, q.force)
    k, r = rng.normal(size=(n, 21, 21)), rng.normal(size=(n, 21, 3))
    floor = best(lambda: [np.linalg.solve(k, r) for _ in range(q.steps)], n)
    cold, warm = (
        best(lambda: pose(lk, heave, roll), n),
        best(lambda: pose(lk, heave + 0.5, roll, start), n),
    )
    print(
        f"positions, cold                    {cold:7.0f} /s              goal 5000 /s   {q.steps}"
        f" steps; warm {warm:.0f} /s; floor {floor:.0f} /s (the same solves alone);"
        f" {floor / cold:.1f} x above"
    )
    from rig import Rig

    rig = Rig(
        lk.center, lk.joint, lk.bolt, lk.upper, lk.mount, (lk.bar_axle, lk.bar_frame), lk.rates
    )
    settled = best(lambda: [rig.at(h, p) for h, p in zip(heave[:6], roll[:6], strict=True)], 6, 2)
    print(f"positions, multibody rig settled   {settled:7.1f} /s              baseline, same run")
    inside("envelope of 15, all outputs", lambda: study(job, solved), 40.0)


def best(act: Callable[[], object], n: int, rounds: int = 5) -> float:
    """Most positions a second of a few rounds."""
    act()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return n / min(times)


def archive(chassis: int = 500, revisions: int = 10) -> None:
    """Lists, searches and one chassis opened, as whole processes, on an archive of invented
    revisions made from the demo's own record; its size against the sum of the files.
    """
    from soapstone.cli.archive import index
    from soapstone.cli.archive.letters import letter_of
    from soapstone.cli.archive.store import Archive

    with tempfile.TemporaryDirectory() as tmp:
        subprocess.run(
            [sys.executable, "-c", RUN, "build", str(DEMO), "--out", f"{tmp}/out"],
            capture_output=True,
            check=False,
        )
        subprocess.run(
            [
                sys.executable,
                "-c",
                RUN,
                "release",
                str(DEMO),
                "--out",
                f"{tmp}/out",
                "--archive",
                f"{tmp}/one",
                "--note",
                "first",
                "--by",
                "nobody",
            ],
            capture_output=True,
            check=True,
        )
        one = Archive(Path(tmp) / "one")
        record = one.record("DEMO1")
        files = {f["path"]: one.content(f["sha256"]) for f in record.data["files"]}
        own = {p: x for p, x in files.items() if p.startswith(("cut/", "schedule/"))}
        store = Archive(Path(tmp) / "archive")
        push, os.fsync = os.fsync, lambda _: None
        total = 0
        try:
            for c in range(chassis):
                before = ""
                for n in range(revisions):
                    data = {k: v for k, v in record.data.items() if k != "files"} | {
                        "chassis": f"T{c:03}",
                        "letter": letter_of(n),
                        "before": before,
                        "note": f"number {n} of {c}",
                        "typed": {**record.data["typed"], "spring.rate": str(200 + n)},
                    }
                    made = (
                        {**own, "schedule/holes.csv": f"{c} {n}".encode()}
                        if c < 20
                        else {"schedule/holes.csv": f"{c} {n}".encode()}
                    )
                    total += sum(map(len, made.values()))
                    before = store.add(f"T{c:03}", data, made).sha256
        finally:
            os.fsync = push
        start = time.perf_counter()
        index.open_index(store).close()
        print(
            f"archive of {chassis} x {revisions}: index made from nothing in"
            f" {time.perf_counter() - start:.1f} s,"
            f" {(store.folder / 'index.sqlite').stat().st_size / 1e6:.0f} MB"
        )
        sizes = sum(f.stat().st_size for f in (store.folder / "contents").rglob("*") if f.is_file())
        print(
            f"contents on disk {sizes / 1e6:.1f} MB for {total / 1e6:.1f} MB of files stored;"
            f" records {sum(f.stat().st_size for f in store.folder.rglob('*.json')) / 1e6:.0f} MB"
        )
        typer = ("-c", "import typer")
        for name, args in (
            ("list", ("revisions", "--json")),
            ("search", ("search", "number", "9", "of", "499")),
            ("trace", ("trace", "CS1.L")),
            ("open one", ("revisions", "T250")),
            ("verify", ("verify", "--out", f"{tmp}/out")),
            ("export one", ("export", "T001", f"{tmp}/T001.zip")),
        ):
            against(
                f"archive {name}",
                typer,
                ("-c", RUN, *args, "--archive", str(store.folder)),
                1.0 / 0.13,
                2,
            )
        taken = ("-c", RUN, "import", f"{tmp}/T001.zip", "--archive", f"{tmp}/other")
        against("archive import", typer, taken, 1.0 / 0.13, 1)


def sheets() -> None:
    """Shop sheets and drawings a second."""
    from papers import HEAD, every, sheet
    from soapstone.parts import documents, drawing
    from trucks import truck

    docs = every()
    pages = 0

    def all_sheets() -> None:
        nonlocal pages
        from io import BytesIO

        from pypdf import PdfReader

        pages = sum(len(PdfReader(BytesIO(documents.engine.render([d], HEAD))).pages) for d in docs)

    start = time.perf_counter()
    all_sheets()
    print(
        f"shop sheets                        {pages / (time.perf_counter() - start):7.1f} pages/s"
    )
    t, _ = truck()
    start = time.perf_counter()
    for p in t.parts:
        drawing.pdf([sheet(t, p)])
    print(
        f"part drawings                      {len(t.parts) / (time.perf_counter() - start):7.1f}"
        " sheets/s"
    )


def main() -> None:
    """Every row there is so far; the cache of the user is left alone."""
    if sys.argv[1:2] == ["builds"]:
        from benchmark_builds import builds

        builds(*sys.argv[2:3])
        return
    os.environ["SOAPSTONE_CACHE"] = "off"
    if sys.argv[1:2] == ["archive"]:
        archive()
        return
    typer, cadquery = ("-c", "import typer"), ("-c", "import cadquery")
    against("--help", typer, ("-c", RUN, "--help"), 0.4 / 0.13, 4)
    against("readings", typer, ("-c", RUN, "readings", str(DEMO)), 0.6 / 0.13, 4)
    against("solve", typer, ("-c", RUN, "solve", str(DEMO)), 1.0 / 0.13, 4)
    with tempfile.TemporaryDirectory() as tmp:
        n = iter(range(99))
        pairs = [
            (process(*cadquery), process("-c", RUN, "demo", "--out", f"{tmp}/{next(n)}"))
            for _ in range(2)
        ]
        b, o = (statistics.median(p[i][0] for p in pairs) for i in (0, 1))
        print(
            f"{'build of the demo, cold':34} {o:7.2f} s {max(p[1][1] for p in pairs):6.0f} MB  "
            f" {o / b:5.2f} x base {b:.2f} s   goal 2.0 x"
        )
        again = ("-c", RUN, "demo", "--out", f"{tmp}/0")
        against("the same again, nothing changed", cadquery, again, 0.6)

    from soapstone.layout.job_file import load
    from soapstone.layout.setout import solve
    from soapstone.parts.placed.fit import fit
    from soapstone.parts.stock import default_shop
    from soapstone.parts.truck.truck import design

    job, shop = load(DEMO), default_shop()
    solved = solve(job)
    truck = design(solved, job.words, job.pins, job.chassis, shop)
    against("cycle", typer, ("-c", RUN, "cycle", str(DEMO)), 60.0)
    travel()
    inside("set-out", lambda: solve(job), 5.0)
    inside(
        "all parts sized, placed, finished",
        lambda: design(solved, job.words, job.pins, job.chassis, shop),
        1000.0,
        3,
    )
    from soapstone.parts.placed.clearance import hits

    inside("what hits what, 15 positions", lambda: hits(truck, job, solved, shop), 4000.0, 2)
    from soapstone.parts.strength.result import strength

    inside(
        "load cases, every row, elements of two plates",
        lambda: strength(truck, solved, shop),
        2000.0,
        3,
    )
    inside("fit of the placed assembly", lambda: fit(truck, shop, solved.values), 2000.0, 3)
    from soapstone.parts.export import nest
    from soapstone.parts.export.tighter import better
    from soapstone.parts.strength.growth import held

    inside(
        "design held against its loads",
        lambda: held(solved, job.words, job.pins, job.chassis, shop),
        5000.0,
        2,
    )
    grown = held(solved, job.words, job.pins, job.chassis, shop).truck
    inside("nest, fixed rule", lambda: nest.nest(grown.parts, shop), 500.0, 3)
    for seconds in (2, 15):
        start = time.perf_counter()
        one = [
            p._replace(member=p.member._replace(body=p.member.body._replace(stock="1/4 A36")))
            for p in grown.parts
            if hasattr(p.member.body, "outline")
        ]
        got = nest.nest(one, shop, better(one, shop, seconds, 3), 3)
        used, width = sum(s.used for s in got.sheets), got.sheets[0].sheet.width
        print(
            f"nest of {sum(len(s.placed) - s.has_square for s in got.sheets)} parts,"
            f" {seconds:2} s a strip     "
            f"{100 * sum(s.area for s in got.sheets) / (used * width):7.1f} %           goal"
            f" {72 if seconds == 2 else 78} %   {time.perf_counter() - start:.0f} s in all,"
            f" {len(got.sheets)} sheets"
        )
    sheets()
    archive()


if __name__ == "__main__":
    main()
