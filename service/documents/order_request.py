"""The request for an order, and what came of one, read from schema-valid documents."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.domain.order import Item, OrderRequest, Short


def order_request_from(document: Mapping[str, Any]) -> OrderRequest:
    """Build the request; what the document leaves out has its default."""
    members = {name: document[name] for name in OrderRequest.__slots__ if name in document}
    for name in ("plans", "takeoffs"):
        members[name] = tuple(members.get(name, ()))
    return OrderRequest(**members)


def short_from(document: Mapping[str, Any]) -> tuple[Short, ...]:
    """Read which items came short, from the document of a change of state."""
    return tuple(Short(Item(each["kind"], each["item"]), each["packs"]) for each in document.get("short", ()))
