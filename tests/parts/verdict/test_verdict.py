"""One verdict: everything has exactly one finding, every reader shows the same, and what is not
cut, released or signed follows from it.

What is held here is the tool against itself (no source outside gives a verdict); the numbers behind
it are held against published values elsewhere.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from designs import designed_of, looked_at
from soapstone.cli.archive.acceptance import refusals
from soapstone.cli.building.design import Designed
from soapstone.cli.building.verdict import Looked
from soapstone.layout.faults import Exit
from soapstone.layout.job.load import Job
from soapstone.layout.job_file import load
from soapstone.layout.setout import solve
from soapstone.layout.setout.diagnosis import Diagnosis
from soapstone.parts.model.numbering import numbered_bolts
from soapstone.parts.model.terms import Level, Role
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.pieces._conflicts import AXLE_TURNED
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.roles import does
from soapstone.parts.truck.truck import families
from soapstone.parts.verdict import judging
from soapstone.parts.verdict.assumptions import assumptions
from soapstone.parts.verdict.findings import EXITS, Finding, Judged
from soapstone.parts.words.names import ranges, sentence
from soapstone.parts.words.readings import in_words
from trucks import DATA, NAMES

DEMO = (DATA / "demo.toml").read_text()
NO_RATE = DEMO.replace("\nrate = 225\n", "\n")
CONFLICT = DEMO.replace(
    'output = { x = "-47 1/2", y = "10 3/8"', 'output = { x = "-47 1/2", y = "2"'
)


@cache
def seen(text: str) -> tuple[Job, Designed, Looked]:
    """A job's text, designed and looked at."""
    import tempfile

    with tempfile.TemporaryDirectory() as tmp:
        path = Path(tmp) / "T.toml"
        path.write_text(text)
        job = load(path)
    made = designed_of(job)
    return job, made, looked_at(made)


def judged(text: str = DEMO) -> Judged:
    return seen(text)[2].judged


@pytest.mark.parametrize("name", NAMES)
def test_everything_has_exactly_one_finding(name: str) -> None:
    text = (DATA / f"{name}.toml").read_text()
    job, h, looked = seen(text)
    found = Counter((f.kind, f.id) for f in looked.judged.findings)
    assert set(found.values()) == {1}
    ids = {k: {i for kind, i in found if kind == k} for k in ("part", "pair", "weld", "bolt")}
    assert ids["part"] == {p.id for p in h.truck.singles}
    assert ids["weld"] == {w.id for w in h.truck.assembly.welds}
    assert ids["bolt"] == {b.id for b in numbered_bolts(h.truck.assembly).values()}
    assert len(ids["pair"]) == len(looked.cycle.gaps)
    assert {("reading", str(k)) for k in job.readings} <= set(found)
    assert sum(sum(n.values()) for n in looked.judged.counts.values()) == len(found)
    assert looked.judged.exit_code == Exit.DONE, "nothing of the invented trucks fails"
    worst = [f.verdict.rank for f in looked.judged.findings]
    assert worst == sorted(worst)
    assert all(
        f.reason
        for f in looked.judged.findings
        if f.verdict is not Verdict.OK and f.kind != "truck"
    )


@pytest.mark.parametrize("name", NAMES)
def test_a_row_that_is_not_ok_is_in_the_finding_of_what_it_is_about(name: str) -> None:
    """Every row of sizes and loads past ok, every tight gap, comes back in some finding at least as
    bad.
    """
    _, h, looked = seen((DATA / f"{name}.toml").read_text())
    for c in (*h.truck.checks, *h.strength.checks):
        if c.verdict is not Verdict.OK:
            hit = [
                f
                for f in looked.judged.findings
                if (c.what in f.reason or sentence(c.what) in f.reason)
                and f.verdict is not Verdict.ASSUMED
            ]
            assert hit and all(f.verdict.rank <= c.verdict.rank for f in hit), c
    for g in looked.cycle.gaps:
        assert looked.judged.of(f"{g.one} {g.two}", "pair").verdict is g.verdict


