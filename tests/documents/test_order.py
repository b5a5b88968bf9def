"""Orders as documents, and back without a loss."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import orjson
from hypothesis import given
from hypothesis import strategies as st

from service.documents.asks import asks_from, exact
from service.documents.order import order_from, order_to, summary_to
from service.documents.order_request import order_request_from
from service.domain.order import Item, OrderRequest, OrderSummary
from service.planning.orders.delivering import delivered
from service.planning.orders.goods import Goods
from service.planning.orders.making import Draft
from service.planning.orders.needs import needs_of
from tests.order_drafts import GOODS, SEAL, START, TIE, ask, draft, sleeves, source

RS12 = Item("sleeve", "rs-12")


def a_full_draft() -> Draft:
    """An order with everything in it: two sources, spares, a retired item, an address."""
    sources = [
        source(ask(RS12, 15), sleeves("rs-12", [(12, 0.05)], 3), ask(TIE, "0.3")),
        source(ask(RS12, 15), sleeves("rs-12", [(12, 0.1)], 3), ask(SEAL, 2, 1), points=7),
    ]
    heading = replace(draft(ask(TIE, 1)).heading, supplier="Supplies", deliver_to="Depot", reference="R-1", again=True)
    goods = {**GOODS, RS12: Goods("Sleeve", "piece", 25, Decimal("22.50"), "EUR"), TIE: Goods("Tie", retired=True)}
    return Draft(heading, sources, needs_of(sources, 0.95), goods)


def test_an_order_comes_back_as_it_was_written() -> None:
    """Through JSON text and back it is equal, member by member."""
    order = delivered(a_full_draft().settled({RS12: Decimal("3.5")}), {SEAL: 4})
    order = replace(order, state="placed", revision=2, moments={**order.moments, "placed": START + timedelta(days=1)})
    assert order_from(orjson.loads(orjson.dumps(order_to(order)))) == order
    assert order_from(json.loads(json.dumps(order_to(order)))) == order


@given(st.integers(0, 10**15))
def test_a_quantity_keeps_every_millionth(millionths: int) -> None:
    """Up to a thousand million, a number of a document is the decimal that was meant."""
    quantity = Decimal(millionths).scaleb(-6)
    order = draft(ask(TIE, quantity)).settled({})
    assert order_from(orjson.loads(orjson.dumps(order_to(order)))).lines[0].quantity == quantity


def test_money_is_text_and_quantities_are_numbers() -> None:
    """As everywhere in the service."""
    line = order_to(draft(ask(TIE, "0.5")).settled({}))["lines"][0]
    assert (line["price"], line["pack_price"], line["currency"], line["quantity"]) == ("12.90", "12.90", "EUR", 0.5)


def test_a_summary_has_the_totals() -> None:
    """And how many lines there are."""
    order = draft(ask(TIE, 1)).settled({})
    told = summary_to(OrderSummary(order.id, order.created, order.name, "draft", 1, 1, order.totals))
    assert (told["lines"], told["totals"]) == (1, [{"price": "12.90", "currency": "EUR", "lines": 1}])


def test_a_request_has_its_defaults() -> None:
    """Nothing is ordered twice, and nothing is refused that can be left out, unless it is asked for."""
    assert order_request_from({"plans": ["a"]}) == OrderRequest(plans=("a",))
    full = {"plans": ["a"], "takeoffs": ["b"], "name": "n", "confidence": 0.9, "again": True, "strict": True}
    assert order_request_from(full) == OrderRequest(("a",), ("b",), "n", 0.9, True, True)


def test_a_plan_that_does_not_fit_asks_for_nothing() -> None:
    """It has neither materials nor a certificate."""
    assert asks_from({"fits": False}).items == ()


def test_a_number_is_read_as_it_is_written() -> None:
    """Not as the binary fraction nearest to it."""
    assert exact(0.1) == Decimal("0.1")
    assert exact(12) == 12
