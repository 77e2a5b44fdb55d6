"""Assembly drawings of a build, and the stages each belongs to."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import TYPE_CHECKING

from ...layout import reader
from ...layout.quantities import Key
from ...parts.model.numbering import stage_of
from .build import Build
from .file_names import drawing_name
from .sheet_files import SURVEY

if TYPE_CHECKING:
    from ...parts.drawing.assembled import DrawnGroup, Placed, SheetGroup
    from ...parts.drawing.display import Sheet


def assembly_files(build: Build) -> tuple[dict[str, bytes], dict[int, list[str]]]:
    """Path -> bytes of every assembly drawing as PDF and as DXF; and the paths of the PDFs by the
    number of the stage most of what is on them is fitted in, in order.
    """
    from ...parts.drawing.assembled import Placed, assembly_sheet, general_sheet, groups
    from ...parts.drawing.part_sheet import TitleHead

    issue = build.issue
    head = TitleHead(
        build.chassis, issue.revision or "draft", build.date, issue.says, tuple(issue.revisions)
    )
    placed = Placed(build.truck, build.shop)
    every = [
        (group, f"{build.chassis}-A{number}") for number, group in enumerate(groups(placed), 2)
    ]
    made: dict[str, bytes] = {}
    stages: dict[int, list[str]] = {number: [] for number in range(1, 9)}
    if not every:
        return made, stages
    path = "sheet/assembly-general.pdf"
    first = f"{build.chassis}-A1"
    made |= _again(
        build,
        (path, first),
        lambda: general_sheet(placed, every, head, build.solved, first),
        (build.truck.assembly.members, build.truck.singles, build.solved.values),
    )
    stages[SURVEY].append(path)
    for group, number in every:
        build.say(f"assembly drawing, {group.name}")
        path = f"sheet/assembly-{group.name.replace(', ', '-').replace(' ', '-')}.pdf"
        made |= _again(
            build,
            (path, number),
            partial(assembly_sheet, placed, group, head, build.solved, number),
            (_rests(placed, group), number, build.solved.values.get(Key("frame.datum_hole", "L"))),
        )
        stages[_main_stage(group)].append(path)
    return made, stages


def _main_stage(group: SheetGroup) -> int:
    """Number of the stage most of a group is fitted in, the first of several: its drawing goes with
    that packet, and every packet's steps name it.
    """
    from ...parts.documents.operations import FITTED

    fitted = [FITTED[stage_of(member)] for member in group.members]
    return max(sorted(set(fitted)), key=fitted.count)


def _rests(placed: Placed, group: SheetGroup) -> object:
    """Everything a group's drawing shows."""
    codes = [member.code for member in (*group.members, *group.near)]
    return (
        group._replace(welds={}, bolts={}),
        [placed.parts.get(code) for code in codes],
        [
            (number, weld._replace(care=frozenset()), sorted(weld.care))
            for number, weld in group.welds.items()
        ],
        list(group.bolts.items()),
        [placed.other_side(weld.id) for weld in group.welds.values()],
        [placed.other_side(bolt.id) for bolt in group.bolts.values()],
    )


def _again(
    build: Build, named: tuple[str, str], draw: Callable[[], DrawnGroup], rests: object
) -> dict[str, bytes]:
    """The drawing as PDF and DXF, taken again where nothing it shows changed; ``named``: path of
    the PDF, number of the drawing.
    """
    from ...parts import drawing

    shop, issue = build.shop, build.issue
    path, number = named
    stem = f"{number}-{issue.revision or 'draft'}"
    model = f"drawing/{drawing_name(stem, shop)}"
    shown = (
        rests,
        (issue.revision, issue.says, build.date, build.foot, [*issue.revisions]),
        (shop.paper, shop.name, shop.friction, [*shop.plates], [*shop.tubes]),
        reader.reader(),
    )

    @cache
    def sheet() -> Sheet:
        return draw().sheet

    return {
        path: build.again.get(
            path, lambda: drawing.pdf([sheet()], shop.paper, build.foot, shop.name), *shown
        ),
        model: build.again.get(model, lambda: drawing.dxf(sheet(), shop.unit), *shown, shop.unit),
    }
