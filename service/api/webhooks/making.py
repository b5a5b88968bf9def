"""Making a webhook, and giving it another secret: the two answers that have a secret in them."""

from __future__ import annotations

import uuid

import orjson
from flask import Blueprint, Response

from service.api.answers import json_answer, tagged
from service.api.bodies import read_body
from service.api.installations.once import Keyed, once
from service.api.problems import Problem
from service.api.state import state
from service.api.webhooks.answering import insist_on_tellable, webhook_tag
from service.documents.order import moment_to
from service.documents.webhooks import wanted_from, webhook_to
from service.domain.webhook import Webhook
from service.domain.webhook_secret import new_secret
from service.store import OLD_SECRET_KEPT, StoredAnswer

routes = Blueprint("webhook_secrets", __name__)


@routes.post("/v1/webhooks")
def create_webhook() -> Response:
    """Make a webhook; this answer has its secret."""
    document = read_body("WebhookRequest")

    def work(keyed: Keyed) -> Response | StoredAnswer:
        insist_on_tellable(document["url"])
        shared = state()
        webhook = Webhook(uuid.uuid4().hex, shared.clock(), 1, wanted_from(document))
        secret = new_secret()
        body = orjson.dumps({**webhook_to(webhook), "secret": secret})
        taken = shared.store.webhooks.add(webhook, secret, keyed(201, webhook.created, body))
        return _created(body, webhook.id, webhook_tag(webhook)) if taken is None else taken

    def replayed(earlier: StoredAnswer) -> Response:
        return _created(_kept(earlier), earlier.plan_id or "", "1.0")

    return once(document, work, replayed)


@routes.post("/v1/webhooks/<id>/secret")
def change_secret(id: str) -> Response:
    """Give a webhook another secret; this answer has it."""
    state().store.webhooks.get(id)

    def work(keyed: Keyed) -> Response | StoredAnswer:
        shared = state()
        secret, now = new_secret(), shared.clock()
        body = orjson.dumps({"id": id, "secret": secret, "old_secret_until": moment_to(now + OLD_SECRET_KEPT)})
        taken = shared.store.webhooks.change_secret(id, secret, now, keyed(201, now, body))
        return _changed(body, id) if taken is None else taken

    return once(None, work, lambda earlier: _changed(_kept(earlier), id))


def _created(body: bytes, id: str, tag: str) -> Response:
    return tagged(body, tag, 201, {"Location": f"/v1/webhooks/{id}", "Cache-Control": "no-store"})


def _changed(body: bytes, id: str) -> Response:
    return json_answer(body, 201, {"Location": f"/v1/webhooks/{id}", "Cache-Control": "no-store"})


def _kept(earlier: StoredAnswer) -> bytes:
    """The body that was answered then; raises the 404 problem where the webhook has been removed, and it with it."""
    if earlier.body is None:
        raise Problem("not-found", "The webhook that this key stands for has been removed.")
    return earlier.body
