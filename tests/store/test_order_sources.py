"""What orders are made from is there as long as they stand, and orders outlast it afterwards."""

from __future__ import annotations

import threading

import pytest

from service.domain.faults import Refused
from service.domain.order import Order, OrderState
from service.store import AnyRevision, InOrder, NotFound, Store
from tests.order_drafts import TIE, an_id, ask, draft
from tests.store.plan_rows import new_plan
from tests.store.takeoff_rows import started, worked_off

WAYS: tuple[tuple[OrderState, ...], ...] = ((), ("placed",), ("placed", "received"))


def stored_plan(store: Store) -> str:
    """The id of a stored plan."""
    snapshot = store.snapshot()
    plan = new_plan(snapshot)
    store.add_plan(plan, snapshot)
    return plan.id


def ordered(store: Store, plan: str, points: int = 1) -> Order:
    """An order from a plan, or from a takeoff of so many points."""
    made = store.orders.make(draft(ask(TIE, 10), plan=plan, points=points), present=True)
    assert isinstance(made, Order)
    return made


@pytest.mark.parametrize("way", WAYS, ids=lambda way: "-".join(way) or "draft")
def test_a_plan_of_an_order_that_stands_is_not_removed(store: Store, way: tuple[OrderState, ...]) -> None:
    """From the draft until the material is handed out; then it goes, and the order says what it asked for."""
    plan_id = stored_plan(store)
    order = ordered(store, plan_id)
    for state in way:
        store.orders.move(order.id, state, AnyRevision())
    with pytest.raises(InOrder) as refusal:
        store.delete_plan(plan_id)
    assert (refusal.value.found.order, refusal.value.found.kind) == (order.id, "plan")
    assert store.plan(plan_id).id == plan_id
    store.orders.move(order.id, "issued" if len(way) == 2 else "withdrawn", AnyRevision())
    store.delete_plan(plan_id)
    kept = store.orders.get(order.id)
    assert [(share.kind, share.id, share.quantity) for share in kept.lines[0].shares] == [("plan", plan_id, 10)]


def test_a_takeoff_of_an_order_that_stands_is_not_removed(store: Store) -> None:
    """Nothing of it is gone then; once the draft is removed the takeoff can be as well."""
    takeoff_id = started(store, 3)
    worked_off(store)
    order = ordered(store, takeoff_id, points=3)
    with pytest.raises(InOrder, match=order.id):
        store.takeoffs.delete(takeoff_id)
    assert len(store.takeoffs.points(takeoff_id)) == 3
    store.orders.delete(order.id, AnyRevision())
    store.takeoffs.delete(takeoff_id)
    with pytest.raises(NotFound):
        store.takeoffs.get(takeoff_id)


def test_of_two_orders_the_one_that_stands_counts(store: Store) -> None:
    """A plan that was ordered again stays until both orders are over."""
    plan_id = stored_plan(store)
    first = ordered(store, plan_id)
    store.orders.move(first.id, "withdrawn", AnyRevision())
    second = ordered(store, plan_id)
    with pytest.raises(InOrder) as refusal:
        store.delete_plan(plan_id)
    assert refusal.value.found.order == second.id


@pytest.mark.parametrize("kind", ["plan", "takeoff"])
def test_what_was_removed_while_it_was_added_up_is_not_ordered(store: Store, kind: str) -> None:
    """The order is refused at the source's place, and nothing is stored."""
    with pytest.raises(Refused) as refusal:
        ordered(store, an_id(), points=1 if kind == "plan" else 3)
    assert [fault.code for fault in refusal.value.faults] == [f"unknown_{kind}"]
    assert store.orders.listed() == []


def test_a_plan_is_ordered_or_removed_and_never_both(store: Store) -> None:
    """Two at the same moment, twenty times: of each plan there is the order or nothing."""
    for _ in range(20):
        plan_id, together = stored_plan(store), threading.Barrier(2)
        outcomes: list[str] = []

        def remove(plan_id: str, together: threading.Barrier, outcomes: list[str]) -> None:
            together.wait()
            try:
                store.delete_plan(plan_id)
                outcomes.append("removed")
            except InOrder:
                outcomes.append("kept")

        thread = threading.Thread(target=remove, args=(plan_id, together, outcomes))
        thread.start()
        together.wait()
        try:
            ordered(store, plan_id)
            outcomes.append("ordered")
        except Refused:
            outcomes.append("refused")
        thread.join()
        assert sorted(outcomes) in (["kept", "ordered"], ["refused", "removed"])
