"""The form for the phone on the disk, and what it hands back: readings into the taped file, photos
to a folder beside the job.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ...layout.faults import Exit, Fault, SoapstoneError
from .. import disk
from ..out_file import ends_in

if TYPE_CHECKING:
    from ...layout.job.handed import Said
    from ...layout.job.load import Job

MOST_PIXELS = 40_000_000
"""Of a photo; the form keeps them far smaller."""
LONGEST = 1600
"""Side of a photo as it is kept, pixels."""
_SAID = {"L": "left", "R": "right"}


def is_handed(path: Path) -> bool:
    """Whether a file is what the form hands back, whatever the phone called it, and no CSV."""
    if not path.is_file():
        return path.suffix.lower() == ".json"
    with path.open("rb") as file:
        return file.read(64).lstrip(b"\xef\xbb\xbf \r\n").startswith(b"{")


def write_form(job: Path, path: Path) -> None:
    """The form of a job, whole or not at all. Faults (COMMAND_LINE) for an ending that no phone
    opens.
    """
    from ...layout.job_file import load
    from ...parts.form.html import form

    ends_in("--form", path, ".html", ".htm")  # no phone opens another
    data = form(load(job))
    disk.put_file(path, data)
    print(f"{path}: {round(len(data) / 1000)} kB; send it to the phone and open it in its browser")


def take_form(job: Path, handed: Path) -> None:
    """What the form handed back, into the taped file and the folder of photos; nothing in part.

    Faults (JOB_FILE) name everything wrong with it: nothing is taken then.
    """
    from ...layout.job.handed import MOST_BYTES, handed_back
    from ...layout.job.sheet import sheet_rows
    from ...layout.job.taped import said_rows, taped_path, taped_rows, written
    from ...layout.job_file import load

    now = load(job)
    old = taped_path(job)
    before = old.read_text(encoding="utf-8-sig") if old.exists() else ""
    try:
        with handed.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        remedy = "there is no such file; check the name"
        fault = Fault(str(handed), "", "the file the form handed back", remedy)
        raise SoapstoneError(Exit.JOB_FILE, [fault]) from None
    known = {row.reading: row.value for row in sheet_rows(now)}
    got = handed_back(data, handed.name, now.chassis, known)
    folder = job.with_name(f"{job.stem}.photos")
    photos, said = _kept(got.said, folder, handed.name)
    text = written({**taped_rows(before), **got.taken}, {**said_rows(before), **said})
    load(job, text)
    _put(photos, old, text)
    count = f"{len(got.taken)} reading" + ("" if len(got.taken) == 1 else "s")
    print(f"{count} taken into {old}; the job file itself is unchanged")
    if photos:
        print(f"{len(photos)} new photos in {folder}")


def said_lines(job: Path, now: Job) -> Iterator[str]:
    """A line for each reading that the phone said cannot be measured, while it is not there."""
    from ...layout.job.field import key_of
    from ...layout.job.fields import field_of
    from ...layout.job.taped import said_rows, taped_path

    path = taped_path(job)
    rows = said_rows(path.read_text(encoding="utf-8-sig")) if path.exists() else {}
    for name, row in rows.items():
        key = key_of(name)
        if isinstance(row, Mapping) and row.get("cannot") and key not in now.readings:
            who = f" ({row['by']})" if row.get("by") else ""
            yield f"cannot be measured {field_of(key.name).sheet_code} {key}: {row['cannot']}{who}"


def _kept(
    rows: tuple[Said, ...], folder: Path, called: str
) -> tuple[dict[Path, bytes], dict[str, object]]:
    """Photos that are new, by path, and what was said beside each reading, its photos by name."""
    new: dict[Path, bytes] = {}
    said: dict[str, object] = {}
    faults: list[Fault] = []
    for row in rows:
        names = []
        for number, raw in enumerate(row.photos, 1):
            try:
                data = _again(raw)
            except ValueError as error:
                remedy = "take the photo again in the form"
                where = f"{row.path} photo {number}"
                faults.append(Fault(where, str(error), "a photo as the form keeps it", remedy))
                continue
            path = _place(folder, _stem(row.path), data, new)
            names.append(path.name)
            if not path.exists():
                new[path] = data
        facts = {"cannot": row.cannot, "remark": row.remark, "photos": names}
        facts |= {"by": row.by, "date": row.date}
        said[row.path] = {what: value for what, value in facts.items() if value}
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults, f"{called}: nothing was taken")
    return new, said


def _stem(path: str) -> str:
    """Name of a reading's photos: its code on the sheet, its row, its side.

    >>> _stem("frame.station.2.outer.left")
    'F-21-2-left'
    """
    from ...layout.job.field import key_of
    from ...layout.job.fields import field_of

    key = key_of(path)
    rows = [word for word in key.name.split(".") if word.isdigit()]
    side = [_SAID[key.side]] if key.side in _SAID else []
    return "-".join((field_of(key.name).sheet_code, *rows, *side))


def _place(folder: Path, stem: str, data: bytes, new: Mapping[Path, bytes]) -> Path:
    """Where a photo stands: the file that is it already, else the next free name."""
    number = 1
    while True:
        path = folder / f"{stem}-{number}.jpg"
        there = new.get(path) or (path.read_bytes() if path.exists() else None)
        if there is None or there == data:
            return path
        number += 1


def _again(raw: bytes) -> bytes:
    """A photo written anew: the picture alone, without place, day or maker.

    ValueError in a sentence for what is no photo or is too large.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(raw), formats=("JPEG",)) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise ValueError(f"{picture.width} x {picture.height} pixels")
            plain = picture.convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError) as error:
        raise ValueError("not a photo, or not whole") from error
    plain.thumbnail((LONGEST, LONGEST))
    clean = Image.new("RGB", plain.size)
    clean.paste(plain)
    out = io.BytesIO()
    clean.save(out, "JPEG", quality=85)
    return out.getvalue()


def _put(photos: Mapping[Path, bytes], taped: Path, text: str) -> None:
    """Photos first, then the readings that name them; none stays where one cannot be written."""
    put: list[Path] = []
    try:
        for path, data in photos.items():
            disk.put_file(path, data)
            put.append(path)
        disk.put_file(taped, text.encode())
    except BaseException:
        for path in put:
            path.unlink(missing_ok=True)
        raise
