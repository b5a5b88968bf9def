"""Chunks: leased once at a time, brought in once, given to another when their worker dies, given up in the end."""

from __future__ import annotations

import threading
import time
from collections import Counter
from collections.abc import Sequence

import pytest

from service.domain.takeoff import Choice, Chunk, Judged
from service.store import NotFound, Store, Unavailable
from service.store.takeoffs.burying import APART_AFTER, ENDS_WORKERS, GIVEN_UP_AFTER
from service.store.takeoffs.cutting import MOST, chunk_size
from tests.store.takeoff_rows import TOTALS, received, result, results, started, worked_off


def leased(store: Store, worker: str = "worker", lease_s: float = 10.0) -> Chunk:
    chunk = store.takeoffs.work.lease(worker, lease_s)
    assert chunk is not None
    return chunk


def test_chunks_cover_every_demand_once(store: Store) -> None:
    """Whatever the number of demands, and each chunk within the largest size."""
    for demands in (1, 31, 33, 4801):
        takeoff_id = started(store, demands)
        numbers: Counter[int] = Counter()
        while chunk := store.takeoffs.work.lease("worker"):
            assert chunk.takeoff == takeoff_id
            assert chunk.last - chunk.first < MOST
            numbers.update(range(chunk.first, chunk.last + 1))
        assert numbers == Counter(range(1, demands + 1))
        store.takeoffs.delete(takeoff_id)
    assert [chunk_size(demands) for demands in (1, 400, 100_000)] == [1, 13, MOST]


def test_two_workers_never_hold_one_chunk(store: Store) -> None:
    """Eight threads lease all there is at once: each chunk goes to one of them."""
    started(store, 60)
    got: list[Chunk] = []
    together = threading.Barrier(8)

    def lease_all(worker: str) -> None:
        together.wait()
        while chunk := store.takeoffs.work.lease(worker):
            got.append(chunk)

    threads = [threading.Thread(target=lease_all, args=(f"worker {number}",)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    # On PostgreSQL a worker may find the one chunk that waits locked by another, and end; none is left over in all.
    assert store.takeoffs.work.lease("last") is None
    assert Counter(chunk.id for chunk in got).most_common(1)[0][1] == 1
    assert len(got) == 30


def test_a_chunk_brings_results_and_progress_in_together(store: Store) -> None:
    """Splice points are counted by what came of their demand; when the last is there the plans are added up."""
    takeoff_id = started(store, 4, repeats=3)
    kinds = {
        1: {},
        2: {"optimal": False},
        3: {"fits": False, "trays": None, "optimal": None},
        4: {"fits": None, "answer": None, "faults": (ENDS_WORKERS,)},
    }
    for _ in range(4):
        assert store.takeoffs.get(takeoff_id).state == "running"
        chunk = leased(store)
        assert store.takeoffs.work.bring_planned(chunk, [result(chunk.first, **kinds[chunk.first])])
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.stage, status.points) == ("running", "adding_up", 12)
    assert (status.done, status.planned) == (12, 4)
    assert (status.fitting, status.unproven, status.unfitting, status.faulty) == (6, 3, 3, 3)
    assert status.started is not None
    assert status.ended is None
    assert worked_off(store) == 0
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.stage, status.done) == ("finished", None, 12)
    assert status.ended is not None


def test_a_takeoff_is_finished_with_its_totals_or_not_at_all(store: Store) -> None:
    """Workers are killed between the last plan and the totals: it is at work still, and the next one adds up."""
    takeoff_id = started(store, 4, repeats=2)
    while (chunk := leased(store, "dead")).stage == "planning":
        store.takeoffs.work.bring_planned(chunk, results(chunk))
    assert (chunk.stage, chunk.first, chunk.last) == ("adding_up", 1, 4)
    assert (store.takeoffs.get(takeoff_id).state, store.takeoffs.totals(takeoff_id)) == ("running", None)
    store.takeoffs.work.give_up_for("dead")
    again = leased(store, "other")
    assert (again.id, again.stage) == (chunk.id, "adding_up")
    assert not store.takeoffs.work.bring_added_up(chunk, b'{"totals":"late"}')
    assert store.takeoffs.work.bring_added_up(again, TOTALS)
    assert (store.takeoffs.get(takeoff_id).state, store.takeoffs.totals(takeoff_id)) == ("finished", TOTALS)
    assert not store.takeoffs.work.bring_added_up(again, b'{"totals":"twice"}')
    assert store.takeoffs.totals(takeoff_id) == TOTALS


