"""The commands as a shop types them."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from importlib.resources import files
from pathlib import Path

import pytest
from shared import shared

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))
CODE = "from soapstone.cli.main import run; run()"


def soapstone(*args: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """A command in a process of its own; what it needs that another of this run made, it has."""
    return subprocess.run(
        [sys.executable, "-c", CODE, *args],
        capture_output=True,
        text=True,
        check=False,
        cwd=cwd,
        env=shared(),
    )


def run(*args: str, code: int = 0, fresh: bool = False) -> str:
    """A command in this process: what it prints, or its faults. ``fresh``: it takes nothing that
    was made before, as where a test put something in place of a function.
    """
    from soapstone.cli import main

    printed, told = io.StringIO(), io.StringIO()
    with (
        pytest.raises(SystemExit) as e,
        redirect_stdout(printed),
        redirect_stderr(told),
        pytest.MonkeyPatch.context() as patch,
    ):
        patch.setattr(sys, "argv", ["soapstone", *args])
        if not fresh and os.environ.get("SOAPSTONE_CACHE") == "off":
            patch.setenv("SOAPSTONE_CACHE", shared()["SOAPSTONE_CACHE"])
        main.run()
    assert e.value.code == code, printed.getvalue() + told.getvalue()
    return printed.getvalue() + told.getvalue()


def words_of(path: Path) -> list[str]:
    """Text of every page of a PDF."""
    from pdf_text import pages

    return [*pages(path.read_bytes())]
