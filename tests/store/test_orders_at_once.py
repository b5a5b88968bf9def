"""Eight clients at once order from one stock: nothing is sold twice, on either database."""

from __future__ import annotations

import random
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from typing import Any

from service.domain.order import Item, Order, StockLevel
from service.store import AnyRevision, NotInState, Ordered, Store, open_store
from service.store.orders import stock
from tests.order_drafts import SEAL, TIE, an_id, ask, draft
from tests.store.plan_rows import new_key

CLIENTS = 8


def at_once(url: str, work: Callable[[Store, int], Any]) -> list[Any]:
    """Let each client do its work, with connections of its own, all of them begun together."""
    start = threading.Barrier(CLIENTS)

    def run(number: int) -> Any:
        own = open_store(url)
        own.catalogue_revision()
        start.wait()
        try:
            return work(own, number)
        finally:
            own.close()

    with ThreadPoolExecutor(CLIENTS) as pool:
        return list(pool.map(run, range(CLIENTS)))


def lay_in(store: Store, item: Item, on_hand: int) -> None:
    """Put an item into stock, whether the catalogue has it or not."""
    with store._engines.writing() as connection:
        stock.write(connection, StockLevel(item, Decimal(on_hand), Decimal(0), 1))


def test_eight_clients_never_hold_more_than_there_is(store: Store, url: str) -> None:
    """Each makes six orders for seven pieces out of a hundred: a hundred are held, the rest is bought."""
    lay_in(store, SEAL, 100)

    def work(own: Store, number: int) -> Decimal:
        orders = [own.orders.make(draft(ask(SEAL, 7), ask(TIE, 10))) for _ in range(6)]
        return sum((line.from_stock for order in orders for line in order.lines), Decimal(0))  # type: ignore[union-attr]

    assert sum(at_once(url, work)) == 100
    level = store.stock.get(SEAL)
    assert (level.on_hand, level.held, level.available) == (100, 100, 0)
    bought = sum(line.packs for each in store.orders.listed() for line in store.orders.get(each.id).lines[:1])
    assert bought == CLIENTS * 6 * 7 - 100


def test_eight_clients_order_a_plan_once(store: Store, url: str) -> None:
    """One of them gets it; the others are told which order has it."""
    plan = an_id()

    def work(own: Store, number: int) -> str | None:
        try:
            order = own.orders.make(draft(ask(SEAL, 1), plan=plan))
        except Ordered as refusal:
            return refusal.found[0].order
        assert isinstance(order, Order)
        return order.id

    ids = at_once(url, work)
    assert len(set(ids)) == 1
    assert len(store.orders.listed()) == 1


def test_eight_clients_with_one_key_make_one_order(store: Store, url: str) -> None:
    """Sent again while the first is still on its way, the request holds stock once."""
    lay_in(store, SEAL, 100)

    def work(own: Store, number: int) -> str | None:
        made = own.orders.make(draft(ask(SEAL, 5)), new_key())
        return made.id if isinstance(made, Order) else made.plan_id

    assert len(set(at_once(url, work))) == 1
    assert store.stock.get(SEAL).held == 5


def test_an_order_is_received_once_however_many_say_so(store: Store, url: str) -> None:
    """Eight at once book the same delivery: its packs come to stock once."""
    order = store.orders.make(draft(ask(TIE, 250)))
    assert isinstance(order, Order)
    store.orders.move(order.id, "placed", AnyRevision())
    at_once(url, lambda own, number: own.orders.move(order.id, "received", AnyRevision()))
    assert store.stock.get(TIE).on_hand == 300


def test_whatever_eight_clients_do_the_books_balance(store: Store, url: str) -> None:
    """Orders are made, placed, received, issued, withdrawn and removed at random, seeded, all at once.

    In the end what is on hand is what was there, plus all packs received, less all that was issued; what is held is
    what the orders hold that are neither issued nor withdrawn.
    """
    lay_in(store, SEAL, 40)
    lay_in(store, TIE, 500)

    def work(own: Store, number: int) -> None:
        chance = random.Random(number)
        for _ in range(5):
            wanted = Decimal(chance.randrange(1, 4000)).scaleb(-2)
            order = own.orders.make(draft(ask(SEAL, chance.randrange(1, 9)), ask(TIE, str(wanted))))
            assert isinstance(order, Order)
            if chance.random() < 0.2:
                own.orders.delete(order.id, AnyRevision())
                continue
            for state in ("placed", "received", "issued")[: chance.randrange(4)]:
                own.orders.move(order.id, state, AnyRevision())  # type: ignore[arg-type]
            if chance.random() < 0.3:
                try:
                    own.orders.move(order.id, "withdrawn", AnyRevision())
                except NotInState as refusal:
                    assert refusal.state == "issued"

    at_once(url, work)
    orders = [store.orders.get(each.id) for each in store.orders.listed(500)]
    for item, first in ((SEAL, Decimal(40)), (TIE, Decimal(500))):
        level = store.stock.get(item)
        lines = [(each, line) for each in orders for line in each.lines if line.item == item.code]
        received = sum(line.packs * line.pack_of for each, line in lines if "received" in each.moments)
        issued = sum(line.from_stock + line.to_buy for each, line in lines if each.state == "issued")
        held = sum(line.from_stock for each, line in lines if each.state in ("draft", "placed"))
        held += sum(line.from_stock + line.to_buy for each, line in lines if each.state == "received")
        assert level.on_hand == first + received - issued
        assert level.held == held
