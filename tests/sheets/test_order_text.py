"""An order on a screen."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from service.domain.order import Item, OrderSource
from service.planning.orders.goods import Goods
from service.planning.orders.making import Draft
from service.planning.orders.needs import needs_of
from service.sheets.order_text import order_text
from tests.order_drafts import GOODS, TIE, TRAY, ask, draft, sleeves, source

RS12 = Item("sleeve", "rs-12")


def test_an_order_is_told_in_columns() -> None:
    """What is needed, what is there, what is bought, worked by hand: 250 ties, 20 in boxes, 75 in stock."""
    order = draft(ask(TIE, 250, 20), ask(TRAY, 2), name="First lot", reference="R-7").settled({TIE: Decimal(75)})
    lines = [" ".join(line.split()) for line in order_text(order).splitlines()]
    assert lines[0] == f"Order {order.id} First lot"
    assert "reference: R-7" in lines
    assert "tie 250 20 75 155 2 of 100 25.80 EUR Tie (piece)" in lines
    assert "r6 2 - - 2 2 49.60 SEK Tray (piece)" in lines
    assert lines[lines.index("Total") + 1 :][:2] == ["EUR 25.80 1 line", "SEK 49.60 1 line"]
    assert "Spares" not in lines


def test_spares_are_told_both_ways() -> None:
    """Pooled, and each plan's own added up."""
    sources = [source(ask(RS12, 15), sleeves("rs-12", [(12, 0.05)], spares=3)) for _ in range(4)]
    goods = {**GOODS, RS12: Goods("Sleeve", "piece", 25, Decimal("22.50"), "EUR")}
    order = Draft(draft(ask(TIE, 1)).heading, sources, needs_of(sources, 0.95), goods).settled({})
    spares = order.lines[0].spares
    assert spares is not None
    told = [" ".join(line.split()) for line in order_text(order).splitlines()]
    assert f"rs-12 48 {spares.pooled} 12" in told


def test_what_is_left_out_stands_with_its_source() -> None:
    """A takeoff with splice points that are not in the order says so."""
    order = draft(ask(TIE, 1)).settled({})
    gaps = replace(order, sources=(OrderSource("takeoff", "f" * 32, "Build", 390, 8, 2),))
    assert "390 splice points, left out: 8 not fitting, 2 faulty" in order_text(gaps)
