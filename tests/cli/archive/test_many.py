"""An archive of many years: lists read no record again, and no chassis stands in memory whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from archives import EVENT, add
from soapstone.cli.archive import index
from soapstone.cli.archive.store import Archive
from typed import run

MANY = 60


@pytest.fixture(scope="module")
def years(tmp_path_factory: pytest.TempPathFactory) -> Archive:
    store = Archive(tmp_path_factory.mktemp("years"))
    for number in range(MANY):
        record = add(store, "T", number)
        store.happened("T", record.letter, EVENT)
    return store


def opened(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Every file that is read from now on."""
    real, read = Path.read_bytes, []
    monkeypatch.setattr(Path, "read_bytes", lambda path: read.append(path) or real(path))
    return read


def test_a_list_reads_no_record_once_it_is_known(
    years: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    index.open_index(years).close()
    read = opened(monkeypatch)
    for more in ([], ["--part", "CS1 left"]):
        said = run("revisions", "--archive", str(years.folder), *more)
        assert len(said.splitlines()) == MANY
    assert run("search", "number", "--archive", str(years.folder))
    assert run("trace", "CS1", "--archive", str(years.folder))
    assert not [path for path in read if path.suffix == ".json"]


def test_one_chassis_lists_each_file_once(years: Archive, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its list of hashes, each event, and each record that an event follows."""
    index.open_index(years).close()
    read = opened(monkeypatch)
    assert run("revisions", "T", "--archive", str(years.folder))
    assert len(read) == len(set(read)) == 2 * MANY + 1


def test_one_record_is_held_against_its_list_without_those_before_it(
    years: Archive, monkeypatch: pytest.MonkeyPatch
) -> None:
    last = years.records("T")[-1]
    read = opened(monkeypatch)
    assert years.record("T") == last and len(read) == 2
    assert years.record("T", "A").letter == "A"


def test_without_a_list_every_record_before_is_read(years: Archive, tmp_path: Path) -> None:
    """As earlier versions left an archive."""
    store = Archive(tmp_path)
    for number in range(3):
        add(store, "T", number)
    before = store.record("T", "B")
    (tmp_path / "T" / "last.json").unlink()
    assert store.record("T", "B") == before
