"""A job file started: every field in it, and what can be built of nothing."""

from __future__ import annotations

import json
from pathlib import Path

from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.form import blank_job
from soapstone.layout.job_file import load
from typed import soapstone


def test_new_writes_every_field_and_loads_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "T1.toml"
    path.write_text(blank_job("T1"))
    got = load(path)
    assert got.chassis == "T1" and len(got.owed) > 100
    text = path.read_text()
    assert all(f.sheet_code in text for f in FIELDS.values())
    # every commented line, taken in with the demo's words, is known to the loader
    assert soapstone("new", "T1", "--out", str(path)).returncode == 7 and path.read_text() == text
    bad = soapstone("new", "../T1", cwd=tmp_path)
    assert bad.returncode == 2 and "no spaces, dots or slashes" in bad.stderr


def test_a_job_with_nothing_in_it_yet_still_builds_its_papers(tmp_path: Path) -> None:
    """What is owed, the measuring sheet's stages, an empty manifest; exit code 4; no bug."""
    job = tmp_path / "N1.toml"
    assert soapstone("new", "N1", "--out", str(job)).returncode == 0
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert got.returncode == 4 and "waits for" in got.stderr and "bug" not in got.stderr
    draft = tmp_path / "o/N1/draft"
    assert (
        (draft / "sheet/owed.pdf").is_file()
        and (draft / "index.html").is_file()
        and json.loads((draft / "manifest.json").read_text())["parts"] == []
    )
