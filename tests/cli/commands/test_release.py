"""A release, whole: letters, kept cut files, refusals."""

from __future__ import annotations

import json
from pathlib import Path

from soapstone.cli import disk
from typed import DEMO, run


def test_release_whole_way(tmp_path: Path, quick: None) -> None:
    job, out, store = tmp_path / "d.toml", str(tmp_path / "o"), str(tmp_path / "archive")
    job.write_bytes(DEMO.read_bytes())
    early = run("release", str(job), "--out", out, code=6)
    assert all(w in early for w in ("--note", "--by", "run build first")), early
    run("build", str(job), "--out", out)
    said = run("release", str(job), "--out", out, "--note", "first set", "--by", "the owner")
    assert "revision A" in said
    assert ("others who use this computer" in said) is disk.seen_by_others(Path(store))
    assert "nothing changed" in run(
        "release", str(job), "--out", out, "--note", "again", "--by", "the owner", code=6
    )
    draft = json.loads((tmp_path / "o/DEMO1/draft/manifest.json").read_text())
    released = json.loads((tmp_path / "o/DEMO1/A/manifest.json").read_text())
    assert {p["part"]: p["fingerprint"] for p in draft["parts"]} == {
        p["part"]: p["fingerprint"] for p in released["parts"]
    }
    assert {p["revision"] for p in released["parts"]} == {"A"} and all(
        "-A-" in f["path"] for f in released["files"] if f["kind"] == "cut"
    )
    asked = job.read_text()
    job.write_text(asked.replace("caster_low = 4.0", "caster_low = 4.5"))
    assert "build again" in run(
        "release", str(job), "--out", out, "--note", "moved", "--by", "the owner", code=6
    ), "no part is another, and yet the draft that was looked at is of another job"
    job.write_text(asked.replace("rate = 225", "rate = 224"))
    assert "build again" in run(
        "release", str(job), "--out", out, "--note", "moved", "--by", "the owner", code=6
    )
    run("build", str(job), "--out", out)
    softer = ("--note", "softer springs on hand", "--by", "the owner", "--date", "2026-02-02")
    back = run("release", str(job), "--out", out, *softer[:-1], "2026-01-14", code=2)
    assert "2026-01-15 or later; A was" in back
    assert "others who use" not in run("release", str(job), "--out", out, *softer), "said once"
    listed = run("revisions", "--archive", store)
    assert [line.split()[1] for line in listed.splitlines()] == [
        "A",
        "B",
    ] and "softer springs" in listed
    record = json.loads((tmp_path / "archive/DEMO1/B.json").read_text())
    letters = {p["part"]: p["revision"] for p in record["parts"]}
    assert "CM4.L" in record["moved"] and letters["CM4.L"] == letters["CS1.L"] == "A", (
        "the seat moved up: another place, the same cut file"
    )
    assert record["changed"] and {letters[p] for p in record["changed"]} == {"B"}
    first = {
        f["path"]: f["sha256"]
        for f in json.loads((tmp_path / "archive/DEMO1/A.json").read_text())["files"]
    }
    now = {f["path"]: f["sha256"] for f in record["files"] if f["path"].startswith("cut/")}
    kept = {p: h for p, h in now.items() if "-A-" in p}
    assert kept and all(first[p] == h for p, h in kept.items()), "a kept letter is a kept cut file"
    assert "as it was stored" in run("verify", "--archive", store, "--out", out)
    copy = next((tmp_path / "o/DEMO1/A/cut").rglob("*.dxf"))
    copy.write_bytes(copy.read_bytes() + b" ")
    assert copy.name in run("verify", "--archive", store, "--out", out, code=8)
    victim = next(p for p in (tmp_path / "archive/contents").rglob("*") if p.is_file())
    victim.write_bytes(victim.read_bytes() + b" ")
    assert "copy of the archive" in run("verify", "--archive", store, code=8)
