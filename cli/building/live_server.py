"""The live page on this machine only: every question must come from this host, from this page and
with its token.
"""

from __future__ import annotations

import hmac
import json
import re
import secrets
import socket
import sys
import threading
from collections.abc import Callable, Mapping
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from string import Template
from typing import TYPE_CHECKING, TypeAlias
from urllib.parse import parse_qs, unquote, urlsplit

from ...layout.faults import SoapstoneError
from .worker import working

if TYPE_CHECKING:
    from ...layout.job.handed import Json
    from .live import Live
    from .live_behind import Given

MOST = 64_000
"""Bytes of a question."""
LIVE = "/live"
LOOK, LONGEST = 0.1, 10.0
"""Seconds between two looks whether work is given up, and until it must have ended."""
WAIT, AT_ONCE = 20.0, 32
"""Seconds until whoever asks slower is left; how many are answered at the same time. A browser asks
six (common practice, no source).
"""
FORBIDDEN, MISSING, TOO_LARGE, UNUSABLE, DONE = 403, 404, 413, 422, 200


class GivenUpError(Exception):
    """Nobody waits for this work any more."""


Asking: TypeAlias = "socket.socket | tuple[bytes, socket.socket]"
"""A connection, as a server of the library hands it on."""
Whence: TypeAlias = "tuple[str, int]"
"""Address of whoever asks."""
BackgroundWork: TypeAlias = "Callable[[threading.Event], Json]"
"""Work that looks now and then whether it is given up."""


class Behind:
    """One piece of work at a time; what is asked next ends the one before."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._wanted: tuple[int, BackgroundWork] | None = None
        self._thread: threading.Thread | None = None
        self._stop = threading.Event()
        self.number = 0
        self.done: tuple[int, Json] = (0, None)

    def ask(self, work: BackgroundWork) -> int:
        """The number under which its answer comes."""
        with self._lock:
            self.number += 1
            self._wanted = (self.number, work)
            self._stop.set()
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, daemon=True)
                self._thread.start()
            return self.number

    def end(self) -> None:
        """No work and no process of it is left."""
        with self._lock:
            self._wanted = None
            self._stop.set()
            running = self._thread
        if running is not None:
            running.join(LONGEST)

    def _run(self) -> None:
        while True:
            with self._lock:
                now, self._wanted = self._wanted, None
                if now is None:
                    self._thread = None
                    return
                self._stop = stop = threading.Event()
            try:
                answer = now[1](stop)
            except GivenUpError:
                continue
            except SoapstoneError as error:
                answer = {"faults": list(map(str, error.faults)) or [str(error)]}
            except Exception as error:  # told on the page: the page must not wait for ever
                answer = {"faults": [f"a bug of ours: {error!r}"]}
            self.done = (now[0], answer)


def beside(given: Given, stop: threading.Event) -> Json:
    """The work behind an answer in a process of its own, ended at once where it is given up."""
    from .live_behind import work_behind

    told: list[Json | Exception] = []

    def wait(answer: Callable[[], Json]) -> None:
        try:
            told.append(answer())
        except Exception as error:  # raised again by whoever waits
            told.append(error)

    with working(work_behind, given, apart=True) as answer:
        waiting = threading.Thread(target=wait, args=(answer,), daemon=True)
        waiting.start()
        while waiting.is_alive():
            if stop.wait(LOOK):
                raise GivenUpError
    if isinstance(told[0], Exception):
        raise told[0]
    return told[0]


class Desk:
    """What the server answers from: the job's dials, its token, the work behind."""

    def __init__(self, make: Callable[[], Live]) -> None:
        self._make = make
        self._live: Live | None = None
        self._lock = threading.Lock()
        self.behind = Behind()
        self.token = secrets.token_urlsafe(24)
        self.port = 0

    def live(self, again: bool = False) -> Live:
        """The job as it was read, again where the page is loaded anew."""
        with self._lock:
            if self._live is None or again:
                self._live = self._make()
            return self._live

    def told(self, what: str, asked: Mapping[str, Json]) -> Json:
        """The answer to one question; KeyError for one nobody answers."""
        by = {str(name): float(str(far)) for name, far in _table(asked.get("by")).items()}
        if what == "start":
            return self.live(again=True).start()
        if "read" in asked:
            self.live().turned_from(str(asked["read"]))
        if what == "answer":
            return self.live().answer(by)
        if what == "behind":
            return {"number": self.behind.ask(partial(self._behind, by))}
        if what == "done":
            number, answer = self.behind.done
            return {"number": number, "answer": answer}
        if what == "lines":
            return {"lines": [list(line) for line in self.live().lines(by)]}
        if what == "write":
            shown = asked.get("lines")
            old = self.live().write(by, shown if isinstance(shown, list) else [])
            return {"kept": old.name}
        raise KeyError(what)

    def _behind(self, by: Mapping[str, float], stop: threading.Event) -> Json:
        return beside(self.live().given(by), stop)


def _table(found: Json) -> dict[str, Json]:
    return found if isinstance(found, dict) else {}


