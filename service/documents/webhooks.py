"""Webhooks and deliveries as JSON-able documents, member names as published. Nothing here has ever seen a secret."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from service.documents.order import moment_to
from service.domain.webhook import EVENT_TYPES, FULL_SHARE, Delivery, Wanted, Webhook

Document = dict[str, Any]
_MOMENTS = ("off_since", "failing_since", "tried", "old_secret_until")


def wanted_from(document: Mapping[str, Any]) -> Wanted:
    """Read what a caller says of a webhook; the schema has been held."""
    return Wanted(
        url=document["url"],
        events=tuple(each for each in EVENT_TYPES if each in document["events"]),
        description=document.get("description", ""),
        full_share=float(document.get("full_share", FULL_SHARE)),
        active=document.get("active", True),
    )


def webhook_to(webhook: Webhook) -> Document:
    """Write a webhook; what does not apply to it is left out."""
    wanted = webhook.wanted
    document: Document = {
        "id": webhook.id,
        "created": moment_to(webhook.created),
        "revision": webhook.revision,
        "url": wanted.url,
        "events": list(wanted.events),
        "description": wanted.description,
        "full_share": wanted.full_share,
        "active": wanted.active,
    }
    if webhook.off_because is not None:
        document["off_because"] = webhook.off_because
    for member in _MOMENTS:
        moment = getattr(webhook, member)
        if moment is not None:
            document[member] = moment_to(moment)
    return document


def delivery_to(delivery: Delivery) -> Document:
    """Write a delivery with the event that it carries; what does not apply to it is left out."""
    document: Document = {
        "id": delivery.id,
        "created": moment_to(delivery.created),
        "event": delivery.event,
        "type": delivery.type,
        "state": delivery.state,
        "attempts": delivery.attempts,
    }
    for member in ("due", "tried"):
        moment = getattr(delivery, member)
        if moment is not None:
            document[member] = moment_to(moment)
    for member in ("status", "trouble"):
        said = getattr(delivery, member)
        if said is not None:
            document[member] = said
    document["sent"] = json.loads(delivery.body)
    return document
