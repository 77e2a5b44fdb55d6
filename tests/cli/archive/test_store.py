"""The archive: letters, part revisions, nothing released ever changes, damage is found."""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from soapstone.cli.archive.integrity import check
from soapstone.cli.archive.letters import letter_of
from soapstone.cli.archive.part_letters import revise
from soapstone.cli.archive.record import Record
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError
from soapstone.parts.truck.likeness import Compared, compare_rows


def parts(**marks: str) -> list[dict[str, Any]]:
    return [{"part": k, "fingerprint": v} for k, v in marks.items()]


def add(
    store: Archive, chassis: str, rows: list[dict[str, Any]], files: dict[str, bytes]
) -> Record:
    records = store.records(chassis)
    letter = letter_of(len(records))
    letters, since = revise(rows, records[-1] if records else None, letter)
    record = {
        "chassis": chassis,
        "letter": letter,
        "before": records[-1].sha256 if records else "",
        "parts": [{**r, "revision": letters[r["part"]]} for r in rows],
        "changed": sorted((*since.shape, *since.come)),
        "gone": list(since.gone),
    }
    return store.add(chassis, record, files)


def test_letters_skip_what_reads_as_something_else() -> None:
    """A first; I, O, Q, S, X, Z left out [US Navy drafting course; ASME Y14.35M by web copy]; AA
    after Y (from memory).
    """
    first = [letter_of(n) for n in range(20)]
    assert first == list("ABCDEFGHJKLMNPRTUVWY")
    assert [letter_of(n) for n in (20, 21, 39, 40)] == ["AA", "AB", "AY", "BA"]


def test_a_part_keeps_the_letter_at_which_it_last_changed(tmp_path: Path) -> None:
    """decisions: chassis C may hold plate A and tab C."""
    store = Archive(tmp_path)
    add(store, "T", parts(plate="1", tab="1", old="1"), {"x": b"1"})
    add(store, "T", parts(plate="1", tab="2", old="1"), {"x": b"2"})
    last = add(store, "T", parts(plate="1", tab="3"), {"x": b"3"})
    assert last.revisions() == {"plate": "A", "tab": "C"}
    assert last.data["changed"] == ["tab"] and last.data["gone"] == ["old"]
    assert [r.letter for r in store.records("T")] == ["A", "B", "C"]


