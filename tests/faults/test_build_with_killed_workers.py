"""A build of 5,000 splice points, planned as in service, whose workers are killed: it comes to what it would have."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Callable, Iterator
from hashlib import blake2b
from itertools import chain
from typing import Any, NamedTuple

import pytest

from service.building.demand_work import demand_work
from service.building.embedded import EmbeddedWorkers
from service.domain.takeoff import TakeoffStatus
from service.store import AnyRevision, Store, open_store
from tests.building.made_work import finished
from tests.building.planned_takeoffs import received
from tests.demo.files import CATALOGUE
from tests.demo.made_build import build

DISTINCT, AGAIN = 4_500, 500
"""Demands, and splice points that ask for one of the first of these under another name."""


class Outcome(NamedTuple):
    """What a build came to: a digest of each demand's answer by its number, the totals, and the counts."""

    answers: dict[int, bytes]
    totals: bytes
    counts: tuple[int, ...]


def sent(store: Store) -> str:
    """The id of the build, received and started on the demo's catalogue."""
    store.put_catalogue(json.loads(CATALOGUE), AnyRevision())
    again = ({**point, "name": f"{point['name']}, again"} for point in build(AGAIN, distinct=True, standard=True))
    points: Iterator[dict[str, Any]] = chain(build(DISTINCT, distinct=True, standard=True), again)
    return received(store, points)


def outcome(store: Store, takeoff_id: str) -> Outcome:
    """What it came to, whichever worker did what."""
    answers = {each.number: blake2b(each.answer).digest() for each in store.takeoffs.answers(takeoff_id)}
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.demands, status.points) == ("finished", DISTINCT, DISTINCT + AGAIN)
    counts = (status.planned, status.done, status.fitting, status.unfitting, status.unproven, status.faulty)
    return Outcome(answers, store.takeoffs.totals(takeoff_id) or b"", counts)


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    """What the build comes to where nobody is killed."""
    url = f"sqlite:///{tmp_path_factory.mktemp('undisturbed') / 'build.db'}"
    store = open_store(url)
    store.upgrade()
    takeoff_id = sent(store)
    with EmbeddedWorkers(url, demand_work(), 2):
        finished(store, takeoff_id)
    found = outcome(store, takeoff_id)
    store.close()
    return found


def killed_at(store: Store, takeoff_id: str, there: Callable[[TakeoffStatus], bool]) -> int:
    """Kill a worker that holds a chunk once the takeoff is so far; its process id."""
    last = time.monotonic() + 60
    while time.monotonic() < last:
        if there(store.takeoffs.get(takeoff_id)):
            for worker in store.takeoffs.work.lessees():
                process = int(worker.split("/")[1])
                os.kill(process, signal.SIGKILL)
                return process
        time.sleep(0.002)
    raise AssertionError("no worker held a chunk")


def test_a_build_whose_workers_are_killed_comes_to_what_it_would_have(
    store: Store, url: str, undisturbed: Outcome
) -> None:
    """Killed twice while they plan and once while they add up: each demand is planned once, to the same bytes."""
    takeoff_id = sent(store)
    with EmbeddedWorkers(url, demand_work(), 2, lease_s=60.0) as workers:
        dead = [killed_at(store, takeoff_id, lambda status: status.planned >= 300)]
        dead.append(killed_at(store, takeoff_id, lambda status: status.planned >= 2_000))
        dead.append(killed_at(store, takeoff_id, lambda status: status.stage == "adding_up"))
        assert store.takeoffs.get(takeoff_id).ended is None
        finished(store, takeoff_id)
        assert set(workers.process_ids()).isdisjoint(dead) and len(set(dead)) == 3
    found = outcome(store, takeoff_id)
    assert found.counts == undisturbed.counts
    assert found.counts[:2] == (DISTINCT, DISTINCT + AGAIN)
    assert found.answers == undisturbed.answers and len(found.answers) == DISTINCT
    assert found.totals == undisturbed.totals
