"""What is compared over a build: price where all have one, then the closures' own price, outer volume, trays."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from service.domain.catalogue import Closure
from service.domain.closure_kinds import ClosureKinds
from service.planning.closure_kinds import Offer, PointClass, choose_closure_kinds, offers_of
from service.planning.plan import check_fit
from tests.planning.entries import closure
from tests.small_catalogue import request_for, ribbon_joint, small_catalogue


def _models(**changes: dict[str, object]) -> dict[str, Closure]:
    return {code: replace(closure(), code=code, **parts) for code, parts in changes.items()}


def _chosen(offers: list[Offer], closures: dict[str, Closure]) -> ClosureKinds:
    return choose_closure_kinds([PointClass(4, tuple(offers))], closures, 1)


def test_prices_of_closure_and_trays_are_compared_where_all_are_known() -> None:
    """The dearer closure with the cheaper trays wins."""
    found = _chosen(
        [Offer("a", 2, Decimal("9.50"), "EUR"), Offer("b", 1, Decimal("9.499"), "EUR")],
        _models(a={"price": Decimal(1)}, b={"price": Decimal(9)}),
    )
    assert (found.measure, found.unit, found.rows[0].closures) == ("price", "EUR", ("b",))
    assert found.rows[0].total == Decimal("37.996")


def test_a_tray_without_a_price_leaves_the_price_of_the_closures() -> None:
    """One unpriced tray anywhere in the build: closures alone are compared, and a note says so."""
    found = _chosen(
        [Offer("a", 2), Offer("b", 1, Decimal("9.00"), "EUR")],
        _models(a={"price": Decimal(1), "currency": "EUR"}, b={"price": Decimal(9), "currency": "EUR"}),
    )
    assert (found.measure, found.rows[0].closures, found.rows[0].total) == ("closure_price", ("a",), Decimal("4.00"))
    assert "trays are not all priced" in found.notes[0]


def test_two_currencies_are_not_compared() -> None:
    """Prices in two currencies stand for nothing: the outer volume is compared, unknown sizes last."""
    sized = {"length_mm": 100.0, "diameter_mm": 100.0}
    found = _chosen(
        [Offer("a", 1, Decimal(1), "EUR"), Offer("b", 1, Decimal(2), "USD"), Offer("c", 1, Decimal(3), "EUR")],
        _models(
            a={"price": Decimal(1), "currency": "EUR"},
            b={"price": Decimal(2), "currency": "USD", **sized},
            c={"price": Decimal(3), "currency": "EUR", "length_mm": 90.0, "diameter_mm": 100.0},
        ),
    )
    assert (found.measure, found.unit, found.rows[0].closures) == ("volume", "mm³", ("c",))
    assert found.rows[0].total == 4 * round(0.7853981633974483 * 100**2 * 90)
    assert "outer size unknown, ranked behind all others and not in the totals: a" in found.notes


def test_a_closure_of_unknown_size_is_taken_where_nothing_else_fits() -> None:
    """Serving a point comes before knowing the size; the total leaves the unknown out."""
    offers = [PointClass(4, (Offer("a", 1),)), PointClass(3, (Offer("a", 1), Offer("b", 1)))]
    closures = _models(a={}, b={"length_mm": 100.0, "diameter_mm": 100.0})
    one, two = choose_closure_kinds(offers, closures).rows
    assert (one.closures, one.unserved, one.total) == (("a",), 0, 0)
    assert (two.closures, [share.points for share in two.shares]) == (("a", "b"), [4, 3])
    assert two.total == 3 * 785398


def test_without_prices_and_sizes_trays_are_counted() -> None:
    """What is left to go by is the number of trays."""
    found = _chosen([Offer("a", 3), Offer("b", 2)], _models(a={}, b={}))
    assert (found.measure, found.rows[0].closures, found.rows[0].total) == ("trays", ("b",), 8)


def test_a_negative_price_is_refused() -> None:
    """Bounds stand on prices of nothing or more."""
    with pytest.raises(ValueError, match="negative"):
        _chosen([Offer("a", 1, Decimal("-1.00"), "EUR")], _models(a={}))


def test_a_fit_check_tells_the_offers() -> None:
    """The candidates that fit become offers, and the choice for one point is the closure that the planner takes."""
    catalogue = small_catalogue()
    cables = {"A": "flat-288", "B": "flat-288"}
    check = check_fit(request_for(cables, [ribbon_joint("A", "1-12", "B", "1-12")], closures=()), catalogue)
    offers = offers_of(check.candidates)
    assert len(offers) > 1
    assert {offer.closure for offer in offers} == {each.closure for each in check.candidates if each.fits}
    row = choose_closure_kinds([PointClass(1, offers)], catalogue.closures, 1).chosen
    assert row is not None and row.closures == (check.closure,)
