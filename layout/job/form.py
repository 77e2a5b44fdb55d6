"""The job file as a form: a blank job in the order of the walk, whole or only some of its fields,
and fields added to a job's text without losing what stands in it.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Collection, Iterable, Mapping

from ..faults import Exit, Fault, SoapstoneError
from .fields import FIELDS, LEAST_ROWS, LISTS, TABLES, Field
from .load import filled
from .walk import STOPS, stop_of

SCHEMA = "soapstone.schema.json"
"""File beside the job file that tells an editor its fields."""
POINTER = f"#:schema ./{SCHEMA}"
"""First line of a job or shop file, as language servers of TOML read it."""
GIVEN: Mapping[str, str] = {
    "units.length": "in",
    "units.angle": "deg",
    "units.force": "lbf",
    "units.rate": "lbf/in",
    "units.torsion": "in*lbf/deg",
}
HOW = (
    '# Fill in between the quotes; "" is not read yet. A bare number is in [units], or type the'
    ' unit: "23 7/16", "1\' 11 1/2\\"", "595.3 mm".',
    '# Both sides: { left = "..", right = ".." }; the same left and right: { both = ".." }.',
    '# Read twice: { value = "23 7/16", again = ["23 1/2"], plus_minus = "1/16", by = "..",'
    ' date = "2026-01-31", with = "tape 2" }.',
    "# Ahead (+) and behind (-) are from the full-bump plumb line: the line across the floor under"
    " the axle center",
    "# with the axle all the way up. Set the frame on stands at ride height, mark that line once,"
    " tape everything from it.",
)
_HEAD = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.-]+)\s*\]\]?\s*(?:#.*)?$")


def blank_job(chassis: str, names: Collection[str] | None = None) -> str:
    """A job file to fill in, in the order of the walk, that loads as it is: only chassis and units
    are filled in.

    ``names``: fields it has, by their declared names, beside what the job is called and the units;
    every field if None.
    """
    every = names is None
    asked = {*(names or ()), *GIVEN}
    fields = [
        field for field in FIELDS.values() if every or field.table == "job" or field.name in asked
    ]
    lines = [POINTER, *HOW, ""]
    stop = -1
    for table, now in _tables(fields):
        if now != stop:
            stop = now
            lines += [f"# ---- {STOPS[stop][0]} ----", ""]
        lines.append(f"[{table}]")
        own = [field for field in fields if field.table == table]
        lines += [
            line for field in own if "*" not in field.name for line in _lines(field, table, chassis)
        ]
        lines.append("")
        for name in (name for name in LISTS if name.split(".")[0] == table):
            lines += _rows(name, [field for field in own if field.name.startswith(f"{name}.*.")])
    return "\n".join(lines)


def _tables(fields: Iterable[Field]) -> list[tuple[str, int]]:
    """Tables of these fields in the order of the walk, each at the last stop one of them is
    taken at.
    """
    stops: dict[str, int] = {}
    for field in fields:
        stops[field.table] = max(stop_of(field.name), stops.get(field.table, 0))
    order = {name: place for place, name in enumerate(TABLES)}
    return sorted(stops.items(), key=lambda row: (row[1], order[row[0]]))


def _rows(name: str, fields: Collection[Field]) -> list[str]:
    """The rows of a list: as many as there must be, or one behind # where there may be none."""
    least = LEAST_ROWS[name]
    if not fields:
        return []
    found: list[str] = []
    for number in range(max(1, least)):
        told = "   # a row for each, at least two" if number == 0 and least > 1 else ""
        if not least:
            found.append("# A row for each there is; take the # away:")
        row = [f"[[{name}]]{told}"]
        row += [line for field in fields for line in _lines(field, f"{name}.*")]
        found += row if least else [line if line.startswith("# ") else f"#{line}" for line in row]
        found.append("")
    return found


def _lines(field: Field, base: str, chassis: str = "") -> list[str]:
    """A field to fill in: where and how it is taken, then its line under the table ``base``."""
    name = field.name.removeprefix(f"{base}.")
    given = chassis if field.name == "job.chassis" else GIVEN.get(field.name, "")
    value = json.dumps(given)
    if field.sided and not field.is_word:
        value = '{ left = "", right = "" }'
    need = ""
    if field.default is not None:
        need = " (usual value if left empty)"
    elif field.when:
        need = f" (only with {field.when})"
    elif not field.needed and field.table not in ("job", "units"):
        need = " (if there is one)"
    mark = "SAFETY " if field.safety else ""
    state = f", at {field.state} height" * (field.state not in ("any", "said", *field.how.split()))
    how = f"# {mark}{field.sheet_code} {field.how}{state}; {field.range_text()}{need}"
    return [how, f"{name} = {value}"]


