"""The layout on the screen."""

from __future__ import annotations

from pathlib import Path

from typed import DEMO, soapstone


def test_solve_prints_what_gave_way_and_ends_five_on_a_conflict(tmp_path: Path) -> None:
    job = tmp_path / "j.toml"
    job.write_text(
        DEMO.read_text().replace(
            'output = { x = "-47 1/2", y = "10 3/8"', 'output = { x = "-47 1/2", y = "2"'
        )
    )
    got = soapstone("solve", str(job))
    assert got.returncode == 5 and "conflict: " in got.stdout
    fixed = tmp_path / "f.toml"
    fixed.write_text(DEMO.read_text() + '\n[fixed]\n"arm.tube" = { left = "35" }\n')
    got = soapstone("solve", str(fixed))
    assert "gave way: arms.joint_behind" in got.stdout, got.stdout[-800:] + got.stderr
