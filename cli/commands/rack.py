"""rack: what is in stock and in the tables, with sources."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from pathlib import Path
from typing import Annotated

import typer

from ...layout import reader
from ..options import ShopFile


class Rack(str, Enum):
    """Tables there are."""

    plates = "plates"
    tubes = "tubes"
    bolts = "bolts"
    steels = "steels"
    drills = "drills"
    loads = "loads"
    settings = "settings"


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
    from ...parts import stock
    from ..building.designing import shop_of

    if table is Rack.settings:
        from ...parts.stock.settings import settings_text

        print(settings_text(), end="")
        return
    s = shop_of(shop, Path("here"))
    reader.read_in(reader.system_of(s.reads, ""))
    if table is Rack.drills:
        from ...parts.design.lettering import size_text

        print(" ".join(size_text(d) for d in s.drills))
        return
    if table is Rack.loads:
        from ...layout.loads.cases import CASES

        for c in CASES:
            factor = s.loads.get(c.name, c.factor)
            print(
                f"{c.name:16} {c.level:6} factor {factor:g}{' (shop)' if c.name in s.loads else ''}"
                f"  {c.says}  [{c.source}]"
            )
        return
    if table in (Rack.bolts, Rack.steels):
        for r in (
            tuple(r for name in ("threads", "threads_metric", "classes") for r in stock.rows(name))
            if table is Rack.bolts
            else stock.rows("steels")
        ):
            print("  ".join(_cells(r)))
        return
    known = {r["key"]: r["source"] for r in stock.rows(table.value)}
    for x in s.plates if table is Rack.plates else s.tubes:
        size = (
            x.called()
            if isinstance(x, stock.PlateOnHand)
            else (
                f"{reader.number(x.od, 'length', 2 if reader.metric() else 3)} x"
                f" {reader.fine(x.wall)}"
            )
        )
        price = f", {s.prices[x.key]:.2f} a pound" if x.key in s.prices else ""
        print(f"{x.key:24} {size}, {x.steel}{price}  [{known.get(x.key, 'shop settings')}]")


def _cells(r: Mapping[str, str]) -> list[str]:
    """A row of a table with its headings in words."""
    said = {"memory": "unverified source", "read*": "second-hand"}
    return [
        (
            f"{k.replace('_', ' ')} {said.get(v, v) if k == 'tag' else v}".replace(
                "tag ", "source ", 1
            )
            if k != "source"
            else v
        )
        for k, v in r.items()
    ]