def test_a_letter_is_given_once(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    first = add(store, "T", parts(plate="1"), {"x": b"1"})
    with pytest.raises(SoapstoneError) as e:
        store.add(
            "T",
            {"letter": "A", "before": "", "parts": [], "changed": [], "gone": []},
            {"x": b"other"},
        )
    assert e.value.code is Exit.DISK
    assert store.records("T") == [first]


def test_same_content_is_stored_once(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", parts(plate="1"), {"a": b"same", "b": b"same"})
    assert len([p for p in (tmp_path / "contents").rglob("*") if p.is_file()]) == 1
    assert store.content(store.records("T")[0].data["files"][0]["sha256"]) == b"same"


@pytest.mark.parametrize(
    "what",
    ["content changed", "content missing", "record changed", "record missing", "record cut short"],
)
def test_damage_is_found_and_named(what: str, tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for n in "123":
        add(store, "T", parts(plate=n), {"plate.dxf": n.encode() * 9})
    assert list(check(store, "T")) == []
    record = tmp_path / "T/A.json"
    content = store.content_path(json.loads(record.read_text())["files"][0]["sha256"])
    if what == "content changed":
        content.write_bytes(b"2" + content.read_bytes()[1:])
    elif what == "content missing":
        content.unlink()
    elif what == "record changed":
        record.write_text(record.read_text().replace('"T"', '"U"'))
    elif what == "record missing":
        (tmp_path / "T/B.json").unlink()
    else:
        record.write_bytes(record.read_bytes()[:40])
    faults = [str(f) for f in check(store, "T")]
    assert len(faults) == 1 and faults[0].startswith("T ") and "copy of the archive" in faults[0], (
        faults
    )


def test_a_plate_that_only_sits_elsewhere_keeps_its_letter(tmp_path: Path) -> None:
    """Its cut file is the same file; its place is a change of the assembly.

    Every part of both lists is in exactly one answer.
    """
    old = [{"part": k, "fingerprint": k + "1", "cut": k} for k in "abcde"]
    new = [
        {"part": "a", "fingerprint": "a1", "cut": "a"},
        {"part": "b", "fingerprint": "b2", "cut": "b"},
        {"part": "c", "fingerprint": "c2", "cut": "c2"},
        {"part": "d", "fingerprint": "d2"},
        {"part": "f", "fingerprint": "f", "cut": "f"},
    ]
    found = compare_rows(old, new)
    assert found == Compared(("a",), ("b",), ("c", "d"), ("e",), ("f",)) and found.differs
    assert sorted(k for v in found for k in v) == sorted("abcdef")
    assert not compare_rows(old, old).differs and compare_rows(old, []).gone == tuple("abcde")
    before = compare_rows([{"part": "b", "fingerprint": "b1"}], new[1:2])
    assert before.shape == ("b",), "an earlier format cannot say that the cut file is the same"
    store = Archive(tmp_path)
    add(store, "T", old, {"x": b"1"})
    assert add(store, "T", new, {"x": b"2"}).revisions() == dict(a="A", b="A", c="B", d="B", f="B")


def test_the_last_record_and_the_last_event_cannot_change_unseen(tmp_path: Path) -> None:
    """Nothing after them carries their hash: the chassis' own list does.

    Lost it is made anew, unreadable it is named.
    """
    store = Archive(tmp_path)
    add(store, "T", parts(plate="1"), {"x": b"1"})
    event = {"kind": "note", "what": "", "value": "", "by": "n", "date": "", "note": "number 5"}
    store.happened("T", "A", event)
    for name in ("A.json", "A.1.json"):
        path = tmp_path / "T" / name
        good = path.read_bytes()
        path.write_bytes(good.replace(b"plate", b"blade").replace(b"number 5", b"number 6"))
        assert path.read_bytes() != good
        assert [f for f in check(store, "T") if "T A" in str(f)], name
        with pytest.raises(SoapstoneError) as e:
            store.happened("T", "A", event)
        assert e.value.code is Exit.ARCHIVE_DAMAGED
        path.unlink()
        assert ["copy of the archive" in str(f) for f in check(store, "T")] == [True], name
        path.write_bytes(good)
    last = tmp_path / "T" / "last.json"
    last.write_bytes(b"{")
    assert ["last.json" in str(f) for f in check(store, "T")] == [True]
    last.unlink()
    store.happened("T", "A", event)
    assert list(check(store, "T")) == []
    assert set(store.last("T")) == {"A", "A.1", "A.2"}


def test_contents_are_packed_where_it_helps_and_come_back_to_the_byte(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    text, noise = b"0\nLINE\n8\nCUT\n" * 500, os.urandom(7000)
    names = [store.store(each) for each in (text, noise, b"", text)]
    assert [store.content(name) for name in names] == [text, noise, b"", text]
    files = {path.name: path for path in (tmp_path / "contents").iterdir()}
    assert set(files) == {f"{names[0]}.z", names[1], names[2]}
    assert zlib.decompress(files[f"{names[0]}.z"].read_bytes()) == text
    assert files[f"{names[0]}.z"].stat().st_size < len(text) / 20


@pytest.mark.parametrize(
    "change",
    [
        lambda raw: raw[:-3],
        lambda raw: raw + b"more",
        lambda raw: bytes([raw[0] ^ 8]) + raw[1:],
        lambda raw: raw[:40] + bytes([raw[40] ^ 1]) + raw[41:],
        lambda raw: b"",
        lambda _: zlib.compress(b"another content"),
    ],
)
def test_a_packed_content_that_was_changed_is_found_and_put_right(
    tmp_path: Path, change: Callable[[bytes], bytes]
) -> None:
    store = Archive(tmp_path)
    text = "".join(f"{number} LINE {number**7}\n" for number in range(900)).encode()
    name = store.store(text)
    path = store.content_path(name)
    good = path.read_bytes()
    path.write_bytes(change(good))
    with pytest.raises(SoapstoneError) as told:
        store.content(name)
    assert told.value.code is Exit.ARCHIVE_DAMAGED and "changed" in str(told.value.faults[0])
    assert store.store(text) == name and path.read_bytes() == good
