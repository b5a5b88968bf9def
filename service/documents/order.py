"""An order as a JSON-able document, member names as published, and back.

Quantities are numbers with up to six decimals, money is text. A figure that there is none of is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from service.documents.numbers import amount
from service.documents.order_lines import line_from, line_to
from service.domain.order import Order, OrderSource, OrderState, OrderSummary, OrderTotal

Document = dict[str, Any]


def order_to(order: Order) -> Document:
    """Write an order whole."""
    document: Document = {
        "id": order.id,
        "name": order.name,
        "created": moment_to(order.created),
        "state": order.state,
        "revision": order.revision,
        "moments": {state: moment_to(moment) for state, moment in order.moments.items()},
        "confidence": order.confidence,
        "again": order.again,
        "catalogue_revision": order.catalogue_revision,
        "version": order.version,
    }
    for name in ("supplier", "deliver_to", "reference"):
        if (text := getattr(order, name)) is not None:
            document[name] = text
    document["sources"] = [source_to(source) for source in order.sources]
    document["lines"] = [line_to(line) for line in order.lines]
    document["totals"] = [total_to(total) for total in order.totals]
    document["unpriced"] = order.unpriced
    document["notes"] = list(order.notes)
    return document


def order_from(document: Mapping[str, Any]) -> Order:
    """Read what ``order_to`` wrote."""
    return Order(
        id=document["id"],
        created=datetime.fromisoformat(document["created"]),
        name=document["name"],
        state=document["state"],
        revision=document["revision"],
        confidence=document["confidence"],
        catalogue_revision=document["catalogue_revision"],
        version=document["version"],
        sources=tuple(OrderSource(**source) for source in document["sources"]),
        lines=tuple(line_from(line) for line in document["lines"]),
        totals=tuple(total_from(total) for total in document["totals"]),
        unpriced=document["unpriced"],
        again=document["again"],
        supplier=document.get("supplier"),
        deliver_to=document.get("deliver_to"),
        reference=document.get("reference"),
        notes=tuple(document["notes"]),
        moments=moments_from(document["moments"]),
    )


def summary_to(order: OrderSummary) -> Document:
    """Write what a list says of an order."""
    return {
        "id": order.id,
        "name": order.name,
        "created": moment_to(order.created),
        "state": order.state,
        "lines": order.lines,
        "totals": [total_to(total) for total in order.totals],
        "revision": order.revision,
    }


def source_to(source: OrderSource) -> Document:
    """Write a source with its counts of splice points."""
    return {name: getattr(source, name) for name in OrderSource.__slots__}


def total_to(total: OrderTotal) -> Document:
    """Write what the lines of a currency come to."""
    return {"price": amount(total.price), "currency": total.currency, "lines": total.lines}


def total_from(document: Mapping[str, Any]) -> OrderTotal:
    """Read what ``total_to`` wrote."""
    return OrderTotal(document["currency"], Decimal(document["price"]), document["lines"])


def moments_from(document: Any) -> dict[OrderState, datetime]:
    """Read when an order came to each of its states."""
    return {state: datetime.fromisoformat(moment) for state, moment in document.items()}


def moment_to(moment: datetime) -> str:
    """A point in time in UTC, to the microsecond."""
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z"
