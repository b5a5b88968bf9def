"""The sources of an order, read from the store and added up: a plan, or a takeoff with all its splice points."""

from __future__ import annotations

import orjson

from service.building.adding_up import added_up
from service.building.kept_asks import sum_from
from service.documents.asks import asks_from
from service.domain.faults import Fault, Refused
from service.domain.order import OrderSource
from service.planning.orders.summing import SourceSum
from service.store import NotFound, Store


class Unfinished(Exception):
    """A takeoff that is still being worked on cannot be ordered yet; ``pointer`` is its place in the request."""

    def __init__(self, pointer: str, takeoff: str, state: str) -> None:
        self.pointer, self.takeoff, self.state = pointer, takeoff, state
        super().__init__(f"The takeoff {takeoff} is {state}: it can be ordered when it is finished.")


def summed_plan(store: Store, plan_id: str, pointer: str) -> tuple[OrderSource, SourceSum]:
    """A stored plan and what it asks for. Raises ``Refused`` where there is none, or where it does not fit."""
    try:
        plan = store.plan(plan_id)
    except NotFound:
        raise Refused([Fault(pointer, "unknown_plan", f"There is no plan {plan_id}.")]) from None
    if not plan.fits:
        raise Refused([Fault(pointer, "does_not_fit", "This plan does not fit: it has nothing to be ordered.")])
    summed = SourceSum(pointer)
    summed.add(asks_from(orjson.loads(plan.answer)))
    return OrderSource("plan", plan.id, plan.name), summed


def summed_takeoff(store: Store, takeoff_id: str, pointer: str, strict: bool) -> tuple[OrderSource, SourceSum]:
    """A finished takeoff and what its splice points ask for together, each demand counted once for each of them.

    Points that do not fit or could not be planned are left out, or refused where ``strict``. Raises ``Refused`` where
    there is no such takeoff or nothing in it can be ordered, and ``Unfinished``.
    """
    try:
        takeoff = store.takeoffs.get(takeoff_id)
    except NotFound:
        raise Refused([Fault(pointer, "unknown_takeoff", f"There is no takeoff {takeoff_id}.")]) from None
    if takeoff.state in ("receiving", "running"):
        raise Unfinished(pointer, takeoff_id, takeoff.state)
    if takeoff.state != "finished":
        detail = f"The takeoff is {takeoff.state}: only one that was planned to its end can be ordered."
        raise Refused([Fault(pointer, "not_finished", detail)])
    left_out = takeoff.unfitting + takeoff.faulty
    if strict and left_out:
        detail = f"{left_out} of its {takeoff.points} splice points do not fit or could not be planned."
        raise Refused([Fault(pointer, "left_out", detail)])
    if not takeoff.fitting:
        raise Refused([Fault(pointer, "does_not_fit", "None of its splice points fits: there is nothing to order.")])
    summed = sum_from(added_up(store.takeoffs, takeoff_id)["asks"], pointer)
    source = OrderSource("takeoff", takeoff.id, takeoff.name, takeoff.fitting, takeoff.unfitting, takeoff.faulty)
    return source, summed
