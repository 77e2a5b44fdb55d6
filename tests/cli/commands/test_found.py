"""Commands are found by being there, stand in ``--help`` in the order they declare, and answer the
habits of a command line.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib.metadata import version
from pathlib import Path

import pytest
from soapstone.cli import commands, main
from typed import DEMO, run, soapstone

FOLDER = Path(str(commands.__file__)).parent
FILES = sorted(path for path in FOLDER.glob("*.py") if path.stem != "__init__")
README = Path(__file__).parents[3] / "README.md"

TRIED = '''"""count: a command nobody ships."""

from __future__ import annotations

from ..options import JobFile

PLACE = 45


def count(job: JobFile) -> None:
    """Count the letters of a job file's name."""
    print(len(job.name))
'''


def test_a_file_in_the_folder_is_a_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing else is touched; it stands where its place says, between solve and cycle."""
    (tmp_path / "count.py").write_text(TRIED)
    monkeypatch.setattr(commands, "__path__", [*commands.__path__, str(tmp_path)])
    words = [command.word for command in sorted(main.found())]
    assert words.index("solve") < words.index("count") < words.index("cycle")
    act = next(command.act for command in main.found() if command.word == "count")
    assert act(Path("d.toml")) is None


def test_every_command_has_a_place_of_its_own() -> None:
    found = list(main.found())
    assert len({command.place for command in found}) == len(found) == len(FILES)
    assert {command.word for command in found} == {path.stem.rstrip("_") for path in FILES}
    listed = run("--help")
    places = [listed.index(f"\n  {command.word} ") for command in sorted(found)]
    assert places == sorted(places)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_no_command_uses_another(path: Path) -> None:
    used = [
        node.module or ""
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.ImportFrom) and node.level == 1
    ]
    assert used == []


def test_readme_names_every_command() -> None:
    rows = README.read_text().split("| command | what it does |")[1].split("\n\n")[0]
    missing = [c.word for c in main.found() if f"`{c.word}" not in rows]
    assert missing == []


def test_both_words_for_help_and_the_version() -> None:
    assert run("solve", "-h") == run("solve", "--help") != ""
    assert run("--version").split() == ["soapstone", version("soapstone")]


@pytest.mark.parametrize(
    "typed", [("export",), ("enter", "T1"), ("search",), ("nonsense",), ("solve", "--nonsense")]
)
def test_what_is_not_understood_ends_with_the_usage_line(typed: tuple[str, ...]) -> None:
    said = run(*typed, code=2)
    assert said.count("Usage: ") == 1 and "--help says more" in said


def test_the_only_job_file_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Said on the screen, not among what a command prints; the files beside a job file are none."""
    monkeypatch.chdir(tmp_path)
    said = run("solve", code=2)
    assert "there is none in this folder" in said and "soapstone new" in said and "Usage:" in said
    (tmp_path / "T1.toml").write_bytes(DEMO.read_bytes())
    for beside in ("shop.toml", "T1.taped.toml", "T1.down.toml"):
        (tmp_path / beside).write_text("# nothing yet\n")
    (tmp_path / "notes.toml").write_text('[other]\njob = "none"\n')
    (tmp_path / "T1.down.toml").write_text("[job]\n")
    named, taken = (
        soapstone("readings", "T1.toml", cwd=tmp_path),
        soapstone("readings", cwd=tmp_path),
    )
    assert taken.returncode == 0 and taken.stdout == named.stdout
    assert "job file: T1.toml, the only one in this folder" in taken.stderr
    assert "axle.kpi" in run("explain", "axle.kpi") and "axle.kpi" in run(
        "explain", "T1.toml", "axle.kpi"
    )
    (tmp_path / "T2.toml").write_bytes(DEMO.read_bytes())
    assert "there are T1.toml, T2.toml" in run("solve", code=2)
    assert "there are T1.toml, T2.toml" in run("explain", "axle.kpi", code=2)
    assert "say what" in run("explain", "T1.toml", code=2)


def test_what_to_do_next_is_typed_as_it_is_said(tmp_path: Path) -> None:
    """To the error stream, with the job file as it was named, blanks in it too."""
    job = tmp_path / "my truck.toml"
    job.write_bytes(DEMO.read_bytes())
    got = soapstone("solve", str(job))
    assert got.stderr.endswith(f"next: soapstone cycle '{job}'\n") and "next:" not in got.stdout


def test_the_module_runs_as_the_command_does() -> None:
    """A shop whose scripts folder is not on its path types the module."""
    typed = subprocess.run(
        [sys.executable, "-m", "soapstone.cli.main", "--version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert typed.stdout == run("--version")
