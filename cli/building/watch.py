"""build --watch: build again when a file of the job changes, and show the page on this machine
only; a page that is open follows by itself.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path

import typer

from ...layout.faults import Exit, Fault, SoapstoneError
from .. import interrupt
from .live import Live
from .live_server import LIVE, Desk, serving

EVERY = 0.7


def files_of(job: Path, shop: Path | None) -> tuple[Path, ...]:
    """What a build of the job reads."""
    beside = [
        job.with_name(f"{job.stem}{end}") for end in (".taped.toml", ".down.toml", ".nest.json")
    ]
    return (job, *beside, shop or job.parent / "shop.toml")


def seen(paths: tuple[Path, ...]) -> tuple[int, ...]:
    """When each was last changed, 0 for one that is not there."""
    found = []
    for p in paths:
        try:
            found.append(p.stat().st_mtime_ns)
        except OSError:
            found.append(0)
    return tuple(found)


def watch(
    job: Path,
    out: Path,
    shop: Path | None,
    port: int,
    build: Callable[[], None],
    turns: int | None = None,
) -> None:
    """Until Ctrl-C (or ``turns`` looks): a fault is told and the last good build stays.

    Faults if the port is taken.
    """
    paths = files_of(job, shop)
    folder = out / _chassis(job) / "draft"
    desk = Desk(lambda: Live(job, shop))
    try:
        server = serving(port, folder, desk)
    except (OSError, OverflowError) as e:
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    "--port",
                    str(port),
                    "a port nobody uses, 1024 .. 65535",
                    f"choose another ({e})",
                )
            ],
        ) from None
    threading.Thread(target=server.serve_forever, daemon=True).start()
    here = f"http://127.0.0.1:{server.server_address[1]}"
    print(f"page: {here}/index.html   Ctrl-C ends", flush=True)
    print(f"turn wishes and see what moves: {here}{LIVE}?token={desk.token}", flush=True)
    last: tuple[int, ...] = ()
    try:
        while turns is None or turns > 0:
            now = seen(paths)
            if now != last:
                last = now
                _once(build)
            interrupt.stop_if_pressed()
            time.sleep(EVERY)
            turns = None if turns is None else turns - 1
    finally:
        desk.behind.end()
        server.shutdown()
        server.server_close()


def _once(build: Callable[[], None]) -> None:
    try:
        build()
    except typer.Exit:
        print("(the page shows what could be made)", file=sys.stderr, flush=True)
    except SoapstoneError as e:
        for f in e.faults:
            print(f, file=sys.stderr)
        print("nothing was changed; mend it and save", file=sys.stderr, flush=True)


def _chassis(job: Path) -> str:
    from ...layout.job_file import load

    return load(job).chassis
