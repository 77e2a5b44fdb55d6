"""One chassis as a single file: records, events and contents in a zip.

Taking one in writes nothing outside the archive, whatever the zip says, and nothing that is not
what it says.
"""

from __future__ import annotations

import io
import re
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import SLUG
from .. import disk
from . import hashes
from .clashes import OWN
from .record import NAME, Record, digest
from .store import Archive

MOST_BYTES = 2_000_000_000
"""Unpacked: some hundred revisions, and no disk is filled by a false file."""
MOST_FILES = 200_000
TIMES, AT_LEAST = 100, 50_000_000
"""Unpacked, at most this many times the packed file, or so many bytes: drawings, solids and records
come to five to ten times.
"""
LONGEST_ROW, LONGEST_END = 200, 70_000
"""Bytes of a file's row in a zip's own list, and of what closes it."""
PLAIN_FILE = (0, 8)
"""File types of an entry by its upper four bits: not said, or a plain file; never a link."""
CONTENT = re.compile(r"(?:contents|objects)/([0-9a-f]{64})")
"""Earlier versions wrote objects/."""
WHEN = (1980, 1, 1, 0, 0, 0)


def packed(store: Archive, chassis: str) -> bytes:
    """The zip of a chassis; same archive, same bytes.

    Raises (ARCHIVE_DAMAGED) rather than pack what is not as it was stored.
    """
    records = store.records(chassis) or [store.record(chassis)]
    files: dict[str, bytes] = {}
    for record in records:
        events = store.events(chassis, record.letter)
        stems = [record.letter, *(f"{record.letter}.{n}" for n in range(1, len(events) + 1))]
        for stem in stems:
            name = f"{chassis}/{stem}.json"
            files[name] = (store.folder / name).read_bytes()
        for sha256 in _named(record, events):
            files.setdefault(f"contents/{sha256}", store.content(sha256))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packing:
        for name in sorted(files):
            info = zipfile.ZipInfo(name, WHEN)
            info.compress_type = zipfile.ZIP_DEFLATED
            packing.writestr(info, files[name])
    return out.getvalue()


def _named(record: Record, events: Sequence[Record]) -> Iterator[str]:
    """Hash of every content a revision and its events name."""
    for own in (record, *events):
        for file in own.data["files"]:
            yield file["sha256"]


def taken_in(store: Archive, path: Path, most: int = MOST_BYTES) -> tuple[str, int]:
    """A zip's chassis into the archive: its name and how many revisions were new.

    ``most``: bytes it may unpack to. Contents are checked against their names and records against
    each other before anything is written. Raises, writing no record: (COMMAND_LINE) for a file
    that is not as export wrote it, (ARCHIVE_DAMAGED) for a chassis that was released here too and
    differently.
    """
    files = _unpacked(path, most)
    contents = {name: data for name, data in files.items() if CONTENT.fullmatch(name)}
    stems = {name: data for name, data in files.items() if name not in contents}
    found = {name.partition("/")[0] for name in stems}
    if len(found) != 1:
        raise _bad(path, f"{len(found)} chassis", "one chassis", "export it again")
    chassis = found.pop()
    _whole(path, chassis, files)
    new = 0
    with store.lock(chassis):
        for name, data in stems.items():
            there = store.folder / name
            if there.exists() and there.read_bytes() != data:
                raise _forked(name)
        for data in contents.values():
            store.store(data)
        hashes.begin(store.folder / chassis)
        for name in sorted(stems, key=lambda name: (len(name), name)):
            if not (store.folder / name).exists():
                disk.new_file(store.folder / name, stems[name])
                new += "." not in name.partition("/")[2].removesuffix(".json")
        store.note_last(chassis)
    return chassis, new


