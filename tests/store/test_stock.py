"""The stock: counted by people, held by orders."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.domain.order import Item, Order
from service.store import Absent, AnyRevision, Exists, Held, NotFound, Revision, Stale, Store
from tests import catalogue_documents as documents
from tests.order_drafts import TIE, TRAY, ask, draft

SLEEVE = Item("sleeve", "rs-12")


@pytest.fixture
def stocked(store: Store) -> Store:
    """A store whose catalogue has a tray and a sleeve."""
    store.put_catalogue(documents.whole(trays=[documents.tray()], sleeves=[documents.sleeve()]), Absent())
    return store


def test_an_item_is_counted_for_the_first_time_and_anew(stocked: Store) -> None:
    """Each count is a revision, the same count again is none."""
    first = stocked.stock.put(SLEEVE, Decimal(500), Absent())
    assert (first.created, first.level.on_hand, first.level.held, first.level.revision) == (True, 500, 0, 1)
    assert stocked.stock.put(SLEEVE, Decimal("480.5"), Revision(1)).level.revision == 2
    same = stocked.stock.put(SLEEVE, Decimal("480.5"), AnyRevision())
    assert (same.created, same.level.revision) == (False, 2)
    assert stocked.stock.get(SLEEVE).available == Decimal("480.5")


def test_a_count_is_made_against_what_was_seen(stocked: Store) -> None:
    """As with catalogue entries."""
    with pytest.raises(NotFound):
        stocked.stock.put(SLEEVE, Decimal(1), AnyRevision())
    stocked.stock.put(SLEEVE, Decimal(1), Absent())
    with pytest.raises(Exists):
        stocked.stock.put(SLEEVE, Decimal(2), Absent())
    with pytest.raises(Stale):
        stocked.stock.put(SLEEVE, Decimal(2), Revision(7))


def test_only_what_the_catalogue_has_is_put_in_stock(stocked: Store) -> None:
    """A code of another kind of item is none either."""
    for item in (Item("sleeve", "absent"), Item("tray", "rs-12"), Item("tray", "\0")):
        with pytest.raises(NotFound):
            stocked.stock.put(item, Decimal(1), Absent())


def test_an_item_in_stock_is_retired_and_not_lost(stocked: Store) -> None:
    """What lies in the store keeps its title."""
    stocked.stock.put(SLEEVE, Decimal(1), Absent())
    assert stocked.delete_entry("sleeves", "rs-12", AnyRevision()) == "retired"
    assert stocked.stock.kinds("rs-12") == ["sleeve"]


def test_what_orders_hold_cannot_be_counted_away(stocked: Store) -> None:
    """Down to what is held it can."""
    stocked.stock.put(TRAY, Decimal(10), Absent())
    assert isinstance(stocked.orders.make(draft(ask(TRAY, 4))), Order)
    with pytest.raises(Held):
        stocked.stock.put(TRAY, Decimal(3), AnyRevision())
    assert stocked.stock.put(TRAY, Decimal(4), AnyRevision()).level.available == 0


def test_a_movement_changes_the_revision(stocked: Store) -> None:
    """Whoever read the stock before an order took from it cannot overwrite what it holds."""
    stocked.stock.put(TRAY, Decimal(10), Absent())
    stocked.orders.make(draft(ask(TRAY, 4)))
    with pytest.raises(Stale):
        stocked.stock.put(TRAY, Decimal(9), Revision(1))


def test_the_stock_is_listed_by_code(stocked: Store) -> None:
    """Page by page, and by kind; what was never there is not in it."""
    stocked.stock.put(TRAY, Decimal(10), Absent())
    stocked.stock.put(SLEEVE, Decimal(5), Absent())
    assert [level.item for level in stocked.stock.listed(1)] == [TRAY]
    assert [level.item for level in stocked.stock.listed(1, ("r6", "tray"))] == [SLEEVE]
    assert [level.item for level in stocked.stock.listed(kind="sleeve")] == [SLEEVE]
    with pytest.raises(NotFound):
        stocked.stock.get(TIE)


def test_a_code_of_two_sections_stands_for_two_items(stocked: Store) -> None:
    """Sleeves and trays of one code are counted each for themselves."""
    stocked.put_entry("trays", "rs-12", documents.tray(code="rs-12"), Absent())
    assert stocked.stock.kinds("rs-12") == ["sleeve", "tray"]
    stocked.stock.put(SLEEVE, Decimal(5), Absent())
    stocked.stock.put(Item("tray", "rs-12"), Decimal(7), Absent())
    assert [level.on_hand for level in stocked.stock.listed()] == [5, 7]
    assert stocked.stock.kinds("absent") == []


def test_received_goods_make_stock_of_what_was_never_there(stocked: Store) -> None:
    """The surplus of the packs is free for the next order."""
    order = stocked.orders.make(draft(ask(TIE, 250)))
    assert isinstance(order, Order)
    stocked.orders.move(order.id, "placed", AnyRevision())
    stocked.orders.move(order.id, "received", AnyRevision())
    assert stocked.orders.available([TIE]) == {TIE: 50}
    following = stocked.orders.make(draft(ask(TIE, 120)))
    assert isinstance(following, Order)
    assert (following.lines[0].from_stock, following.lines[0].packs) == (50, 1)
