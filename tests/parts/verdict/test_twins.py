"""Places cut from one file are barred together, each called what it is."""

from __future__ import annotations

import pytest
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.verdict.book import Book
from soapstone.parts.verdict.following import twins
from trucks import job, shaped


@pytest.mark.parametrize(("kind", "noun"), [(Plate, "plate"), (Tube, "tube")])
def test_a_twin_is_called_what_it_is(kind: type, noun: str) -> None:
    truck, _ = shaped(job())
    part = next(p for p in truck.parts if isinstance(p.member.body, kind) and p.places[1:])
    book, (first, second) = Book(), part.places[:2]
    for code in (first, second):
        book.thing("part", code, part.member.title)
    book.note("part", first, Verdict.FAILS, "too thin")
    twins(book, truck)
    said = next(f.reason for f in book.findings() if f.id == second)
    assert said.startswith(f"the same {noun} as ") and said.endswith(": too thin")
