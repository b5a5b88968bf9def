"""Orders in the store: made once, moved on, and the stock with them."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.domain.faults import Refused
from service.domain.order import Item, Order, Short, StockLevel
from service.planning.orders.making import Draft
from service.store import (
    AnyRevision,
    NotFound,
    NotInState,
    Ordered,
    OrderFilter,
    Revision,
    Stale,
    Store,
    StoredAnswer,
)
from service.store.orders import stock
from tests.order_drafts import SEAL, TIE, an_id, ask, draft
from tests.store.plan_rows import new_key


def make(store: Store, made: Draft) -> Order:
    """Make an order that nothing is in the way of."""
    order = store.orders.make(made)
    assert isinstance(order, Order)
    return order


def lay_in(store: Store, item: Item, on_hand: int) -> None:
    """Put an item into stock, whether the catalogue has it or not."""
    with store._engines.writing() as connection:
        stock.write(connection, StockLevel(item, Decimal(on_hand), Decimal(0), 1))


def level(store: Store, item: Item) -> tuple[Decimal, Decimal]:
    """On hand and held."""
    found = store.stock.get(item)
    return found.on_hand, found.held


def test_an_order_is_read_as_it_was_made(store: Store) -> None:
    """With its lines, sources and totals; the stock that it takes is held."""
    lay_in(store, TIE, 75)
    order = make(store, draft(ask(TIE, 250), ask(SEAL, "0.5")))
    assert store.orders.get(order.id) == store.orders.as_made(order.id) == order
    assert {line.item: line.from_stock for line in order.lines} == {"seal": 0, "tie": 75}
    assert level(store, TIE) == (75, 75)


def test_an_order_goes_its_way_and_the_stock_with_it(store: Store) -> None:
    """Placed, received, issued: each at its time, each a revision, and the surplus of the packs is left."""
    lay_in(store, TIE, 75)
    order = make(store, draft(ask(TIE, 250)))
    levels = []
    for number, state in enumerate(("placed", "received", "issued"), start=1):
        moved = store.orders.move(order.id, state, Revision(number))  # type: ignore[arg-type]
        assert (moved.state, moved.revision) == (state, number + 1)
        levels.append(level(store, TIE))
    assert levels == [(75, 75), (275, 250), (25, 0)]
    found = store.orders.get(order.id)
    assert list(found.moments) == ["draft", "placed", "received", "issued"]
    assert [replace(line, received=None) for line in found.lines] == list(order.lines)
    assert [line.received for line in found.lines] == [line.packs for line in order.lines]
    assert store.orders.as_made(order.id) == order


def test_packs_that_did_not_come_are_told_and_not_held(store: Store) -> None:
    """One of two packs: the order knows it when it is read again, and issues what there is."""
    lay_in(store, TIE, 75)
    order = make(store, draft(ask(TIE, 250), ask(SEAL, 2)))
    store.orders.move(order.id, "placed", AnyRevision())
    store.orders.move(order.id, "received", AnyRevision(), [Short(TIE, 1)])
    assert {line.item: line.received for line in store.orders.get(order.id).lines} == {"seal": 2, "tie": 1}
    assert level(store, TIE) == (175, 175)
    store.orders.move(order.id, "issued", AnyRevision())
    assert (level(store, TIE), level(store, SEAL)) == ((0, 0), (0, 0))
    assert {line.item: line.received for line in store.orders.get(order.id).lines} == {"seal": 2, "tie": 1}


def test_what_cannot_be_short_moves_nothing(store: Store) -> None:
    """The order stays placed, its stock stays as it was."""
    order = make(store, draft(ask(TIE, 250)))
    store.orders.move(order.id, "placed", AnyRevision())
    with pytest.raises(Refused):
        store.orders.move(order.id, "received", AnyRevision(), [Short(SEAL, 1)])
    assert store.orders.get(order.id).state == "placed"
    assert store.stock.listed() == []


def test_a_state_that_is_reached_already_changes_nothing(store: Store) -> None:
    """So a request that is sent again, with the tag it has by then, moves no stock twice."""
    order = make(store, draft(ask(TIE, 250)))
    store.orders.move(order.id, "placed", AnyRevision())
    store.orders.move(order.id, "received", AnyRevision())
    assert store.orders.move(order.id, "received", AnyRevision()).revision == 3
    assert level(store, TIE) == (300, 250)


def test_a_state_that_may_not_follow_is_refused(store: Store) -> None:
    """And the stock stays as it was."""
    order = make(store, draft(ask(TIE, 250)))
    with pytest.raises(NotInState) as refusal:
        store.orders.move(order.id, "issued", AnyRevision())
    assert (refusal.value.state, refusal.value.to) == ("draft", "issued")
    assert store.stock.listed() == []


def test_a_stale_view_moves_nothing(store: Store) -> None:
    """Whoever has not seen the last change is told so."""
    order = make(store, draft(ask(TIE, 250)))
    store.orders.move(order.id, "placed", Revision(1))
    with pytest.raises(Stale):
        store.orders.move(order.id, "withdrawn", Revision(1))
    with pytest.raises(Stale):
        store.orders.delete(order.id, Revision(1))
    assert store.orders.get(order.id).state == "placed"


def test_a_plan_is_not_ordered_twice(store: Store) -> None:
    """The refusal names the order and the place in the request; nothing is held for the second one."""
    lay_in(store, TIE, 300)
    plan = an_id()
    first = make(store, draft(ask(TIE, 100), plan=plan))
    with pytest.raises(Ordered) as refusal:
        store.orders.make(draft(ask(TIE, 100), plan=plan))
    found = refusal.value.found[0]
    assert (found.kind, found.id, found.order, found.order_name) == ("plan", plan, first.id, first.name)
    assert found.pointer == "/plans/0"
    assert level(store, TIE) == (300, 100)


def test_a_plan_is_ordered_again_where_that_is_asked(store: Store) -> None:
    """On purpose it may be."""
    plan = an_id()
    make(store, draft(ask(TIE, 100), plan=plan))
    again = make(store, draft(ask(TIE, 100), plan=plan, again=True))
    assert store.orders.get(again.id).again


def test_a_withdrawn_order_frees_its_plans_and_its_stock(store: Store) -> None:
    """They can be ordered anew."""
    lay_in(store, TIE, 300)
    plan = an_id()
    first = make(store, draft(ask(TIE, 100), plan=plan))
    store.orders.move(first.id, "withdrawn", AnyRevision())
    assert level(store, TIE) == (300, 0)
    make(store, draft(ask(TIE, 100), plan=plan))


def test_a_draft_can_be_removed_and_nothing_else(store: Store) -> None:
    """What it held is free again; an order that was placed stays on record."""
    lay_in(store, TIE, 300)
    plan = an_id()
    first = make(store, draft(ask(TIE, 100), plan=plan))
    store.orders.delete(first.id, Revision(1))
    assert level(store, TIE) == (300, 0)
    with pytest.raises(NotFound):
        store.orders.get(first.id)
    second = make(store, draft(ask(TIE, 100), plan=plan))
    store.orders.move(second.id, "placed", AnyRevision())
    with pytest.raises(NotInState):
        store.orders.delete(second.id, AnyRevision())


def test_a_key_makes_one_order(store: Store) -> None:
    """The second request with it gets the first one's answer, and holds nothing."""
    lay_in(store, TIE, 300)
    first = store.orders.make(draft(ask(TIE, 100)), new_key())
    again = store.orders.make(draft(ask(TIE, 100)), new_key())
    assert isinstance(first, Order)
    assert isinstance(again, StoredAnswer)
    assert again.plan_id == first.id
    assert level(store, TIE) == (300, 100)


