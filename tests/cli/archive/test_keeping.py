"""The archive kept safe: old formats, damage anywhere, kills at every step, two at once, files from
elsewhere, the index thrown away.
"""

from __future__ import annotations

import errno
import json
import os
import random
import shutil
import stat
import threading
import time
import zipfile
from pathlib import Path
from typing import Any

import pytest
from failing_disk import Counting, fail, steps_of, tree
from soapstone.cli import disk
from soapstone.cli.archive import index, lock, log
from soapstone.cli.archive import store as a
from soapstone.cli.archive import transfer as moving
from soapstone.cli.archive.letters import letter_of, revise
from soapstone.cli.archive.store import Archive, Record
from soapstone.cli.archive.verify import check
from soapstone.layout.faults import Exit, SoapstoneError

SAMPLES = Path(__file__).parents[2] / "samples"


def add(store: Archive, chassis: str, n: int, files: dict[str, bytes] | None = None) -> Record:
    records = store.records(chassis)
    letter = letter_of(len(records))
    rows = [
        {
            "part": "CS1.L",
            "name": "coil-seat plate",
            "stock": "3/16 A36",
            "fingerprint": str(n),
            "hand": "L",
        },
        {
            "part": "AB1.L",
            "name": "arm bracket",
            "stock": "1/4 A36",
            "fingerprint": "same",
            "hand": "L",
        },
    ]
    letters, since = revise(rows, records[-1] if records else None, letter)
    record = {
        "chassis": chassis,
        "letter": letter,
        "before": records[-1].sha256 if records else "",
        "parts": [{**r, "revision": letters[r["part"]]} for r in rows],
        "changed": sorted((*since.shape, *since.come)),
        "gone": list(since.gone),
        "note": f"number {n}",
        "by": "nobody",
        "date": "2026-01-01",
        "level": "tack",
        "typed": {"spring.rate": str(n)},
        "values": {},
        "sheets": {"s1": ["CS1.L"]},
        "welds": {"CS1.L": ["W1", "W2"]},
    }
    return store.add(
        chassis,
        record,
        (
            files
            if files is not None
            else {
                "cut/a.dxf": f"plate {n}\n".encode(),
                "cut/b.dxf": b"tab\n",
                "input/job.toml": f"n = {n}\n".encode(),
            }
        ),
    )


EVENT = {
    "kind": "heat",
    "what": "s1",
    "value": "H9",
    "by": "nobody",
    "date": "2026-01-02",
    "note": "",
}


@pytest.mark.parametrize("fmt", range(a.FORMAT + 1))
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
    (tmp_path / "x.zip").write_bytes(moving.packed(store, "OLD1"))
    other = Archive(tmp_path / "other")
    assert moving.taken_in(other, tmp_path / "x.zip") == ("OLD1", 2)
    assert moving.packed(other, "OLD1") == (tmp_path / "x.zip").read_bytes()


def test_a_later_format_is_left_alone_and_says_so(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 1)
    path = tmp_path / "T" / "A.json"
    path.write_text(path.read_text().replace('"format": 2', '"format": 99'))
    with pytest.raises(SoapstoneError) as e:
        store.records("T")
    assert e.value.code is Exit.ARCHIVE_DAMAGED and "newer soapstone" in str(e.value.faults[0])


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


def released(path: str) -> bool:
    """Whether a file of the archive is a record or an event of T."""
    return path.startswith("T/") and bool(a.NAME.fullmatch(path[2:]))


