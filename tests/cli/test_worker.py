"""``worker``: works on what others received, on whatever database, and says what it cannot."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import orjson

from service import __version__
from service.domain.takeoff import Demand, NewTakeoff, Point
from service.store import AnyRevision, Store, open_store
from tests.building.made_work import finished
from tests.cli.command_line import DEMO, POINTS, environment, refusal, run
from tests.store.conftest import postgres_url, sqlite_store, store, url
from tests.store.takeoff_rows import MOMENT
from tests.stores import emptied

__all__ = ["postgres_url", "sqlite_store", "store", "url"]


def demo_takeoff(store: Store) -> str:
    """A takeoff of the demo's first splice points, started."""
    store.put_catalogue(orjson.loads((DEMO / "catalogue.json").read_bytes()), AnyRevision())
    new = NewTakeoff("c" * 32, MOMENT, "demo", store.catalogue_revision(), __version__)
    store.takeoffs.begin(new)
    points = [Point(place, place, "", demand=place) for place in range(1, 9)]
    store.takeoffs.add_batch(new.id, points, [Demand(place, POINTS[place - 1]) for place in range(1, 9)])
    store.takeoffs.start(new.id)
    return new.id


def test_a_worker_plans_what_was_received(store: Store, url: str, tmp_path: Path) -> None:
    """It plans the splice points of the demo and ends without a word when it is told to."""
    insist_on_planning(store, url, tmp_path)


def test_a_worker_plans_what_the_engine_delivers(postgres_url: str, tmp_path: Path) -> None:
    """Likewise, on PostgreSQL."""
    store = open_store(emptied(postgres_url))
    store.upgrade()
    store.takeoffs.deliver_by_engine()
    insist_on_planning(store, postgres_url, tmp_path, "--engine")
    store.close()


def insist_on_planning(store: Store, url: str, tmp_path: Path, *more: str) -> None:
    takeoff_id = demo_takeoff(store)
    command = [sys.executable, "-m", "service", "worker", "--database", url, "--processes", "1"]
    with subprocess.Popen(
        [*command, *more],
        cwd=tmp_path,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as worker:
        finished(store, takeoff_id)
        worker.send_signal(signal.SIGTERM)
        told, complaints = worker.communicate(timeout=60)
    assert (worker.returncode, complaints) == (0, b"")
    assert told.decode().startswith("At work on takeoffs with 1 process")
    status = store.takeoffs.get(takeoff_id)
    assert (status.done, status.faulty) == (8, 0)
    assert status.fitting + status.unfitting == 8


def test_a_worker_wants_a_database_that_is_there(tmp_path: Path) -> None:
    """It makes none: that is the service's to do."""
    assert "there is no such database" in refusal(run(tmp_path, "worker", "--database", "none.db"))
    assert list(tmp_path.iterdir()) == []


def test_an_engine_on_sqlite_is_refused_in_one_line(tmp_path: Path) -> None:
    """By worker and by serve, before anything listens."""
    assert run(tmp_path, "database", "upgrade", "--database", "build.db").returncode == 0
    for command in ("worker", "serve"):
        assert "PostgreSQL" in refusal(run(tmp_path, command, "--engine", "--database", "build.db"))
