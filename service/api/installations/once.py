"""Doing what changes an installation once, however often its request is sent."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from flask import Response, request

from service.api.keys import digest_of, in_flight, insist_on_body, key_of
from service.api.state import state
from service.store import IdempotencyKey, StoredAnswer

Keyed = Callable[[int, datetime, bytes | None], IdempotencyKey | None]
"""Makes the key to be stored with an answer, of its status, its time, and its body (None: it can be made again)."""


def once(
    document: Any, work: Callable[[Keyed], Response | StoredAnswer], replayed: Callable[[StoredAnswer], Response]
) -> Response:
    """Do the work, or where the request's Idempotency-Key has its answer give that again, as ``replayed`` makes it.

    A key stands for the address with its parameters and the body together. ``work`` gives the stored answer where the
    store says that another request has taken the key meanwhile.
    """
    return once_by(request.headers.get("Idempotency-Key"), document, work, replayed)


def once_by(
    key: str | None,
    document: Any,
    work: Callable[[Keyed], Response | StoredAnswer],
    replayed: Callable[[StoredAnswer], Response],
) -> Response:
    """The same by a key that came otherwise, as with a form; None: there is none."""
    if key is None:
        done = work(lambda status, created, body: None)
        assert isinstance(done, Response)
        return done
    with in_flight(key):
        digest = digest_of([request.path, sorted(request.args.items()), document])
        earlier = state().store.idempotent(key)
        done = work(_keyed(key, digest)) if earlier is None else earlier
        if isinstance(done, Response):
            return done
        insist_on_body(done, digest)
        answer = replayed(done)
        answer.headers["Idempotent-Replayed"] = "true"
        return answer


def _keyed(key: str, digest: str) -> Keyed:
    def keyed(status: int, created: datetime, body: bytes | None) -> IdempotencyKey:
        made = key_of(key, digest, status, created)
        return IdempotencyKey(made.key, made.request_hash, made.status, made.created, made.expires, body)

    return keyed
