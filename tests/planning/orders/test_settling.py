"""Needs settled against stock: what is held, what is bought, in packs and money."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.faults import Refused
from service.domain.order import Item, OrderLine
from service.planning.orders.goods import Goods
from service.planning.orders.needs import needs_of
from service.planning.orders.settling import check_goods, lines_of, totals_of, unpriced
from tests.order_drafts import GOODS, SEAL, TIE, TRAY, ask, draft, source


def line(quantity: str, included: str, pack_of: int, available: str, price: str | None = "12.90") -> OrderLine:
    """The line of one item."""
    goods = Goods("Tie", "piece", pack_of, None if price is None else Decimal(price), "EUR" if price else None)
    needs = needs_of([source(ask(TIE, quantity, included))], 0.95)
    return lines_of(needs, {TIE: goods}, {TIE: Decimal(available)})[0]


def test_a_line_worked_by_hand() -> None:
    """250 ties, 20 in boxes, 75 in stock: 155 to buy are two packs of 100 at 12.90, and 45 are left over."""
    found = line("250", "20", 100, "75")
    assert (found.from_stock, found.to_buy, found.packs, found.surplus) == (75, 155, 2, 45)
    assert (found.pack_price, found.price) == (Decimal("12.90"), Decimal("25.80"))


def test_packs_are_rounded_once_for_all_sources() -> None:
    """Ten plans with a tenth of a blade each wear down one blade, not ten."""
    sources = [source(ask(TIE, "0.1")) for _ in range(10)]
    goods = {TIE: Goods("Blade", price=Decimal("35.00"), currency="EUR")}
    assert lines_of(needs_of(sources, 0.95), goods, {})[0].packs == 1
    assert lines_of(needs_of([*sources, source(ask(TIE, "0.000001"))], 0.95), goods, {})[0].packs == 2


def test_what_is_in_stock_is_not_bought() -> None:
    """A line that the stock covers has no packs and costs nothing, and holds no more than is needed."""
    found = line("10", "0", 100, "5000")
    assert (found.from_stock, found.to_buy, found.packs, found.price) == (10, 0, 0, Decimal("0.00"))


def test_an_item_without_a_price_is_counted_as_such() -> None:
    """It has no price, is in no total, and is told among the unpriced ones where it must be bought."""
    found = line("10", "0", 100, "0", price=None)
    assert (found.price, found.pack_price, found.currency) == (None, None, None)
    assert totals_of([found]) == ()
    assert unpriced([found]) == 1
    assert unpriced([line("10", "0", 100, "10", price=None)]) == 0


def test_currencies_are_totalled_each_for_itself() -> None:
    """Lines are grouped by currency, those without a price come last."""
    loose = Item("material", "a-loose")
    goods = {**GOODS, loose: Goods("Loose")}
    order = draft(ask(TRAY, 2), ask(loose, 1), ask(TIE, 1), ask(SEAL, 3), goods=goods).settled({})
    assert [each.item for each in order.lines] == ["seal", "tie", "r6", "a-loose"]
    assert [tuple(total) for total in order.totals] == [("EUR", Decimal("26.70"), 2), ("SEK", Decimal("49.60"), 1)]
    assert order.unpriced == 1
    assert "without a price, and in no total: a-loose" in order.notes


def test_a_retired_item_is_told() -> None:
    """It may be out of trade, so the purchaser is told; from stock it is no matter."""
    goods = {SEAL: Goods("Seal", retired=True)}
    assert any("seal is retired" in note for note in draft(ask(SEAL, 1), goods=goods).settled({}).notes)
    assert not any("retired" in note for note in draft(ask(SEAL, 1), goods=goods).settled({SEAL: Decimal(1)}).notes)


def test_an_item_that_is_counted_in_another_unit_by_now_is_refused() -> None:
    """A pack of the catalogue's would not be a pack of the plan's."""
    needs = needs_of([source(ask(TIE, 3, unit="m"))], 0.95)
    with pytest.raises(Refused) as refusal:
        check_goods(needs, GOODS)
    assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == [("/plans/0", "unit")]


def test_an_item_that_the_catalogue_does_not_know_is_refused() -> None:
    """It has neither packs nor a price."""
    with pytest.raises(Refused) as refusal:
        check_goods(needs_of([source(ask(TIE, 3))], 0.95), {})
    assert refusal.value.faults[0].code == "unknown_code"


millionths = st.integers(0, 10**12).map(lambda n: Decimal(n).scaleb(-6))


@given(millionths, millionths, millionths, st.integers(1, 10**6), st.integers(0, 10**10))
def test_a_line_is_right_to_the_last_piece_and_cent(
    quantity: Decimal, included: Decimal, available: Decimal, pack_of: int, cents: int
) -> None:
    """Held and bought pieces are what is needed; one pack less would not do; the price is that of so many packs."""
    included = min(quantity, included)
    found = line(str(quantity), str(included), pack_of, str(available), str(Decimal(cents).scaleb(-2)))
    assert found.included + found.from_stock + found.to_buy == quantity
    assert 0 <= found.from_stock <= available
    assert found.to_buy == 0 or found.from_stock == available
    assert found.packs * pack_of == found.to_buy + found.surplus
    assert 0 <= Fraction(found.surplus) < pack_of
    assert found.price == Decimal(found.packs * cents).scaleb(-2).quantize(Decimal("0.01"), ROUND_HALF_UP)
