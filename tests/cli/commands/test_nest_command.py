"""Nested sheets of several trucks."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typed import DEMO, run


@pytest.mark.long
def test_nests_of_two_trucks_are_written_beside_the_build(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twice every part, on sheets of their own, the places kept; the build's own nest stays to the
    byte. Steel carries the letters once the job is released as it is.
    """
    from collections import Counter

    import ezdxf

    monkeypatch.chdir(tmp_path)
    (tmp_path / "d.toml").write_bytes(DEMO.read_bytes())
    run("build", "d.toml")
    before = {p: p.read_bytes() for p in (tmp_path / "out/DEMO1/draft").rglob("*") if p.is_file()}
    said = run("nest", "d.toml", "--trucks", "2", "--seconds", "0")
    folder = tmp_path / "out/DEMO1/nest-x2"
    assert "nest-x2" in said and {p: p.read_bytes() for p in before} == before
    one, two = (
        sum((Counter(_counts(s["parts"])) for s in json.loads(p.read_text())["sheets"]), Counter())
        for p in (tmp_path / "out/DEMO1/draft/schedule/nest.json", folder / "nest.json")
    )
    assert one and two == Counter({k: 2 * v for k, v in one.items()})
    sheets = json.loads((folder / "nest.json").read_text())["sheets"]
    assert {p.stem for p in folder.glob("*.dxf")} == {s["sheet"] for s in sheets}
    assert all("-x2-" in s["sheet"] and s["remnant_length"] > 0 for s in sheets)
    assert all(ezdxf.readfile(p).modelspace() for p in folder.glob("*.dxf"))
    draft = {p.name: p.read_bytes() for p in folder.glob("*.dxf")}
    run("release", "d.toml", "--note", "first set", "--by", "the owner")
    (folder / "price.txt").write_text("what the cutter asks")
    run("nest", "d.toml", "--trucks", "2", "--seconds", "0")
    assert [file.name for file in (tmp_path / "out/DEMO1/kept").iterdir()] == ["price.txt"]
    lettered = {p.name: p.read_bytes() for p in folder.glob("*.dxf")}
    assert lettered.keys() == draft.keys()
    plate = next(f"{s['sheet']}.dxf" for s in sheets if "CS1 " in s["parts"])
    assert lettered[plate] != draft[plate], "its marks say REV A where the draft's are"


def _counts(words: str) -> dict[str, int]:
    """ "AB1.L x2 AB2.L x4" as numbers."""
    row = words.split()
    return {a: int(b[1:]) for a, b in zip(row[::2], row[1::2], strict=True)}