def test_a_refused_order_uses_up_no_key(store: Store) -> None:
    """The key is free for the request that is mended."""
    plan = an_id()
    make(store, draft(ask(TIE, 1), plan=plan))
    with pytest.raises(Ordered):
        store.orders.make(draft(ask(TIE, 1), plan=plan), new_key())
    assert isinstance(store.orders.make(draft(ask(TIE, 1), plan=plan, again=True), new_key()), Order)


def test_orders_are_listed_the_newest_first(store: Store) -> None:
    """Page by page, by state, by a part of the name in either case."""
    orders = [make(store, draft(ask(TIE, 1), name=name)) for name in ("Alpha", "Béta", "alphabet")]
    store.orders.move(orders[0].id, "placed", AnyRevision())
    listed = store.orders.listed(2)
    assert [each.id for each in listed] == [orders[2].id, orders[1].id]
    after = (listed[-1].created, listed[-1].id)
    assert [each.id for each in store.orders.listed(2, after)] == [orders[0].id]
    assert [each.name for each in store.orders.listed(which=OrderFilter(name="ALPHA"))] == ["alphabet", "Alpha"]
    assert [each.name for each in store.orders.listed(which=OrderFilter(state="placed"))] == ["Alpha"]
    assert listed[0].totals == orders[2].totals
    assert store.orders.listed(which=OrderFilter(name="\0")) == []


@pytest.mark.parametrize("id", ["0" * 32, "", "\0", "\ud800"])
def test_an_order_that_is_not_there_is_not_found(store: Store, id: str) -> None:
    """Whatever the text."""
    with pytest.raises(NotFound):
        store.orders.get(id)
    with pytest.raises(NotFound):
        store.orders.move(id, "placed", AnyRevision())
    with pytest.raises(NotFound):
        store.orders.delete(id, AnyRevision())
