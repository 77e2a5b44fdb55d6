"""A real browser at the end of a pipe: headless Chromium spoken to by its own debugging protocol
(https://chromedevtools.github.io/devtools-protocol/), touch, keys and network included.
"""

from __future__ import annotations

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
PHONE, DESK = (390, 844), (1400, 900)
FLAGS = (
    "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-sync"
    " --disable-background-networking --disable-component-update --remote-debugging-pipe"
)
DRAWN = "--use-angle=swiftshader --enable-unsafe-swiftshader"
"""Instead of no graphics card: one worked out by the processor, for pages that draw in 3-D."""
LEFT = "Inspected target navigated or closed"
"""What the browser says where a page is left while it answers."""
LONG = 30.0
"""Seconds until an answer is given up on."""


class Browser:
    """One browser; ``tab`` opens a window of it; ``drawn``: draws in 3-D."""

    def __init__(self, folder: Path, *, drawn: bool = False) -> None:
        to_read, to_write = os.pipe()
        from_read, from_write = os.pipe()
        # the browser reads file 3 and writes file 4, which may be others of ours here
        its = [fcntl.fcntl(end, fcntl.F_DUPFD, 20) for end in (to_read, from_write)]
        plumb = f'exec 3<&{its[0]} 4>&{its[1]}; exec "$@"'
        said = FLAGS.replace("--disable-gpu", DRAWN) if drawn else FLAGS
        flags = (*said.split(), f"--user-data-dir={folder}")
        self.process = subprocess.Popen(
            ["bash", "-c", plumb, "bash", str(CHROMIUM), *flags],
            pass_fds=its,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for end in its:
            os.close(end)
        os.close(to_read)
        os.close(from_write)
        self.into, self.out = os.fdopen(to_write, "wb"), from_read
        self.came = b""
        self.front: Tab | None = None
        self.number = 0
        self.events: list[dict[str, Any]] = []

    def ask(self, method: str, session: str = "", **facts: Any) -> dict[str, Any]:
        """The answer to one command; events that come meanwhile are kept."""
        self.number += 1
        told: dict[str, Any] = {"id": self.number, "method": method, "params": facts}
        if session:
            told["sessionId"] = session
        self.into.write(json.dumps(told).encode() + b"\0")
        self.into.flush()
        while True:
            said = self._next()
            if said.get("id") == self.number:
                assert "error" not in said, (method, said["error"])
                return dict(said["result"])
            self.events.append(said)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self.came:
            assert select.select([self.out], [], [], LONG)[0], "the browser says nothing"
            more = os.read(self.out, 1 << 20)
            assert more, "the browser went away"
            self.came += more
        one, _, self.came = self.came.partition(b"\0")
        return dict(json.loads(one))

    def tab(self, url: str, size: tuple[int, int] = PHONE) -> Tab:
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        tab = Tab(self, session)
        tab.sized(size)
        for domain in ("Page", "Runtime", "Log", "Network", "DOM"):
            tab.ask(f"{domain}.enable")
        tab.goes(url)
        return tab

    def end(self) -> None:
        try:
            self.ask("Browser.close")
        except (AssertionError, OSError):
            self.process.terminate()
        self.process.wait(10)
        with suppress(BrokenPipeError):
            self.into.close()
        os.close(self.out)


class Tab:
    """One window: what a hand does in it, and what it shows."""

    def __init__(self, browser: Browser, session: str) -> None:
        self.browser, self.session = browser, session

    def ask(self, method: str, **facts: Any) -> dict[str, Any]:
        return self.browser.ask(method, self.session, **facts)

    def sized(self, size: tuple[int, int]) -> None:
        phone = size == PHONE
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=size[0],
            height=size[1],
            deviceScaleFactor=1,
            mobile=phone,
        )
        self.ask("Emulation.setTouchEmulationEnabled", enabled=phone)

    def goes(self, url: str) -> None:
        self._arrives("Page.navigate", url=url)

    def reload(self) -> None:
        self._arrives("Page.reload")

    def _arrives(self, method: str, **facts: Any) -> None:
        """Goes, and waits until the page is another one and whole."""
        self.run("window.before = 1")
        self.ask(method, **facts)
        self.until("window.before === undefined && document.readyState === 'complete'")

    def run(self, code: str) -> Any:
        """Value of a line of script in the page, promises waited for."""
        got = self.ask("Runtime.evaluate", expression=code, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in got, got["exceptionDetails"]
        return got["result"].get("value")

    def until(self, code: str) -> None:
        """Waits until a line of script is true, in whatever page is there by then."""
        end = time.monotonic() + LONG
        while not self._is(code):
            assert time.monotonic() < end, code
            time.sleep(0.02)

    def _is(self, code: str) -> bool:
        try:
            return bool(self.run(code))
        except AssertionError as refused:
            if LEFT not in str(refused):
                raise
            return False

    def middle(self, query: str, words: str = "") -> tuple[float, float]:
        """Middle of the first element a query finds that shows these words, scrolled to."""
        found = self.run(
            f"(() => {{ const e = [...document.querySelectorAll({json.dumps(query)})].find(x =>"
            f" x.offsetParent !== null && x.textContent.includes({json.dumps(words)}));"
            " if (!e) return null; e.scrollIntoView({block: 'nearest'});"
            " const b = e.getBoundingClientRect(); return [b.x + b.width / 2, b.y + b.height / 2]"
            " })()"
        )
        assert found, f"nothing to touch: {query} {words}"
        return found[0], found[1]

    def to_front(self) -> None:
        """Only the window in front takes a touch or a key."""
        if self.browser.front is not self:
            self.ask("Page.bringToFront")
            self.browser.front = self

    def touch(self, query: str, words: str = "") -> None:
        self.to_front()
        x, y = self.middle(query, words)
        self.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        self.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    def types(self, text: str) -> None:
        self.to_front()
        for sign in text:
            self.ask("Input.dispatchKeyEvent", type="keyDown", text=sign, key=sign)
            self.ask("Input.dispatchKeyEvent", type="keyUp", key=sign)

    def presses(self, key: str, times: int = 1) -> None:
        self.to_front()
        code = {"Tab": 9, "Enter": 13, "Escape": 27, " ": 32}.get(key, 0)
        text = {"Enter": "\r", " ": " "}.get(key, "")
        for _ in range(times):
            more = {"text": text} if text else {}
            self.ask(
                "Input.dispatchKeyEvent",
                type="keyDown",
                key=key,
                windowsVirtualKeyCode=code,
                **more,
            )
            self.ask("Input.dispatchKeyEvent", type="keyUp", key=key, windowsVirtualKeyCode=code)

    def chooses(self, query: str, *files: Path) -> None:
        """Files put into a file box, as from its dialog."""
        root = self.ask("DOM.getDocument")["root"]["nodeId"]
        node = self.ask("DOM.querySelector", nodeId=root, selector=query)["nodeId"]
        self.ask("DOM.setFileInputFiles", nodeId=node, files=[str(file) for file in files])

    def offline(self) -> None:
        self.ask(
            "Network.emulateNetworkConditions",
            offline=True,
            latency=0,
            downloadThroughput=-1,
            uploadThroughput=-1,
        )

    def lit(self, scheme: str) -> None:
        """Under a desk's or phone's own choice of colors: "light" or "dark"."""
        feature = {"name": "prefers-color-scheme", "value": scheme}
        self.ask("Emulation.setEmulatedMedia", features=[feature])

    def printed(self) -> bytes:
        """The page on paper, as PDF."""
        return base64.b64decode(self.ask("Page.printToPDF")["data"])

    def picture(self, path: Path) -> None:
        path.write_bytes(base64.b64decode(self.ask("Page.captureScreenshot")["data"]))

    def complaints(self) -> list[str]:
        """What the page said on its console and what its policy refused."""
        kinds = ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded")
        return [
            str(event["params"])
            for event in self.browser.events
            if event.get("method") in kinds and event.get("sessionId") == self.session
        ]


@contextmanager
def browser(folder: Path, *, drawn: bool = False) -> Iterator[Browser]:
    """A browser for as long as the block; ``drawn``: draws in 3-D."""
    opened = Browser(folder / "profile", drawn=drawn)
    try:
        downloads = folder / "downloads"
        downloads.mkdir()
        opened.ask("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads))
        yield opened
    finally:
        opened.end()


def saved(folder: Path, ready: Callable[[Path], bool] = lambda _: True) -> Path:
    """The one file that was saved last, once it is whole."""
    end = time.monotonic() + LONG
    while time.monotonic() < end:
        files = sorted((folder / "downloads").glob("*.json"), key=lambda x: x.stat().st_mtime_ns)
        if files and files[-1].stat().st_size and ready(files[-1]):
            return files[-1]
        time.sleep(0.05)
    raise AssertionError("nothing was saved")
