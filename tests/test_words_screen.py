"""What people read on screen: US shop words, one printed name for a part, one reader's units, and no word of the program.

The list of words is common practice in US fabrication shops, no source."""

from __future__ import annotations

import contextlib
import io
import re
import sys
from functools import cache
from pathlib import Path

import pytest
from metric import BOLTS, shop_text
from soapstone.cli import main
from soapstone.layout import reader
from trucks import DATA

DEMO = DATA / "demo.toml"
BRITISH = (
    "tyre centre kerb judgement calliper gearbox spanner earth cheek metre millimetre colour grey "
    "aluminium labour mould odour set-out plough towards centred behaviour favour neighbour"
)
WORDS = re.compile(rf"(?<![\w.\[])(?:{'|'.join(w + 's?' for w in BRITISH.split())})(?![\w.])", re.I)
PROGRAM = re.compile(r"\b(?:memory|lecture|slides on|course notes|Traceback|None|nan)\b|\+-")
KEYS = re.compile(r"[a-z]+\.[a-z]+#|\b[A-Z]{2}\d*\.[LRC]\b|\b(?:rail1|axle|tyre|coil|diff)\.[LRC]\b")
SNAKE = re.compile(r"(?<![\w./`-])[a-z]+_[a-z_]+(?![\w./])")
TYPED_BACK = re.compile(
    r"[a-z_]+(?:\.[a-z0-9_*]+)+|\[\[?[a-z_.]+\]\]?|, _[a-z]+|plus_minus|[a-z_]+ = |\{[^}]*\}|--[a-z-]+|\"[^\"]*\""
)
"""Names of the job file, the shop file and results for `explain`, which people type back."""
INCH = re.compile(
    r"\d in\b(?! common)|\d\"|\b(?:lbf?|ksi|in\*lbf|lbf\*ft|lbf/in|deg/in)\b|\b1/(?:16|32|64)\b"
)
MILLI = re.compile(r"\b(?:mm|MPa|kN|N/mm|N\*m|kg|deg/mm)\b|\d N\b")
COMMANDS = (
    ("check", "--all"),
    ("cycle",),
    ("solve",),
    ("readings",),
    ("explain", "arm.tube", "caster.ride", "seat.upper.z", "at_bump.caster.left"),
    ("suppose", "spring.rate=180 lbf/in"),
)


def said(*args: str) -> str:
    """Both streams of a command."""
    out, err = io.StringIO(), io.StringIO()
    before = sys.argv
    sys.argv = ["soapstone", *args]
    try:
        with (
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
            contextlib.suppress(SystemExit),
        ):
            main.run()
    finally:
        sys.argv = before
    return out.getvalue() + err.getvalue()


def metric_text() -> str:
    """The demo for a shop in millimeters: bare inches are spelt out, so that each reading is the same."""
    text = DEMO.read_text(encoding="utf-8")
    head, mark, rest = text.partition("[wanted]")
    head = re.sub(r'length = "in"', 'length = "mm"', head)
    for inch, mm in BOLTS.items():
        rest = rest.replace(f'"{inch}"', f'"{mm}"')
    rest = rest.replace('"grade 8"', '"class 8.8"').replace('"grade 5"', '"class 8.8"')
    return head + mark + _spelt(rest)


def _spelt(text: str) -> str:
    """Every bare length with "in" behind it; other kinds keep the units they have."""
    from soapstone.layout import units
    from soapstone.layout.job.fields import field_of

    table, out, at = "", [], {}
    for line in text.splitlines():
        m = re.match(r"\[\[?([\w.]+)\]\]?", line)
        if m:
            table = m[1]
            at[table] = at.get(table, 0) + (1 if line.startswith("[[") else 0)
            if line.startswith("[["):
                table = f"{table}.{at[m[1]]}"
        else:
            name = line.partition("=")[0].strip()
            try:
                kind = field_of(f"{table}.{name}").kind if name else ""
            except (KeyError, AttributeError):
                kind = ""
            if kind == "length":
                line = _lengths(line, units)
        out.append(line)
    return "\n".join(out) + "\n"


def _lengths(line: str, units: object) -> str:
    name, _, value = line.partition("=")
    value = value.partition("#")[0]

    def mm(m: re.Match[str]) -> str:
        typed = (m[1] or "").replace('\\"', '"') if m[1] is not None else float(m[2])
        return f'"{units.parse(typed, "length", "in"):.9g} mm"'  # type: ignore[attr-defined]

    return f"{name}={_LENGTH.sub(mm, value)}"


_LENGTH = re.compile(r'"((?:[^"\\]|\\.)*)"|(?<![\w.])(-?\d+(?:\.\d+)?)')


