"""Steps of a stage with their pictures: what is put in and where, what is bolted, what is welded;
what the set-down may still move is tacked in its stage and welded out, with the same pictures, in
the one after.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import zip_longest
from typing import NamedTuple

from ..drawing.assembled import (
    AssemblyStep,
    Item,
    Placed,
    StepLook,
    StepPictures,
    items,
    numbered,
    shown,
    steps,
)
from ..drawing.assembled.marks import PictureLetters
from ..drawing.assembled.steps import SIZE
from ..geometry.kept import Keep, anew
from ..model.assembly import Bolt, Member, Weld
from ..model.numbering import stage_of
from ..model.terms import Stage
from ..words import names
from ..words import numbers as said
from .engine import Doc, DocBlock, Drawn, Table, Words
from .facts import Facts
from .finish import bolt_table
from .welding import letters, weld_table

LAID_IN = {
    Stage.AXLE: "Stage 3, axle",
    Stage.FRAME: "Stage 4, frame",
    Stage.CROSSMEMBER: "Stage 5, crossmember",
    Stage.ARMS: "Stage 6, arms and set-down",
    Stage.SET_DOWN: "Stage 6, arms and set-down",
}
"""The stage of the job that each step belongs to."""
WELDED_OUT = "Stage 7, weld"
HOW_READ = "How the steps are read"
HOW = (
    "Heavy: what this step puts in. Thin: what stands there already. Ringed numbers are items of"
    " the table below, W is a weld, B a bolt."
)
HOW_WELDED = (
    "Heavy: what was tacked and is welded out here. Thin: what stands round it. Ringed numbers are"
    " the items named under the picture, W is a weld of the table below."
)
OTHER = {"L": "R", "R": "L"}


class PacketStep(NamedTuple):
    """A step with its pictures and its number within its packet; ``laid``: what was tacked in its
    own stage is welded out here.
    """

    number: str
    step: AssemblyStep
    shown: StepPictures
    laid: bool = False


class _StepToTell(NamedTuple):
    """A step where it is told, the letters numbered on its pictures, and its items."""

    stage: str
    step: AssemblyStep
    letters: PictureLetters
    laid: bool
    items: tuple[Item, ...]


def told(facts: Facts, placed: Placed, keep: Keep = anew) -> dict[str, list[PacketStep]]:
    """Every step by the stage it belongs to, those that are welded out after the set-down once
    more there: in their own stage they show items and bolts, there the welds. ``keep``: gives
    again the pictures of a truck of the same shapes, whatever its parts are called.
    """
    every = list(_to_tell(facts, placed))
    shapes = placed.content, [[item.codes for item in each.items] for each in every]
    pictures = keep(lambda: _pictures(facts, placed, every), "steps", *shapes)
    found: dict[str, list[PacketStep]] = {}
    for each, drawn in zip(every, pictures, strict=True):
        mine = found.setdefault(each.stage, [])
        number = f"{each.stage.split()[1].strip(',')}.{len(mine) + 1}"
        mine.append(PacketStep(number, each.step, drawn._replace(items=each.items), each.laid))
    return found


def _to_tell(facts: Facts, placed: Placed) -> Iterator[_StepToTell]:
    for step in steps(placed, numbered(placed, facts.chassis)):
        late, listed = step.stage is Stage.SET_DOWN, tuple(items(placed, step.group, facts.chassis))
        own: PictureLetters = "B" if late else "WB"
        yield _StepToTell(LAID_IN[step.stage], step, own, False, listed)
        if late and step.group.welds:
            yield _StepToTell(WELDED_OUT, step, "W", True, listed)


def _pictures(facts: Facts, placed: Placed, every: Sequence[_StepToTell]) -> list[StepPictures]:
    """The pictures of each; what of a step is seen is worked once."""
    looks: dict[int, StepLook] = {}
    found = []
    for each in every:
        if id(each.step) not in looks:
            looks[id(each.step)] = StepLook(placed, each.step)
        found.append(shown(looks[id(each.step)], facts.chassis, each.letters))
    return found


def docs(facts: Facts, placed: Placed, every: Mapping[str, Sequence[PacketStep]]) -> list[Doc]:
    """The steps of each stage that has any; ``every``: as ``told`` gives them."""
    return [
        Doc(
            "steps-" + stage.partition(", ")[2].replace(" ", "-"),
            f"Steps, {stage.partition(', ')[2]}",
            stage,
            "the welder" if stage == WELDED_OUT else "the fitter",
            (),
            [_how(facts, placed, stage, rows), *_blocks(facts, placed, rows)],
        )
        for stage, rows in every.items()
    ]


def _how(facts: Facts, placed: Placed, stage: str, rows: Sequence[PacketStep]) -> Words:
    """How the pictures of a stage and the letters of its welds are read."""
    pictures = HOW_WELDED if stage == WELDED_OUT else HOW
    return Words(HOW_READ, [pictures, *_letters(facts, placed, rows)])


def _letters(facts: Facts, placed: Placed, rows: Sequence[PacketStep]) -> list[str]:
    """The letters that stand beside welds of these steps, with what they mean."""
    used = letters(
        weld for each in rows if _welds_here(each) for weld in welds_of(placed, each.step).values()
    )
    return ["Letters beside a weld, before the arc is struck: " + "; ".join(used)] if used else []


def _welds_here(each: PacketStep) -> bool:
    """Whether a step is welded out where it is told."""
    return each.step.stage is not Stage.SET_DOWN or each.laid


def _blocks(facts: Facts, placed: Placed, rows: Sequence[PacketStep]) -> Iterator[DocBlock]:
    for each in rows:
        step = each.step
        welds, bolts = welds_of(placed, step), bolts_of(placed, step)
        both = "; right is left mirrored" if step.group.both else ""
        heading = f"Step {each.number}  {named(placed, step)}{both}. Drawing {step.number},"
        yield Words(f"{heading} {step.group.sheet}", [])
        yield Drawn(each.shown.sheet, each.shown.sheet.size or SIZE)
        if each.shown.hidden:
            yield Words("", [f"Out of sight: {', '.join(each.shown.hidden)}."])
        if unlisted := _unlisted(placed, each):
            yield Words("", [f"Items: {unlisted}."])
        if each.laid:
            yield weld_table(facts, welds)
            continue
        if new_in(placed, step):
            yield _parts(facts, placed, each)
        if bolts:
            yield bolt_table(facts, bolts)
        if welds:
            tacked = step.stage is Stage.SET_DOWN
            yield _tacks(facts, welds) if tacked else weld_table(facts, welds)


def named(placed: Placed, step: AssemblyStep) -> str:
    """What a step is called: the families of what it puts in or works on, with their side."""
    codes = [member.code for member in step.group.members]
    families = filter(None, map(placed.truck.family_of, codes))
    sides = {code.rpartition(".")[2] for code in codes}
    side = "" if step.group.both or len(sides) > 1 else names.SIDES.get(next(iter(sides), ""), "")
    called = " and ".join(dict.fromkeys(family.title for family in families))
    return f"{called}, {side}" if side else called


def _unlisted(placed: Placed, each: PacketStep) -> str:
    """The items of a picture by number and part that no row of the step's table names."""
    listed = set() if each.laid else set(new_in(placed, each.step))
    return "; ".join(
        f"{item.number} {', '.join(map(names.part, item.codes))}"
        for item in each.shown.items
        if not listed & set(item.codes)
    )


