"""One chassis as a zip: out and in again, and nothing it should not."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path

import pytest
from archives import add
from failing_disk import tree
from soapstone.cli.archive import transfer
from soapstone.cli.archive.store import Archive
from soapstone.layout.faults import Exit, SoapstoneError


def evil(path: Path, change: str, good: bytes) -> None:
    """A zip that is not what export wrote."""
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out,
        zipfile.ZipFile(__import__("io").BytesIO(good)) as z,
    ):
        for i in z.infolist():
            data = z.read(i)
            if change == "content" and i.filename.startswith("contents/"):
                data += b" "
            if change == "record" and i.filename.endswith("A.json"):
                data = data.replace(b"number 0", b"number 5")
            if change == "missing" and i.filename.startswith("contents/"):
                change = "missed"
                continue
            if change == "link" and i.filename.startswith("contents/"):
                i.external_attr = (stat.S_IFLNK | 0o777) << 16
                data = b"/etc/passwd"
            out.writestr(i, data)
        extra = {
            "climb": "../../outside.json",
            "absolute": "/tmp/outside.json",
            "sibling": "T/../../x/A.json",
            "backslash": "T\\..\\A.json",
            "deep": "T/sub/A.json",
            "other": "U/A.json",
            "twice": "T/A.json",
        }
        if change in extra:
            out.writestr(extra[change], b"{}")
        if change == "bomb":
            out.writestr("contents/" + "0" * 64, b"0" * 40_000_000)


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(
    "change",
    [
        "climb",
        "absolute",
        "sibling",
        "backslash",
        "deep",
        "other",
        "twice",
        "bomb",
        "content",
        "record",
        "missing",
        "link",
        "no zip",
    ],
)
def test_import_takes_nothing_it_should_not(change: str, tmp_path: Path) -> None:
    source = Archive(tmp_path / "source")
    for n in range(2):
        add(source, "T", n)
    path = tmp_path / "in" / "t.zip"
    path.parent.mkdir()
    (
        evil(path, change, transfer.packed(source, "T"))
        if change != "no zip"
        else path.write_bytes(b"PK\x03\x04 nothing")
    )
    before = tree(tmp_path)
    store = Archive(tmp_path / "store")
    with pytest.raises(SoapstoneError) as e:
        transfer.taken_in(store, path, 1_000_000)
    assert e.value.code is Exit.COMMAND_LINE and e.value.faults
    assert tree(tmp_path) == before, "nothing was written anywhere"


def test_import_twice_is_one_and_a_fork_is_refused(tmp_path: Path) -> None:
    one, two = Archive(tmp_path / "one"), Archive(tmp_path / "two")
    add(one, "T", 0)
    (tmp_path / "a.zip").write_bytes(transfer.packed(one, "T"))
    assert transfer.taken_in(two, tmp_path / "a.zip") == ("T", 1) and transfer.taken_in(
        two, tmp_path / "a.zip"
    ) == ("T", 0)
    add(one, "T", 1)
    add(two, "T", 2)
    (tmp_path / "b.zip").write_bytes(transfer.packed(one, "T"))
    with pytest.raises(SoapstoneError) as e:
        transfer.taken_in(two, tmp_path / "b.zip")
    assert "differently" in str(e.value.faults[0]) and [
        r.data["note"] for r in two.records("T")
    ] == ["number 0", "number 2"]


def test_a_small_file_never_fills_the_memory(tmp_path: Path) -> None:
    """A plain deflated stream of one byte unpacks to about a thousand times itself (RFC 1951)."""
    path = tmp_path / "T.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for number in range(4):
            out.writestr(f"contents/{number:064d}", b"0" * 30_000_000)
    with pytest.raises(SoapstoneError) as refused:
        transfer.taken_in(Archive(tmp_path / "archive"), path)
    assert refused.value.code is Exit.COMMAND_LINE
    assert f"up to {transfer.AT_LEAST} bytes" in str(refused.value.faults[0])


def test_a_file_of_very_many_files_is_refused_before_its_list_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the plain form of a zip's end and in the larger one that more than 65 535 files need
    (PKWARE, .ZIP File Format Specification 4.4.1.4: from memory).
    """
    for many in (3_000, 70_000):
        path = tmp_path / f"{many}.zip"
        with zipfile.ZipFile(path, "w") as out:
            for number in range(many):
                out.writestr(f"contents/{number:064d}", b"")
        row = 46 + len(f"contents/{0:064d}")
        assert many * row <= transfer.list_bytes(path) < 2**32 - 1
        with monkeypatch.context() as patch:
            patch.setattr(transfer, "MOST_FILES", many * row // transfer.LONGEST_ROW - 1)
            patch.setattr(zipfile, "ZipFile", lambda *_: pytest.fail("its list was read"))
            with pytest.raises(SoapstoneError) as refused:
                transfer.taken_in(Archive(tmp_path / "archive"), path)
        assert refused.value.code is Exit.COMMAND_LINE
        assert "this is no chassis" in str(refused.value.faults[0])