@pytest.mark.parametrize("act", ["add", "happened", "import"])
def test_a_kill_at_any_step_leaves_the_last_good_state_and_a_clean_retry(
    act: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forked processes that die at every step of the disk, over and over from a growing archive."""
    source = Archive(tmp_path / "source")
    for n in range(2):
        add(source, "T", n)
    source.happened("T", "A", EVENT)
    zipped = tmp_path / "t.zip"
    zipped.write_bytes(moving.packed(source, "T"))

    def once(store: Archive, n: int) -> Any:
        if act == "add":
            with store.lock("T"):
                return add(store, "T", n)
        return (
            store.happened("T", "A", {**EVENT, "value": f"H{n}"})
            if act == "happened"
            else moving.taken_in(store, zipped)
        )

    def fresh(root: Path) -> Archive:
        store = Archive(root)
        if act != "import":
            add(store, "T", 0)
        return store

    counted = fresh(tmp_path / "count")
    count = steps_of(lambda: once(counted, 1), monkeypatch)
    monkeypatch.setattr(disk, "DISK", disk.Disk())
    kills = 0
    rounds = 3 if act == "import" else 12
    for round_ in range(rounds):
        for n in range(1, count + 1):
            root = tmp_path / f"{round_}-{n}"
            store = fresh(root)
            before = {p: x for p, x in tree(root).items() if released(p)}
            child = os.fork()
            if not child:
                try:
                    disk.DISK = Counting(n, lambda: os._exit(9))
                    once(store, round_ + 1)
                finally:
                    os._exit(0)
            kills += os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9
            assert [str(f) for f in check(store, "T")] == [], (act, n)
            after = {p: x for p, x in tree(root).items() if released(p)}
            assert all(after.get(p) == x for p, x in before.items()), (
                "nothing that was released changed"
            )
            once(store, round_ + 1)
            assert [str(f) for f in check(store, "T")] == [], (act, n)
            names = {Path(p).stem for p in tree(root) if released(p)}
            assert set(store.last("T")) == names, "the list names all of them again"
            shutil.rmtree(root)
    assert kills == rounds * count


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EIO])
def test_a_full_or_read_only_disk_loses_nothing(
    code: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At every step of a release; afterwards the same release goes through."""

    def once(store: Archive) -> None:
        with store.lock("T"):
            add(store, "T", 1)

    counted = Archive(tmp_path / "count")
    add(counted, "T", 0)
    count = steps_of(lambda: once(counted), monkeypatch)
    for n in range(1, count + 1):
        monkeypatch.setattr(disk, "DISK", disk.Disk())
        store = Archive(tmp_path / str(n))
        add(store, "T", 0)
        child = os.fork()
        if not child:
            told = 1
            try:
                disk.DISK = Counting(n, fail(code))
                once(store)
                told = 0
            except OSError as e:
                told = 0 if e.errno == code else 2
            finally:
                os._exit(told)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0, n
        assert list(check(store, "T")) == [] and store.records("T")[0].data["note"] == "number 0"
        if len(store.records("T")) == 1:
            once(store)
        assert len(store.records("T")) == 2 and list(check(store, "T")) == []


def test_two_releasing_at_once_wait_for_each_other(tmp_path: Path) -> None:
    """Forty processes, one chassis: forty letters in a row, none lost, none twice."""
    children = []
    for n in range(40):
        child = os.fork()
        if not child:
            code = 1
            try:
                with Archive(tmp_path).lock("T", 60.0):
                    add(Archive(tmp_path), "T", n)
                code = 0
            finally:
                os._exit(code)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(c, 0)[1]) for c in children] == [0] * 40
    store = Archive(tmp_path)
    assert [r.letter for r in store.records("T")] == [letter_of(n) for n in range(40)] and list(
        check(store, "T")
    ) == []
    assert not (tmp_path / "T" / ".lock").exists()


def test_a_held_lock_names_its_holder_and_one_left_behind_is_taken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    with store.lock("T"):
        with pytest.raises(SoapstoneError) as e, store.lock("T", 0.1):
            pass
        assert e.value.code is Exit.DISK and str(os.getpid()) in str(e.value.faults[0])
    child = os.fork()
    if not child:
        held = Archive(tmp_path).lock("T")
        held.__enter__()
        os._exit(0)
    os.waitpid(child, 0)
    assert (tmp_path / "T" / ".lock").exists()
    with store.lock("T", 0.5):
        pass
    (tmp_path / "T" / ".lock").write_text("another-machine 17")
    with pytest.raises(SoapstoneError), store.lock("T", 0.1):
        pass
    old = time.time() - lock.STALE - 5
    os.utime(tmp_path / "T" / ".lock", (old, old))
    with store.lock("T", 0.5):
        pass


def test_a_share_without_links_still_takes_each_name_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise OSError(95, "not supported")

    monkeypatch.setattr(os, "link", no_links)
    store = Archive(tmp_path)
    add(store, "T", 0)
    with pytest.raises(FileExistsError):
        disk.new_file(tmp_path / "T" / "A.json", b"x")
    assert list(check(store, "T")) == []


