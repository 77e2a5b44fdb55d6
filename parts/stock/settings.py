"""Shop settings to start from: what the default stock is, written out whole, so that the file as
printed changes nothing.
"""

from __future__ import annotations

import json

from ...layout import units
from . import default_shop, rows
from .shop_file import EXAMPLE

SIXTY_FOURTHS = 64
A_LINE = 10
DRILLS = """
# Drills on hand, all of them: a list here replaces the default drills, and nothing else.
[drills]
sizes = [
"""
PLATES = """
# Plate on hand, all of it: rows here replace the default plates, and nothing else. Take out what is
# not on the rack, add what is.
# measured = 0.256 is by micrometer: strength uses the smaller, slots the measured. price = 0.95 is
# a pound.
"""
TUBES = """
# Tube on hand, all of it: rows here replace the default tubes, and nothing else. price = 2.4 is a
# pound.
"""


def settings_text() -> str:
    """A shop.toml with every setting; loaded as it is it gives the default shop."""
    sizes = [f'"{units.fraction(d, SIXTY_FOURTHS)}"' for d in default_shop().drills]
    lines = [
        "    " + ", ".join(sizes[i : i + A_LINE]) + ",\n" for i in range(0, len(sizes), A_LINE)
    ]
    return (
        EXAMPLE
        + DRILLS
        + "".join(lines)
        + "]\n"
        + PLATES
        + "".join(_row("plate", r, {"thickness": "t_in"}) for r in rows("plates"))
        + TUBES
        + "".join(_row("tube", r, {"od": "od_in", "wall": "wall_in"}) for r in rows("tubes"))
    )


def _row(table: str, r: dict[str, str], sizes: dict[str, str]) -> str:
    given = "".join(f'{word} = "{r[column]} in"\n' for word, column in sizes.items())
    return f"\n[[{table}]]\nkey = {json.dumps(r['key'])}\n{given}steel = {json.dumps(r['steel'])}\n"
