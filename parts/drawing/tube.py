"""One sheet a tube: its side view to scale with true copes, length, diameter, wall, ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ..design.lettering import size_text
from ..geometry.cope import cope
from ..model.assembly import Part, Weld
from ..model.body import Tube, TubeEnd
from ..model.vectors import Vec2
from ..stock import Shop, TubeOnHand
from ..words import names
from ..words.cautions import of_part
from . import wording
from .canvas import POINTS
from .display import Sheet
from .part_notes import elsewhere, where
from .part_sheet import TitleHead, Try, on_the_smallest, part_title
from .placed import PlacedStroke
from .placed_view import PlacedView
from .plate_view import attempt_side
from .sheet import saw_length
from .side import Length, Remark, SideElevation
from .title import Title

ROUND = 96
"""Points round an end."""
APART = 0.3
"""mm from which on the far half of an end is drawn beside the near one."""


def tube_sheet(
    part: Part,
    welds: Sequence[Weld],
    head: TitleHead,
    shop: Shop,
    numbers: Mapping[str, str],
    aside: Sequence[str] = (),
) -> Sheet:
    """The drawing of one tube; arguments as of ``plate_sheet``."""
    body = part.member.body
    assert isinstance(body, Tube)
    tube = shop.tube(body.stock)
    side, steel = tube_view(body, tube)
    laid = ", ".join(
        f"{numbers.get(weld.id, '')} ({names.part(weld.on)} {names.onto(weld)})"
        for weld in welds
        if part.id in (weld.on, weld.to)
    )
    clock = [end.clock for end in body.ends if end.kind == "cope"]
    lines = [
        *aside,
        *(
            [f"Clock angle between the copes {wording.angle(abs(clock[1] - clock[0]))}."]
            if len(clock) > 1
            else []
        ),
        where(part),
        *elsewhere(part, welds, numbers),
        *([f"Welds on it: {laid}."] if laid else []),
        *of_part(part, tuple(welds)),
    ]
    title = tube_title(part, head, shop, tube)

    def fit(attempted: Try) -> PlacedView | None:
        return attempt_side(side, steel, attempted.area, attempted.scale.ratio * POINTS)

    return on_the_smallest(shop.paper, title, lines, body.length, fit)


def tube_title(part: Part, head: TitleHead, shop: Shop, tube: TubeOnHand) -> Title:
    """The title block of a tube."""
    body = part.member.body
    assert isinstance(body, Tube)
    return part_title(
        part,
        head,
        shop,
        steel=tube.steel,
        thickness=f"{wording.length(tube.wall)} wall",
        size=f"Ø {wording.length(tube.od)} x {saw_length(body.length)}",
    )


def tube_view(body: Tube, tube: TubeOnHand) -> tuple[SideElevation, list[Vec2]]:
    """A tube's side view, seen along the axis of its first cope, and the outline of its steel."""
    turn = next((end.clock for end in body.ends if end.kind == "cope"), 0.0)
    half, bore = tube.od / 2, tube.od / 2 - tube.wall
    near = [_end(body, index, tube.od, half, turn) for index in (0, 1)]
    inner = [_end(body, index, tube.od, bore, turn) for index in (0, 1)]
    count = ROUND // 2 + 1
    lines: list[PlacedStroke] = []
    outline: list[Vec2] = []
    for index in (0, 1):
        front, back = near[index][:count], [*near[index][count - 1 :], near[index][0]]
        lines.append((tuple(front), "wide"))
        if max(math.dist(one, two) for one, two in zip(front, reversed(back), strict=True)) > APART:
            lines.append((tuple(back), "hidden"))
        outline += front if index else front[::-1]
    for way in (0, count - 1):
        lines.append(((near[0][way], near[1][way]), "wide"))
        lines.append(((inner[0][way], inner[1][way]), "hidden"))
    lines.append((((-0.02 * body.length, 0.0), (1.02 * body.length, 0.0)), "center"))
    for index, end in enumerate(body.ends):
        if end.depth:
            x = end.depth if index == 0 else body.length - end.depth
            lines.append((((x, -bore), (x, bore)), "hidden"))
    return SideElevation(
        tuple(lines), tuple(_lengths(body, tube)), tuple(_remarks(body, tube))
    ), outline


def _end(body: Tube, index: int, od: float, radius: float, turn: float) -> list[Vec2]:
    """The edge of a round surface at an end, as seen, from its lower side round the near one."""
    end = body.ends[index]
    way = 1.0 if index == 0 else -1.0
    seen = np.linspace(0.0, math.tau, ROUND, endpoint=False) - math.pi / 2
    up, near = radius * np.sin(seen), radius * np.cos(seen)
    y = up * math.sin(turn) + near * math.cos(turn)
    z = up * math.cos(turn) - near * math.sin(turn)
    angle = np.arctan2(-way * y, z)
    back = cope(end, index, od, radius, angle) if end.kind == "cope" else np.zeros(ROUND)
    x = back if index == 0 else body.length - back
    return [(float(along), float(across)) for along, across in zip(x, up, strict=True)]


def _lengths(body: Tube, tube: TubeOnHand) -> Iterator[Length]:
    """Length over all, diameter, depth of inserts."""
    half, long = tube.od / 2, body.length
    down, up = -math.pi / 2, math.pi / 2
    words = f"{saw_length(long)} {length_words(body)}"
    yield Length((0.0, -half), (long, -half), down, words)
    yield Length((long, -half), (long, half), 0.0, f"Ø {wording.length(tube.od)}")
    for index, end in enumerate(body.ends):
        if end.depth:
            x = (0.0, end.depth) if index == 0 else (long - end.depth, long)
            yield Length((x[0], half), (x[1], half), up, f"{wording.length(end.depth)} sunk")


def _remarks(body: Tube, tube: TubeOnHand) -> Iterator[Remark]:
    """How each end is made, and the wall."""
    half, long = tube.od / 2, body.length
    for name, index in (("A", 0), ("B", 1)):
        end = body.ends[index]
        x, away = (0.0, math.pi) if index == 0 else (long, 0.0)
        lean = 0.9 if index else -0.9
        tips = (((x, half), away + lean), ((x, -half), away - lean), ((x, half), math.pi / 2))
        yield Remark("note", 0.0, f"end {name}: {end_words(end)}", tips)
    share = tuple(((share_ * long, half), math.pi / 2) for share_ in (0.5, 0.35, 0.65))
    yield Remark("note", tube.wall, f"wall {wording.length(tube.wall)}", share)


def length_words(tube: Tube) -> str:
    """What a tube's length runs between."""
    coped = any(end.kind == "cope" for end in tube.ends)
    return "long point to long point" if coped else "square cut"


def end_words(end: TubeEnd) -> str:
    """How an end is prepared, in the fitter's words."""
    if end.kind == "cope":
        beside = (
            f", {wording.length(end.offset)} beside its axis" if abs(end.offset) > APART else ""
        )
        return (
            f"cope to Ø {size_text(end.onto)} round, its axis {wording.angle(end.angle)} from the"
            f" tube's{beside}"
        )
    if end.kind == "insert":
        return f"square, {end.item or 'threaded insert'}"
    return "square" + (f", {end.item}" if end.item else "")
