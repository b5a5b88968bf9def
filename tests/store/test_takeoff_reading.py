"""Takeoffs read: the list, splice points with what came of them, answers, documents."""

from __future__ import annotations

from datetime import timedelta

import pytest

from service.domain.faults import Fault
from service.domain.takeoff import DemandAnswer
from service.store import NotFound, PointFilter, Store, TakeoffFilter, open_store
from tests.store.takeoff_rows import MOMENT, TOTALS, demand, new_takeoff, point, received, result, started, worked_off

TAGS = [{"area": "north", "phase": "1"}, {"area": "south"}, {"a.b": "x"}, {"größe": "ja"}, {"a'b": "it's"}, {}]


def mixed(store: Store) -> str:
    """Seven splice points: two that fit alike, one that does not, one refused, one not yet planned, two faulty."""
    takeoff = new_takeoff()
    store.takeoffs.begin(takeoff)
    unread = (Fault("", "malformed", "No JSON."),)
    of = [1, 2, 1, 3, None, 4, None]
    points = [
        point(place, number, tags=TAGS[(place - 1) % len(TAGS)], faults=() if number else unread)
        for place, number in enumerate(of, 1)
    ]
    store.takeoffs.add_batch(takeoff.id, points, [demand(number) for number in range(1, 5)])
    store.takeoffs.start(takeoff.id)
    refused = (Fault("/cables/0", "unknown", "There is no such cable."),)
    kinds = [
        result(1),
        result(2, fits=False, closure=None, trays=None, optimal=None),
        result(3, fits=None, closure=None, answer=None, faults=refused),
    ]
    for each in kinds:
        chunk = store.takeoffs.work.lease("worker")
        assert chunk is not None
        store.takeoffs.work.bring_planned(chunk, [each])
    return takeoff.id


def places(store: Store, takeoff_id: str, **which: object) -> list[int]:
    found = store.takeoffs.points(takeoff_id, which=PointFilter(**which))  # type: ignore[arg-type]
    return [each.point.place for each in found]


def test_splice_points_come_with_what_came_of_them(store: Store) -> None:
    """Equal ones with the same result, what is not planned yet as not done, faults of reading and of planning."""
    found = store.takeoffs.points(mixed(store))
    assert [(each.done, each.fits) for each in found] == [
        (True, True),
        (True, False),
        (True, True),
        (True, None),
        (True, None),
        (False, None),
        (True, None),
    ]
    assert [len(each.faults) for each in found] == [0, 0, 0, 1, 1, 0, 1]
    assert (found[0].closure, found[0].splices, found[0].trays, found[0].optimal) == ("dome-24", 6, 2, True)
    assert found[2].point == point(3, 1, tags=TAGS[2])
    assert {each.answer for each in found} == {None}


def test_splice_points_are_filtered(store: Store) -> None:
    """By whether they fit, whether they are faulty, closure and tags, whatever letters a tag has."""
    takeoff_id = mixed(store)
    assert places(store, takeoff_id, fits=True) == [1, 3]
    assert places(store, takeoff_id, fits=False) == [2]
    assert places(store, takeoff_id, faulty=True) == [4, 5, 7]
    assert places(store, takeoff_id, faulty=False) == [1, 2, 3, 6]
    assert places(store, takeoff_id, closure="dome-24") == [1, 3]
    assert places(store, takeoff_id, closure="dome-24", tag=("a.b", "x")) == [3]
    for place, tags in enumerate(TAGS, 1):
        for tag in tags.items():
            assert place in places(store, takeoff_id, tag=tag)
    assert places(store, takeoff_id, tag=("area", "north")) == [1, 7]
    for tag in (("area", "1"), ("none", "north"), ('a"b', "x"), ("a\0", "x"), ("area", "\ud800")):
        assert places(store, takeoff_id, tag=tag) == []


def test_splice_points_are_paged_by_place(store: Store) -> None:
    """Each page goes on behind the last place of the one before; answers come where they are asked for."""
    takeoff_id = mixed(store)
    pages, after = [], 0
    while page := store.takeoffs.points(takeoff_id, after, 3, answers=True):
        pages.append([each.point.place for each in page])
        after = page[-1].point.place
    assert pages == [[1, 2, 3], [4, 5, 6], [7]]
    assert store.takeoffs.point(takeoff_id, 3).answer == b'{"planned":1}'
    assert [each.answer for each in store.takeoffs.points(takeoff_id, 2, 2, answers=True)] == [b'{"planned":1}', None]


