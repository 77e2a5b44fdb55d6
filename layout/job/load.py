"""TOML job file to readings.

Every fault of the file is found in one run; a missing reading is owed, not a fault.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple

from .. import units
from ..faults import UNSEEN, Exit, Fault, SoapstoneError, as_typed, no_toml, tables_of
from ..quantities import SIDE_OF, SIDES, Key, Reading
from . import fixed, reading
from .bolted import misfits
from .cross import contradictions
from .fields import FIELDS, LISTS, OTHER_TABLES, TABLES, Field, nearest, pattern
from .owed import owed
from .solid_file import SolidFile
from .taped import overlaid, taped_path, taped_rows

SLUG = re.compile(r"(?!(?i:con|prn|aux|nul|com\d|lpt\d)$)[A-Za-z0-9_-]{1,24}")
"""A chassis: it names a folder on any desk, so no word that Windows keeps for itself."""
MAX_BYTES = 1_000_000
LEAST_WORDS, MOST_WORDS = 2, 120
"""Characters of a name or a reason in [override]."""
STOCK = {"arms.tube_stock": "arms", "arms.upper_tube_stock": "upper_arms"}
"""Fields that name a tube by its stock key, and the part family it is for."""
NOTHING: Mapping[str, object] = MappingProxyType({})
OVERRIDES = {"new_bottom_holes": "new holes in the rail's bottom for the crossmember's foot"}


class Job(NamedTuple):
    """A job file as read: readings in internal units, words as typed.

    ``fixed``: results given as measured ([fixed]); ``both``: names read once for left and right
    ({both = ..}): one reading, one error; ``solids``: surfaces read from files it names, by the
    row that does.
    """

    readings: dict[Key, Reading]
    words: dict[str, str]
    counts: dict[str, int]
    pins: dict[str, object]
    owed: tuple[Key, ...]
    sha256: str
    chassis: str
    fixed: dict[Key, Reading]
    both: frozenset[str]
    solids: Mapping[str, SolidFile] = {}


Results = Mapping[str, tuple[str, bool]]
"""Names [fixed] takes: what can be solved, with the kind of its unit and whether it has sides."""


def read(
    path: Path,
    results: Results,
    taped: str | None = None,
    put: Mapping[str, object] = NOTHING,
) -> Job:
    """Read a job file with the taped file beside it, or with the text of one; ``put``: what stands
    in its place, by the name of the field, dots between.

    Raises SoapstoneError(JOB_FILE) with every fault.
    """
    raw, table = _parsed(path)
    beside = taped_path(path)
    if taped is None and beside.is_file():
        taped = beside.read_text(encoding="utf-8-sig", errors="replace")
    table = filled(table)
    if taped:
        try:
            table = overlaid(table, taped_rows(taped))
        except tomllib.TOMLDecodeError as error:
            raise SoapstoneError(
                Exit.JOB_FILE,
                [Fault(f"{beside}: {error}", "", "TOML text", "take the measuring sheet in again")],
            ) from None
    more = (taped or "") + (repr(sorted(put.items())) if put else "")
    sha256 = hashlib.sha256(raw + more.encode()).hexdigest()
    return of_table(overlaid(table, put) if put else table, results, sha256)


def _no_job(path: Path, typed: str, allowed: str, remedy: str) -> SoapstoneError:
    return SoapstoneError(Exit.JOB_FILE, [Fault(str(path), typed, allowed, remedy)])


def _parsed(path: Path) -> tuple[bytes, dict[str, object]]:
    """A job file's bytes and its tables."""
    if path.is_dir():
        raise _no_job(path, "", "a job file", "this is a folder; name the job file in it")
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        remedy = "there is no such file; check the name"
        raise _no_job(path, "", "a job file", remedy) from None
    if len(raw) > MAX_BYTES:
        remedy = "a job file is a few pages; is this the right file?"
        raise _no_job(path, f"{len(raw)} bytes", f"up to {MAX_BYTES} bytes", remedy)
    try:
        table = tables_of(raw.decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [no_toml(path, raw.decode("utf-8", "replace"), error)],
        ) from None
    return raw, table


def of_table(table: dict[str, object], results: Results, sha256: str = "") -> Job:
    """The job of a parsed file.

    ``table``: the TOML tree; ``results``: what [fixed] may name; ``sha256``: of the file's bytes,
    empty where there is no file. Raises SoapstoneError(JOB_FILE) with every fault.
    """
    return _Loader(filled(table), results).job(sha256)


