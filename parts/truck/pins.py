"""[pin.<family>] of a job file held against the families and the shop's stock, before anything is
made: every pin that cannot be, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from ...layout import units
from ...layout.faults import Fault
from ...layout.job.fields import nearest
from .. import stock
from ..model.family import Family, Variable
from .truck import families

Pins = Mapping[str, Any]
CLOSE = 1e-3
"""mm within which a typed length is one of the choices."""
TYPED = re.compile(r'\[pin\.(\w+)\] (\w+) = (?:"([^"]*)"|([\w./]+))')
"""A pin as it is typed: family, size, value."""
WORD = {"plate": "plate", "tube": "tube", "bolt": "bolt"}


def on_paper(text: str) -> str:
    """Pins in a text as people read them, not as they are typed.

    >>> on_paper('[pin.cross_sides] plate = "3/8 A36" and [pin.cross_sides] rows = 2, for XS1')
    'crossmember side plates: plate 3/8 A36 and crossmember side plates: rows 2, for XS1'
    """
    titles = {name: family.title for name, family in families()}
    return TYPED.sub(lambda m: f"{titles.get(m[1], m[1])}: {m[2]} {m[3] or m[4]}", text)


def good(pins: Pins, shop: stock.Shop) -> dict[str, dict[str, Any]]:
    """The pins that can be, the others left out."""
    known = dict(families())
    return {
        n: kept
        for n, row in pins.items()
        if n in known and isinstance(row, dict)
        if (
            kept := {
                v.name: row[v.name]
                for v in known[n].variables
                if v.name in row and _is_choice(v, row[v.name], tuple(v.values(shop)))
            }
        )
    }


def faults(
    pins: Pins, shop: stock.Shop, sized: Callable[[], Mapping[str, Mapping[str, Any]]]
) -> list[Fault]:
    """Every pin of a family or a size there is none of.

    ``sized``: what the families come out as without the bad pins, by family's code and side
    (``CS.L``); asked only if there is a fault.
    """
    known = dict(families())
    names = tuple(n for n, f in known.items() if f.variables)
    found: list[Fault] = []
    for n, row in pins.items():
        if n not in names or not isinstance(row, dict):
            allowed = "a table of sizes, under the name of a part's family"
            found.append(Fault(f"pin.{n}"[:80], str(row), allowed, nearest(n, names)))
            continue
        found += _of_family(n, known[n], row, shop, sized)
    return found


def _of_family(
    name: str,
    f: Family,
    row: Pins,
    shop: stock.Shop,
    sized: Callable[[], Mapping[str, Mapping[str, Any]]],
) -> Iterator[Fault]:
    variables = {v.name: v for v in f.variables}
    for word, typed in row.items():
        field = f"pin.{name}.{word}"[:80]
        if word not in variables:
            remedy = f"the {f.title}: no such size to pin"
            yield Fault(field, str(typed), " | ".join(variables), remedy)
            continue
        v = variables[word]
        values = tuple(v.values(shop))
        if _is_choice(v, typed, values):
            continue
        free = sorted(
            {
                _shown(v, chosen[word])
                for who, chosen in sized().items()
                if who.partition(".")[0] == f.code and word in chosen
            }
        )
        left = f"; left out, it becomes {' and '.join(free)}" if free else ""
        allowed = " | ".join(_shown(v, x) for x in values) or "nothing in stock serves"
        yield Fault(field, str(typed), allowed, f"{_reason(f, v, typed, values, shop)}{left}")


def _is_choice(v: Variable, typed: Any, values: tuple[Any, ...]) -> bool:
    if v.unit == "mm":
        try:
            size = units.parse(typed, "length", "mm")
        except units.UnitError:
            return False
        return any(abs(x - size) < CLOSE for x in values)
    return not isinstance(typed, bool) and typed in values


def _shown(v: Variable, value: Any) -> str:
    return units.show(value, "length") if v.unit == "mm" else str(value)


def _reason(f: Family, v: Variable, typed: Any, values: tuple[Any, ...], shop: stock.Shop) -> str:
    """Why a size is none: not in stock at all, or outside what the part is made of."""
    if v.unit == "mm":
        return 'no other length is made; type it with its unit, such as "5 in" or "127 mm"'
    if v.unit not in WORD:
        return "nothing else is made"
    known = _sizes(v.unit, shop)
    if typed not in known:
        close = nearest(str(typed), tuple(known))
        tail = f"; {close}" if close.startswith("the nearest") else ""
        return (
            f"no {WORD[v.unit]} of that name in stock: `soapstone rack {v.unit}s` lists them{tail}"
        )
    return _outside(f, v.unit, known[typed], {x: known[x] for x in values})


def _outside(f: Family, unit: str, typed: float, sizes: Mapping[str, float]) -> str:
    """On which side of what a part is made of a size of the stock lies; ``sizes``: thickness or
    diameter of each choice, mm.
    """
    if not sizes:
        return f"nothing in stock serves for the {f.title}"
    least, most = min(sizes, key=lambda x: sizes[x]), max(sizes, key=lambda x: sizes[x])
    what = "thickness" if unit == "plate" else "diameter"
    if typed < sizes[least]:
        return (
            f"under {least}, the least {what} the {f.title} is made of (common practice, no source)"
        )
    if typed > sizes[most]:
        return (
            f"over {most}, the largest {what} there is room for in the {f.title} (common practice,"
            " no source)"
        )
    return f"the {f.title} is not made of it"


def _sizes(unit: str, shop: stock.Shop) -> dict[str, float]:
    """Every stock key of a kind with its thickness or diameter, mm."""
    if unit == "plate":
        return {p.key: p.thickness for p in shop.plates}
    if unit == "tube":
        return {t.key: t.od for t in shop.tubes}
    return {
        k: stock.bolt(k).d
        for k in (r["key"] for t in ("threads", "threads_metric") for r in stock.rows(t))
    }