def test_what_is_not_there_is_told(store: Store) -> None:
    """A takeoff or a place that was never received, and ids that no database can hold."""
    takeoff_id = received(store, 1)
    for place in (0, 2, -1, 2**40):
        with pytest.raises(NotFound):
            store.takeoffs.point(takeoff_id, place)
    for unknown in ("0" * 32, "a\0b", "\ud800"):
        for read in (store.takeoffs.get, store.takeoffs.points, store.takeoffs.totals, store.takeoffs.cancel):
            with pytest.raises(NotFound):
                read(unknown)
        with pytest.raises(NotFound):
            next(store.takeoffs.answers(unknown))


def test_answers_come_by_demand_with_the_number_of_their_splice_points(store: Store) -> None:
    """All that have one, over more pages than one; those of refused demands are left out."""
    assert list(store.takeoffs.answers(mixed(store))) == [
        DemandAnswer(1, 2, True, b'{"planned":1}'),
        DemandAnswer(2, 1, False, b'{"planned":2}'),
    ]
    store.takeoffs.cancel(store.takeoffs.listed()[0].id)
    takeoff_id = started(store, 450, repeats=2)
    worked_off(store)
    answers = list(store.takeoffs.answers(takeoff_id))
    assert [each.number for each in answers] == list(range(1, 451))
    assert {each.points for each in answers} == {2}


def test_takeoffs_are_listed_newest_first(url: str) -> None:
    """Page by page, by state, and by a part of the name in either case of letters."""
    now = MOMENT
    store = open_store(url, lambda: now)
    store.upgrade()
    ids = [started(store, 1, created=MOMENT + timedelta(minutes=place), name=f"Part {place}") for place in range(5)]
    store.takeoffs.cancel(ids[1])
    first = store.takeoffs.listed(2)
    assert [each.id for each in first] == [ids[4], ids[3]]
    rest = store.takeoffs.listed(9, (first[-1].created, first[-1].id))
    assert [each.id for each in rest] == [ids[2], ids[1], ids[0]]
    assert [each.id for each in store.takeoffs.listed(which=TakeoffFilter(state="cancelled"))] == [ids[1]]
    assert [each.id for each in store.takeoffs.listed(which=TakeoffFilter(name="PART 3"))] == [ids[3]]
    assert store.takeoffs.listed(which=TakeoffFilter(name="a\0")) == []
    store.close()


def test_totals_are_kept_once_a_takeoff_has_ended(store: Store) -> None:
    """As the workers brought them; others can be kept in their place, and not before it has ended."""
    takeoff_id = started(store, 1)
    with pytest.raises(ValueError, match="ended"):
        store.takeoffs.keep_totals(takeoff_id, b"{}")
    worked_off(store)
    assert store.takeoffs.totals(takeoff_id) == TOTALS
    store.takeoffs.keep_totals(takeoff_id, '{"items":"µ"}'.encode())
    assert store.takeoffs.totals(takeoff_id) == '{"items":"µ"}'.encode()


def test_the_tables_of_takeoffs_go_and_come_again(store: Store) -> None:
    """Down to the schema before them and up again: takeoffs are gone, the rest is as it was, and work begins anew."""
    started(store, 3)
    key = store.cursor_key()
    store.downgrade("0001")
    store.upgrade()
    assert store.takeoffs.listed() == []
    assert store.cursor_key() == key
    started(store, 2)
    assert worked_off(store) == 2


def test_the_queue_is_what_waits_and_what_workers_have(store: Store) -> None:
    """Chunks leave the queue as they are leased and done; splice points of all takeoffs are added up."""
    assert store.takeoffs.queue() == (0, 0, 0, 0, 0, 0)
    started(store, 2, repeats=3)
    waiting = store.takeoffs.queue().waiting
    assert waiting >= 1
    assert store.takeoffs.work.lease("worker") is not None
    assert store.takeoffs.queue()[:2] == (waiting - 1, 1)
