"""The commands as a shop types them."""

from __future__ import annotations

import subprocess
import sys
from importlib.resources import files
from pathlib import Path

DEMO = Path(str(files("soapstone.layout.data") / "demo.toml"))


CODE = "from soapstone.cli.main import run; run()"


def soapstone(*args: str, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", CODE, *args], capture_output=True, text=True, check=False, cwd=cwd
    )
