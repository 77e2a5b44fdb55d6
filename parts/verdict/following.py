"""What follows from a part that is judged: parts that stand on it wait, both hands go together."""

from __future__ import annotations

from ..model.body import Tube
from ..model.codes import side_of
from ..model.verdict import Verdict
from ..truck.truck import Truck
from .book import Book


def stands(book: Book, truck: Truck) -> None:
    """What stands on a part that fails waits for it: it moves, or is drilled anew, when that one is
    made larger.
    """
    from ..truck.truck import families

    every = dict(families())
    failed = [
        each
        for each in truck.singles
        if book.of("part", each.id) is Verdict.FAILS and each.id in truck.made_by
    ]
    for first in failed:
        lost = {truck.made_by[first.id]}
        grown = True
        while grown:
            gives = {given for family in lost for given in every[family].gives}
            more = {family for family, maker in every.items() if set(maker.needs) & gives} | lost
            grown, lost = more != lost, more
        side = side_of(first.id)
        for each in truck.singles:
            own = truck.made_by.get(each.id)
            if own in lost - {truck.made_by[first.id]} and {side, side_of(each.id)} != {"L", "R"}:
                why = f"stands on {first.member.title} {first.id}, which fails"
                book.note("part", each.id, Verdict.WAITS, why)


def twins(book: Book, truck: Truck) -> None:
    """Places whose part is one cut file: what bars one bars them all."""
    for part in truck.parts:
        noun = "tube" if isinstance(part.member.body, Tube) else "plate"
        judged = {
            code: book.of("part", code) for code in part.places if ("part", code) in book.notes
        }
        for one in judged:
            for other, value in judged.items():
                if value.bars and value.rank < book.of("part", one).rank:
                    why = next(reason for x, reason in book.notes["part", other] if x is value)
                    book.note("part", one, value, f"the same {noun} as {other}: {why}")
