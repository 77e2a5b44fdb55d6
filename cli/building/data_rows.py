"""Results of the layout, checks and loads as rows for JSON and CSV, in the reader's units."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.setout import given_and_solved
from ...parts.strength.result import Strength

if TYPE_CHECKING:
    from ...parts.design.sizing import Check


def setout_rows(solved: Graph) -> list[dict[str, Any]]:
    """One row per solved or waiting quantity: key, title, value in shop units, plus-minus (2u),
    role, what it rests on.
    """
    rows = []
    kinds = reader.KINDS[reader.reader()]
    for result in given_and_solved(solved):
        known = kinds.get(result.unit)
        row: dict[str, Any] = {
            "key": str(result.key),
            "title": result.title,
            "role": result.role,
            "unit": known.unit if known else result.unit,
            "rests_on": list(map(str, result.rests_on)),
            "value": None,
            "plus_minus": None,
            "shown": "",
        }
        if result.value is not None and result.plus_minus is not None:
            value = _in_shop(result.value, result.unit)
            row |= {
                "value": round(value, 6),
                "plus_minus": round(_in_shop(result.plus_minus, result.unit), 4),
                "shown": (
                    _shown(result.key.name, result.value, result.unit)
                    if result.unit in units.KIND_WORDS
                    else f"{value:.{known.places if known else 2}f} {row['unit']}"
                ),
            }
        rows.append(row)
    return rows


def _in_shop(value: float, kind: str) -> float:
    """A value in the reader's unit; as it is where the kind has none."""
    return reader.valued(value, kind) if kind in reader.KINDS[reader.reader()] else value


def gave_way_rows(solved: Graph) -> list[dict[str, str]]:
    """Choices and wishes that moved so that the rest can be met: from, to, as printed."""
    return [
        {
            "key": str(key),
            "from": _shown(key.name, was, solved.unit(key)),
            "to": _shown(key.name, now, solved.unit(key)),
        }
        for key, (was, now) in solved.gave_way().items()
    ]


def _shown(name: str, value: float, kind: str) -> str:
    """As printed; a wall is never rounded to the tape's sixteenth."""
    if kind == "count":
        return f"{round(value, 3) + 0.0:g}"
    return reader.fine(value) if name.endswith(".wall") else units.show(value, kind)


def check_row(c: Check, places: int = 12) -> dict[str, Any]:
    """A check as data, demand and capacity in the reader's unit, which it names."""
    from ...parts.words.names import sentence
    from ...parts.words.numbers import put_in, unit_of, worded

    unit, k = unit_of(c.unit)
    return {
        **c._asdict(),
        "what": sentence(worded(c.what)),
        "demand": c.demand / k,
        "capacity": c.capacity / k,
        "unit": unit,
        "numbers": put_in(c.numbers),
        "utilisation": round(c.utilisation, places),
        "verdict": c.verdict.value,
    }


def load_rows(held: Strength) -> list[dict[str, Any]]:
    """Forces and couples in every load case, in the reader's units, truck axes, on the allowable
    scale.
    """

    def flat(n: str, x: float) -> float:
        return round(reader.valued(float(x), "moment" if n in ("couple", "bend") else "force"), 3)

    return [
        {
            "case": f.case.name,
            "hand": f.case.hand,
            "level": f.case.level,
            "bushings": f.bushings or "as read or usual",
            "factor": f.case.factor,
            "source": f.case.source,
            **{
                n: [[flat(n, x) + 0.0 for x in row] for row in getattr(f, n)]
                for n in ("joint", "lower", "couple", "upper_vec", "tyre")
            },
            **{
                n: [flat(n, x) + 0.0 for x in getattr(f, n)]
                for n in ("upper", "coil", "stop", "strap", "bend", "axial")
            },
            "bar": flat("bar", f.bar),
            "unit": reader.unit("force"),
            "couple_unit": reader.unit("moment"),
        }
        for f in held.forces
    ]