def filled(table: dict[str, object]) -> dict[str, object]:
    """The tables without what was left empty: a form is filled in between its quotes, so that ""
    is a reading that nobody took yet. Rows of lists stay, empty or not.

    >>> filled({"axle": {"kpi": "", "rake": {"left": "", "right": ""}, "tube": {"left": 1}}})
    {'axle': {'tube': {'left': 1}}}
    """

    def kept(value: object) -> object:
        if isinstance(value, list):
            return [kept(row) if isinstance(row, dict) else row for row in value]
        if not isinstance(value, dict) or not value:
            return value
        rest = {word: kept(own) for word, own in value.items() if own != ""}
        return {word: own for word, own in rest.items() if own != {} or value[word] == {}}

    return {name: kept(rows) if name in TABLES else rows for name, rows in table.items()}


def _is_line(value: object) -> bool:
    """Whether it is a name or a reason: text of a few words on one line."""
    if not isinstance(value, str) or not value.isprintable():
        return False
    return LEAST_WORDS <= len(value.strip()) <= MOST_WORDS


class _Loader:
    """Walks the tables once and gathers readings, words and faults."""

    def __init__(self, table: dict[str, object], results: Results) -> None:
        self.table = table
        self.results = results
        self.faults: list[Fault] = []
        self.readings: dict[Key, Reading] = {}
        self.words: dict[str, str] = {}
        self.counts: dict[str, int] = {}
        self.both: set[str] = set()
        self.tools: dict[str, float] = {}
        said = table.get("units")
        self.units = (
            {key: typed for key, typed in said.items() if isinstance(typed, str)}
            if isinstance(said, dict)
            else {}
        )

    def job(self, sha256: str) -> Job:
        for kind, unit in self.units.items():
            if kind in units.SHORT:
                try:
                    units.factor(unit, kind)
                except units.UnitError as error:
                    self._fault(f"units.{kind}", unit, " or ".join(units.SHORT[kind]), str(error))
        # [units] first: the plus-minus of the shop's tape and finder go into every reading taken
        # with them
        for name, rows in sorted(self.table.items(), key=lambda row: row[0] != "units"):
            if name in OTHER_TABLES:
                continue
            if name not in TABLES or not isinstance(rows, dict):
                self.faults.append(
                    Fault(
                        f"[{name}]",
                        "",
                        "one of the tables " + " ".join(TABLES),
                        nearest(name, TABLES),
                    )
                )
                continue
            self._table(name, rows)
            if name == "units":
                self._tools()
        self._chassis()
        self.faults += contradictions(self.readings, self.words, self.counts)
        self.faults += misfits(self.words)
        self._two_tubes()
        fixed = self._fixed()
        self._overrides()
        if self.faults:
            raise SoapstoneError(Exit.JOB_FILE, self.faults)
        still = owed(self.words, self.readings, self.counts)
        self._defaults()
        return Job(
            readings=self.readings,
            words=self.words,
            counts=self.counts,
            pins=self._pins(),
            owed=still,
            sha256=sha256,
            chassis=self.words["job.chassis"],
            fixed=fixed,
            both=frozenset(self.both),
        )

    def _table(self, path: str, rows: dict[str, object]) -> None:
        for word, value in rows.items():
            name = f"{path}.{word}"
            if isinstance(value, list) and name in LISTS:
                self.counts[name] = len(value)
                for number, row in enumerate(value, 1):
                    (
                        self._table(f"{name}.{number}", row)
                        if isinstance(row, dict)
                        else self._fault(name, value, "tables", "write [[" + name + "]]")
                    )
                continue
            field = FIELDS.get(pattern(name))  # a table's own name is no field, nor misspelled
            if field is None:
                if isinstance(value, dict) and any(
                    known.startswith(pattern(name) + ".") for known in FIELDS
                ):
                    self._table(name, value)
                else:
                    self._fault(
                        name[:80], value, "a known field", f"no such field; {nearest(name)}"
                    )
                continue
            self._field(name, field, value)

    def _fault(self, field: str, typed: object, allowed: str, remedy: str) -> None:
        self.faults.append(Fault(field, as_typed(typed), allowed, remedy))

    def _field(self, name: str, field: Field, value: object) -> None:
        if field.is_word:
            self._word(name, field, value)
        elif not field.sided:
            self._reading(Key(name, "C"), field, value)
        elif isinstance(value, dict) and set(value) == {"both"}:
            self.both.add(name)
            for side in SIDES:
                self._reading(Key(name, side), field, value["both"])
        elif isinstance(value, dict) and value and set(value) <= set(SIDE_OF):
            for word, typed in value.items():
                self._reading(Key(name, SIDE_OF[word]), field, typed)
        else:
            self._fault(
                name,
                value,
                "{left = .., right = ..} or {both = ..}",
                "this one is read on both sides: say which",
            )

    def _word(self, name: str, field: Field, value: object) -> None:
        text = str(value)
        if field.kind == "date":
            found = reading.day(value)
            if found is None:
                self._fault(name, value, field.range_text(), field.remedy)
            else:
                self.words[name] = found
        elif not isinstance(value, str):
            self._fault(name, value, field.range_text(), "put it in quotes")
        elif len(text) > field.high or not text.isprintable():
            remedy = "shorten it" if len(text) > field.high else UNSEEN
            self._fault(name, text, f"up to {int(field.high)} characters on one line", remedy)
        elif field.words and text not in field.words:
            self._fault(name, text, field.range_text(), field.remedy)
        else:
            self.words[name] = text

    def _reading(self, key: Key, field: Field, value: object) -> None:
        found, faults = reading.read(key, field, value, self.units, self.tools)
        self.faults += faults
        if found is not None:
            self.readings[key] = found

    def _fixed(self) -> dict[Key, Reading]:

        table = self.table.get("fixed", {})
        if not table:
            return {}
        if not isinstance(table, dict):
            self._fault("fixed", table, "a table", "write [fixed]")
            return {}
        found, faults = fixed.read(table, self.units, self.results, self.tools)
        self.faults += faults
        return found

    def _overrides(self) -> None:
        """[override]: a rule set aside by name, with who says so and why; kept as words, printed
        where it is used.
        """
        table = self.table.get("override", {})
        for name, row in table.items() if isinstance(table, dict) else ():
            if name not in OVERRIDES:
                self._fault(
                    f"override.{name}"[:80],
                    row,
                    " | ".join(OVERRIDES),
                    "no other rule can be set aside",
                )
            elif (
                not isinstance(row, dict)
                or set(row) != {"by", "reason"}
                or not all(map(_is_line, row.values()))
            ):
                self._fault(
                    f"override.{name}",
                    row,
                    '{ by = "who", reason = "why" }',
                    "an override needs a name and a reason; both are printed",
                )
            else:
                self.words[f"override.{name}"] = f"{row['by']}: {row['reason']}"
        if not isinstance(table, dict):
            self._fault("override", table, "a table", "write [override]")

    def _two_tubes(self) -> None:
        table = self.table.get("pin", {})
        if not isinstance(table, dict):
            self._fault("pin", table, "tables of sizes", "write [pin.coil_seat]")
            return
        for name, family in STOCK.items():
            row = table.get(family)
            pinned = row.get("tube") if isinstance(row, dict) else None
            if name in self.words and pinned not in (None, self.words[name]):
                says = f"the same as [pin.{family}] tube = {pinned!r}"
                self._fault(name, self.words[name], says, "name the tube in one place")

    def _pins(self) -> dict[str, object]:
        """[pin], with the tubes that [arms] names by their stock key."""
        table = self.table.get("pin", {})
        pins: dict[str, object] = dict(table) if isinstance(table, dict) else {}
        for name, family in STOCK.items():
            own = pins.get(family, {})
            if name in self.words and isinstance(own, dict):
                pins[family] = {"tube": self.words[name], **own}
        return pins

    def _tools(self) -> None:
        """Plus-minus of the shop's own tape and angle finder."""
        for tool, name in reading.TOOLS.items():
            found = self.readings.get(Key(name, "C"))
            if found is not None:
                self.tools[tool] = float(found.value)

    def _chassis(self) -> None:
        name = self.words.get("job.chassis", "")
        if not SLUG.fullmatch(name) and not any(
            fault.field == "job.chassis" for fault in self.faults
        ):
            self._fault(
                "job.chassis",
                name,
                "1 to 24 of A-Z a-z 0-9 _ -",
                "it names the folder and every part: no spaces, dots or slashes, and no word that"
                " Windows keeps for itself, as con, aux or com1",
            )

    def _defaults(self) -> None:
        """Defaults for what nobody read; a safety field never takes one."""
        for field in FIELDS.values():
            if (
                field.default is not None
                and not field.safety
                and not field.is_word
                and "*" not in field.name
            ):
                for side in field.sides():
                    key = Key(field.name, side)
                    if key not in self.readings:
                        self.readings[key] = Reading(
                            key=key,
                            typed=(),
                            value=float(field.default),
                            half_width=field.half_width,
                            state=field.state,
                            by="",
                            date="",
                            role=field.role,
                            assumed=True,
                        )
