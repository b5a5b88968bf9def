"""Takeoffs planned whole in the test itself, without a worker."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from service import __version__
from service.building.adding_up import totals_of
from service.building.demands import plan_demand
from service.building.placeholders import run_in
from service.building.reading import Checked, Reading
from service.building.receiving import receive
from service.domain.faults import Fault
from service.domain.takeoff import NewTakeoff
from service.store import Store


def received(store: Store, documents: Iterable[dict[str, Any]], name: str = "Ferrow build") -> str:
    """The id of a takeoff of these plan requests, started and not yet planned; an empty document is a faulty line."""
    snapshot = store.snapshot()
    takeoff = NewTakeoff(uuid4().hex, datetime.now(UTC), name, snapshot.catalogue_revision, __version__)
    faulty = Checked(None, (Fault("", "empty", "there is nothing in it"),))
    reading: Reading[dict[str, Any]] = Reading(lambda raw: Checked(raw) if raw else faulty, run_in(snapshot))
    receive(store.takeoffs, takeoff, reading.read(enumerate(documents, start=1)))
    assert store.takeoffs.start(takeoff.id) is None
    return takeoff.id


def planned(store: Store, documents: Iterable[dict[str, Any]], name: str = "Ferrow build") -> str:
    """The id of such a takeoff that is planned to its end."""
    takeoff_id = received(store, documents, name)
    snapshot = store.snapshot()
    while chunk := store.takeoffs.work.lease("test"):
        if chunk.stage == "adding_up":
            assert store.takeoffs.work.bring_added_up(chunk, totals_of(store.takeoffs.answers(takeoff_id)))
            continue
        results = [plan_demand(snapshot, each.number, each.request) for each in store.takeoffs.work.demands(chunk)]
        assert store.takeoffs.work.bring_planned(chunk, results)
    assert store.takeoffs.get(takeoff_id).state == "finished"
    return takeoff_id
