"""What the calculations rest on: readings, coordinates, bushing rates, weights and stiffnesses."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ...layout import units
from ...layout.graph import Graph
from ...layout.job.fields import field_of
from ...layout.job.reading import all_taken
from ...layout.loads.basis import LoadBasis, load_basis
from ...layout.loads.bushings import rate_sets
from ...layout.quantities import SIDES, Key, Reading
from ..drawing.setout import POINTS
from . import figures
from .paper import Column, Paper

WORD_KINDS = ("word", "text", "date")
PAIR = 2


def readings(pages: Paper, found: Mapping[Key, Reading]) -> None:
    """Every reading with its plus-minus, left and right on one line."""
    pages.part("readings")
    pages.line(
        "As read on the truck, with their plus-minus. * assumed: nobody read it. ~ the plus-minus"
        " is the usual one of such a reading, nobody gave one. Signs and axes: see how to read."
    )
    rows = list(reading_rows(found))
    half = (len(rows) + 1) // PAIR
    wide = (Column("reading", 186), Column("left or only", 88), Column("right", 84))
    blank = [("", "", "")] * (half * PAIR - len(rows))
    both = zip(rows[:half], [*rows[half:], *blank], strict=True)
    pages.table((*wide, *wide), [(*one, *other) for one, other in both])
    for says, keys in all_taken(found).items():
        pages.line(f"Taken {says}: {_codes(keys)}")


def _codes(keys: Sequence[Key]) -> str:
    """Numbers on the measuring sheet of some readings, each once, a side where only one is meant.

    >>> _codes([Key("frame.rake", "C"), Key("arms.joint_height", "L")])[:4]
    'F-02'
    """
    sides: dict[str, list[str]] = {}
    for key in keys:
        numbered = " ".join(word for word in key.name.split(".") if word.isdigit())
        code = f"{field_of(key.name).sheet_code} {f'({numbered})' if numbered else ''}".strip()
        sides.setdefault(code, []).append({"L": " left", "R": " right"}.get(key.side, ""))
    return ", ".join(code + (own[0] if len(own) == 1 else "") for code, own in sides.items())


def reading_rows(found: Mapping[Key, Reading]) -> Iterator[tuple[str, str, str]]:
    """A row a reading: its number on the measuring sheet with what it is, as read on the left or
    the only side, and on the right; * where it is assumed, ~ where its plus-minus is the usual one.
    """
    names = dict.fromkeys(key.name for key in found)
    for name in names:
        field = field_of(name)
        if field.kind in WORD_KINDS:
            continue
        own = {side: found.get(Key(name, side)) for side in ("L", "R", "C")}
        sides = [one for one in (own["L"] or own["C"], own["R"]) if one is not None]
        told = [_told(one, field.kind) for one in sides]
        said = f"{field.sheet_code} {field.how}"
        numbered = [word for word in name.split(".") if word.isdigit()]
        many = f"{said} ({' '.join(numbered)})" if numbered else said
        left, right = (*told, "", "")[:PAIR] if own["L"] or own["C"] else ("", *told)
        yield many, left, right


def _told(reading: Reading, kind: str) -> str:
    """A value with its plus-minus."""
    sure = f" ±{units.show(reading.half_width, kind, '', 32)}" if reading.half_width else ""
    mark = ("*" if reading.assumed else "") + ("~" if reading.usual and sure else "")
    return f"{units.show(reading.value, kind, '', 32)}{sure}{mark}"


def coordinates(pages: Paper, solved: Graph) -> None:
    """Joints and seats in truck axes."""
    unit = figures.unit_of("mm")[0]
    pages.chapter("joints, bushings, weights")
    pages.heading(f"Joints and seats, truck axes, {unit}")
    rows = []
    for name, says in POINTS:
        for side in (*SIDES, "C"):
            keys = [Key(f"{name}.{axis}", side) for axis in "xyz"]
            if any(key not in solved.values for key in keys):
                continue
            x, y, z = (solved.values[key] for key in keys)
            way = -1.0 if side == "R" else 1.0
            hand = {"L": "left", "R": "right", "C": ""}[side]
            rows.append((says, hand, *(figures.fixed(value, "mm", 3) for value in (x, way * y, z))))
    wide = [Column("x ahead", 70), Column("y left", 70), Column("z up", 70)]
    pages.table((Column("joint", 200), Column("side", 50), *wide), rows)


def bushings(pages: Paper, solved: Graph) -> None:
    """Rates the forces were worked with, as read or usual and at the corners of the bracket."""
    radial, cone = figures.unit_of("N/mm")[0], figures.unit_of("N mm/rad")[0]
    pages.heading(f"Rates of the arms' bushings ({radial}; turning {cone})")
    sets = rate_sets(solved.values)
    pages.line(
        "All rates were read."
        if len(sets) == 1
        else "Not every rate was read: the forces are worked with the usual ones of such bushings"
        " and with the corners below besides, a third to three times; each row stands for the"
        " worst of them, and names it where it is not the usual one."
    )
    rows = [
        (
            each.says or ("as read" if len(sets) == 1 else "as read or usual"),
            place,
            *(figures.put(rates[n], "N/mm").split()[0] for n in (0, 1)),
            *(figures.put(rates[n], "N mm/rad").split()[0] for n in (2, 3)),
        )
        for each in sets
        for place, rates in (("lower", each.rates[0]), ("upper", each.rates[2]))
    ]
    columns = ("across its bolt", "along its bolt", "turning about its bolt", "turning across it")
    pages.table(
        (
            Column("set", 170),
            Column("bushing", 60),
            *(Column(head, 115) for head in columns),
        ),
        rows,
    )


def weights(pages: Paper, values: Mapping[Key, float]) -> None:
    """Weights, stiffnesses and gaps behind the forces; ``values``: with the arms as made."""
    pages.heading("Weights, springs, gaps and sections behind the forces")
    rows = list(_weights(load_basis(values)))
    half = (len(rows) + 1) // PAIR
    both = zip(rows[:half], [*rows[half:], ("", "")][: len(rows[:half])], strict=True)
    wide = (Column("", 240), Column("", 110))
    pages.table((*wide, *wide), [(*one, *other) for one, other in both])


def _weights(truck: LoadBasis) -> Sequence[tuple[str, str]]:
    put = figures.put
    return (
        ("Load of a front wheel at rest", put(truck.wheel, "N")),
        ("Weight of the whole truck", put(truck.weight, "N")),
        ("Weight of axle, wheels and half of the links", put(truck.unsprung, "N")),
        ("Center of gravity above the ground", put(truck.cg_height, "mm")),
        ("Wheelbase", put(truck.wheelbase, "mm")),
        ("Track of the front wheels", put(truck.track, "mm")),
        ("Radius of the loaded tire", put(truck.tire_radius, "mm")),
        ("Rate of a coil", put(truck.coil_rate, "N/mm")),
        ("Load of the left coil at rest", put(float(truck.preload[0]), "N")),
        ("Load of the right coil at rest", put(float(truck.preload[1]), "N")),
        ("Up-travel until the bump stop touches", put(truck.stop_gap, "mm")),
        ("From there until the stop is solid", put(truck.stop_squash, "mm")),
        ("Down-travel until the limit strap is taut", put(truck.strap_gap, "mm")),
        ("Second moment of a radius arm's tube", put(truck.arm_inertia, "mm4")),
        ("Section of a radius arm's tube", put(truck.arm_area, "mm2")),
        ("Section of the track bar", put(truck.bar_area, "mm2")),
    )
