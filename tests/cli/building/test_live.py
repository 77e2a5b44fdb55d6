"""The live page: answers in time, on this machine only, and writes the job file only whole, with
the old one kept; a real browser at both sizes (headless Chromium, where it is installed).
"""

from __future__ import annotations

import http.client
import json
import statistics
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import CHROMIUM, DESK, PHONE, Tab, browser
from soapstone.cli.building import live_server
from soapstone.cli.building.live import Live
from soapstone.cli.building.live_server import (
    LIVE,
    MOST,
    Behind,
    Desk,
    GivenUpError,
    beside,
    serving,
)
from soapstone.layout import reader
from soapstone.layout.job.form import blank_job
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from typed import DEMO

QUICK = 0.150
"""Seconds of a whole round trip, median, on the demo."""


class Served:
    """A job served as while it is watched, and what a page asks of it."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.job = folder, folder / "T1.toml"
        self.job.write_bytes(DEMO.read_bytes())
        self.desk = Desk(lambda: Live(self.job, None))
        (folder / "index.html").write_text("the draft")
        self.server = serving(0, folder, self.desk)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.host = f"127.0.0.1:{self.desk.port}"

    def ask(self, path: str, asked: object = None, **changed: str) -> tuple[int, Any]:
        """Code and answer; ``changed``: headers other than the page's own."""
        headers = {"Host": self.host, "Origin": f"http://{self.host}", "X-Token": self.desk.token}
        headers |= {name.replace("_", "-"): value for name, value in changed.items()}
        line = http.client.HTTPConnection("127.0.0.1", self.desk.port, timeout=60)
        body = None if asked is None else json.dumps(asked)
        line.request("GET" if asked is None else "POST", path, body, headers)
        got = line.getresponse()
        text = got.read().decode()
        line.close()
        is_json = got.headers.get_content_type() == "application/json"
        return got.status, json.loads(text) if is_json else text


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    made = Served(tmp_path_factory.mktemp("live"))
    yield made
    made.server.shutdown()
    made.server.server_close()


def test_a_turned_wish_is_answered_in_time(served: Served) -> None:
    """Whole round trips over the loopback, warm."""
    served.ask(f"{LIVE}/start", {})
    spans = []
    for sixteenths in range(1, 12):
        begun = time.perf_counter()
        code, told = served.ask(f"{LIVE}/answer", {"by": {"bump": sixteenths / 16}})
        spans.append(time.perf_counter() - begun)
        assert code == 200
    assert statistics.median(spans) < QUICK, spans
    caster = next(row for row in told["values"] if row["title"] == "caster, left")
    assert caster["unit"] == "deg" and caster["now"][1] == pytest.approx(caster["was"][1], abs=0.05)
    assert caster["now"][0] != pytest.approx(caster["was"][0], abs=0.05), "bump moved"
    assert told["limits"] and served.job.read_bytes() == DEMO.read_bytes()


def test_what_does_not_fit_is_said(served: Served) -> None:
    _, told = served.ask(f"{LIVE}/answer", {"by": {"caster": 3.5}})
    assert any("caster" in says.lower() for says in told["fits"])


@pytest.mark.parametrize(
    ("path", "changed", "code"),
    [
        (f"{LIVE}/answer", {"Host": "evil.example"}, 403),
        (f"{LIVE}/answer", {"Host": "127.0.0.1"}, 403),
        (f"{LIVE}/answer", {"Origin": "http://evil.example"}, 403),
        (f"{LIVE}/answer", {"Origin": "null"}, 403),
        (f"{LIVE}/answer", {"X_Token": "guessed"}, 403),
        (f"{LIVE}/answer", {"X_Token": ""}, 403),
        (f"{LIVE}/nothing", {}, 404),
        (f"{LIVE}/answer", {"Content_Length": str(MOST + 1)}, 413),
        (f"{LIVE}/answer", {"Content_Length": "-1"}, 413),
    ],
)
def test_a_question_from_elsewhere_is_refused(
    served: Served, path: str, changed: dict[str, str], code: int
) -> None:
    assert served.ask(path, {}, **changed)[0] == code


def test_the_page_wants_its_token_and_the_draft_this_host(served: Served) -> None:
    assert served.ask("/index.html") == (200, "the draft")
    assert served.ask("/index.html", Host="evil.example")[0] == 403
    assert served.ask(LIVE)[0] == 403 and served.ask(f"{LIVE}?token=no")[0] == 403
    code, text = served.ask(f"{LIVE}?token={served.desk.token}")
    assert code == 200 and "default-src 'none'" in text and "unsafe" not in text
    assert served.desk.token not in text
    assert served.server.server_address[0] == "127.0.0.1"


