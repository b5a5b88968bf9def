"""What an order says of itself, in words, for its sheets."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

from service.domain.order import Order, OrderState
from service.sheets.layout import counted

STATES: dict[OrderState, str] = {
    "draft": "draft, not placed yet",
    "placed": "placed",
    "received": "received",
    "issued": "issued to the crews",
    "withdrawn": "withdrawn",
}


def facts_of(order: Order) -> Iterator[tuple[str, str]]:
    """Heads and texts: number, date, state, supplier and what else is known."""
    yield "Number", order.id
    yield "Made", day_of(order.created)
    yield "State", STATES[order.state]
    for head, text in (
        ("Reference", order.reference),
        ("Supplier", order.supplier),
        ("Deliver to", order.deliver_to),
    ):
        if text:
            yield head, text
    yield "Spares", f"pooled over the order, enough with {order.confidence * 100:g} % confidence"
    yield "Catalogue", f"revision {order.catalogue_revision}"
    if order.unpriced:
        yield "Without a price", f"{counted(order.unpriced, 'line')}, in no sum"


def sources_of(order: Order) -> Iterator[str]:
    """The plans and takeoffs, each in a line, with the splice points that were left out."""
    for source in order.sources:
        told = f"{source.kind} {source.id}{f', {source.name}' if source.name else ''}"
        if source.kind == "takeoff":
            told += f": {counted(source.points, 'splice point')}"
        left_out = [
            f"{number} {words}"
            for number, words in ((source.unfit, "that do not fit"), (source.faulty, "that are faulty"))
            if number
        ]
        yield f"{told}; left out: {', '.join(left_out)}" if left_out else told


def day_of(moment: datetime) -> str:
    """A day in UTC: ``25 November 2026``."""
    moment = moment.astimezone(UTC)
    months = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ]
    return f"{moment.day} {months[moment.month - 1]} {moment.year}"
