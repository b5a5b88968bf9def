"""Webhooks listed, read, changed and removed."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import nothing, read_answer, tagged
from service.api.bodies import read_body
from service.api.newest_first import newest_first
from service.api.preconditions import expected_of_compound
from service.api.state import state
from service.api.webhooks.answering import insist_on_tellable, webhook_tag
from service.documents.webhooks import wanted_from, webhook_to

routes = Blueprint("webhooks", __name__)


@routes.get("/v1/webhooks")
def read_list() -> Response:
    """A page of the team's webhooks, the newest first."""
    store = state().store.webhooks
    return newest_first({}, store.listed, webhook_to)


@routes.get("/v1/webhooks/<id>")
def read_webhook(id: str) -> Response:
    """One webhook, without its secret."""
    webhook = state().store.webhooks.get(id)
    return read_answer(webhook_to(webhook), webhook_tag(webhook))


@routes.put("/v1/webhooks/<id>")
def put_webhook(id: str) -> Response:
    """Say anew what is wanted of a webhook."""
    expect = expected_of_compound()
    document, store = read_body("WebhookRequest"), state().store.webhooks
    # An address that cannot be told just now can still be switched off.
    if store.get(id).wanted.url != document["url"]:
        insist_on_tellable(document["url"])
    webhook = store.replace(id, wanted_from(document), expect)
    return tagged(webhook_to(webhook), webhook_tag(webhook))


@routes.delete("/v1/webhooks/<id>")
def delete_webhook(id: str) -> Response:
    """Remove a webhook with all that waits for it."""
    state().store.webhooks.remove(id, expected_of_compound())
    return nothing()