def test_a_damaged_content_is_put_right_when_the_same_is_stored_again(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    name = store.store(b"plate")
    store.content_path(name).write_bytes(b"plat")
    assert store.store(b"plate") == name and store.content(name) == b"plate"


@pytest.mark.parametrize(
    "how",
    ["deleted", "cut short", "rubbish", "another version", "cannot be written", "clock set back"],
)
def test_the_index_may_be_lost_at_any_time(how: str, tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    want = index.listed(index.open_index(store))
    path = tmp_path / "index.sqlite"
    if how == "deleted":
        path.unlink()
    elif how == "cut short":
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    elif how == "rubbish":
        path.write_bytes(b"not a database at all" * 300)
    elif how == "another version":
        import sqlite3

        db = sqlite3.connect(path)
        db.execute("pragma user_version = 1")
        db.execute("drop table rev")
        db.commit()
        db.close()
    elif how == "cannot be written":
        path.unlink()
        path.mkdir()
    else:
        record = tmp_path / "T" / "B.json"
        os.utime(record, (1_000_000, 1_000_000))
    assert index.listed(index.open_index(store)) == want
    add(store, "U", 7)
    assert [r["chassis"] for r in index.listed(index.open_index(store))] == ["T", "T", "T", "U"]


def test_search_and_trace_go_both_ways(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    for n in (225, 225, 300):
        add(store, "T", n)
    store.happened("T", "C", EVENT)
    store.happened(
        "T",
        "C",
        {
            "kind": "concession",
            "what": "AB1.L",
            "value": "",
            "by": "the owner",
            "date": "2026-02-01",
            "note": "hole 1/32 off, used",
        },
    )
    db = index.open_index(store)
    assert [(f.letter, f.value) for f in index.search(db, ["spring.rate"])] == [
        ("A", "225"),
        ("C", "300"),
    ], "each where it first came in"
    assert [f.letter for f in index.search(db, ["1/32 off"])] == ["C"] and index.search(
        db, ["100%_"]
    ) == []
    for word in ("H9", "s1", "W2"):
        assert {(r["revisions"].split()[-1], r["part"]) for r in index.trace(db, word)} >= {
            ("C", "CS1.L")
        }, word
    assert {r["welds"] for r in index.trace(db, "CS1")} == {"W1 W2"} and {
        r["heat"] for r in index.trace(db, "CS1") if r["revisions"] == "C"
    } == {"H9"}
    assert {r["revisions"] for r in index.trace(db, "CS1")} == {"A B", "C"}


def entered(*rows: tuple[str, str, str]) -> dict[str, Any]:
    named = [dict(zip(("kind", "what", "value"), r, strict=True)) for r in rows]
    return {**{k: EVENT[k] for k in ("by", "date", "note")}, "kind": "entered", "rows": named}


def test_a_second_heat_erases_none_and_a_part_has_its_own(tmp_path: Path) -> None:
    """Heats of a sheet, of a part and of a stock, in one entry or several, in this format and the
    one before: each is found from either end.
    """
    store = Archive(tmp_path)
    for n in range(3):
        add(store, "T", n)
    store.happened("T", "A", EVENT)
    store.happened("T", "A", entered(("heat", "s1", "H10"), ("heat", "AB1.L", "H11")))
    store.happened("T", "A", entered(("heat", "1/4 A36", "H12"), ("weld", "W2", "laid")))
    db = index.open_index(store)

    def heats(word: str) -> set[tuple[str, str, str]]:
        return {(r["revisions"], r["part"], r["heat"]) for r in index.trace(db, word)}

    assert heats("CS1") >= {("A", "CS1.L", "H9"), ("A", "CS1.L", "H10"), ("B C", "CS1.L", "")}
    assert heats("AB1.L") == {
        ("A B C", "AB1.L", "H11"),
        ("A B C", "AB1.L", "H12"),
    }, "a part that keeps its letter keeps its steel"
    for heat, part in (("H9", "CS1.L"), ("h10", "CS1.L"), ("H11", "AB1.L"), ("H12", "AB1.L")):
        assert {r["part"] for r in index.trace(db, heat)} == {part}, heat
    assert [f.value for f in index.search(db, ["H10"])] == ["s1 H10 nobody 2026-01-02"]


RECORD = {
    "parts": [
        {"part": "CS1.L", "stock": "3/16 A36"},
        {"part": "CS1.R", "stock": "3/16 A36"},
        {"part": "XT1.C", "stock": "tube"},
    ],
    "sheets": {"s1": ["CS1.L"], "s2": ["CS1.R"]},
    "welds": {"CS1.L": [f"W{n}" for n in range(1, 39)]},
    "bolts": ["B1", "B2", "B3"],
}


def test_runs_lists_and_repeats_are_taken_whole() -> None:
    asked = log.Asked(
        heat=["H1", "H2"],
        sheet=["s1", "s2"],
        part=["XT1.C"],
        weld=["W1-W36", "w38,W2"],
        bolt=["B1-3"],
        torque="120 lb-ft",
        concession=["CS1"],
        note="1/32 off",
    )
    rows, faults = log.taken(asked, RECORD)
    assert not faults
    got = [(r["kind"], r["what"], r["value"]) for r in rows]
    assert {(w, v) for k, w, v in got if k == "heat"} == {
        (w, h) for w in ("s1", "s2", "XT1.C") for h in ("H1", "H2")
    }
    assert [w for k, w, _ in got if k == "weld"] == [*(f"W{n}" for n in range(1, 37)), "W38"]
    assert [(w, v) for k, w, v in got if k == "bolt"] == [(f"B{n}", "120 lb-ft") for n in (1, 2, 3)]
    assert [w for k, w, _ in got if k == "concession"] == ["CS1.L", "CS1.R"]


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        ({"weld": ["W38-W1"]}, "W1-W38"),
        ({"weld": ["W30-W40"]}, "W39, W40"),
        ({"weld": ["W1", "weld 7"]}, "W1 .. W38"),
        ({"weld": ["W1-W99999"]}, "W1 .. W38"),
        ({"weld": ["B1"]}, "W1 .. W38"),
        ({"bolt": ["B1"]}, "--torque"),
        ({"torque": "9"}, "--bolt"),
        ({"bolt": ["B4"], "torque": "9 lb-ft"}, "no B4"),
        ({"heat": ["H1"]}, "--sheet or --part"),
        ({"sheet": ["s1"]}, "--heat"),
        ({"heat": ["H1"], "sheet": ["s9"]}, "s1, s2, 3/16 A36"),
        ({"heat": [""], "sheet": ["s1"]}, "heat number"),
        ({"heat": ["H1"], "part": ["CS9"]}, "a part of this revision"),
        ({"concession": ["CS1.L"]}, "who decided"),
        ({}, "say what to enter"),
    ],
)
def test_what_cannot_be_entered_says_why(asked: dict[str, Any], word: str) -> None:
    _, faults = log.taken(log.Asked(**asked), RECORD)
    assert faults and any(word in str(f) for f in faults), [str(f) for f in faults]


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
        evil(path, change, moving.packed(source, "T"))
        if change != "no zip"
        else path.write_bytes(b"PK\x03\x04 nothing")
    )
    before = tree(tmp_path)
    store = Archive(tmp_path / "store")
    with pytest.raises(SoapstoneError) as e:
        moving.taken_in(store, path, 1_000_000)
    assert e.value.code is Exit.COMMAND_LINE and e.value.faults
    assert tree(tmp_path) == before, "nothing was written anywhere"


