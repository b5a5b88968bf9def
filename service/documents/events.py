"""What a webhook is told, as it is sent: what happened, when, and as little of it as says where to read the rest."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from service.documents.order import moment_to
from service.domain.installation import Installation
from service.domain.order import Order
from service.domain.taken_slots import TakenSlots
from service.domain.takeoff import TakeoffStatus

Document = dict[str, Any]

VERSION = 1
"""The version of the shape of events; members may be added to it, none is removed or changed."""


def event_to(type: str, happened: datetime, data: Document) -> Document:
    """Write an event."""
    return {"type": type, "version": VERSION, "timestamp": moment_to(happened), "data": data}


def takeoff_ended_to(takeoff: TakeoffStatus) -> Document:
    """Write what is told of a takeoff that has ended, in one way or another."""
    document: Document = {
        "id": takeoff.id,
        "href": f"/v1/takeoffs/{takeoff.id}",
        "name": takeoff.name,
        "state": takeoff.state,
        "points": {
            "total": takeoff.points,
            "fitting": takeoff.fitting,
            "not_fitting": takeoff.unfitting,
            "not_proven": takeoff.unproven,
            "faulty": takeoff.faulty,
        },
    }
    if takeoff.why is not None:
        document["why"] = takeoff.why
    return document


def order_placed_to(order: Order) -> Document:
    """Write what is told of an order that was placed."""
    return {
        "id": order.id,
        "href": f"/v1/orders/{order.id}",
        "name": order.name,
        "lines": len(order.lines),
        "revision": order.revision,
    }


def closure_filled_to(installation: Installation, taken: TakenSlots, full_share: float) -> Document:
    """Write what is told of a hung closure that a visit has filled to a share of its slots."""
    return {
        "id": installation.id,
        "href": f"/v1/installations/{installation.id}",
        "name": installation.place.name,
        "closure": installation.contents.closure,
        "visit": installation.contents.visits,
        "revision": installation.revision,
        "full_share": full_share,
        "slots": taken.slots,
        "taken": taken.taken,
    }


def webhook_tried_to(webhook_id: str) -> Document:
    """Write what is sent where a webhook is tried out."""
    return {"id": webhook_id, "href": f"/v1/webhooks/{webhook_id}"}
