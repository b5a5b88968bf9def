"""Storing a plan once, however often its request is sent: idempotency keys."""

from __future__ import annotations

import uuid
from datetime import UTC
from typing import Any

import orjson
from flask import Response

from service.api.answers import tagged
from service.api.keys import digest_of, in_flight, insist_on_body, key_of
from service.api.plan_making import MadePlan, make_plan, server_timing
from service.api.problems import Problem
from service.api.state import state
from service.documents.installation import planned_for_to
from service.domain.installation_summary import PlannedFor
from service.store import IdempotencyKey, NewPlan, NotFound, StoredAnswer, StoredPlan

PLAN_REVISION = 1
"""A stored plan never changes, so its revision is always the first."""


def store_plan(document: Any, key: str | None) -> Response:
    """Plan a request document and store the plan, or repeat the answer that its key has had already."""
    if key is None:
        made = make_plan(document)
        plan = new_plan(made, document)
        _add(plan, made, None)
        return _created(plan, server_timing(made.seconds))
    with in_flight(key):
        digest = digest_of(document)
        earlier = state().store.idempotent(key)
        if earlier is not None:
            return _replayed(earlier, digest)
        made = make_plan(document)
        plan = new_plan(made, document)
        taken = _add(plan, made, key_of(key, digest, 201, plan.created))
        return _created(plan, server_timing(made.seconds)) if taken is None else _replayed(taken, digest)


def stored_answer(plan: StoredPlan) -> bytes:
    """The answer as it was first given, with id and time of making, and the installation that it adds to."""
    created = f"{plan.created.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z"
    answer = plan.answer if plan.planned_for is None else with_installation(plan.answer, plan.planned_for)
    return b'{"id":"%s","created":"%s",%s' % (plan.id.encode(), created.encode(), answer[1:])


def with_installation(answer: bytes, planned: PlannedFor) -> bytes:
    """A plan's answer that says first which installation it adds to."""
    return b'{"installation":%s,%s' % (orjson.dumps(planned_for_to(planned)), answer[1:])


def new_plan(made: MadePlan, document: Any) -> NewPlan:
    """A plan to be stored, with an id of its own and the time now; ``document`` is its request."""
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
    insist_on_body(earlier, digest)
    return replayed_plan(earlier)


def replayed_plan(earlier: StoredAnswer) -> Response:
    """The plan that a key stands for, as it was answered before; raises the 404 problem where it was removed."""
    try:
        plan = state().store.plan(earlier.plan_id or "")
    except NotFound:
        raise Problem("not-found", "The plan that this key stands for has been removed.") from None
    return _created(plan, {**server_timing(0.0), "Idempotent-Replayed": "true"})