def test_without_a_coil_rate_every_part_that_carries_load_waits() -> None:
    """No load case has touched them: exit 4, nothing but the drill templates and the plates whose
    outline does not hang on the loads is for cutting, and these say not to drill; none fails.
    """
    _, h, looked = seen(NO_RATE)
    j = looked.judged
    assert j.exit_code == Exit.READINGS_OWED and "spring.rate" in j.headline
    for p in h.truck.singles:
        (may, why), first = j.cut(p.id), does(Role.FIRST_CUT, p.id, p.member.family)
        assert may == (p.member.fixed_after == "tool" or first), p.id
        assert may or "spring.rate" in why
        assert not first or "before the loads are known" in str(j.of(p.id, "part"))
    assert not [f for f in j.findings if f.verdict.refused]
    assert any("loads are known" in f.allowed for f in refusals(j, Level.TACK))


@pytest.mark.long
def test_a_conflict_never_hides_what_fails() -> None:
    """Both are told, the conflict decides the code, and what it is about is not for cutting."""
    text = CONFLICT + '\n[pin.arms]\ntube = "2.000 x 0.250 DOM 1020"\n'
    text = text.replace(
        '\ntube_od = "2 1/2"\ntube_wall = "1/2"', '\ntube_od = "2"\ntube_wall = "1/4"'
    )
    assert 'tube_od = "2"' in text
    _, h, looked = seen(text)
    j = looked.judged
    assert j.exit_code == Exit.NO_SOLUTION
    kinds = {f.verdict for f in j.findings}
    assert {Verdict.CONFLICTS, Verdict.FAILS} <= kinds
    said = " ".join(j.lines(10**6))
    assert "radius-arm tube AR1 " in said and "pinion" in said
    barred = {
        f.id
        for f in j.findings
        if f.kind == "part"
        and f.verdict is Verdict.CONFLICTS
        and not f.reason.startswith("the same plate as")
    }
    about = {name for name, family in families() if AXLE_TURNED[0] in family.about}
    assert barred and {h.truck.made_by[i] for i in barred} <= about


def test_every_conflict_says_which_parts_it_is_about() -> None:
    """Each code of a conflict in the layout's diagnoses has families that exist, or falls back on
    what reads it.
    """
    folder = Path(str(files("soapstone.layout.setout")))
    text = "".join(p.read_text() for p in folder.glob("diagnoses*.py"))
    codes = set(re.findall(r'Diagnosis\(\s*(?:"(\w+)"(?: if .+? else "\w+")?),\s*"conflict"', text))
    assert len(codes) > 10
    about = {c.partition(":")[0] for _, family in families() for c in family.about}
    assert codes - about <= {"givens_conflict", "no_solution"}, codes - about
    assert all(f'"{code}"' in text for code in about)


def test_a_joint_that_does_not_fit_between_the_rails_keeps_its_bracket_uncut() -> None:
    job, h, _ = seen(DEMO)
    from soapstone.layout.quantities import Key

    d = Diagnosis("joint_outside", "conflict", "x", "", (Key("arm.joint.y", "L"),), -1.0)
    about = judging._about(d, h.truck, solve(job))
    assert "AB1.L" in about and "AB1.R" not in about
    other = Diagnosis("new_code", "conflict", "x", "", (Key("arm.joint.y", "L"),), -1.0)
    assert "AB1.L" in judging._about(other, h.truck, solve(job)), "what reads it"


def _inside(text: str) -> str:
    """The obstacle of the demo moved into the way of the axle."""
    return text.replace('z = "30 3/4" }', "z = 27 }")


@pytest.mark.long
def test_what_touches_ends_six_and_is_released_for_nothing() -> None:
    _, h, looked = seen(_inside(DEMO))
    j = looked.judged
    pairs = [f for f in j.findings if f.kind == "pair" and f.verdict is Verdict.TOUCHES]
    assert pairs and j.exit_code == Exit.CHECK_FAILS and "touch" in j.headline
    assert all(refusals(j, level) for level in list(Level)[1:])
    made = {p.id for p in h.truck.singles}
    for f in pairs:
        for code in set(f.id.split()) & made:
            assert not j.cut(code)[0], "what was made here and touches is not for cutting"
    assert not {f for f in j.to_sign() if f.verdict.refused}, "nobody signs for it"


def test_made_parts_that_touch_are_not_for_cutting() -> None:
    """A gap of the demo set below zero: both made parts are barred, what was not made is only
    named.
    """
    from soapstone.parts.verdict.judging import LookedAt, judge

    job, h, looked = seen(DEMO)
    gap = next(g for g in looked.cycle.gaps if g.one == "drag_link" and g.two == "TB4.R")
    s = LookedAt((gap._replace(gap=-15.0),))
    j = judge(job, solve(job), h.truck, h.strength, s)
    assert j.exit_code == Exit.CHECK_FAILS
    assert (
        not j.cut("TB4.R")[0]
        and "drag link" in j.cut("TB4.R")[1]
        and "0.59 in" in j.cut("TB4.R")[1]
    )