def test_adding_up_that_ends_its_workers_stops_the_takeoff(store: Store) -> None:
    """It is not taken apart as a planning chunk would be; the takeoff says why, and its plans can be read."""
    takeoff_id = started(store, 2)
    for _ in range(2):
        chunk = leased(store)
        store.takeoffs.work.bring_planned(chunk, results(chunk))
    for _ in range(GIVEN_UP_AFTER):
        killed(store, 1)
    assert store.takeoffs.work.lease("other") is None
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.done) == ("stopped", 2)
    assert "Adding up" in (status.why or "")
    assert store.takeoffs.point(takeoff_id, 2).answer == result(2).answer


def test_workers_of_another_version_leave_a_takeoff_alone(store: Store) -> None:
    """In every stage, also where they ask for one chunk; they can tell what they leave, and the others go on."""
    old, new = started(store, 2, version="1.0"), started(store, 2, version="1.1")
    work = store.takeoffs.work
    chunks = [work.lease("worker", version="1.1") for _ in range(3)]
    assert [chunk and chunk.takeoff for chunk in chunks] == [new, new, None]
    assert work.left_by("1.1") == {old: "1.0"}
    others = work.lease("other", version="1.0")
    assert others is not None and others.takeoff == old
    work.hand_back(others)
    assert work.lease("worker", chunk=others.id, version="1.1") is None
    for chunk in chunks[:2]:
        assert chunk is not None and work.bring_planned(chunk, results(chunk))
    assert work.lease("other", version="1.0", chunk=None) is not None
    adding = work.lease("worker", version="1.1")
    assert adding is not None and (adding.takeoff, adding.stage) == (new, "adding_up")
    assert work.bring_added_up(adding, TOTALS)
    assert (store.takeoffs.get(old).state, store.takeoffs.get(new).state) == ("running", "finished")
    assert work.left_by("1.0") == {}


def test_results_of_other_demands_than_the_chunks_are_refused(store: Store) -> None:
    """One missing, one too many, or another order is a fault of the worker."""
    started(store, 64)
    chunk = leased(store)
    wrong = [[], [result(1)], [result(2), result(1)], [result(1), result(2), result(3)]]
    for each in wrong:
        with pytest.raises(ValueError, match="chunk"):
            store.takeoffs.work.bring_planned(chunk, each)
    assert store.takeoffs.work.bring_planned(chunk, results(chunk))


def test_a_chunk_is_brought_in_once(store: Store) -> None:
    """The same worker's second attempt is refused, and nothing is counted twice."""
    takeoff_id = started(store, 40)
    chunk = leased(store)
    assert store.takeoffs.work.bring_planned(chunk, results(chunk))
    before = store.takeoffs.get(takeoff_id)
    assert not store.takeoffs.work.bring_planned(chunk, results(chunk))
    assert store.takeoffs.get(takeoff_id) == before


def test_a_late_worker_is_refused_by_the_fence(store: Store) -> None:
    """Its lease ran out and another has the chunk: its results are not taken, and the other's are."""
    takeoff_id = started(store, 1)
    late = leased(store, "late", lease_s=0.01)
    time.sleep(0.05)
    other = leased(store, "other")
    assert (other.id, other.fence) == (late.id, late.fence + 1)
    assert not store.takeoffs.work.bring_planned(late, [result(1, closure="late")])
    assert not store.takeoffs.work.renew(late)
    assert not store.takeoffs.work.hand_back(late)
    assert store.takeoffs.get(takeoff_id).done == 0
    assert store.takeoffs.work.bring_planned(other, [result(1, closure="other")])
    assert not store.takeoffs.work.bring_planned(late, [result(1, closure="late")])
    assert store.takeoffs.point(takeoff_id, 1).closure == "other"


def test_a_worker_that_is_late_but_alone_is_still_taken(store: Store) -> None:
    """A lease that ran out, and that nobody took over, brings its results in."""
    takeoff_id = started(store, 1)
    late = leased(store, "late", lease_s=0.01)
    time.sleep(0.05)
    assert store.takeoffs.work.bring_planned(late, [result(1)])
    assert store.takeoffs.get(takeoff_id).planned == 1


def test_a_renewed_lease_goes_on(store: Store) -> None:
    """Nobody else gets the chunk after the time of the first lease."""
    started(store, 1)
    chunk = leased(store, lease_s=0.05)
    assert store.takeoffs.work.renew(chunk, 10.0)
    time.sleep(0.1)
    assert store.takeoffs.work.lease("other") is None
    assert store.takeoffs.work.bring_planned(chunk, [result(1)])


