"""Several trucks in one run: which, each whole, side by side."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping
from pathlib import Path

import pytest
from shared import shared
from soapstone.cli.building import catalogue
from soapstone.cli.building.cache import made_with
from soapstone.cli.building.catalogue import TruckBuilt
from soapstone.cli.building.variants import named_in
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.layout.job_file import load
from soapstone.layout.quantities import Key
from typed import run

DEMO = Path(__file__).parents[3] / "layout/data/demo.toml"
FILE = """
job = "T1.toml"
[[variant]]
of = "height"
name = "low"
[[variant]]
of = "height"
name = "high"
set = { "arms.joint_height" = { both = "18 1/4" }, "job.title" = "high" }
[[variant]]
of = "band"
name = "a"
[[variant]]
of = "band"
name = "b"
set = { "arms.joint_height_note" = "x" }
"""


def folder(at: Path, text: str = FILE) -> Path:
    (at / "T1.toml").write_text(DEMO.read_text().replace('"DEMO1"', '"T1"'))
    (at / "V.toml").write_text(text)
    return at / "V.toml"


def test_every_row_of_a_kind_with_every_row_of_the_others(tmp_path: Path) -> None:
    found = named_in(folder(tmp_path))
    names = ["T1-low-a", "T1-low-b", "T1-high-a", "T1-high-b"]
    assert [one.put["job.chassis"] for one in found] == names
    assert named_in(tmp_path / "T1.toml")[0].put == {}


def test_what_is_put_stands_in_the_place_of_the_job_s_own_line(tmp_path: Path) -> None:
    low, high = named_in(folder(tmp_path))[0], named_in(tmp_path / "V.toml")[2]
    one, two = (load(each.job, put=each.put) for each in (low, high))
    key = Key("arms.joint_height", "L")
    assert one.readings[key].value == pytest.approx(17.5 * 25.4)
    assert two.readings[key].value == pytest.approx(18.25 * 25.4)
    assert (one.chassis, two.chassis, two.words["job.title"]) == ("T1-low-a", "T1-high-a", "high")
    assert one.sha256 != two.sha256 != load(tmp_path / "T1.toml").sha256


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (FILE.replace("T1.toml", "T9.toml"), ["job; typed", "a job file beside this one"]),
        (FILE.replace('"low"', '"lo w"'), ["variant 1 name", "letters, digits"]),
        (FILE.replace('"high"\nset', '"low"\nset'), ["variant 2 name", "each once of height"]),
        (FILE.replace('"a"', '"' + "a" * 22 + '"'), ["up to 24", "shorten the names"]),
        (FILE.replace('of = "band"\nname = "b"', 'off = "band"'), ["variant 4", "write it so"]),
        (FILE + "\nspeed = 3", ["variant 4", "write it so"]),
        ("speed = 3\n" + FILE, ["speed; typed '3'", "take it out"]),
        (FILE + "[[variant", ["V.toml", "line"]),
        (
            FILE.replace('"arms.joint_height_note" = "x"', '"job.title" = "b"'),
            ["job.title", "which of the two"],
        ),
        ("variant = 3\n" + 'job = "T1.toml"', ["variant 1", "write it so"]),
    ],
)
def test_a_file_of_variants_that_is_wrong_is_told_whole(
    tmp_path: Path, text: str, said: list[str]
) -> None:
    with pytest.raises(SoapstoneError) as told:
        named_in(folder(tmp_path, text))
    lines = "\n".join(map(str, told.value.faults))
    assert told.value.code == Exit.JOB_FILE
    assert all(words in lines for words in said), lines


def test_a_truck_that_cannot_be_read_stops_none_of_the_rest(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One with a reading out of range, one with no such field: named with what was typed; the rest
    is built, the same to the byte as alone, and the table has every line of it.
    """
    for name, value in shared().items():
        monkeypatch.setenv(name, value)
    text = FILE.replace('"18 1/4"', '"99"')
    rest = text[: text.index('name = "b"')] + 'name = "b"\nset = { "frame.colour" = "x" }\n'
    monkeypatch.chdir(tmp_path)
    folder(tmp_path, rest)
    told = run("build", "V.toml", "--out", "out", "--jobs", "1", code=Exit.JOB_FILE)
    assert "T1-high-a is not built:" in told
    assert "arms.joint_height.left; typed '99'; allowed: 4 in .. 45 in" in told
    assert "T1-low-b is not built:" in told
    assert "frame.colour" in told
    rows = list(csv.DictReader((tmp_path / "out/trucks.csv").open()))
    assert [(row["chassis"], row["code"], row["verdict"]) for row in rows] == [
        ("T1-low-a", "0", "tight")
    ]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == [
        *("T1-low-a", "trucks.csv", "trucks.json"),
    ]
    (tmp_path / "T1.toml").write_text(DEMO.read_text().replace('"DEMO1"', '"T1-low-a"'))
    run("build", "T1.toml", "--out", "alone")
    one, two = (tmp_path / out / "T1-low-a/draft" for out in ("out", "alone"))
    hashes = (json.loads((draft / "manifest.json").read_text())["files"] for draft in (one, two))
    first, second = ({row["path"]: row["sha256"] for row in rows} for rows in hashes)
    fingerprinted = {"sheet/calculations.pdf"}  # it names the job file by its hash
    assert {path for path in first if first[path] != second.get(path)} <= fingerprinted
    assert first.keys() == second.keys()


