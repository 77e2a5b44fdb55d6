"""The JSON schema of a shop's settings file, made from the words its tables may hold."""

from __future__ import annotations

from ...layout.job.schema import Schema
from ..rules.bolts import FRICTION
from .settings_reader import OPTIONAL
from .shop_file import LAYER_CHARS, LONGEST_LAYER, PAPERS, TABLES, TERMS
from .tables import rows

LISTS = ("plate", "tube", "load", "sheet")
"""Tables of which there are rows."""
LENGTH: Schema = {"type": ["number", "string"]}
NUMBER: Schema = {"type": "number", "minimum": 0}
TEXT: Schema = {"type": "string", "pattern": "^[^\\n]*$"}
MANY: Schema = {"type": "array", "minItems": 1, "items": LENGTH}


def shop_tables() -> dict[str, Schema]:
    """The schema of each table of a shop file."""
    found: dict[str, Schema] = {}
    for name, words in TABLES.items():
        row: Schema = {
            "type": "object",
            "additionalProperties": False,
            "properties": {word: _word(name, word) for word in words},
        }
        if name in LISTS:
            must = ["key", *(word for word in words if word not in OPTIONAL)]
            must = ["key", "factor"] if name == "load" else must
            row |= {"required": list(dict.fromkeys(must))}
            found[name] = {"type": "array", "items": row}
        else:
            found[name] = row
    return found


def _word(table: str, word: str) -> Schema:
    """What may be typed for one setting."""
    chars = "".join(sorted(LAYER_CHARS - {"-"}))
    own: dict[str, Schema] = {
        "units.length": {"enum": ["in", "mm"]},
        "cut.unit": {"enum": ["in", "mm"]},
        "cut.dxf": {"enum": ["R2010", "R12"]},
        "cut.hole_to_thickness": NUMBER,
        "cut.bed": {**MANY, "minItems": 2, "maxItems": 2},
        "drills.sizes": MANY,
        "weld.legs": MANY,
        "paper.size": {"enum": list(PAPERS)},
        "paper.terms": {"enum": list(TERMS)},
        "bolts.friction": {"enum": ["", *FRICTION]},
        "bolts.frame_sizes": {"type": "array", "minItems": 1, "items": {"enum": _threads()}},
        "sheet.count": NUMBER,
        "load.factor": {**NUMBER, "minimum": 0.1, "maximum": 10},
    }
    if f"{table}.{word}" in own:
        return own[f"{table}.{word}"]
    if table == "layers":
        return {"type": "string", "pattern": f"^[{chars}-]{{1,{LONGEST_LAYER}}}$"}
    if table == "rates" or word == "price":
        return NUMBER
    if word == "steel":
        return {"enum": [row["key"] for row in rows("steels")]}
    sizes = ("thickness", "measured", "od", "wall", "width", "length", "spacing", "margin")
    if word in (*sizes, "smallest_hole", "inner_radius", "mark_margin"):
        return LENGTH
    return TEXT


def _threads() -> list[str]:
    return [row["key"] for table in ("threads", "threads_metric") for row in rows(table)]
