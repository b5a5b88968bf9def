"""Splice points read: numbered, brought to their demands, and those that are not in order told apart."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from service.building.reading import Checked, Read, Reading
from service.building.receiving import PointsRefused, receive
from service.domain.faults import Fault, Refused
from service.domain.takeoff import NewTakeoff
from service.store import NotFound, Store
from tests.building.renamed_points import POINTS, called, own_words
from tests.store.takeoff_rows import MOMENT

FAULT = Fault("/cables", "required", "This member is required.")


def check(raw: Any) -> Checked:
    """A splice point is in order where it has cables."""
    return Checked(raw) if "cables" in raw else Checked(raw, (FAULT,))


def read(
    points: Iterable[Any], judge: Callable[[bytes], tuple[Fault, ...]] | None = None, most: int = 100
) -> list[Read]:
    """Read these as lines 1, 3, 5 ..."""
    return list(Reading(check, 0, judge, most).read((2 * n + 1, point) for n, point in enumerate(points)))


def other_names(point: dict[str, Any]) -> dict[str, Any]:
    """The same demand under other names."""
    tags, labels = own_words(point)
    return called(point, "other", [f"t{n}" for n in range(len(tags))], [f"l{n}" for n in range(len(labels))])


def test_equal_splice_points_share_a_demand() -> None:
    """Places count every splice point, demands only the different ones, in the order in which they come."""
    one, two = POINTS[0], POINTS[1]
    found = read([one, two, other_names(one), {**two, "tags": {"phase": "2"}}])
    assert [each.point.place for each in found] == [1, 2, 3, 4]
    assert [each.point.line for each in found] == [1, 3, 5, 7]
    assert [each.point.demand for each in found] == [1, 2, 1, 2]
    assert [each.new is not None for each in found] == [True, True, False, False]
    assert found[2].point.name == "other" and set(found[2].point.names.values()) == {"t0", "t1", "t2"}
    assert found[3].point.tags == {"phase": "2"}


def test_a_splice_point_that_is_not_in_order_stops_no_other() -> None:
    """It has a place, a line, its name and its faults, and no demand."""
    found = read([{"name": "Quay 9"}, POINTS[0], {"name": "line\nbreak"}])
    assert found[0].point.faults == (FAULT,) and found[0].point.demand is None
    assert [each.point.name for each in found] == ["Quay 9", POINTS[0]["name"], ""]
    assert found[1].point.demand == 1


def test_what_planning_would_refuse_is_told_in_each_ones_own_names() -> None:
    """The demand is judged once and numbered not at all."""
    asked: list[bytes] = []

    def judge(request: bytes) -> tuple[Fault, ...]:
        asked.append(request)
        return (Fault("/joints/0/to", "unequal", "⸢1⸣ and '⸢2⸣' differ"),)

    found = read([POINTS[0], other_names(POINTS[0])], judge)
    assert len(asked) == 1 and all(each.new is None for each in found)
    assert [each.point.faults[0].detail for each in found] == ["F and 'D1' differ", "t0 and 't1' differ"]


def test_there_is_a_least_and_a_most() -> None:
    """No splice point at all, and one too many, are refused."""
    with pytest.raises(Refused, match="no splice point"):
        read([])
    with pytest.raises(Refused, match="at most 2"):
        read([POINTS[0]] * 3, most=2)


@pytest.fixture
def takeoff(store: Store) -> NewTakeoff:
    """A strict takeoff."""
    return NewTakeoff("0" * 32, MOMENT, "strict", store.catalogue_revision(), "1", strict=True)


def test_a_strict_takeoff_is_received_whole_or_not_at_all(store: Store, takeoff: NewTakeoff) -> None:
    """All faulty splice points are told, also those after the first, and nothing stays in the store."""
    points = [*[POINTS[0]] * 600, {"name": "a"}, *[POINTS[1]] * 600, {"name": "b"}, {"name": "c"}]
    reads = Reading(check, 0).read(enumerate(points, start=1))
    with pytest.raises(PointsRefused) as refusal:
        receive(store.takeoffs, takeoff, reads, told_most=2)
    assert [point.name for point in refusal.value.points] == ["a", "b"]
    assert refusal.value.count == 3
    with pytest.raises(NotFound):
        store.takeoffs.get(takeoff.id)


def test_whatever_breaks_off_leaves_nothing_behind(store: Store, takeoff: NewTakeoff) -> None:
    """A stream that breaks in the middle, too."""

    def broken() -> Iterable[Read]:
        yield from Reading(check, 0).read(enumerate([POINTS[0]] * 1200, start=1))
        raise ConnectionError

    with pytest.raises(ConnectionError):
        receive(store.takeoffs, takeoff, broken())
    with pytest.raises(NotFound):
        store.takeoffs.get(takeoff.id)
