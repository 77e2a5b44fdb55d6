"""Records and events: every format ever written is read, a later one is left alone."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from types import SimpleNamespace

import pytest
from archives import add
from soapstone.cli.archive import index, record, transfer
from soapstone.cli.archive.integrity import check
from soapstone.cli.archive.revision_files import of_part
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.mark.parametrize("fmt", range(record.FORMAT + 1))
def test_every_format_ever_written_is_still_read(fmt: int, tmp_path: Path) -> None:
    """A stored sample of each: lists, searches, checks, goes out and in again."""
    root = tmp_path / "archive"
    shutil.copytree(SAMPLES / f"archive_format_{fmt}", root)
    store = Archive(root)
    assert [r.letter for r in store.records("OLD1")] == ["A", "B"] and list(
        check(store, "OLD1")
    ) == []
    assert store.records("OLD1")[1].revisions() == {"CS1.L": "B", "AB1.L": "A"}
    db = index.open_index(store)
    assert [r["letter"] for r in index.listed(db)] == ["A", "B"] and index.search(
        db, ["coil-seat"]
    )[0].letter == "A"
    if fmt:
        assert {r["part"] for r in index.trace(db, "h777")} == {"CS1.L"} and store.events(
            "OLD1", "A"
        )[0].data["value"] == "H777"
    (tmp_path / "x.zip").write_bytes(transfer.packed(store, "OLD1"))
    other = Archive(tmp_path / "other")
    assert transfer.taken_in(other, tmp_path / "x.zip") == ("OLD1", 2)
    assert transfer.packed(other, "OLD1") == (tmp_path / "x.zip").read_bytes()


def test_a_later_format_is_left_alone_and_says_so(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 1)
    path = tmp_path / "T" / "A.json"
    path.write_text(path.read_text().replace(f'"format": {record.FORMAT}', '"format": 99'))
    with pytest.raises(SoapstoneError) as e:
        store.records("T")
    assert e.value.code is Exit.ARCHIVE_DAMAGED and "newer soapstone" in str(e.value.faults[0])


def test_record_is_json_anybody_can_read(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    data = json.loads((tmp_path / "T" / "A.json").read_text())
    assert data["format"] == record.FORMAT and {
        "chassis",
        "letter",
        "note",
        "by",
        "date",
        "parts",
        "files",
        "before",
    } <= set(data)


def test_the_files_of_one_part_are_found_by_any_place_it_goes_to() -> None:
    """Also where its left is cut as another part's and its right is not."""
    rows = [
        {"part": "A1.R", "number": "A1", "places": {"A1.R": "1"}},
        {"part": "B1.L", "number": "B1", "places": {"B1.L": "2", "A1.L": "3"}},
    ]
    stored = SimpleNamespace(data={"parts": rows})
    files = {f"cut/T1-{name}-A.dxf": b"" for name in ("A1", "B1", "C1")}
    asked = {typed: of_part(stored, files, typed) for typed in ("a1", "B1 left")}
    assert [sorted(found) for found in asked.values()] == [
        ["cut/T1-A1-A.dxf", "cut/T1-B1-A.dxf"],
        ["cut/T1-B1-A.dxf"],
    ]
    with pytest.raises(SoapstoneError):
        of_part(stored, files, "C1")
