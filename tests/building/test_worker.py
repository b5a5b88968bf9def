"""A worker: what it does with a chunk, when it gives one up, and what it holds against a demand."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable

import orjson
import pytest

from service import __version__
from service.building.patience import patiently
from service.building.work import DemandWork
from service.building.worker import FAILED, Worker
from service.building.worker_names import dead_here, worker_name
from service.domain.takeoff import DemandAnswer, DemandResult
from service.store import AnyRevision, Busy, Damaged, Store, Unavailable
from tests import catalogue_documents as documents
from tests.building.made_work import MADE, add_up, build, cannot_choose, finished, insist_on_each_once, judge, plan


def never(_seconds: float) -> bool:
    return False


def worker(store: Store, work: DemandWork = MADE, wait: Callable[[float], bool] = never, **more: object) -> Worker:
    return Worker(store, work, str(more.pop("name", "worker")), wait, **more)  # type: ignore[arg-type]


def worked_off(store: Store, work: DemandWork = MADE) -> int:
    one, chunks = worker(store, work), 0
    while one.take():
        chunks += 1
    return chunks


def test_a_takeoff_is_planned_whole(store: Store) -> None:
    """Every splice point gets the answer of its own demand."""
    takeoff_id = build(store, 70, repeats=3)
    assert worked_off(store) == 24 + 1
    insist_on_each_once(store, takeoff_id, 70, 3)


def test_all_of_a_takeoff_is_planned_from_the_catalogue_it_began_with(store: Store) -> None:
    """What is changed in the catalogue while it runs does not enter into it."""
    store.put_catalogue(documents.whole(), AnyRevision())
    takeoff_id = build(store, 2)
    worker(store).take()
    store.put_catalogue({**documents.whole(), "closures": []}, AnyRevision())
    worked_off(store)
    answers = [orjson.loads(each.answer)["closures"] for each in store.takeoffs.answers(takeoff_id)]
    assert answers[0]
    assert answers[0] == answers[1]


def test_few_kinds_of_closure_are_chosen_and_then_planned_with(store: Store) -> None:
    """The choice is made once over all demands, and every demand is planned with it."""
    takeoff_id = build(store, 40, closure_kinds=1)
    worked_off(store)
    assert orjson.loads(store.takeoffs.choice(takeoff_id) or b"") == {"most": 1, "named": ["dome-24", "dome-48"]}
    assert {orjson.loads(each.answer)["chosen"][0] for each in store.takeoffs.answers(takeoff_id)} == {"dome-24"}
    assert store.takeoffs.get(takeoff_id).chosen == ("dome-24",)


def test_a_demand_that_fails_is_a_fault_of_its_own_splice_points(store: Store) -> None:
    """The others of its chunk are planned, and the chunk is not tried again."""
    takeoff_id = build(store, 64, repeats=2, only={7: {"raise": True}})
    assert worked_off(store) == 32 + 1
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.faulty, status.fitting) == ("finished", 2, 126)
    assert store.takeoffs.point(takeoff_id, 7).faults == (FAILED,)


def test_a_demand_that_cannot_be_judged_is_left_out_of_the_choice(store: Store) -> None:
    """Planning it comes to its own end."""
    takeoff_id = build(store, 3, closure_kinds=2, only={2: {"raise": True}})
    worked_off(store)
    assert [len(each.closures) for each in store.takeoffs.judged(takeoff_id)] == [2, 0, 2]
    assert store.takeoffs.get(takeoff_id).faulty == 1


def test_a_choice_that_fails_stops_the_takeoff(store: Store) -> None:
    """It says so to people, in words that tell nothing of the inside."""
    takeoff_id = build(store, 3, closure_kinds=2)
    worked_off(store, DemandWork(plan, judge, cannot_choose, add_up))
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.planned) == ("stopped", 0)
    assert status.why is not None
    assert "RuntimeError" not in status.why


def cannot_add_up(planned: object) -> bytes:
    raise RuntimeError("there is nothing to add up")


def test_the_worker_of_the_last_plan_adds_up(store: Store) -> None:
    """The totals are there when the takeoff is finished: nobody who asks for them has to wait."""
    takeoff_id = build(store, 2, repeats=3)
    one = worker(store)
    while store.takeoffs.get(takeoff_id).state == "running":
        assert store.takeoffs.totals(takeoff_id) is None
        assert one.take()
    assert orjson.loads(store.takeoffs.totals(takeoff_id) or b"")["totals"] == {"1": 3, "2": 3}


def test_adding_up_that_fails_stops_the_takeoff(store: Store) -> None:
    """It says so to people, in words that tell nothing of the inside; the plans can still be read."""
    takeoff_id = build(store, 3)
    worked_off(store, DemandWork(plan, judge, cannot_choose, cannot_add_up))
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.planned) == ("stopped", 3)
    assert status.why is not None
    assert "RuntimeError" not in status.why


@pytest.mark.parametrize(("closure_kinds", "stage"), [(None, "adding_up"), (1, "choosing")])
def test_a_worker_is_told_to_end_in_the_midst_of_all_demands(
    store: Store, closure_kinds: int | None, stage: str
) -> None:
    """Choosing and adding up are handed back half done, and another worker does them whole."""
    takeoff_id = build(store, 3, closure_kinds=closure_kinds)
    while store.takeoffs.get(takeoff_id).stage != stage:
        worker(store).take()
    told = iter([False, True])
    assert worker(store, wait=lambda _seconds: next(told)).take()
    assert (store.takeoffs.get(takeoff_id).stage, store.takeoffs.work.lessees()) == (stage, [])
    worked_off(store)
    insist_on_each_once(store, takeoff_id, 3)


def test_a_takeoff_removed_while_it_is_added_up_troubles_nobody(store: Store) -> None:
    """The worker leaves it and goes on."""
    takeoff_id = build(store, 3)

    def removed(planned: Iterable[DemandAnswer]) -> bytes:
        store.takeoffs.delete(takeoff_id)
        return add_up(planned)

    worked_off(store, DemandWork(plan, judge, cannot_choose, removed))
    assert store.takeoffs.listed() == []


def test_a_worker_of_another_version_leaves_a_takeoff_and_says_so(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """It is told once, however long the worker waits; a worker of the takeoff's own version does it."""
    takeoff_id = build(store, 3)
    rests: list[float] = []

    def wait(seconds: float) -> bool:
        rests.append(seconds)
        return len(rests) > 40

    worker(store, wait=wait, name="newer", version="99.0").run()
    assert store.takeoffs.get(takeoff_id).planned == 0
    told = [record.getMessage() for record in caplog.records]
    left = f"leaves takeoff {takeoff_id} to workers of version {__version__}"
    assert told == [f"worker newer is of version 99.0 and {left}"]
    worked_off(store)
    insist_on_each_once(store, takeoff_id, 3)


