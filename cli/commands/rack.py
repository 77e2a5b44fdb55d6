"""rack: what is in stock and in the tables, with sources."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...layout import reader
from ..options import ShopFile

if TYPE_CHECKING:
    from ...parts.stock import PlateOnHand, Shop, TubeOnHand

PLACE = 240
SOURCES = {"memory": "unverified source", "read*": "second-hand"}
"""How the source of a row was seen, where that is less than read."""


class Rack(StrEnum):
    """Tables there are."""

    plates = "plates"
    tubes = "tubes"
    bolts = "bolts"
    steels = "steels"
    drills = "drills"
    loads = "loads"
    settings = "settings"


TABLES = {
    Rack.bolts: ("threads", "threads_metric", "classes"),
    Rack.steels: ("steels",),
}
"""Tables printed as they are stored."""


def rack(
    table: Annotated[
        Rack,
        typer.Argument(
            help="plates, tubes, bolts, steels, drills, loads; settings: a shop.toml to start from"
        ),
    ] = Rack.plates,
    shop: ShopFile = None,
) -> None:
    """Print a table of stock or sizes, each row with its source, or shop settings to start from."""
    from ..building.design import shop_of

    if table is Rack.settings:
        from ...parts.stock.settings import settings_text

        print(settings_text(), end="")
        print("next: keep it as shop.toml beside the job files", file=sys.stderr)
        return
    own = shop_of(shop, Path("here"))
    reader.read_in(reader.system_of(own.reads, ""))
    print("\n".join(_lines(table, own)))


def _lines(table: Rack, shop: Shop) -> Iterator[str]:
    from ...parts import stock
    from ...parts.design.lettering import size_text

    if table is Rack.drills:
        yield " ".join(size_text(drill) for drill in shop.drills)
    elif table is Rack.loads:
        yield from _load_lines(shop)
    elif table in TABLES:
        for name in TABLES[table]:
            for row in stock.rows(name):
                yield "  ".join(_cells(row))
    else:
        known = {row["key"]: row["source"] for row in stock.rows(table.value)}
        for own in shop.plates if table is Rack.plates else shop.tubes:
            price = f", {shop.prices[own.key]:.2f} a pound" if own.key in shop.prices else ""
            source = known.get(own.key, "shop settings")
            yield f"{own.key:24} {_size(own)}, {own.steel}{price}  [{source}]"


def _load_lines(shop: Shop) -> Iterator[str]:
    from ...layout.loads.cases import CASES

    for case in CASES:
        factor = shop.loads.get(case.name, case.factor)
        own = " (shop)" if case.name in shop.loads else ""
        yield (
            f"{case.name:16} {case.level:6} factor {factor:g}{own}  {case.says}  [{case.source}]"
        )


def _size(own: PlateOnHand | TubeOnHand) -> str:
    from ...parts.stock import PlateOnHand

    if isinstance(own, PlateOnHand):
        return own.called()
    outside = reader.number(own.od, "length", 2 if reader.metric() else 3)
    return f"{outside} x {reader.fine(own.wall)}"


def _cells(row: Mapping[str, str]) -> Iterator[str]:
    """A row of a table with its headings in words."""
    for heading, value in row.items():
        if heading == "source":
            yield value
        elif heading == "tag":
            yield f"source {SOURCES.get(value, value)}"
        else:
            yield f"{heading.replace('_', ' ')} {value}"