@pytest.fixture(scope="module")
def jobs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The demo in inches, and in millimeters beside a shop file in millimeters."""
    folder = tmp_path_factory.mktemp("words")
    found = {}
    for name in ("inch", "mm"):
        (folder / name).mkdir()
        found[name] = folder / name / "job.toml"
    found["inch"].write_text(DEMO.read_text(encoding="utf-8"))
    found["mm"].write_text(metric_text())
    (folder / "mm" / "shop.toml").write_text(shop_text())
    return found


@cache
def _ran(job: Path, words: tuple[str, ...]) -> str:
    return said(words[0], str(job), *words[1:])


def bad(text: str) -> list[str]:
    """Lines that say what nobody should read."""
    found = []
    for line in text.splitlines():
        plain = TYPED_BACK.sub("", line)
        if WORDS.search(plain) or PROGRAM.search(plain) or KEYS.search(line) or SNAKE.search(plain):
            found.append(line)
    return found


@pytest.mark.parametrize("words", COMMANDS, ids=lambda w: w[0])
@pytest.mark.parametrize("which", ["inch", "mm"])
def test_words_of_a_command(jobs: dict[str, Path], which: str, words: tuple[str, ...]) -> None:
    text = _ran(jobs[which], words)
    assert len(text) > 80 and "is a bug" not in text
    assert bad(text) == []


@pytest.mark.parametrize("words", COMMANDS, ids=lambda w: w[0])
def test_a_shop_in_millimeters_reads_no_inch(jobs: dict[str, Path], words: tuple[str, ...]) -> None:
    """Tubes keep the names the stock has; what was typed is quoted as it was typed."""
    lines = [TYPED.sub("", x) for x in _ran(jobs["mm"], words).splitlines()]
    assert [x for x in lines if INCH.search(x)] == []


@pytest.mark.parametrize("words", COMMANDS, ids=lambda w: w[0])
def test_a_shop_in_inches_reads_no_millimeter(jobs: dict[str, Path], words: tuple[str, ...]) -> None:
    lines = [TYPED.sub("", x) for x in _ran(jobs["inch"], words).splitlines()]
    assert [x for x in lines if MILLI.search(x)] == []


TYPED = re.compile(r"typed .*?(?=;|, read|, ±)|\[[^\]]*\]")
"""What stood in the job file, and sources."""


def test_both_readers_get_the_same_answer(jobs: dict[str, Path]) -> None:
    """The lengths of one job typed in inches and in mm agree after conversion."""
    import json

    rows = [
        {r["key"]: r for r in json.loads(said("solve", str(jobs[w]), "--json"))["setout"]}
        for w in ("inch", "mm")
    ]
    assert rows[0].keys() == rows[1].keys()
    factor = {"in": 25.4, "deg": 1.0, "": 1.0, "lbf": 4.4482216152605}
    for key, a in rows[0].items():
        b = rows[1][key]
        if a["unit"] in factor and a["value"] is not None:
            assert b["value"] == pytest.approx(a["value"] * factor[a["unit"]], abs=1e-3), key
            assert b["unit"] == {"in": "mm", "lbf": "N"}.get(a["unit"], a["unit"])


def test_help_of_every_command() -> None:
    names = [c.name or c.callback.__name__ for c in main.app.registered_commands]  # type: ignore[union-attr]
    for name in names:
        text = said(name, "--help")
        assert "Usage" in text or "usage" in text, name
        assert bad(text) == [], name


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('wheelbase = "12\'"', 'wheelbase = "400 ft"'),
        ('section = "boxed"', 'section = "round"'),
        ("rake = { both = 0 }", "rake = { both = 80 }"),
        ('heat_treated = "no"', 'heat_treated = "perhaps"'),
    ],
)
def test_faults(tmp_path: Path, old: str, new: str) -> None:
    """A bad reading is told in the reader's units and words, whichever they are."""
    for length, other in (("in", MILLI), ("mm", INCH)):
        text = DEMO.read_text(encoding="utf-8") if length == "in" else metric_text()
        job = tmp_path / f"{length}.toml"
        kept = old if old in text else 'wheelbase = "3657.6 mm"'
        assert kept in text
        job.write_text(text.replace(kept, new))
        got = said("solve", str(job))
        assert "allowed:" in got and bad(got) == []
        assert not other.search(re.sub(r"typed '[^']*'", "", got)), got
        assert reader.metric() == (length == "mm")


def test_rack_and_settings() -> None:
    for table in ("plates", "tubes", "loads", "settings"):
        assert bad(said("rack", table)) == [], table
