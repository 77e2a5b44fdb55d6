"""Which readings each part family rests on, all of them at once: every field without which it is
not made, and of what is held under load every field without which there are no loads, since
nothing of it is cut before.

They are kept beside each family, ``coil_seat.needs.csv`` for ``coil_seat.py``, so that asking what
is still needed neither loads a family nor designs a truck. ``python -m
soapstone.parts.truck.needs`` writes them again: it takes the fields out of the invented trucks one
by one and sees what is still made. Tests hold them against trucks that have only what they name.
"""

from __future__ import annotations

import copy
import csv
import io
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from ..model.codes import side_of
from ..model.terms import Word

if TYPE_CHECKING:
    from .truck import Truck

BESIDE = Path(__file__).parents[1] / "pieces"
ENDING = ".needs.csv"
INVENTED = ("demo", "demo_uneven")
"""Trucks of ``layout/data`` that are tried."""
TomlTable = dict[str, object]
"""Tables of a job file, as TOML gives them."""


class Cut(Word):
    """When a family's parts are cut: before the loads are known, with them, or nothing of it is."""

    FIRST = "first"
    THEN = "then"
    NEVER = "never"


class Needs(NamedTuple):
    """A family's code and title, when it is cut, and the fields of the job file without which none
    of it is.
    """

    code: str
    title: str
    cut: Cut
    fields: frozenset[str]


@cache
def kept() -> tuple[Needs, ...]:
    """Every family in the order of their files, as the file beside it says, and what its fields ask
    for where they say another word than the invented trucks: of a channel, which way it opens.
    """
    return tuple(map(_read, sorted(BESIDE.glob(f"*{ENDING}"))))


def _read(path: Path) -> Needs:
    """A family's file: its code, title and when it is cut, then a line a field."""
    with path.open(encoding="utf-8", newline="") as file:
        (code, title, cut), *fields = csv.reader(file)
    return Needs(code, title, Cut(cut), _with_asked(frozenset(name for (name,) in fields)))


def _with_asked(names: frozenset[str]) -> frozenset[str]:
    """Fields with those that are needed only where one of them says a certain word."""
    from ...layout.job.fields import FIELDS

    asked = {
        field.name
        for field in FIELDS.values()
        if field.needed
        for one in field.when.split(" or ")
        if "=" in one and one.partition("=")[0] in names
    }
    return names | asked


def first_fields() -> frozenset[str]:
    """What the plates that are cut first rest on."""
    return frozenset().union(*(row.fields for row in kept() if row.cut is Cut.FIRST))


def as_csv(row: Needs) -> str:
    """The text of a family's file."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow((row.code, row.title, row.cut))
    writer.writerows((name,) for name in sorted(row.fields))
    return out.getvalue()


def tables(name: str) -> TomlTable:
    """The tables of an invented truck, by the name of its file in ``layout/data``."""
    from importlib.resources import files

    return tomllib.loads(
        Path(str(files("soapstone.layout.data") / f"{name}.toml")).read_text("utf-8")
    )


def without(table: TomlTable, name: str) -> TomlTable:
    """The tables without a field, in every row of its list; ``name`` with a star for the row."""
    left = copy.deepcopy(table)
    *way, last = name.split(".")
    for place in _places(left, way):
        place.pop(last, None)
    return left


def only(table: TomlTable, names: Iterable[str]) -> TomlTable:
    """The tables with these fields alone, and what the job is called and typed in."""
    from ...layout.job.fields import FIELDS

    left = table
    kept_names = set(names)
    for field in FIELDS.values():
        if field.name not in kept_names and field.table not in ("job", "units"):
            left = without(left, field.name)
    return left


def _places(table: TomlTable, way: list[str]) -> Iterator[TomlTable]:
    """The tables at the end of a way, one for each row of the lists on it."""
    if not way:
        yield table
        return
    found = table.get(way[0], {})
    rest = way[2:] if way[1:2] == ["*"] else way[1:]
    for row in found if isinstance(found, list) else [found]:
        if isinstance(row, dict):
            yield from _places(row, rest)


def made(table: TomlTable) -> tuple[Truck, bool]:
    """The truck of some tables, designed without its loads; whether there could be any."""
    from ...layout.job_file import of_table
    from ...layout.loads.basis import missing_for_loads
    from ...layout.setout import solve
    from ..stock import default_shop
    from . import pins
    from .truck import design

    job = of_table(table)
    solved = solve(job)
    return design(
        solved, job.words, pins.good(job.pins, default_shop()), job.chassis
    ), not missing_for_loads(solved.values)


def places(truck: Truck) -> Mapping[str, int]:
    """How many places of each family's file are made: left, right, center."""
    return {
        name: len({side_of(code) for code, made_by in truck.made_by.items() if made_by == name})
        for name in set(truck.made_by.values())
    }


def of_the_invented() -> dict[str, Needs]:
    """What each family's file makes of the invented trucks of ``layout/data``; a minute or two."""
    from ...layout.job.fields import FIELDS
    from ..model.terms import Role
    from .truck import families

    by_name = dict(families())
    first = {name for name, family in by_name.items() if Role.FIRST_CUT in family.roles}
    standing = {family.code for family in by_name.values() if Role.TRUCK in family.roles}
    never = {name for name, family in by_name.items() if family.code in standing}
    found: dict[str, set[str]] = {name: set() for name in by_name}
    unmade = set(by_name)
    for truck_name in INVENTED:
        whole = tables(truck_name)
        there = places(made(whole)[0])
        unmade -= there.keys()
        for field in FIELDS.values():
            if field.table in ("job", "units") or (left := without(whole, field.name)) == whole:
                continue
            rest, loads = made(left)
            still = places(rest)
            for name, count in there.items():
                if still.get(name, 0) < count or not (loads or name in first | never):
                    found[name].add(field.name)
    questions = [field for field in FIELDS.values() if field.is_word and field.instead]
    for own in found.values():  # asked first, so that readings they spare are not asked
        own |= {field.name for field in questions if not own.isdisjoint(field.instead)}
    makers = {port: name for name, family in by_name.items() for port in family.gives}
    for name in unmade:  # what they would stand on
        ports = [makers[port] for port in by_name[name].needs if port in makers]
        found[name] |= set().union(*(found[maker] for maker in ports))
    when = {**dict.fromkeys(first, Cut.FIRST), **dict.fromkeys(never, Cut.NEVER)}
    return {
        name: Needs(family.code, family.title, when.get(name, Cut.THEN), frozenset(found[name]))
        for name, family in by_name.items()
    }


def write(rows: Mapping[str, Needs]) -> None:
    """The files of these families, and no file of a family that is no more."""
    for path in BESIDE.glob(f"*{ENDING}"):
        path.unlink()
    for name, row in rows.items():
        (BESIDE / f"{name}{ENDING}").write_text(as_csv(row), encoding="utf-8")


if __name__ == "__main__":
    write(of_the_invented())
