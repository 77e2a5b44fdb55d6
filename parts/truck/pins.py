"""[pin.<family>] of a job file held against the families and the shop's stock, before anything is
made: every pin that cannot be, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from ...layout import units
from ...layout.faults import Fault, as_typed
from ...layout.job.fields import nearest
from .. import stock
from ..design.weld_size import LARGEST, USUAL, WELD
from ..model.family import Choice, Family, Variable
from .truck import families

TypedPins = Mapping[str, object]
"""A table of the job file as it was read: nothing of it is known to be good."""
CLOSE = 1e-3
"""mm within which a typed length is one of the choices."""
TYPED = re.compile(r'\[pin\.(\w+)\] (\w+) = (?:"([^"]*)"|([\w./]+))')
"""A pin as it is typed: family, size, value."""
FILLETS = {
    f"{WELD.name} {LARGEST}": "the largest fillets their edges carry",
    f"{WELD.name} {USUAL}": "fillets as the plates ask",
}
WORD = {"plate": "plate", "tube": "tube", "bolt": "bolt"}


def on_paper(text: str) -> str:
    """Pins in a text as people read them, not as they are typed.

    >>> on_paper('[pin.cross_sides] plate = "3/8 A36" and [pin.cross_sides] rows = 2, for XS1')
    'crossmember side plates: plate 3/8 A36 and crossmember side plates: rows 2, for XS1'
    >>> on_paper("[pin.link_tabs] weld = 1")
    'link tabs: the largest fillets their edges carry'
    """
    titles = {name: family.title for name, family in families()}

    def said(pin: re.Match[str]) -> str:
        size = f"{pin[2]} {pin[3] or pin[4]}"
        return f"{titles.get(pin[1], pin[1])}: {FILLETS.get(size, size)}"

    return TYPED.sub(said, text)


def good(pins: TypedPins, shop: stock.Shop) -> dict[str, dict[str, Choice]]:
    """The pins that can be, by family and size; the others left out, and families without any.

    A size that can be is one of the family's choices from this shop's stock, whatever else is
    pinned beside it.
    """
    known = dict(families())
    return {
        name: kept
        for name, row in pins.items()
        if name in known and isinstance(row, dict)
        if (
            kept := {
                own.name: row[own.name]
                for own in known[name].variables
                if own.name in row and _is_choice(own, row[own.name], tuple(own.values(shop)))
            }
        )
    }


def faults(
    pins: TypedPins, shop: stock.Shop, sized: Callable[[], Mapping[str, Mapping[str, Choice]]]
) -> list[Fault]:
    """Every pin of a family or a size there is none of.

    ``sized``: what the families come out as without the bad pins, by family's code and side
    (``CS.L``); asked only if there is a fault.
    """
    known = dict(families())
    names = tuple(name for name, family in known.items() if family.variables)
    found: list[Fault] = []
    for name, row in pins.items():
        if name not in names or not isinstance(row, dict):
            allowed = "a table of sizes, under the name of a part's family"
            found.append(Fault(f"pin.{name}"[:80], as_typed(row), allowed, nearest(name, names)))
            continue
        found += _of_family(name, known[name], row, shop, sized)
    return found


def _of_family(
    name: str,
    family: Family,
    row: TypedPins,
    shop: stock.Shop,
    sized: Callable[[], Mapping[str, Mapping[str, Choice]]],
) -> Iterator[Fault]:
    variables = {own.name: own for own in family.variables}
    for word, typed in row.items():
        field = f"pin.{name}.{word}"[:80]
        if word not in variables:
            remedy = f"the {family.title}: no such size to pin"
            yield Fault(field, as_typed(typed), " | ".join(variables), remedy)
            continue
        variable = variables[word]
        values = tuple(variable.values(shop))
        if _is_choice(variable, typed, values):
            continue
        free = sorted(
            {
                _shown(variable, chosen[word])
                for who, chosen in sized().items()
                if who.partition(".")[0] == family.code and word in chosen
            }
        )
        left = f"; left out, it becomes {' and '.join(free)}" if free else ""
        allowed = (
            " | ".join(_shown(variable, value) for value in values) or "nothing in stock serves"
        )
        yield Fault(
            field,
            as_typed(typed),
            allowed,
            f"{_reason(family, variable, typed, values, shop)}{left}",
        )


def _is_choice(variable: Variable, typed: object, values: tuple[Choice, ...]) -> bool:
    if variable.unit == "mm":
        try:
            size = units.parse(typed, "length", "mm")
        except units.UnitError:
            return False
        return any(abs(float(value) - size) < CLOSE for value in values)
    return not isinstance(typed, bool) and typed in values


def _shown(variable: Variable, value: Choice) -> str:
    return units.show(float(value), "length") if variable.unit == "mm" else str(value)


def _reason(
    family: Family, variable: Variable, typed: object, values: tuple[Choice, ...], shop: stock.Shop
) -> str:
    """Why a size is none: not in stock at all, or outside what the part is made of."""
    if variable.unit == "mm":
        return 'no other length is made; type it with its unit, such as "5 in" or "127 mm"'
    if variable.unit not in WORD:
        return "nothing else is made"
    known = _sizes(variable.unit, shop)
    if not isinstance(typed, str) or typed not in known:
        close = nearest(str(typed), tuple(known))
        tail = f"; {close}" if close.startswith("the nearest") else ""
        return (
            f"no {WORD[variable.unit]} of that name in stock: `soapstone rack {variable.unit}s`"
            f" lists them{tail}"
        )
    return _outside(
        family, variable.unit, known[typed], {str(value): known[str(value)] for value in values}
    )


def _outside(family: Family, unit: str, typed: float, sizes: Mapping[str, float]) -> str:
    """On which side of what a part is made of a size of the stock lies; ``sizes``: thickness or
    diameter of each choice, mm.
    """
    if not sizes:
        return f"nothing in stock serves for the {family.title}"
    least, most = min(sizes, key=sizes.__getitem__), max(sizes, key=sizes.__getitem__)
    what = "thickness" if unit == "plate" else "diameter"
    if typed < sizes[least]:
        return (
            f"under {least}, the least {what} the {family.title} is made of (common practice,"
            " no source)"
        )
    if typed > sizes[most]:
        return (
            f"over {most}, the largest {what} there is room for in the {family.title} (common"
            " practice, no source)"
        )
    return f"the {family.title} is not made of it"


def _sizes(unit: str, shop: stock.Shop) -> dict[str, float]:
    """Every stock key of a kind with its thickness or diameter, mm."""
    if unit == "plate":
        return {plate.key: plate.thickness for plate in shop.plates}
    if unit == "tube":
        return {tube.key: tube.od for tube in shop.tubes}
    return {
        key: stock.bolt(key).d
        for key in (
            row["key"] for table in ("threads", "threads_metric") for row in stock.rows(table)
        )
    }