def answered(parts: Mapping[str, tuple[str, str]], code: int = 0) -> TruckBuilt:
    """A truck of parts: fingerprint and cut of each."""
    rows = [
        {"part": part, "fingerprint": print_, "cut": cut, "mass_kg": 1.0, "quantity": 2}
        for part, (print_, cut) in parts.items()
    ]
    files = {"manifest.json": json.dumps({"parts": rows}).encode()}
    return TruckBuilt(code, "says", files, verdict="ok", made_with=made_with())


def test_the_table_holds_each_against_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = [
        answered({"AB1.L": ("1", "a"), "CS1.L": ("2", "b"), "XT1": ("3", "c")}),
        answered({"AB1.L": ("1", "a"), "CS1.L": ("9", "b"), "XT2": ("4", "d")}, 6),
        None,
        TruckBuilt(Exit.NO_SOLUTION, "no way", made_with=made_with()),
    ]
    order = [1, 3, 0, 2]  # as they happen to come
    monkeypatch.setattr(catalogue, "spread", lambda *_: ((at, answers[at]) for at in order))
    path = folder(tmp_path, FILE.replace('set = { "arms.joint_height_note" = "x" }', ""))
    assert catalogue.catalogue([path], tmp_path / "out", None, 2, "") == Exit.BUG
    rows = {row["chassis"]: row for row in json.loads((tmp_path / "out/trucks.json").read_text())}
    assert list(rows) == ["T1-low-a", "T1-low-b", "T1-high-a", "T1-high-b"]
    second = rows["T1-low-b"]
    words = ("same", "moved", "shape", "gone", "come")
    assert [second[word] for word in words] == ["AB1.L", "CS1.L", "", "XT1", "XT2"]
    assert (second["code"], rows["T1-high-a"]["code"], rows["T1-high-b"]["code"]) == (6, 1, 5)
    printed = capsys.readouterr().out
    assert "1 at another place, 0 of a new shape, 1 more, 1 fewer" in printed
    assert "not built (5): no way" in printed


def test_a_worker_of_another_version_is_not_believed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = answered({})._replace(made_with="another")
    monkeypatch.setattr(catalogue, "over_cluster", lambda *_: iter([(0, other)]))
    path = tmp_path / "T1.toml"
    folder(tmp_path)
    code = catalogue.catalogue([path], tmp_path / "out", None, 2, "tcp://127.0.0.1:1")
    assert code == Exit.COMMAND_LINE
    assert not (tmp_path / "out/T1").exists()


def test_two_trucks_of_one_name_are_refused_before_anything_is_built(tmp_path: Path) -> None:
    folder(tmp_path)
    (tmp_path / "T2.toml").write_text((tmp_path / "T1.toml").read_text())
    with pytest.raises(SoapstoneError, match="two trucks of one name"):
        catalogue.catalogue([tmp_path / "T1.toml", tmp_path / "T2.toml"], tmp_path, None, 2, "")


def test_of_a_truck_that_is_written_only_what_the_table_needs_is_held(tmp_path: Path) -> None:
    made = {"manifest.json": b'{"parts": []}', "sheet/order.pdf": b"x" * 1000}
    kept = catalogue._written(tmp_path, "T1", TruckBuilt(0, "", made))
    assert list(kept.files) == ["manifest.json"]
    draft = tmp_path / "T1" / "draft"
    assert (draft / "sheet/order.pdf").read_bytes() == made["sheet/order.pdf"]
