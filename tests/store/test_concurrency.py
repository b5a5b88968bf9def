"""Many at once: threads and processes on one database."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.store import Absent, AnyRevision, Exists, Revision, Stale, Store, open_store
from service.store.snapshots import current_revision
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_plan

WRITERS, ROUNDS = 8, 5
PROCESSES = 4


def count_up(store: Store, rounds: int) -> int:
    """Read the tray, add one to its turn, write it where it has not changed meanwhile; returns the refusals."""
    refused = 0
    for _ in range(rounds):
        while True:
            entry = store.entry("trays", "r6")
            changed = documents.tray(turn_mm=entry.document["turn_mm"] + 1)
            try:
                store.put_entry("trays", "r6", changed, Revision(entry.revision))
                break
            except Stale:
                refused += 1
    return refused


def count_up_in_a_process(url: str, go: Callable[[], object]) -> None:
    store = open_store(url)
    go()
    count_up(store, WRITERS * ROUNDS // PROCESSES)
    store.close()


def assert_nothing_was_lost(store: Store) -> None:
    entry = store.entry("trays", "r6")
    assert entry.document["turn_mm"] == WRITERS * ROUNDS
    assert entry.revision == WRITERS * ROUNDS + 1
    turns = [store.snapshot_as_of(n + 1).trays["r6"].turn_mm for n in range(WRITERS * ROUNDS + 1)]
    assert turns == list(range(WRITERS * ROUNDS + 1))


def test_no_update_is_lost_between_threads(store: Store) -> None:
    """Eight threads count one figure up by read, change and If-Match: every step is in the history, once."""
    store.put_entry("trays", "r6", documents.tray(turn_mm=0), Absent())
    together = threading.Barrier(WRITERS)

    def run(_number: int) -> int:
        together.wait()
        return count_up(store, ROUNDS)

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(run, range(WRITERS)))
    assert_nothing_was_lost(store)


def test_no_update_is_lost_between_processes(store: Store, url: str) -> None:
    """The same with four processes, each with connections of its own."""
    store.put_entry("trays", "r6", documents.tray(turn_mm=0), Absent())
    context = multiprocessing.get_context("spawn")
    together = context.Barrier(PROCESSES)
    processes = [context.Process(target=count_up_in_a_process, args=(url, together.wait)) for _ in range(PROCESSES)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(60)
    assert [process.exitcode for process in processes] == [0] * PROCESSES
    assert_nothing_was_lost(store)


def test_of_many_who_create_an_entry_one_does(store: Store) -> None:
    """The others are told that it exists."""
    together = threading.Barrier(WRITERS)

    def create(number: int) -> bool:
        together.wait()
        try:
            return store.put_entry("trays", "r6", documents.tray(turn_mm=number + 1), Absent()).created
        except Exists:
            return False

    with ThreadPoolExecutor(WRITERS) as pool:
        assert sorted(pool.map(create, range(WRITERS))) == [False] * (WRITERS - 1) + [True]
    assert store.entry("trays", "r6").revision == 1


def test_of_many_who_replace_the_catalogue_at_one_revision_one_does(store: Store) -> None:
    """The others are told that it has moved on; what stands is the one document whole."""
    store.put_catalogue(documents.whole(), Absent())
    together = threading.Barrier(WRITERS)

    def replace(number: int) -> int | None:
        trays = [documents.tray(turn_mm=number + 1), documents.tray(f"own-{number}")]
        together.wait()
        try:
            store.put_catalogue(documents.whole(trays=trays), Revision(1))
        except Stale as refused:
            assert refused.current == 2
            return None
        return number

    with ThreadPoolExecutor(WRITERS) as pool:
        [winner] = [number for number in pool.map(replace, range(WRITERS)) if number is not None]
    trays = store.snapshot().trays
    assert list(trays) == [f"own-{winner}", "r6"]
    assert trays["r6"].turn_mm == winner + 1


def test_a_tray_is_not_removed_while_a_closure_comes_to_name_it(store: Store) -> None:
    """Whichever comes first, no closure is left naming a tray that is not there."""
    for number in range(6):
        code, tray = f"dome-{number}", f"t{number}"
        store.put_entry("trays", tray, documents.tray(tray), Absent())
        closure = documents.closure(code, trays=[{"tray": tray, "most": 1}])
        together = threading.Barrier(2)

        def name(code: str = code, closure: dict = closure, together: threading.Barrier = together) -> None:
            together.wait()
            try:
                store.put_entry("closures", code, closure, Absent())
            except Exception as error:
                assert "There is no" in str(error)

        def remove(tray: str = tray, together: threading.Barrier = together) -> None:
            together.wait()
            store.delete_entry("trays", tray, AnyRevision())

        with ThreadPoolExecutor(2) as pool:
            for done in (pool.submit(name), pool.submit(remove)):
                done.result()
    there = {entry.code for entry in store.entries("trays")}
    assert {entry.document["trays"][0]["tray"] for entry in store.entries("closures")} <= there


def test_an_entry_is_not_removed_while_a_plan_comes_to_use_it(store: Store, url: str) -> None:
    """The mark of a plan waits for a change of the catalogue that is under way, so neither overlooks the other."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    snapshot, changing = store.snapshot(), open_store(url)
    with ThreadPoolExecutor(1) as pool:
        with changing._engines.writing() as connection:
            current_revision(connection, lock=True)
            storing = pool.submit(store.add_plan, new_plan(snapshot), snapshot, ["trays/r6"])
            with pytest.raises(TimeoutError):
                storing.result(timeout=0.3)
        assert storing.result(timeout=10) is None
    changing.close()
    assert store.delete_entry("trays", "r6", AnyRevision()) == "retired"


def test_readers_see_the_catalogue_before_or_after_a_change_never_between(store: Store) -> None:
    """While whole documents are put, every document read and every snapshot is of one and the same state."""
    both = [documents.whole(trays=[documents.tray(turn_mm=n)], sleeves=[documents.sleeve(length_mm=n)]) for n in (1, 2)]
    store.put_catalogue(both[0], Absent())
    done = threading.Event()

    def read() -> int:
        reads = 0
        while not done.is_set() or not reads:
            snapshot = store.snapshot()
            assert snapshot.trays["r6"].turn_mm == snapshot.sleeves["rs-12"].length_mm
            document, revision = store.catalogue_document()
            assert document["trays"][0]["turn_mm"] == document["sleeves"][0]["length_mm"]
            assert document["trays"][0]["revision"] == revision
            reads += 1
        return reads

    with ThreadPoolExecutor(2) as pool:
        readers = [pool.submit(read) for _ in range(2)]
        try:
            for number in range(40):
                store.put_catalogue(both[(number + 1) % 2], AnyRevision())
        finally:
            done.set()
        assert all(reader.result() for reader in readers)
    assert store.catalogue_revision() == 41


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_store_that_was_used_before_a_fork_is_used_after_it(store: Store) -> None:
    """Child and parent both write and read on; neither disturbs the other's connections."""
    store.put_entry("trays", "r6", documents.tray(turn_mm=0), Absent())
    context = multiprocessing.get_context("fork")
    children = [context.Process(target=count_up, args=(store, ROUNDS)) for _ in range(WRITERS - 1)]
    for child in children:
        child.start()
    count_up(store, ROUNDS)
    for child in children:
        child.join(60)
    assert [child.exitcode for child in children] == [0] * (WRITERS - 1)
    assert_nothing_was_lost(store)
    snapshot = store.snapshot()
    store.add_plan(new_plan(snapshot), snapshot)
    assert len(store.plans()) == 1
