"""Cut file and drawings of every part, taken again from the last draft where nothing changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

from ...layout import reader
from ...layout.faults import Exit, Fault, SoapstoneError
from ...parts.model.assembly import Part
from ...parts.model.numbering import numbered_bolts, numbered_welds
from ...parts.model.terms import Role
from .build import Build
from .solid_files import stock_of

if TYPE_CHECKING:
    from ...parts.drawing.display import Sheet
    from ...parts.drawing.part_sheet import TitleHead

ASIDE = {"override.new_bottom_holes": Role.BOTTOM_HOLES}
"""What a rule that was set aside touches, by the parts' role."""


def part_files(build: Build, parts: Sequence[Part] | None = None) -> dict[str, bytes]:
    """Cut files and drawings of every part, or of ``parts``; a part that is not for cutting has a
    drawing that says so and no cut file. Raises if a cut file does not read back as the part.
    """
    from ...parts.truck.truck import is_plate

    made, faults = dict[str, bytes](), list[Fault]()
    assembly = build.truck.assembly
    numbers = {weld.id: number for number, weld in numbered_welds(assembly).items()}
    numbers |= {bolt.id: number for number, bolt in numbered_bolts(assembly).items()}
    parts = build.truck.parts if parts is None else parts
    for count, part in enumerate(parts, 1):
        build.say(f"{count}/{len(parts)} {part.called} {part.member.title}")
        if is_plate(part) and build.judged.cut(part.id)[0]:
            made[build.cut_path(part)], wrong = _cut(build, part)
            faults += wrong
        if part.id not in build.drawn_with:
            made |= _drawings(build, part, numbers)
    if faults:
        raise SoapstoneError(
            Exit.CHECK_FAILS,
            faults,
            "a cut file does not read back as its part; nothing was written",
        )
    return made


def _cut(build: Build, part: Part) -> tuple[bytes, list[Fault]]:
    """The cut file, and what of it does not read back as the part."""
    from ...parts.export import cut

    path, shop = build.cut_path(part), build.shop
    old = build.again.ready(
        path,
        part.member,
        part.holes,
        part.marks,
        part.slots,
        stock_of(part, shop),
        shop.unit,
        shop.dxf,
        sorted(shop.layers.items()),
    )
    text = cut.cut_text(part, shop) if old is None else old.decode()
    return text.encode(), cut.read_back(text, part, path.rpartition("/")[2], shop)


def _drawings(build: Build, part: Part, numbers: Mapping[str, str]) -> dict[str, bytes]:
    """The drawing as PDF and DXF; drawn once, and only if one of them is to be made."""
    from ...parts import drawing
    from ...parts.documents import levels

    issue, shop = build.issue, build.shop
    twin = next(
        (other for other in build.truck.parts if build.drawn_with.get(other.id) is part), None
    )
    places = {*part.places, *(twin.places if twin else ())}
    welds = tuple(weld for weld in build.truck.assembly.welds if places & {weld.on, weld.to})
    head, aside = _head(build, part, twin), _aside(build, part, twin)
    foot = levels.part_void(build.chassis, part.number, head.revision, part.id in issue.letters)

    @cache
    def sheet() -> Sheet:
        return drawing.sheet(
            part=part, welds=welds, head=head, shop=shop, numbers=numbers, aside=aside, twin=twin
        )

    rests = (
        part,
        twin,
        [(weld._replace(care=frozenset()), sorted(weld.care)) for weld in welds],
        head,
        aside,
        stock_of(part, shop),
        reader.reader(),
        [
            *(numbers.get(weld.id) for weld in welds),
            *(numbers.get(hole.bolt) for hole in part.holes),
        ],
    )
    paper, model = build.drawing_paths(part)
    return {
        paper: build.again.get(
            paper,
            lambda: drawing.pdf([sheet()], shop.paper, foot, shop.name),
            rests,
            shop.paper,
            foot,
            shop.name,
        ),
        model: build.again.get(model, lambda: drawing.dxf(sheet(), shop.unit), rests, shop.unit),
    }


def _head(build: Build, part: Part, twin: Part | None) -> TitleHead:
    """What the title block says: whose part, at which revision, good for what."""
    from ...parts.drawing.part_sheet import TitleHead

    may, why = build.judged.cut(part.id)
    issue = build.issue
    level = f"released, for {issue.level}" if issue.letters else issue.says
    revisions = dict.fromkeys(build.revision(each) for each in (part, twin) if each)
    rows = dict.fromkeys(
        row for each in (part, twin) if each for row in issue.history.get(each.id, ())
    )
    return TitleHead(
        build.chassis,
        " / ".join(revisions),
        build.date,
        level if may else f"NOT FOR CUTTING, {why.partition(':')[0]}",
        tuple(rows),
    )


def _aside(build: Build, part: Part, twin: Part | None) -> list[str]:
    """Rules set aside that touch a part of this family, and what is cut alike, as its drawing says
    them.
    """
    from ...parts.drawing.hands import with_one_reason
    from ...parts.truck.roles import families_of

    return [
        f"RULE SET ASIDE, {said}"
        for key, said in build.aside.items()
        if key in ASIDE and part.member.family in families_of(ASIDE[key])
    ] + with_one_reason(
        said for each in (part, twin) if each for said in build.cut_alike.get(each.id, ())
    )
