"""Three answers kept apart: the same, same plate at another place, new shape.

What decides is the cut file itself, as it is written for every plate with the same letter on it.
"""

from __future__ import annotations

import pytest
from designs import designed_of
from soapstone.cli.building.manifest import part_rows
from soapstone.layout.units import IN
from soapstone.parts.export.cut import cut_text
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.likeness import Likeness, changes, compare_rows, near, shape_of
from soapstone.parts.truck.truck import Truck, is_plate, paired, relettered
from soapstone.parts.verdict.suppose import Whole, differs
from trucks import changed, job, truck

MOVES = [("driveline.output.x", IN / 4), ("axle.spring_seat.x", 6.35), ("spring.rate", 5.0)]


def close(one: str, two: str) -> bool:
    """Two cut files, word for word.

    Numbers may differ by what a fingerprint does not tell apart, 0.01 mm.
    """

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
    found = compare_rows(*(part_rows(t, shop, {}) for t in (old, new)))
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
    found = compare_rows(*rows)
    assert sum(map(len, found)) == len({r["part"] for x in rows for r in x})
    assert len(found.moved) > 5 and len(found.same) + len(found.moved) > len(found.shape)


def lifted(part: Part, by: float) -> Part:
    """The same part ``by`` mm higher on the truck."""
    x, y, z = part.member.place.origin
    place = part.member.place._replace(origin=(x, y, z + by))
    return part._replace(
        member=part.member._replace(place=place), fingerprint=f"{part.fingerprint} lifted"
    )


PLATES = [part for part in truck()[0].singles if is_plate(part)]


def test_nothing_differs_from_itself() -> None:
    singles = truck()[0].singles
    assert changes(singles, singles) == ()


@pytest.mark.parametrize("part", PLATES, ids=lambda part: part.id)
def test_three_words_for_a_part_are_kept_apart(part: Part) -> None:
    """The same; the same plate moved as a whole; a corner, a hole or the stock another.

    Lettering does not count.
    """
    (row,) = changes((part,), (lifted(part, IN / 4),))
    assert row.word is Likeness.MOVED and row.why == "0.250 in up"
    member, body = part.member, part.member.body
    assert isinstance(body, Plate)
    first = body.outline[0]
    corner = first._replace(start=(first.start[0] + IN / 16, first.start[1]))
    grown = part._replace(
        member=member._replace(body=body._replace(outline=(corner, *body.outline[1:]))),
        fingerprint="grown",
    )
    (row,) = changes((part,), (grown,))
    assert row.word is Likeness.SHAPE and row.why
    other = part._replace(
        member=member._replace(body=body._replace(stock="other")), fingerprint="other"
    )
    assert changes((part,), (other,))[0].why.endswith("now other")
    if part.holes:
        less = part._replace(holes=part.holes[1:], fingerprint="less")
        assert "holes" in changes((part,), (less,))[0].why
    lettered = part._replace(marks=tuple(mark for mark in part.marks if mark.role != "text"))
    assert near(shape_of(lettered), shape_of(part))


def whole(of: Truck) -> Whole:
    """A truck for ``suppose``, without its travel."""
    solved = truck()[1]
    first = job()
    strength = designed_of(first).strength
    return Whole(first, solved, of, strength, solved, (), (), {})


def test_a_second_place_that_moves_alone_is_seen() -> None:
    """Two places share one row of the list; the row is that of the first place, so what moves at
    the second is seen place by place only.
    """
    was = truck()[0]
    shared = [row for row in was.parts if len(row.places) > 1 and is_plate(row)]
    assert shared
    for row in shared:
        second = row.places[-1]
        singles = tuple(lifted(p, IN / 4) if p.id == second else p for p in was.singles)
        now = was._replace(singles=singles, parts=paired(singles))
        assert [p.fingerprint for p in now.parts] == [p.fingerprint for p in was.parts]
        assert [(c.part, c.word) for c in changes(was.singles, singles)] == [
            (second, Likeness.MOVED)
        ]
    found = differs(whole(was), whole(now), {})
    assert [c.part for c in found.parts] == [second] and found.why[second]
