"""Which readings each part family rests on, all of them at once: its own, those of what it stands
on, and those of the loads its sizes are chosen by.

They are kept in ``needs.csv`` beside this file, so that asking what is still needed does not design
a truck; ``python -m soapstone.parts.truck.needs`` writes it again, and a test holds it against the
invented trucks.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from ...layout.graph import Graph
    from ...layout.quantities import Key
    from .truck import Truck

KEPT = Path(__file__).with_name("needs.csv")
COLUMNS = ("code", "title", "fields")


class Needs(NamedTuple):
    """A family's code and title, and the fields of the job file it rests on."""

    code: str
    title: str
    fields: frozenset[str]


@cache
def kept() -> tuple[Needs, ...]:
    """Every family in the order they are built, as the file beside this one says."""
    with KEPT.open(encoding="utf-8", newline="") as file:
        return tuple(
            Needs(row["code"], row["title"], frozenset(row["fields"].split()))
            for row in csv.DictReader(file)
        )


def worked(made: Iterable[tuple[Truck, Graph]]) -> tuple[Needs, ...]:
    """The same from designed trucks, each with its layout: what any of them rests on."""
    from .truck import families

    by_name = dict(families())
    found: dict[str, set[str]] = {name: set() for name in by_name}
    for truck, solved in made:
        for name, fields in _own(truck, solved).items():
            found[name] |= fields
    makers = {port: name for name, family in families() for port in family.gives}
    for name, family in families():
        for port in family.needs:
            found[name] |= found.get(makers.get(port, ""), set())
    return tuple(
        Needs(family.code, family.title, frozenset(found[name])) for name, family in families()
    )


def _own(truck: Truck, solved: Graph) -> Mapping[str, set[str]]:
    """Fields that each family of a truck read itself, by the family's name."""
    from ...layout.job.fields import FIELDS, pattern

    found: dict[str, set[str]] = {}
    for member, keys in truck.reads.items():
        fields = found.setdefault(truck.made_by[member], set())
        for key in keys:
            fields |= {pattern(leaf.name) for leaf in _leaves(solved, key)} & FIELDS.keys()
    return found


def _leaves(solved: Graph, key: Key) -> Iterable[Key]:
    known = key in solved.values or key in solved.equations
    return (solved.rests_on(key) or {key}) if known else {key}


def as_csv(rows: Iterable[Needs]) -> str:
    """The file's text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows((row.code, row.title, " ".join(sorted(row.fields))) for row in rows)
    return out.getvalue()


def of_the_invented() -> tuple[Needs, ...]:
    """What the invented trucks of ``layout/data`` rest on."""
    from importlib.resources import files

    from ...layout.job_file import load
    from ...layout.setout import solve
    from .truck import design

    made = []
    for name in ("demo", "demo_uneven"):
        job = load(Path(str(files("soapstone.layout.data") / f"{name}.toml")))
        solved = solve(job)
        made.append((design(solved, job.words, job.pins, job.chassis), solved))
    return worked(made)


if __name__ == "__main__":
    KEPT.write_text(as_csv(of_the_invented()), encoding="utf-8")