def members_of(placed: Placed, step: AssemblyStep) -> list[Member]:
    """What a step puts in, on both sides where one stands for both."""
    return [placed.members[code] for code in _codes(placed, step)]


def _codes(placed: Placed, step: AssemblyStep) -> list[str]:
    own = [member.code for member in step.group.members]
    return (
        [*own, *(_other(code) for code in own if _other(code) in placed.members)]
        if (step.group.both)
        else own
    )


def _other(code: str) -> str:
    stem, _, side = code.rpartition(".")
    return f"{stem}.{OTHER.get(side, side)}"


def welds_of(placed: Placed, step: AssemblyStep) -> dict[str, Weld]:
    """A step's welds by number, on both sides where one stands for both."""
    own = [*step.group.welds]
    if step.group.both:
        own += [placed.other_side(weld.id) for weld in step.group.welds.values()]
    return {number: placed.welds[number] for number in _sorted(own)}


def bolts_of(placed: Placed, step: AssemblyStep) -> dict[str, Bolt]:
    """A step's bolts by number, on both sides where one stands for both."""
    own = [*step.group.bolts]
    if step.group.both:
        own += [placed.other_side(bolt.id) for bolt in step.group.bolts.values()]
    return {number: placed.bolts[number] for number in _sorted(own)}


def _sorted(numbers: Iterable[str]) -> list[str]:
    return sorted(filter(None, numbers), key=lambda number: int(number[1:]))


def _parts(facts: Facts, placed: Placed, each: PacketStep) -> Table:
    """Where each part of a step goes, from something that can be touched."""
    new = set(new_in(placed, each.step))
    return Table(
        "",
        (
            ("item", 0.045),
            ("part", 0.095),
            ("name", 0.21),
            ("where", 0.455),
            ("may still move", 0.145),
            ("done", 0.05),
        ),
        [
            row
            for item in each.shown.items
            for code in item.codes
            if code in new
            for row in [_part_row(facts, placed, each.step, item, code)]
        ],
    ).without("may still move")


def new_in(placed: Placed, step: AssemblyStep) -> list[str]:
    """Codes of what a step puts in; none where it only welds or bolts."""
    return [member.code for member in members_of(placed, step) if stage_of(member) == step.stage]


def _part_row(
    facts: Facts, placed: Placed, step: AssemblyStep, item: Item, code: str
) -> tuple[str, ...]:
    member = placed.members[code]
    other = _other(code)
    both = step.group.both and other != code and other in placed.members
    return (
        item.number,
        ", ".join([names.part(code), *([names.part(other)] if both else [])]),
        member.title + facts.marked(code),
        facts.said(member.ref) or "see the welds",
        "; ".join(said.may_move(way, *ends) for way, ends in member.moves.items()),
        "",
    )


def _tacks(facts: Facts, welds: dict[str, Weld]) -> Table:
    """What is only tacked until the set-down, and with how much; two to a row."""
    tacked = {tack.weld.id: tack for tack in facts.strength.tacks}
    rows = [
        (
            number,
            f"{names.part(weld.on)} {names.onto(weld)}",
            f"{tacked[weld.id].pieces} of {said.room(tacked[weld.id].length)}"
            if weld.id in tacked
            else "not before it",
            "",
        )
        for number, weld in welds.items()
    ]
    half = (len(rows) + 1) // 2
    pairs = zip_longest(rows[:half], rows[half:], fillvalue=("", "", "", ""))
    columns = (("tack", 0.07), ("what to what", 0.24), ("till set-down", 0.14), ("done", 0.05))
    return Table("", columns * 2, [(*one, *two) for one, two in pairs])
