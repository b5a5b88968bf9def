"""Plans to store in tests; what is in them does not matter to the store."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from typing import Any

from service.store import IdempotencyKey, NewPlan, Snapshot

START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
_numbers = itertools.count(1)


def new_plan(snapshot: Snapshot, **members: Any) -> NewPlan:
    """A plan with an id of its own; keywords replace members."""
    number = next(_numbers)
    plan: dict[str, Any] = {
        "id": f"{number:032x}",
        "created": START + timedelta(seconds=number),
        "name": f"Point {number}",
        "closure": "dome-24",
        "fits": True,
        "splices": 24,
        "trays": 2,
        "optimal": True,
        "catalogue_revision": snapshot.catalogue_revision,
        "version": "0.1.0",
        "request": '{"name": "Fähre, µ"}'.encode(),
        "answer": '{"name":"Fähre, µ","fits":true}'.encode(),
    }
    return NewPlan(**{**plan, **members})


def new_key(key: str = "k-1", **members: Any) -> IdempotencyKey:
    """An idempotency key for a day from now on; keywords replace members."""
    now = datetime.now(UTC)
    values: dict[str, Any] = {
        "key": key,
        "request_hash": "h-1",
        "status": 201,
        "created": now,
        "expires": now + timedelta(days=1),
    }
    return IdempotencyKey(**{**values, **members})