@pytest.mark.parametrize("by", [{"nobody": 1}, {"bump": 99}, {"bump": "NaN"}])
def test_a_turn_past_the_end_is_a_sentence(served: Served, by: dict[str, object]) -> None:
    code, told = served.ask(f"{LIVE}/answer", {"by": by})
    assert code == 422 and "turn it less far" in told["faults"][0]


@pytest.mark.parametrize("asked", [[], {"by": {"bump": "x"}}, {"by": {"bump": None}}, "words"])
def test_what_is_no_question_is_refused(served: Served, asked: object) -> None:
    assert served.ask(f"{LIVE}/answer", asked)[0] in (200, 404)


def test_lines_are_shown_then_written_and_the_old_file_is_kept(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_bytes(DEMO.read_bytes())
    live = Live(job, None)
    by = {"bump": 0.5, "ride": 1.0}
    lines = live.lines(by)
    assert [(line.was, line.now) for line in lines] == [("bump = 4", 'bump = "4 1/2 in"')]
    assert job.read_bytes() == DEMO.read_bytes(), "nothing is written by looking"
    old = live.write(by, [line.now for line in lines])
    assert old.read_bytes() == DEMO.read_bytes() and old.suffix != ".toml"
    assert load(job).readings[Key("travel.bump", "C")].value == pytest.approx(4.5 * 25.4)
    again = live.write({"bump": -0.5}, ['bump = "4 in"'])
    assert again != old and len(list(tmp_path.iterdir())) == 3


def test_other_lines_than_shown_or_a_file_changed_since_are_not_written(tmp_path: Path) -> None:
    from soapstone.layout.faults import SoapstoneError

    job = tmp_path / "T1.toml"
    job.write_bytes(DEMO.read_bytes())
    live = Live(job, None)
    for shown in ([], ['bump = "5 in"']):
        with pytest.raises(SoapstoneError, match="nothing was written"):
            live.write({"bump": 0.5}, shown)
    (tmp_path / "T1.taped.toml").write_text('[taped]\n"travel.bump" = "4"\n')
    with pytest.raises(SoapstoneError, match="nothing was written"):
        live.lines({"bump": 0.5})
    (tmp_path / "T1.taped.toml").unlink()
    job.write_text(job.read_text() + "\n# by hand\n")
    with pytest.raises(SoapstoneError, match="nothing was written"):
        live.lines({"bump": 0.5})
    assert [x.name for x in tmp_path.iterdir()] == ["T1.toml"]


def test_of_two_pages_of_one_job_the_second_does_not_write_over_the_first(tmp_path: Path) -> None:
    """Each turns from the file as it read it: what the first wrote is neither lost nor turned on
    from, and the second is told to load again; then it may.
    """
    made = Served(tmp_path)
    try:
        first, second = (made.ask(f"{LIVE}/start", {})[1]["read"] for _ in range(2))
        assert first == second
        turns = {"by": {"bump": 0.5}, "read": first}
        shown = [row[2] for row in made.ask(f"{LIVE}/lines", turns)[1]["lines"]]
        assert made.ask(f"{LIVE}/write", turns | {"lines": shown})[0] == 200
        written = made.job.read_bytes()
        for what in ("answer", "lines", "write", "behind"):
            late = {"by": {"droop": 0.5}, "read": second, "lines": shown}
            code, told = made.ask(f"{LIVE}/{what}", late)
            assert code == 422 and "written by another page" in told["faults"][0], told
            assert "load this page again" in told["faults"][0]
        assert made.job.read_bytes() == written and len(list(tmp_path.glob("*.before-*"))) == 1
        anew = made.ask(f"{LIVE}/start", {})[1]["read"]
        assert made.ask(f"{LIVE}/lines", {"by": {"droop": 0.5}, "read": anew})[0] == 200
    finally:
        made.server.shutdown()
        made.server.server_close()


def test_of_what_is_asked_meanwhile_only_the_last_is_worked() -> None:
    """And the one before is given up at once, its process ended."""
    behind, worked = Behind(), []

    def first(stop: threading.Event) -> str:
        worked.append("first")
        assert stop.wait(10)
        raise GivenUpError

    behind.ask(first)
    time.sleep(0.05)
    for name in ("second", "third"):
        last = behind.ask(lambda _, name=name: time.sleep(0.02) or worked.append(name) or name)
    end = time.monotonic() + 10
    while behind.done[0] < last and time.monotonic() < end:
        time.sleep(0.01)
    assert behind.done == (last, "third") and worked[0] == "first" and worked[-1] == "third"
    behind.ask(first)
    behind.end()
    assert behind.done == (last, "third") and worked[-1] in ("third", "first")


def test_no_process_is_left_of_what_is_given_up(served: Served) -> None:
    import psutil

    stop = threading.Event()
    given = served.desk.live().given({"bump": 0.5})
    before, threads = set(psutil.Process().children()), threading.active_count()
    threading.Timer(0.3, stop.set).start()
    with pytest.raises(GivenUpError):
        beside(given, stop)
    end = time.monotonic() + 5
    while set(psutil.Process().children()) != before and time.monotonic() < end:
        time.sleep(0.02)
    assert set(psutil.Process().children()) == before
    while threads < threading.active_count() and time.monotonic() < end:
        time.sleep(0.02)
    assert threading.active_count() <= threads, "nor is it worked in this one"


def test_a_truck_that_was_hardly_read_says_what_it_waits_for(tmp_path: Path) -> None:
    """By codes and words of the measuring sheet, and with the dials there are."""
    job = tmp_path / "T1.toml"
    job.write_text(blank_job("T1").replace('bump = ""', 'bump = "4"'))
    live = Live(job, None)
    told = live.start()
    assert [row["name"] for row in told["dials"]] == ["bump"]
    waits = told["answer"]["waits"]
    assert any("F-01 frame: wheelbase" in says for says in waits) and "frame." not in str(waits)
    assert len(live.lines({"bump": 0.25})) == 1


@pytest.fixture
def same_reader() -> Iterator[None]:
    """Whoever reads after this test reads what it read before."""
    with reader.reading_in(reader.reader()):
        yield


@pytest.mark.usefixtures("same_reader")
def test_a_shop_in_millimeters_turns_and_writes_millimeters(tmp_path: Path) -> None:
    job = tmp_path / "T1.toml"
    job.write_bytes(DEMO.read_bytes())
    (tmp_path / "shop.toml").write_text('[units]\nlength = "mm"\n')
    live = Live(job, None)
    dial = next(row for row in live.start()["dials"] if row["name"] == "bump")
    assert (dial["unit"], dial["step"], dial["now"]) == ("mm", 0.5, pytest.approx(101.6))
    values = []

    def other_thread() -> None:
        values.append(live.given({"bump": 10.0}).job.readings[Key("travel.bump", "C")].value)

    asked = threading.Thread(target=other_thread)
    asked.start()
    asked.join()
    assert values == [pytest.approx(111.6)]
    row = live.answer({"bump": 10.0})["values"][0]
    assert row["unit"] == "deg"


@pytest.mark.long
def test_the_truck_designed_behind_says_what_comes_close_and_what_changes(served: Served) -> None:
    """In a process of its own, as the page asks for it."""
    told = beside(served.desk.live().given({"bump": 0.5}), threading.Event())
    assert set(told) == {"gaps", "limits", "parts", "same", "margins"}
    assert told["gaps"] and any(says.startswith("bump: ") for says in told["limits"])
    assert any("BP1 left and right" in says for says in told["parts"]) and told["same"] > 0


def test_the_watch_prints_both_addresses(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from soapstone.cli.building.watch import watch

    watch(DEMO, tmp_path, None, 0, lambda: None, turns=1)
    told = capsys.readouterr().out
    assert "/index.html" in told and f"{LIVE}?token=" in told


@pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
def test_a_browser_turns_looks_and_writes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At a desk by keys, at a phone's size by touch; what is designed behind is put in here."""
    told = {"gaps": ["tight 0.10 in"], "limits": [], "parts": [], "same": 48, "margins": []}
    monkeypatch.setattr(live_server.Desk, "_behind", lambda *_: told)
    made = Served(tmp_path)
    url = f"http://{made.host}{LIVE}?token={made.desk.token}"
    with browser(tmp_path) as opened:
        tab: Tab = opened.tab(url, DESK)
        tab.until("document.querySelectorAll('.dial').length === 8")
        tab.run("document.getElementById('turn-bump').focus()")
        for _ in range(8):
            tab.ask(
                "Input.dispatchKeyEvent", type="keyDown", key="ArrowRight", windowsVirtualKeyCode=39
            )
        assert tab.run("document.querySelector('output[for=turn-bump]').textContent") == "4 1/2 in"
        tab.until("document.getElementById('moves').textContent.includes('was ')")
        tab.until("document.querySelector('section#behind').innerText.includes('tight 0.10 in')")
        ids = tab.run("[...document.querySelectorAll('[id]')].map(x => x.id)")
        assert len(set(ids)) == len(ids)
        tab.sized(PHONE)
        assert tab.run("document.documentElement.scrollWidth") <= PHONE[0]
        tab.touch("button", "Write to the job file")
        tab.until("document.getElementById('lines').textContent.includes('4 1/2 in')")
        assert made.job.read_bytes() == DEMO.read_bytes()
        tab.touch("#lines button", "Write")
        tab.until("document.getElementById('told').textContent.includes('before-1')")
        assert 'bump = "4 1/2 in"' in made.job.read_text()
        assert (tmp_path / "T1.toml.before-1").read_bytes() == DEMO.read_bytes()
        assert not tab.complaints(), tab.complaints()
    made.server.shutdown()
    made.server.server_close()
