"""The served page as hostile ground: paths that climb, who asks slowly, goes away or comes in
crowds.
"""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from soapstone.cli.building import live_server
from soapstone.cli.building.live import Live
from soapstone.cli.building.live_server import LIVE, Answering, Desk, serving
from typed import DEMO


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    monkeypatch.setattr(Answering, "timeout", 0.3)
    monkeypatch.setattr(live_server, "AT_ONCE", 4)
    (tmp_path / "T1.toml").write_bytes(DEMO.read_bytes())
    (tmp_path / "draft").mkdir()
    (tmp_path / "draft/index.html").write_text("the draft")
    made = Desk(lambda: Live(tmp_path / "T1.toml", None))
    server = serving(0, tmp_path / "draft", made)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield made
    server.shutdown()
    server.server_close()


def asked(desk: Desk, line: str, *more: str, body: bytes = b"") -> bytes:
    """The answer to a request as it is sent, byte for byte; empty where none came."""
    head = "\r\n".join([line, f"Host: 127.0.0.1:{desk.port}", *more, "", ""])
    with socket.create_connection(("127.0.0.1", desk.port), timeout=5) as to:
        to.sendall(head.encode("latin-1") + body)
        return got(to)


def got(to: socket.socket) -> bytes:
    found = b""
    try:
        while more := to.recv(65536):
            found += more
    except ConnectionError:
        pass
    return found


@pytest.mark.parametrize(
    "path",
    [
        "/../T1.toml",
        "/..%2fT1.toml",
        "/%2e%2e/T1.toml",
        "//T1.toml",
        "/..\\T1.toml",
        "/draft/../../T1.toml",
        "/index.html/../../T1.toml",
        "/%00",
        "/" + "a" * 5000,
    ],
)
def test_no_path_leaves_the_draft(desk: Desk, path: str) -> None:
    answer = asked(desk, f"GET {path} HTTP/1.0")
    assert b" 40" in answer.split(b"\r\n", 1)[0] and b"[spring]" not in answer
    assert asked(desk, "GET /index.html HTTP/1.0").endswith(b"the draft")


@pytest.mark.parametrize("size", ["\u00b2", "9" * 5000, "-1", "1e3", "0x2", ""])
def test_a_length_that_is_no_number_is_refused_in_words(
    desk: Desk, size: str, capfd: pytest.CaptureFixture[str]
) -> None:
    own = (f"Origin: http://127.0.0.1:{desk.port}", f"X-Token: {desk.token}")
    sent = f"Content-Length: {size}"
    answer = asked(desk, f"POST {LIVE}/start HTTP/1.0", *own, sent, body=b"{}")
    assert b"413" in answer.split(b"\r\n", 1)[0] and answer.endswith(b"is short")
    assert not capfd.readouterr().err


def test_a_job_file_that_is_away_is_told_and_its_return_answered(
    desk: Desk, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    own = (f"Origin: http://127.0.0.1:{desk.port}", f"X-Token: {desk.token}", "Content-Length: 2")
    line, job = f"POST {LIVE}/start HTTP/1.0", tmp_path / "T1.toml"
    job.rename(tmp_path / "aside")
    answer = asked(desk, line, *own, body=b"{}")
    assert b"422" in answer.split(b"\r\n", 1)[0] and b"T1.toml: no such file" in answer
    (tmp_path / "aside").rename(job)
    assert b" 200 " in asked(desk, line, *own, body=b"{}").split(b"\r\n", 1)[0]
    assert not capfd.readouterr().err


def test_who_asks_slowly_or_goes_away_is_left_and_nobody_waits(
    desk: Desk, capfd: pytest.CaptureFixture[str]
) -> None:
    """Half a line, a body that never comes, and a line that is closed in the middle."""
    origin = f"Origin: http://127.0.0.1:{desk.port}"
    body = (f"POST {LIVE}/answer HTTP/1.0", origin, f"X-Token: {desk.token}", "Content-Length: 500")
    half = socket.create_connection(("127.0.0.1", desk.port), timeout=5)
    half.sendall(b"GET /ind")
    gone = socket.create_connection(("127.0.0.1", desk.port), timeout=5)
    gone.sendall(b"GET /index.html HT")
    gone.close()
    begun = time.monotonic()
    assert asked(desk, "GET /index.html HTTP/1.0").endswith(b"the draft")
    assert asked(desk, *body) == b""
    assert got(half) == b""
    half.close()
    assert time.monotonic() - begun < 4
    assert "Traceback" not in capfd.readouterr().err


def test_a_crowd_is_shown_the_door_and_the_page_answers_again(desk: Desk) -> None:
    crowd = [socket.create_connection(("127.0.0.1", desk.port), timeout=5) for _ in range(40)]
    time.sleep(0.2)
    threads = [t for t in threading.enumerate() if "process_request" in t.name]
    assert len(threads) <= 4
    for to in crowd:
        assert got(to) == b""
        to.close()
    assert asked(desk, "GET /index.html HTTP/1.0").endswith(b"the draft")