def test_a_part_that_stands_on_one_that_fails_waits_for_it() -> None:
    text = DEMO + '\n[pin.coil_seat]\nplate = "11 ga A36"\n'
    _, _h, looked = seen(text)
    j = looked.judged
    assert {"CS.L", "CS.R"} == {
        f.id for f in j.findings if f.kind == "part" and f.verdict is Verdict.FAILS
    }
    for code in ("CM.L", "BP.R", "ST.L"):
        f = j.of(code)
        assert f.verdict is Verdict.WAITS and "plate CS " in f.reason and "FAIL" not in f.reason
    assert j.exit_code == Exit.CHECK_FAILS and "99.00" not in " ".join(j.lines(10**6))


def test_words_of_the_verdict() -> None:
    rows = [
        Finding("part", "A1.L", "plate", Verdict.FAILS, "too thin"),
        Finding("part", "A2.L", "plate", Verdict.CONFIRM, "0.9"),
        Finding("weld", "w", "W1, a to b", Verdict.OK),
    ]
    j = Judged(rows)
    assert j.headline == "1 part fails; 1 to confirm." and j.exit_code == Exit.CHECK_FAILS
    assert j.barred() == {"A1.L": "fails: too thin"} and [f.id for f in j.to_sign()] == ["A2.L"]
    with pytest.raises(ValueError, match="two findings"):
        Judged([rows[0], rows[0]])
    order = [v.value for v in Verdict]
    assert order == [
        "conflicts",
        "fails",
        "touches",
        "waits",
        "not looked at",
        "tight",
        "confirm",
        "assumed",
        "ok",
    ]
    assert [EXITS.get(v, Exit.DONE) for v in Verdict] == [5, 6, 6, 4, 0, 0, 0, 0, 0]
    assert ranges(["W2", "W1", "W3", "W7"]) == ["W1-W3", "W7"] and ranges([]) == []
    assert len(j.lines(1)) == 1 and "more" in j.lines(1)[0]


def test_nothing_else_derives_a_verdict() -> None:
    """The old words are gone from the tree; only the judge asks what failed."""
    root = Path(str(files("soapstone.parts"))).parent
    allowed = {"verdict.py", "judging.py", "truck.py", "nearest_size.py", "strength.py", "apart.py"}
    for p in [*root.glob("cli/**/*.py"), *root.glob("parts/**/*.py")]:
        text = p.read_text()
        assert not re.search(r'"(HITS|TIGHT|FAILS)"', text), p.name
        if p.name not in allowed:
            assert not re.search(r"truck\.failed|\bt\.failed|strength\.fails|\.barred\(p", text), (
                p.name
            )


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Any]:
    from typed import soapstone

    out = tmp_path_factory.mktemp("verdict")
    (out / "T.toml").write_text(NO_RATE)
    return out / "o/DEMO1/draft", soapstone("build", str(out / "T.toml"), "--out", str(out / "o"))


