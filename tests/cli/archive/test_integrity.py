"""Damage anywhere in the archive is found and named."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from archives import EVENT, add
from soapstone.cli.archive.integrity import check, made_anew
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import SoapstoneError


def test_any_flipped_byte_is_found_and_its_file_named(tmp_path: Path) -> None:
    """A bit of any byte, three hundred times: verify never says all is well, and names the
    revision.
    """
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    store.happened("T", "A", EVENT)
    files = [p for p in tmp_path.rglob("*") if p.is_file()]
    rng = random.Random(5)
    for _ in range(300):
        path = rng.choice(files)
        data = path.read_bytes()
        at = rng.randrange(len(data))
        path.write_bytes(data[:at] + bytes([data[at] ^ 1 << rng.randrange(8)]) + data[at + 1 :])
        faults = [str(f) for f in check(store, "T")]
        assert faults and any("T " in f for f in faults), path
        path.write_bytes(data)
    assert list(check(store, "T")) == []


def test_a_damaged_content_is_put_right_when_the_same_is_stored_again(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    name = store.store(b"plate")
    store.content_path(name).write_bytes(b"plat")
    assert store.store(b"plate") == name and store.content(name) == b"plate"


def test_names_never_become_paths(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for name in ("../x", "/etc", "a b", "", "x" * 30, "objects", "contents", "objects/..", "."):
        with pytest.raises(SoapstoneError):
            store.names(name)
    assert list(tmp_path.iterdir()) == []


def test_a_half_synced_folder_is_named_not_mended(tmp_path: Path) -> None:
    """A record that has arrived before its contents, and a middle record that has not arrived."""
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    gone = store.content_path(store.records("T")[1].data["files"][0]["sha256"])
    kept = gone.read_bytes()
    gone.unlink()
    assert [str(f) for f in check(store, "T")] and "missing" in str(next(iter(check(store, "T"))))
    gone.write_bytes(kept)
    (tmp_path / "T" / "B.json").unlink()
    faults = [str(f) for f in check(store, "T")]
    assert len(faults) == 1 and "T B" in faults[0]


@pytest.mark.parametrize("left", [None, b"{"])
def test_a_list_that_was_lost_is_told_and_goes_on_being_told(
    left: bytes | None, tmp_path: Path
) -> None:
    """Without it a changed last event passes every other check."""
    store = Archive(tmp_path)
    add(store, "T", 0)
    store.happened("T", "A", EVENT)
    assert made_anew(store, "T") == ""
    last, event = tmp_path / "T" / "last.json", tmp_path / "T" / "A.1.json"
    if left is None:
        last.unlink()
    else:
        last.write_bytes(left)
    event.write_bytes(event.read_bytes().replace(b"H9", b"H8"))
    (fault,) = check(store, "T")
    assert "T last.json" in fault.field and "cannot be told" in fault.allowed
    add(store, "T", 1)
    assert list(check(store, "T")) == [] and set(store.last("T")) == {"A", "A.1", "B"}
    assert "over A, A.1:" in made_anew(store, "T")
    store.happened("T", "B", EVENT)
    assert "over A, A.1:" in made_anew(store, "T")
