"""What must hold after a run of kills: everything acknowledged is there, exactly once, whole and in balance."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any

from service.domain.order import Item, Order
from service.store import NotFound, Store
from tests.faults.acknowledged import Acknowledged


def lost_or_doubled(store: Store, told: Iterable[Acknowledged]) -> list[str]:
    """Every difference between what clients were told and what the database holds, in words; none is right.

    Clients finish what they are at, so nothing may be there that was not acknowledged in the end either.
    """
    found: list[str] = []
    told = list(told)
    for kind, standing in (
        ("plans", set(store.plan_ids())),
        ("orders", {each.id for each in _orders(store)}),
        ("installations", set(hung(store))),
        ("takeoffs", set(_takeoffs(store))),
    ):
        acknowledged = [id for each in told for id in getattr(each, kind).values()]
        twice = [id for id, count in Counter(acknowledged).items() if count > 1]
        wanted = set(acknowledged) - {id for each in told for id in each.removed}
        found += [f"{kind}: {id} answered to two keys" for id in twice]
        found += [f"{kind}: {id} was acknowledged and is not there" for id in sorted(wanted - standing)]
        found += [f"{kind}: {id} is there and was never acknowledged" for id in sorted(standing - wanted)]
        found += [fault for each in told for fault in _astray(store, getattr(each, kind))]
    return found + [fault for each in told for fault in _astray(store, each.answered_again)]


def _astray(store: Store, keys: Mapping[str, str]) -> Iterator[str]:
    """Keys that do not lead to what was acknowledged under them."""
    for key, id in keys.items():
        kept = store.idempotent(key)
        if kept is None or kept.plan_id != id:
            yield f"the key {key} leads to {kept and kept.plan_id}, not to {id}"


def unfinished(store: Store, told: Iterable[Acknowledged], within_s: float = 60.0) -> list[str]:
    """Takeoffs that were acknowledged and do not come to their end, each point planned once."""
    found: list[str] = []
    last = time.monotonic() + within_s
    for id in [id for each in told for id in each.takeoffs.values()]:
        status = store.takeoffs.get(id)
        while status.ended is None and time.monotonic() < last:
            time.sleep(0.02)
            status = store.takeoffs.get(id)
        if (status.state, status.done, status.points) != ("finished", 3, 3):
            found.append(f"takeoff {id} is {status.state}: {status.done} done of {status.points} points")
    return found


def out_of_balance(store: Store, told: Iterable[Acknowledged]) -> list[str]:
    """Orders whose state is not the one acknowledged, and stock that does not add up from the orders' lines."""
    found: list[str] = []
    orders = [store.orders.get(each.id) for each in _orders(store)]
    states = {id: state for each in told for id, state in each.states.items()}
    for order in orders:
        if order.state != states.get(order.id):
            found.append(f"order {order.id} is {order.state}, acknowledged was {states.get(order.id)}")
    came: Counter[Any] = Counter()
    issued: Counter[Any] = Counter()
    held: Counter[Any] = Counter()
    for order in orders:
        _count(order, came, issued, held)
    for item in {*came, *issued, *held}:
        try:
            level = store.stock.get(item)
            standing = (level.on_hand, level.held)
        except NotFound:
            standing = (Decimal(0), Decimal(0))
        if standing != (came[item] - issued[item], held[item]):
            found.append(f"stock of {item}: {standing}, by the orders {came[item] - issued[item]} and {held[item]}")
    return found


def _count(order: Order, came: Counter[Any], issued: Counter[Any], held: Counter[Any]) -> None:
    for line in order.lines:
        item = Item(line.kind, line.item)
        came[item] += (line.received or 0) * line.pack_of
        needed = line.from_stock + line.to_buy
        if order.state == "issued":
            issued[item] += needed  # type: ignore[assignment]
        elif order.state == "received":
            held[item] += needed  # type: ignore[assignment]
        elif order.state in ("draft", "placed"):
            held[item] += line.from_stock  # type: ignore[assignment]


def _orders(store: Store) -> Iterator[Any]:
    after = None
    while page := store.orders.listed(500, after):
        yield from page
        after = (page[-1].created, page[-1].id)


def hung(store: Store) -> Iterator[str]:
    """The ids of all hung closures."""
    after = None
    while page := store.installations.listed(500, after):
        yield from (each.id for each in page)
        after = (page[-1].created, page[-1].id)


def _takeoffs(store: Store) -> Iterator[str]:
    # One that was broken off while it came was never begun; it is forgotten when the next one comes, hours later.
    after = None
    while page := store.takeoffs.listed(500, after):
        yield from (each.id for each in page if each.state != "receiving")
        after = (page[-1].created, page[-1].id)
