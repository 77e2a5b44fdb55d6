"""A dry run ends as the real thing would, says what it would do, and leaves every file alone."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typed import run

SIGN = ("sign", "DEMO1", "A", "--level", "weld", "--by", "the owner", "--date", "2026-02-02")
ENTER = ("enter", "DEMO1", "A", "--by", "the welder", "--date", "2026-02-02")
WORDS = ("set-down", "gaps", "confirm", "assumed")
ACCEPTED = tuple(word for one in WORDS for word in ("--accept", f"{one}=looked at on the stands"))
LOCK = "another-desk 1"


def tree(folder: Path) -> dict[str, tuple[bytes, int] | None]:
    """Every path under a folder: what a file holds and when it was written, None for a folder."""
    return {
        str(path.relative_to(folder)): (
            (path.read_bytes(), path.stat().st_mtime_ns) if path.is_file() else None
        )
        for path in folder.rglob("*")
    }


@pytest.fixture
def shop(set_down_out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(set_down_out, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def dry(shop: Path, *args: str, code: int = 0) -> str:
    """What a dry run prints, after which every file is as it was."""
    before = tree(shop)
    printed = run(*args, "--dry-run", code=code)
    assert tree(shop) == before
    assert ("nothing was written" in printed) is (code == 0), printed
    return printed


def test_a_dry_release_says_which_letters_change_and_refuses_as_the_release(shop: Path) -> None:
    release = ("release", "d.toml", "--note", "softer coil", "--by", "the owner")
    assert "nothing changed since revision A" in dry(shop, *release, code=6)
    assert "--note" in dry(shop, *release[:2], *release[4:], code=2)
    job = shop / "d.toml"
    job.write_text(job.read_text().replace("rate = 225", "rate = 224"))
    assert "build again" in dry(shop, *release, code=6)
    run("build", "d.toml")
    said = dry(shop, *release)
    (line,) = (line for line in said.splitlines() if line.startswith("letters that change: "))
    told = run(*release)
    assert "dry run" not in told
    assert said.splitlines()[0].replace("to be stored", "stored") == told.splitlines()[0]
    from soapstone.cli.archive.store import Archive

    was, now = (record.revisions() for record in Archive(shop / "archive").records("DEMO1"))
    changed = {part: letter for part, letter in now.items() if was.get(part) != letter}
    assert changed, "a softer coil moves the seats"
    assert line.removeprefix("letters that change: ").split(", ") == [
        f"{part} {was.get(part) or 'new'} -> {letter}" for part, letter in sorted(changed.items())
    ]
    written = [path for path in (shop / "out/DEMO1/B").rglob("*") if path.is_file()]
    assert f"{len(written)} files into out/DEMO1/B" in said.replace("\\", "/")


def test_a_dry_release_of_a_first_revision_makes_no_folder(shop: Path) -> None:
    shutil.rmtree(shop / "archive")
    release = ("release", "d.toml", "--note", "first set", "--by", "the owner")
    assert "CS1.L new -> A" in dry(shop, *release)
    assert not (shop / "archive").exists()


def test_a_dry_signature_asks_for_all_that_the_signature_asks_for(shop: Path) -> None:
    asked = dry(shop, *SIGN, code=2)
    assert asked == run(*SIGN, code=2) and "--accept set-down" in asked
    assert "--accept gaps" in dry(shop, *SIGN, *ACCEPTED[:2], code=2)
    said = dry(shop, *SIGN, *ACCEPTED)
    assert "would be signed for weld" in said and "accepted as it is" in said
    assert "a record of DEMO1 A" in said
    told = run(*SIGN, *ACCEPTED)
    assert told.splitlines()[1] in said, "the verdict"
    assert "would be written once more" in dry(shop, *SIGN, *ACCEPTED), "it is kept already"


def test_a_dry_entry_is_refused_as_the_entry(shop: Path) -> None:
    assert "W12" in dry(shop, *ENTER, "--weld", "W12")
    assert "NOT RELEASED FOR WELD" in dry(shop, *ENTER, "--weld", "W12")
    assert "W999" in dry(shop, *ENTER, "--weld", "W999", code=2)
    assert "log.csv" in dry(shop, "enter", "DEMO1", "A", "--blank", "log.csv")
    assert "a name that is free" in dry(shop, "enter", "DEMO1", "A", "--blank", "d.toml", code=7)


def test_a_dry_run_takes_no_lock_and_breaks_none(shop: Path) -> None:
    """While another desk writes it waits and is refused as the entry would be."""
    from soapstone.cli.archive import lock
    from soapstone.layout.faults import SoapstoneError

    path = shop / "archive/DEMO1/.lock"
    path.write_text(LOCK)
    with pytest.raises(SoapstoneError) as e, lock.free(path, "DEMO1", wait=0.0):
        pass
    assert LOCK in str(e.value.faults[0]) and path.read_text() == LOCK
    path.unlink()
    with lock.free(path, "DEMO1", wait=0.0):
        assert not path.exists()
