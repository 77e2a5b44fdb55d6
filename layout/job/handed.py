"""What the phone's form hands back: one file, read whole and held against the job before anything
is taken of it.
"""

from __future__ import annotations

import base64
import binascii
import json
import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple, TypeAlias

from ..faults import Exit, Fault, SoapstoneError, as_typed
from .field import STATES
from .fields import field_of, nearest
from .reading import day

FORM = 1
"""Number of the form, raised whenever what it hands back changes."""
MOST_BYTES = 120_000_000
"""Of a file handed back, photos in it."""
MOST_PHOTO = 6_000_000
"""Bytes of one photo as the form scales it, with room to spare."""
MOST_PHOTOS = 12
"""Of one reading."""
MOST_REMARK = 200
"""Characters of a remark or a reason."""
FRESH = "write a fresh form with readings --form and go on from this file in it"
_PHOTO = re.compile(r"data:image/jpeg;base64,([A-Za-z0-9+/=]*)")
_MARK = "soapstone form"
Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"


class Said(NamedTuple):
    """What was said beside a reading: ``cannot``: why it cannot be measured; ``photos``: JPEG bytes
    as they came.
    """

    path: str
    cannot: str
    remark: str
    photos: tuple[bytes, ...]
    by: str
    date: str


class HandedBack(NamedTuple):
    """A file handed back, whole and well formed.

    ``taken``: readings by path as the taped file holds them; ``said``: what stands beside them.
    """

    taken: dict[str, object]
    said: tuple[Said, ...]


def handed_back(data: bytes, called: str, chassis: str, known: Mapping[str, str]) -> HandedBack:
    """A handed-back file's readings for a job.

    ``data``: its bytes; ``called``: its name, for the faults; ``chassis``: the job's; ``known``:
    what the job says by path. Raises (JOB_FILE) with every fault: another job's form, an older one,
    one path with two values, what was changed in the job since, a remark with markup. Ranges are
    checked where the whole job is read.
    """
    table = _table(data, called)
    whose = str(table.get("chassis", ""))
    if whose != chassis:
        allowed, remedy = f"the form of {chassis}", "take it with the job it belongs to"
        raise _refused(called, [Fault("the form", f"form of {whose[:24]}", allowed, remedy)])
    rows = table.get("readings")
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise _refused(called, [Fault(called, "", "a list of readings", FRESH)])
    reader = _Reader(known)
    for row in rows:
        if isinstance(row, dict):
            reader.row(row)
    if reader.faults:
        raise _refused(called, reader.faults)
    return HandedBack(reader.taken, tuple(reader.said.values()))


def _refused(called: str, faults: list[Fault]) -> SoapstoneError:
    return SoapstoneError(Exit.JOB_FILE, faults, f"{called}: nothing was taken")


def _table(data: bytes, called: str) -> dict[str, Json]:
    """The file as a table of its form's number and no other."""
    says = "a file that the form on the phone handed back"
    if len(data) > MOST_BYTES:
        typed, allowed = f"{len(data) // 1_000_000} MB", f"up to {MOST_BYTES // 1_000_000} MB"
        remedy = "hand back in two parts, or leave photos out"
        raise _refused(called, [Fault(called, typed, allowed, remedy)])
    try:
        found = json.loads(data.decode("utf-8"), object_pairs_hook=_once_each)
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        remedy = "press Hand back on the phone again and copy the file whole"
        raise _refused(called, [Fault(called, str(error), says, remedy)]) from None
    if not isinstance(found, dict) or _MARK not in found:
        remedy = "choose the file the form saved on the phone"
        raise _refused(called, [Fault(called, "", says, remedy)])
    number = found[_MARK]
    if number != FORM:
        older = isinstance(number, int) and number < FORM
        typed = f"{'an older' if older else 'another'} form, number {number}"
        raise _refused(called, [Fault("the form", typed, f"form number {FORM}", FRESH)])
    return found


