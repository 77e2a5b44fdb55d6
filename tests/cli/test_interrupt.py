"""Ctrl-C in the middle of a build."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typed import CODE


@pytest.mark.parametrize("wait", [0.8, 3.0, pytest.param(5.0, marks=pytest.mark.again)])
def test_ctrl_c_in_a_build_changes_nothing(wait: float, tmp_path: Path) -> None:
    out = tmp_path / "o"
    (out / "DEMO1/draft").mkdir(parents=True)
    (out / "DEMO1/draft/manifest.json").write_text('{"files": []}')
    p = subprocess.Popen(
        [sys.executable, "-c", CODE, "demo", "--out", str(out)], stderr=subprocess.PIPE, text=True
    )
    time.sleep(wait)
    os.kill(p.pid, signal.SIGINT)
    _, err = p.communicate(timeout=60)
    assert p.returncode == 130 and "nothing was changed" in err and "Traceback" not in err
    assert [f.name for f in out.rglob("*") if f.is_file()] == ["manifest.json"]
