"""Files named by hand: none that somebody wrote is written over, and a wrong one is told."""

from __future__ import annotations

import csv
import io
import subprocess
import sys
from pathlib import Path

import pytest
from shared import shared
from typed import CODE, DEMO, run

DEEP = 5000
"""Brackets within brackets at which the reader of TOML gives up."""


@pytest.mark.parametrize("option", ["--sheet", "--schema", "--form"])
def test_nothing_is_written_over_a_job_file(tmp_path: Path, option: str) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    said = run("readings", str(job), option, str(job), code=2)
    assert f"{option}; typed 'd.toml'; allowed: a name that ends in ." in said
    assert job.read_bytes() == DEMO.read_bytes()


@pytest.mark.parametrize(
    "typed", [("compare", "T1:A", "T1:B", "--picture"), ("export", "T1"), ("export", "--read-only")]
)
def test_nor_by_a_command_of_the_archive(tmp_path: Path, typed: tuple[str, ...]) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    words = (
        ("export", "T1", str(job), typed[1]) if typed[-1] == "--read-only" else (*typed, str(job))
    )
    assert "typed 'd.toml'; allowed: a name that ends in ." in run(*words, code=2)
    assert job.read_bytes() == DEMO.read_bytes()


def test_a_sheet_that_was_filled_in_is_not_written_over(tmp_path: Path) -> None:
    sheet = tmp_path / "s.csv"
    run("readings", str(DEMO), "--sheet", str(sheet))
    run("readings", str(DEMO), "--sheet", str(sheet))  # nothing in it that would be lost
    rows = list(csv.DictReader(io.StringIO(sheet.read_text(encoding="utf-8-sig"))))
    rows[0]["value"] = "0.75"
    with sheet.open("w", newline="", encoding="utf-8-sig") as f:
        w = csv.DictWriter(f, list(rows[0]))
        w.writeheader()
        w.writerows(rows)
    filled = sheet.read_bytes()
    assert "take it in with --take, or name another" in run(
        "readings", str(DEMO), "--sheet", str(sheet), code=7
    )
    assert sheet.read_bytes() == filled


@pytest.mark.parametrize("command", ["solve", "readings", "check", "build"])
def test_a_folder_for_a_job_is_told_as_that(tmp_path: Path, command: str) -> None:
    assert f"{tmp_path}; allowed: a job file; this is a folder" in run(
        command, str(tmp_path), code=3
    )


def test_a_folder_where_a_file_is_to_go_is_told_as_that(tmp_path: Path) -> None:
    (tmp_path / "s.pdf").mkdir()
    said = run("readings", str(DEMO), "--sheet", str(tmp_path / "s.pdf"), code=7)
    assert "s.pdf: is a directory; allowed: a file; move that folder away" in said


def test_no_name_at_all_is_like_no_released_truck() -> None:
    assert "like no released truck" in run("survey", "", code=2)


@pytest.mark.parametrize(("opened", "closed"), [("[", "]"), ("{a=", "}")])
@pytest.mark.parametrize("of", ["job", "shop", "set-down", "variants"])
def test_brackets_without_end_are_a_fault_of_the_file(
    tmp_path: Path, opened: str, closed: str, of: str
) -> None:
    job, deep = tmp_path / "d.toml", tmp_path / "deep.toml"
    job.write_bytes(DEMO.read_bytes())
    head = "[[variant]]\n" if of == "variants" else ""
    deep.write_text(f"{head}a = {opened * DEEP}1{closed * DEEP}\n", encoding="utf-8")
    words = {
        "job": ("solve", str(deep)),
        "shop": ("check", str(job), "--shop", str(deep)),
        "set-down": ("correct", str(job), str(deep)),
        "variants": ("build", str(deep)),
    }[of]
    assert "brackets in brackets without end" in run(*words, code=3)


@pytest.mark.skipif(sys.platform == "win32", reason="a shell's way to close a stream")
def test_a_closed_error_stream_is_no_fault() -> None:
    done = subprocess.run(
        ["sh", "-c", '"$@" 2>&-', "sh", sys.executable, "-c", CODE, "solve", str(DEMO)],
        capture_output=True,
        check=False,
        env=shared(),
    )
    assert done.returncode == 0 and b"Everything that was read" in done.stdout
