"""A shop's own solids, named in the job: read once, refused by name, kept with a release."""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.cli.archive.releasing import inputs_of
from soapstone.cli.building.design import loaded
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.solid_file import SolidFile
from typed import DEMO

ROW = "travel.obstacle.1"


def _job(folder: Path, more: str, name: str = "pan.step") -> Path:
    text = DEMO.read_text()
    line = 'name = "oil pan"'
    assert text.count(line) == 1
    job = folder / "T1.toml"
    job.write_text(text.replace(line, f'{line}\nfile = "{name}"\n{more}'))
    return job


def _pan(folder: Path, by: float = 1.0) -> Path:
    """A block as long, wide and high as the demo's pan was taped, its y forward."""
    import cadquery as cq
    from soapstone.layout.quantities import Key

    readings = loaded(DEMO)[0].readings
    x, y, z = (2 * by * readings[Key(f"{ROW}.half.{axis}", "C")].value for axis in "xyz")
    cq.exporters.export(cq.Workplane().box(y, x, z), str(folder / "pan.step"))
    return folder / "pan.step"


def _faults(job: Path) -> list[str]:
    with pytest.raises(SoapstoneError) as e:
        loaded(job)
    return [str(fault) for fault in e.value.faults]


def test_a_solid_is_read_and_kept_with_the_release(tmp_path: Path) -> None:
    data = _pan(tmp_path).read_bytes()
    job = _job(tmp_path, 'front = "y"\n')
    found, _ = loaded(job)
    assert isinstance(found.solids[ROW], SolidFile) and len(found.solids[ROW].arrays()[1]) == 12
    kept = inputs_of(job, None, found)
    assert kept["input/pan.step"] == data
    again = tmp_path / "again"
    again.mkdir()
    (again / "job.toml").write_bytes(kept["input/job.toml"])
    (again / "pan.step").write_bytes(kept["input/pan.step"])
    assert loaded(again / "job.toml")[0].solids == found.solids


def test_a_file_that_does_not_fit_the_tape_is_named(tmp_path: Path) -> None:
    _pan(tmp_path)
    lying = _faults(_job(tmp_path, ""))
    assert any(f"{ROW}.half.x" in said and "forward and up" in said for said in lying)
    across = _faults(_job(tmp_path, 'front = "y"\nup = "-y"\n'))
    assert len(across) == 1 and f"{ROW}.up" in across[0]
    _pan(tmp_path, 1 / 25.4)
    assert len(_faults(_job(tmp_path, 'front = "y"\n'))) == 3, "inches taken for millimeters"


def test_a_file_that_is_none_is_named(tmp_path: Path) -> None:
    (missing,) = _faults(_job(tmp_path, ""))
    assert f"{ROW}.file" in missing and "pan.step" in missing and "no such file" in missing
    (tmp_path / "pan.step").write_bytes(b"solid pan\nfacet normal 0 0 1")
    (broken,) = _faults(_job(tmp_path, ""))
    assert "no STEP file" in broken
    for name in ("../pan.step", "/etc/passwd", "a\\\\pan.step"):
        (away,) = _faults(_job(tmp_path, "", name))
        assert "without a folder" in away
