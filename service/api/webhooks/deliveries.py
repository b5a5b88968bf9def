"""What was sent to a webhook and what became of it; trying it out, and sending once more."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import json_answer, read_answer
from service.api.installations.once import Keyed, once
from service.api.newest_first import newest_first
from service.api.state import state
from service.api.webhooks.answering import delivery_tag
from service.documents.webhooks import delivery_to
from service.domain.webhook import Delivery
from service.store import StoredAnswer

routes = Blueprint("webhook_deliveries", __name__)


@routes.post("/v1/webhooks/<id>/tries")
def try_webhook(id: str) -> Response:
    """Have an event sent that says nothing but that the webhook is tried out."""
    store = state().store.webhooks
    store.get(id)

    def work(keyed: Keyed) -> Response | StoredAnswer:
        now = state().clock()
        made = store.try_out(id, now, keyed(202, now, None))
        return _on_its_way(id, made) if isinstance(made, Delivery) else made

    return once(None, work, lambda earlier: _on_its_way(id, store.delivery(id, earlier.plan_id or "")))


@routes.get("/v1/webhooks/<id>/deliveries")
def read_list(id: str) -> Response:
    """A page of the deliveries to a webhook, the newest first."""
    store = state().store.webhooks
    return newest_first({}, lambda limit, after: store.deliveries(id, limit, after), delivery_to)


@routes.get("/v1/webhooks/<id>/deliveries/<delivery>")
def read_delivery(id: str, delivery: str) -> Response:
    """One delivery, with the event that it carries."""
    found = state().store.webhooks.delivery(id, delivery)
    return read_answer(delivery_to(found), delivery_tag(found))


@routes.post("/v1/webhooks/<id>/deliveries/<delivery>/again")
def deliver_again(id: str, delivery: str) -> Response:
    """Have a delivery tried once more, at once."""
    return _on_its_way(id, state().store.webhooks.deliver_again(id, delivery))


def _on_its_way(id: str, delivery: Delivery) -> Response:
    location = f"/v1/webhooks/{id}/deliveries/{delivery.id}"
    return json_answer(delivery_to(delivery), 202, {"Location": location})
