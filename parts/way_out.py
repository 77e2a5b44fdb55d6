"""What passes instead, where a part fails under load: single changes of its family's sizes, tried by designing the truck again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ..layout import units
from .stock import Shop
from .strength import Strength
from .truck import Truck, families


def way_out(t: Truck, held: Strength, again: Callable[[Mapping[str, Mapping[str, Any]]], tuple[Truck, Strength]], shop: Shop, pins: Mapping[str, Mapping[str, Any]], most: int = 8) -> dict[str, str]:
    """For every part that fails under load, the first single change of its family's sizes that passes, found by designing the truck again with it; else that none does."""
    found: dict[str, str] = {}
    for family, code, variables in _heavier(t, held):
        chosen = next(iter(pick.chosen for k, pick in t.picks.items() if k.startswith(f"{code}.")))
        parts = [p for p in held.fails if _code(p) == code]
        said = f"nothing else in stock for {family} passes: stock another size, or move the joint"
        for name, key, unit in _other(variables, chosen, shop)[:most]:
            other, then = again({**pins, family: {**pins.get(family, {}), name: key}})
            if not any(k.startswith(f"{code}.") or f" {code}." in k for k in other.failed) and not any(_code(p) == code for p in then.fails):
                use = max((c.utilisation for c in then.checks if _code(c.part) == code), default=0.0)
                typed = f'"{key}"' if isinstance(key, str) else f'"{units.show(key, "length")}"' if unit == "mm" else f"{key:g}"
                said = f"with {name} {typed} it passes ({use:.2f} used): pin [pin.{family}] {name} = {typed}"
                break
        found |= dict.fromkeys(parts, said)
    return found


def _other(variables: Sequence[Any], chosen: Mapping[str, Any], shop: Shop) -> list[tuple[str, Any, str]]:
    """Single changes to try, heavier stock first, then larger bolts, then counts."""
    rows: list[tuple[str, Any, str]] = []
    for var in sorted(variables, key=lambda v: ("plate", "tube", "bolt", "", "mm").index(v.unit) if v.unit in ("plate", "tube", "bolt", "", "mm") else 9):
        values = list(var.values(shop))
        if var.unit == "tube":
            values.sort(key=lambda k: (shop.tube(k).od - shop.tube(k).wall) * shop.tube(k).wall)
        now = chosen[var.name]
        rows += [(var.name, v, var.unit) for v in (values[values.index(now) + 1:] if now in values else values)]
    return rows


def _code(part: str) -> str:
    return part.partition(".")[0].rstrip("0123456789")


def _heavier(t: Truck, held: Strength) -> list[tuple[str, str, Any]]:
    """Families with a failing part: their file, code and variables."""
    failing = {_code(p) for p in held.fails}
    return [(name, f.code, f.variables) for name, f in families() if f.code in failing and f.variables and any(k.startswith(f"{f.code}.") for k in t.picks)]
