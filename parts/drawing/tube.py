"""One sheet a tube: cut length, how each end is made, what it is coped to."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from ...layout.reader import measure
from ..design.lettering import size_text
from ..model.assembly import Part, Weld
from ..model.body import Tube, TubeEnd
from ..stock import Shop
from ..words import names
from ..words import numbers as shown
from ..words.cautions import of_part
from .display import Sheet
from .picture import LEFT_AHEAD, draw, faces
from .plate import elsewhere, hand_words, where
from .sheet import along, blank, notes, saw_length, upright

LEFT, MID, LONG = 110.0, 400.0, 520.0


def tube_sheet(
    part: Part,
    welds: tuple[Weld, ...],
    head: dict[str, str],
    shop: Shop,
    numbers: Mapping[str, str],
    aside: Sequence[str] = (),
) -> Sheet:
    """The drawing of one tube; its length is not to scale against its diameter."""
    body = part.member.body
    assert isinstance(body, Tube)
    t = shop.tube(body.stock)
    s = blank(
        head
        | {
            "part": f"{part.number}  {part.member.title}",
            "hand": hand_words(part),
            "stock": t.key,
            "mass": f"{measure(part.mass, 'mass', 2)} each",
            "quantity": str(part.quantity),
        }
    )
    h = 90.0
    s.box(LEFT, MID - h / 2, LONG, h)
    inner = h * (t.od - 2 * t.wall) / t.od
    for y in (MID - inner / 2, MID + inner / 2):
        s.line((LEFT, y), (LEFT + LONG, y), kind="dashed")
    s.line((LEFT - 20, MID), (LEFT + LONG + 20, MID))
    along(
        s,
        LEFT,
        LEFT + LONG,
        MID - h / 2 - 30,
        f"{saw_length(body.length)} {length_words(body)}",
    )
    upright(s, LEFT - 40, MID - h / 2, MID + h / 2, f"{shown.fine(t.od)} dia")
    s.text(LEFT + 12, MID + 8, f"{shown.fine(t.wall)} wall", 8)
    for x, anchor, name, e in (
        (LEFT, "start", "A", body.ends[0]),
        (LEFT + LONG, "end", "B", body.ends[1]),
    ):
        s.text(x, MID + h / 2 + 14, f"End {name}: {end_words(e)}", 8.5, True, anchor)  # type: ignore[arg-type]
    s.text(LEFT, MID + h / 2 + 40, "Length not to scale.", 7.5)
    draw(s, faces(part.member, part, shop), LEFT_AHEAD, (LEFT + LONG - 190, 110.0, 190.0, 130.0))
    own = [w for w in welds if part.id in (w.on, w.to)]
    notes(
        s,
        [
            *aside,
            where(part),
            *elsewhere(part, welds, numbers),
            *(
                [
                    "Welds on it: "
                    + ", ".join(
                        f"{numbers.get(w.id, '')} ({names.part(w.on)} to {names.part(w.to)})"
                        for w in own
                    )
                    + "."
                ]
                if own
                else []
            ),
            *of_part(part, welds),
        ],
        250,
        330.0,
    )
    return s


def length_words(b: Tube) -> str:
    """What a tube's length runs between."""
    coped = any(e.kind == "cope" for e in b.ends)
    return "long point to long point" if coped else "square cut"


def end_words(e: TubeEnd) -> str:
    """How an end is prepared, in the fitter's words."""
    if e.kind == "cope":
        return (
            f"cope to {size_text(e.onto)} round, its axis {math.degrees(e.angle):.1f} deg from the"
            " tube's"
        )
    if e.kind == "insert":
        return f"square, {e.item or 'threaded insert'}, sunk {size_text(e.depth)}"
    return "square" + (f", {e.item}" if e.item else "")
