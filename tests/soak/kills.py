"""Kills: commands ended with SIGKILL at a random moment; nothing that was there is lost, nothing is
half there, no process stays behind, and the same command then goes through.

    python tests/soak/kills.py --seconds 1200 --seed 1
    python tests/soak/kills.py --seconds 600 --only enter,import

The demo is built and released once (a minute), then each act is done over and over in a process of
its own: build, release, sign, enter, export, import, a measuring sheet taken in, entries of the
cache, a line written by the live page. Half the kills fall anywhere in the act's time, half just
before one of its steps on the disk. Linux and macOS only: the processes are forked. Ends with 1 if
there is a find.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "oracles"))

import psutil
from failing_disk import Counting
from soapstone.cli import disk, main
from soapstone.cli.archive.integrity import check, copies
from soapstone.cli.archive.record import NAME
from soapstone.cli.archive.store import Archive
from soapstone.cli.building.cache import Cache, key_of
from soapstone.cli.building.live import Live
from soapstone.layout.job_file import load
from trucks import DATA

WHO = ("--by", "the owner", "--date", "2026-02-02")
MOVES = ("d.taped.toml", "p.toml")
"""Files that acts write anew."""
LONGEST = 120.0
"""Seconds after which an act is taken for stuck."""


class Act(NamedTuple):
    """What is done, in the folder of a shop: the words typed by the number of the round, and the
    exit codes with which it may end once it was killed before.
    """

    typed: Callable[[int], tuple[str, ...]]
    ends: tuple[int, ...] = (0,)


ACTS = {
    "enter": Act(lambda n: ("enter", "DEMO1", "A", "--weld", f"W{n % 90 + 1}", *WHO)),
    "sign": Act(lambda n: ("sign", "DEMO1", "A", "--level", "tack", *WHO)),
    "export": Act(lambda n: ("export", "DEMO1", f"x{n % 3}.zip")),
    "import": Act(lambda n: ("import", "given.zip", "--archive", f"other{n % 20}")),
    "readings": Act(lambda n: ("readings", "d.toml", "--take", f"s{n % 2}.csv")),
    "build": Act(lambda n: ("build", f"d{n % 2}.toml")),
    "release": Act(
        lambda n: ("release", "d1.toml", "--out", "out1", "--note", "softer coil", *WHO), (0, 6)
    ),
    "cache": Act(lambda n: ()),
    "page": Act(lambda n: ()),
}


def typed(words: tuple[str, ...]) -> int:
    """A command in this process, silent; its exit code."""
    sys.argv = ["soapstone", *words]
    try:
        main.run()
    except SystemExit as e:
        return int(e.code or 0)
    return 0


def cached(n: int) -> int:
    """Entries put to the cache and got again: each whole or none."""
    cache, draw = Cache(), random.Random(n)
    for number in range(600):
        key = key_of("kills", (n + number) % 60)
        found = cache.value(key, lambda own=number: [(n + own) % 60] * draw.choice((10, 10_000)))
        if set(found) != {(n + number) % 60}:
            return 1
    return 0


def turned(n: int) -> int:
    """A wish turned on the live page, and its line written to the job file."""
    live = Live(Path("p.toml"), None)
    by = {"bump": (1 + n % 5) / 16 * (1 if n % 2 else -1)}
    live.write(by, [line.now for line in live.lines(by)])
    return 0


def child(act: str, n: int, folder: Path, step: int) -> int:
    """An act in a process of its own; ``step`` > 0: it ends itself at that step of the disk. Its
    process id.
    """
    pid = os.fork()
    if pid:
        return pid
    code = 99
    try:
        os.setsid()
        os.chdir(folder)
        null = os.open(os.devnull, os.O_WRONLY)
        told = os.open(folder / "told.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(null, 1)
        os.dup2(told, 2)
        disk.DISK = counted = Counting(step or -1, lambda: os.kill(os.getpid(), signal.SIGKILL))
        own = {"cache": cached, "page": turned}.get(act)
        code = own(n) if own else typed(ACTS[act].typed(n))
        (folder / "steps.txt").write_text(str(counted.count))
    except BaseException:
        traceback.print_exc()
    finally:
        os._exit(code)


def ended(pid: int, after: float) -> int:
    """Killed ``after`` seconds if it still runs; its exit code, negative for a kill."""
    until = time.monotonic() + after
    while True:
        gone, status = os.waitpid(pid, os.WNOHANG)
        if gone:
            return os.waitstatus_to_exitcode(status)
        if time.monotonic() > until:
            os.kill(pid, signal.SIGKILL)
            return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        time.sleep(min(0.002, after / 20))


def left_running() -> Iterator[int]:
    """Processes of killed acts that are still there after a minute; they are ended then. Their own
    have a session of their own, and are known by the cache they share with nobody else.
    """
    for _ in range(600):
        left = [p for p in psutil.process_iter() if p.pid != os.getpid() and _ours(p)]
        if not left:
            return
        time.sleep(0.1)
    for process in left:
        yield process.pid
        process.kill()


def _ours(process: psutil.Process) -> bool:
    try:
        return (
            process.status() != psutil.STATUS_ZOMBIE
            and process.environ().get("SOAPSTONE_CACHE") == os.environ["SOAPSTONE_CACHE"]
        )
    except psutil.Error:
        return False


def kept(folder: Path) -> dict[str, str]:
    """Hash of every record and event of every archive in a folder, and of what a shop typed."""
    typed_in = [p for p in folder.glob("*.toml*") if p.name not in MOVES and p.name[0] != "."]
    records = [p for p in folder.glob("*/DEMO1/*.json") if NAME.fullmatch(p.name)]
    return {
        str(p.relative_to(folder)): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in (*typed_in, *records)
        if not p.parts[-3].startswith("out")
    }


def wrong(folder: Path, before: dict[str, str]) -> Iterator[str]:
    """What must not be after a kill: a record lost or changed, an archive that is not sound, a
    draft that is not as its own list says, a released copy that nobody released or signed.
    """
    after = kept(folder)
    yield from (f"{p} is gone or changed" for p, sha in before.items() if after.get(p) != sha)
    for archive in (p for p in folder.iterdir() if (p / "DEMO1").is_dir() and "out" not in p.name):
        yield from (f"{archive.name}: {fault}" for fault in check(Archive(archive), "DEMO1"))
    for out in folder.glob("out*"):
        if (out / "DEMO1/draft").is_dir():
            yield from _draft(out / "DEMO1/draft/manifest.json")
        yield from map(str, copies(Archive(folder / "archive"), "DEMO1", out))
    if (folder / "p.toml").exists() and not load(folder / "p.toml").readings:
        yield "p.toml lost its readings"


def _draft(manifest: Path) -> Iterator[str]:
    for row in json.loads(manifest.read_bytes())["files"]:
        file = manifest.parent / row["path"]
        if not file.is_file() or hashlib.sha256(file.read_bytes()).hexdigest() != row["sha256"]:
            yield f"{file} is not as its list says"


def prepared(folder: Path) -> None:
    """A shop: two drafts, the first released as A, a zip of it, two measuring sheets."""
    os.chdir(folder)
    text = (DATA / "demo.toml").read_text()
    for n in range(2):
        (folder / f"d{n}.toml").write_text(text.replace("rate = 225", f"rate = {225 - n}"))
    (folder / "d.toml").write_text(text)
    (folder / "p.toml").write_text(text)
    for words in (
        ("build", "d0.toml"),
        ("release", "d0.toml", "--note", "first", "--level", "mock-up", *WHO),
        ("build", "d1.toml", "--out", "out1"),
        ("export", "DEMO1", "given.zip"),
        ("readings", "d.toml", "--sheet", "s0.csv"),
    ):
        said = io.StringIO()
        with redirect_stdout(said), redirect_stderr(said):
            code = typed(words)
        assert code in (0, 6), (words, code, said.getvalue())
    shutil.copy("s0.csv", "s1.csv")


def rounds(act: str, folder: Path, seconds: float, draw: random.Random) -> Iterator[str]:
    """An act over and over: a kill and what is wrong then, "" for nothing; then the act whole."""
    end, took, steps, n = time.monotonic() + seconds, [], 0, 0
    shop = folder / "shop"
    while time.monotonic() < end:
        if n % 40 == 0 or act in ("sign", "release"):
            shutil.rmtree(shop, ignore_errors=True)
            shutil.copytree(folder / "start", shop, copy_function=os.link)
        if took:
            before = kept(shop)
            step = draw.randrange(1, steps + 1) if draw.random() < 0.5 and steps else 0
            pid = child(act, n, shop, step)
            code = ended(pid, LONGEST if step else draw.uniform(0.0, 1.1 * max(took[-9:])))
            left = [f"process {p} still runs" for p in left_running()]
            found = [*left, *wrong(shop, before)]
            if code not in (-signal.SIGKILL, *ACTS[act].ends):
                found.append(f"ended with {code}: {(shop / 'told.txt').read_text()[-600:]}")
            yield "; ".join(found[:4]) if found else ("killed" if code < 0 else "")
        began = time.monotonic()
        code = ended(child(act, n, shop, 0), LONGEST)
        took.append(time.monotonic() - began)
        steps = int((shop / "steps.txt").read_text())
        if code not in (ACTS[act].ends if len(took) > 1 else (0,)):
            told = (shop / "told.txt").read_text()[-600:]
            yield f"the next run ended with {code}: {told}"
        n += 1
    print(f"   {act}: {sum(took) / len(took):.2f} s when nobody ends it, {steps} steps", flush=True)


def main_() -> int:
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--seconds", type=float, default=600.0)
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--only", default=",".join(ACTS))
    a = p.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="soapstone-kills-"))
    os.environ["SOAPSTONE_CACHE"] = str(folder / "cache")
    counts, finds, acts = Counter[str](), 0, a.only.split(",")
    try:
        (folder / "start").mkdir()
        prepared(folder / "start")
        for act in acts:
            told: set[str] = set()
            for said in rounds(act, folder, a.seconds / len(acts), random.Random(a.seed)):
                counts[f"{act} {'killed' if said == 'killed' else 'tried'}"] += 1
                if said not in ("", "killed"):
                    finds += 1
                    if said[:60] not in told:
                        told.add(said[:60])
                        print(f"{act}: {said}", flush=True)
    finally:
        os.chdir("/")
        shutil.rmtree(folder, ignore_errors=True)
    killed = sum(n for what, n in counts.items() if what.endswith("killed"))
    print(f"{killed} kills of seed {a.seed}: {dict(counts)}, {finds} finds")
    return 1 if finds else 0


if __name__ == "__main__":
    sys.exit(main_())
