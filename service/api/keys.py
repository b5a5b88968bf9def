"""Idempotency keys on their way in: what a body comes to, and one request a key at a time."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import orjson

from service.api.problems import Problem
from service.api.state import state
from service.store import IdempotencyKey, StoredAnswer

KEYS_KEPT = timedelta(hours=24)
IN_FLIGHT_S = "1"
"""After how many seconds to ask again where the first request with a key still runs."""


def digest_of(document: Any) -> str:
    """A hash of a body that is the same for bodies of equal value."""
    return hashlib.sha256(orjson.dumps(document, option=orjson.OPT_SORT_KEYS)).hexdigest()


def key_of(key: str, digest: str, status: int, created: datetime) -> IdempotencyKey:
    """The key of a request with the hash of its body, as it is kept with the answer that is about to be given."""
    return IdempotencyKey(key, digest, status, created, created + KEYS_KEPT)


def insist_on_body(earlier: StoredAnswer, digest: str) -> None:
    """Raise the 422 problem where the key was used for another body than the one with this hash."""
    if earlier.request_hash != digest:
        raise Problem("key-reused", "This Idempotency-Key was used for another body.")


@contextmanager
def in_flight(key: str) -> Iterator[None]:
    """Hold the key while its request is worked on in this process; raises the 409 problem where it is held.

    Requests with one key in other processes are settled by the store, where the first to commit has the key.
    """
    shared = state()
    held = shared.store.team, key
    with shared.keys_lock:
        if held in shared.keys_in_flight:
            detail = "Wait until the first request with this Idempotency-Key has been answered."
            raise Problem("in-flight", detail, headers={"Retry-After": IN_FLIGHT_S})
        shared.keys_in_flight.add(held)
    try:
        yield
    finally:
        with shared.keys_lock:
            shared.keys_in_flight.discard(held)
