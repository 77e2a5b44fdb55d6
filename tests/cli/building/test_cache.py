"""What is kept: whole or not at all, by everything it was made from, never more than its bound."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from soapstone.cli.building import cache
from soapstone.cli.building.cache import Cache, key_of
from soapstone.cli.building.reuse import NAME, Reuse


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(cache.SETTING, str(tmp_path / "kept"))
    return tmp_path / "kept"


def entries(folder: Path) -> list[Path]:
    return sorted(p for p in folder.rglob("*") if p.is_file())


def test_what_was_put_is_got_by_the_same_key_alone() -> None:
    Cache().put(key_of("a", 1), b"data")
    assert Cache().get(key_of("a", 1)) == b"data"
    assert Cache().get(key_of("a", 2)) is None


@pytest.mark.parametrize("how", ["shorter", "longer", "one bit", "empty", "another's"])
def test_a_spoilt_entry_is_found_and_made_again(folder: Path, how: str) -> None:
    key, other = key_of("a"), key_of("b")
    Cache().put(key, b"data" * 100)
    (path,) = entries(folder)
    whole = path.read_bytes()
    Cache().put(other, b"other")
    theirs = next(p for p in entries(folder) if p != path).read_bytes()
    flipped = bytes((*whole[:-1], whole[-1] ^ 1))
    spoilt = {
        "shorter": whole[:-3],
        "longer": whole + b"x",
        "one bit": flipped,
        "empty": b"",
        "another's": theirs,
    }
    path.write_bytes(spoilt[how])
    assert Cache().get(key) is None and not path.exists()
    assert Cache().value(key, lambda: "made again") == "made again"
    assert Cache().value(key, lambda: "not asked") == "made again"


def test_an_entry_that_is_no_value_is_made_again() -> None:
    Cache().put(key_of("a"), b"no pickle")
    assert Cache().value(key_of("a"), lambda: [1, 2]) == [1, 2]


def test_another_version_of_anything_makes_everything_anew(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    was = key_of("a")
    for name in ("version", "python_version"):
        cache.made_with.cache_clear()
        with pytest.MonkeyPatch.context() as patch:
            where = cache.metadata if name == "version" else cache.platform
            patch.setattr(where, name, lambda *_: "0.0")
            assert key_of("a") != was
    cache.made_with.cache_clear()
    assert key_of("a") == was


def test_the_longest_unused_go_first(folder: Path) -> None:
    store = Cache()
    for n in range(10):
        store.put(key_of(n), os.urandom(1000))
        path = folder / key_of(n)[:2] / key_of(n)[2:]
        os.utime(path, (time.time() - 1000 + n,) * 2)
    assert store.get(key_of(0)) is not None, "used just now"
    store.trim(most=5000)
    kept = [n for n in range(10) if Cache().get(key_of(n)) is not None]
    assert kept == [0, 8, 9]


def test_off_a_file_in_its_place_and_a_full_disk_fail_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Path, "write_bytes", lambda *_: (_ for _ in ()).throw(OSError(28, "full")))
    assert Cache().value(key_of("a"), lambda: 1) == 1 and not entries(folder)
    monkeypatch.undo()
    monkeypatch.setenv(cache.SETTING, str(folder / "kept"))
    folder.mkdir(exist_ok=True)
    (folder / "kept").write_bytes(b"a file")
    assert Cache().value(key_of("a"), lambda: 1) == 1
    monkeypatch.setenv(cache.SETTING, "kept")
    cache.off()
    assert Cache().folder is None and Cache().value(key_of("a"), lambda: 1) == 1
    assert entries(folder) == [folder / "kept"]


def test_many_processes_at_once_share_one_folder(folder: Path) -> None:
    code = (
        "from soapstone.cli.building.cache import Cache, key_of\n"
        "for n in range(60): assert Cache().value(key_of(n), lambda: [n] * 500) == [n] * 500\n"
        "Cache().trim(most=1)"
    )
    running = [subprocess.Popen([sys.executable, "-c", code]) for _ in range(3)]
    assert [p.wait() for p in running] == [0, 0, 0]
    assert not [p for p in entries(folder) if p.suffix == ".part"]


def test_a_whole_draft_is_given_again_only_as_it_was_written(tmp_path: Path) -> None:
    from soapstone.cli.building.text import json_bytes

    base, files = tmp_path / "base", {"a.txt": b"a", "cut/b.dxf": b"b"}
    sha = {p: hashlib.sha256(d).hexdigest() for p, d in files.items()}
    rows = [{"path": p, "sha256": s} for p, s in sha.items()]
    made = {**files, "manifest.json": json_bytes({"files": rows})}
    for path, data in made.items():
        (base / "draft" / path).parent.mkdir(parents=True, exist_ok=True)
        (base / "draft" / path).write_bytes(data)
    first = Reuse(base)
    assert first.whole("job") is None
    first.save(made)
    assert Reuse(base).whole("job") == made
    assert Reuse(base).whole("another job") is None
    for path, data in made.items():
        (base / "draft" / path).write_bytes(data + b" ")
        assert Reuse(base).whole("job") is None, path
        (base / "draft" / path).write_bytes(data)
    (base / "draft" / "stranger.txt").write_bytes(b"")
    assert Reuse(base).whole("job") is None
    (base / "draft" / "stranger.txt").unlink()
    (base / NAME).write_text("rubbish")
    assert Reuse(base).whole("job") is None
