"""Steel, filler and bolts as they were worked with, with columns for certificate and heat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ...layout.reader import metric
from .. import stock
from ..model.assembly import Bolt
from ..model.body import Plate, Tube
from ..strength.work import Work
from ..words import names
from . import figures
from .paper import Column, Paper

BLANK = "_" * 20
"""To be written on."""
Heats = Mapping[str, Sequence[str]]
"""Heat numbers entered to the archive, by the model's id of a part."""


def write(pages: Paper, work: Work, numbers: Mapping[str, str], heats: Heats) -> None:
    """What every part is made of, what holds them together, and blanks for the papers."""
    pages.chapter("material and bolts")
    length, stress = (figures.unit_of(unit)[0] for unit in ("mm", "MPa"))
    pages.line(
        "Strengths as worked with. Thickness worked with: the smaller of nominal and measured."
        " Certificate and heat are written in from the paper of the steel; what was entered to the"
        " archive when this was printed stands there already."
    )
    wide = (
        Column("part", 150), Column("stock", 130), Column("steel", 95),
        Column(f"t or wall, {length}", 62), Column(f"Fy, {stress}", 48),
        Column(f"Fu, {stress}", 48), Column("certificate", 92), Column("heat", 92),
    )  # fmt: skip
    pages.table(wide, [*_parts(work, heats), *_truck(work)])
    pages.heading("Bolts, dowels and pivots")
    pages.line(
        "Places: the middle of the joint, truck axes. Fnv and Fnt of the rows come from Fu: shear"
        " 0.563 Fu with the threads out of the planes, 0.45 Fu with one in it, pull 0.75 Fu."
    )
    wide = (
        Column("number", 42), Column("size and class", 130), Column("through", 170),
        Column(f"place, {length}", 130), Column(f"Fy, {stress}", 42),
        Column(f"Fu, {stress}", 42), Column("certificate", 82), Column("lot", 82),
    )  # fmt: skip
    pages.table(wide, list(_bolts(work, numbers)))


def _parts(work: Work, heats: Heats) -> Iterator[tuple[str, ...]]:
    """Parts of one number, stock and steel on one line."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for code, part in work.parts.items():
        body = part.member.body
        if isinstance(body, Plate):
            plate = work.shop.plate(body.stock)
            size = work.plate(code)
            told = (body.stock, plate.steel, *_sizes(size.thick, size.fy, size.fu))
        elif isinstance(body, Tube):
            tube = work.tube(code)
            if tube is None:
                continue
            steel = stock.steel(tube.steel)
            told = (body.stock, tube.steel, *_sizes(tube.wall, steel.fy, steel.fu))
        else:
            continue
        heat = ", ".join(heats.get(code, ()))
        alike.setdefault((*told, heat, code.partition(".")[0]), []).append(code)
    for (*sizes, heat, _), codes in alike.items():
        called, *rest = sorted(codes)
        sides = [names.part(code).rpartition(" ")[2] for code in rest]
        yield " and ".join((names.part(called), *sides)), *sizes, BLANK, heat or BLANK


def _sizes(thick: float, fy: float, fu: float) -> tuple[str, str, str]:
    return (
        figures.fixed(thick, "mm", 2 if metric() else 4),
        figures.fixed(fy, "MPa", 1),
        figures.fixed(fu, "MPa", 1),
    )


def _truck(work: Work) -> Iterator[tuple[str, ...]]:
    """What is on the truck already, and the filler."""
    made_of = work.made_of
    for side, hand in names.SIDES.items():
        rail = work.rail(side)
        yield (
            f"frame rail, {hand}", "on the truck", made_of.rail.name,
            *_sizes(rail.thick, rail.fy, rail.fu), "", "",
        )  # fmt: skip
    wall = work.steel_of("axle.C")[0]
    axle = made_of.axle
    yield "axle tube", "on the truck", axle.name, *_sizes(wall, axle.fy, axle.fu), BLANK, BLANK
    filler = made_of.filler
    strength = figures.fixed(filler.fexx, "MPa", 1)
    yield "filler", filler.name, "", "", "", f"FEXX {strength}", BLANK, BLANK


def _bolts(work: Work, numbers: Mapping[str, str]) -> Iterator[tuple[str, ...]]:
    own = [bolt for bolt in work.truck.assembly.bolts if bolt.id in numbers]
    for bolt in sorted(own, key=lambda bolt: int(numbers[bolt.id][1:])):
        mark = _mark(work, bolt)
        through = ", ".join(names.part(code) for code in bolt.through)
        place = figures.vector(work.middle(bolt), "mm")
        strong = ("", "") if mark is None else tuple(figures.fixed(x, "MPa", 1) for x in mark)
        yield numbers[bolt.id], f"{bolt.size} {bolt.grade}", through, place, *strong, BLANK, BLANK


def _mark(work: Work, bolt: Bolt) -> tuple[float, float] | None:
    """Yield and tensile strength of a bolt or dowel; None for what its maker brings."""
    if bolt.grade == "dowel":
        return work.made_of.dowel.fy, work.made_of.dowel.fu
    if bolt.grade not in {row["class"] for row in stock.rows("classes")}:
        return None
    found = work.made_of.bolt(bolt)
    return found.fy, found.fu