def _once_each(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    """A table; ValueError where a name stands twice, of which JSON would keep the last."""
    table = dict(pairs)
    if len(table) != len(pairs):
        raise ValueError("a name stands twice in it")
    return table


class _Reader:
    """Goes through the rows once and gathers what is taken, what is said and every fault."""

    def __init__(self, known: Mapping[str, str]) -> None:
        self.known = known
        self.taken: dict[str, object] = {}
        self.said: dict[str, Said] = {}
        self.faults: list[Fault] = []
        self.seen: dict[str, dict[str, Json]] = {}

    def row(self, row: dict[str, Json]) -> None:
        path = str(row.get("path", ""))[:80]
        name = re.sub(r"\.(left|right)$", "", path)
        try:
            field = field_of(name)
        except KeyError:
            self.faults.append(Fault(path, "", "a reading of today's form", nearest(name)))
            return
        if row.get("code") != field.sheet_code:
            typed = f"an older form, {str(row.get('code'))[:12]}"
            self.faults.append(Fault(path, typed, field.sheet_code, FRESH))
            return
        before = self.seen.setdefault(path, row)
        if before is not row and before != row:
            typed = f"{before.get('value')} and {row.get('value')}"
            remedy = "say on the phone which one holds, the other as second reading"
            self.faults.append(Fault(path, typed, "one value", remedy))
            return
        faults = list(self._faults(path, row))
        self.faults += faults
        if not faults:
            self._take(path, row, field.is_word)

    def _faults(self, path: str, row: dict[str, Json]) -> Iterator[Fault]:
        """What is wrong with one row beside its range."""
        for what in ("cannot", "remark", "by", "with"):
            yield from _plain_words(f"{path} {what}", row.get(what, ""))
        if row.get("date") and day(row["date"]) is None:
            remedy = "write it as year-month-day, 2024-05-17"
            yield Fault(f"{path} date", str(row["date"]), "a day, as 2024-05-17", remedy)
        if row.get("state", "") not in ("", *STATES):
            remedy = "say on the phone how the truck stood"
            yield Fault(f"{path} state", str(row["state"]), " | ".join(STATES), remedy)
        now, value = self.known.get(path, ""), row.get("value", "")
        if value and now not in (row.get("was", ""), row.get("sent"), value):
            remedy = "since this form was written; write a fresh form, and settle which one holds"
            yield Fault(path, f"{value}, where the job now says {now}", "one value", remedy)
        if not isinstance(value, str) or not isinstance(row.get("again", []), list):
            yield Fault(path, as_typed(value), "a reading as text", FRESH)
        if value and row.get("cannot"):
            remedy = "take one of them away on the phone"
            yield Fault(path, as_typed(value), "a reading, or why it cannot be measured", remedy)
        photos = row.get("photos", [])
        if not isinstance(photos, list) or len(photos) > MOST_PHOTOS:
            yield Fault(f"{path} photos", "", f"up to {MOST_PHOTOS}", "leave some out")
        elif any(_photo(photo) is None for photo in photos):
            allowed = f"a photo as the form keeps it, up to {MOST_PHOTO // 1_000_000} MB"
            yield Fault(f"{path} photo", "not one", allowed, "take the photo again in the form")

    def _take(self, path: str, row: dict[str, Json], word: bool) -> None:
        by, date = str(row.get("by", "")), str(row.get("date", ""))
        value = row.get("value", "")
        if value:
            said = ("again", "state", "by", "date", "with")
            beside = {what: row[what] for what in said if row.get(what)}
            self.taken[path] = value if word or not beside else {"value": value, **beside}
        cannot, remark = str(row.get("cannot", "")), str(row.get("remark", ""))
        listed = row.get("photos", [])
        photos = tuple(filter(None, map(_photo, listed))) if isinstance(listed, list) else ()
        if cannot or remark or photos:
            self.said[path] = Said(path, cannot, remark, photos, by, date)


def _plain_words(where: str, text: Json) -> Iterator[Fault]:
    if not isinstance(text, str) or len(text) > MOST_REMARK:
        yield Fault(where, str(text), f"up to {MOST_REMARK} characters", "shorten it")
    elif "<" in text or ">" in text:
        yield Fault(where, text, "plain words", "leave out < and >: say less than, more than")
    elif not text.isprintable():
        yield Fault(where, text, "plain words on one line", "take out what is no letter")


def _photo(photo: Json) -> bytes | None:
    """Bytes of a photo, None for what is none; whether they are a picture is seen later."""
    found = _PHOTO.fullmatch(photo) if isinstance(photo, str) else None
    if found is None:
        return None
    try:
        data = base64.b64decode(found[1], validate=True)
    except binascii.Error:
        return None
    return data if 0 < len(data) <= MOST_PHOTO else None