def test_a_chunk_handed_back_waits_again(store: Store) -> None:
    """Another worker gets it at once, and nobody's death is counted."""
    started(store, 1)
    for _ in range(2 * GIVEN_UP_AFTER):
        assert store.takeoffs.work.hand_back(leased(store))
    assert leased(store).fence == 2 * GIVEN_UP_AFTER + 1


def test_the_chunks_of_a_dead_worker_are_given_to_another_at_once(store: Store) -> None:
    """And only those: the leases of the living hold."""
    started(store, 3)
    dead, living = leased(store, "dead"), leased(store, "living")
    assert store.takeoffs.work.lessees() == ["dead", "living"]
    assert store.takeoffs.work.give_up_for("dead") == 1
    assert leased(store, "other").id == dead.id
    assert store.takeoffs.work.bring_planned(living, results(living))


def killed(store: Store, wanted: int) -> None:
    """Let a worker die at the chunk that has the demand ``wanted``; what is leased on the way is handed back."""
    others = []
    while True:
        chunk = leased(store, f"worker {wanted}")
        if chunk.first <= wanted <= chunk.last:
            break
        others.append(chunk)
    for other in others:
        store.takeoffs.work.hand_back(other)
    store.takeoffs.work.give_up_for(f"worker {wanted}")


def test_a_demand_that_ends_its_workers_is_found_and_recorded(store: Store) -> None:
    """Its chunk is taken apart, it alone is given up as faulty, and all the others are planned."""
    takeoff_id = started(store, 96, repeats=2)
    for _ in range(APART_AFTER + GIVEN_UP_AFTER):
        killed(store, 5)
    assert worked_off(store) == 31 + 2
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.done, status.faulty, status.fitting) == ("finished", 192, 2, 190)
    assert [point.faults for point in store.takeoffs.points(takeoff_id, 4, 2)] == [(ENDS_WORKERS,), ()]


def test_a_demand_that_ends_its_workers_when_judged_is_left_out_of_the_choice(store: Store) -> None:
    """The judging goes on without it, and planning tries it again."""
    takeoff_id = started(store, 1, closure_kinds_most=1)
    for _ in range(GIVEN_UP_AFTER):
        killed(store, 1)
    assert store.takeoffs.work.bury_expired() == 1
    assert list(store.takeoffs.judged(takeoff_id)) == [Judged(1, {}, 1)]
    assert leased(store).stage == "choosing"


def test_a_choice_that_ends_its_workers_stops_the_takeoff(store: Store) -> None:
    """It says why, and no chunk is left."""
    takeoff_id = started(store, 1, closure_kinds_most=1)
    store.takeoffs.work.bring_judged(leased(store), [Judged(1, {"dome-24": "10.00"})])
    for _ in range(GIVEN_UP_AFTER):
        killed(store, 1)
    assert store.takeoffs.work.lease("other") is None
    status = store.takeoffs.get(takeoff_id)
    assert status.state == "stopped"
    assert "Choosing" in (status.why or "")


def test_few_kinds_of_closure_take_four_stages(store: Store) -> None:
    """All are judged, one chunk chooses, what was chosen goes with the planning chunks, and one adds up."""
    takeoff_id = started(store, 40, repeats=2, closure_kinds_most=2)
    prices = {"dome-24": "10.00", "dome-48": None}
    chunks = []
    while (chunk := leased(store)).stage == "judging":
        assert chunk.closure_kinds_most == 2
        numbers = range(chunk.first, chunk.last + 1)
        assert store.takeoffs.work.bring_judged(chunk, [Judged(number, prices) for number in numbers])
        chunks.append(chunk)
    assert len(chunks) == 20
    assert (chunk.stage, chunk.first, chunk.last) == ("choosing", 1, 40)
    assert list(store.takeoffs.judged(takeoff_id)) == [Judged(number, prices, 2) for number in range(1, 41)]
    assert store.takeoffs.get(takeoff_id).judged == 40
    assert store.takeoffs.choice(takeoff_id) is None
    assert store.takeoffs.work.bring_chosen(chunk, Choice(("dome-24", "dome-48"), {"most": 2}))
    assert store.takeoffs.choice(takeoff_id) == b'{"most":2}'
    planning = leased(store)
    assert (planning.stage, planning.chosen) == ("planning", ("dome-24", "dome-48"))
    store.takeoffs.work.hand_back(planning)
    worked_off(store)
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.done, status.chosen) == ("finished", 80, ("dome-24", "dome-48"))