def with_fields(text: str, names: Collection[str]) -> tuple[str, list[str]]:
    """A job's text with empty lines for those of ``names`` it has none for, each in its table;
    which fields these are. Nothing that stands in the text is changed.

    ``names``: declared names of fields. Raises TOMLDecodeError for what is no TOML, and a fault
    (JOB_FILE) where the text is laid out so that no line can be added.
    """
    table = tomllib.loads(text)
    new = [
        field for field in FIELDS.values() if field.name in names and not _has(table, text, field)
    ]
    if not new:
        return text, []
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    heads = [name for name, _, _ in _blocks(lines)]
    homes: dict[str, list[Field]] = {}
    for field in new:
        homes.setdefault(_home(field, heads), []).append(field)
    for home, fields in homes.items():
        lines = _in_rows(lines, home, fields) if home in LISTS else _in_table(lines, home, fields)
    made = end.join(lines) + end
    try:
        kept = _without_empty_rows(made) == _without_empty_rows(text)
    except tomllib.TOMLDecodeError:
        kept = False
    if not kept:
        allowed = f"a table [{'], ['.join(homes)}] with a line for each field"
        remedy = "write these fields in by hand: soapstone new --all shows a line for each"
        raise SoapstoneError(Exit.JOB_FILE, [Fault("job file", "", allowed, remedy)])
    return made, [field.name for field in new]


def has_line(text: str) -> frozenset[str]:
    """Fields that a job's text has a line for, filled in or not."""
    table = tomllib.loads(text)
    return frozenset(field.name for field in FIELDS.values() if _has(table, text, field))


def _without_empty_rows(text: str) -> dict[str, object]:
    """What a text says, without its empty tables and rows."""

    def said(value: object) -> object:
        if isinstance(value, list):
            return [own for own in map(said, value) if own not in ({}, [])]
        if isinstance(value, dict):
            rest = {word: said(own) for word, own in value.items()}
            return {word: own for word, own in rest.items() if own not in ({}, [])}
        return value

    rest = {word: said(own) for word, own in filled(tomllib.loads(text)).items()}
    return {word: own for word, own in rest.items() if own not in ({}, [])}


def _home(field: Field, heads: Collection[str]) -> str:
    """Where a field's line belongs: the list it stands in a row of, else the table nearest to it
    among ``heads``, else its first table.
    """
    for name in LISTS:
        if field.name.startswith(f"{name}.*."):
            return name
    near = [head for head in heads if field.name.startswith(f"{head}.")]
    return max(near, key=len, default=field.table)


def _has(table: Mapping[str, object], text: str, field: Field) -> bool:
    """Whether a job has a line for a field, filled in or not; of a list in every row, and where
    there is no row, one to fill in behind #.
    """
    here: list[object] = [table]
    for word in field.name.split("."):
        if word != "*":
            found = [row.get(word) for row in here if isinstance(row, dict)]
            here = [own for each in found for own in (each if isinstance(each, list) else [each])]
        elif here in ([], [None]):
            return f"#[[{_home(field, ())}]]" in text
    return bool(here) and None not in here


def _blocks(lines: list[str]) -> list[tuple[str, int, int]]:
    """Name of every table and row in a text, its first line, and the place after its last line
    that says anything.
    """
    heads = [(head[2], number) for number, line in enumerate(lines) if (head := _HEAD.match(line))]
    found = []
    for (name, start), (_, after) in zip(heads, [*heads[1:], ("", len(lines))], strict=True):
        end = after
        while end > start + 1 and not lines[end - 1].partition("#")[0].strip():
            end -= 1
        found.append((name, start, end))
    return found


def _in_table(lines: list[str], home: str, fields: Collection[Field]) -> list[str]:
    """The lines with these fields at the end of their table, which is begun where there is none."""
    own = [line for field in fields for line in _lines(field, home)]
    blocks = _blocks(lines)
    for name, _, end in blocks:
        if name == home:
            return [*lines[:end], *own, *lines[end:]]
    below = [start for name, start, _ in blocks if name.startswith(f"{home}.")]
    at = min(below, default=len(lines))
    return [*lines[:at], "", f"[{home}]", *own, "", *lines[at:]]


def _in_rows(lines: list[str], home: str, fields: Collection[Field]) -> list[str]:
    """The lines with these fields in every row of their list that lacks them; rows of its own
    after everything of the same table where there is none.
    """
    blocks = _blocks(lines)
    table = home.partition(".")[0]
    if all(name != home for name, _, _ in blocks):
        ends = [end for name, _, end in blocks if name.split(".")[0] == table]
        at = max(ends, default=len(lines))
        return [*lines[:at], "", *_rows(home, fields)[:-1], *lines[at:]]
    for _, start, end in reversed([block for block in blocks if block[0] == home]):
        row = tomllib.loads("\n".join(["[row]", *lines[start + 1 : end]]))["row"]
        own = [
            line
            for field in fields
            if not _has({"row": row}, "", field._replace(name=f"row{field.name[len(home) + 2 :]}"))
            for line in _lines(field, f"{home}.*")
        ]
        lines = [*lines[:end], *own, *lines[end:]]
    return lines
