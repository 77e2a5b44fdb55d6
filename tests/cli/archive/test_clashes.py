"""Two machines on one synced folder: both releases are kept, and the clash is named before anything
follows only one of them. What such programs do is forced here: one file keeps its name, the other
gets one no one knows beforehand (common behavior, no source).
"""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from archives import EVENT, add
from soapstone.cli.archive.clashes import LAST
from soapstone.cli.archive.integrity import check
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError
from typed import run

COPIES = (
    "{} (1).json",
    "{} (LAPTOP's conflicted copy 2026-02-02).json",
    "{}-LAPTOP.json",
    "{}.sync-conflict-20260202-101500-ABCDEFG.json",
    "Kopie von {}.json",
)


def two(tmp_path: Path) -> tuple[Archive, Archive]:
    """The same archive on two machines, released A on both."""
    here = Archive(tmp_path / "here")
    add(here, "T", 0)
    shutil.copytree(here.folder, tmp_path / "there")
    return here, Archive(tmp_path / "there")


def synced(here: Archive, there: Archive, stem: str, copy: str, theirs: bool) -> Path:
    """Both machines' files in one folder: the record of the second under another name, and one of
    the two lists.
    """
    for path in (there.folder / "contents").iterdir():
        shutil.copy(path, here.folder / "contents" / path.name)
    at = here.folder / "T" / copy.format(stem)
    shutil.copy(there.folder / "T" / f"{stem}.json", at)
    if theirs:
        shutil.copy(there.folder / "T" / LAST, here.folder / "T" / LAST)
    return at


def said(store: Archive) -> list[str]:
    return [str(fault) for fault in check(store, "T")]


@pytest.mark.parametrize("theirs", [False, True])
@pytest.mark.parametrize("copy", COPIES)
def test_both_releases_are_kept_and_the_clash_is_named(
    copy: str, theirs: bool, tmp_path: Path
) -> None:
    here, there = two(tmp_path)
    mine = add(here, "T", 1)
    add(there, "T", 2)
    at = synced(here, there, "B", copy, theirs)
    found = next(s for s in said(here) if "two machines" in s)
    assert all(w in found for w in ("T B", "B.json", at.name, "number 1", "number 2")), found
    with pytest.raises(SoapstoneError) as stopped, here.lock("T"):
        add(here, "T", 3)
    assert stopped.value.code is Exit.ARCHIVE_DAMAGED
    assert sorted(p.stem for p in (here.folder / "T").glob("[AB].json")) == ["A", "B"]
    assert "two machines" in run("verify", "--archive", str(here.folder), code=8)
    # what the sentence says is done, and it is whole again
    shutil.move(at, tmp_path / at.name)
    assert ("delete last.json" in found) is theirs
    if theirs:
        (here.folder / "T" / LAST).unlink()
    with here.lock("T"):
        after = add(here, "T", 3)
    assert said(here) == [] and after.letter == "C" and after.data["before"] == mine.sha256


def test_a_clash_of_what_was_entered(tmp_path: Path) -> None:
    here, there = two(tmp_path)
    here.happened("T", "A", EVENT)
    there.happened("T", "A", {**EVENT, "value": "H7"})
    at = synced(here, there, "A.1", "{} (1).json", False)
    (found,) = said(here)
    assert "T A event 1" in found and "enter what it says again" in found
    with pytest.raises(SoapstoneError):
        here.happened("T", "A", EVENT)
    at.unlink()
    here.happened("T", "A", {**EVENT, "value": "H7"})
    assert said(here) == []


def test_the_same_record_twice_is_one(tmp_path: Path) -> None:
    here, _ = two(tmp_path)
    shutil.copy(here.folder / "T/A.json", here.folder / "T/A (1).json")
    (found,) = said(here)
    assert "delete A (1).json" in found


def test_two_machines_that_did_different_things_need_nothing(tmp_path: Path) -> None:
    """One released, the other entered: no name twice, and one of the two lists is short of a row,
    which the next writer adds.
    """
    here, there = two(tmp_path)
    add(here, "T", 1)
    there.happened("T", "A", EVENT)
    shutil.copy(there.folder / "T/A.1.json", here.folder / "T/A.1.json")
    shutil.copy(there.folder / "T" / LAST, here.folder / "T" / "last (1).json")
    assert said(here) == []
    here.happened("T", "B", EVENT)
    assert set(here.last("T")) == {"A", "A.1", "B", "B.1"}


def test_a_folder_that_is_no_chassis_is_named_and_stops_nobody(tmp_path: Path) -> None:
    here, there = two(tmp_path)
    shutil.copytree(there.folder / "T", here.folder / "T (1)")
    assert here.chassis() == ["T"]
    assert "T (1)" in run("verify", "--archive", str(here.folder), code=8)
    assert "as it was stored" in run("verify", "T", "--archive", str(here.folder))
    assert len(run("revisions", "--archive", str(here.folder)).splitlines()) == 1