def test_a_worker_that_is_told_to_end_hands_its_chunk_back(store: Store) -> None:
    """It ends between two demands, and another worker takes the whole chunk from its beginning."""
    takeoff_id = build(store, 64)
    told = iter([False, True])
    assert worker(store, wait=lambda _seconds: next(told)).take()
    assert store.takeoffs.get(takeoff_id).planned == 0
    assert store.takeoffs.work.lessees() == []
    worked_off(store)
    insist_on_each_once(store, takeoff_id, 64)


def test_a_slow_chunk_keeps_its_lease(store: Store) -> None:
    """A demand that takes three times as long as a lease is planned by the one worker that has it."""
    takeoff_id = build(store, 1, sleep=0.9)
    slow = threading.Thread(target=worker(store, name="slow", lease_s=0.3).take)
    slow.start()
    time.sleep(0.1)
    seen = []
    while slow.is_alive():
        seen.append(store.takeoffs.work.lease("other"))
        if seen[-1] is not None and seen[-1].stage == "adding_up":
            assert store.takeoffs.work.hand_back(seen.pop())
            break
        time.sleep(0.05)
    slow.join()
    assert set(seen) == {None}
    worked_off(store)
    insist_on_each_once(store, takeoff_id, 1)


def test_a_worker_leaves_a_chunk_that_is_no_longer_wanted(store: Store) -> None:
    """The takeoff is cancelled while it is at it: it plans on only until it next renews its lease."""
    takeoff_id = build(store, 64)
    planned = []

    def slowly(catalogue: object, number: int, request: bytes, chosen: object, recorded: object) -> DemandResult:
        planned.append(number)
        store.takeoffs.cancel(takeoff_id)
        time.sleep(0.2)
        return plan(catalogue, number, request, None)  # type: ignore[arg-type]

    assert worker(store, DemandWork(slowly, judge, cannot_choose, add_up), lease_s=0.15).take()
    assert planned == [1]
    assert store.takeoffs.get(takeoff_id).planned == 0


