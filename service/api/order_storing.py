"""Making an order once, however often its request is sent."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Response

from service.api.answers import tagged
from service.api.keys import digest_of, in_flight, insist_on_body, key_of
from service.api.problems import Problem
from service.api.state import state
from service.building.ordering import Making, drafted
from service.documents.order import order_to
from service.documents.order_request import order_request_from
from service.domain.order import Order
from service.store import NotFound, StoredAnswer


def store_order(document: Any, key: str | None) -> Response:
    """Make and store the order that a document asks for, or repeat the answer that its key has had already."""
    if key is None:
        made = _made(document, None, "")
        assert isinstance(made, Order)
        return _created(made)
    with in_flight(key):
        digest = digest_of(document)
        earlier = state().store.idempotent(key)
        made = _made(document, key, digest) if earlier is None else earlier
        return _created(made) if isinstance(made, Order) else _replayed(made, digest)


def _made(document: Any, key: str | None, digest: str) -> Order | StoredAnswer:
    shared = state()
    now = shared.clock()
    making = Making(uuid.uuid4().hex, now, shared.spec.version)
    draft = drafted(shared.store, order_request_from(document), making)
    kept = None if key is None else key_of(key, digest, 201, now)
    return shared.store.orders.make(draft, kept, present=True)


def _created(order: Order, headers: dict[str, str] | None = None) -> Response:
    location = {"Location": f"/v1/orders/{order.id}"}
    return tagged(order_to(order), order.revision, 201, {**location, **(headers or {})})


def _replayed(earlier: StoredAnswer, digest: str) -> Response:
    insist_on_body(earlier, digest)
    try:
        order = state().store.orders.as_made(earlier.plan_id or "")
    except NotFound:
        raise Problem("not-found", "The order that this key stands for has been removed.") from None
    return _created(order, {"Idempotent-Replayed": "true"})