def test_import_twice_is_one_and_a_fork_is_refused(tmp_path: Path) -> None:
    one, two = Archive(tmp_path / "one"), Archive(tmp_path / "two")
    add(one, "T", 0)
    (tmp_path / "a.zip").write_bytes(moving.packed(one, "T"))
    assert moving.taken_in(two, tmp_path / "a.zip") == ("T", 1) and moving.taken_in(
        two, tmp_path / "a.zip"
    ) == ("T", 0)
    add(one, "T", 1)
    add(two, "T", 2)
    (tmp_path / "b.zip").write_bytes(moving.packed(one, "T"))
    with pytest.raises(SoapstoneError) as e:
        moving.taken_in(two, tmp_path / "b.zip")
    assert "differently" in str(e.value.faults[0]) and [
        r.data["note"] for r in two.records("T")
    ] == ["number 0", "number 2"]


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


def test_readers_do_not_wait_for_writers(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    with store.lock("T"):
        found: list[int] = []
        t = threading.Thread(
            target=lambda: found.append(len(index.listed(index.open_index(Archive(tmp_path)))))
        )
        t.start()
        t.join(5)
        assert found == [1]


def test_record_is_json_anybody_can_read(tmp_path: Path) -> None:
    store = Archive(tmp_path)
    add(store, "T", 0)
    data = json.loads((tmp_path / "T" / "A.json").read_text())
    assert data["format"] == a.FORMAT and {
        "chassis",
        "letter",
        "note",
        "by",
        "date",
        "parts",
        "files",
        "before",
    } <= set(data)
