"""A part's card on the page: picture, number, what it is, verdict, files."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from ..design.part_numbers import places_in_words
from ..drawing.display import Sheet
from ..drawing.part_notes import hand_words
from ..drawing.picture import LEFT_AHEAD, draw, faces
from ..drawing.sheet import saw_length, with_unit
from ..drawing.tube import length_words
from ..model.assembly import Part
from ..model.body import Tube
from ..model.verdict import Verdict
from ..stock import Shop
from ..verdict.findings import Judged
from ..words import names
from .blocks import safe
from .shown import PageContents
from .svg import svg

PICTURE = (180.0, 110.0)
"""Size of a card's picture, points."""
FRAME = (4.0, 4.0, 172.0, 102.0)
"""Where in it the part is drawn: left, bottom, width, height."""


def look_of(verdict: Verdict) -> str:
    """Style of a verdict: ok, warn, or bad for what is not for cutting."""
    if verdict is Verdict.OK:
        return "ok"
    return "bad" if verdict.bars else "warn"


def card(
    part: Part, judged: Judged, shop: Shop, shown: PageContents, say: Callable[[object], str]
) -> str:
    """The card; ``say``: a text of the model as people read it."""
    picture = Sheet(part.id)
    draw(picture, faces(part.member, part, shop), LEFT_AHEAD, FRAME)
    finding = judged.of(part.id)
    barred = "not for cutting, " if finding.verdict.bars else ""
    places = safe(", ".join(places_in_words(part.places)))
    return (
        f'<div class="card hit" data-also="{escape(" ".join(part.places))}">'
        f"{svg(picture, PICTURE, part.member.title)}<h4>{safe(part.number)}"
        f" {safe(part.member.title)}</h4><p>{_size(part)}; quantity {part.quantity};"
        f" {safe(hand_words(part))}; goes to {places}</p>"
        f'<p class="{look_of(finding.verdict)}">{safe(f"{barred}{finding.verdict}")}</p>'
        f"{_why(say(finding.reason))}"
        f'<p class="acts">{_links(part, shown)} {_buttons(part)}</p></div>'
    )


def _why(reason: str) -> str:
    """The reason, folded: on paper it stands once, under what matters."""
    if not reason:
        return ""
    return f'<details class="why"><summary>why</summary><p>{safe(reason)}</p></details>'


def _size(part: Part) -> str:
    """Stock, and of a tube its length and between what."""
    body = part.member.body
    stock = safe(getattr(body, "stock", ""))
    if not isinstance(body, Tube):
        return stock
    return f"{stock}{safe(f', {with_unit(saw_length(body.length))} {length_words(body)}')}"


def _links(part: Part, shown: PageContents) -> str:
    return " ".join(
        f'<a href="{escape(path)}">{safe(kind)}</a>' for kind, path in shown.links.get(part.id, ())
    )


def _buttons(part: Part) -> str:
    """One button a place, which shows it on the truck."""
    several = len(part.places) > 1
    return " ".join(
        f'<button data-show="{escape(place)}">'
        f"show {safe(names.part(place) if several else 'it')}</button>"
        for place in part.places
    )
