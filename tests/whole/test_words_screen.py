"""What people read on screen: US shop words, one printed name for a part, one reader's units, and
no word of the program.

The list of words is common practice in US fabrication shops, no source.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
import sys
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from again import once
from metric import BOLTS, shop_text
from shared import sharing
from soapstone.cli import main
from soapstone.layout import reader, units
from soapstone.layout.job.fields import FIELDS, pattern
from soapstone.parts.words import names
from trucks import DATA

DEMO = DATA / "demo.toml"
BRITISH = (
    "tyre centre kerb judgement calliper gearbox spanner cheek metre millimetre colour grey "
    "aluminium labour mould odour set-out plough towards centred behaviour favour neighbour"
)
WORDS = re.compile(rf"(?<![\w.\[])(?:{'|'.join(w + 's?' for w in BRITISH.split())})(?![\w.])", re.I)
PROGRAM = re.compile(r"\b(?:memory|lecture|slides on|course notes|Traceback|None|nan)\b|\+-")
KEYS = re.compile(
    r"[a-z]+\.[a-z]+#|\b[A-Z]{2}\d*\.[LRC]\b|\b(?:rail1|axle|tire|coil|diff)\.[LRC]\b"
)
SNAKE = re.compile(r"(?<![\w./`-])[a-z]{2,}_[a-z_]{2,}(?![\w./])")
TYPED_BACK = re.compile(
    r"[a-z_]+(?:\.[a-z0-9_*]+)+|\[\[?[a-z_.]+\]\]?|, _[a-z]+|plus_minus|[a-z_]+ ="
    r" |\{[^}]*\}|--[a-z-]+|\"[^\"]*\"|[a-z]+_metric under"
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
    pytest.param(("suppose", "spring.rate=180 lbf/in"), marks=pytest.mark.long),
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
            sharing(),
        ):
            main.run()
    finally:
        sys.argv = before
    return out.getvalue() + err.getvalue()


@cache
def metric_text() -> str:
    """The demo as a shop in millimeters types it: the same readings in mm, metric bolts."""
    table = tomllib.loads(DEMO.read_text(encoding="utf-8"))
    return "".join(f"{k} = {_toml(v, k)}\n" for k, v in _flat(table))


def _flat(table: dict[str, Any]) -> list[tuple[str, Any]]:
    """Two levels as dotted keys, so that the rest can stand inline."""
    return [(f"{t}.{k}", v) for t, rows in table.items() for k, v in rows.items()]


def _toml(value: Any, path: str) -> str:
    """A value as TOML, lengths in mm, bolts metric."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{k} = {_toml(v, _at(path, k))}' for k, v in value.items())} }}"
    if isinstance(value, list):
        rows = [
            _toml(v, f"{path}.{i}" if isinstance(v, dict) else path) for i, v in enumerate(value, 1)
        ]
        return f"[{', '.join(rows)}]"
    if path == "units.length":
        return '"mm"'
    f = FIELDS.get(pattern(path))
    if f is not None and f.kind == "length":
        return f"{units.parse(value, 'length', 'in'):.9g}"
    if path != "frame.bolt_class" and value == "grade 8":
        return '"class 8.8"'
    return json.dumps(BOLTS.get(value, value) if isinstance(value, str) else value)


def _at(path: str, word: str) -> str:
    """Where a word of an inline table leads: sides and the parts of a reading stay at the field."""
    return (
        path
        if word in {"left", "right", "both", "value", "plus_minus", "again"}
        else f"{path}.{word}"
    )


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
@pytest.mark.parametrize("which", once(["inch", "mm"]))
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
def test_a_shop_in_inches_reads_no_millimeter(
    jobs: dict[str, Path], words: tuple[str, ...]
) -> None:
    lines = [TYPED.sub("", x) for x in _ran(jobs["inch"], words).splitlines()]
    assert [x for x in lines if MILLI.search(x)] == []


TYPED = re.compile(
    r"\[pin\.\w+\] \w+ = \"[^\"]*\"|\b4130 N\b|"
    r"typed .*?(?=;|, read|, ±)|\[[^\]]*\]"
)
"""What stands or is to stand in the job file, a steel that is normalized, and sources."""


