"""A build where there is no stock for all of it."""

from __future__ import annotations

import json
from pathlib import Path

from typed import DEMO, soapstone


def test_no_stock_thick_enough_ends_six_and_writes_the_rest(tmp_path: Path) -> None:
    job = tmp_path / "d.toml"
    job.write_bytes(DEMO.read_bytes())
    (tmp_path / "shop.toml").write_text(
        '[units]\nlength = "in"\n[[plate]]\nkey = "thin"\nthickness = 0.06\nsteel = "A36"\n'
    )
    got = soapstone("build", str(job), "--out", str(tmp_path / "o"))
    assert (
        got.returncode == 6
        and "coil-seat plate CS left, CS right are not for cutting" in got.stderr
        and "Traceback" not in got.stderr
    )
    made = json.loads((tmp_path / "o/DEMO1/draft/manifest.json").read_text())
    assert "AR1.L" in {p["part"] for p in made["parts"]} and not [
        f for f in made["files"] if f["kind"] == "cut"
    ]