def test_every_reader_shows_the_same(built: tuple[Path, Any], tmp_path: Path) -> None:
    """Page, screen, manifest, verdict.json, travel.json, check --json, sheets and the folder of cut
    files of one job.
    """
    import html

    from typed import soapstone, words_of

    draft, got = built
    job, _, looked = seen(NO_RATE)
    j, solved = looked.judged, solve(job)
    assert got.returncode == int(j.exit_code) == 4 and got.stderr.startswith(j.headline)
    page = (draft / "index.html").read_text()
    told = html.escape(in_words(j.headline, solved))
    assert re.search(rf'<p class="bad" id="verdict">{re.escape(told)}</p>', page)
    manifest = json.loads((draft / "manifest.json").read_text())
    whole = json.loads((draft / "verdict.json").read_text())
    travel = json.loads((draft / "travel.json").read_text())
    path = tmp_path / "T.toml"
    path.write_text(NO_RATE)
    checked = soapstone("check", str(path), "--json")
    cycled = soapstone("cycle", str(path))
    said = json.loads(checked.stdout)
    assert {manifest["headline"], whole["headline"], travel["headline"], said["headline"]} == {
        j.headline
    }
    assert {manifest["verdict"], whole["verdict"], travel["verdict"], said["verdict"]} == {
        j.worst.value
    }
    assert {checked.returncode, cycled.returncode, manifest["exit"], whole["exit"]} == {4}
    assert said["findings"] == whole["findings"] and j.headline in cycled.stderr
    for row in manifest["parts"]:
        f = j.of(row["part"])
        assert (row["verdict"], row["reason"], row["for_cutting"]) == (
            f.verdict.value,
            f.reason,
            j.cut(f.id)[0],
        )
        assert html.escape(in_words(f.reason, solved)) in page
    cut = {f["part"] for f in manifest["files"] if f["kind"] == "cut"}
    assert cut == {r["part"] for r in manifest["parts"] if r["for_cutting"] and r["t_nominal_mm"]}
    families = {r["part"]: r["family"] for r in manifest["parts"]}
    assert cut and all(does(Role.FIRST_CUT, c, families[c]) for c in cut)
    for name in ("owed", "decisions"):
        text = " ".join(words_of(draft / f"sheet/{name}.pdf"))
        assert j.headline.split(";")[0] in " ".join(text.split()), name
    rows = json.loads((draft / "checks.json").read_text())
    assert {r["verdict"] for r in rows} <= {v.value for v in Verdict}


def test_when_a_weld_is_laid_for_good_is_said_once(built: tuple[Path, Any]) -> None:
    """The page, the traveler and the weld schedule carry the same sentence; the schedule says it of
    each weld.
    """
    import html

    from soapstone.parts.documents.levels import LAID, laid
    from typed import words_of

    draft, _ = built
    assert html.escape(LAID) in (draft / "index.html").read_text()
    for name in ("traveler", "welds"):
        text = "".join(words_of(draft / f"sheet/{name}.pdf"))
        assert "".join(LAID.split()) in "".join(text.split()), name
    assert laid(("plates in", "existing"), "frame") == "frame"
    assert laid(("plates in", "set-down"), "frame") == "after set-down"


def test_a_headline_stays_one_sentence_however_much_waits() -> None:
    """A blank job owes two hundred readings: the headline names a few of them, and what one thing
    waits for stands in it once.
    """
    keys = [f"frame.reading_{i}" for i in range(60)]
    rows = [
        Finding("truck", "strength", "strength", Verdict.WAITS, f"waits for {', '.join(keys)}"),
        Finding("truck", "a", "travel, coils", Verdict.WAITS, f"waits for {', '.join(keys[:9])}"),
        Finding(
            "truck", "b", "travel, linkage", Verdict.WAITS, f"waits for {', '.join(keys[4:9])}"
        ),
        Finding("truck", "c", "loads", Verdict.WAITS, f"waits for {keys[0]}"),
        Finding("truck", "d", "drawings", Verdict.WAITS, f"waits for {keys[0]}"),
    ]
    said = Judged(rows).headline
    assert len(said) < 300 and said.count("ravel waits") == 1
    assert (
        "strength waits for frame.reading_0, frame.reading_1, frame.reading_2 and 57 more" in said
    )
    assert "and 6 more" in said and "loads and drawings wait for frame.reading_0" in said


def test_what_is_assumed_is_counted_by_what_it_is_and_alike_everywhere() -> None:
    """Readings at the tool's own value: one count on every screen; what else is assumed and the
    parts that rest on it are counted apart.
    """
    text = re.sub(r"(?m)^(max_error|bind_margin) = .*$", "", DEMO)
    job, _, looked = seen(text)
    solved = solve(job)
    known = looked.judged.counts[Verdict.ASSUMED]
    assert known["reading"] == 2 == sum(r.assumed for r in job.readings.values())
    for early in (judging.judge_readings(job), judging.judge_layout(job, solved)):
        assert early.counts[Verdict.ASSUMED] == {"reading": 2}
        assert "2 readings assumed" in early.headline
    said = looked.judged.headline
    assert f"2 readings assumed; {known['truck']} other things assumed" in said
    assert f"{known['part']} parts rest on what is assumed" in said
    lines = assumptions(job, solved, None, None, default_shop())
    others = [row for row in lines if row.instead not in map(str, job.readings)]
    assert len(lines) - len(others) == 2, "each reading is one line"
    reason = looked.judged.of("track_bar.max_error", "reading").reason
    assert "nobody measured it; taken as 1.5 deg; moves" in reason
