"""At most so many closure models: no better choice exists, and what says ``optimal`` is."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.closure_kinds import KindsRow
from service.planning.closure_kinds import PointClass, choose_closure_kinds
from tests.planning.closure_kinds.builds import disordered, models, orderly, point_class
from tests.planning.closure_kinds.other_ways import (
    Outcome,
    behind_all,
    by_constraints,
    by_every_subset,
    by_mixed_integers,
    outcome_of,
)


def _told(row: KindsRow) -> Outcome:
    return row.unserved, int(row.total * 100)


def _names(number: int) -> Sequence[str]:
    return sorted(models(number))


@st.composite
def small_builds(draw: st.DrawFn) -> tuple[list[PointClass], int]:
    """Up to nine classes over up to seven models: equal prices, models that fit nothing, points that fit none."""
    number = draw(st.integers(1, 7))
    price = st.one_of(st.none(), st.integers(0, 12), st.integers(0, 100_000))
    row = st.lists(price, min_size=number, max_size=number)
    rows = draw(st.lists(st.tuples(st.integers(1, 30), row), min_size=1, max_size=9))
    return [point_class(points, prices) for points, prices in rows], number


@given(small_builds())
def test_no_subset_of_the_models_does_better(drawn: tuple[list[PointClass], int]) -> None:
    """Each row has the fewest points unserved and then the least total of all subsets, and says so."""
    build, number = drawn
    for row in choose_closure_kinds(build, models(number)).rows:
        assert _told(row) == by_every_subset(build, _names(number), row.most)
        assert row.optimal
        assert (row.unserved_lower_bound, row.total_lower_bound) == (row.unserved, row.total)


@given(small_builds())
def test_a_row_is_what_its_models_come_to(drawn: tuple[list[PointClass], int]) -> None:
    """Points and totals by model add up to the row's, and the row's are what its models give the build."""
    build, number = drawn
    table = choose_closure_kinds(build, models(number))
    for row in (*table.rows, table.free):
        assert _told(row) == outcome_of(build, row.closures)
        assert sum(share.points for share in row.shares) + row.unserved == table.points
        assert sum((share.total for share in row.shares), Decimal(0)) == row.total
        assert all(share.points for share in row.shares)
    for row in table.rows:
        assert len(row.shares) <= row.most


@pytest.mark.parametrize("seed", range(6))
def test_larger_builds_agree_with_every_subset(seed: int) -> None:
    """Twelve models without any order in their prices, up to five of them chosen, against all 1,500 subsets."""
    build = disordered(40, 12, seed, fits=0.5)
    for row in choose_closure_kinds(build, models(12), rows=5).rows:
        assert row.optimal
        assert _told(row) == by_every_subset(build, _names(12), row.most)


@pytest.mark.parametrize(("seed", "most"), [(1, 2), (2, 3), (3, 5)])
def test_a_mixed_integer_solver_finds_the_same_total(seed: int, most: int) -> None:
    """Orderly builds of 120 classes and 40 models: the form with ``x <= y`` has the same optimum."""
    build = orderly(120, 40, seed)
    row = choose_closure_kinds(build, models(40), most).chosen
    assert row is not None and row.optimal
    fit_none = sum(each.points for each in build if not each.offers)
    assert row.unserved == fit_none
    served = [each for each in build if each.offers]
    assert int(row.total * 100) == by_mixed_integers(served, _names(40), most, 0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_constraint_solver_finds_nothing_better(seed: int) -> None:
    """Sparse builds of 14 models that leave points unserved: a constraint solver proves the same optimum."""
    build = disordered(25, 14, seed, fits=0.25)
    rows = choose_closure_kinds(build, models(14), rows=3).rows
    found, proven = by_constraints(build, _names(14), 3)
    assert proven
    assert rows[2].unserved > 0
    assert rows[2].unserved * behind_all(build) + int(rows[2].total * 100) == found


@pytest.mark.parametrize("most", [5, 8])
def test_prices_without_order_are_proven_too(most: int) -> None:
    """120 classes, 40 models and prices drawn at random, where the linear bound is a tenth short of the optimum."""
    row = choose_closure_kinds(disordered(120, 40, 2), models(40), most, rows=1).chosen
    assert row is not None and row.optimal


def test_serving_all_comes_before_the_price() -> None:
    """One model that takes every point is chosen over a cheap one that leaves a single point out."""
    build = [point_class(1_000, [100, 90_000]), point_class(1, [None, 90_000])]
    row = choose_closure_kinds(build, models(2), 1).chosen
    assert row is not None
    assert (row.closures, row.unserved, row.total) == (("m01",), 0, Decimal("900900.00"))
    assert row.above_best == Decimal("899000.00")


def test_where_points_stay_unserved_no_difference_is_told() -> None:
    """Totals of different points are not compared; a point that fits no model at all does not count against a row."""
    build = [point_class(5, [100, None]), point_class(2, [None, 300]), point_class(3, [None, None])]
    table = choose_closure_kinds(build, models(2))
    assert [(row.unserved, row.above_best) for row in table.rows] == [(5, None), (3, Decimal("0.00"))]
    assert (table.unfit, table.free.unserved, table.points) == (3, 3, 10)
    assert table.free.total == Decimal("11.00")


def test_a_further_model_that_helps_nothing_is_not_taken() -> None:
    """Where two models are as good as three, the row for three names two."""
    build = [point_class(5, [100, 200, 150]), point_class(2, [500, 300, 400])]
    table = choose_closure_kinds(build, models(3))
    assert [row.closures for row in table.rows] == [("m00",), ("m00", "m01"), ("m00", "m01")]


def test_the_row_asked_for_may_lie_beyond_the_table() -> None:
    """Ten models asked for are answered beside a table of eight, and more models than there are by the last row."""
    build = disordered(30, 12, 1)
    table = choose_closure_kinds(build, models(12), 10)
    assert [row.most for row in table.rows] == [1, 2, 3, 4, 5, 6, 7, 8, 10]
    assert table.chosen == table.rows[-1]
    few = choose_closure_kinds([point_class(1, [5, 6])], models(2), 9)
    assert few.chosen is not None and few.chosen.most == 2


def test_a_build_that_fits_nothing_has_no_rows() -> None:
    """Where no model fits any point there is nothing to choose, and all points are unserved."""
    table = choose_closure_kinds([point_class(7, [None, None])], models(2), 3)
    assert (table.rows, table.chosen, table.unfit, table.free.unserved) == ((), None, 7, 7)


def test_prices_beyond_64_bits_stay_exact() -> None:
    """Prices of thirty digits are compared to the last of them."""
    dear = 10**28
    build = [point_class(3, [dear + 1, dear, None]), point_class(2, [None, dear + 7, dear])]
    for row in choose_closure_kinds(build, models(3)).rows:
        assert row.optimal
        assert _told(row) == by_every_subset(build, _names(3), row.most)


def test_an_answer_does_not_depend_on_the_order_of_classes() -> None:
    """The same build told backwards, and with a class divided in two, has the same table."""
    build = orderly(60, 20, 4)
    first = build[0]
    divided = [first._replace(points=1), *build[:0:-1], first._replace(points=first.points - 1)]
    assert choose_closure_kinds(divided, models(20)) == choose_closure_kinds(build, models(20))


@pytest.mark.parametrize("asked", [{"most": 0}, {"rows": 0}])
def test_no_model_at_all_is_refused(asked: dict[str, int]) -> None:
    """A build is not served by no closure model."""
    with pytest.raises(ValueError, match="at least one closure model"):
        choose_closure_kinds([point_class(1, [5])], models(1), **asked)


def test_a_class_of_no_points_is_refused() -> None:
    """A class has at least one splice point."""
    with pytest.raises(ValueError, match="at least one splice point"):
        choose_closure_kinds([point_class(0, [5])], models(1))