@pytest.mark.parametrize("which", once(["inch", "mm"]))
def test_correct(jobs: dict[str, Path], which: str) -> None:
    """The set-down file and what is said of a truck that stands low, in one reader's units."""
    said("correct", str(jobs[which]), "--blank")
    path = jobs[which].with_name("job.down.toml")
    text = re.sub(
        r'" = ""   # (.*?); needed ([-\d./ ]+ (?:mm|in|deg))',
        r'" = "\2"   # \1; needed \2',
        path.read_text(),
    )
    low = {"inch": "24 3/4 in", "mm": "630 mm"}[which]
    path.write_text(re.sub(r'("height.left" = ")[^"]*', rf"\g<1>{low}", text))
    got = said("correct", str(jobs[which]))
    assert "NOT TO BE WELDED YET" in got and "Do this, in this order" in got
    assert bad(got) == []
    other = INCH if which == "mm" else MILLI
    assert [x for x in (got + text).splitlines() if other.search(re.sub(r'"[^"]*"', "", x))] == []


def test_both_readers_get_the_same_answer(jobs: dict[str, Path]) -> None:
    """The lengths of one job typed in inches and in mm agree after conversion."""
    rows = [
        {
            r["key"]: r
            for r in json.JSONDecoder().raw_decode(said("solve", str(jobs[w]), "--json"))[0][
                "setout"
            ]
        }
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
    names = [c.name or c.callback.__name__ for c in main.app.registered_commands]
    for name in names:
        text = said(name, "--help")
        assert "Usage" in text or "usage" in text, name
        assert bad(text) == [], name


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("frame.wheelbase", '"400 ft"'),
        ("frame.section", '"round"'),
        ("frame.rake", "{ both = 80 }"),
        ("frame.heat_treated", '"perhaps"'),
        ("spring.wire", "-3"),
    ],
)
def test_faults(tmp_path: Path, field: str, typed: str) -> None:
    """A bad reading is told in the reader's units and words, whichever they are."""
    flat = {k: _toml(v, k) for k, v in _flat(tomllib.loads(DEMO.read_text(encoding="utf-8")))}
    assert field in flat
    for length, other in (("in", MILLI), ("mm", INCH)):
        rows = flat | {field: typed}
        if length == "in":
            rows |= {"units.length": '"in"'}
        job = tmp_path / f"{length}.toml"
        job.write_text("".join(f"{k} = {v}\n" for k, v in rows.items()))
        lines = [x for x in said("solve", str(job)).splitlines() if x.startswith(f"{field}")]
        assert lines and all("allowed:" in x for x in lines)
        assert bad("\n".join(lines)) == []
        assert not other.search(re.sub(r"typed ('[^']*'|\"[^\"]*\")", "", lines[0])), lines
        assert reader.metric() == (length == "mm")


def test_rack_and_settings() -> None:
    for table in ("plates", "tubes", "loads", "settings"):
        assert bad(said("rack", table)) == [], table


def test_readme() -> None:
    """The page people read first; what stands in backticks is typed or a file's name."""
    root = Path(__file__).parents[2]
    text = re.sub(r"`[^`]*`", "", (root / "README.md").read_text(encoding="utf-8"))
    assert [x for x in text.splitlines() if WORDS.search(x) or "memory" in x.split()] == []


def test_shop_and_job_choose_the_reader(jobs: dict[str, Path], tmp_path: Path) -> None:
    """The shop's own unit goes before the job's; without it the job's is read."""
    alone = tmp_path / "alone.toml"
    alone.write_text(jobs["mm"].read_text())
    said("solve", str(alone))
    assert reader.metric()
    (tmp_path / "shop.toml").write_text('[units]\nlength = "in"\n')
    said("solve", str(alone))
    assert not reader.metric()


def test_a_part_is_typed_as_it_is_printed() -> None:
    assert names.code("CS1 left") == names.code("CS1.L") == "CS1.L"
    assert names.part(names.code("CS1 left")) == "CS1 left"
