"""Storing a plan once, however often its request is sent: idempotency keys."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, timedelta
from typing import Any

import orjson
from flask import Response

from service.api.answers import tagged
from service.api.plan_making import MadePlan, make_plan, server_timing
from service.api.problems import Problem
from service.api.state import state
from service.store import IdempotencyKey, NewPlan, NotFound, StoredAnswer, StoredPlan

KEYS_KEPT = timedelta(hours=24)
IN_FLIGHT_S = "1"
"""After how many seconds to ask again where the first request with a key still runs: a plan takes less."""
PLAN_REVISION = 1
"""A stored plan never changes, so its revision is always the first."""


def store_plan(document: Any, key: str | None) -> Response:
    """Plan a request document and store the plan, or repeat the answer that its key has had already."""
    if key is None:
        made = make_plan(document)
        plan = _new_plan(made, document)
        _add(plan, made, None)
        return _created(plan, server_timing(made.seconds))
    with _in_flight(key):
        digest = hashlib.sha256(orjson.dumps(document, option=orjson.OPT_SORT_KEYS)).hexdigest()
        earlier = state().store.idempotent(key)
        if earlier is not None:
            return _replayed(earlier, digest)
        made = make_plan(document)
        plan = _new_plan(made, document)
        taken = _add(plan, made, IdempotencyKey(key, digest, 201, plan.created, plan.created + KEYS_KEPT))
        return _created(plan, server_timing(made.seconds)) if taken is None else _replayed(taken, digest)


def stored_answer(plan: StoredPlan) -> bytes:
    """The answer as it was first given, with id and time of making."""
    created = f"{plan.created.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z"
    return b'{"id":"%s","created":"%s",%s' % (plan.id.encode(), created.encode(), plan.answer[1:])


@contextmanager
def _in_flight(key: str) -> Iterator[None]:
    """Hold the key while its request is worked on in this process; raises the 409 problem where it is held.

    Requests with one key in other processes are settled by the store, where the first to commit has the key.
    """
    shared = state()
    with shared.keys_lock:
        if key in shared.keys_in_flight:
            detail = "Wait until the first request with this Idempotency-Key has been answered."
            raise Problem("in-flight", detail, headers={"Retry-After": IN_FLIGHT_S})
        shared.keys_in_flight.add(key)
    try:
        yield
    finally:
        with shared.keys_lock:
            shared.keys_in_flight.discard(key)


def _new_plan(made: MadePlan, document: Any) -> NewPlan:
    plan = made.plan
    return NewPlan(
        id=uuid.uuid4().hex,
        created=state().clock(),
        name=plan.name,
        closure=plan.closure,
        fits=plan.fits,
        splices=plan.splices,
        trays=len(plan.trays) if plan.fits else None,
        optimal=plan.proof.optimal if plan.fits and plan.proof else None,
        catalogue_revision=made.snapshot.catalogue_revision,
        version=state().spec.version,
        request=orjson.dumps(document),
        answer=made.answer,
    )


def _add(plan: NewPlan, made: MadePlan, key: IdempotencyKey | None) -> StoredAnswer | None:
    return state().store.add_plan(plan, made.snapshot, made.plan.revisions or (), key)


def _created(plan: StoredPlan, headers: dict[str, str]) -> Response:
    return tagged(stored_answer(plan), PLAN_REVISION, 201, {**headers, "Location": f"/v1/plans/{plan.id}"})


def _replayed(earlier: StoredAnswer, digest: str) -> Response:
    if earlier.request_hash != digest:
        raise Problem("key-reused", "This Idempotency-Key was used for another body.")
    try:
        plan = state().store.plan(earlier.plan_id or "")
    except NotFound:
        raise Problem("not-found", "The plan that this key stands for has been removed.") from None
    return _created(plan, {**server_timing(0.0), "Idempotent-Replayed": "true"})
