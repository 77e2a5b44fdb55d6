"""Three answers kept apart: the same, same plate at another place, new shape.

What decides is the cut file itself, as it is written for every plate with the same letter on it.
"""

from __future__ import annotations

import pytest
from soapstone.cli.building.build import part_rows
from soapstone.layout.units import IN
from soapstone.parts.export.cut import cut_text
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.same import compare_parts
from soapstone.parts.truck.truck import is_plate, relettered
from trucks import changed, truck

MOVES = [("driveline.output.x", IN / 4), ("axle.spring_seat.x", 6.35), ("spring.rate", 5.0)]


def close(one: str, two: str) -> bool:
    """Two cut files, word for word but for numbers within what a fingerprint tells apart, 0.01 mm."""

    def number(w: str) -> float | None:
        try:
            return float(w)
        except ValueError:
            return None

    a, b = one.split(), two.split()
    pairs = [(x, y, number(x), number(y)) for x, y in zip(a, b, strict=False)]
    return len(a) == len(b) and all(
        x == y or (u is not None and v is not None and abs(u - v) < 0.011 / IN)
        for x, y, u, v in pairs
    )


@pytest.mark.parametrize(("key", "by"), MOVES, ids=[m[0] for m in MOVES])
def test_another_place_is_the_same_cut_file_and_a_new_shape_is_another(key: str, by: float) -> None:
    shop = default_shop()
    old, new = truck()[0], changed(key, by)[0]
    found = compare_parts(*(part_rows(t, shop, {}) for t in (old, new)))
    assert found.moved and found.differs, found
    drawn = []
    for t in (old, new):
        lettered = relettered(t, shop, "T1", {p.id: "A" for p in t.singles})
        drawn.append({p.id: cut_text(p, shop) for p in lettered.parts if is_plate(p)})
    was, now = drawn
    for part in (*found.same, *found.moved):
        assert close(was.get(part, ""), now.get(part, "")), f"{part} would be cut from another file"
    for part in found.shape:
        assert part not in was or was[part] != now[part], f"{part} is cut from the same file"


def test_the_transfer_case_a_quarter_inch_off_keeps_most_cut_files() -> None:
    """What a second truck of the same kind is about: of the parts that do not stay as they are,
    some are only set elsewhere.
    """
    shop = default_shop()
    rows = [part_rows(t, shop, {}) for t in (truck()[0], changed(*MOVES[0])[0])]
    found = compare_parts(*rows)
    assert sum(map(len, found)) == len({r["part"] for x in rows for r in x})
    assert len(found.moved) > 5 and len(found.same) + len(found.moved) > len(found.shape)
