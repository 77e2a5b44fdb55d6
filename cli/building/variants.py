"""A file of variants: one job in every frame, height or axle it comes in, each with each other.

job = "T1.toml"

[[variant]]
of = "height"
name = "low"
set = { "ride.height" = "22 1/2" }
"""

from __future__ import annotations

import itertools
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from ...layout.faults import Exit, Fault, SoapstoneError, as_typed, no_toml, tables_of
from ...layout.job.load import SLUG

MOST = 1000
"""Trucks of one file."""
WORDS = {"of", "name", "set"}
ROW = '[[variant]] with of = "height", name = "low" and set = { "field" = "value" }'


class ToBuild(NamedTuple):
    """A job file, and what is put in its place: lines by the name of their field."""

    job: Path
    put: Mapping[str, object]


class _Row(NamedTuple):
    """One form a job comes in: of what, its name, the lines it has of its own."""

    of: str
    name: str
    put: Mapping[str, object]


def named_in(path: Path) -> list[ToBuild]:
    """The trucks a file names: itself where it is a job, else its variants, the first row of each
    kind first.

    Raises SoapstoneError (JOB_FILE) with every fault of a file of variants.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
        table = tables_of(text)
    except (OSError, UnicodeDecodeError):
        return [ToBuild(path, {})]  # whoever loads the job says what is wrong with it
    except tomllib.TOMLDecodeError as error:
        if "[[variant]]" not in text:
            return [ToBuild(path, {})]
        raise SoapstoneError(Exit.JOB_FILE, [no_toml(path, text, error)]) from None
    if "variant" not in table:
        return [ToBuild(path, {})]
    return _variants(path, table)


def _variants(path: Path, table: Mapping[str, object]) -> list[ToBuild]:
    faults = [
        Fault(f"{path}: {word}", as_typed(table[word]), f"job and {ROW}", "take it out")
        for word in sorted(table.keys() - {"job", "variant"})
    ]
    base = table.get("job")
    if not isinstance(base, str) or not (path.parent / base).is_file():
        known = 'job = "T1.toml", a job file beside this one'
        faults.append(Fault(f"{path}: job", as_typed(base), known, "name the job that varies"))
    rows, wrong = _rows(path, table["variant"])
    faults += wrong
    kinds = [[row for row in rows if row.of == of] for of in dict.fromkeys(row.of for row in rows)]
    count = len(list(itertools.islice(itertools.product(*kinds), MOST + 1)))
    if count > MOST:
        faults.append(
            Fault(f"{path}: variant", f"over {MOST}", f"up to {MOST} trucks", "split the file")
        )
    found: list[ToBuild] = []
    if not faults:
        found, faults = _crossed(path, path.parent / str(base), kinds)
    if faults:
        raise SoapstoneError(Exit.JOB_FILE, faults)
    return found


def _rows(path: Path, rows: object) -> tuple[list[_Row], list[Fault]]:
    """The rows of a file, and what is wrong with others."""
    found: list[_Row] = []
    faults = []
    for number, row in enumerate(rows if isinstance(rows, list) else [rows], 1):
        where = f"{path}: variant {number}"
        if not isinstance(row, dict) or not row.keys() <= WORDS:
            faults.append(Fault(where, as_typed(row), ROW, "write it so"))
            continue
        of, name, put = row.get("of"), row.get("name"), row.get("set", {})
        if not isinstance(of, str) or not isinstance(name, str) or not isinstance(put, dict):
            faults.append(Fault(where, as_typed(row), ROW, "write it so"))
        elif not SLUG.fullmatch(name):
            allowed = "1 to 24 letters, digits, - and _"
            faults.append(
                Fault(
                    f"{where} name", as_typed(name), allowed, "it becomes part of a folder's name"
                )
            )
        elif any(each.of == of and each.name == name for each in found):
            faults.append(
                Fault(f"{where} name", as_typed(name), f"each once of {of}", "give it another")
            )
        else:
            found.append(_Row(of, name, put))
    return found, faults


def _crossed(
    path: Path, base: Path, kinds: Sequence[Sequence[_Row]]
) -> tuple[list[ToBuild], list[Fault]]:
    """Every row of a kind with every row of the others."""
    chassis = _chassis(base)
    found = []
    faults = []
    for rows in itertools.product(*kinds):
        name = "-".join([chassis, *(row.name for row in rows)])
        put: dict[str, object] = {}
        for row in rows:
            for field in put.keys() & row.put.keys():
                said = f"{path}: {row.of} {row.name}, {field}"
                other = next(each.of for each in rows if field in each.put)
                remedy = f"{other} puts it too: which of the two is it?"
                faults.append(Fault(said, as_typed(row.put[field]), "each field once", remedy))
            put |= row.put
        if not SLUG.fullmatch(name):
            allowed = "chassis and names together up to 24 letters, digits, - and _"
            faults.append(Fault(f"{path}: chassis", name, allowed, "shorten the names"))
        found.append(ToBuild(base, {**put, "job.chassis": name}))
    return found, list(dict.fromkeys(faults))


def _chassis(base: Path) -> str:
    """The name of the job that varies; empty where the job's own loader has something to say."""
    try:
        said = tables_of(base.read_text(encoding="utf-8-sig")).get("job", {})
    except (OSError, ValueError):
        return ""
    return str(said.get("chassis", "")) if isinstance(said, dict) else ""
