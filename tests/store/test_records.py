"""Splice records in the store: added, read back, added up."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime

from service.domain.records import Loss, SpliceRecord, Tally
from service.planning.recording.learning import tallied
from service.store import Store

ONE, OTHER = "a" * 32, "b" * 32
RIBBON = SpliceRecord(
    ONE,
    1,
    "flat",
    12,
    1,
    datetime(2026, 5, 4, 8, 0, 30, 250_000, tzinfo=UTC),
    "Crew 2",
    "",
    0,
    (
        Loss(1, -0.08, "measured", 1550, "a_to_b"),
        Loss(1, 0.28, "measured", 1550, "b_to_a"),
        Loss(None, 0.1, "estimated"),
    ),
)
FIBRE = SpliceRecord(ONE, 2, "single", 1, 0, datetime(2026, 5, 4, 9, 0, tzinfo=UTC))


def test_records_are_read_as_they_were_added(store: Store) -> None:
    """By splice, and those of a splice as they came; another installation's are not among them."""
    again = replace(RIBBON, remakes=2, who="")
    store.records.add([FIBRE, RIBBON])
    store.records.add([again, replace(RIBBON, installation=OTHER)])
    assert store.records.of(ONE) == [RIBBON, again, FIBRE]
    assert store.records.of("c" * 32) == store.records.of("\0") == []


def test_of_each_splice_the_last_record_is_added_up(store: Store) -> None:
    """As the records themselves add up; a record without a word on shrinking counts each remake as a sleeve."""
    records = [
        replace(RIBBON, remakes=5, remakes_after_shrinking=5),
        RIBBON,
        replace(RIBBON, installation=OTHER, remakes=3, remakes_after_shrinking=None),
        replace(RIBBON, splice=3, form="rollable", remakes=2, remakes_after_shrinking=1),
        FIBRE,
    ]
    assert store.records.tallies() == ()
    for record in records:
        store.records.add([record])
    assert store.records.tallies() == tallied(records)
    assert store.records.tallies() == (Tally("flat", 2, 4, 3), Tally("rollable", 1, 2, 1), Tally("single", 1, 0, 0))


def test_a_splice_told_twice_at_once_has_both_in_their_order(store: Store) -> None:
    """The second is the later one."""
    store.records.add([RIBBON, replace(RIBBON, remakes=4)])
    assert [record.remakes for record in store.records.of(ONE)] == [1, 4]


def test_records_sent_at_the_same_time_are_all_kept(store: Store) -> None:
    """Forty of one splice from eight crews: none takes another's place, none is lost."""
    with ThreadPoolExecutor(8) as crews:
        list(crews.map(lambda n: store.records.add([replace(RIBBON, remakes=n, who=str(n))]), range(40)))
    assert sorted(record.remakes for record in store.records.of(ONE)) == list(range(40))
    (tally,) = store.records.tallies()
    assert tally.joints == 1


def test_splice_records_go_and_come_again(store: Store) -> None:
    """Down to the schema before them and up again: the table is there, and empty."""
    store.records.add([RIBBON])
    store.downgrade("0003")
    store.upgrade()
    assert store.records.tallies() == ()