class Answering(SimpleHTTPRequestHandler):
    """The draft, and the live page with its questions."""

    timeout = WAIT

    def __init__(self, *args: object, desk: Desk, **more: object) -> None:
        self.desk = desk
        super().__init__(*args, **more)  # type: ignore[arg-type]  # passed on as they come

    def log_message(self, *_: object) -> None:
        """Serves without a word."""

    def _host(self) -> str:
        """The host asked for where it is this machine by its own name, else empty: a page from
        elsewhere whose name was turned to this machine is told nothing.
        """
        host = self.headers.get("Host", "")
        at = self.desk.port
        return host if host in (f"127.0.0.1:{at}", f"localhost:{at}") else ""

    def do_GET(self) -> None:
        """A file of the draft, or the live page where its token is right."""
        if not self._host():
            self._refuse(FORBIDDEN, "this page is shown on this machine only")
            return
        asked = urlsplit(self.path)
        if asked.path != LIVE:
            if self._is_name():
                super().do_GET()
            return
        if not self._known(parse_qs(asked.query).get("token", [""])[0]):
            self._refuse(FORBIDDEN, "open the address that was printed when the watch began")
            return
        self._send(DONE, _page(), "text/html; charset=utf-8")

    def do_HEAD(self) -> None:
        """As for the draft."""
        if not self._host():
            self._refuse(FORBIDDEN, "this page is shown on this machine only")
        elif self._is_name():
            super().do_HEAD()

    def _is_name(self) -> bool:
        """Whether a file may be called as it is asked for; refused where none can be."""
        good = unquote(self.path).isprintable()
        if not good:
            self._refuse(MISSING, "there is no such file")
        return good

    def do_POST(self) -> None:
        """A question of the live page."""
        host = self._host()
        if not host or self.headers.get("Origin") != f"http://{host}":
            self._refuse(FORBIDDEN, "asked from another page")
        elif not self._known(self.headers.get("X-Token", "")):
            self._refuse(FORBIDDEN, "open the address that was printed when the watch began")
        else:
            self._answer()

    def _known(self, token: str) -> bool:
        return hmac.compare_digest(token.encode(), self.desk.token.encode())

    def _answer(self) -> None:
        size = self.headers.get("Content-Length", "")
        if not re.fullmatch("[0-9]{1,9}", size) or int(size) > MOST:
            self._refuse(TOO_LARGE, "a question of this page is short")
            return
        what = urlsplit(self.path).path.removeprefix(f"{LIVE}/")
        data = self.rfile.read(int(size))
        try:
            told = self.desk.told(what, _table(json.loads(data)))
        except SoapstoneError as error:
            self._send_json(UNUSABLE, {"faults": list(map(str, error.faults))})
        except OSError as error:  # the job file is being saved, or was moved away
            says = f"{error.filename}: {(error.strerror or str(error)).lower()}"
            self._send_json(UNUSABLE, {"faults": [says]})
        except (KeyError, ValueError, RecursionError):
            self._refuse(MISSING, "nobody answers this")
        else:
            self._send_json(DONE, told)

    def _send_json(self, code: int, told: Json) -> None:
        self._send(code, json.dumps(told).encode(), "application/json")

    def _refuse(self, code: int, words: str) -> None:
        self._send(code, words.encode(), "text/plain; charset=utf-8")

    def _send(self, code: int, data: bytes, kind: str) -> None:
        self.send_response(code)
        for name, value in (
            ("Content-Type", kind),
            ("Content-Length", str(len(data))),
            ("Cache-Control", "no-store"),
            ("Referrer-Policy", "no-referrer"),
            ("X-Content-Type-Options", "nosniff"),
            ("X-Frame-Options", "DENY"),
        ):
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)


def _page() -> bytes:
    from ...parts.page.policy import sha256_of

    own = files(__package__)
    style, script, frame = (
        own.joinpath(name).read_text(encoding="utf-8")
        for name in ("live.css", "live.js", "live.html")
    )
    policy = (
        f"default-src 'none'; style-src '{sha256_of(style)}'; script-src '{sha256_of(script)}';"
        " connect-src 'self'; base-uri 'none'; form-action 'none'"
    )
    return Template(frame).substitute(policy=policy, style=style, script=script).encode()


class Serving(ThreadingHTTPServer):
    """Answers so many at once and no more: who comes then is shown the door."""

    daemon_threads = True

    def __init__(self, port: int, handler: Callable[..., Answering]) -> None:
        self._room = threading.BoundedSemaphore(AT_ONCE)
        super().__init__(("127.0.0.1", port), handler)

    def process_request(self, request: Asking, client_address: Whence) -> None:
        """In a thread of its own, where there is room."""
        if self._room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Asking, client_address: Whence) -> None:
        """Gives its room back however it ends."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._room.release()

    def handle_error(self, request: Asking, client_address: Whence) -> None:
        """Nothing of one who went away or asked too slowly."""
        if not isinstance(sys.exception(), OSError):
            super().handle_error(request, client_address)


def serving(port: int, folder: Path, desk: Desk) -> ThreadingHTTPServer:
    """The server, on this machine only. OSError where the port is taken."""
    made = Serving(port, partial(Answering, directory=str(folder), desk=desk))
    desk.port = made.server_port
    return made