def test_a_choice_of_no_closure_at_all_is_kept_apart_from_no_choice(store: Store) -> None:
    """Where nothing fits anywhere, planning is told of an empty choice."""
    started(store, 1, closure_kinds_most=1)
    store.takeoffs.work.bring_judged(leased(store), [Judged(1, {})])
    store.takeoffs.work.bring_chosen(leased(store), Choice((), {}))
    assert leased(store).chosen == ()


def test_a_takeoff_that_cannot_go_on_says_why(store: Store) -> None:
    """Its chunks go, and a second worker's word comes too late."""
    takeoff_id = started(store, 2)
    first, second = leased(store), leased(store)
    assert store.takeoffs.work.stop(first, "There is no more paper.")
    assert not store.takeoffs.work.stop(second, "There is no more ink.")
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.why) == ("stopped", "There is no more paper.")
    assert not store.takeoffs.work.bring_planned(second, results(second))


def test_takeoffs_that_run_side_by_side_take_turns(store: Store) -> None:
    """A small takeoff that comes while a large one runs is not kept waiting until that one's end."""
    large = started(store, 320)
    for _ in range(8):
        chunk = leased(store)
        store.takeoffs.work.bring_planned(chunk, results(chunk))
    small = started(store, 4)
    turns = [leased(store).takeoff for _ in range(10)]
    assert turns.count(small) == 4
    assert turns.count(large) == 6
    assert small in turns[:2]


def test_a_cancelled_takeoff_is_worked_on_no_longer(store: Store) -> None:
    """No chunk of it is leased, what a worker was at is refused, and what was planned can still be read."""
    takeoff_id = started(store, 3)
    done, at = leased(store), leased(store)
    store.takeoffs.work.bring_planned(done, results(done))
    assert store.takeoffs.cancel(takeoff_id)
    assert store.takeoffs.work.lease("other") is None
    assert not store.takeoffs.work.renew(at)
    assert not store.takeoffs.work.bring_planned(at, results(at))
    status = store.takeoffs.get(takeoff_id)
    assert (status.state, status.done) == ("cancelled", 1)
    assert store.takeoffs.point(takeoff_id, done.first).answer == result(done.first).answer
    assert not store.takeoffs.cancel(takeoff_id)


def test_a_deleted_takeoff_is_gone_with_all_its_rows(store: Store) -> None:
    """Whether or not a worker is at it, and without a trace in any table; other takeoffs stay."""
    gone, kept = started(store, 3, closure_kinds_most=1), started(store, 2)
    at = leased(store)
    other = leased(store)
    assert {at.takeoff, other.takeoff} == {gone, kept}
    store.takeoffs.delete(gone)
    with pytest.raises(NotFound):
        store.takeoffs.delete(gone)
    if at.takeoff != gone:
        at, other = other, at
    assert not store.takeoffs.work.bring_judged(at, [Judged(at.first, {})])
    assert store.takeoffs.work.demands(at) == []
    assert store.takeoffs.work.bring_planned(other, results(other))
    with store._engines.reading() as connection:
        for table in ("points", "demands", "results", "judged", "chunks"):
            left = connection.exec_driver_sql(f"SELECT count(DISTINCT takeoff) FROM takeoff_{table}").scalar_one()
            assert left <= 1


def test_new_chunks_are_told_in_the_transaction_that_makes_them(store: Store) -> None:
    """Where telling fails, nothing was started; chunks that wait again are told again."""
    told: list[int] = []

    def deliver(_connection: object, chunks: Sequence[tuple[int, int]]) -> None:
        told.extend(chunk for chunk, _turn in chunks)

    def fails(_connection: object, _ids: object) -> None:
        raise RuntimeError("no engine")

    takeoff_id = received(store, 3)
    store.takeoffs.deliver = fails
    with pytest.raises(RuntimeError):
        store.takeoffs.start(takeoff_id)
    assert store.takeoffs.get(takeoff_id).state == "receiving"
    assert store.takeoffs.work.lease("worker") is None
    store.takeoffs.deliver = deliver
    store.takeoffs.start(takeoff_id)
    assert len(told) == 3
    assert store.takeoffs.work.lease("worker", chunk=told[2]) is not None
    assert store.takeoffs.work.lease("worker", chunk=told[2]) is None
    store.takeoffs.work.give_up_for("worker")
    store.takeoffs.work.bury_expired()
    assert told[3:] == [told[2]]


def test_an_engine_wants_postgresql(sqlite_store: Store) -> None:
    """On SQLite it is refused with the reason, and takeoffs go on without it."""
    with pytest.raises(Unavailable, match="PostgreSQL"):
        sqlite_store.takeoffs.deliver_by_engine()
    started(sqlite_store, 1)
    assert worked_off(sqlite_store) == 1
