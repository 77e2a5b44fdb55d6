"""Shop documents of the two invented trucks."""

from __future__ import annotations

from functools import cache

from designs import designed_of, looked_at
from soapstone.parts import documents, drawing
from soapstone.parts.documents import engine, facts, heads, steps
from soapstone.parts.drawing.assembled import Placed
from soapstone.parts.drawing.display import Sheet
from soapstone.parts.drawing.part_sheet import TitleHead
from soapstone.parts.export import nest
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.numbering import numbered_welds
from soapstone.parts.model.terms import Level
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.result import strength
from trucks import job, truck

SHOP = default_shop()


HEAD = heads.PageHead("DEMO1", "2026-01-15", Level.DRAFT, "DRAFT - not released", "letter")


@cache
def made(name: str = "demo") -> facts.Facts:
    t, s = truck(name)
    j = job(name)
    return facts.Facts(
        j.chassis,
        "2026-01-15",
        j.words,
        j.readings,
        s,
        t,
        SHOP,
        strength(t, s, SHOP),
        nest.nest(t.parts, SHOP),
        {p.id: "A" for p in t.parts},
        looked_at(designed_of(j, SHOP)).judged,
    )


@cache
def work(name: str = "demo") -> documents.Documents:
    return documents.every(made(name), [("drag link and shelf", "full bump", "0.04", "0.50")])


@cache
def pictured(name: str = "demo") -> tuple[Placed, list[steps.PacketStep]]:
    """The placed truck and every step of its packets."""
    placed = Placed(truck(name)[0], SHOP)
    every = steps.told(made(name), placed)
    return placed, [each for rows in every.values() for each in rows]


@cache
def every(name: str = "demo") -> list[engine.Doc]:
    return work(name).docs


DRAWN = TitleHead("DEMO1", "A", "2026-01-15", "tack")


def sheet(t, p: Part) -> Sheet:
    numbers = {w.id: n for n, w in numbered_welds(t.assembly).items()}
    return drawing.sheet(
        p, tuple(w for w in t.assembly.welds if p.id in (w.on, w.to)), DRAWN, SHOP, numbers
    )
