"""When what failed is tried again."""

from __future__ import annotations

import pytest

from service.telling.pace import DAY_S, Pace


def rests(pace: Pace, chance: float) -> list[float]:
    """The rests between all tries, each with the same chance."""
    found = [pace.again_s(tried, chance=lambda: chance) for tried in range(1, pace.attempts)]
    return [rest for rest in found if rest is not None]


def test_ten_tries_take_more_than_a_day() -> None:
    """Some 41 hours at the middle, and more than a day where every rest is as short as it may be."""
    assert len(rests(Pace(), 0.5)) == 9
    assert sum(rests(Pace(), 0.5)) == pytest.approx(41.4 * 3600, rel=0.01)
    assert sum(rests(Pace(), 0)) > DAY_S


def test_rests_grow_and_differ() -> None:
    """Each is longer than the one before until they are twelve hours; two of one length are not the same."""
    middle = rests(Pace(), 0.5)
    assert middle[:4] == [5, 25, 125, 625]
    assert middle == sorted(middle)
    assert rests(Pace(), 0)[0] == 4 and rests(Pace(), 1)[0] == 6
    assert len({Pace().again_s(5) for _ in range(20)}) > 1


def test_the_last_try_is_followed_by_none() -> None:
    """So many tries, and not one more, whatever the receiver asks for."""
    assert Pace(attempts=3).again_s(2) is not None
    assert Pace(attempts=3).again_s(3) is None
    assert Pace(attempts=1).again_s(1, asked_s=5) is None


def test_a_receiver_may_ask_for_a_longer_rest_within_bounds() -> None:
    """Never a shorter one than ours, and a day at most."""
    assert Pace().again_s(1, asked_s=100, chance=lambda: 0.5) == 100
    assert Pace().again_s(1, asked_s=0, chance=lambda: 0.5) == 5
    assert Pace().again_s(1, asked_s=1e9, chance=lambda: 0.5) == DAY_S
