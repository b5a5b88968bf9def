"""Processes killed while they make orders and move them on: the books balance all the same."""

from __future__ import annotations

import multiprocessing
import os
import signal
from decimal import Decimal
from multiprocessing.connection import Connection as Pipe

from service.domain.order import Order, StockLevel
from service.store import AnyRevision, Store, open_store
from service.store.orders import stock
from tests.order_drafts import SEAL, TIE, ask, draft
from tests.store.plan_rows import new_key

_context = multiprocessing.get_context("spawn")
_KILLS = 4
_ORDERS_A_LIFE = 6


def order_without_end(url: str, told: Pipe) -> None:
    """Make orders under the keys 0, 1, 2 ... and issue them; those that stand already are gone over again."""
    store = open_store(url)
    for number in range(100_000):
        plan = f"{number:032x}"
        made = store.orders.make(draft(ask(SEAL, 3), ask(TIE, 150), plan=plan, id=plan), new_key(plan))
        order = made if isinstance(made, Order) else store.orders.get(made.plan_id or "")
        for state in ("placed", "received", "issued"):
            if state not in order.moments:
                order = store.orders.move(order.id, state, AnyRevision())  # type: ignore[arg-type]
        told.send(number)


def killed_after(url: str, orders: int) -> None:
    """Let a process order until it has told of so many orders, then kill it, wherever it is by then."""
    receive, send = _context.Pipe(duplex=False)
    process = _context.Process(target=order_without_end, args=(url, send))
    process.start()
    send.close()
    while receive.recv() < orders - 1:
        pass
    assert process.pid is not None
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    receive.close()


def test_a_client_that_is_killed_and_begins_again_orders_everything_once(store: Store, url: str) -> None:
    """Killed four times, each time begun again with the same keys: an order a key, and every piece accounted for."""
    with store._engines.writing() as connection:
        for item in (SEAL, TIE):
            stock.write(connection, StockLevel(item, Decimal(20), Decimal(0), 1))
    for life in range(1, _KILLS + 1):
        killed_after(url, life * _ORDERS_A_LIFE)
    orders = [store.orders.get(each.id) for each in store.orders.listed(500)]
    numbers = sorted(int(order.id, 16) for order in orders)
    assert numbers == list(range(len(orders)))
    assert len(orders) >= _KILLS * _ORDERS_A_LIFE
    for item in (SEAL, TIE):
        lines = [(order, line) for order in orders for line in order.lines if line.item == item.code]
        came = sum((line.received or 0) * line.pack_of for _, line in lines)
        issued = sum(line.from_stock + line.to_buy for order, line in lines if order.state == "issued")
        held = sum(line.from_stock for order, line in lines if order.state in ("draft", "placed"))
        held += sum(line.from_stock + line.to_buy for order, line in lines if order.state == "received")
        level = store.stock.get(item)
        assert (level.on_hand, level.held) == (20 + came - issued, held)
