"""The customer's page: everything made and bought is on it, the sum by hand, no shop price."""

from __future__ import annotations

from dataclasses import replace

import pytest
from papers import made
from soapstone.parts.documents.engine import Table, Words
from soapstone.parts.documents.facts import Facts
from soapstone.parts.documents.ordering import bill, costs, order, price
from soapstone.parts.documents.quote import quote
from soapstone.parts.model.body import Plate
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.stock.on_hand import Rates
from soapstone.parts.truck import fasteners
from soapstone.parts.verdict.findings import Judged


def priced() -> Facts:
    facts = made("demo")
    keys = [stock.key for stock in (*facts.shop.plates, *facts.shop.tubes)]
    rates = Rates(hour=97.0, cut_inch=0.13, pierce=0.71, margin=25)
    shop = facts.shop._replace(prices=dict.fromkeys(keys, 1.37), rates=rates)
    return replace(facts, shop=shop)


def cells(facts: Facts) -> list[str]:
    tables = [block for block in quote(facts).blocks if isinstance(block, Table)]
    return [str(cell) for table in tables for row in table.rows for cell in row]


def test_the_sum_is_steel_and_work_with_the_margin() -> None:
    facts = priced()
    own = [cost.amount for cost in costs(facts)]
    assert len(own) == 4 and all(own)
    assert price(facts) == pytest.approx(1.25 * sum(own))
    total = f"{1.25 * sum(own):.2f}"
    assert total in cells(facts)
    last = [block for block in bill(facts).blocks if isinstance(block, Table)][-1]
    assert last.rows[-1][-1] == total


def test_no_price_of_the_shop_is_on_the_customers_page() -> None:
    facts = priced()
    told = " ".join(cells(facts))
    for cost in costs(facts):
        assert f"{cost.amount:.2f}" not in told and cost.what not in told
    assert "97" not in told.split() and "1.37" not in told


def test_the_order_names_the_plate_that_waits() -> None:
    """Every stock of a part that is not for cutting with its count, and nothing where none is."""
    facts = made("demo")
    plates = [part for part in facts.truck.parts if isinstance(part.member.body, Plate)]
    assert not [row for row in words_of(facts) if "not for cutting" in row]
    late = {part.id: part for part in plates if part.id[:2] in ("CM", "LT")}
    places = {place for part in late.values() for place in part.places}
    rows = [
        row._replace(verdict=Verdict.WAITS, reason="late") if row.id in places else row
        for row in facts.judged.findings
    ]
    (said,) = (
        row for row in words_of(replace(facts, judged=Judged(rows))) if "not for cutting" in row
    )
    for stock in {part.member.body.stock for part in late.values()}:
        own = sum(part.quantity for part in late.values() if part.member.body.stock == stock)
        assert f"{stock} for {own} more" in said, said


def words_of(facts: Facts) -> list[str]:
    return [row for block in order(facts).blocks if isinstance(block, Words) for row in block.rows]


def test_every_piece_and_every_bolt_is_on_it() -> None:
    facts = priced()
    tables = {block.title: block for block in quote(facts).blocks if isinstance(block, Table)}
    pieces = sum(int(row[1]) for row in tables["Made here"].rows)
    stay = [part for part in facts.truck.parts if part.member.fixed_after != "tool"]
    assert pieces == sum(part.quantity for part in stay), "but templates, which the shop keeps"
    rows = [str(row[0]) for row in tables["Bought"].rows]
    bought = {str(row[0]): int(row[1]) for row in tables["Bought"].rows}
    assert len(bought) == len(rows), "nothing stands twice"
    ordered = fasteners.ordered(facts.truck, facts.shop)
    names = {bolt.name for bolt, _ in ordered}
    assert sum(bought[name] for name in names) == facts.trucks * sum(count for _, count in ordered)


def test_without_every_rate_there_is_a_line_to_fill_in() -> None:
    assert price(made("demo")) == 0.0
