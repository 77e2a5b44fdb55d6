"""One chassis as a single file: records, events and contents in a zip.

Taking one in writes nothing outside the archive, whatever the zip says, and nothing that is not
what it says.
"""

from __future__ import annotations

import io
import re
import zipfile
from pathlib import Path

from ...layout.faults import Exit, Fault, SoapstoneError
from ...layout.job.load import SLUG
from .. import disk
from .store import NAME, OWN, Archive, digest

MOST_BYTES = 2_000_000_000
MOST_FILES = 200_000
CONTENT = re.compile(r"(?:contents|objects)/([0-9a-f]{64})")
"""Earlier versions wrote objects/."""
WHEN = (1980, 1, 1, 0, 0, 0)


def packed(store: Archive, chassis: str) -> bytes:
    """The zip of a chassis; same archive, same bytes.

    Raises (ARCHIVE_DAMAGED) rather than pack what is not as it was stored.
    """
    records = store.records(chassis)
    if not records:
        store.record(chassis)
    files: dict[str, bytes] = {}
    for r in records:
        files[f"{chassis}/{r.letter}.json"] = (
            store.folder / chassis / f"{r.letter}.json"
        ).read_bytes()
        events = store.events(chassis, r.letter)
        for n, _ in enumerate(events, 1):
            files[f"{chassis}/{r.letter}.{n}.json"] = (
                store.folder / chassis / f"{r.letter}.{n}.json"
            ).read_bytes()
        for f in (*r.data["files"], *(f for e in events for f in e.data["files"])):
            files.setdefault(f"contents/{f['sha256']}", store.content(f["sha256"]))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as z:
        for name in sorted(files):
            info = zipfile.ZipInfo(name, WHEN)
            info.compress_type = zipfile.ZIP_DEFLATED
            z.writestr(info, files[name])
    return out.getvalue()


def taken_in(store: Archive, path: Path, most: int = MOST_BYTES) -> tuple[str, int]:
    """A zip's chassis into the archive: its name and how many revisions were new.

    Raises, writing no record, for anything that does not fit.
    """
    try:
        with zipfile.ZipFile(path) as z:
            files = _read(z, path, most)
    except (
        zipfile.BadZipFile,
        OSError,
        RuntimeError,
        NotImplementedError,
        EOFError,
        ValueError,
    ) as e:
        if isinstance(e, FileNotFoundError):
            raise _bad(
                path, "", "a file that export wrote", "there is no such file; check the name"
            ) from None
        raise _bad(
            path, str(e)[:80], "a file that export wrote", "get it again from where it came from"
        ) from None
    chassis = {n.partition("/")[0] for n in files if not CONTENT.fullmatch(n)}
    if len(chassis) != 1:
        raise _bad(path, f"{len(chassis)} chassis", "one chassis", "export it again")
    name = chassis.pop()
    _whole(path, name, files)
    new = 0
    with store.lock(name):
        for n, data in files.items():
            there = store.folder / n
            if not CONTENT.fullmatch(n) and there.exists() and there.read_bytes() != data:
                raise SoapstoneError(
                    Exit.ARCHIVE_DAMAGED,
                    [
                        Fault(
                            n,
                            "",
                            "the same as in this archive",
                            "this chassis was released here too, and differently: keep both"
                            " archives apart and compare them",
                        )
                    ],
                    "nothing was taken in",
                )
        for n, data in files.items():
            if CONTENT.fullmatch(n):
                store.store(data)
        for n in sorted((n for n in files if not CONTENT.fullmatch(n)), key=lambda n: (len(n), n)):
            if not (store.folder / n).exists():
                disk.new_file(store.folder / n, files[n])
                new += "." not in n.partition("/")[2].removesuffix(".json")
        store.note_last(name)
    return name, new


def _bad(path: Path, found: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(
        Exit.COMMAND_LINE, [Fault(str(path), found, allowed, remedy)], "nothing was taken in"
    )


def _read(z: zipfile.ZipFile, path: Path, most: int) -> dict[str, bytes]:
    """Entries by name: only names export writes, no links, no more bytes than allowed, counted as
    they come out.
    """
    infos = z.infolist()
    if len(infos) > MOST_FILES:
        raise _bad(path, f"{len(infos)} files", f"up to {MOST_FILES}", "this is no chassis")
    files: dict[str, bytes] = {}
    left = most
    for i in infos:
        head, _, tail = i.filename.partition("/")
        good = CONTENT.fullmatch(i.filename) or (
            SLUG.fullmatch(head) and head not in OWN and NAME.fullmatch(tail)
        )
        if not good or i.filename in files or (i.external_attr >> 28) not in (0, 8):
            raise _bad(
                path,
                i.filename[:80],
                "names as export writes them, each once, no links",
                "it was not written by export, or was changed: do not trust it",
            )
        with z.open(i) as f:
            data = f.read(left + 1)
        left -= len(data)
        if left < 0:
            raise _bad(path, i.filename[:80], f"up to {most} bytes unpacked", "this is no chassis")
        files[i.filename] = data
    return files


def _whole(path: Path, chassis: str, files: dict[str, bytes]) -> None:
    """Contents are what their names say, records and events follow each other, and everything they
    name is there.
    """
    for n, data in files.items():
        m = CONTENT.fullmatch(n)
        if m and digest(data) != m[1]:
            raise _bad(
                path,
                n[:30],
                "contents as they were stored",
                "it was changed on the way: get it again",
            )
    import tempfile

    contents = {n.partition("/")[2] for n in files if CONTENT.fullmatch(n)}
    with tempfile.TemporaryDirectory(prefix="soapstone-") as folder:
        held = Archive(Path(folder))
        for n, data in files.items():
            if not CONTENT.fullmatch(n):
                disk.put_file(held.folder / n, data)
        try:
            for r in held.records(chassis):
                for f in (
                    *r.data["files"],
                    *(f for e in held.events(chassis, r.letter) for f in e.data["files"]),
                ):
                    if f["sha256"] not in contents:
                        raise _bad(
                            path,
                            f["path"],
                            "everything its records name",
                            "it is not whole: export it again",
                        )
        except SoapstoneError as e:
            if e.code is Exit.ARCHIVE_DAMAGED:
                raise _bad(
                    path,
                    str(e.faults[0].field),
                    "records as they were stored",
                    "it was changed or is not whole: get it again",
                ) from None
            raise