def test_a_demand_that_does_not_end_gives_its_worker_up(store: Store) -> None:
    """The lease is left to run out, and whoever runs the worker is told, so that the process can be ended."""
    build(store, 1, sleep=0.6)
    stuck = threading.Event()
    worker(store, lease_s=0.15, demand_s=0.1, stuck=stuck.set).take()
    assert stuck.is_set()


def test_a_database_that_is_away_is_waited_for(store: Store) -> None:
    """Results are kept and brought in when it is back."""
    takeoff_id = build(store, 1)
    bring, trouble = store.takeoffs.work.bring_planned, [Unavailable("away"), Busy("busy")]

    def troubled(*arguments: object) -> bool:
        if trouble:
            raise trouble.pop()
        return bring(*arguments)  # type: ignore[arg-type]

    store.takeoffs.work.bring_planned = troubled  # type: ignore[method-assign]
    worked_off(store)
    insist_on_each_once(store, takeoff_id, 1)


def test_a_chunk_is_not_blamed_for_the_databases_trouble(store: Store) -> None:
    """A worker that cannot read hands its chunk back, and goes on when it can."""
    takeoff_id = build(store, 1)
    demands, calls = store.takeoffs.work.demands, []

    def troubled(chunk: object) -> object:
        calls.append(chunk)
        if len(calls) <= 5:
            raise Busy("busy")
        return demands(chunk)  # type: ignore[arg-type]

    store.takeoffs.work.demands = troubled  # type: ignore[assignment,method-assign]
    ends = threading.Event()
    thread = threading.Thread(target=worker(store, wait=lambda seconds: ends.wait(min(seconds, 0.01))).run)
    thread.start()
    finished(store, takeoff_id)
    ends.set()
    thread.join()
    insist_on_each_once(store, takeoff_id, 1)


def test_patience_ends_where_waiting_cannot_help() -> None:
    """A damaged file is told at once; whoever is told to end gives up; the pauses grow, and not without end."""
    pauses: list[float] = []

    def fails(error: Exception) -> Callable[[], None]:
        def fail() -> None:
            raise error

        return fail

    def wait(seconds: float) -> bool:
        pauses.append(seconds)
        return len(pauses) == 9

    with pytest.raises(Damaged):
        patiently(fails(Damaged("damaged")), wait)
    assert pauses == []
    with pytest.raises(Busy):
        patiently(fails(Busy("busy")), wait)
    assert pauses == sorted(pauses)
    assert (pauses[0], pauses[-1]) == (0.1, 5.0)


def test_a_dead_worker_of_this_machine_is_told_from_others() -> None:
    """By its process, and never one of another machine or of a name that was not made here."""
    import os
    import subprocess
    import sys

    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    dead, living = worker_name(ended.pid), worker_name(os.getpid())
    assert dead_here([living, dead, f"elsewhere/{ended.pid}/0", "a name", "/", f"{dead.split('/')[0]}/x/0"]) == [dead]
    assert worker_name(1) != worker_name(1)