def _unpacked(path: Path, most: int) -> dict[str, bytes]:
    """Entries of a zip by name; faults for a file that is no zip."""
    unreadable = (
        zipfile.BadZipFile,
        OSError,
        RuntimeError,
        NotImplementedError,
        EOFError,
        ValueError,
    )
    try:
        if (long := list_bytes(path)) > MOST_FILES * LONGEST_ROW:
            allowed = f"a list of up to {MOST_FILES} files"
            raise _bad(path, f"a list of {long} bytes", allowed, "this is no chassis")
        with zipfile.ZipFile(path) as packed_file:
            return _read(packed_file, path, most)
    except FileNotFoundError:
        remedy = "there is no such file; check the name"
        raise _bad(path, "", "a file that export wrote", remedy) from None
    except unreadable as e:
        remedy = "get it again from where it came from"
        raise _bad(path, str(e)[:80], "a file that export wrote", remedy) from None


def list_bytes(path: Path) -> int:
    """Length of a zip's own list of its files, before it is read into memory; 0 where its end says
    nothing of it (PKWARE, .ZIP File Format Specification 4.3.14, 4.3.16: from memory).
    """
    with path.open("rb") as file:
        end = file.seek(0, 2)
        file.seek(max(0, end - LONGEST_END))
        tail = file.read()
    large, small = tail.rfind(b"PK\x06\x06"), tail.rfind(b"PK\x05\x06")
    if small < 0 or small + 16 > len(tail):
        return 0
    said = int.from_bytes(tail[small + 12 : small + 16], "little")
    more = tail[large + 40 : large + 48] if 0 <= large < small else b""
    return max(said, int.from_bytes(more, "little"))


def _forked(name: str) -> SoapstoneError:
    return SoapstoneError(
        Exit.ARCHIVE_DAMAGED,
        [
            Fault(
                name,
                "",
                "the same as in this archive",
                "this chassis was released here too, and differently: keep both archives apart and"
                " compare them",
            )
        ],
        "nothing was taken in",
    )


def _bad(path: Path, found: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(
        Exit.COMMAND_LINE, [Fault(str(path), found, allowed, remedy)], "nothing was taken in"
    )


def _read(packed_file: zipfile.ZipFile, path: Path, most: int) -> dict[str, bytes]:
    """Entries by name: only names export writes, no links, no more bytes than allowed, counted as
    they come out.
    """
    infos = packed_file.infolist()
    if len(infos) > MOST_FILES:
        raise _bad(path, f"{len(infos)} files", f"up to {MOST_FILES}", "this is no chassis")
    files: dict[str, bytes] = {}
    left = most = min(most, max(AT_LEAST, TIMES * path.stat().st_size))
    for info in infos:
        name = info.filename
        folder, _, own = name.partition("/")
        good = CONTENT.fullmatch(name) or (
            SLUG.fullmatch(folder) and folder not in OWN and NAME.fullmatch(own)
        )
        if not good or name in files or (info.external_attr >> 28) not in PLAIN_FILE:
            raise _bad(
                path,
                name[:80],
                "names as export writes them, each once, no links",
                "it was not written by export, or was changed: do not trust it",
            )
        with packed_file.open(info) as stream:
            data = stream.read(left + 1)
        left -= len(data)
        if left < 0:
            raise _bad(path, name[:80], f"up to {most} bytes unpacked", "this is no chassis")
        files[name] = data
    return files


def _whole(path: Path, chassis: str, files: dict[str, bytes]) -> None:
    """Contents are what their names say, records and events follow each other, and everything they
    name is there.
    """
    contents = set()
    for name, data in files.items():
        match = CONTENT.fullmatch(name)
        if match and digest(data) != match[1]:
            remedy = "it was changed on the way: get it again"
            raise _bad(path, name[:30], "contents as they were stored", remedy)
        if match:
            contents.add(match[1])
    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        held = Archive(Path(folder))
        for name, data in files.items():
            if not CONTENT.fullmatch(name):
                disk.put_file(held.folder / name, data)
        try:
            missing = [
                sha256
                for record in held.records(chassis)
                for sha256 in _named(record, held.events(chassis, record.letter))
                if sha256 not in contents
            ]
        except SoapstoneError as e:
            if e.code is not Exit.ARCHIVE_DAMAGED:
                raise
            remedy = "it was changed or is not whole: get it again"
            found = str(e.faults[0].field)
            raise _bad(path, found, "records as they were stored", remedy) from None
    if missing:
        remedy = "it is not whole: export it again"
        raise _bad(path, missing[0][:12], "everything its records name", remedy)
