"""Results of the layout, checks and loads as rows for JSON and CSV, in the reader's units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...layout import reader, units
from ...layout.graph import Graph
from ...layout.setout import given_and_solved
from ...parts.strength.result import Strength

if TYPE_CHECKING:
    from ...parts.design.sizing import Check
    from ...parts.drawing.setout import SetoutRow


def setout_rows(solved: Graph) -> list[SetoutRow]:
    """One row per solved or waiting quantity: key, title, value in shop units, plus-minus (2u),
    role, what it rests on.
    """
    rows = []
    kinds = reader.KINDS[reader.reader()]
    for result in given_and_solved(solved):
        known = kinds.get(result.unit)
        row: SetoutRow = {
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


def check_row(check: Check, places: int = 12) -> dict[str, object]:
    """A check as data, demand and capacity in the reader's unit, which it names."""
    from ...parts.words.names import sentence
    from ...parts.words.numbers import put_in, unit_of, worded

    unit, factor = unit_of(check.unit)
    told = check._asdict()
    del told["given"], told["rule"], told["steps"]
    return {
        **told,
        "what": sentence(worded(check.what)),
        "demand": check.demand / factor,
        "capacity": check.capacity / factor,
        "unit": unit,
        "numbers": put_in(check.numbers),
        "utilisation": round(check.utilisation, places),
        "verdict": check.verdict.value,
    }


def load_rows(held: Strength) -> list[dict[str, object]]:
    """Forces and couples in every load case, in the reader's units, truck axes, on the allowable
    scale.
    """
    from ...parts.words.numbers import worded

    def flat(name: str, value: float) -> float:
        kind = "moment" if name in ("couple", "bend") else "force"
        return round(reader.valued(float(value), kind), 3)

    return [
        {
            "case": forces.case.name,
            "hand": forces.case.hand,
            "level": forces.case.level,
            "bushings": forces.bushings or "as read or usual",
            "factor": forces.case.factor,
            "source": worded(forces.case.source),
            **{
                name: [[flat(name, value) + 0.0 for value in row] for row in getattr(forces, name)]
                for name in ("joint", "lower", "couple", "upper_vec", "tire")
            },
            **{
                name: [flat(name, value) + 0.0 for value in getattr(forces, name)]
                for name in ("upper", "coil", "stop", "strap", "bend", "axial")
            },
            "bar": flat("bar", forces.bar),
            "unit": reader.unit("force"),
            "couple_unit": reader.unit("moment"),
        }
        for forces in held.forces
    ]
