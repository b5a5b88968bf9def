"""What is looked at after a run of kills finds what was lost, doubled or changed: planted, one thing at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from copy import deepcopy
from datetime import timedelta
from pathlib import Path

import pytest

from service.building.demand_work import demand_work
from service.building.worker import Worker
from service.store import Store, open_store
from service.store.backups import back_up
from service.store.moments import utc_now
from service.store.sqlite import library
from tests.faults.abuse import server_on_file
from tests.faults.acknowledged import Acknowledged, Thing
from tests.faults.afterwards import faults_afterwards, unfinished
from tests.faults.killing import OFFICE
from tests.faults.writing_clients import WritingClient
from tests.faults.written import request

TURNS = 24
"""So many turns of a client have every kind of write in them."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, Acknowledged]]:
    """The database of a client that nobody disturbed, and what it was told."""
    folder = tmp_path_factory.mktemp("undisturbed")
    with server_on_file(folder) as server:
        file = folder / "abused.db"
        store = open_store(f"sqlite:///{file}")
        _, token = store.access.make(store.access.team("default"), OFFICE, ("admin",), utc_now() + timedelta(days=1))
        client = WritingClient(0, server.port, str(token), request(), threading.Event(), 0)
        try:
            for turn in range(1, TURNS + 1):
                client.turn(f"0-{turn}", turn)
        finally:
            client.drop()
        worker = Worker(store, demand_work(), "test", lambda _: False)
        while worker.take():
            pass
        store.close()
    yield file, client.told


@pytest.fixture
def store(written: tuple[Path, Acknowledged], tmp_path: Path) -> Iterator[Store]:
    """A copy of that database, to be spoiled."""
    back_up(f"sqlite:///{written[0]}", tmp_path / "copy.db")
    copy = open_store(f"sqlite:///{tmp_path / 'copy.db'}")
    yield copy
    copy.close()


def test_what_was_written_undisturbed_has_no_fault(written: tuple[Path, Acknowledged], store: Store) -> None:
    """And it is every kind of write."""
    told = written[1]
    assert unfinished(store, [told], within_s=1) == []
    assert faults_afterwards(store, [told], OFFICE) == []
    assert min(len(each) for each in (told.plans, told.orders, told.installations, told.takeoffs, told.removed)) > 0
    assert min(len(each) for each in (told.visits, told.records, told.places, told.titles, told.counts)) > 0
    assert told.tokens and told.revoked


def _first(told: Acknowledged, kind: str) -> Thing:
    return next(thing for thing, done in told.history.items() if thing.kind == kind and done[-1] != "remove")


def _visited(told: Acknowledged) -> str:
    return next(id for id, visits in told.visits.items() if len(visits) > 1)


TOLD: dict[str, tuple[Callable[[Acknowledged], object], str]] = {
    "a plan that is gone": (lambda told: told.plans.update(lost="0" * 32), "was acknowledged and is not there"),
    "a plan of nobody": (lambda told: told.plans.pop("plan-0-1"), "is there and was never acknowledged"),
    "one plan for two keys": (lambda told: told.plans.update(twice=told.plans["plan-0-1"]), "answered to two keys"),
    "a key of another thing": (lambda told: told.answered_again.update({"plan-0-1": "0" * 32}), "the key plan-0-1"),
    "a visit": (lambda told: told.visits[_visited(told)].append(("added", None)), "visits of"),
    "a record": (lambda told: told.records[_visited(told)].append("Crew 9"), "records of"),
    "a place": (lambda told: told.places.update({_visited(told): "Elsewhere"}), "the place of"),
    "an entry's title": (lambda told: told.titles.update({next(iter(told.titles)): "Other"}), "titles of trays"),
    "counted stock": (lambda told: told.counts.update({next(iter(told.counts)): 1_000_000}), "stock of counted-0"),
    "a token": (lambda told: told.tokens.update({"0" * 32: "Crew 9"}), "token 0000"),
    "a revocation": (lambda told: told.revoked.clear(), "token "),
    "an order's state": (lambda told: told.states.update({next(iter(told.states)): "withdrawn"}), "acknowledged was"),
    "an entry on record": (lambda told: told.history[_first(told, "orders")].append("issued"), "on record ["),
    "one not on record": (lambda told: told.history.pop(_first(told, "installations")), "is on record alone"),
}  # fmt: skip
"""What a client was told besides, or was not told, and how that is called."""


@pytest.mark.parametrize("what", TOLD)
def test_what_clients_were_told_otherwise_is_found(what: str, written: tuple[Path, Acknowledged], store: Store) -> None:
    """One acknowledgement more, fewer or other than what stands there."""
    told = deepcopy(written[1])
    spoil, called = TOLD[what]
    spoil(told)
    found = faults_afterwards(store, [told], OFFICE)
    assert any(called in fault for fault in found), found


STOOD: dict[str, tuple[str, str]] = {
    "a record lost": ("DELETE FROM splice_records WHERE rowid = (SELECT min(rowid) FROM splice_records)", "records of"),
    "a record doubled": (
        "UPDATE splice_records SET document = (SELECT document FROM splice_records ORDER BY rowid DESC LIMIT 1)",
        "records of",
    ),
    "a visit lost": ("DELETE FROM visits WHERE number = 3", "visits of"),
    "stock out of balance": ("UPDATE stock SET on_hand = on_hand + 1000000", "by the orders"),
    "a splice moved": ("UPDATE plans SET answer = replace(answer, '\"slot\":2', '\"slot\":1')", "plan "),
    "a key lost": ("DELETE FROM idempotency WHERE key = 'plan-0-1'", "the key plan-0-1 leads to None"),
    "an order lost": ("DELETE FROM orders WHERE state = 'draft'", "was acknowledged and is not there"),
}
"""Statements that spoil the database behind the service's back, and what the damage is called."""


@pytest.mark.parametrize("what", STOOD)
def test_what_stands_there_otherwise_is_found(
    what: str, written: tuple[Path, Acknowledged], store: Store, tmp_path: Path
) -> None:
    """Something that was acknowledged is lost, doubled or another."""
    statement, called = STOOD[what]
    connection = library.connect(str(tmp_path / "copy.db"), isolation_level=None)
    assert connection.execute(statement).rowcount > 0
    connection.close()
    found = faults_afterwards(store, [written[1]], OFFICE)
    assert any(called in fault for fault in found), found
